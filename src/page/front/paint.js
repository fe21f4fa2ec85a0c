// The ducts, the unit, names and signs as SVG. Few long paths, so that large systems stay quick.
/* global ds */
ds.paint = (() => {
  const NS = 'http://www.w3.org/2000/svg';

  function el(name, attributes = {}, words) {
    const e = document.createElementNS(NS, name);
    for (const [key, value] of Object.entries(attributes)) e.setAttribute(key, String(value));
    if (words !== undefined) e.textContent = words;
    return e;
  }

  const n = (x) => x.toFixed(1);
  const line = (...points) => `M${points.map((p) => `${n(p[0])} ${n(p[1])}`).join('L')}`;
  const disc = (p, r) => `M${n(p[0] - r)} ${n(p[1])}a${n(r)} ${n(r)} 0 1 0 ${n(2 * r)} 0a${n(r)} ${n(r)} 0 1 0 ${n(-2 * r)} 0Z`;
  const square = (p, r) => `M${n(p[0] - r)} ${n(p[1] - r)}h${n(2 * r)}v${n(2 * r)}h${n(-2 * r)}Z`;

  /** Whether a box round two points of the layer touches the layer. */
  function inSight(a, b, room) {
    const size = ds.camera.layerSize();
    return Math.max(a[0], b[0]) > -room && Math.min(a[0], b[0]) < size.w + room && Math.max(a[1], b[1]) > -room && Math.min(a[1], b[1]) < size.h + room;
  }

  /** Least width of a duct on the screen, px. */
  const THIN = 5;
  const widthPx = (m) => Math.max(Math.min(THIN, 2 + 0.15 * ds.camera.drawnScale), (m || 0.15) * ds.camera.drawnScale);

  function rect(a, b, half) {
    const length = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1;
    const x = (-(b[1] - a[1]) / length) * half;
    const y = ((b[0] - a[0]) / length) * half;
    return `${line([a[0] + x, a[1] + y], [b[0] + x, b[1] + y], [b[0] - x, b[1] - y], [a[0] - x, a[1] - y])}Z`;
  }

  /** Paths of the ducts by side and by whether their floor is shown. */
  function ductPaths(scene, shown, room) {
    const paths = {};
    const add = (side, on, part, d) => {
      const key = `${side === 'return' ? 'return' : 'supply'} ${on ? 'on' : 'off'}`;
      if (!paths[key]) paths[key] = { body: [], ends: [] };
      paths[key][part].push(d);
    };
    for (const p of scene.pieces) {
      if (p.run === null || p.run === undefined) continue;
      const a = ds.camera.toLayer(p.tail);
      const b = ds.camera.toLayer(p.head);
      const half = widthPx(p.width_m) / 2;
      if (!inSight(a, b, half + 10)) continue;
      const rise = Math.abs(p.head[2] - p.tail[2]);
      const flat = Math.hypot(p.head[0] - p.tail[0], p.head[1] - p.tail[1]);
      const on = shown(p.tail[2]) || shown(p.head[2]);
      if (on) room.takeLine(a, b, half, ds.room.DUCT);
      if (flat > 1e-4 && flat > 0.2 * rise) add(p.side, on, 'body', rect(a, b, half));
      else if (p.kind === 'elbow') add(p.side, on, 'body', disc(a, half));
      else if (rise > 1e-3) add(p.side, on, 'ends', disc(a, half));
    }
    return paths;
  }

  function ducts(scene, shown, room) {
    const g = el('g', { class: 'b-ducts' });
    const paths = ductPaths(scene, shown, room);
    const order = ['return off', 'supply off', 'return on', 'supply on'];
    for (const key of order) {
      const found = paths[key];
      if (!found) continue;
      const of = el('g', { class: key.split(' ').map((word) => `b-${word}`).join(' ') });
      if (found.body.length) {
        const d = found.body.join('');
        of.append(el('path', { d, class: 'b-edge' }), el('path', { d, class: 'b-in' }));
        if (key.startsWith('return')) of.append(el('path', { d, class: 'b-hatch' }));
      }
      if (found.ends.length) of.append(el('path', { d: found.ends.join(''), class: 'b-riser' }));
      g.append(of);
    }
    return g;
  }

  /** The unit: return plenum, cabinet, supply plenum. The walk starts at the middles of the plena. */
  function unit(scene) {
    const g = el('g', { class: 'b-unit' });
    const box = (x, y, w, h, of) => {
      const [px, py] = ds.camera.toLayer([x, y, 0]);
      const k = ds.camera.drawnScale;
      return el('rect', { x: n(px), y: n(py), width: n(w * k), height: n(h * k), class: of });
    };
    g.append(box(-0.32, -0.18, 0.64, 0.64, 'b-cabinet'), box(-0.28, -0.82, 0.56, 0.36, 'b-return-box'), box(-0.28, 0.18, 0.56, 0.36, 'b-supply-box'));
    return g;
  }

  const word = (p, text, of) => el('text', { x: n(p[0]), y: n(p[1]), class: of, 'text-anchor': 'middle', 'dominant-baseline': 'central' }, text);

  /** Signs of fittings: ends, elbows that rise, dampers, takeoffs. */
  function signs(scene, shown, room) {
    const g = el('g', { class: 'b-signs' });
    const d = { boot: [], grille: [], cap: [], damper: [], tap: [] };
    const k = ds.camera.drawnScale;
    for (const { run, i, legs, ends } of scene.runs) {
      (run.steps || []).forEach((step, j) => {
        const kind = ds.scene.kindOf(step);
        if (!kind || !ends[j] || !shown(ends[j][2])) return;
        const p = ds.camera.toLayer(ends[j]);
        if (!inSight(p, p, 40)) return;
        const leg = legs.filter((l) => l.step <= j).pop() || legs[0];
        const half = widthPx(ds.scene.widthOf(scene, i, leg ? leg.step : j)) / 2;
        const dir = leg && !leg.upright ? leg.dir : [1, 0, 0];
        const across = [dir[1], dir[0]];
        const r = k < 26 ? Math.max(3, 0.28 * k) : Math.max(8, 0.16 * k);
        if (['boot', 'return box', 'intake', 'cap', 'damper'].includes(kind)) room.take([p[0] - r - 1, p[1] - r - 1, p[0] + r + 1, p[1] + r + 1]);
        if (kind === 'boot') {
          d.boot.push(square(p, r), k < 14 ? '' : line([p[0] - r, p[1] - r], [p[0] + r, p[1] + r]) + line([p[0] - r, p[1] + r], [p[0] + r, p[1] - r]));
        } else if (kind === 'return box' || kind === 'intake') {
          d.grille.push(square(p, r * 1.15), line([p[0] - 1.15 * r, p[1] + 1.15 * r], [p[0] + 1.15 * r, p[1] - 1.15 * r]));
        } else if (kind === 'cap') {
          const e = half + 4;
          d.cap.push(line([p[0] + across[0] * e, p[1] + across[1] * e], [p[0] - across[0] * e, p[1] - across[1] * e]));
        } else if (kind === 'damper') {
          const e = half + 4;
          d.damper.push(line([p[0] - e * 0.8, p[1] + e * 0.8], [p[0] + e * 0.8, p[1] - e * 0.8]), disc(p, 3));
        } else if (kind === 'takeoff') {
          const q = ds.camera.toLayer(step.start || ends[j]);
          d.tap.push(disc(q, Math.min(4, half * 0.7)));
        }
      });
    }
    for (const [key, found] of Object.entries(d)) if (found.length) g.append(el('path', { d: found.join(''), class: `b-sign-${key}` }));
    return g;
  }

  /** Least length on the screen of a run that is named, px. */
  const NAMED = 34;

  /** Risers shorter than this are told only from near, m. */
  const SHORT_RISE = 0.6;
  const FONTS = { 'b-name': ['13px', 16], 'b-rise': ['12px', 15], 'b-place': ['italic 16px', 18], 'b-unit-word': ['11px', 14] };

  /** Where a word may stand beside a level length: at some of its points, on either side. */
  function beside(leg, half, w, h) {
    const isUpright = Math.abs(leg.dir[1]) > 0.7;
    const spots = [];
    // Marks across a duct stand out from it: what has no room close by may stand a little off.
    for (const off of [4, 13]) {
      const away = half + off + (isUpright ? w : h) / 2;
      for (const t of [0.5, 0.35, 0.65, 0.2, 0.8, 0.95]) {
        const p = ds.camera.toLayer(leg.a.map((x, k) => x + t * (leg.b[k] - x)));
        for (const way of [1, -1]) spots.push(isUpright ? [p[0] + way * away, p[1]] : [p[0], p[1] - way * away]);
      }
    }
    return spots;
  }

  const around = (p, off, w, h) => [[p[0] + off + w / 2, p[1]], [p[0] - off - w / 2, p[1]], [p[0], p[1] - off - h / 2], [p[0], p[1] + off + h / 2], [p[0] + off + w / 2, p[1] - h], [p[0] - off - w / 2, p[1] - h], [p[0] + off + w / 2, p[1] + h], [p[0] - off - w / 2, p[1] + h]];

  /** Words that ask for room, the important first: `{text, of, weight, near: layer px, spots(w, h)}`. */
  function askedWords(scene, shown) {
    const asked = [];
    const k = ds.camera.drawnScale;
    for (const [text, y] of [['unit', -0.5], ['supply', 0], ['return', -1]]) {
      if (k <= 20 || !shown(0)) break;
      const p = ds.camera.toLayer([0, y, 0]);
      asked.push({ text, of: 'b-unit-word', weight: text === 'unit' ? 50 : 1e5, near: p, spots: (w, h) => [...(w < 0.54 * k ? [p] : []), ...around(p, 0.34 * k, w, h).slice(0, 2)] });
    }
    for (const line of scene.runs) {
      const flat = line.legs.filter((l) => !l.upright && shown(l.a[2])).sort((a, b) => b.length - a.length);
      // A run too short on the screen for its own name goes without until one looks nearer.
      if (flat.length && line.run.id && flat[0].length * k > NAMED) {
        const text = line.run.id.length > 26 ? `${line.run.id.slice(0, 25)}…` : line.run.id;
        const near = ds.camera.toLayer(flat[0].a.map((x, i) => (x + flat[0].b[i]) / 2));
        asked.push({ text, of: 'b-name', run: line.i, weight: 100 + flat[0].length * k, near, spots: (w, h) => flat.slice(0, 2).flatMap((leg) => beside(leg, widthPx(ds.scene.widthOf(scene, line.i, leg.step)) / 2, w, h)) });
      }
      for (const leg of line.legs) {
        if (!leg.upright || !(shown(leg.a[2]) || shown(leg.b[2])) || (leg.length < SHORT_RISE && k < 60)) continue;
        const p = ds.camera.toLayer(leg.a);
        asked.push({ text: `${leg.dir[2] > 0 ? 'up' : 'down'} ${ds.snap.say(leg.length)}`, of: 'b-rise', weight: 40, near: p, spots: (w, h) => around(p, 14, w, h) });
      }
    }
    const places = new Map();
    for (const p of scene.pieces) {
      if (!p.place || !shown(p.tail[2])) continue;
      const b = places.get(p.place) || [Infinity, -Infinity];
      places.set(p.place, [Math.min(b[0], p.tail[0], p.head[0]), Math.max(b[1], p.tail[1], p.head[1])]);
    }
    for (const [place, [x, y]] of places) {
      const p = ds.camera.toLayer([x, y, 0]);
      asked.push({ text: place, of: 'b-place', weight: 60, near: p, spots: (w, h) => [[p[0] + w / 2, p[1] - 24], [p[0] + w / 2, p[1] - 24 - h], ...around(p, 16, w, h)] });
    }
    return asked.sort((a, b) => b.weight - a.weight);
  }

  /** Writes the words that find room. Gives them, and the runs that got their name. */
  function* names(scene, shown, room) {
    const g = el('g', { class: 'b-names', 'aria-hidden': 'true' });
    const named = new Set();
    const most = 400;
    let count = 0;
    const all = askedWords(scene, shown);
    yield;
    for (const [k, ask] of all.entries()) {
      if (k % 40 === 39) yield;
      if (count > most || !inSight(ask.near, ask.near, 0)) continue;
      const [font, h] = FONTS[ask.of];
      const w = ds.room.width(ask.text, font) * (ask.of === 'b-place' ? 1.2 : 1) + 6;
      const p = room.find(ask.spots(w, h), w, h, ask.of === 'b-unit-word' ? { avoid: ds.room.TAKEN, shun: ds.room.MARK, part: 1 } : {});
      if (!p) continue;
      g.append(word(p, ask.text, ask.of));
      if (ask.run !== undefined) named.add(ask.run);
      count += 1;
    }
    return { g, named };
  }

  /** A pale grid, one foot or a quarter of a metre, with each tenth (or fourth) line stronger. */
  function grid() {
    const g = el('g', { class: 'b-grid' });
    const si = ds.snap.isSi();
    const steps = si ? [0.25, 1, 5, 10, 50] : [1, 5, 10, 50, 100].map((x) => x * ds.snap.FOOT);
    const k = ds.camera.drawnScale;
    const fine = steps.find((s) => s * k >= 14) || steps[4];
    const strong = steps.find((s) => s * k >= 56 && s > fine) || steps[4] * 2;
    const size = ds.camera.layerSize();
    const [ox, oy] = ds.camera.toLayer([0, 0, 0]);
    for (const [step, of] of [[fine, 'b-fine'], [strong, 'b-strong']]) {
      const px = step * k;
      let d = '';
      for (let x = ((ox % px) + px) % px; x < size.w; x += px) d += `M${n(x)} 0V${size.h}`;
      for (let y = ((oy % px) + px) % px; y < size.h; y += px) d += `M0 ${n(y)}H${size.w}`;
      g.append(el('path', { d, class: of }));
    }
    return g;
  }

  return { el, n, line, disc, square, rect, inSight, widthPx, ducts, unit, signs, names, grid, word };
})();
