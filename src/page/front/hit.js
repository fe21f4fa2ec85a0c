// What a finger, a pointer or the cursor of the keyboard is on. Nearest within reach, never the exact pixel.
/* global ds */
ds.hit = (() => {
  /** Reach of handles and points, px; half of the least target size of 48 px. */
  const REACH = 26;
  /** How far an open end's handle stands off, px. */
  const OFF = 34;

  const off = (a, b) => Math.hypot(a[0] - b[0], a[1] - b[1]);

  /** Where the handle of an open end stands from the end, px. */
  function handleOff(run) {
    const h = run.end_heading;
    if (!h || ds.snap.isUpright(h)) return [0.7 * OFF, -0.7 * OFF];
    const size = Math.hypot(h[0], h[1]) || 1;
    return [(OFF * h[0]) / size, (-OFF * h[1]) / size];
  }

  /** Where it stands on the board, px. */
  function handleAt(run) {
    const p = ds.camera.toBoard(run.end);
    const [x, y] = handleOff(run);
    return [p[0] + x, p[1] + y];
  }

  const isOpen = (run) => Boolean(run && run.drawn !== false && run.open_end && ds.scene.isPoint(run.end));

  function openEnds(scene, shown) {
    return scene.runs.filter(({ run }) => isOpen(run) && shown(run.end[2]));
  }

  /** The open end at a point of the board, by its handle or its very end. */
  function openAt(p) {
    const { scene, shown } = ds.drawing;
    let best = null;
    for (const { run, i } of openEnds(scene, shown)) {
      const d = Math.min(off(p, handleAt(run)), off(p, ds.camera.toBoard(run.end)) + 6);
      if (d <= REACH && (!best || d < best.off)) best = { kind: 'end', run: i, off: d };
    }
    return best;
  }

  /** The plenum at a point, if the boxes of the unit are under it. */
  function plenumAt(p) {
    const { scene } = ds.drawing;
    if (!scene.view.sketch) return null;
    let best = null;
    for (const side of ['supply', 'return']) {
      const real = scene.plena[side].half * ds.camera.scale;
      const half = Math.max(22, real);
      const d = off(p, ds.camera.toBoard(scene.plena[side].at));
      if (d <= half && (!best || d < best.off)) best = { kind: 'unit', side, off: d, isInside: d <= real };
    }
    return best;
  }

  /** The run under a point with the distance along it; `room` px round its edges. */
  function runAt(p, room = 14) {
    const { scene, shown } = ds.drawing;
    const at = ds.camera.toWorld(p[0], p[1]);
    let best = null;
    for (const line of scene.runs) {
      for (const leg of line.legs) {
        if (!shown(leg.a[2]) && !shown(leg.b[2])) continue;
        const t = leg.upright ? 0 : Math.max(0, Math.min(leg.length, (at[0] - leg.a[0]) * leg.dir[0] + (at[1] - leg.a[1]) * leg.dir[1]));
        const spot = leg.a.map((x, k) => x + t * leg.dir[k]);
        const away = off(p, ds.camera.toBoard(spot));
        const half = Math.max(3, (ds.scene.widthOf(scene, line.i, leg.step) * ds.camera.scale) / 2);
        if (away - half > room) continue;
        const score = away / half + (leg.upright ? 0.5 : 0);
        if (!best || score < best.score) best = { kind: 'run', run: line.i, step: leg.step, leg, t, along: leg.along + t, at: spot, off: away, score };
      }
    }
    return best;
  }

  /** The opening or other ending at a point. */
  function endingAt(p) {
    const { scene, shown } = ds.drawing;
    let best = null;
    for (const { run, i } of scene.runs) {
      if (!ds.scene.isPoint(run.end) || run.open_end || !shown(run.end[2])) continue;
      const d = off(p, ds.camera.toBoard(run.end));
      if (d <= REACH && (!best || d < best.off)) best = { kind: 'opening', run: i, step: (run.steps || []).length - 1, off: d };
    }
    return best;
  }

  /** Where the sign of a fault stands from its point, px: above it, or beside an open end so that its handle stays free. */
  function faultOff(fault) {
    const run = ds.doc.view.runs[fault.run];
    const h = run && isOpen(run) && run.end_heading;
    if (!h || ds.snap.isUpright(h) || ds.scene.dist(fault.at, run.end) > 0.01) return [0, -26];
    const size = Math.hypot(h[0], h[1]) || 1;
    const up = h[0] < 0 ? -1 : 1;
    return [(-up * 32 * h[1]) / size, (-up * 32 * h[0]) / size];
  }

  function faultAt(p) {
    const { scene, shown } = ds.drawing;
    let best = null;
    (scene.view.faults || []).forEach((fault, k) => {
      if (!ds.scene.isPoint(fault.at) || !shown(fault.at[2])) return;
      const q = ds.camera.toBoard(fault.at);
      const [dx, dy] = faultOff(fault);
      const d = off(p, [q[0] + dx, q[1] + dy]);
      if (d <= 20 && (!best || d < best.off)) best = { kind: 'fault', fault, index: k, off: d };
    });
    return best;
  }

  /** Handles of the picked run: where it leaves, its bends, its end. `{what, run, step, at}` each, at in world. */
  function handles() {
    const picked = ds.pick && ds.pick.get();
    if (!picked || picked.run === null || picked.run === undefined || picked.kind === 'seam') return [];
    const line = ds.drawing.scene.runs[picked.run];
    if (!line || !line.legs.length) return [];
    const all = [];
    const on = line.run.on_run;
    if (on !== null && on !== undefined && ds.scene.isPoint(line.run.start)) all.push({ what: 'takeoff', run: line.i, at: line.run.start });
    const flat = line.legs.filter((leg) => !leg.upright);
    flat.forEach((leg, k) => {
      const next = line.legs[line.legs.indexOf(leg) + 1];
      const turns = next && ds.snap.dot(leg.dir, next.dir) < 0.99;
      if (k === flat.length - 1 && !next) all.push({ what: 'length', run: line.i, step: leg.step, leg, at: leg.b });
      else if (turns) all.push({ what: 'bend', run: line.i, step: leg.step, leg, at: leg.b });
    });
    return all;
  }

  function grabbedAt(p) {
    let best = null;
    for (const handle of handles()) {
      const d = off(p, ds.camera.toBoard(handle.at));
      if (d <= 22 && (!best || d < best.off)) best = { ...handle, kind: 'handle', off: d };
    }
    return best;
  }

  function seamAt(p) {
    const origin = ds.camera.toWorld(p[0], p[1]);
    const found = ds.marks.nearest(ds.camera.toLayer(origin));
    return found ? { kind: 'seam', seam: found.seam, off: found.off } : null;
  }

  /** What may be picked at a point, the likeliest first. */
  function pickable(p) {
    const fault = faultAt(p);
    const end = openAt(p);
    const ending = endingAt(p);
    const seam = seamAt(p);
    const run = runAt(p);
    const unit = plenumAt(p);
    const all = [];
    if (fault) all.push(fault);
    if (end) all.push({ ...end, kind: 'end' });
    if (seam && (seam.off < 10 || !run || run.off > 4)) all.push(seam);
    if (ending) all.push(ending);
    if (run) all.push({ kind: 'step', run: run.run, step: run.step }, { kind: 'run', run: run.run });
    if (unit) all.push({ kind: 'unit', side: unit.side });
    if (seam && !all.includes(seam)) all.push(seam);
    return all;
  }

  return { handleAt, handleOff, isOpen, openEnds, openAt, plenumAt, runAt, endingAt, faultAt, faultOff, grabbedAt, handles, pickable };
})();
