// Seams as marks: how wide and how dark says how much of the leakage; a pale collar says how sure that is.
/* global ds */
ds.marks = (() => {
  /** A mark is hit by the nearest within this many px: gloves. Engineering estimate. */
  const REACH = 24;
  /** Seams nearer to each other than this on the screen share one mark when the drawing is small, px. */
  const CELL = 5;
  const WIDEST = 13;
  const THINNEST = 2;
  /** Seams between two pauses of a long drawing. */
  const EACH = 150;
  let spots = [];
  let names = new Map();
  let shownHow = 'marks';

  const answered = () => (ds.doc && ds.doc.answers && ds.doc.answers.allocation ? ds.doc.answers.allocation : null);
  const isStale = () => Boolean(answered()) && !ds.doc.answersFor;

  let knownOf = null;
  let known = new Map();

  /** What is known of each seam by its id; the index alone would lie while the answers are stale. */
  function byId() {
    const allocation = answered();
    if (allocation === knownOf) return known;
    knownOf = allocation;
    known = new Map(allocation ? allocation.seams.map((s) => [s.id, s]) : []);
    return known;
  }

  const mean = (s) => (s && s.test_m3_s && Number.isFinite(s.test_m3_s.mean) ? s.test_m3_s.mean : 0);

  /** Step of a flow, 0 to 6: thresholds are numbers of the series 1, 2, 5 from the largest down. */
  function stepper(most) {
    if (!(most > 0)) return () => 0;
    const all = [];
    let power = Math.floor(Math.log10(most));
    const digits = [1, 2, 5];
    let digit = 2;
    while (digit > 0 && digits[digit] * 10 ** power > most * 1.000001) digit -= 1;
    for (let k = 0; k < 6; k += 1) {
      all.unshift(digits[digit] * 10 ** power);
      digit -= 1;
      if (digit < 0) {
        digit = 2;
        power -= 1;
      }
    }
    return (x) => all.filter((t) => x >= t * 0.999999).length;
  }

  function direction(scene, seam) {
    const line = scene.runs[seam.run];
    if (!line || !line.legs.length) return null;
    const leg = line.legs.find((l) => l.step >= (seam.step ?? 0)) || line.legs[line.legs.length - 1];
    return leg.upright ? null : leg.dir;
  }

  /** Places every seam on the layer; those at one point are fanned out. */
  function* place(scene, shown) {
    const at = new Map();
    const placed = [];
    let k = 0;
    for (const seam of scene.view.seams || []) {
      k += 1;
      if (k % EACH === 0) yield;
      if (!ds.scene.isPoint(seam.at) || !shown(seam.at[2])) continue;
      const p = ds.camera.toLayer(seam.at);
      const end = ds.scene.isPoint(seam.at_end) ? ds.camera.toLayer(seam.at_end) : null;
      if (!ds.paint.inSight(p, end || p, 30)) continue;
      const key = end ? null : `${Math.round(p[0] / 3)},${Math.round(p[1] / 3)}`;
      const turn = key === null ? 0 : at.get(key) || 0;
      if (key !== null) at.set(key, turn + 1);
      placed.push({ seam, p, end, turn, dir: direction(scene, seam) });
    }
    return placed;
  }

  function shapeOf(scene, spot) {
    const half = ds.paint.widthPx(spot.seam.run === null || spot.seam.run === undefined ? 0.5 : ds.scene.widthOf(scene, spot.seam.run, spot.seam.step)) / 2 + Math.min(3, 0.1 * ds.camera.drawnScale);
    if (spot.end && Math.hypot(spot.end[0] - spot.p[0], spot.end[1] - spot.p[1]) > 6) {
      const dx = spot.end[0] - spot.p[0];
      const dy = spot.end[1] - spot.p[1];
      const size = Math.hypot(dx, dy);
      const off = [(-dy / size) * (half - 5), (dx / size) * (half - 5)];
      const a = [spot.p[0] + off[0] + (dx / size) * 4, spot.p[1] + off[1] + (dy / size) * 4];
      const b = [spot.end[0] + off[0] - (dx / size) * 4, spot.end[1] + off[1] - (dy / size) * 4];
      return { d: ds.paint.line(a, b), at: [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2], ends: [a, b] };
    }
    if (!spot.dir) {
      const ring = spot.turn === 0 ? 0 : 9 + 4 * Math.floor((spot.turn - 1) / 8);
      const t = (spot.turn * Math.PI) / 4;
      const p = [spot.p[0] + ring * Math.cos(t), spot.p[1] + ring * Math.sin(t)];
      return { d: `M${ds.paint.n(p[0])} ${ds.paint.n(p[1])}h.01`, at: p };
    }
    const fan = spot.turn === 0 ? 0 : Math.ceil(spot.turn / 2) * 7 * (spot.turn % 2 ? 1 : -1);
    const p = [spot.p[0] + spot.dir[0] * fan, spot.p[1] - spot.dir[1] * fan];
    const across = [spot.dir[1] * half, spot.dir[0] * half];
    const a = [p[0] + across[0], p[1] + across[1]];
    const b = [p[0] - across[0], p[1] - across[1]];
    return { d: ds.paint.line(a, b), at: p, ends: [a, b] };
  }

  /** The marks as few paths: one a colour and width. Gives them with where they are, for `take`. */
  function* draw(scene, shown, room) {
    const g = ds.paint.el('g', { class: `b-seams${isStale() ? ' b-stale' : ''}` });
    const found = [];
    if (shownHow === 'none') return { g, over: ds.paint.el('g'), found, byName: new Map() };
    const of = byId();
    const most = [...of.values()].reduce((x, s) => Math.max(x, mean(s)), 0);
    const step = stepper(most);
    const small = ds.camera.drawnScale < 30;
    const taken = new Set();
    const groups = new Map();
    const bands = new Map();
    const add = (map, key, d) => {
      if (!map.has(key)) map.set(key, []);
      map.get(key).push(d);
    };
    // From far, marks get thinner, or they would hide the ducts.
    const far = Math.min(1, Math.max(0.25, ds.camera.drawnScale / 40));
    const width = (x) => far * THINNEST + far * (WIDEST - THINNEST) * Math.sqrt(most > 0 ? Math.min(1, x / most) : 0);
    const placed = yield* place(scene, shown);
    for (const spot of placed) spot.said = of.get(spot.seam.id);
    placed.sort((a, b) => mean(b.said) - mean(a.said));
    let done = 0;
    for (const spot of placed) {
      done += 1;
      if (done % EACH === 0) yield;
      const cell = `${Math.round(spot.p[0] / CELL)},${Math.round(spot.p[1] / CELL)}`;
      if (small && taken.has(cell)) continue;
      taken.add(cell);
      const shape = shapeOf(scene, spot);
      const s = spot.said;
      found.push({ seam: spot.seam, at: shape.at, ends: shape.ends || null });
      const w = s ? width(mean(s)) : THINNEST;
      const [from, to] = shape.ends || [shape.at, shape.at];
      room.takeLine(from, to, w / 2 + 1, ds.room.MARK);
      const k = s ? step(mean(s)) : -1;
      add(groups, `${k} ${Math.max(1, Math.round(w))}`, shape.d);
      if (s && s.test_m3_s.p95 > 0) {
        const wide = width(s.test_m3_s.p95) + 2;
        if (wide > w + 2) add(bands, `${k} ${Math.round(wide)}`, shape.d);
      }
    }
    const put = (map, of) => {
      for (const [key, d] of map) {
        const [k, w] = key.split(' ').map(Number);
        g.append(ds.paint.el('path', { d: d.join(''), class: `${of} ${k < 0 ? 'b-quiet' : `b-k${k}`}`, 'stroke-width': w }));
      }
    };
    put(bands, 'b-band');
    put(groups, 'b-mark');
    const byName = new Map(found.map((spot) => [spot.seam.id, spot]));
    const over = ds.paint.el('g');
    over.append(...ds.signs.draw(lookList(scene), byName, isStale() ? null : ds.doc.answers, room));
    return { g, over, found, byName };
  }

  /** What is drawn is what is hit. */
  function take(marks) {
    spots = marks.found;
    names = marks.byName;
  }

  const spotOf = (id) => names.get(id);

  /** Looks: those that the answers weighed, with every seam of a group; until then those of the sketch that name their seams one by one. */
  function lookList(scene) {
    const allocation = isStale() ? null : answered();
    if (allocation && Array.isArray(allocation.looks)) {
      return allocation.looks.map((look) => ({ ids: look.seams || [], smoke: (/smoke (none|wisp|strong)/.exec(look.words) || [])[1], words: look.words }));
    }
    const list = scene.view.sketch && Array.isArray(scene.view.sketch.looks) ? scene.view.sketch.looks : [];
    return list.filter((look) => look && typeof look === 'object')
      .map((look) => ({ ids: Array.isArray(look.seam) ? look.seam : [look.seam], smoke: look.smoke, words: `smoke ${look.smoke || 'not said'}` }));
  }

  function offLine(p, spot) {
    if (!spot.ends) return Math.hypot(p[0] - spot.at[0], p[1] - spot.at[1]);
    const [a, b] = spot.ends;
    const l = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1;
    const t = Math.max(0, Math.min(1, ((p[0] - a[0]) * (b[0] - a[0]) + (p[1] - a[1]) * (b[1] - a[1])) / (l * l)));
    return Math.hypot(p[0] - a[0] - t * (b[0] - a[0]), p[1] - a[1] - t * (b[1] - a[1]));
  }

  /** The seam whose mark is nearest to a point of the layer, within reach: `{seam, off, at}`. */
  function nearest(p) {
    let best = null;
    for (const spot of spots) {
      const off = offLine(p, spot);
      if (off <= REACH && (!best || off < best.off)) best = { seam: spot.seam, off, at: spot.at, ends: spot.ends };
    }
    return best;
  }

  /** What is said of a seam, in words. */
  function words(seam) {
    const s = byId().get(seam.id);
    const what = [seam.id, seam.joint_name].filter(Boolean).join(', ');
    if (!s) return what;
    return `${what}, ${ds.numbers.percent(s.share || 0)} of the leakage${isStale() ? ', before the last change' : ''}`;
  }

  /** What the marks mean, in a line. */
  function legend() {
    if (shownHow === 'none' || !answered()) return '';
    if (isStale()) return ds.doc.view.stands ? 'Grey dashes: leakage is being worked out anew.' : 'Grey dashes: leakage is worked out anew once nothing is wrong.';
    const { next, plan } = ds.doc.answers;
    return ['Marks: the wider, the more leaks; pale: it may be that much (95 %).', next && 'Ring: look here next.', plan && plan.steps.length && 'Number: step of the plan.',
      lookList(ds.drawing.scene).length && 'Eye: looked at (0 no smoke, w wisp, s strong).'].filter(Boolean).join(' ');
  }

  return {
    draw, legend, take, nearest, words, spotOf, isStale,
    get shown() { return shownHow; },
    show(how) { shownHow = how; },
  };
})();
