/** The Faults tab: what is wrong, in words, with its line and what to write instead. */
ds.faults = (() => {
  const { byId, el, button } = ds.dom;

  const goTo = (fault) => {
    if (Number.isInteger(fault.run)) {
      ds.pick.set(Number.isInteger(fault.step) ? { kind: 'step', run: fault.run, step: fault.step } : { kind: 'run', run: fault.run }, { again: true });
      ds.side.show('piece');
    } else if (fault.path && fault.path[0] === 'air handler') {
      ds.pick.set({ kind: 'unit' });
      ds.side.show('piece');
    } else if (fault.path && fault.path[0] === 'readings') ds.side.show('readings');
    else ds.textView.select(fault.text_from, fault.text_to);
  };

  const one = (fault) => el('li', { class: 'card' },
    el('p', {}, el('strong', {}, fault.title), fault.label ? `: ${fault.label}` : ''),
    fault.hint ? el('p', {}, fault.hint) : null,
    el('p', { class: 'note' }, `line ${fault.line}`),
    el('div', { class: 'row' },
      button('Go there', () => goTo(fault)),
      button('Show it in the text', () => ds.textView.select(fault.text_from, fault.text_to)),
      fault.patch !== null && fault.patch !== undefined ? button(`Write “${fault.patch}” instead`, () => ds.field.mend(fault), { class: 'main' }) : null));

  const build = () => {
    const { view } = ds.doc;
    return [
      el('h2', {}, view.faults.length ? `${view.faults.length + (view.more_faults || 0)} to put right` : 'Nothing is wrong'),
      view.refused ? el('p', { class: 'wrong' }, view.refused.title, view.refused.hint ? ` ${view.refused.hint}` : '') : null,
      view.faults.length ? el('p', {}, 'Answers come when these are put right.') : el('p', {}, view.stands ? 'The sketch stands: answers can be had.' : 'The sketch is not whole yet: give it a unit and a run.'),
      el('ol', { class: 'bare' }, view.faults.map(one)),
      view.more_faults ? el('p', {}, `and ${view.more_faults} more after these`) : null,
      view.warnings.length ? [el('h3', {}, 'Worth a look'), el('ul', {}, view.warnings.map((text) => el('li', {}, text)))] : null,
    ];
  };

  const render = () => {
    const { view } = ds.doc;
    if (!view) return;
    const number = view.faults.length + (view.more_faults || 0);
    ds.side.count('faults', number, 'to put right');
    ds.field.keepTyping(byId('panel-faults'), build);
  };

  return { start: () => ds.doc.on('view', render) };
})();
