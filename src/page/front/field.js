/** Fields of forms: each sends one change when it is left, and shows beside it what is wrong there. */
ds.field = (() => {
  const { el, fill, button, freshId } = ds.dom;

  const same = (a, b) => JSON.stringify(a) === JSON.stringify(b);
  const under = (path, root) => Array.isArray(path) && path.length >= root.length && root.every((part, at) => part === path[at]);

  /** Faults that stand at a path or below it. */
  const faultsAt = (path, exactly) => ds.doc.view.faults.filter((fault) => fault.path && (exactly ? same(fault.path, path) : under(fault.path, path)));

  /** One fault in words, with what to write instead. */
  const faultWords = (fault) => el('p', { class: 'wrong' }, fault.title, fault.label ? `: ${fault.label}` : '', fault.hint ? el('span', { class: 'hint' }, `; ${fault.hint}`) : null,
    fault.patch !== null && fault.patch !== undefined ? button(`Write “${fault.patch}” instead`, () => ds.field.mend(fault)) : null);

  /** Puts what the library offers in the place of what stands there. */
  const mend = (fault) => {
    const { text } = ds.doc;
    return ds.doc.setText(text.slice(0, fault.text_from) + fault.patch + text.slice(fault.text_to), `write “${fault.patch}”`);
  };

  /** What a path holds in the sketch as written; undefined where it holds nothing. */
  const at = (path) => {
    let here = ds.doc.view.sketch;
    for (const part of path) {
      if (here === null || here === undefined || typeof here !== 'object') return undefined;
      here = Object.hasOwn(here, part) ? here[part] : undefined;
    }
    return here;
  };

  const plain = (value) => {
    if (value === null || value === undefined) return '';
    if (Array.isArray(value)) return value.map(plain).join(', ');
    return typeof value === 'object' ? JSON.stringify(value) : String(value);
  };

  /** The change that writes a value at a path; an empty value takes the key away. */
  const setting = (path) => (value) => (value === '' ? (at(path) === undefined ? [] : [{ do: 'remove', path }]) : [{ do: 'set', path, value }]);

  /**
   * A field.
   * `label`; `path` in the sketch; `value` if it is not what the path holds; `words` for undo; `changes(value)` if not a plain set;
   * `options`: words to choose from; `empty`: words of the choice that says nothing; `big`: options as large buttons; `own`: with typing
   * beside the large buttons; `near`: words offered while typing; `example`; `note`; `lines`: rows of a longer text.
   */
  const make = (spec) => {
    const key = spec.key || (spec.path ? spec.path.join('/') : spec.label);
    const id = freshId('field');
    const value = plain(spec.value === undefined ? at(spec.path) : spec.value);
    const changes = spec.changes || setting(spec.path);
    const wrong = el('div', { class: 'beside', id: `${id}-wrong` });
    const found = spec.path ? faultsAt(spec.path) : [];
    put(wrong, found);

    let sent = null;
    const send = async (next, from) => {
      const wanted = next.trim();
      if (wanted === value || wanted === sent) return;
      sent = wanted;
      const list = changes(wanted);
      if (!list || !list.length) return;
      const done = await ds.doc.change(list, `${spec.words || spec.label.toLowerCase()}`, { quiet: true });
      if (done) {
        if (spec.then) spec.then(done, wanted);
        return;
      }
      sent = null;
      const refused = ds.doc.refused || { title: 'this cannot be written' };
      const shown = document.querySelector(`[data-key="${CSS.escape(key)}"]`);
      const beside = shown ? shown.closest('.field').querySelector('.beside') : wrong;
      fill(beside, el('p', { class: 'wrong', role: 'alert' }, refused.title, refused.hint ? el('span', { class: 'hint' }, `; ${refused.hint}`) : null));
      if (from) from.setAttribute('aria-invalid', 'true');
    };

    const common = {
      id, data: { key, was: value }, 'aria-invalid': found.length ? 'true' : null, 'aria-describedby': `${id}-wrong`,
    };
    let input;
    if (spec.options && !spec.big) {
      const known = spec.options.includes(value) || value === '';
      input = el('select', { ...common, on: { change: () => send(input.value, input) } },
        el('option', { value: '' }, spec.empty || 'not said'),
        known ? null : el('option', { value }, value),
        spec.options.map((word) => el('option', { value: word }, spec.mean ? spec.mean(word) : ds.words.meaning(word))));
      input.value = value;
    } else if (spec.lines) {
      input = el('textarea', { ...common, rows: spec.lines, value, on: { change: () => send(input.value, input), blur: () => input.isConnected && send(input.value, input) } });
    } else if (!spec.big || spec.own) {
      input = el('input', {
        ...common, type: 'text', value, autocomplete: 'off', spellcheck: false, placeholder: spec.example || '',
        on: {
          change: () => send(input.value, input),
          // What was typed before the form was made anew is not told by `change`.
          blur: () => input.isConnected && send(input.value, input),
          keydown: (event) => {
            if (event.key === 'Enter') send(input.value, input);
            if (event.key === 'Escape' && input.value !== value) {
              input.value = value;
              event.stopPropagation();
            }
          },
        },
      });
    }
    const near = spec.near && spec.near.length && input ? el('datalist', { id: `${id}-near` }, spec.near.map((word) => el('option', { value: word }))) : null;
    if (near) input.setAttribute('list', near.id);
    const buttons = spec.big ? el('div', { class: 'row big', role: 'group', 'aria-label': spec.label }, spec.big.map((word) => {
      const [write, show] = Array.isArray(word) ? word : [word, word];
      return button(show, () => send(write), { 'aria-pressed': write === value ? 'true' : 'false', data: { key: `${key}=${write}` } });
    })) : null;
    const label = input ? el('label', { for: id }, spec.label) : el('span', { class: 'label' }, spec.label);
    return el('div', { class: 'field' }, label, buttons, input, near, spec.note ? el('p', { class: 'note' }, spec.note) : null, wrong);
  };

  const put = (beside, faults) => fill(beside, faults.map(faultWords));

  /** A box whose inside is made when it is first opened: long lists stay quick. */
  const fold = (key, summary, build) => {
    const box = el('details', { data: { key } }, el('summary', {}, summary));
    let made = false;
    box.makeInside = () => {
      if (!made) ds.dom.put(box, [build()]);
      made = true;
    };
    box.addEventListener('toggle', () => box.open && box.makeInside());
    return box;
  };

  /** After a press, before its click has come, ms. Engineering estimate. */
  const CLICK_MS = 60;
  let pressed = null;
  const waiting = new Map();

  /** A panel made anew under a finger would take the press away: it waits until the finger is gone. */
  const watchPresses = () => {
    addEventListener('pointerdown', (event) => {
      pressed = event.target;
    }, true);
    const release = () => setTimeout(() => {
      pressed = null;
      const all = [...waiting];
      waiting.clear();
      for (const [panel, build] of all) keepTyping(panel, build);
    }, CLICK_MS);
    for (const end of ['pointerup', 'pointercancel']) addEventListener(end, release, true);
    // The click has come: what it does may show at once.
    addEventListener('click', () => {
      pressed = null;
    }, true);
  };

  /**
   * Fills a panel anew and leaves the keyboard, and what is being typed, where they were.
   */
  const keepTyping = (panel, build) => {
    if (pressed && panel.contains(pressed) && panel.childElementCount) {
      waiting.set(panel, build);
      return;
    }
    waiting.delete(panel);
    const active = panel.contains(document.activeElement) ? document.activeElement : null;
    const key = active && active.dataset.key;
    const typed = active && 'value' in active && active.dataset.was !== undefined && active.value !== active.dataset.was ? active.value : null;
    const from = active && active.selectionStart;
    const to = active && active.selectionEnd;
    const opened = new Set([...panel.querySelectorAll('details[open][data-key]')].map((one) => one.dataset.key));
    const { scrollTop } = panel.parentElement;
    fill(panel, build());
    for (const one of panel.querySelectorAll('details[data-key]')) {
      if (!opened.has(one.dataset.key)) continue;
      if (one.makeInside) one.makeInside();
      one.open = true;
    }
    panel.parentElement.scrollTop = scrollTop;
    if (!key) return;
    const again = panel.querySelector(`[data-key="${CSS.escape(key)}"]`);
    if (!again) return;
    if (typed !== null && again.tagName !== 'SELECT') again.value = typed;
    again.focus({ preventScroll: true });
    if (typeof from === 'number' && again.setSelectionRange) {
      try {
        again.setSelectionRange(from, to);
      } catch {
        // Kinds of input that hold no place for the caret.
      }
    }
  };

  watchPresses();

  return { make, at, plain, faultsAt, faultWords, mend, fold, keepTyping, setting };
})();
