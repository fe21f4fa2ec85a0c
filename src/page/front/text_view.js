/** The Text tab: the sketch itself, with line numbers; never written over while it is being typed. */
ds.textView = (() => {
  const { byId, el, fill, button } = ds.dom;
  const PAUSE_MS = 1500;
  let area = null;
  let lines = null;
  let note = null;
  let typed = false;
  let basis = '';
  let timer = null;
  let composing = false;
  /** What the numbers beside the text were made for. */
  let numbered = '';

  const bad = () => new Set(ds.doc.view && ds.doc.text === area.value ? ds.doc.view.faults.map(({ line }) => line) : []);

  const number = () => {
    const count = area.value.split('\n').length;
    const wrong = bad();
    const now = `${count}:${[...wrong].join()}`;
    if (now !== numbered) fill(lines, Array.from({ length: count }, (_, at) => el('span', { class: wrong.has(at + 1) ? 'bad' : '' }, wrong.has(at + 1) ? `! ${at + 1}` : String(at + 1))));
    numbered = now;
    lines.scrollTop = area.scrollTop;
  };

  const say = () => {
    const newer = typed && ds.doc.text !== basis;
    fill(note, typed ? (newer ? 'The sketch was changed elsewhere while you typed here. “Take this text” puts yours in its place.' : 'Typed, not taken yet.') : 'The drawing shows this text.',
      newer ? button('Throw away what I typed', () => { typed = false; render(); }) : null);
  };

  const read = async () => {
    clearTimeout(timer);
    if (!typed) return;
    const of = area.value;
    await ds.doc.setText(of, 'what was typed in the text');
    if (area.value === of) typed = false;
    basis = ds.doc.text;
    number();
    say();
  };

  const input = () => {
    if (!typed) basis = ds.doc.text;
    typed = area.value !== ds.doc.text;
    clearTimeout(timer);
    // What others wrote meanwhile is not written over by a pause: the person says so.
    if (typed && !composing && ds.doc.text === basis) timer = setTimeout(read, PAUSE_MS);
    number();
    say();
  };

  const render = () => {
    if (!ds.doc.view || !area) return;
    if (!typed && area.value !== ds.doc.text) {
      const { selectionStart, selectionEnd, scrollTop } = area;
      area.value = ds.doc.text;
      area.setSelectionRange(selectionStart, selectionEnd);
      area.scrollTop = scrollTop;
    }
    if (typed && ds.doc.text !== basis) clearTimeout(timer);
    if (ds.side.tab === 'text') number();
    say();
  };

  /** Shows a place of the text and marks it. */
  const select = (from, to) => {
    ds.side.show('text');
    ds.side.setSheet('high');
    area.focus();
    area.setSelectionRange(from, to);
    const line = area.value.slice(0, from).split('\n').length;
    const height = parseFloat(getComputedStyle(area).lineHeight);
    area.scrollTop = Math.max(0, (line - 4) * height);
    number();
  };

  /** Shows a piece in the text: by the fault at its path, else from the start. */
  const go = (path) => {
    const fault = ds.field.faultsAt(path)[0];
    select(fault ? fault.text_from : 0, fault ? fault.text_to : 0);
  };

  const start = () => {
    const panel = byId('panel-text');
    lines = el('div', { class: 'lines', 'aria-hidden': 'true' });
    note = el('p', { class: 'note', role: 'status' });
    area = el('textarea', {
      id: 'sketch-text', spellcheck: false, autocomplete: 'off', wrap: 'off', 'aria-label': 'The sketch as text', autocapitalize: 'off',
      on: {
        input,
        scroll: () => { lines.scrollTop = area.scrollTop; },
        // Leaving the text reads it: nothing typed is left behind. What others wrote meanwhile is not written over.
        blur: () => typed && ds.doc.text === basis && read(),
        compositionstart: () => { composing = true; },
        compositionend: () => { composing = false; input(); },
        keydown: (event) => {
          if ((event.ctrlKey || event.metaKey) && event.key === 'Enter') read();
        },
      },
    });
    fill(panel, el('div', { class: 'row' }, button('Take this text', read, { class: 'main' }), note), el('div', { class: 'paper' }, lines, area));
    ds.doc.on('view', render);
    ds.side.whenShown('text', number);
  };

  return { start, select, go, get typed() { return typed; } };
})();
