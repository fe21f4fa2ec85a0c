/** The form of a step of a walk. */
ds.formStep = (() => {
  const { el, button } = ds.dom;

  /** Adds a step: `at` null is at the end. */
  const insert = async (run, at, kind) => {
    const entry = ds.field.at(['runs', run]);
    const words = ds.words.KINDS.find(([key]) => key === kind)[1];
    const done = await ds.doc.change([{ do: 'insert_step', path: ['runs', run, 'walk'], at, parts: ds.words.freshParts(kind, entry) }], `${words} on ${ds.forms.runLabel(ds.doc.view.runs[run], run)}`);
    const path = done && done.at && done.at[0];
    const placed = path && path[3] !== undefined ? path[3] : at === null ? ds.doc.view.runs[run].steps.length - 1 : at;
    if (done) ds.pick.set({ kind: 'step', run, step: placed });
  };

  /** A list of kinds that adds what is chosen. */
  const adder = (run, at, label) => {
    const id = ds.dom.freshId('add');
    const select = el('select', { id, data: { key: `add/${run}/${at}` }, on: { change: () => select.value && insert(run, at, select.value) } },
      el('option', { value: '' }, 'choose…'), ds.words.KINDS.map(([key, words]) => el('option', { value: key }, words)));
    return el('div', { class: 'field' }, el('label', { for: id }, label), select);
  };

  const remove = async (run, step) => {
    const label = ds.doc.view.runs[run].steps[step].text;
    await ds.doc.change([{ do: 'remove', path: ['runs', run, 'walk', step] }], `remove ${label}`);
  };

  /** A field of the words of a step: the library writes the words. */
  const part = (run, step, parts, key, spec) => {
    const kept = Object.fromEntries(Object.entries(parts).filter(([, value]) => value !== null && value !== undefined));
    return ds.field.make({
      ...spec,
      key: `step/${run}/${step}/${key}`,
      value: parts[key] === null || parts[key] === undefined ? '' : parts[key],
      changes: (value) => {
        const next = { ...kept, [key]: value };
        if (value === '') delete next[key];
        return [{ do: 'set_step', path: ['runs', run, 'walk', step], parts: next }];
      },
    });
  };

  const KIND_PARTS = {
    straight: ['length', 'heading', 'material'],
    elbow: ['heading', 'word', 'degrees'],
    takeoff: ['word'],
    reducer: ['size'],
    boot: ['size', 'word'],
    intake: ['size'],
    'access door': ['size'],
    damper: ['degrees'],
    joins: ['onto'],
  };

  const spec = (kind, key, where, parts) => {
    const { list, sizes, si } = ds.words;
    const words = `${key} of ${where}`;
    const LENGTHS = si() ? ['0.5 m', '1 m', '2 m', '3 m', '5 m'] : ['1 ft', '2 ft', '4 ft', '5 ft', '10 ft'];
    return {
      length: () => ({ label: 'Length', big: LENGTHS, own: true, example: si() ? '3.2 m' : '9 ft 6 in', words }),
      heading: () => ({ label: kind === 'elbow' ? 'Turns to' : 'Heading', big: [...(kind === 'elbow' ? [] : [['', 'on as before']]), ...list('headings')], words }),
      material: () => ({ label: 'Material of this length', options: list('materials'), empty: 'as the run', words }),
      word: () => ({ label: 'Kind', big: list({ elbow: 'elbows', takeoff: 'takeoffs', boot: 'boots' }[kind]), words }),
      degrees: () => (kind === 'damper'
        ? { label: 'Stands at, degrees', note: '0 is open, 90 is shut; empty is open', example: '40', words }
        : { label: 'Turns by, degrees', big: ['30', '45', '60', '90'], own: true, words }),
      size: () => ({ label: 'Size', big: kind === 'boot' ? sizes(parts.word === 'return box' ? 'box' : 'boot') : kind === 'reducer' ? [...sizes('rect'), ...sizes('round')] : [], own: true, words }),
      onto: () => ({ label: 'Joins', near: ds.doc.view.runs.filter(({ id }) => id).map(({ id }) => id), note: 'a run, or a place on it: B at 12 ft', words }),
    }[key]();
  };

  const wordsFields = (run, step, parts) => {
    const label = ds.forms.runLabel(ds.doc.view.runs[run], run);
    const kinds = ds.words.KINDS.map(([key]) => key);
    const kept = Object.fromEntries(['place', 'reach', 'work'].filter((key) => parts[key]).map((key) => [key, parts[key]]));
    const entry = ds.field.at(['runs', run]);
    const usual = ds.forms.usualOf(ds.formRun.materialOf(entry));
    const empty = (key) => `as the run${ds.field.plain(entry[key]) || usual(key) ? `: ${ds.field.plain(entry[key]) || usual(key)}` : ''}`;
    return [
      (KIND_PARTS[parts.kind] || []).map((key) => part(run, step, parts, key, spec(parts.kind, key, label, parts))),
      el('details', { data: { key: 'step-around' } }, el('summary', {}, 'Place, reach, work of this step'),
        part(run, step, parts, 'place', { label: 'Place', options: ds.doc.view.places, empty: empty('place'), words: `place on ${label}` }),
        part(run, step, parts, 'reach', { label: 'Reach: can a hand get to its seams?', options: ds.words.list('reach'), empty: empty('reach'), words: `reach on ${label}` }),
        part(run, step, parts, 'work', { label: 'How it is sealed', options: ds.words.list('work'), empty: empty('work'), words: `work on ${label}` })),
      ds.field.make({
        label: 'It is another kind of piece', key: `step/${run}/${step}/kind`, value: parts.kind, options: kinds, mean: (kind) => ds.words.KINDS.find(([key]) => key === kind)[1], empty: 'choose…', words: `kind of step on ${label}`,
        changes: (kind) => (kind ? [{ do: 'set_step', path: ['runs', run, 'walk', step], parts: { ...ds.words.freshParts(kind, entry), ...kept } }] : []),
      }),
    ];
  };

  const build = (run, step) => {
    const path = ['runs', run, 'walk', step];
    const { steps } = ds.doc.view.runs[run];
    const { text, parts } = steps[step];
    const entry = ds.field.at(path);
    const mapped = entry !== null && typeof entry === 'object';
    const label = ds.forms.runLabel(ds.doc.view.runs[run], run);
    const seams = ds.doc.view.seams.filter((seam) => seam.run === run && seam.step === step);
    return el('div', { class: 'form' },
      el('h2', {}, mapped ? ds.field.plain(entry.step) || text : text),
      el('p', { class: 'note' }, `step ${step + 1} of ${steps.length} on ${label}`),
      ds.forms.faultsOf(path),
      parts ? wordsFields(run, step, parts) : null,
      ds.field.make({ label: 'In words', path: mapped ? [...path, 'step'] : path, words: `words of a step on ${label}`, changes: (value) => (value ? [{ do: 'set', path: mapped ? [...path, 'step'] : path, value }] : []) }),
      el('details', { data: { key: 'step-own' } }, el('summary', {}, 'Own joint'),
        ds.field.make({
          label: 'Joint type of its seam', key: `step/${run}/${step}/joint`, value: mapped ? entry.joint : '', words: `joint on ${label}`,
          note: 'an id of the catalogue or a word of the trade',
          changes: (value) => {
            if (mapped) return ds.field.setting([...path, 'joint'])(value);
            return value ? [{ do: 'set', path, value: { step: text, joint: value } }] : [];
          },
        }),
        mapped ? ds.forms.around(path, () => '', label) : null),
      seams.length ? el('div', {}, el('h3', {}, 'Its seams: what was seen there'), el('ul', { class: 'bare' }, seams.map((seam) => el('li', {}, button(seam.id, () => ds.pick.set({ kind: 'seam', run, step, seam: seam.id }), { class: 'plain' }))))) : null,
      el('h3', {}, 'Around it'),
      adder(run, step, 'Insert a step before it'),
      adder(run, step + 1, 'Insert a step after it'),
      el('div', { class: 'row' },
        button('Step before', () => ds.pick.set({ kind: 'step', run, step: step - 1 }), { disabled: step === 0 }),
        button('Step after', () => ds.pick.set({ kind: 'step', run, step: step + 1 }), { disabled: step + 1 >= steps.length }),
        button('Remove this step', () => remove(run, step), { class: 'away' })));
  };

  return { build, insert, adder, remove };
})();
