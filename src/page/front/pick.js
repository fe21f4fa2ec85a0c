/** What is picked on the drawing, in the list or in an answer: one thing for the whole page. */
ds.pick = (() => {
  const { on, emit } = ds.emitter();
  const FIELDS = ['kind', 'run', 'step', 'seam', 'side', 'at'];
  let picked = null;

  const same = (a, b) => a === b || (a !== null && b !== null && FIELDS.every((field) => (a[field] ?? null) === (b[field] ?? null)));

  /** @param next `{kind: "run"|"step"|"seam"|"unit"|"opening"|"end", run, step, seam}` or null */
  const set = (next, how) => {
    const wanted = next || null;
    if (same(picked, wanted) && !(how && how.again)) return;
    picked = wanted;
    emit('pick', picked);
  };

  /** Lets go of what the sketch no longer holds. */
  const keepWithin = (view, before) => {
    if (!picked || !view) return;
    follow(view, before);
    if (!picked) return;
    const run = picked.run === undefined || picked.run === null ? null : view.runs[picked.run];
    if (picked.kind === 'seam') {
      if (view.stands && !view.seams.some((seam) => seam.id === picked.seam)) set(null);
    } else if (run === undefined) set(null);
    else if (run && picked.kind === 'step' && picked.step >= run.steps.length) {
      set(run.steps.length ? { kind: 'step', run: picked.run, step: run.steps.length - 1 } : { kind: 'run', run: picked.run });
    }
  };

  /** A run is the same by its name, wherever it now stands in the list. */
  const follow = (view, before) => {
    if (!before || !Number.isInteger(picked.run) || picked.kind === 'seam') return;
    const was = before.runs[picked.run];
    const here = view.runs[picked.run];
    if (!was || !was.id || (here && here.id === was.id)) return;
    const at = view.runs.findIndex(({ id }) => id === was.id);
    if (at >= 0) {
      picked = { ...picked, run: at };
      emit('pick', picked);
    } else if (!here || before.runs.some(({ id }) => id === here.id)) {
      // Another one moved up into its place.
      set(null);
    }
  };

  return { set, get: () => picked, on: (listener) => on('pick', listener), keepWithin };
})();
