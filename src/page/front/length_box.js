// A box for a length, with big keys for fingers: `10`, `10 6` is 10 ft 6 in, `3.2 m`.
/* global ds */
ds.lengthBox = (() => {
  let box = null;
  let field = null;
  let said = null;
  let title = null;
  let done = null;
  let check = null;

  function start(board) {
    const { el, button } = ds.dom;
    title = el('label', { class: 'b-length-title', for: 'b-length' });
    field = el('input', { id: 'b-length', type: 'text', inputMode: 'none', autocomplete: 'off', spellcheck: false, 'aria-describedby': 'b-length-said', on: { input: tell, keydown: keys } });
    said = el('p', { id: 'b-length-said', class: 'b-length-said', role: 'status' });
    const key = (words, put, label) => button(words, () => type(put), { 'aria-label': label || words, class: 'b-key' });
    const pad = el('div', { class: 'b-pad' },
      [7, 8, 9, 4, 5, 6, 1, 2, 3].map((d) => key(String(d), String(d))),
      key('ft', ' ft ', 'ft, feet'), key('0', '0'), key('in', ' in', 'in, inches'),
      key('.', '.', 'point'), key('m', ' m', 'm, metres'),
      button('⌫', () => type(null), { 'aria-label': 'Take the last away', class: 'b-key' }));
    box = el('form', { class: 'b-length', hidden: true, 'aria-label': 'Length', on: { submit: (event) => {
      event.preventDefault();
      commit();
    } } }, title, field, said, pad, el('div', { class: 'b-length-acts' }, button('Cancel', () => finish(null)), el('button', { type: 'submit', class: 'main' }, 'Set')));
    board.append(box);
  }

  function type(put) {
    const selected = field.selectionStart !== field.selectionEnd;
    if (put === null) field.value = selected ? '' : field.value.replace(/(\s*(ft|in|m)\s*|.)$/, '');
    else field.value = (selected ? '' : field.value) + (/^\d|\./.test(put) || field.value !== '' ? put : '');
    field.setSelectionRange(field.value.length, field.value.length);
    tell();
  }

  function tell() {
    const length = ds.snap.read(field.value);
    said.textContent = field.value.trim() === '' ? `type a length like ${ds.snap.isSi() ? '3.2' : '10 6'}` : length ? (check && check(length)) || length.text : 'this does not read as a length';
    return length;
  }

  function keys(event) {
    if (event.key === 'Escape') {
      event.stopPropagation();
      finish(null);
    }
  }

  function commit() {
    const length = tell();
    if (!length || (check && check(length))) {
      field.focus();
      return;
    }
    finish(length);
  }

  function finish(length) {
    box.hidden = true;
    const answer = done;
    done = null;
    ds.drawing.view.focus({ preventScroll: true });
    if (answer) answer(length);
  }

  /**
   * Asks for a length. `first` is what was typed already; `value` stands selected, to be typed over. `refuses(length)` gives words why not, or null.
   * @returns a promise of `{m, text}`, or null where the person thought better of it
   */
  function ask({ words, value = '', first = '', refuses = null, near = null }) {
    if (done) finish(null);
    check = refuses;
    title.textContent = words;
    field.value = first || value;
    box.hidden = false;
    const size = ds.camera.size;
    const [x, y] = near ? ds.camera.toBoard(near) : [size.w / 2, size.h / 2];
    const left = x + 60 + box.offsetWidth < size.w ? x + 60 : Math.max(6, x - 60 - box.offsetWidth);
    box.style.transform = `translate(${Math.round(left)}px, ${Math.round(Math.max(6, Math.min(size.h - box.offsetHeight - 6, y - box.offsetHeight / 2)))}px)`;
    field.focus({ preventScroll: true });
    if (first) field.setSelectionRange(first.length, first.length);
    else field.select();
    tell();
    return new Promise((resolve) => {
      done = resolve;
    });
  }

  return { start, ask, cancel: () => done && finish(null), get open() { return Boolean(done); } };
})();
