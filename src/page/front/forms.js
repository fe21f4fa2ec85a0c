/** The Piece tab: the form of what is picked. */
ds.forms = (() => {
  const { byId, el, button } = ds.dom;

  const runLabel = (run, index) => (run && run.id) || `run ${index + 1}`;

  /** Where the form stands in the sketch: each part leads there. */
  const trail = (pick) => {
    const parts = [button('House', () => ds.pick.set(null), { 'aria-current': pick ? null : 'true' }), button('Unit', () => ds.pick.set({ kind: 'unit' }), { 'aria-current': pick && pick.kind === 'unit' ? 'true' : null })];
    if (pick && Number.isInteger(pick.run)) {
      const run = ds.doc.view.runs[pick.run];
      if (run) {
        parts.push(button(runLabel(run, pick.run), () => ds.pick.set({ kind: 'run', run: pick.run }), { 'aria-current': Number.isInteger(pick.step) ? null : 'true' }));
        if (Number.isInteger(pick.step)) {
          parts.push(button(`step ${pick.step + 1}`, () => ds.pick.set({ kind: 'step', run: pick.run, step: pick.step }), { 'aria-current': pick.kind === 'step' ? 'true' : null }));
        }
      }
    }
    return el('nav', { class: 'trail row', 'aria-label': 'Where this is' }, parts);
  };

  const build = () => {
    const pick = ds.pick.get();
    const { view } = ds.doc;
    if (!view.sketch || typeof view.sketch !== 'object' || Array.isArray(view.sketch)) {
      return [el('h2', {}, 'The text cannot be read'), el('p', {}, 'Forms come back once the text is in order again.'), button('Show what is wrong', () => ds.side.show('faults'), { class: 'main' })];
    }
    if (!pick) return [trail(pick), ds.formHouse.build()];
    if (pick.kind === 'unit') return [trail(pick), ds.formUnit.build()];
    if (pick.kind === 'seam') return [trail(pick), ds.looks.build(pick)];
    if (pick.kind === 'step' && view.runs[pick.run] && view.runs[pick.run].steps[pick.step]) return [trail(pick), ds.formStep.build(pick.run, pick.step)];
    if (Number.isInteger(pick.run) && view.runs[pick.run]) return [trail(pick), ds.formRun.build(pick.run)];
    return [trail(null), ds.formHouse.build()];
  };

  let drawn = null;
  const render = () => {
    if (!ds.doc.view) return;
    const panel = byId('panel-piece');
    const now = JSON.stringify(ds.pick.get());
    ds.field.keepTyping(panel, build);
    if (now !== drawn) panel.parentElement.scrollTop = 0;
    drawn = now;
  };

  const start = () => {
    ds.doc.on('view', render);
    ds.pick.on((pick) => {
      render();
      if (ds.side.tab === 'readings' && ds.readings.drafting) return;
      if (pick && ds.side.tab !== 'piece' && ds.side.tab !== 'runs' && ds.side.tab !== 'answers') ds.side.show('piece');
    });
  };

  /** Fields that a run, a step, a plenum and a usual way share. */
  const around = (path, of, what) => {
    const at = (key) => [...path, key];
    const usual = of || (() => '');
    const empty = (key) => {
      const said = usual(key);
      return said ? `as usual: ${said}` : 'as usual';
    };
    const make = {
      place: () => ds.field.make({ label: 'Place', path: at('place'), options: ds.doc.view.places, empty: empty('place'), words: `place of ${what}` }),
      reach: () => ds.field.make({ label: 'Reach: can a hand get to its seams?', path: at('reach'), options: ds.words.list('reach'), empty: empty('reach'), words: `reach of ${what}` }),
      work: () => ds.field.make({ label: 'How it is sealed', path: at('work'), options: ds.words.list('work'), empty: empty('work'), words: `work on ${what}` }),
      insulation: () => ds.field.make({ label: 'Insulation around it', path: at('insulation'), example: ds.words.si() ? '1.4 m2K/W' : 'R-8', words: `insulation of ${what}` }),
    };
    return [make.place(), make.reach(), make.work(), make.insulation()];
  };

  /** What `usual` says of a material's key; `all` where it says nothing. */
  const usualOf = (material) => (key) => {
    const own = material ? ds.field.at(['usual', material, key]) : undefined;
    return ds.field.plain(own === undefined ? ds.field.at(['usual', 'all', key]) : own);
  };

  /** Faults of the whole piece that no field shows. */
  const faultsOf = (path) => {
    const found = ds.field.faultsAt(path, true);
    return found.length ? el('div', { class: 'faulty' }, found.map(ds.field.faultWords)) : null;
  };

  return { start, render, around, usualOf, faultsOf, runLabel };
})();
