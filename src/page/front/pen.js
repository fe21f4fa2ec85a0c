// Drawing a length of duct: from what it starts, what a drag or a key means, what is made of it. Shared by pointer and keyboard.
/* global ds */
ds.pen = (() => {
  const runs = () => ds.doc.view.runs;

  /** The heading that a run has at its end, as far as it is known. */
  function headingOf(i) {
    const run = runs()[i];
    if (run.end_heading) return run.end_heading;
    const legs = ds.drawing.scene.runs[i].legs;
    return legs.length ? legs[legs.length - 1].dir : null;
  }

  /** A length that starts at the supply or the return plenum. */
  const atPlenum = (side) => ({ mode: 'trunk', side, from: ds.drawing.scene.plena[side].at });

  /** A length that goes on from an open end. */
  const atEnd = (i) => ({ mode: 'goOn', run: i, from: runs()[i].end });

  /** A branch off a run at a spot as `ds.hit.runAt` or `ds.scene.pointAt` gives it. */
  function onRun(i, spot) {
    const step = ds.snap.alongStep();
    const along = Math.max(0, Math.min(ds.snap.round(spot.along, step), ds.drawing.scene.runs[i].length));
    const at = ds.scene.pointAt(ds.drawing.scene.runs[i], along);
    const dir = spot.leg.upright ? spot.leg.flat || [0, 1, 0] : spot.leg.dir;
    return { mode: 'branch', run: i, along, alongText: ds.snap.say(along), dir, from: at ? at.at : spot.at };
  }

  /** Headings that a length may take. */
  function headings(draw) {
    if (draw.mode === 'trunk') return Object.values(ds.snap.COMPASS);
    if (draw.mode === 'goOn') return ds.snap.headingsFrom(headingOf(draw.run));
    const all = [];
    for (const face of [90, -90]) for (const bend of [0, 45, -45]) all.push(ds.snap.turned(draw.dir, face + bend));
    return all;
  }

  const section = (draw) => (draw.mode === 'trunk' ? ds.tools.trunkSection() : draw.mode === 'branch' ? ds.tools.branchSection() : null);

  /** Rough width of a written section, m, for the ghost. */
  function widthOf(draw) {
    if (draw.mode === 'goOn') {
      const legs = ds.drawing.scene.runs[draw.run].legs;
      return legs.length ? ds.scene.widthOf(ds.drawing.scene, draw.run, legs[legs.length - 1].step) : 0.15;
    }
    const m = /^([\d.]+).*?(in|mm|cm|m)\b/.exec(section(draw).size);
    return m ? Number(m[1]) * { in: 0.0254, mm: 0.001, cm: 0.01, m: 1 }[m[2]] : 0.15;
  }

  /** What a heading and a length (m, or `{m, text}` as typed) come to; null where nothing can be drawn. */
  function plan(draw, heading, length) {
    const typed = typeof length === 'object' ? length : { m: length, text: ds.snap.say(length) };
    if (!(typed.m > 0.001)) return null;
    const made = { draw, heading, length: typed, from: draw.from, width: widthOf(draw) };
    made.to = draw.from.map((x, k) => x + heading[k] * typed.m);
    made.words = `${typed.text} ${ds.snap.headingWords(heading)}`;
    if (draw.mode === 'goOn') {
      made.turn = ds.snap.turn(headingOf(draw.run), heading);
      if (made.turn === false) return null;
      if (made.turn) made.words += made.turn.degrees ? ', 45 degree elbow' : ', elbow';
    }
    if (draw.mode === 'branch') {
      const left = ds.snap.turned(draw.dir, 90);
      made.face = ds.snap.dot(heading, left) > 0 ? 'left' : 'right';
      made.bend = ds.snap.turn(made.face === 'left' ? left : ds.snap.turned(draw.dir, -90), heading);
      made.words += `, off ${runs()[draw.run].id} at ${draw.alongText} ${made.face}`;
    }
    return made;
  }

  /** What a drag to a point of the world means. */
  function drag(draw, to) {
    const found = ds.snap.nearest(headings(draw), [to[0] - draw.from[0], to[1] - draw.from[1]]);
    const step = ds.snap.lengthStep(ds.camera.scale);
    if (!found || found.along < 0.4 * step) return null;
    return plan(draw, found.heading, Math.max(step, ds.snap.round(found.along, step)));
  }

  let last = null;

  /** Makes what was planned, picks its end and offers what may come next. */
  async function commit(made, how = {}) {
    const { draw } = made;
    let done;
    if (draw.mode === 'trunk') done = await ds.acts.trunk(draw.side, made.heading, made.length, section(draw));
    else if (draw.mode === 'goOn') done = await ds.acts.goOn(draw.run, made.turn, made.length);
    else done = await ds.acts.branch(draw.run, draw.alongText, made.face, made.bend, made.length, section(draw), ds.tools.takeoff());
    if (!done) return false;
    const i = draw.mode === 'goOn' ? draw.run : ds.acts.insertedAt(done) ?? runs().length - 1;
    ended(i, how);
    return true;
  }

  /** After a length was made: its end is picked, the next buttons stand there, digits still set its length. */
  function ended(i, how = {}) {
    const run = runs()[i];
    if (!run) return;
    last = { run: i, step: (run.steps || []).length - 1 };
    ds.pick.set({ kind: 'end', run: i });
    if (ds.drawing.cursor && ds.scene.isPoint(run.end)) ds.drawing.setCursor(run.end);
    offer(i, how);
  }

  /** The buttons at an open end. */
  function offer(i, how = {}) {
    const run = runs()[i];
    if (!run || !ds.scene.isPoint(run.end)) return;
    const near = run.end;
    ds.drawing.keepInSight(near);
    // A trunk in rectangular duct is closed; all else on the supply side feeds a register.
    const isTrunk = run.on_run === null && !ds.acts.isRound(ds.acts.sectionOf(i));
    const boot = { words: ds.snap.isSi() ? 'Boot 250x100' : 'Boot 10x4', does: () => finish(ds.acts.boot(i)), main: run.side !== 'return' && !isTrunk };
    const box = { words: 'Return box', does: () => finish(ds.acts.returnBox(i)), main: run.side === 'return' };
    const ends = run.side === 'return' ? [box, boot] : [boot, box];
    ds.strip.show(`End of ${run.id || 'the run'}`, [
      ...ends,
      { words: 'Cap', does: () => finish(ds.acts.cap(i)), main: run.side !== 'return' && isTrunk },
      { words: 'Up', does: () => rise(i, 'up') },
      { words: 'Down', does: () => rise(i, 'down') },
      { words: 'Elbow', does: () => turns(i, { focus: how.focus }) },
      { words: 'Reducer', does: () => again(ds.acts.reducer(i), i) },
      { words: 'Leave open', does: () => ds.drawing.say('left open') },
    ], near, how);
  }

  const finish = (work) => work.then((done) => {
    if (done) last = null;
  });
  const again = (work, i) => work.then((done) => {
    if (done) offer(i);
  });

  /** A riser: asks how far. */
  async function rise(i, way) {
    const usual = ds.snap.isSi() ? '2.7 m' : '9 ft';
    const length = await ds.lengthBox.ask({ words: `How far ${way}?`, value: usual, near: runs()[i].end });
    if (length && (await ds.acts.riser(i, way, length))) ended(i);
  }

  /** Which way an elbow turns. */
  function turns(i, how = {}) {
    const from = headingOf(i);
    const near = runs()[i].end;
    const make = (words, turn) => ({ words, does: () => again(ds.acts.elbow(i, turn), i) });
    if (!from || ds.snap.isUpright(from)) {
      ds.strip.show('Elbow', ['north', 'east', 'south', 'west'].map((heading) => make(heading, { heading, degrees: null })), near, how);
      return;
    }
    ds.strip.show('Elbow', [
      make('Left', { heading: 'left', degrees: null }), make('Right', { heading: 'right', degrees: null }),
      make('Left 45°', { heading: 'left', degrees: '45' }), make('Right 45°', { heading: 'right', degrees: '45' }),
      make('Up', { heading: 'up', degrees: null }), make('Down', { heading: 'down', degrees: null }),
    ], near, how);
  }

  /** Sets the length that was made last by typing. */
  async function retype(first) {
    if (!last || !runs()[last.run]) return false;
    const { run, step } = last;
    const kind = runs()[run].steps[step] && runs()[run].steps[step].parts && runs()[run].steps[step].parts.kind;
    if (kind !== 'straight') return false;
    const length = await ds.lengthBox.ask({ words: 'Length', first, near: runs()[run].end });
    if (length && (await ds.acts.setLength(run, step, length))) ended(run);
    return true;
  }

  return { atPlenum, atEnd, onRun, headings, plan, drag, commit, offer, rise, turns, retype, headingOf, forget: () => { last = null; } };
})();
