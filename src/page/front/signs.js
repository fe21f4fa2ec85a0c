// Signs beside the marks of seams: what was seen, where to look next, the steps of the plan. Those without room wait until one looks nearer.
/* global ds */
ds.signs = (() => {
  const { el, n, disc, line } = ds.paint;
  const MOST = 60;
  /** Rings nearer to each other than this are one, px. */
  const NEAR = 15;

  /** Places round a point, near ones first. */
  const round = (p, ...offs) => offs.flatMap((off) => [[1, -1], [-1, 1], [1, 1], [-1, -1], [1.4, 0], [-1.4, 0], [0, -1.4], [0, 1.4]].map(([x, y]) => [p[0] + off * x, p[1] + off * y]));

  const word = (p, of, text) => el('text', { x: n(p[0]), y: n(p[1]), class: of, 'text-anchor': 'middle', 'dominant-baseline': 'central' }, text);
  const leader = (from, to) => el('path', { d: line(from, to), class: 'b-leader' });
  const { TAKEN, MARK } = ds.room;
  const HOW = { avoid: TAKEN, shun: MARK, part: 1 };

  /** Looks: an eye with a letter for what was seen. */
  function looks(list, byName, room) {
    const g = el('g', { class: 'b-looks' });
    for (const look of list) {
      const letter = { none: '0', wisp: 'w', strong: 's' }[look.smoke] || '?';
      for (const id of look.ids) {
        const spot = byName.get(id);
        const p = spot && room.find(round(spot.at, 14, 22), 24, 14, HOW);
        if (!p) continue;
        const sign = el('g', { transform: `translate(${n(p[0])} ${n(p[1])})` });
        sign.append(el('title', {}, `looked at ${id}: ${look.words}`));
        sign.append(el('path', { d: 'M-11 0Q0 -9 11 0Q0 9 -11 0Z', class: `b-look b-look-${letter === '?' ? 'x' : letter}` }), el('text', { class: 'b-look-word', 'text-anchor': 'middle', 'dominant-baseline': 'central' }, letter));
        g.append(sign);
      }
    }
    return g;
  }

  /** Steps of the plan, numbered. */
  function steps(plan, byName, room) {
    const g = el('g', { class: 'b-asked' });
    const done = new Set();
    for (const step of (plan && plan.steps) || []) {
      const spot = byName.get(step.seam);
      if (!spot || done.has(step.seam) || done.size >= MOST) continue;
      done.add(step.seam);
      const p = room.find(round(spot.at, 13, 24), 19, 19, HOW);
      if (!p) continue;
      if (Math.hypot(p[0] - spot.at[0], p[1] - spot.at[1]) > 20) g.append(leader(spot.at, p));
      g.append(el('path', { d: disc(p, 9), class: 'b-plan' }), word(p, 'b-plan-word', step.step));
    }
    return g;
  }

  /** Rings round what to look at next; those that would lie on one another are one, with all its numbers. */
  function ringsOf(next, byName) {
    const rings = [];
    for (const candidate of ((next && next.candidates) || []).slice(0, 3)) {
      for (const id of candidate.seams || []) {
        const spot = byName.get(id);
        if (!spot) continue;
        const twin = rings.find((ring) => Math.hypot(ring.at[0] - spot.at[0], ring.at[1] - spot.at[1]) < NEAR);
        if (twin) twin.ranks.add(candidate.rank);
        else rings.push({ at: spot.at, ranks: new Set([candidate.rank]) });
      }
    }
    return rings;
  }

  function nextLooks(next, byName, room) {
    const g = el('g', { class: 'b-asked' });
    const rings = ringsOf(next, byName);
    const r = ds.camera.drawnScale < 40 ? 12 : 16;
    for (const { at } of rings) room.take([at[0] - r, at[1] - r, at[0] + r, at[1] + r]);
    const told = new Set();
    for (const { at, ranks } of rings) {
      g.append(el('path', { d: disc(at, r), class: ranks.has(1) ? 'b-ring b-first' : 'b-ring' }));
      const all = [...ranks].sort((a, b) => a - b);
      const text = all.join(', ');
      const w = ds.room.width(text, '700 15px') + 4;
      const must = all.some((rank) => !told.has(rank));
      const p = room.find(round(at, r + 6).map(([x, y]) => [x + Math.sign(x - at[0]) * (w / 2 - 6), y]), w, 16, { ...HOW, must });
      if (!p) continue;
      for (const rank of all) told.add(rank);
      g.append(word(p, 'b-ring-word', text));
    }
    return g;
  }

  /** All signs, each where it has room. */
  function draw(looked, byName, answers, room) {
    const g = [];
    if (answers) g.push(nextLooks(answers.next, byName, room), steps(answers.plan, byName, room));
    g.push(looks(looked, byName, room));
    return g;
  }

  return { draw };
})();
