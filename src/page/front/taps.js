// What a tap does with each tool, and the menu of what is picked.
/* global ds */
ds.taps = (() => {
  let before = null;

  function tap(p, action) {
    const { tool } = ds.tools;
    if (action.middle) menu(p);
    else if (tool === 'pick' || tool === 'run') pick(p);
    else if (tool === 'boot' || tool === 'box' || tool === 'cap') end(p, tool);
    else if (tool === 'elbow') elbow(p);
    else if (tool === 'reducer' || tool === 'damper') inside(p, tool);
    else if (tool === 'takeoff') stub(p, action);
    else if (tool === 'erase') erase(p);
  }

  const same = (a, b) => a && b && ['kind', 'run', 'step', 'seam', 'side'].every((k) => (a[k] ?? null) === (b[k] ?? null));
  const plain = (found) => (found.kind === 'seam'
    ? { kind: 'seam', seam: found.seam.id, run: found.seam.run, step: found.seam.step }
    : found.kind === 'unit' ? { kind: 'unit', side: found.side } : { kind: found.kind, run: found.run, ...(found.step === undefined ? {} : { step: found.step }) });

  /** Picks what is at a point; a second tap there picks what lies beneath. */
  function pick(p) {
    const all = ds.hit.pickable(p);
    if (all.length && all[0].kind === 'fault') {
      const { fault } = all[0];
      tellFault(fault);
      if (fault.run !== null && fault.run !== undefined) ds.pick.set(fault.step === null || fault.step === undefined ? { kind: 'run', run: fault.run } : { kind: 'step', run: fault.run, step: fault.step });
      return;
    }
    const choices = all.filter((f) => f.kind !== 'fault').map(plain);
    const near = before && Math.hypot(before[0] - p[0], before[1] - p[1]) < 14;
    const k = near ? choices.findIndex((c) => same(c, ds.pick.get())) : -1;
    before = p;
    const next = choices.length ? choices[(k + 1) % choices.length] : null;
    choose(next);
  }

  /** Makes something the pick, tells it, and offers what can be done with it. */
  function choose(next, how = {}) {
    ds.pick.set(next, { again: true });
    ds.pen.forget();
    if (!next) return;
    ds.drawing.say(ds.over.words(ds.drawing.scene, next));
    offer(next, how);
  }

  /** The buttons for what is picked. */
  function offer(next, how = {}) {
    const run = ds.doc.view.runs[next.run];
    if (next.kind === 'end') ds.pen.offer(next.run, how);
    if (!run || (next.kind !== 'run' && next.kind !== 'step' && next.kind !== 'opening')) return;
    const branch = run.on_run !== null && run.on_run !== undefined;
    ds.strip.show(run.id || 'run', [
      branch && { words: 'Copy', does: () => copy(next.run) },
      { words: 'Mirror', does: () => ds.acts.mirror(next.run) },
      next.kind !== 'run' && { words: 'Erase piece', does: () => ds.acts.erase({ ...next, kind: 'step' }) },
      { words: 'Remove run', does: () => ds.acts.erase({ kind: 'run', run: next.run }), away: true },
      run.open_end && { words: 'End …', does: () => ds.pen.offer(next.run, how) },
    ], { low: true }, how);
  }

  /** Copies a branch: asks where on the run that it leaves, then which side. */
  async function copy(i) {
    const on = ds.doc.view.runs[i].on_run;
    if (on === null || on === undefined) {
      ds.drawing.tell('Only a branch that leaves another run can be copied');
      return;
    }
    const line = ds.drawing.scene.runs[on];
    const name = ds.doc.view.runs[on].id;
    const length = await ds.lengthBox.ask({
      words: `Copy to what distance of ${name}?`,
      refuses: (l) => (l.m > line.length + 0.005 ? `${name} is only ${ds.snap.say(line.length)} long` : null),
      near: ds.doc.view.runs[i].start,
    });
    if (!length) return;
    const spot = ds.scene.pointAt(line, length.m);
    const side = (face) => ({ words: face === 'left' ? 'Left' : 'Right', does: () => ds.acts.copy(i, length.text, face) });
    ds.strip.show(`Side of ${name}`, [side('left'), side('right')], spot ? spot.at : ds.doc.view.runs[i].start, { focus: true });
  }

  /** The run whose end a press means: its end where one is near, else the run under it. */
  function endAt(p) {
    const found = ds.hit.openAt(p) || ds.hit.endingAt(p);
    if (found) return found.run;
    const on = ds.hit.runAt(p, 20);
    return on ? on.run : null;
  }

  function end(p, tool) {
    const i = endAt(p);
    const does = { boot: ds.acts.boot, box: ds.acts.returnBox, cap: ds.acts.cap }[tool];
    const run = i === null ? null : ds.doc.view.runs[i];
    if (!run) ds.drawing.tell('Press a run, or its end');
    else if (ds.hit.isOpen(run) || ds.hit.endingAt(p)) {
      // Seen at once where it went.
      does(i).then((done) => done && ds.pick.set({ kind: 'run', run: i }));
    } else ds.drawing.tell(`${run.id || 'This run'} is closed: press its very end to end it another way`);
  }

  function elbow(p) {
    const i = endAt(p);
    if (i === null) ds.drawing.tell('Press a run with an open end');
    else if (ds.hit.isOpen(ds.doc.view.runs[i])) ds.pen.turns(i);
    else ds.drawing.tell(`${ds.doc.view.runs[i].id || 'This run'} has no open end: erase what closes it, then turn it there`);
  }

  function inside(p, tool) {
    const open = ds.hit.openAt(p);
    if (open && tool === 'reducer') {
      ds.acts.reducer(open.run);
      return;
    }
    const spot = ds.hit.runAt(p, 20);
    if (!spot) ds.drawing.tell('Press a run');
    else if (tool === 'damper') ds.acts.insertInto(spot, { kind: 'damper', word: 'damper' }, 'damper');
    else ds.acts.insertInto(spot, ds.acts.reducerParts(spot.run), 'reducer');
  }

  /** A takeoff by a tap: a short branch on the side that was pressed, its end open. */
  function stub(p, action) {
    if (!action.draw) {
      ds.drawing.tell('Press a run where the branch leaves');
      return;
    }
    const to = ds.camera.toWorld(...p);
    const left = ds.snap.turned(action.draw.dir, 90);
    const isLeft = left[0] * (to[0] - action.draw.from[0]) + left[1] * (to[1] - action.draw.from[1]) >= 0;
    const made = ds.pen.plan(action.draw, ds.snap.turned(action.draw.dir, isLeft ? 90 : -90), ds.snap.isSi() ? 0.5 : 2 * ds.snap.FOOT);
    if (made) ds.pen.commit(made);
  }

  function erase(p) {
    const found = ds.hit.pickable(p).map((f) => (f.kind === 'opening' || f.kind === 'step' || f.kind === 'end' ? f : null)).find(Boolean);
    if (!found) {
      ds.drawing.tell('Nothing to erase here');
      return;
    }
    const run = ds.doc.view.runs[found.run];
    const step = found.kind === 'end' ? (run.steps || []).length - 1 : found.step;
    ds.acts.erase({ kind: 'step', run: found.run, step });
  }

  /** Long press or the second button: picks and offers all that can be done. */
  function menu(p) {
    const found = ds.hit.pickable(p).find((f) => f.kind !== 'fault' && f.kind !== 'seam') || ds.hit.pickable(p)[0];
    if (!found) return;
    choose(plain(found), {});
  }

  function tellFault(fault) {
    ds.drawing.setPreview({ note: true, points: [], from: fault.at, to: fault.at, words: [fault.title, fault.label, fault.hint].filter(Boolean).join('. ') });
    ds.drawing.say(`Fault: ${fault.title}${fault.hint ? `. ${fault.hint}` : ''}`);
  }

  return { tap, pick, choose, offer, copy, menu, tellFault };
})();
