// A picture under the drawing to draw over: a plan or a photo, moved, turned and scaled by two points with a typed length.
/* global ds */
ds.photoUnder = (() => {
  const KINDS = ['image/jpeg', 'image/png', 'image/webp'];
  const MOST = 16 * 1024 * 1024;
  let layer = null;
  let img = null;
  let panelBox = null;
  let address = null;
  let placed = null;
  let mode = null;
  let points = [];
  let timer = 0;
  let note = null;

  const usual = () => ({ x_m: 0, y_m: 0, scale_m_per_px: 0.01, angle: 0, opacity: 0.5 });

  function start(element, board) {
    layer = element;
    const { el } = ds.dom;
    panelBox = el('div', { class: 'b-panel', hidden: true, role: 'group', 'aria-label': 'Picture under the drawing', on: { keydown: (event) => {
      if (event.key === 'Escape') panel(false);
    } } });
    board.append(panelBox);
  }

  /** Takes what the host keeps. */
  async function load() {
    try {
      const kept = ds.host && ds.host.photo ? await ds.host.photo() : null;
      if (kept && kept.blob) await take(kept.blob, sound(kept.placement));
    } catch {
      // No picture is no fault: the drawing stands without it.
    }
  }

  function sound(p) {
    const all = usual();
    if (p && typeof p === 'object') for (const key of Object.keys(all)) if (Number.isFinite(p[key])) all[key] = p[key];
    all.scale_m_per_px = Math.max(1e-6, Math.min(10, all.scale_m_per_px));
    all.opacity = Math.max(0, Math.min(1, all.opacity));
    return all;
  }

  async function take(blob, placement) {
    const next = URL.createObjectURL(blob);
    const made = document.createElement('img');
    made.alt = '';
    made.draggable = false;
    made.src = next;
    try {
      await made.decode();
    } catch (error) {
      // What lies there stays.
      URL.revokeObjectURL(next);
      throw error;
    }
    if (address) URL.revokeObjectURL(address);
    address = next;
    img = made;
    layer.replaceChildren(img);
    if (placement) placed = placement;
    else {
      // As it comes, the picture is as wide as what is in sight.
      const size = ds.camera.size;
      const middle = ds.camera.toWorld(size.w / 2, size.h / 2);
      placed = { ...usual(), x_m: middle[0], y_m: middle[1], scale_m_per_px: (0.8 * size.w) / ds.camera.scale / Math.max(1, img.naturalWidth) };
    }
    draw();
  }

  /** Puts the picture where it belongs on the layer. */
  function draw() {
    if (!img || !placed) return;
    const [x, y] = ds.camera.toLayer([placed.x_m, placed.y_m, 0]);
    const k = placed.scale_m_per_px * ds.camera.drawnScale;
    img.style.opacity = String(placed.opacity);
    img.style.transform = `translate(${x}px, ${y}px) rotate(${placed.angle}deg) scale(${k}) translate(-50%, -50%)`;
  }

  async function choose(field) {
    const file = field.files && field.files[0];
    field.value = '';
    if (!file) return;
    if (!KINDS.includes(file.type)) return tell('The picture must be a JPEG, PNG or WebP file.');
    if (file.size > MOST) return tell('The picture is larger than 16 MB: make it smaller first.');
    try {
      await take(file, null);
      panel(true);
      await ds.host.setPhoto(file, placed);
      tell('The picture lies under the drawing and is kept beside the sketch.');
    } catch (error) {
      tell(`The picture could not be kept: ${(error && error.words) || 'it does not read as a picture'}`);
    }
    return undefined;
  }

  function tell(words) {
    if (note) note.textContent = words;
    ds.drawing.say(words);
  }

  function keep() {
    draw();
    clearTimeout(timer);
    timer = setTimeout(() => {
      Promise.resolve(ds.host.setPhoto(undefined, placed)).catch(() => tell('Where the picture lies could not be kept.'));
    }, 400);
  }

  /** Opens or closes the panel. */
  function panel(isOpen = panelBox.hidden) {
    const hadFocus = panelBox.contains(document.activeElement);
    panelBox.hidden = !isOpen;
    mode = null;
    if (!isOpen) {
      if (hadFocus) ds.drawing.view.focus({ preventScroll: true });
      return;
    }
    const { el, fill, button } = ds.dom;
    const file = (words, isCamera) => {
      const field = el('input', { type: 'file', accept: KINDS.join(','), class: 'unseen', on: { change: () => choose(field) } });
      if (isCamera) field.setAttribute('capture', 'environment');
      return [button(words, () => field.click()), field];
    };
    note = el('p', { class: 'note', role: 'status' });
    const range = (words, key, least, most, step) => el('label', {}, words, el('input', { type: 'range', min: least, max: most, step, value: placed[key], on: { input: (event) => {
      placed[key] = Number(event.target.value);
      keep();
    } } }));
    fill(panelBox, el('h2', {}, 'Picture under the drawing'),
      file('Choose a file', false), file('Take a photo', true),
      img ? [
        range('How strong', 'opacity', 0, 1, 0.05), range('Turned', 'angle', -180, 180, 0.5),
        button('Move by dragging', () => begin('move')), button('Scale by two points', () => begin('scale')),
        button('Take it away', remove, { class: 'away' }),
      ] : null,
      note, button('Close', () => panel(false)));
    panelBox.querySelector('button').focus();
  }

  async function remove() {
    img = null;
    placed = null;
    clearTimeout(timer);
    layer.replaceChildren();
    try {
      await ds.host.setPhoto(null);
    } catch {
      tell('The picture could not be taken away from beside the sketch.');
    }
    panel(true);
  }

  function begin(next) {
    mode = next;
    points = [];
    panelBox.hidden = true;
    ds.drawing.say(next === 'move' ? 'Drag the picture; Esc ends it' : 'Press two points of the picture whose distance you know');
    shield();
  }

  /** A clear sheet over the board that takes the pointer while the picture is placed. */
  function shield() {
    const { el } = ds.dom;
    let from = null;
    let pointer = null;
    const words = el('p', {}, mode === 'move' ? 'Drag the picture. Arrows move it too. Esc or Done ends it.' : 'Press the first point.');
    const sheet = el('div', { class: 'b-shield', tabIndex: 0, role: 'application', 'aria-label': words.textContent }, words);
    const end = () => {
      sheet.remove();
      ds.drawing.setPreview(null);
      panel(true);
    };
    const at = (event) => {
      const box = sheet.getBoundingClientRect();
      return [event.clientX - box.left, event.clientY - box.top];
    };
    sheet.append(ds.dom.button('Done', end));
    sheet.addEventListener('pointerdown', (event) => {
      if ((event.target !== sheet && event.target !== words) || from) return;
      sheet.setPointerCapture(event.pointerId);
      pointer = event.pointerId;
      from = at(event);
    });
    sheet.addEventListener('pointermove', (event) => {
      if (!from || event.pointerId !== pointer || mode !== 'move') return;
      const p = at(event);
      placed.x_m += (p[0] - from[0]) / ds.camera.scale;
      placed.y_m -= (p[1] - from[1]) / ds.camera.scale;
      from = p;
      keep();
    });
    sheet.addEventListener('pointercancel', (event) => {
      if (event.pointerId === pointer) from = null;
    });
    sheet.addEventListener('pointerup', async (event) => {
      if (!from || event.pointerId !== pointer) return;
      const p = from;
      from = null;
      if (mode !== 'scale') return;
      points.push(ds.camera.toWorld(...p));
      if (points.length === 1) {
        words.textContent = 'Press the second point.';
        return;
      }
      ds.drawing.setPreview({ from: points[0], to: points[1], width: 0.02, words: '' });
      sheet.remove();
      const done = await scale();
      ds.drawing.setPreview(null);
      panel(true);
      if (done) tell(done);
    });
    sheet.addEventListener('keydown', (event) => {
      const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
      if (event.key === 'Escape') end();
      if (!way || mode !== 'move') return;
      event.preventDefault();
      const step = ds.snap.lengthStep(ds.camera.scale) / (event.shiftKey ? 10 : 1);
      placed.x_m += way[0] * step;
      placed.y_m += way[1] * step;
      keep();
    });
    document.getElementById('board').append(sheet);
    sheet.focus();
  }

  /** The picture grows about the first point until the two are as far apart as was typed. Gives words for what was done. */
  async function scale() {
    const [a, b] = points;
    const now = Math.hypot(b[0] - a[0], b[1] - a[1]);
    if (now * ds.camera.scale < 12) return 'The two points are too near each other.';
    const length = await ds.lengthBox.ask({ words: 'How far apart are the two points?', refuses: (l) => (l.m < 0.01 ? 'too short' : null), near: b });
    if (!length) return null;
    const k = length.m / now;
    placed.scale_m_per_px *= k;
    placed.x_m = a[0] + (placed.x_m - a[0]) * k;
    placed.y_m = a[1] + (placed.y_m - a[1]) * k;
    keep();
    return `The picture is scaled: ${length.text} between the points.`;
  }

  return { start, load, draw, panel };
})();
