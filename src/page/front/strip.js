// A strip of big buttons that stands near a point of the drawing and follows it.
/* global ds */
ds.strip = (() => {
  let box = null;
  let at = null;
  let open = false;
  /** Where the strip stands from its point, px; chosen when it is shown, and kept while it follows. */
  let off = null;
  /** Distance between points of a run that are kept free, px. */
  const ALONG = 30;
  /** A board lower than this has the buttons in one line that is pushed sideways, px. */
  const SHORT = 360;

  function start(board) {
    box = ds.dom.el('div', { class: 'b-strip', role: 'toolbar', hidden: true, on: { keydown: keys } });
    board.append(box);
  }

  function keys(event) {
    const all = [...box.querySelectorAll('button')];
    const k = all.indexOf(document.activeElement);
    const to = { ArrowRight: k + 1, ArrowDown: k + 1, ArrowLeft: k - 1, ArrowUp: k - 1, Home: 0, End: all.length - 1 }[event.key];
    if (event.key === 'Escape') {
      event.stopPropagation();
      close();
      ds.drawing.view.focus();
    }
    if (to === undefined || !all.length) return;
    event.preventDefault();
    all[(to + all.length) % all.length].focus();
  }

  /**
   * Shows buttons `[{words, does}]` near a point of the world, or low in the board (`{low: true}`). A button closes the strip, then does its work.
   */
  function show(label, buttons, near, how = {}) {
    at = near;
    off = null;
    open = true;
    box.setAttribute('aria-label', label);
    const { el, fill, button } = ds.dom;
    fill(box, el('span', { class: 'b-strip-label' }, label), buttons.filter(Boolean).map((b) => button(b.words, () => {
      close();
      ds.drawing.view.focus({ preventScroll: true });
      b.does();
    }, { class: b.main ? 'main' : b.away ? 'away' : '' })));
    box.hidden = false;
    box.classList.toggle('b-slim', ds.camera.size.h < SHORT);
    follow();
    if (how.focus) box.querySelector('button')?.focus();
  }

  /** What one may want to touch next, px of the board: handles, ends, plena, signs of faults, and the run itself. */
  function targets() {
    const { scene, shown } = ds.drawing;
    const all = [];
    for (const { run } of ds.hit.openEnds(scene, shown)) all.push([ds.hit.handleAt(run), 3], [ds.camera.toBoard(run.end), 1]);
    for (const side of ['supply', 'return']) all.push([ds.camera.toBoard(scene.plena[side].at), 2]);
    for (const fault of scene.view.faults || []) if (ds.scene.isPoint(fault.at)) all.push([ds.camera.toBoard(fault.at), 2]);
    for (const { run } of scene.runs) if (!run.open_end && ds.scene.isPoint(run.end)) all.push([ds.camera.toBoard(run.end), 1]);
    const { size } = ds.camera;
    for (const { legs } of scene.runs) {
      for (const leg of legs) {
        // Points along it: a branch may leave anywhere.
        const count = Math.min(20, 1 + Math.floor((leg.length * ds.camera.scale) / ALONG));
        for (let j = 0; j < count; j += 1) {
          const p = ds.camera.toBoard(leg.a.map((x, k) => x + ((j + 0.5) / count) * (leg.b[k] - x)));
          if (p[0] > 0 && p[1] > 0 && p[0] < size.w && p[1] < size.h) all.push([p, 0.4]);
        }
      }
    }
    return all;
  }

  /** The place near the point that covers least of what one may want next. */
  function choose(x, y, w, h, size) {
    const low = size.h - ds.drawing.footHeight;
    const all = targets();
    const spots = [[x - w / 2, y + 58], [x - w / 2, y - 58 - h], [x + 58, y - h / 2], [x - 58 - w, y - h / 2], [x - w / 2, y + 110], [x - w / 2, y - 110 - h], [(size.w - w) / 2, low - h - 6], [(size.w - w) / 2, 60]];
    let best = null;
    spots.forEach((spot, k) => {
      const left = Math.max(6, Math.min(size.w - w - 6, spot[0]));
      const top = Math.max(6, Math.min(low - h - 6, spot[1]));
      // A step farther costs less than anything covered.
      let cost = 0.1 * k;
      for (const [p, weight] of all) if (p[0] > left - 18 && p[0] < left + w + 18 && p[1] > top - 18 && p[1] < top + h + 18) cost += weight;
      if (!best || cost < best.cost) best = { cost, left, top };
    });
    return best;
  }

  function follow() {
    if (!open || !at) return;
    const { size } = ds.camera;
    const w = box.offsetWidth;
    const h = box.offsetHeight;
    if (at.low) {
      box.style.transform = `translate(${Math.round(Math.max(6, (size.w - w) / 2))}px, ${Math.round(size.h - ds.drawing.footHeight - h - 8)}px)`;
      return;
    }
    const [x, y] = ds.camera.toBoard(at);
    if (!off) {
      const { left, top } = choose(x, y, w, h, size);
      off = [left - x, top - y];
    }
    const left = Math.max(6, Math.min(size.w - w - 6, x + off[0]));
    const top = Math.max(6, Math.min(size.h - h - 6, y + off[1]));
    box.style.transform = `translate(${Math.round(left)}px, ${Math.round(top)}px)`;
  }

  function close() {
    if (!open) return false;
    open = false;
    box.hidden = true;
    box.replaceChildren();
    return true;
  }

  return { start, show, close, follow, get open() { return open; } };
})();
