// The keyboard on the board: everything that a pointer does.
/* global ds */
ds.keys = (() => {
  const ARROWS = { ArrowUp: [0, 1, 0], ArrowDown: [0, -1, 0], ArrowRight: [1, 0, 0], ArrowLeft: [-1, 0, 0] };
  const HELP = [
    ['Tab, Shift+Tab', 'next or previous piece, in the order of the walk; Esc until nothing is picked, then Esc and Tab, leaves the drawing'],
    ['Arrows', 'move the cross; with Run: draw that way, again for longer (Shift: finer)'],
    ['Enter', 'pick at the cross, or make what is drawn'],
    ['0 to 9', 'type a length: 10 is 10 ft, 10 6 is 10 ft 6 in, 3.2 m'],
    ['v, n', 'Pick, Run (n: start at what is picked; without a pick at the supply plenum, p for the return plenum)'],
    ['b, r, c', 'boot, return box, cap at the picked run’s end'],
    ['e, d', 'elbow, reducer at its end'],
    ['u, j', 'riser up, down'],
    ['t', 'branch off the picked run at a typed distance'],
    ['l', 'type the length of the picked piece'],
    ['m, y', 'mirror, copy the picked run'],
    ['Delete', 'erase what is picked'],
    ['Ctrl+Z, Ctrl+Y', 'undo, redo'],
    ['f, +, −', 'all in sight, nearer, farther'],
    ['s', 'marks of seams on or off'],
    ['Menu key, Shift+F10', 'buttons for what is picked'],
    ['Esc', 'give up; back to Pick'],
  ];
  let pen = null;
  let leaving = false;
  let dialog = null;

  function start(view) {
    view.addEventListener('keydown', key);
    view.addEventListener('blur', () => {
      leaving = false;
    });
  }

  function key(event) {
    if (event.ctrlKey || event.metaKey || event.altKey || !ds.drawing.scene) return;
    const does = action(event);
    if (!does) return;
    event.preventDefault();
    does();
  }

  function action(event) {
    const k = event.key;
    if (k === 'Tab') return tab(event.shiftKey ? -1 : 1);
    leaving = false;
    if (ARROWS[k]) return () => arrow(ARROWS[k], event.shiftKey);
    if (/^[0-9.]$/.test(k)) return () => digit(k);
    if (k === 'ContextMenu' || (k === 'F10' && event.shiftKey)) return () => menu();
    const plain = { Enter: enter, ' ': enter, Escape: escape, Delete: erase, Backspace: erase, '?': help, '+': () => ds.camera.zoom(1.4), '=': () => ds.camera.zoom(1.4), '-': () => ds.camera.zoom(1 / 1.4), '−': () => ds.camera.zoom(1 / 1.4) };
    const letters = {
      v: () => ds.tools.choose('pick'), n: startPen, p: () => startPlenum('return'), f: () => ds.drawing.fit(),
      b: () => atEnd(ds.acts.boot), r: () => atEnd(ds.acts.returnBox), c: () => atEnd(ds.acts.cap),
      e: () => atOpen((i) => ds.pen.turns(i, { focus: true })), d: () => atOpen(ds.acts.reducer),
      u: () => atOpen((i) => ds.pen.rise(i, 'up')), j: () => atOpen((i) => ds.pen.rise(i, 'down')),
      t: takeoff, l: retype, m: () => withRun(ds.acts.mirror), y: () => withRun(ds.taps.copy),
      s: () => ds.drawing.toggleSeams(),
    };
    return plain[k] || (k.length === 1 && letters[k.toLowerCase()]) || null;
  }

  // --- the order of the walk -------------------------------------------------------------------------------------

  function order() {
    const all = [{ kind: 'unit', side: 'supply' }, { kind: 'unit', side: 'return' }];
    ds.doc.view.runs.forEach((run, i) => {
      all.push({ kind: 'run', run: i });
      (run.steps || []).forEach((step, j) => all.push({ kind: 'step', run: i, step: j }));
      if (ds.hit.isOpen(run)) all.push({ kind: 'end', run: i });
    });
    return all;
  }

  function tab(by) {
    if (leaving) {
      leaving = false;
      return null;
    }
    const all = order();
    const now = ds.pick.get();
    const found = now ? all.findIndex((o) => ['kind', 'run', 'step'].every((f) => (o[f] ?? null) === ((now.kind === 'opening' && f === 'kind' ? 'step' : now[f]) ?? null)) && (o.kind !== 'unit' || o.side === (now.side || 'supply'))) : -1;
    // What is no longer there (an end that was closed) stands for its run.
    const home = found < 0 && now && Number.isInteger(now.run) ? all.findIndex((o) => o.kind === 'run' && o.run === now.run) : -1;
    const k = found >= 0 ? found : home >= 0 ? home + (by < 0 ? 1 : 0) : by > 0 ? -1 : all.length;
    const next = all[k + by];
    if (!next) return null;
    return () => {
      dropPen();
      ds.strip.close();
      ds.pick.set(next, { again: true });
      ds.pen.forget();
      ds.drawing.reveal(next);
      const at = ds.over.where(ds.drawing.scene, next);
      if (ds.drawing.cursor && at) ds.drawing.setCursor(at);
      ds.drawing.say(ds.over.words(ds.drawing.scene, next));
    };
  }

  // --- the cross and the pen -------------------------------------------------------------------------------------

  function stepLength(isFine) {
    const step = ds.snap.lengthStep(ds.camera.scale);
    return isFine ? ds.snap.finer(step) : step;
  }

  function arrow(way, isFine) {
    if (ds.tools.tool === 'run' && (pen || startPen(true))) {
      draw(way, isFine);
      return;
    }
    const at = ds.drawing.cursor || ds.over.where(ds.drawing.scene, ds.pick.get()) || [0, 0, 0];
    ds.drawing.setCursor(at.map((x, k) => x + way[k] * stepLength(isFine)));
    const c = ds.drawing.cursor;
    ds.drawing.say(`cross ${ds.snap.say(Math.abs(c[0]))} ${c[0] < 0 ? 'west' : 'east'}, ${ds.snap.say(Math.abs(c[1]))} ${c[1] < 0 ? 'south' : 'north'}`);
  }

  /** Takes up the run tool where the pick is. */
  function startPen(isQuiet) {
    if (ds.tools.tool !== 'run') ds.tools.choose('run');
    const now = ds.pick.get();
    const run = now && ds.doc.view.runs[now.run];
    if (run && ds.hit.isOpen(run) && (now.kind === 'end' || now.kind === 'run')) pen = { draw: ds.pen.atEnd(now.run) };
    else if (now && now.kind === 'unit') return startPlenum(now.side || 'supply', isQuiet);
    else if (run) {
      ds.drawing.tell(`${run.id} has no open end here: press t for a branch off it`);
      return false;
    } else return startPlenum('supply', isQuiet);
    if (isQuiet !== true) ds.drawing.say(`goes on from the open end of ${run.id}: arrows draw`);
    return true;
  }

  function startPlenum(side, isQuiet) {
    if (ds.tools.tool !== 'run') ds.tools.choose('run');
    ds.pick.set({ kind: 'unit', side }, { again: true });
    pen = { draw: ds.pen.atPlenum(side) };
    if (isQuiet !== true) ds.drawing.say(`starts at the ${side} plenum: arrows draw`);
    return true;
  }

  /** One press of an arrow: the heading nearest to it, longer by a step; against it, shorter. */
  function draw(way, isFine) {
    const step = stepLength(isFine);
    const choices = ds.pen.headings(pen.draw);
    if (pen.plan && ds.snap.dot(pen.plan.heading, way) < -0.5) {
      const length = pen.plan.length.m - step;
      pen.plan = length > step / 2 ? ds.pen.plan(pen.draw, pen.plan.heading, length) : null;
    } else if (pen.plan && pen.plan.heading.every((x, k) => Math.abs(x - way[k]) < 1e-6)) {
      pen.plan = ds.pen.plan(pen.draw, pen.plan.heading, ds.snap.round(pen.plan.length.m + step, step));
    } else if (pen.plan && Math.abs(ds.snap.dot(pen.plan.heading, way)) < 0.1 && choices.some((h) => isBetween(h, pen.plan.heading, way))) {
      // Two arrows across each other: the heading between them, 45 degrees.
      pen.plan = ds.pen.plan(pen.draw, choices.find((h) => isBetween(h, pen.plan.heading, way)), pen.plan.length.m);
    } else {
      const found = choices.find((h) => ds.snap.dot(h, way) > 0.99) || choices.find((h) => ds.snap.dot(h, way) > 0.7);
      pen.plan = found ? ds.pen.plan(pen.draw, found, pen.plan ? pen.plan.length.m : step) : pen.plan;
      if (!found) ds.drawing.tell('it cannot turn that way with one elbow');
    }
    ds.drawing.setPreview(pen.plan);
    if (pen.plan) {
      ds.camera.show(pen.plan.to);
      ds.drawing.say(pen.plan.words);
    }
  }

  const isBetween = (h, a, b) => ds.snap.dot(h, a) > 0.6 && ds.snap.dot(h, a) < 0.8 && ds.snap.dot(h, b) > 0.6 && ds.snap.dot(h, b) < 0.8;

  function dropPen() {
    if (!pen) return;
    pen = null;
    ds.drawing.setPreview(null);
  }

  async function enter() {
    if (pen && pen.plan) {
      const { plan } = pen;
      dropPen();
      await ds.pen.commit(plan);
      return;
    }
    if (ds.drawing.cursor) {
      ds.taps.tap(ds.camera.toBoard(ds.drawing.cursor), { draw: drawAtCross() });
      return;
    }
    menu();
  }

  function drawAtCross() {
    const spot = ds.hit.runAt(ds.camera.toBoard(ds.drawing.cursor), 20);
    return spot ? ds.pen.onRun(spot.run, spot) : null;
  }

  function menu() {
    const now = ds.pick.get();
    if (now) ds.taps.offer(now, { focus: true });
  }

  async function digit(first) {
    if (await ds.gestures.typed(first)) return;
    if (pen && pen.plan) {
      const { plan } = pen;
      const length = await ds.lengthBox.ask({ words: `Length ${ds.snap.headingWords(plan.heading)}`, first, near: plan.to });
      const made = length ? ds.pen.plan(plan.draw, plan.heading, length) : null;
      dropPen();
      if (made) await ds.pen.commit(made);
      return;
    }
    if (await ds.pen.retype(first)) return;
    retype(first);
  }

  /** Types the length of the picked straight piece. */
  async function retype(first) {
    const now = ds.pick.get();
    const run = now && ds.doc.view.runs[now.run];
    const step = run && now.kind === 'step' ? run.steps[now.step] : null;
    if (!step || !step.parts || step.parts.kind !== 'straight') {
      ds.drawing.tell('Pick a straight length to type its length');
      return;
    }
    const length = await ds.lengthBox.ask({ words: 'Length', first: typeof first === 'string' ? first : '', value: step.parts.length || '', near: ds.over.where(ds.drawing.scene, now) });
    if (length) await ds.acts.setLength(now.run, now.step, length);
  }

  // --- letters ---------------------------------------------------------------------------------------------------

  function withRun(does) {
    const now = ds.pick.get();
    if (!now || now.run === null || now.run === undefined || !ds.doc.view.runs[now.run]) {
      ds.drawing.tell('Pick a run first: Tab goes through them');
      return;
    }
    ds.strip.close();
    does(now.run);
  }

  const atEnd = (does) => withRun((i) => {
    if (!ds.hit.isOpen(ds.doc.view.runs[i]) && !ds.acts.ended(i)) ds.drawing.tell('This run has no end here');
    else does(i);
  });

  const atOpen = (does) => withRun((i) => {
    if (ds.hit.isOpen(ds.doc.view.runs[i])) does(i);
    else ds.drawing.tell(`${ds.doc.view.runs[i].id} has no open end: erase what closes it first`);
  });

  /** A branch off the picked run at a typed distance, left or right; its length is drawn with the arrows. */
  const takeoff = () => withRun(async (i) => {
    const line = ds.drawing.scene.runs[i];
    const name = ds.doc.view.runs[i].id;
    const length = await ds.lengthBox.ask({ words: `Branch at what distance of ${name}?`, refuses: (l) => (l.m > line.length + 0.005 ? `${name} is only ${ds.snap.say(line.length)} long` : null), near: ds.over.where(ds.drawing.scene, ds.pick.get()) });
    if (!length) return;
    const spot = ds.scene.pointAt(line, length.m);
    if (!spot) return;
    const side = (words, turn) => ({ words, does: () => {
      if (ds.tools.tool !== 'run') ds.tools.choose('run');
      const draw = { ...ds.pen.onRun(i, spot), from: spot.at, along: length.m, alongText: length.text };
      pen = { draw };
      pen.plan = ds.pen.plan(draw, ds.snap.turned(draw.dir, turn), stepLength(false));
      ds.drawing.setPreview(pen.plan);
      ds.drawing.say(`${pen.plan ? pen.plan.words : ''}: arrows or digits for its length, Enter makes it`);
    } });
    ds.strip.show(`Side of ${name}`, [side('Left', 90), side('Right', -90)], spot.at, { focus: true });
  });

  function erase() {
    const now = ds.pick.get();
    if (now && (now.kind === 'run' || now.kind === 'step' || now.kind === 'opening')) {
      ds.strip.close();
      ds.acts.erase(now);
    } else if (now && now.kind === 'end') {
      const run = ds.doc.view.runs[now.run];
      ds.strip.close();
      ds.acts.erase({ kind: 'step', run: now.run, step: run.steps.length - 1 });
    } else ds.drawing.tell('Pick what is to go: Tab goes through the pieces');
  }

  function escape() {
    if (pen) {
      dropPen();
      ds.drawing.say('given up');
    } else if (ds.gestures.busy) ds.gestures.stop();
    else if (ds.strip.close()) ds.drawing.say('closed');
    else if (ds.tools.tool !== 'pick') ds.tools.choose('pick');
    else if (ds.drawing.cursor) ds.drawing.setCursor(null);
    else if (ds.pick.get()) ds.pick.set(null);
    else {
      leaving = true;
      ds.drawing.say('Tab leaves the drawing');
    }
  }

  function help() {
    const { el, button } = ds.dom;
    if (!dialog) {
      dialog = el('dialog', { class: 'b-help', 'aria-label': 'Keys of the drawing' },
        el('h2', {}, 'Keys of the drawing'),
        el('dl', {}, HELP.map(([k, words]) => [el('dt', {}, k), el('dd', {}, words)])),
        button('Close', () => dialog.close(), { class: 'main' }));
      document.body.append(dialog);
      dialog.addEventListener('close', () => ds.drawing.view.focus({ preventScroll: true }));
    }
    dialog.showModal();
  }

  return { start, dropPen, help };
})();
