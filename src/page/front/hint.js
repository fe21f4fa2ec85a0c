// One line at the foot of the board: what to do next, in the present state and with the present tool.
/* global ds */
ds.hint = (() => {
  /** How long words stand that say why nothing came of something, ms. */
  const FLASH_MS = 6000;
  let line = null;
  let timer = 0;

  function start(foot) {
    line = ds.dom.el('p', { class: 'b-hint', hidden: true });
    foot.append(line);
    ds.doc.on('view', () => show());
    ds.doc.on('answers', () => show());
    ds.pick.on(() => show());
  }

  const nameOf = (run) => run.id || 'a run';

  /** The next thing to do, from what the sketch lacks. */
  function next() {
    const { view } = ds.doc;
    if (!view.sketch) return 'The text cannot be read: see Faults.';
    if (!view.runs.length) return 'No duct yet: choose Run, press the supply plenum, and drag.';
    const wrong = view.faults.length + (view.more_faults || 0);
    // An end that stands open is told as what to do, not as something wrong.
    const isOpenEnd = (fault) => ds.hit.isOpen(view.runs[fault.run]);
    if (wrong && !view.faults.every(isOpenEnd)) return `${wrong === 1 ? 'One thing is' : `${wrong} things are`} wrong: press the sign on the drawing, or see Faults.`;
    const open = view.runs.filter(ds.hit.isOpen);
    if (open.length) return `${open.length === 1 ? `The end of ${nameOf(open[0])} is open` : `${open.length} ends are open`}: go on, or end ${open.length === 1 ? 'it' : 'them'} with a boot or a cap.`;
    const has = (side) => view.runs.some((run) => run.side === side);
    if (!has('return')) return 'No return yet: choose Run, press the return plenum, and drag.';
    if (!has('supply')) return 'No supply yet: choose Run, press the supply plenum, and drag.';
    const readings = ds.field.at(['readings']);
    if (!Array.isArray(readings) || !readings.length) return 'All is closed. Now enter what the fan read: Readings.';
    if (ds.asking.busy && !ds.doc.answersFor) return 'Working out where it leaks…';
    return ds.doc.answersFor ? 'Press a seam to say what was seen there; what to do next stands under Answers.' : '';
  }

  /** What the picked piece or tool asks for, else the next thing to do. */
  function words() {
    if (!ds.doc.view) return '';
    const { tool } = ds.tools;
    const isEmpty = !ds.doc.view.runs.length;
    if (tool === 'run' && isEmpty) return 'Press the supply plenum and drag the way the trunk goes.';
    const pick = ds.pick.get();
    const run = pick && ds.doc.view.runs[pick.run];
    if (tool !== 'pick' && tool !== 'run') return ds.tools.hint;
    if (pick && pick.kind === 'end' && ds.hit.isOpen(run)) return 'Go on: drag the round handle, or type a length. Or end it with a boot or a cap.';
    if (tool === 'pick' && pick && pick.kind === 'seam') return `${pick.seam}: say under Piece what smoke did, or what was seen.`;
    return tool === 'run' ? ds.tools.hint : next();
  }

  function put(text, isFlash) {
    if (!line) return;
    line.hidden = text === '';
    if (line.textContent !== text) line.textContent = text;
    line.classList.toggle('b-flash', isFlash);
  }

  function show() {
    clearTimeout(timer);
    put(words(), false);
  }

  /** Words for a moment: why nothing came of what was tried. */
  function flash(text) {
    clearTimeout(timer);
    put(text, true);
    timer = setTimeout(show, FLASH_MS);
  }

  return { start, show, flash };
})();
