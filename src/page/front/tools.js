// The tools, one at a time, and the strip of sections that the next run gets.
/* global ds */
ds.tools = (() => {
  const TOOLS = [
    ['pick', 'Pick', 'M6 3l12 9-6 1-3 6z'],
    ['run', 'Run', 'M3 8h18M3 14h18M17 4l5 7-5 7'],
    ['boot', 'Boot', 'M5 5h14v14H5zM5 5l14 14M19 5L5 19'],
    ['box', 'Return box', 'M4 4h16v16H4zM4 20L20 4'],
    ['cap', 'Cap', 'M3 8h14M3 16h14M18 4v16'],
    ['elbow', 'Elbow', 'M3 20V12q0-8 8-8h10M9 20v-6q0-4 4-4h8'],
    ['reducer', 'Reducer', 'M3 4l9 4h9M3 20l9-4h9'],
    ['takeoff', 'Takeoff', 'M2 14h20M2 21h20M9 14V4M15 14V4'],
    ['damper', 'Damper', 'M3 6h18M3 18h18M8 18L16 6'],
    ['erase', 'Erase', 'M5 5l14 14M19 5L5 19'],
  ];
  // Usual sizes of the trade (common practice), where the library has told none.
  const USUAL = {
    ip: { round: ['4 in', '5 in', '6 in', '7 in', '8 in', '9 in', '10 in', '12 in', '14 in'], rectangular: ['8x6 in', '8x8 in', '10x8 in', '12x8 in', '14x8 in', '16x8 in', '18x8 in', '20x8 in', '24x8 in', '24x10 in'] },
    si: { round: ['100 mm', '125 mm', '150 mm', '160 mm', '180 mm', '200 mm', '250 mm', '315 mm'], rectangular: ['200x150 mm', '200x200 mm', '250x200 mm', '300x200 mm', '350x200 mm', '400x200 mm', '500x200 mm', '600x250 mm'] },
  };
  const FIRST = { ip: { trunk: '14x8 in', branch: '6 in' }, si: { trunk: '400x200 mm', branch: '160 mm' } };
  let tool = 'pick';
  let bar = null;
  let strip = null;
  const chosen = { trunk: { material: 'rectangular', size: null }, branch: { material: 'round', size: null }, takeoff: 'tab collar' };

  const units = () => (ds.snap.isSi() ? 'si' : 'ip');

  /** Usual sizes, small to large, as written. */
  function sizes(kind) {
    const key = kind === 'round' ? 'round_sizes' : 'rect_sizes';
    const said = ds.doc.choices && ds.doc.choices[key] && ds.doc.choices[key][units()];
    return Array.isArray(said) && said.length ? said.map(String) : USUAL[units()][kind];
  }

  const isRoundMaterial = (material) => ['round', 'spiral', 'flex'].includes(material);
  const unitsFit = (size) => (units() === 'si') === /m\b/.test(size);

  function sectionOf(which) {
    const c = chosen[which];
    const all = sizes(isRoundMaterial(c.material) ? 'round' : 'rectangular');
    if (!c.size || !unitsFit(c.size)) c.size = all.includes(FIRST[units()][which]) ? FIRST[units()][which] : all[Math.floor(all.length / 2)];
    const round = !/x/.test(c.size);
    if (round !== isRoundMaterial(c.material)) c.size = all.includes(FIRST[units()][which]) ? FIRST[units()][which] : all[Math.floor(all.length / 2)];
    return { material: c.material, size: c.size };
  }

  function start(place, board) {
    if (!place) return;
    const { el } = ds.dom;
    bar = place;
    bar.setAttribute('role', 'toolbar');
    bar.setAttribute('aria-orientation', 'vertical');
    bar.classList.add('b-tools');
    for (const [name, words, d] of TOOLS) {
      const sign = ds.paint.el('svg', { viewBox: '0 0 24 24', width: 22, height: 22, 'aria-hidden': 'true' });
      sign.append(ds.paint.el('path', { d }));
      bar.append(el('button', { type: 'button', class: 'b-tool', data: { tool: name }, on: { click: () => choose(name) } }, sign, el('span', {}, words)));
    }
    bar.addEventListener('keydown', keys);
    strip = el('div', { class: 'b-sections', hidden: true, role: 'group', 'aria-label': 'Section of the next run' });
    board.append(strip);
    mark();
  }

  function keys(event) {
    const all = [...bar.querySelectorAll('button')];
    const k = all.indexOf(document.activeElement);
    const to = { ArrowDown: k + 1, ArrowRight: k + 1, ArrowUp: k - 1, ArrowLeft: k - 1, Home: 0, End: all.length - 1 }[event.key];
    if (to === undefined || k < 0) return;
    event.preventDefault();
    all[(to + all.length) % all.length].focus();
  }

  function mark() {
    for (const button of bar ? bar.querySelectorAll('button') : []) {
      button.setAttribute('aria-pressed', button.dataset.tool === tool ? 'true' : 'false');
      button.tabIndex = button.dataset.tool === tool ? 0 : -1;
    }
    if (ds.drawing.view) ds.drawing.view.dataset.tool = tool;
    sections();
  }

  /** Takes up a tool; it stays until another is chosen. */
  function choose(name) {
    if (tool === name) return;
    tool = name;
    ds.strip.close();
    ds.keys.dropPen();
    mark();
    ds.drawing.overlay();
    ds.hint.show();
    ds.drawing.say(`${TOOLS.find((t) => t[0] === name)[1]}. ${HINTS[name]}`);
  }

  /** What a press does with each tool. */
  const HINTS = {
    pick: 'Press a piece or a seam; drag the round handle of an open end to go on.',
    run: 'Press a plenum, a run or an open end, and drag.',
    boot: 'Press a run or its end: the boot ends it there.',
    box: 'Press a return run or its end: the return box ends it there.',
    cap: 'Press a run or its end: the cap closes it there.',
    elbow: 'Press a run with an open end: the elbow goes to its end.',
    reducer: 'Press where a run gets smaller, or its open end.',
    takeoff: 'Press a run where a branch leaves, and drag sideways.',
    damper: 'Press a run where the damper sits.',
    erase: 'Press the piece that is to go.',
  };

  function select(label, options, value, does) {
    const { el } = ds.dom;
    const all = options.includes(value) ? options : [value, ...options];
    const field = el('select', { 'aria-label': label, on: { change: () => does(field.value) } }, all.map((o) => el('option', { value: o, selected: o === value }, o)));
    return field;
  }

  /** Boards narrower than this show the sections in a line that opens, px. */
  const SMALL = 560;
  let isOpen = false;

  /** What the next runs get, in a line. */
  function inShort() {
    const { size: trunk } = sectionOf('trunk');
    const { size: branch } = sectionOf('branch');
    return [tool === 'run' ? `Trunk ${trunk}` : null, `Branch ${branch}`, chosen.takeoff].filter(Boolean).join(', ');
  }

  function sections() {
    if (!strip) return;
    const { fill, el } = ds.dom;
    const show = tool === 'run' || tool === 'takeoff';
    strip.hidden = !show;
    if (!show) return;
    const materials = ['rectangular', 'round', 'spiral', 'flex', 'duct board', 'panned joist'];
    const one = (which, words) => {
      const s = sectionOf(which);
      const kind = isRoundMaterial(s.material) ? 'round' : 'rectangular';
      return el('div', { class: 'b-section' }, el('span', {}, words),
        select(`${words}, material`, materials, s.material, (material) => {
          chosen[which].material = material;
          sections();
        }),
        select(`${words}, size`, sizes(kind), s.size, (size) => {
          chosen[which].size = size;
          sections();
        }));
    };
    const takeoffs = (ds.doc.choices && ds.doc.choices.takeoffs) || ['tab collar', 'spin-in collar', 'side tap'];
    const at = strip.contains(document.activeElement) ? document.activeElement.getAttribute('aria-label') : null;
    const inside = [tool === 'run' ? one('trunk', 'Trunk') : null, one('branch', 'Branch'),
      el('div', { class: 'b-section' }, el('span', {}, 'Takeoff'), select('Takeoff', takeoffs.map((t) => (typeof t === 'string' ? t : t.word || t.key)), chosen.takeoff, (t) => {
        chosen.takeoff = t;
        sections();
      }))];
    const isSmall = ds.camera.size.w < SMALL;
    fill(strip, isSmall ? el('details', { open: isOpen, on: { toggle: (event) => {
      isOpen = event.target.open;
    } } }, el('summary', {}, inShort()), inside) : inside);
    if (at !== null) [...strip.querySelectorAll('select')].find((one) => one.getAttribute('aria-label') === at)?.focus({ preventScroll: true });
  }

  return {
    start, choose, sizes,
    trunkSection: () => sectionOf('trunk'),
    branchSection: () => sectionOf('branch'),
    takeoff: () => chosen.takeoff,
    get hint() { return HINTS[tool]; },
    get tool() { return tool; },
  };
})();
