/** The side: its tabs, and the sheet that it becomes on a narrow screen. */
ds.side = (() => {
  const { byId, el, fill } = ds.dom;
  const SHEETS = ['low', 'half', 'high'];
  const TABS = [
    ['runs', 'Runs'],
    ['piece', 'Piece'],
    ['readings', 'Readings'],
    ['answers', 'Answers'],
    ['faults', 'Faults'],
    ['text', 'Text'],
  ];
  const shown = new Map();
  const { on, emit } = ds.emitter();
  let tab = 'piece';

  const panelOf = (name) => byId(name === 'runs' ? 'outline' : `panel-${name}`);

  /** Shows a tab; a narrow screen's sheet comes up far enough to be read. */
  const show = (name, how) => {
    tab = name;
    document.body.dataset.tab = name;
    for (const [key] of TABS) {
      const button = byId(`tab-${key}`);
      button.setAttribute('aria-selected', key === name ? 'true' : 'false');
      button.tabIndex = key === name ? 0 : -1;
      if (key !== 'runs') panelOf(key).hidden = key !== name;
    }
    if (how && how.focus) byId(`tab-${name}`).focus();
    if (document.body.dataset.sheet === 'low' && !(how && how.quiet)) setSheet('half');
    emit('tab', name);
    const listener = shown.get(name);
    if (listener) listener();
  };

  const setSheet = (height) => {
    document.body.dataset.sheet = height;
    document.body.style.removeProperty('--sheet');
    byId('handle').setAttribute('aria-label', height === 'high' ? 'Push this sheet down' : 'Draw this sheet up');
  };

  const count = (name, number, words) => {
    const label = TABS.find(([key]) => key === name)[1];
    fill(byId(`tab-${name}`), label, number ? el('span', { class: 'count' }, ` ${number}`) : null, number ? el('span', { class: 'unseen' }, ` ${words}`) : null);
  };

  const keys = (event) => {
    const names = TABS.map(([key]) => key).filter((key) => byId(`tab-${key}`).offsetParent !== null);
    const at = names.indexOf(tab);
    const to = { ArrowRight: at + 1, ArrowLeft: at - 1, Home: 0, End: names.length - 1 }[event.key];
    if (to === undefined) return;
    event.preventDefault();
    show(names[(to + names.length) % names.length], { focus: true });
  };

  /** The sheet follows the finger and rests at the nearest of its heights. */
  const drag = () => {
    const handle = byId('handle');
    let from = null;
    let moved = false;
    handle.addEventListener('pointerdown', (event) => {
      from = { y: event.clientY, height: byId('side').getBoundingClientRect().height };
      moved = false;
      handle.setPointerCapture(event.pointerId);
    });
    handle.addEventListener('pointermove', (event) => {
      if (!from) return;
      const by = from.y - event.clientY;
      if (Math.abs(by) > 6) moved = true;
      if (moved) document.body.style.setProperty('--sheet', `${Math.max(96, Math.min(innerHeight * 0.9, from.height + by))}px`);
    });
    const rest = () => {
      if (!from) return;
      from = null;
      if (!moved) return;
      const part = byId('side').getBoundingClientRect().height / innerHeight;
      setSheet(part < 0.28 ? 'low' : part < 0.66 ? 'half' : 'high');
    };
    handle.addEventListener('pointerup', rest);
    handle.addEventListener('pointercancel', rest);
    handle.addEventListener('click', () => {
      if (moved) return;
      setSheet(SHEETS[(SHEETS.indexOf(document.body.dataset.sheet) + 1) % SHEETS.length]);
    });
  };

  const start = () => {
    const tabs = byId('tabs');
    for (const [name, words] of TABS) {
      tabs.append(el('button', {
        type: 'button', id: `tab-${name}`, role: 'tab', 'aria-controls': name === 'runs' ? 'outline' : `panel-${name}`,
        on: { click: () => show(name), keydown: keys },
      }, words));
      if (name !== 'runs') byId('panels').append(el('section', { id: `panel-${name}`, role: 'tabpanel', 'aria-labelledby': `tab-${name}`, hidden: true }));
    }
    drag();
    show('piece', { quiet: true });
    if (innerWidth < 900) setSheet('low');
  };

  return {
    start, show, count, setSheet, panelOf,
    get tab() { return tab; },
    on: (listener) => on('tab', listener),
    whenShown: (name, listener) => shown.set(name, listener),
  };
})();
