/**
 * The list of runs and steps: a tree through which the keyboard reaches everything.
 *
 * Only the rows in sight are drawn; steps stand under a run that is opened.
 */
ds.outline = (() => {
  const { byId, el, fill } = ds.dom;
  const ROW = 48;
  const AHEAD = 6;
  const JUMP_MS = 800;
  const FILTER_FROM = 12;
  let tree = null;
  let filter = null;
  let filterLine = null;
  let rows = [];
  let opened = new Set();
  let current = 0;
  let typed = '';
  let typedAt = 0;

  /** A run is told by its name, which it keeps when others before it go. */
  const nameOf = (at) => (ds.doc.view.runs[at] && ds.doc.view.runs[at].id) || at;
  const keyOf = (row) => `${row.kind}/${row.run ?? ''}/${row.step ?? ''}`;

  /** All rows as they stand: the unit, then runs after the run they leave, then steps of opened runs. */
  const gather = () => {
    const { view } = ds.doc;
    const wanted = filter.value.trim().toLowerCase();
    const fits = (run, at) => !wanted || ds.forms.runLabel(run, at).toLowerCase().includes(wanted) || run.steps.some(({ text }) => text.toLowerCase().includes(wanted))
      || ds.field.plain(ds.field.at(['runs', at, 'room'])).toLowerCase().includes(wanted);
    const bad = new Map();
    for (const fault of view.faults) {
      if (!Number.isInteger(fault.run)) continue;
      bad.set(`run/${fault.run}/`, true);
      if (Number.isInteger(fault.step)) bad.set(`step/${fault.run}/${fault.step}`, true);
    }
    const found = [];
    if (!wanted || 'unit plenum'.includes(wanted)) found.push({ kind: 'unit', level: 1, words: 'Unit and plenums' });
    const children = new Map();
    view.runs.forEach((run, at) => {
      const on = Number.isInteger(run.on_run) && run.on_run !== at ? run.on_run : null;
      if (!children.has(on)) children.set(on, []);
      children.get(on).push(at);
    });
    const seen = new Set();
    const walk = (at, level) => {
      if (seen.has(at)) return;
      seen.add(at);
      const run = view.runs[at];
      if (fits(run, at)) {
        const row = { kind: 'run', run: at, level: wanted ? 1 : level, words: ds.forms.runLabel(run, at), open: opened.has(nameOf(at)), count: run.steps.length };
        found.push({ ...row, bad: bad.has(keyOf(row)) });
        if (row.open) {
          run.steps.forEach((step, index) => {
            const under = { kind: 'step', run: at, step: index, level: row.level + 1, words: step.text };
            found.push({ ...under, bad: bad.has(keyOf(under)) });
          });
        }
      }
      for (const child of children.get(at) || []) walk(child, level + 1);
    };
    for (const at of children.get(null) || []) walk(at, 1);
    view.runs.forEach((_, at) => walk(at, 1));
    return found;
  };

  const isPicked = (row) => {
    const pick = ds.pick.get();
    if (!pick) return false;
    if (row.kind === 'unit') return pick.kind === 'unit';
    if (row.kind === 'step') return pick.run === row.run && pick.step === row.step;
    return pick.run === row.run && (!Number.isInteger(pick.step) || !opened.has(nameOf(row.run)));
  };

  const choose = (at) => {
    const row = rows[at];
    if (!row) return;
    current = at;
    ds.pick.set(row.kind === 'unit' ? { kind: 'unit' } : row.kind === 'run' ? { kind: 'run', run: row.run } : { kind: 'step', run: row.run, step: row.step });
    if (ds.drawing && ds.drawing.reveal) ds.drawing.reveal(ds.pick.get());
  };

  const toggle = (at, open) => {
    const row = rows[at];
    if (!row || row.kind !== 'run') return;
    if (open) opened.add(nameOf(row.run));
    else opened.delete(nameOf(row.run));
    gatherAgain();
  };

  const rowOf = (row, at) => {
    const picked = isPicked(row);
    const item = el('div', {
      class: `item ${row.kind}${picked ? ' picked' : ''}${at === current ? ' current' : ''}`, id: `row-${at}`, role: 'treeitem', 'aria-level': String(row.level), 'aria-selected': picked ? 'true' : 'false',
      'aria-expanded': row.kind === 'run' && row.count ? String(row.open) : null, 'aria-setsize': String(rows.length), 'aria-posinset': String(at + 1), data: { at: String(at) },
    },
    row.kind === 'run' && row.count ? el('span', { class: 'fold', 'aria-hidden': 'true' }, row.open ? '▾' : '▸') : el('span', { class: 'fold', 'aria-hidden': 'true' }),
    el('span', { class: 'words' }, row.words), row.bad ? el('strong', { class: 'wrong' }, 'wrong') : null);
    item.style.top = `${at * ROW}px`;
    item.style.paddingLeft = `${(Math.min(row.level, 6) - 1) * 14}px`;
    return item;
  };

  /** Draws the rows in sight, and the current one so that it can be spoken of. */
  const draw = () => {
    const inner = tree.firstChild;
    inner.style.height = `${rows.length * ROW}px`;
    const from = Math.max(0, Math.floor(tree.scrollTop / ROW) - AHEAD);
    const to = Math.min(rows.length, Math.ceil((tree.scrollTop + tree.clientHeight) / ROW) + AHEAD);
    const list = [];
    for (let at = from; at < to; at += 1) list.push(rowOf(rows[at], at));
    if (rows[current] && (current < from || current >= to)) list.push(rowOf(rows[current], current));
    fill(inner, list);
    if (rows[current]) tree.setAttribute('aria-activedescendant', `row-${current}`);
    else tree.removeAttribute('aria-activedescendant');
  };

  const gatherAgain = () => {
    if (!ds.doc.view) return;
    const before = rows[current] ? keyOf(rows[current]) : null;
    rows = gather();
    const at = rows.findIndex((row) => keyOf(row) === before);
    current = at >= 0 ? at : Math.max(0, Math.min(current, rows.length - 1));
    filterLine.hidden = ds.doc.view.runs.length < FILTER_FROM && !filter.value;
    draw();
  };

  const moveTo = (at) => {
    current = Math.max(0, Math.min(rows.length - 1, at));
    const top = current * ROW;
    if (top < tree.scrollTop) tree.scrollTop = top;
    else if (top + ROW > tree.scrollTop + tree.clientHeight) tree.scrollTop = top + ROW - tree.clientHeight;
    draw();
  };

  const jump = (letter) => {
    const now = performance.now();
    typed = now - typedAt > JUMP_MS ? letter : typed + letter;
    typedAt = now;
    const first = typed.length === 1 ? current + 1 : current;
    for (let by = 0; by < rows.length; by += 1) {
      const at = (first + by) % rows.length;
      if (rows[at].words.toLowerCase().startsWith(typed.toLowerCase())) {
        moveTo(at);
        return;
      }
    }
  };

  const keys = (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const row = rows[current];
    const page = Math.max(1, Math.floor(tree.clientHeight / ROW) - 1);
    const act = {
      ArrowDown: () => moveTo(current + 1),
      ArrowUp: () => moveTo(current - 1),
      PageDown: () => moveTo(current + page),
      PageUp: () => moveTo(current - page),
      Home: () => moveTo(0),
      End: () => moveTo(rows.length - 1),
      ArrowRight: () => {
        if (row && row.kind === 'run' && row.count && !row.open) toggle(current, true);
        else if (row && row.open) moveTo(current + 1);
      },
      ArrowLeft: () => {
        if (row && row.open) toggle(current, false);
        else if (row && row.kind === 'step') moveTo(rows.findIndex((one) => one.kind === 'run' && one.run === row.run));
      },
      Enter: () => choose(current),
      ' ': () => choose(current),
      Delete: () => {
        if (row && row.kind === 'run') ds.formRun.remove(row.run);
        else if (row && row.kind === 'step') ds.formStep.remove(row.run, row.step);
      },
    }[event.key];
    if (act) act();
    else if (event.key.length === 1) jump(event.key);
    else return;
    event.preventDefault();
    event.stopPropagation();
  };

  const click = (event) => {
    // By place, not by element: rows may have been drawn anew between press and release.
    const at = Math.floor((event.clientY - tree.firstChild.getBoundingClientRect().top) / ROW);
    if (!rows[at]) return;
    current = at;
    if (event.target.closest('.fold') && rows[at].kind === 'run') toggle(at, !rows[at].open);
    else choose(at);
    draw();
    if (ds.side.tab === 'runs' && matchMedia('(max-width: 1399px)').matches && !event.target.closest('.fold')) ds.side.show('piece');
  };

  /** What is picked elsewhere is shown here, its run opened. */
  const follow = (pick) => {
    if (pick && pick.kind === 'step') opened.add(nameOf(pick.run));
    gatherAgain();
    const at = rows.findIndex(isPicked);
    if (at >= 0 && at !== current) moveTo(at);
  };

  const start = () => {
    filter = el('input', { type: 'search', id: 'outline-filter', autocomplete: 'off', 'aria-label': 'Show only runs with these letters', placeholder: 'Find a run or a room', on: { input: gatherAgain } });
    filterLine = el('div', { class: 'find', hidden: true }, filter);
    tree = el('div', { id: 'tree', role: 'tree', tabIndex: 0, 'aria-label': 'Runs and their steps', on: { keydown: keys, click, scroll: draw } }, el('div', { class: 'inner', role: 'none' }));
    fill(byId('outline'), filterLine, tree);
    ds.doc.on('view', ({ how }) => {
      if (how === 'open') opened = new Set();
      gatherAgain();
    });
    ds.pick.on(follow);
    ds.side.whenShown('runs', draw);
    new ResizeObserver(draw).observe(tree);
    document.querySelector('.skip').addEventListener('click', (event) => {
      event.preventDefault();
      if (byId('tab-runs').offsetParent !== null) ds.side.show('runs');
      tree.focus();
    });
  };

  return { start };
})();
