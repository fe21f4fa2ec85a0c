// What the drawing needs of a view: runs as lines with distances along them, floors, extents. Pure; made once a view.
/* global ds */
ds.scene = (() => {
  /** Heights that differ by less belong to one floor, m. Engineering estimate: half a storey. */
  const FLOOR_GAP = 1.5;
  const dist = (a, b) => Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]);
  const isPoint = (p) => Array.isArray(p) && p.length === 3 && p.every(Number.isFinite);

  // First words of steps, for those written as mappings, which come without parts.
  const WORDS = [
    [/^(tab|tabbed|finger|start|starting|spin|flanged) .*collar|^spin-in|^spin in|^side (tap|takeoff)|^shoe tap/, 'takeoff'],
    [/elbow|^flex bend/, 'elbow'],
    [/^(return box|grille|return grille)/, 'return box'],
    [/boot/, 'boot'],
    [/^(outdoor|outside|fresh)?.*intake/, 'intake'],
    [/^(end )?cap\b/, 'cap'],
    [/^joins /, 'joins'],
    [/^(reducer|transition)/, 'reducer'],
    [/damper/, 'damper'],
    [/^((north|south|east|west|up|down|left|right|ahead|straight) )?[\d.]+/, 'straight'],
  ];

  /** What a step is, in the words of parts; boots that are return boxes are told apart. Null where nobody knows. */
  function kindOf(step) {
    if (step.parts) return step.parts.kind === 'boot' && /box|grille/.test(step.parts.word || '') ? 'return box' : step.parts.kind;
    const text = String(step.text || '').replace(/^\{?\s*(.*\bstep:)?\s*["']?/, '').toLowerCase();
    const found = WORDS.find(([pattern]) => pattern.test(text));
    return found ? found[1] : null;
  }

  function runOf(run, i) {
    const legs = [];
    let along = 0;
    let flat = null;
    // Where each step is: a step without a piece of its own, like a cap, is where the one before it ends.
    const ends = [];
    let end = isPoint(run.start) ? run.start : null;
    (run.steps || []).forEach((step) => {
      if (isPoint(step.end)) end = step.end;
      ends.push(end);
    });
    (run.steps || []).forEach((step, j) => {
      if (!isPoint(step.start) || !isPoint(step.end)) return;
      const kind = kindOf(step);
      const length = dist(step.start, step.end);
      if (length < 1e-6) return;
      const dir = [0, 1, 2].map((k) => (step.end[k] - step.start[k]) / length);
      const level = ds.snap.level(dir);
      if (level && !ds.snap.isUpright(dir)) flat = level;
      legs.push({ step: j, a: step.start, b: step.end, length, along, dir, flat, upright: ds.snap.isUpright(dir), kind });
      along += length;
    });
    return { i, run, legs, ends, length: along };
  }

  /** Floors: heights of level pieces in groups, lowest first, each `{from, to}` in m. */
  function floorsOf(view) {
    const heights = [0];
    for (const p of view.pieces || []) {
      if (isPoint(p.tail) && isPoint(p.head) && Math.abs(p.tail[2] - p.head[2]) < 0.1) heights.push(p.tail[2]);
    }
    heights.sort((a, b) => a - b);
    const floors = [];
    for (const z of heights) {
      const last = floors[floors.length - 1];
      if (last && z - last.to <= FLOOR_GAP) last.to = z;
      else floors.push({ from: z, to: z });
    }
    return floors;
  }

  /** Floor that a height lies on: the nearest. */
  function floorAt(scene, z) {
    let best = 0;
    let least = Infinity;
    scene.floors.forEach((floor, k) => {
      const off = z < floor.from ? floor.from - z : z > floor.to ? z - floor.to : 0;
      if (off < least) {
        least = off;
        best = k;
      }
    });
    return best;
  }

  /** Everything of a view that is drawn or hit. */
  function make(view) {
    const runs = (view.runs || []).map(runOf);
    const pieces = (view.pieces || []).filter((p) => isPoint(p.tail) && isPoint(p.head));
    const scene = { view, runs, pieces, floors: floorsOf(view), box: runs.length ? [-0.6, -1.3, 0.6, 0.7] : [-3, -3, 3, 3], plena: {} };
    const widen = (p) => {
      if (!isPoint(p)) return;
      const b = scene.box;
      scene.box = [Math.min(b[0], p[0]), Math.min(b[1], p[1]), Math.max(b[2], p[0]), Math.max(b[3], p[1])];
    };
    for (const p of pieces) {
      widen(p.tail);
      widen(p.head);
    }
    for (const r of view.runs || []) widen(r.end);
    scene.plena.supply = { at: [0, 0, 0], half: 0.36 };
    scene.plena.return = { at: [0, -1, 0], half: 0.36 };
    scene.width = new Map();
    for (const p of pieces) if (p.run !== null && p.run !== undefined) scene.width.set(`${p.run}/${p.step}`, p.width_m);
    scene.takeoffs = takeoffsOf(view, runs);
    return scene;
  }

  /** Where runs leave other runs. */
  function takeoffsOf(view, runs) {
    const all = [];
    runs.forEach(({ run, i }) => {
      const on = run.on_run;
      if (on === null || on === undefined || !isPoint(run.start) || !runs[on]) return;
      const at = project(runs[on], run.start);
      all.push({ run: i, on, at: run.start, along: at ? at.along : 0 });
    });
    return all;
  }

  /** The point of a run nearest to a point seen from above: `{leg, along, at, off}` (m), level legs only. */
  function project(line, p) {
    let best = null;
    for (const leg of line.legs) {
      if (leg.upright) continue;
      const t = Math.max(0, Math.min(leg.length, (p[0] - leg.a[0]) * leg.dir[0] + (p[1] - leg.a[1]) * leg.dir[1]));
      const at = leg.a.map((x, k) => x + t * leg.dir[k]);
      const off = Math.hypot(p[0] - at[0], p[1] - at[1]);
      if (!best || off < best.off) best = { leg, t, along: leg.along + t, at, off };
    }
    return best;
  }

  /** The point of a run at a distance along it. */
  function pointAt(line, along) {
    for (const leg of line.legs) {
      if (along <= leg.along + leg.length + 1e-9) {
        const t = Math.max(0, along - leg.along);
        return { leg, t, along, at: leg.a.map((x, k) => x + t * leg.dir[k]) };
      }
    }
    const leg = line.legs[line.legs.length - 1];
    return leg ? { leg, t: leg.length, along: line.length, at: leg.b } : null;
  }

  const widthOf = (scene, run, step) => scene.width.get(`${run}/${step}`) || 0.15;

  return { make, project, pointAt, floorAt, widthOf, kindOf, isPoint, dist };
})();
