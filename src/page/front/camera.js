// Where the eye is. Panning and zooming move one composited layer by a CSS transform; the drawing is made anew once it rests.
/* global ds */
ds.camera = (() => {
  /** The layer reaches this part of the board's size beyond each edge. */
  const MARGIN = 0.5;
  /** Rest before the drawing is made anew, ms. */
  const REST = 140;
  const LEAST = 2;
  const MOST = 1500;
  const now = { x: 0, y: 0, scale: 60 };
  const base = { x: 0, y: 0, scale: 60 };
  const size = { w: 800, h: 600 };
  let layer = null;
  let timer = 0;
  let asked = false;
  let make = null;
  /** Whether all is in sight by `fit` and was not moved since. */
  let isFit = false;
  let job = null;
  const moved = [];
  /** Where the eye is taken to be while a drawing is made: large drawings are made in slices, the old one in sight meanwhile. */
  let drawn = base;
  /** Longest slice, ms: with what the browser does besides, a frame of 60 Hz is not missed by much. */
  const SLICE = 7;

  /** `how.build` is a generator that makes what `how.commit` shows; `how.isLarge` says whether it is made in slices. */
  function mount(element, how) {
    layer = element;
    make = how;
  }

  const margin = () => ({ x: Math.round(size.w * MARGIN), y: Math.round(size.h * MARGIN) });
  const layerSize = () => ({ w: size.w + 2 * margin().x, h: size.h + 2 * margin().y });

  function resize(w, h) {
    size.w = Math.max(50, w);
    size.h = Math.max(50, h);
    settle();
  }

  /** World (m) to the layer as it was last drawn, px. */
  function toLayer(p) {
    const m = margin();
    return [(p[0] - drawn.x) * drawn.scale + size.w / 2 + m.x, -(p[1] - drawn.y) * drawn.scale + size.h / 2 + m.y];
  }

  /** World (m) to the board as it is seen now, px from its corner. */
  const toBoard = (p) => [(p[0] - now.x) * now.scale + size.w / 2, -(p[1] - now.y) * now.scale + size.h / 2];
  const toWorld = (x, y) => [(x - size.w / 2) / now.scale + now.x, -(y - size.h / 2) / now.scale + now.y, 0];

  function apply() {
    asked = false;
    if (!layer) return;
    const k = now.scale / base.scale;
    const m = margin();
    const tx = (base.x - now.x) * now.scale + size.w / 2 - k * (size.w / 2 + m.x);
    const ty = -(base.y - now.y) * now.scale + size.h / 2 - k * (size.h / 2 + m.y);
    layer.style.transform = `translate3d(${tx}px, ${ty}px, 0) scale(${k})`;
    // The next drawing is begun before the edge of this one comes into sight.
    const gone = Math.max(Math.abs(tx + m.x) / m.x, Math.abs(ty + m.y) / m.y);
    if (k > 0.95 && k < 1.05 && gone > 0.7 && !job) settle();
    for (const fn of moved) fn();
  }

  function later() {
    if (!asked) {
      asked = true;
      requestAnimationFrame(apply);
    }
    clearTimeout(timer);
    timer = setTimeout(settle, REST);
  }

  /** Draws anew where the eye is. */
  function settle() {
    clearTimeout(timer);
    if (!make) return;
    job = { at: { ...now }, steps: make.build() };
    slice(job, make.isLarge() ? SLICE : Infinity);
  }

  function slice(mine, most) {
    if (job !== mine) return;
    const until = performance.now() + most;
    drawn = mine.at;
    let step;
    do step = mine.steps.next(); while (!step.done && performance.now() < until);
    drawn = base;
    if (!step.done) {
      setTimeout(() => slice(mine, most), 0);
      return;
    }
    job = null;
    Object.assign(base, mine.at);
    make.commit(step.value);
    apply();
  }

  function pan(dx, dy) {
    isFit = false;
    now.x -= dx / now.scale;
    now.y += dy / now.scale;
    later();
  }

  /** Zooms by a factor about a point of the board. */
  function zoom(factor, x = size.w / 2, y = size.h / 2) {
    isFit = false;
    const scale = Math.max(LEAST, Math.min(MOST, now.scale * factor));
    const at = toWorld(x, y);
    now.scale = scale;
    now.x = at[0] - (x - size.w / 2) / scale;
    now.y = at[1] + (y - size.h / 2) / scale;
    later();
  }

  /** Shows a box of the world `[x0, y0, x1, y1]` as large as the board allows; `edge` px are kept free at each side. */
  function fit(box, edge = { left: 30, right: 30, top: 30, bottom: 30 }) {
    const w = Math.max(0.5, box[2] - box[0]);
    const h = Math.max(0.5, box[3] - box[1]);
    const room = (px) => Math.max(60, px);
    now.scale = Math.max(LEAST, Math.min(160, room(size.w - edge.left - edge.right) / w, room(size.h - edge.top - edge.bottom) / h));
    now.x = (box[0] + box[2]) / 2 + (edge.right - edge.left) / 2 / now.scale;
    now.y = (box[1] + box[3]) / 2 + (edge.top - edge.bottom) / 2 / now.scale;
    isFit = true;
    settle();
  }

  /** Brings a point into sight if it is not, by no more than that takes: what is drawn on stays where it is. */
  function show(p) {
    const [x, y] = toBoard(p);
    const edge = Math.min(90, size.w / 4, size.h / 4);
    const back = (at, room) => (at < edge ? edge - at : at > room - edge ? room - edge - at : 0);
    const [dx, dy] = [back(x, size.w), back(y, size.h)];
    if (!dx && !dy) return;
    isFit = false;
    now.x -= dx / now.scale;
    now.y += dy / now.scale;
    settle();
  }

  return {
    mount, resize, toLayer, toBoard, toWorld, pan, zoom, fit, show, settle, layerSize, margin,
    onMove: (fn) => moved.push(fn),
    get isFit() { return isFit; },
    get scale() { return now.scale; },
    get drawnScale() { return drawn.scale; },
    get size() { return { ...size }; },
  };
})();
