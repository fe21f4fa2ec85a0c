// Pointers: mouse, pen, fingers. Nothing is changed before a pointer is let go; a lost pointer leaves no half change.
/* global ds */
ds.gestures = (() => {
  /** How far a press may wander, px: a glove on glass rolls more than a mouse. Engineering estimate. */
  const SLOP = { mouse: 4, pen: 6, touch: 11 };
  const LONG_MS = 520;
  let view = null;
  const pointers = new Map();
  let action = null;
  let pinch = null;

  function start(element) {
    view = element;
    view.addEventListener('pointerdown', down);
    view.addEventListener('pointermove', move);
    view.addEventListener('pointerup', up);
    view.addEventListener('pointercancel', lost);
    view.addEventListener('lostpointercapture', lost);
    view.addEventListener('pointerleave', () => action || hover(null));
    view.addEventListener('wheel', wheel, { passive: false });
    // No scrolling, no fling: a browser that takes a drag for one swallows the tap that comes after it.
    for (const touch of ['touchstart', 'touchmove']) view.addEventListener(touch, (event) => event.preventDefault(), { passive: false });
    view.addEventListener('contextmenu', (event) => event.preventDefault());
    view.addEventListener('dblclick', (event) => event.preventDefault());
  }

  const place = (event) => {
    const box = view.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  };

  function wheel(event) {
    event.preventDefault();
    // While something is drawn or moved the eye stays where it is.
    if (action && (action.kind === 'draw' || action.kind === 'move')) return;
    const unit = event.deltaMode === 1 ? 30 : event.deltaMode === 2 ? 300 : 1;
    if (event.shiftKey) {
      ds.camera.pan(-(event.deltaX || event.deltaY) * unit, 0);
      return;
    }
    ds.camera.zoom(Math.exp(-Math.max(-200, Math.min(200, event.deltaY * unit)) * 0.002), ...place(event));
  }

  function down(event) {
    if (!ds.drawing.scene) return;
    const p = place(event);
    const isPalm = action && (action.kind === 'draw' || action.kind === 'move');
    if (isPalm) return;
    view.setPointerCapture(event.pointerId);
    pointers.set(event.pointerId, p);
    if (pointers.size === 2) {
      stop();
      startPinch();
      return;
    }
    if (pointers.size > 2) return;
    view.focus({ preventScroll: true });
    ds.drawing.setCursor(null);
    ds.keys.dropPen();
    ds.strip.close();
    ds.drawing.setPreview(null);
    begin(event, p);
  }

  function begin(event, p) {
    const middle = event.button === 1 || event.button === 2;
    action = { kind: 'press', id: event.pointerId, type: event.pointerType || 'mouse', from: p, at: p, middle };
    if (middle) return;
    const { tool } = ds.tools;
    if (tool === 'pick') {
      action.grip = ds.hit.grabbedAt(p);
      if (!action.grip) action.draw = startAtEnd(p);
    } else if (tool === 'run') {
      action.draw = startAtEnd(p) || startAtPlenum(p) || startOnRun(p);
    } else if (tool === 'takeoff') {
      action.draw = startOnRun(p);
    }
    if (action.type !== 'mouse') action.timer = setTimeout(long, LONG_MS);
  }

  function startAtEnd(p) {
    const end = ds.hit.openAt(p);
    return end ? ds.pen.atEnd(end.run) : null;
  }

  function startAtPlenum(p) {
    const unit = ds.hit.plenumAt(p);
    // Beside a plenum that is small on the screen, the run under the finger is meant.
    if (unit && !unit.isInside && ds.hit.runAt(p, 4)) return null;
    return unit ? ds.pen.atPlenum(unit.side) : null;
  }

  function startOnRun(p) {
    const spot = ds.hit.runAt(p, 20);
    return spot ? ds.pen.onRun(spot.run, spot) : null;
  }

  function move(event) {
    const p = place(event);
    if (!pointers.has(event.pointerId)) {
      if (event.pointerType === 'mouse' && !action) hover(p);
      return;
    }
    pointers.set(event.pointerId, p);
    if (pinch) {
      goPinch();
      return;
    }
    if (!action || action.id !== event.pointerId) return;
    if (action.kind === 'press') {
      const slop = SLOP[action.type] || SLOP.touch;
      if (Math.hypot(p[0] - action.from[0], p[1] - action.from[1]) <= slop) return;
      clearTimeout(action.timer);
      action.kind = action.grip ? 'move' : action.draw ? 'draw' : 'pan';
    }
    if (action.kind === 'pan') ds.camera.pan(p[0] - action.at[0], p[1] - action.at[1]);
    action.at = p;
    // A length that is being typed decides: the pointer moves nothing meanwhile.
    if (action.kind === 'draw' && !ds.lengthBox.open) show();
    if (action.kind === 'move') ds.moving.show(action, p);
  }

  function show() {
    const to = ds.camera.toWorld(...action.at);
    // What is drawn follows how far the finger went, not where it is: a handle stands off its end.
    const from = ds.camera.toWorld(...action.from);
    const at = action.draw.mode === 'branch' ? to : [action.draw.from[0] + to[0] - from[0], action.draw.from[1] + to[1] - from[1], 0];
    action.plan = ds.pen.drag(action.draw, at);
    ds.drawing.setPreview(action.plan ? { ...action.plan, finger: action.at } : null);
  }

  function up(event) {
    if (!pointers.has(event.pointerId)) return;
    pointers.delete(event.pointerId);
    if (pinch) {
      if (pointers.size < 2) {
        pinch = null;
        // The finger that stays goes on pushing.
        for (const [id, at] of pointers) action = { kind: 'pan', id, type: event.pointerType, from: at, at };
      }
      return;
    }
    if (!action || action.id !== event.pointerId) return;
    clearTimeout(action.timer);
    const done = action;
    if (done.kind === 'draw' && ds.lengthBox.open) {
      // A length is being typed: it decides.
      done.id = null;
      return;
    }
    action = null;
    ds.drawing.setPreview(null);
    if (done.kind === 'press') ds.taps.tap(done.from, done);
    if (done.kind === 'draw' && done.plan) ds.pen.commit(done.plan);
    if (done.kind === 'move') ds.moving.commit(done);
  }

  function lost(event) {
    if (!pointers.has(event.pointerId)) return;
    pointers.delete(event.pointerId);
    if (pointers.size < 2) pinch = null;
    if (action && action.id === event.pointerId) stop();
  }

  /** Gives up what was under way; nothing was changed. */
  function stop() {
    if (action) clearTimeout(action.timer);
    action = null;
    ds.drawing.setPreview(null);
  }

  function long() {
    if (!action || action.kind !== 'press') return;
    const { from } = action;
    stop();
    if (navigator.vibrate) navigator.vibrate(15);
    ds.taps.menu(from);
  }

  function startPinch() {
    const [a, b] = [...pointers.values()];
    pinch = { middle: [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2], span: Math.max(20, Math.hypot(a[0] - b[0], a[1] - b[1])) };
  }

  function goPinch() {
    if (pointers.size < 2) return;
    const [a, b] = [...pointers.values()];
    const middle = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
    const span = Math.max(20, Math.hypot(a[0] - b[0], a[1] - b[1]));
    ds.camera.pan(middle[0] - pinch.middle[0], middle[1] - pinch.middle[1]);
    ds.camera.zoom(span / pinch.span, ...middle);
    pinch = { middle, span };
  }

  let hovered = null;
  function hover(p) {
    const found = p && ds.drawing.scene ? ds.hit.faultAt(p) : null;
    const k = found ? found.index : null;
    if (k === hovered) return;
    hovered = k;
    if (found) ds.taps.tellFault(found.fault);
    else ds.drawing.setPreview(null);
  }

  /** Digits while a length is dragged: the box decides, then and there. */
  async function typed(first) {
    if (!action || action.kind !== 'draw' || !action.plan) return false;
    const { plan } = action;
    const length = await ds.lengthBox.ask({ words: `Length ${ds.snap.headingWords(plan.heading)}`, first, near: plan.to });
    const made = length ? ds.pen.plan(plan.draw, plan.heading, length) : null;
    stop();
    if (made) ds.pen.commit(made);
    return true;
  }

  return { start, stop, typed, get busy() { return Boolean(action && action.kind !== 'press'); } };
})();
