// The board: its layers, when they are drawn, what is picked, the voice that says what was made.
/* global ds */
ds.drawing = (() => {
  let scene = null;
  let floor = null;
  let started = false;
  let fitted = false;
  const parts = {};
  let cursor = null;
  let preview = null;
  let isMore = false;
  /** Runs whose name stands on the drawing. */
  let named = new Set();

  const shown = (z) => floor === null || !scene || scene.floors.length < 2 || ds.scene.floorAt(scene, z) === floor;

  function start() {
    const board = document.getElementById('board');
    if (started || !board) return;
    started = true;
    const { el } = ds.dom;
    parts.layer = el('div', { class: 'b-layer' });
    parts.photo = el('div', { class: 'b-photo' });
    parts.base = ds.paint.el('svg', { class: 'b-base', 'aria-hidden': 'true' });
    parts.defs = ds.paint.el('defs');
    const hatch = ds.paint.el('pattern', { id: 'b-hatch', width: 7, height: 7, patternUnits: 'userSpaceOnUse', patternTransform: 'rotate(45)' });
    hatch.append(ds.paint.el('path', { d: 'M0 0V7', class: 'b-hatch-line' }));
    parts.defs.append(hatch);
    parts.over = ds.paint.el('svg', { class: 'b-over' });
    parts.layer.append(parts.photo, parts.base, parts.over);
    parts.view = el('div', { class: 'b-view', tabIndex: 0, role: 'application', 'aria-roledescription': 'drawing board', 'aria-label': 'Drawing of the ducts from above. Press question mark for the keys.' }, parts.layer);
    parts.tag = el('div', { class: 'b-tag', hidden: true, 'aria-hidden': 'true' });
    parts.hud = el('div', { class: 'b-hud' });
    parts.live = el('div', { class: 'unseen', role: 'status', 'aria-live': 'polite' });
    parts.legend = el('p', { class: 'b-legend' });
    parts.foot = el('div', { class: 'b-foot' });
    board.append(parts.view, parts.foot, parts.tag, parts.hud, parts.live);
    ds.camera.mount(parts.layer, { build, commit, isLarge });
    ds.camera.onMove(() => ds.strip.follow());
    new ResizeObserver(resize).observe(board);
    ds.camera.resize(board.clientWidth, board.clientHeight);
    ds.tools.start(document.getElementById('tools'), parts.foot);
    parts.foot.append(parts.legend);
    ds.hint.start(parts.foot);
    ds.strip.start(board);
    ds.lengthBox.start(board);
    ds.photoUnder.start(parts.photo, board);
    hud();
    ds.gestures.start(parts.view);
    ds.keys.start(parts.view);
    ds.doc.on('view', ({ how }) => {
      if (how === 'name') return;
      // Whatever stood half done was about the sketch as it was.
      ds.strip.close();
      ds.gestures.stop();
      ds.keys.dropPen();
      ds.lengthBox.cancel();
      ds.pen.forget();
      if (how === 'open') fitted = false;
      take(ds.doc.view);
    });
    ds.doc.on('answers', () => ds.camera.settle());
    ds.pick.on(() => overlay());
    if (ds.doc.view) take(ds.doc.view);
  }

  function take(view) {
    if (!view) return;
    scene = ds.scene.make(view);
    if (floor !== null && floor >= scene.floors.length) floor = null;
    hud();
    if (!fitted && ds.camera.size.w > 60) {
      fitted = true;
      fit();
      ds.photoUnder.load();
    } else {
      ds.camera.settle();
    }
  }

  /** The board gets another size: what was all in sight stays so, anything else stays where it is. */
  function resize() {
    const board = parts.view.parentElement;
    const wasFit = ds.camera.isFit;
    ds.camera.resize(board.clientWidth, board.clientHeight);
    if (wasFit) fit();
  }

  /** Seams and pieces above which a drawing is made in slices. Engineering estimate, of about 15 ms on a tablet. */
  const LARGE = 900;
  const isLarge = () => Boolean(scene) && scene.pieces.length + (scene.view.seams || []).length > LARGE;

  /** What buttons and lines of the page cover, px of the layer where the eye is now. */
  function covered() {
    const margin = ds.camera.margin();
    const board = parts.view.getBoundingClientRect();
    return [...parts.hud.children, ...parts.foot.children].map((one) => one.getBoundingClientRect()).filter(({ width }) => width > 0)
      .map((box) => [box.left - board.left + margin.x, box.top - board.top + margin.y, box.right - board.left + margin.x, box.bottom - board.top + margin.y]);
  }

  /** Makes the drawing where the eye is. Gives what `commit` shows. */
  function* build() {
    if (!scene) return null;
    const of = scene;
    const made = [];
    const room = ds.room.make();
    for (const box of covered()) room.take(box);
    for (const [x, y] of ds.over.places(of, shown)) room.take([x - 18, y - 18, x + 18, y + 18]);
    for (const part of [ds.paint.grid, ds.paint.ducts, ds.paint.unit]) {
      made.push(part(of, shown, room));
      yield;
    }
    // What is drawn first has its room first: fittings, then signs of seams, then words.
    const fittings = ds.paint.signs(of, shown, room);
    const marks = yield* ds.marks.draw(of, shown, room);
    made.push(marks.g, fittings);
    yield;
    const names = yield* ds.paint.names(of, shown, room);
    made.push(names.g, marks.over);
    return { made, marks, named: names.named };
  }

  function commit(drawn) {
    if (!drawn) return;
    const size = ds.camera.layerSize();
    for (const svg of [parts.base, parts.over]) {
      svg.setAttribute('width', size.w);
      svg.setAttribute('height', size.h);
    }
    ds.marks.take(drawn.marks);
    named = drawn.named;
    parts.base.replaceChildren(parts.defs, ...drawn.made);
    ds.photoUnder.draw();
    parts.legend.textContent = ds.marks.legend();
    overlay();
  }

  /** What lies over the drawing: the pick, handles, faults, the cursor, what is being drawn. */
  function overlay() {
    if (!scene || !parts.over) return;
    const g = [ds.over.picked(scene), ds.over.faults(scene, shown), ds.over.handles(scene, shown)];
    if (cursor) g.push(ds.over.cursor(cursor));
    parts.ghost = ds.paint.el('g');
    parts.over.replaceChildren(...g, parts.ghost);
    ghost();
  }

  function ghost() {
    if (parts.ghost) parts.ghost.replaceChildren(...(preview && !preview.note ? [ds.over.preview(preview)] : []));
  }

  function setPreview(next) {
    preview = next;
    ghost();
    const tag = parts.tag;
    if (!next || !next.words) {
      tag.hidden = true;
      return;
    }
    tag.hidden = false;
    tag.textContent = next.words;
    const [x, y] = next.finger || ds.camera.toBoard(next.to);
    const size = ds.camera.size;
    const w = tag.offsetWidth;
    // Beside the finger and above it, never under the hand.
    const left = x + 44 + w < size.w ? x + 44 : x - 44 - w;
    tag.style.transform = `translate(${Math.max(4, left)}px, ${Math.max(4, Math.min(size.h - 50, y - 74))}px)`;
  }

  function setCursor(p) {
    cursor = p;
    if (p) ds.camera.show(p);
    overlay();
  }

  function hud() {
    const { button, fill, el } = ds.dom;
    if (!parts.hud) return;
    const floors = scene && scene.floors.length > 1 ? scene.floors : [];
    const one = (words, k) => button(words, () => {
      floor = k;
      hud();
      ds.camera.settle();
      say(k === null ? 'All floors' : `Floor ${words}`);
    }, { 'aria-pressed': floor === k ? 'true' : 'false' });
    const heights = floors.map((f, k) => one(heightWords(f), k)).reverse();
    const at = parts.hud.contains(document.activeElement) ? document.activeElement.textContent : null;
    fill(parts.hud,
      floors.length ? el('div', { class: 'b-floors', role: 'group', 'aria-label': 'Floors' }, one('All floors', null), heights) : null,
      el('div', { class: 'b-zoom', role: 'group', 'aria-label': 'View' },
        button('+', () => ds.camera.zoom(1.4), { 'aria-label': 'Nearer' }),
        button('−', () => ds.camera.zoom(1 / 1.4), { 'aria-label': 'Farther' }),
        button('Fit', fit, { 'aria-label': 'Fit: show the whole system' }),
        button('More', () => {
          isMore = !isMore;
          hud();
        }, { class: 'b-more', 'aria-expanded': isMore ? 'true' : 'false', 'aria-label': 'More for the view' }),
        el('div', { class: 'b-rest', data: { open: String(isMore) } },
          button('Seams', toggleSeams, { 'aria-pressed': ds.marks.shown === 'none' ? 'false' : 'true', 'aria-label': 'Marks of seams' }),
          button('Picture', () => ds.photoUnder.panel(), { 'aria-label': 'Picture under the drawing' }),
          button('Keys', () => ds.keys.help(), { 'aria-label': 'Keys of the drawing' }))));
    // The buttons are made anew: the keyboard stays on the one that was pressed.
    if (at !== null) [...parts.hud.querySelectorAll('button')].find((one) => one.textContent === at)?.focus({ preventScroll: true });
  }

  function toggleSeams() {
    ds.marks.show(ds.marks.shown === 'none' ? 'marks' : 'none');
    hud();
    ds.camera.settle();
    say(ds.marks.shown === 'none' ? 'Marks of seams hidden' : 'Marks of seams shown');
  }

  function heightWords(f) {
    const z = (f.from + f.to) / 2;
    if (Math.abs(z) < 0.75) return 'Unit floor';
    return `${ds.snap.say(Math.abs(ds.snap.round(z, ds.snap.isSi() ? 0.1 : ds.snap.FOOT)))} ${z > 0 ? 'above' : 'below'}`;
  }

  /** Room for names round the outermost ducts, px. Engineering estimate. */
  const ROUND = 34;
  /** Height of a hint and of what the marks mean, px. */
  const FOOT = 76;

  /** All in sight, as large as the board allows beside its buttons and the lines at its foot. */
  function fit() {
    if (!scene) return;
    const below = (element) => element.getBoundingClientRect();
    const board = below(parts.view);
    const top = Math.max(0, ...[...parts.hud.children].map((one) => below(one).bottom - board.top));
    // The lines at the foot come and go: their usual height is kept free.
    const bottom = Math.max(ds.camera.size.h > 400 ? FOOT : 0, board.bottom - below(parts.foot).top);
    // Handles of open ends stand off the ends.
    const round = ROUND + (ds.hit.openEnds(scene, shown).length ? 24 : 0);
    ds.camera.fit(scene.box, { left: round, right: round, top: top + round, bottom: bottom + round });
  }

  /** Where one draws on stays in sight; who has moved nothing goes on seeing the whole. */
  function keepInSight(p) {
    const wasFit = ds.camera.isFit;
    ds.camera.show(p);
    if (wasFit && !ds.camera.isFit) fit();
  }

  /** Brings what is picked into sight. */
  function reveal(pick) {
    const at = ds.over.where(scene, pick);
    if (!at) return;
    if (!shown(at[2])) {
      floor = null;
      hud();
    }
    ds.camera.show(at);
    overlay();
  }

  let turn = 0;
  /** Says something to who listens; the same words twice are heard twice. */
  function say(words) {
    turn += 1;
    if (parts.live) parts.live.textContent = words + (turn % 2 ? '\u00a0' : '');
  }

  /** Says why nothing came of what was tried, and shows it. */
  function tell(words) {
    say(words);
    ds.hint.flash(words);
  }

  return {
    start, fit, keepInSight, reveal, say, tell, overlay, toggleSeams, setPreview, setCursor,
    get scene() { return scene; },
    get shown() { return shown; },
    get named() { return named; },
    get cursor() { return cursor; },
    get view() { return parts.view; },
    get footHeight() { return parts.foot.offsetHeight; },
  };
})();
