/** The Readings tab: what was measured, and one to add. */
ds.readings = (() => {
  const { byId, el, button, freshId } = ds.dom;
  /** The reading that is being written and not yet in the sketch: `{kind, value, id, …}`. */
  let draft = null;
  let adding = false;

  const entries = () => {
    const found = ds.field.at(['readings']);
    return Array.isArray(found) ? found : [];
  };

  const listed = (value) => value.split(',').map((part) => part.trim()).filter(Boolean);
  const isPressure = (kind) => kind === 'pan' || /static|pressure/.test(kind);
  /** A bare number is in the unit that the meters of the trade show. */
  const withUnit = (typed, kind) => (/^\d+([.]\d+)?$/.test(typed) ? `${typed} ${isPressure(kind) ? 'Pa' : ds.words.si() ? 'L/s' : 'cfm'}` : typed);
  const exampleOf = (kind) => (isPressure(kind) ? '1.2 Pa ± 0.3 Pa' : ds.words.si() ? '120 L/s at 25 Pa ± 3 %' : '240 cfm at 25 Pa ± 3 %');
  /** One value or several one after the other, in the way the file writes them. A comma between digits is left: the library says what to write. */
  const valueOf = (typed, kind) => {
    const all = typed.split(/,(?!\d)|;/).map((part) => withUnit(part.trim(), kind)).filter(Boolean);
    return all.length > 1 ? all : withUnit(typed.trim(), kind);
  };

  const freshName = (kind, run) => {
    const stem = run && (kind === 'pan' || kind === 'register flow' || kind === 'isolated') ? `${kind} ${run}` : kind;
    const used = new Set(entries().map((entry) => entry && ds.field.plain(entry.id)));
    if (!used.has(stem)) return stem;
    let at = 2;
    while (used.has(`${stem} ${at}`)) at += 1;
    return `${stem} ${at}`;
  };

  const pickedRun = () => {
    const pick = ds.pick.get();
    const run = pick && Number.isInteger(pick.run) ? ds.doc.view.runs[pick.run] : null;
    return run ? run.id : null;
  };

  /** Begins a reading; `given` are fields already known, as an advice names them. */
  const begin = (kind, given) => {
    const run = given && given.run ? given.run : pickedRun();
    const needs = ds.readingFields.of(kind).some(({ key }) => key === 'run');
    draft = { kind, value: '', ...(needs && run ? { run } : {}), ...given, id: freshName(kind, needs ? run : null) };
    ds.side.show('readings');
    render();
    const field = byId('draft-value');
    if (field) {
      field.focus();
      field.scrollIntoView({ block: 'center' });
    }
  };

  /** Takes a line as `next` writes it (`- {id: NAME, total: ___ cfm at 25 Pa, plugged: [hall return]}`) as the beginning of a reading. */
  const beginFromLine = (line) => {
    const inside = /\{(.*)\}/.exec(line);
    if (!inside) return false;
    const given = {};
    let kind = null;
    for (const [, key, value] of inside[1].matchAll(/([a-z][a-z -]*?):\s*(\[[^\]]*\]|[^,[\]]+)(?:,\s*|$)/gi)) {
      const name = key.trim();
      if (name === 'id') continue;
      if (ds.readingFields.keys().includes(name)) {
        kind = name;
        given.value = value.trim();
      } else given[name] = value.startsWith('[') ? listed(value.slice(1, -1)).join(', ') : value.trim();
    }
    if (!kind) return false;
    begin(kind, given);
    const field = byId('draft-value');
    const at = field ? field.value.indexOf('___') : -1;
    if (at >= 0) field.setSelectionRange(at, at + 3);
    return true;
  };

  const add = async () => {
    if (!draft || adding) return;
    const { kind } = draft;
    const value = { id: draft.id };
    value[kind] = valueOf(draft.value, kind);
    for (const { key, listed: many } of ds.readingFields.of(kind)) {
      if (!draft[key]) continue;
      value[key] = many ? listed(draft[key]) : draft[key];
    }
    adding = true;
    let done = null;
    try {
      done = await ds.doc.change([{ do: 'insert', path: ['readings'], at: null, value }], `reading ${draft.id}`);
    } finally {
      adding = false;
    }
    if (!done) return;
    draft = null;
    render();
  };

  const draftField = (key, label, spec) => {
    const id = key === 'value' ? 'draft-value' : freshId('draft');
    const common = { id, data: { key: `draft/${key}` }, on: { input: () => { draft[key] = input.value; } } };
    const near = spec.near ? el('datalist', { id: `${id}-near` }, spec.near.map((word) => el('option', { value: word }))) : null;
    const input = spec.options
      ? el('select', { ...common, on: { change: () => { draft[key] = input.value; } } }, el('option', { value: '' }, spec.empty || 'not said'), spec.options.map((word) => el('option', { value: word }, spec.mean ? spec.mean(word) : word)))
      : el('input', { ...common, type: 'text', autocomplete: 'off', spellcheck: false, placeholder: spec.example || '' });
    input.value = draft[key] || '';
    if (near) input.setAttribute('list', near.id);
    input.addEventListener('keydown', (event) => event.key === 'Enter' && key === 'value' && add());
    return el('div', { class: 'field' }, el('label', { for: id }, label), input, near, spec.note ? el('p', { class: 'note' }, spec.note) : null);
  };

  const draftForm = () => {
    const kind = ds.readingFields.kinds().find(({ key }) => key === draft.kind);
    const fields = ds.readingFields.of(draft.kind);
    const needed = fields.filter(({ needed: is }) => is);
    return el('fieldset', { class: 'draft' }, el('legend', {}, `New reading: ${kind ? kind.words : draft.kind}`),
      kind && kind.long ? el('p', { class: 'note' }, kind.long) : null,
      needed.map((spec) => draftField(spec.key, spec.label, spec)),
      needed.some(({ key }) => key === 'run') ? el('p', { class: 'note' }, 'Tap a register or a run on the drawing to name it.') : null,
      draftField('value', 'What was read, with its pressure and error', { example: (kind && kind.example) || exampleOf(draft.kind), note: `For instance ${exampleOf(draft.kind)}. Several readings of the same: a comma and a space between them.` }),
      draftField('id', 'Name of the reading', {}),
      el('details', { data: { key: 'draft-more' }, open: fields.some(({ key, needed: is }) => !is && draft[key]) }, el('summary', {}, 'How it was set up'), fields.filter(({ needed: is }) => !is).map((spec) => draftField(spec.key, spec.label, spec))),
      el('div', { class: 'row' }, button('Add this reading', add, { class: 'main', data: { key: 'draft/add' } }), button('Leave it', () => { draft = null; render(); })));
  };

  const result = (id) => {
    const answer = ds.doc.answers && ds.doc.answers.allocation && ds.doc.answers.allocation.readings.find((one) => one.id === id);
    if (!answer || !answer.modelled) return null;
    const n = ds.numbers;
    const show = (value) => n.ofReading(value, answer.unit, answer.observable);
    const unit = n.readingUnit(answer.unit);
    return el('p', { class: `modelled${ds.doc.answersFor ? '' : ' old'}` }, `read ${show(answer.measured)} ${unit}, the model says ${show(answer.modelled.mean)} ${unit} (${show(answer.modelled.p05)} to ${show(answer.modelled.p95)})`,
      ds.doc.answersFor ? null : el('span', { class: 'unseen' }, ', from before the last change'));
  };

  const one = (entry, index) => {
    const path = ['readings', index];
    if (!entry || typeof entry !== 'object') return el('li', {}, ds.forms.faultsOf(path), 'not written as a reading');
    const kind = ds.readingFields.kindOf(entry);
    const id = ds.field.plain(entry.id) || `reading ${index + 1}`;
    const said = kind ? ds.readingFields.kinds().find(({ key }) => key === kind) : null;
    const faults = ds.field.faultsAt(path);
    return el('li', { class: 'card' },
      el('p', {}, el('strong', {}, id), ` · ${said ? said.words : 'of no known kind'}`, entry.run !== undefined ? ` · ${ds.field.plain(entry.run)}` : ''),
      kind ? el('p', { class: 'figure' }, ds.field.plain(entry[kind])) : null,
      result(id),
      faults.length ? el('div', {}, faults.map(ds.field.faultWords)) : null,
      ds.field.fold(`reading/${index}`, 'Change it', () => [
        kind ? ds.field.make({ label: 'What was read', path: [...path, kind], example: said.example, words: `value of ${id}`, changes: (value) => (value ? [{ do: 'set', path: [...path, kind], value: valueOf(value, kind) }] : []) }) : null,
        ds.field.make({ label: 'Name', path: [...path, 'id'], words: `name of ${id}` }),
        kind ? ds.readingFields.of(kind).map((spec) => ds.field.make({
          ...spec, path: [...path, spec.key], words: `${spec.key} of ${id}`, mean: spec.mean,
          changes: spec.listed ? (value) => ds.field.setting([...path, spec.key])(value ? listed(value) : '') : undefined,
        })) : null,
        button(`Remove ${id}`, () => ds.doc.change([{ do: 'remove', path }], `remove the reading ${id}`), { class: 'away' })]));
  };

  const kindButton = ({ key, words, long }) => button(words, () => begin(key), { title: long, data: { key: `kind/${key}` } });

  const build = () => {
    const all = entries();
    return [
      el('h2', {}, 'Readings'),
      all.length ? el('ul', { class: 'bare' }, all.map(one)) : el('p', {}, 'No reading yet: what is shown is what is usual for such ducts, and nothing of this house.'),
      draft ? draftForm() : null,
      el('h3', {}, 'Add what was read'),
      el('div', { class: 'row big' }, ds.readingFields.kinds().slice(0, ds.readingFields.USUAL).map(kindButton)),
      el('details', { data: { key: 'more-kinds' } }, el('summary', {}, 'More kinds of reading'), el('div', { class: 'row big' }, ds.readingFields.kinds().slice(ds.readingFields.USUAL).map(kindButton))),
      el('p', { class: 'note' }, 'Before any fan test: burners off, fireplaces cold, no suspect tape or wrap blown at. Relight and watch afterwards; local codes decide.'),
    ];
  };

  const render = () => {
    if (!ds.doc.view) return;
    const panel = byId('panel-readings');
    if (panel.hidden) return;
    ds.field.keepTyping(panel, build);
  };

  const start = () => {
    ds.doc.on('view', render);
    // Without a reading there is nothing that answers change here.
    ds.doc.on('answers', () => entries().length && render());
    ds.side.whenShown('readings', render);
    ds.pick.on(() => {
      const run = pickedRun();
      if (!draft || !run || !ds.readingFields.of(draft.kind).some(({ key }) => key === 'run')) return;
      const named = draft.id === freshName(draft.kind, draft.run);
      draft.run = run;
      if (named) draft.id = freshName(draft.kind, run);
      render();
    });
  };

  return { start, begin, beginFromLine, get drafting() { return draft; } };
})();
