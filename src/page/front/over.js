// What lies over the drawing: the pick, handles, faults, the cursor of the keyboard, what is being drawn.
/* global ds */
ds.over = (() => {
  const { el, n, line, disc } = ds.paint;

  /** A point of the board (px) on the layer as it was last drawn. */
  const fromBoard = (p) => ds.camera.toLayer(ds.camera.toWorld(p[0], p[1]));

  const seamOf = (scene, id) => (scene.view.seams || []).find((s) => s.id === id);

  /** Where in the world a pick is. */
  function where(scene, pick) {
    if (!scene || !pick) return null;
    if (pick.kind === 'unit') return [0, -0.5, 0];
    if (pick.kind === 'seam') {
      const seam = seamOf(scene, pick.seam);
      return seam && ds.scene.isPoint(seam.at) ? seam.at : null;
    }
    const run = scene.view.runs[pick.run];
    if (!run) return null;
    const step = pick.kind === 'step' || pick.kind === 'opening' ? (run.steps || [])[pick.step] : null;
    if (step && ds.scene.isPoint(step.start) && ds.scene.isPoint(step.end)) return step.start.map((x, k) => (x + step.end[k]) / 2);
    const ends = scene.runs[pick.run] ? scene.runs[pick.run].ends : [];
    if ((pick.kind === 'step' || pick.kind === 'opening') && ends[pick.step]) return ends[pick.step];
    if (pick.kind === 'run' && ds.scene.isPoint(run.start) && ds.scene.isPoint(run.end)) return run.start.map((x, k) => (x + run.end[k]) / 2);
    return ds.scene.isPoint(run.end) ? run.end : ds.scene.isPoint(run.start) ? run.start : null;
  }

  /** What is said of a pick. */
  function words(scene, pick) {
    if (!pick) return 'nothing';
    if (pick.kind === 'unit') return pick.side ? `${pick.side} plenum of the unit` : 'unit';
    if (pick.kind === 'seam') {
      const seam = seamOf(scene, pick.seam);
      return seam ? `seam ${ds.marks.words(seam)}` : 'seam';
    }
    const run = scene.view.runs[pick.run];
    if (!run) return 'nothing';
    const name = run.id || 'run without a name';
    if (pick.kind === 'end') return `open end of ${name}`;
    if (pick.kind === 'run') return `run ${name}${run.length_m ? `, ${ds.snap.say(run.length_m)}` : ''}${run.open_end ? ', open end' : ''}`;
    const step = (run.steps || [])[pick.step];
    const wrong = (scene.view.faults || []).filter((f) => f.run === pick.run && f.step === pick.step).map((f) => `, fault: ${f.title}`).join('');
    return `${step ? step.text : 'step'}, of ${name}${wrong}`;
  }

  function picked(scene) {
    const pick = ds.pick.get();
    const g = el('g', { class: 'b-picked' });
    if (!pick) return g;
    g.setAttribute('role', 'img');
    g.setAttribute('aria-label', words(scene, pick));
    if (pick.kind === 'seam') {
      const seam = seamOf(scene, pick.seam);
      const spot = seam && ds.marks.spotOf(seam.id);
      const at = spot ? spot.at : seam && ds.scene.isPoint(seam.at) ? ds.camera.toLayer(seam.at) : null;
      if (at) g.append(el('path', { d: disc(at, 18), class: 'b-halo-out' }), el('path', { d: disc(at, 18), class: 'b-halo-line' }));
      return g;
    }
    if (pick.kind === 'unit') {
      for (const side of pick.side ? [pick.side] : ['supply', 'return']) g.append(el('path', { d: disc(ds.camera.toLayer(scene.plena[side].at), Math.max(20, 0.4 * ds.camera.drawnScale)), class: 'b-halo-line' }));
      return g;
    }
    const found = scene.runs[pick.run];
    if (!found) return g;
    const legs = found.legs.filter((leg) => pick.kind === 'run' || pick.kind === 'end' || leg.step === pick.step);
    for (const leg of legs) {
      const w = ds.paint.widthPx(ds.scene.widthOf(scene, pick.run, leg.step)) + 12;
      const d = leg.upright ? disc(ds.camera.toLayer(leg.a), 4) : line(ds.camera.toLayer(leg.a), ds.camera.toLayer(leg.b));
      g.append(el('path', { d, class: 'b-halo', 'stroke-width': n(w) }));
    }
    if (!ds.drawing.named.has(pick.run) && found.run.id) {
      // A name that found no room is told of what is picked.
      const at = where(scene, pick);
      if (at) {
        const [x, y] = ds.camera.toLayer(at);
        g.append(ds.paint.word([x, y - 24], found.run.id, 'b-name'));
      }
    }
    if (!legs.length) {
      const at = where(scene, pick);
      if (at) g.append(el('path', { d: disc(ds.camera.toLayer(at), 18), class: 'b-halo-line' }));
    }
    return g;
  }

  function faults(scene, shown) {
    const g = el('g', { class: 'b-faults' });
    (scene.view.faults || []).forEach((fault) => {
      if (!ds.scene.isPoint(fault.at) || !shown(fault.at[2])) return;
      const [x, y] = ds.camera.toLayer(fault.at);
      const [dx, dy] = ds.hit.faultOff(fault);
      const sign = el('g', { transform: `translate(${n(x + dx)} ${n(y + dy)})`, role: 'img', 'aria-label': `Fault: ${fault.title}` });
      sign.append(el('path', { d: 'M0 -15L15 12H-15Z', class: 'b-fault' }), el('text', { y: 4, class: 'b-fault-word', 'text-anchor': 'middle', 'dominant-baseline': 'central' }, '!'));
      g.append(sign);
    });
    return g;
  }

  function handles(scene, shown) {
    const g = el('g', { class: 'b-handles', 'aria-hidden': 'true' });
    for (const { run } of ds.hit.openEnds(scene, shown)) {
      const p = fromBoard(ds.hit.handleAt(run));
      const end = ds.camera.toLayer(run.end);
      g.append(el('path', { d: line(end, p), class: 'b-go-line' }), el('path', { d: disc(p, 16), class: 'b-go' }), el('path', { d: `M${n(p[0] - 8)} ${n(p[1])}h16M${n(p[0])} ${n(p[1] - 8)}v16`, class: 'b-go-sign' }));
    }
    if (ds.tools.tool !== 'pick') return g;
    for (const handle of ds.hit.handles()) {
      const [x, y] = ds.camera.toLayer(handle.at);
      const d = { takeoff: `M${n(x)} ${n(y - 11)}L${n(x + 11)} ${n(y)}L${n(x)} ${n(y + 11)}L${n(x - 11)} ${n(y)}Z`, bend: disc([x, y], 9), length: ds.paint.square([x, y], 9) }[handle.what];
      g.append(el('path', { d, class: 'b-grip' }));
    }
    return g;
  }

  /** Middles of what lies over the drawing and is pressed: handles of open ends, signs of faults. On the layer, px. */
  function places(scene, shown) {
    const beside = (at, [dx, dy]) => {
      const [x, y] = ds.camera.toLayer(at);
      return [x + dx, y + dy];
    };
    const ends = ds.hit.openEnds(scene, shown).map(({ run }) => beside(run.end, ds.hit.handleOff(run)));
    const signs = (scene.view.faults || []).filter((fault) => ds.scene.isPoint(fault.at) && shown(fault.at[2])).map((fault) => beside(fault.at, ds.hit.faultOff(fault)));
    return [...ends, ...signs];
  }

  function cursor(p) {
    const [x, y] = ds.camera.toLayer(p);
    return el('path', { d: `M${n(x - 16)} ${n(y)}h32M${n(x)} ${n(y - 16)}v32`, class: 'b-cursor' });
  }

  /** What is being drawn: `{from, to, width, ghost}` in the world. */
  function preview(of) {
    const g = el('g', { class: 'b-preview' });
    const points = (of.points || [of.from, of.to]).map(ds.camera.toLayer);
    const w = Math.max(5, (of.width || 0.15) * ds.camera.drawnScale);
    g.append(el('path', { d: line(...points), class: 'b-ghost', 'stroke-width': n(w) }), el('path', { d: line(...points), class: 'b-ghost-line' }));
    const [x, y] = points[points.length - 1];
    g.append(el('path', { d: disc([x, y], 6), class: 'b-ghost-end' }));
    return g;
  }

  return { where, places, words, picked, faults, handles, cursor, preview };
})();
