/** The form of a run. */
ds.formRun = (() => {
  const { el, button } = ds.dom;

  const materialOf = (entry) => {
    if (entry.material) return ds.field.plain(entry.material);
    return /\bx\b|[0-9]x[0-9]/i.test(ds.field.plain(entry.size)) ? 'rectangular' : 'round';
  };

  /** Runs that leave a run or join it, and theirs: they go with it. */
  const hanging = (index) => {
    const { runs } = ds.doc.view;
    const found = [];
    const wait = [index];
    while (wait.length) {
      const on = wait.pop();
      runs.forEach((run, at) => {
        if (run.on_run === on && at !== index && !found.includes(at)) {
          found.push(at);
          wait.push(at);
        }
      });
    }
    return found.sort((a, b) => a - b);
  };

  const names = (indices) => indices.map((at) => ds.forms.runLabel(ds.doc.view.runs[at], at));

  /** Asks before more than one run goes. */
  const remove = async (index) => {
    const run = ds.doc.view.runs[index];
    const label = ds.forms.runLabel(run, index);
    const others = names(hanging(index));
    if (others.length) {
      const answer = await ds.conflict.question(`Remove ${label}?`, [
        `${others.length === 1 ? 'This run hangs' : `These ${others.length} runs hang`} on it and ${others.length === 1 ? 'goes' : 'go'} as well: ${others.join(', ')}.`,
        'What was read and seen there goes with them. Undo brings all of it back.',
      ], null, [{ key: 'stay', label: 'Leave everything', cancels: true, main: true }, { key: 'go', label: `Remove ${others.length + 1} runs` }]);
      if (answer !== 'go') return;
    }
    ds.pick.set(null);
    await ds.doc.change([{ do: 'remove_run', run: index }], `remove ${label}`);
  };

  const mirror = async (index) => {
    const label = ds.forms.runLabel(ds.doc.view.runs[index], index);
    await ds.doc.change([{ do: 'mirror', run: index }], `mirror ${label}`);
  };

  /** Copies a run and what hangs on it to another place, said in the words of `from`. */
  const copyBox = (index) => {
    const run = ds.doc.view.runs[index];
    const from = ds.field.plain(ds.field.at(['runs', index, 'from']));
    const id = ds.dom.freshId('copy');
    const input = el('input', { id, type: 'text', value: from, autocomplete: 'off', data: { key: `copy/${index}`, was: from } });
    const copy = async () => {
      const done = await ds.doc.change([{ do: 'copy_branch', run: index, from: input.value.trim() }], `copy ${ds.forms.runLabel(run, index)}`);
      const at = done && done.at && done.at[0];
      if (at && at[0] === 'runs' && Number.isInteger(at[1])) ds.pick.set({ kind: 'run', run: at[1] });
    };
    return el('details', { data: { key: `copybox/${index}` } }, el('summary', {}, 'Copy this branch'),
      el('div', { class: 'field' }, el('label', { for: id }, 'The copy starts at'), input, el('p', { class: 'note' }, 'For instance: trunk at 12 ft right. Readings and looks are not copied.')),
      button('Copy', copy, { class: 'main' }));
  };

  const sizeButtons = (entry) => {
    const material = materialOf(entry);
    const round = ds.words.sizes('round');
    const flat = ds.words.sizes('rect');
    return ['round', 'spiral', 'flex'].includes(material) ? round : flat;
  };

  const stepsOf = (index) => {
    const run = ds.doc.view.runs[index];
    const rows = run.steps.map((step, at) => {
      const wrong = ds.field.faultsAt(['runs', index, 'walk', at]).length;
      return el('li', {}, button([`${at + 1}. ${step.text}`, wrong ? el('strong', { class: 'wrong' }, ' · wrong') : null], () => ds.pick.set({ kind: 'step', run: index, step: at }), { class: 'plain', data: { key: `steps/${at}` } }));
    });
    return el('div', {}, el('h3', {}, 'Its steps, in the order of the walk'), el('ol', { class: 'steps bare' }, rows), ds.formStep.adder(index, null, run.open_end || !run.steps.length ? 'Add a step at its end' : 'Add a step at its end (it is closed there)'));
  };

  const build = (index) => {
    const entry = ds.field.at(['runs', index]);
    const run = ds.doc.view.runs[index];
    const path = ['runs', index];
    const at = (key) => [...path, key];
    const label = ds.forms.runLabel(run, index);
    if (!entry || typeof entry !== 'object') return el('div', {}, el('h2', {}, label), ds.forms.faultsOf(path), el('p', {}, 'This run is not written as a run: put it right in the text.'), button('Show it in the text', () => ds.textView.go(path)));
    const others = ds.doc.view.runs.filter((one, other) => one.id && other !== index).map(({ id }) => id);
    const ends = ['supply plenum', 'return plenum', ...others.map((id) => `${id} end`), ...others.map((id) => `${id} at ${ds.words.si() ? '2 m' : '6 ft'} left`)];
    const material = materialOf(entry);
    return el('div', { class: 'form' },
      el('h2', {}, `Run ${label}`),
      el('p', { class: 'note' }, [run.side ? `${run.side} side` : 'side not known', run.length_m !== null && run.length_m !== undefined ? `${ds.numbers.length(run.length_m)} long` : null, run.drawn ? null : 'cannot be drawn yet', run.open_end && run.drawn ? 'its end is open: add a boot, a cap or more duct' : null].filter(Boolean).join(' · ')),
      ds.forms.faultsOf(path),
      ds.field.make({ label: 'Name', path: at('id'), words: `name of ${label}`, changes: (to) => (to && run.id ? [{ do: 'rename_run', run: index, to }] : to ? [{ do: 'set', path: at('id'), value: to }] : []) }),
      ds.field.make({ label: 'Size', path: at('size'), big: sizeButtons(entry), own: true, example: ds.words.si() ? '150 mm or 350x200 mm' : '6 in or 14x8 in', words: `size of ${label}` }),
      ds.field.make({ label: 'Starts from', path: at('from'), near: ends, example: 'trunk at 4 ft left', words: `start of ${label}` }),
      ds.field.make({ label: 'Side', path: at('side'), big: [['', 'as where it starts'], ...ds.words.list('sides')], words: `side of ${label}` }),
      ds.field.make({ label: 'Room it serves', path: at('room'), near: rooms(), words: `room of ${label}` }),
      ds.field.make({ label: 'Airflow meant for the room', path: at('design flow'), example: ds.words.si() ? '50 L/s' : '100 cfm', words: `design flow of ${label}` }),
      stepsOf(index),
      el('details', { data: { key: `more/${index}` } }, el('summary', {}, 'Material, place, reach, work, insulation, floor'),
        ds.field.make({ label: 'Material', path: at('material'), options: ds.words.list('materials'), empty: `by its size: ${material}`, words: `material of ${label}` }),
        ds.forms.around(path, ds.forms.usualOf(material), label),
        ds.field.make({ label: 'Floor', path: at('floor'), note: 'a word of your own, for groups of seams', words: `floor of ${label}` })),
      copyBox(index),
      el('div', { class: 'row' }, button('Mirror it and what hangs on it', () => mirror(index)), button('Remove this run', () => remove(index), { class: 'away' })));
  };

  const rooms = () => {
    const runs = ds.doc.view.sketch.runs;
    return Array.isArray(runs) ? [...new Set(runs.map((run) => run && ds.field.plain(run.room)).filter(Boolean))] : [];
  };

  return { build, remove, mirror, hanging, names, materialOf };
})();
