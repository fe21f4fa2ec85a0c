/**
 * The document: the text of the sketch, what the library makes of it, and the way back.
 *
 * The text is the truth. Changes are made by the library one after another; undo is the text before.
 */
ds.doc = (() => {
  const KEPT = 200;
  const SAVE_AFTER_MS = 150;
  /** Changes that follow one another without a pause put a save off no longer than this. Engineering estimate. */
  const SAVE_AT_LATEST_MS = 1000;
  const { on, emit } = ds.emitter();
  const back = [];
  const forth = [];
  let queue = Promise.resolve();
  let name = 'sketch.yaml';
  let text = '';
  let view = null;
  let choices = null;
  let base = 0;
  let savedText = null;
  let saving = false;
  let state = { state: 'saved', words: 'saved' };
  let timer = null;
  let waitingSince = null;
  let retryMs = 1000;
  let held = false;
  let refused = null;
  /** What was sent last without an answer: it may be in the file all the same. */
  let sent = null;
  /** What others wrote while a save was under way. */
  let heard = null;

  const say = (next) => {
    state = next;
    emit(next.state === 'lost' ? 'lost' : next.state === 'saved' ? 'saved' : 'saving', next);
  };

  /** One thing after another: a change is always made on the text that the one before it left. */
  const inTurn = (work) => {
    const done = queue.then(work);
    queue = done.catch(() => {});
    return done;
  };

  const ask = async (request) => {
    for (let wait = 500; ; wait = Math.min(wait * 2, 8000)) {
      try {
        const reply = await ds.host.ask(request, 'quick');
        if (state.state === 'lost') save();
        return reply;
      } catch (trouble) {
        if (trouble && trouble.stale) continue;
        if (!trouble || !trouble.lost) throw trouble;
        say({ state: 'lost', words: lostWords(trouble) });
        await new Promise((done) => setTimeout(done, wait));
      }
    }
  };

  const lostWords = (trouble) => `not saved: ${(trouble && trouble.words) || 'the program does not answer'}; your work is kept in this page: save a copy before you close it`;

  const lookAt = async (of) => {
    const reply = await ask({ ask: 'look', text: of });
    return reply.ok ? reply.view : { ...emptyView(), refused: reply.refused };
  };

  const emptyView = () => ({
    stands: false, title: '', units: 'ip', sketch: null, faults: [], more_faults: 0, warnings: [], cautions: [], runs: [], pieces: [], seams: [],
    openings: [], places: [],
  });

  const arrive = (nextText, nextView, how) => {
    text = nextText;
    const viewBefore = how === 'open' ? null : view;
    view = nextView;
    ds.pick.keepWithin(view, viewBefore);
    emit('view', { text, view, how });
    if (text !== savedText) save();
  };

  const remember = (label) => {
    back.push({ text, label });
    if (back.length > KEPT) back.shift();
    forth.length = 0;
  };

  /**
   * Has the library change the sketch.
   * @returns `{at: [paths]}`, or null where it was refused (told by `refused`; who tells it beside a field says `{quiet: true}`)
   */
  const change = (changes, label, how) => {
    const places = ds.places.of(view, changes);
    return inTurn(() => changeNow(changes, label, how, places));
  };

  const changeNow = async (changes, label, how, places) => {
    const before = text;
    if (!ds.places.stand(view, places)) {
      refused = { title: 'the sketch changed meanwhile', hint: 'look, and do it once more if it is still wanted' };
      emit('refused', { ...refused, label, changes, told: Boolean(how && how.quiet) });
      return null;
    }
    const reply = await ask({ ask: 'change', text: before, changes });
    if (!reply.ok) {
      refused = reply.refused;
      emit('refused', { ...reply.refused, label, changes, told: Boolean(how && how.quiet) });
      return null;
    }
    refused = null;
    if (reply.text !== before) remember(label);
    arrive(reply.text, reply.view, 'change');
    return { at: reply.at || [] };
  };

  /** Takes a whole text, as typed or as opened. */
  const setText = (next, label) => inTurn(async () => {
    if (next === text) return;
    const nextView = await lookAt(next);
    remember(label);
    arrive(next, nextView, 'text');
  });

  const step = (from, to) => inTurn(async () => {
    const entry = from.pop();
    if (!entry) return;
    const nextView = await lookAt(entry.text);
    to.push({ text, label: entry.label });
    arrive(entry.text, nextView, 'undo');
  });

  const save = () => {
    clearTimeout(timer);
    if (held) return;
    if (state.state !== 'lost') say({ state: 'saving', words: 'saving' });
    waitingSince ??= performance.now();
    timer = setTimeout(saveNow, Math.max(0, Math.min(SAVE_AFTER_MS, waitingSince + SAVE_AT_LATEST_MS - performance.now())));
  };

  const saveNow = async (force) => {
    if (saving || held) return;
    waitingSince = null;
    const of = text;
    const before = sent;
    sent = of;
    saving = true;
    try {
      const reply = await ds.host.save(of, base, force === true);
      if (reply.outside && reply.outside.text === before) {
        // The save before this one came through, only its answer did not.
        base = reply.outside.revision;
        savedText = before;
      } else if (reply.outside) {
        await conflict(reply.outside, 'save');
      } else {
        base = reply.revision;
        savedText = of;
        sent = null;
        retryMs = 1000;
        say({ state: 'saved', words: reply.words || 'saved' });
      }
    } catch (trouble) {
      say({ state: 'lost', words: lostWords(trouble) });
      clearTimeout(timer);
      timer = setTimeout(saveNow, retryMs);
      retryMs = Math.min(retryMs * 2, 15000);
      return;
    } finally {
      saving = false;
    }
    const news = heard;
    heard = null;
    if (news && news.revision > base) await fromOutside(news);
    if (text !== savedText) save();
  };

  /** Two texts of one sketch: the person says which stands. */
  const conflict = async (theirs, from) => {
    if (theirs.text === text) {
      base = theirs.revision;
      savedText = text;
      say({ state: 'saved', words: 'saved' });
      return;
    }
    held = true;
    say({ state: 'saving', words: 'not saved: the file was changed elsewhere meanwhile' });
    const choice = await ds.conflict.ask({ mine: text, theirs: theirs.text, from });
    if (choice !== 'mine' && ds.host.settle) await ds.host.settle(theirs).catch(() => {});
    held = false;
    base = theirs.revision;
    if (choice === 'mine') {
      savedText = theirs.text;
      saving = false;
      await saveNow(true);
      return;
    }
    if (choice === 'copy') ds.download(copyName(), text);
    await take(theirs, 'what was changed elsewhere');
  };

  const copyName = () => name.replace(/(\.ya?ml)?$/i, (end) => `-mine${end || '.yaml'}`);

  /** @returns false where something of one's own came before, and `onlySaved` was asked for */
  const take = (theirs, label, onlySaved) => inTurn(async () => {
    const nextView = await lookAt(theirs.text);
    if (onlySaved && text !== savedText) return false;
    remember(label);
    base = theirs.revision;
    savedText = theirs.text;
    arrive(theirs.text, nextView, 'outside');
    say({ state: 'saved', words: 'saved' });
    return true;
  });

  const fromOutside = async (theirs) => {
    if (held || theirs.text === text) {
      if (!held) {
        base = Math.max(base, theirs.revision);
        savedText = text;
      }
      return;
    }
    if (saving) {
      // Its own answer may say the same; if it does not, this is looked at again.
      heard = theirs;
    } else if (text === savedText && await take(theirs, 'what was changed elsewhere', true)) {
      emit('told', { words: 'The file was changed elsewhere; this page shows it as it is now. Undo brings back what stood here.' });
    } else {
      clearTimeout(timer);
      await conflict(theirs, 'outside');
    }
  };

  /** Saves as a file, where the home is a file. */
  const saveFile = async () => {
    const of = text;
    clearTimeout(timer);
    try {
      const done = await ds.host.saveFile(of);
      if (!done) return;
      name = done.name;
      base = done.revision;
      savedText = of;
      say({ state: 'saved', words: done.words });
      emit('view', { text, view, how: 'name' });
    } catch (trouble) {
      say({ state: 'lost', words: lostWords(trouble) });
    }
  };

  /** Opens what the host holds. */
  const open = (opened) => inTurn(async () => {
    name = opened.name || name;
    base = opened.revision || 0;
    back.length = 0;
    forth.length = 0;
    savedText = opened.unsaved ? null : opened.text;
    const nextView = await lookAt(opened.text);
    if (!choices) {
      const reply = await ask({ ask: 'choices' });
      choices = reply.ok ? reply.choices || reply : {};
    }
    arrive(opened.text, nextView, 'open');
    if (text === savedText) say({ state: 'saved', words: 'saved' });
  });

  const start = () => {
    ds.host.onOutside(fromOutside);
    // A tablet may end a page that is out of sight without asking: what is not saved goes out now.
    document.addEventListener('visibilitychange', () => {
      if (document.visibilityState !== 'hidden' || text === savedText || held || state.state === 'lost' || !view) return;
      clearTimeout(timer);
      saveNow();
    });
  };

  return {
    on,
    emit,
    start,
    open,
    change,
    setText,
    saveFile,
    undo: () => step(back, forth),
    redo: () => step(forth, back),
    idle: () => queue,
    retry: () => saveNow(),
    saveCopy: () => ds.download(copyName(), text),
    get name() { return name; },
    get text() { return text; },
    get view() { return view; },
    get choices() { return choices || {}; },
    get state() { return state; },
    get refused() { return refused; },
    get unsaved() { return text !== savedText; },
    get canUndo() { return back.length > 0; },
    get canRedo() { return forth.length > 0; },
    get undoLabel() { return back.length ? back[back.length - 1].label : null; },
    get redoLabel() { return forth.length ? forth[forth.length - 1].label : null; },
    get answers() { return ds.asking.answers; },
    get answersFor() { return ds.asking.answersFor; },
  };
})();
