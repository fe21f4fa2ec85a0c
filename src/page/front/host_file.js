/** Home in a file: the page holds the library itself, and the sketch is a file that the person opens and saves. */
ds.hostFile = (() => {
  const { el, button } = ds.dom;
  const KEPT = 'ductseam-board/';
  const MOST_KEPT = 20;
  const TYPES = [{ description: 'Sketch', accept: { 'text/yaml': ['.yaml', '.yml'] } }];
  let quick = null;
  let slow = null;
  let handle = null;
  let stamp = null;
  let revision = 0;
  let key = '';
  let name = 'sketch.yaml';
  let inFile = true;
  /** What the file holds, or what was last handed over as one. */
  let fileText = null;
  let picture = null;

  const store = (act) => {
    try {
      return act(localStorage);
    } catch {
      return null;
    }
  };

  const library = async () => {
    const text = document.getElementById('library').textContent;
    const bytes = Uint8Array.from(atob(text.replace(/\s+/g, '')), (letter) => letter.charCodeAt(0));
    const module = await WebAssembly.compile(bytes);
    quick = ds.workerFile.lane(module, false);
    slow = ds.workerFile.lane(module, true);
  };

  const ask = (request, lane) => (lane === 'slow' ? slow(request) : quick(request));

  const titleOf = (text) => {
    const found = /^title:[ \t]*(.+?)[ \t]*(?:#.*)?$/m.exec(text);
    return (found ? found[1] : name).replace(/^(["'])(.*)\1$/, '$2').slice(0, 120);
  };

  /** Keeps the text in this browser, by title, until it is in a file. */
  const keep = (text) => {
    const mine = KEPT + titleOf(text);
    store((all) => {
      if (key && key !== mine) all.removeItem(key);
      all.setItem(mine, JSON.stringify({ text, name, when_ms: Date.now() }));
    });
    key = mine;
    return store((all) => all.getItem(mine)) !== null;
  };

  const kept = () => {
    const found = [];
    store((all) => {
      for (let at = 0; at < all.length; at += 1) {
        const at_key = all.key(at);
        if (!at_key.startsWith(KEPT)) continue;
        try {
          found.push({ key: at_key, title: at_key.slice(KEPT.length), ...JSON.parse(all.getItem(at_key)) });
        } catch {
          // Not ours, or cut short: it is left alone.
        }
      }
    });
    return found.sort((a, b) => b.when_ms - a.when_ms).slice(0, MOST_KEPT);
  };

  const fromPicker = async () => {
    if (window.showOpenFilePicker) {
      const [picked] = await window.showOpenFilePicker({ types: TYPES });
      const file = await picked.getFile();
      return { handle: picked, stamp: file.lastModified, name: file.name, text: await file.text() };
    }
    const input = el('input', { type: 'file', accept: '.yaml,.yml,text/yaml' });
    const file = await new Promise((done) => {
      input.addEventListener('change', () => done(input.files[0] || null));
      input.addEventListener('cancel', () => done(null));
      input.click();
    });
    return file ? { handle: null, stamp: null, name: file.name, text: await file.text() } : null;
  };

  const opened = (found) => {
    handle = found.handle || null;
    stamp = found.stamp || null;
    name = found.name || 'sketch.yaml';
    key = found.key || '';
    inFile = found.unsaved !== true;
    fileText = inFile ? found.text : null;
    revision += 1;
    return { name, text: found.text, revision, exists: Boolean(handle), recovered: null, unsaved: found.unsaved === true };
  };

  /** Asks what to work on. */
  const welcome = (mayStay) => new Promise((done) => {
    const head = ds.dom.freshId('welcome');
    const said = el('p', { class: 'wrong', role: 'alert', hidden: true });
    const box = el('dialog', { 'aria-labelledby': head });
    const end = (found) => {
      box.close();
      box.remove();
      done(found);
    };
    const trying = (work) => async () => {
      try {
        const found = await work();
        if (found) end(found);
      } catch (trouble) {
        if (trouble && trouble.name === 'AbortError') return;
        said.hidden = false;
        said.textContent = (trouble && trouble.words) || `This did not work: ${trouble}`;
      }
    };
    const text = async (request) => {
      const reply = await quick(request);
      if (!reply.ok) throw { words: reply.refused.title };
      return reply.text;
    };
    const fresh = ds.newSketch.fields('My house');
    const before = kept();
    ds.dom.put(box, [
      el('h2', { id: head }, 'Draw a system of ducts'),
      el('p', {}, 'Everything stays in this browser and in the files that you save; nothing is sent anywhere.'),
      said,
      el('div', { class: 'row' }, button('Open a file', trying(fromPicker), { class: 'main' }), button('Example (invented house)', trying(async () => ({ text: await text({ ask: 'starter' }), name: 'example.yaml', unsaved: true })))),
      el('fieldset', {}, el('legend', {}, 'New'), fresh.rows,
        button('Begin a new sketch', trying(async () => ({ text: await text(fresh.request()), name: 'house.yaml', unsaved: true })))),
      before.length ? el('section', {}, el('h3', {}, 'Kept in this browser'), el('ul', { class: 'bare rows' }, before.map((one) => {
        const row = el('li', {}, el('span', {}, one.title, el('small', {}, ` ${new Date(one.when_ms).toLocaleString()}`)), el('span', { class: 'row' },
          button('Go on with it', () => end({ text: one.text, name: one.name, key: one.key, unsaved: true })),
          button('Throw away', () => { store((all) => all.removeItem(one.key)); row.remove(); })));
        return row;
      }))) : null,
      mayStay ? el('div', { class: 'row' }, button('Stay here', () => end(null))) : null,
    ]);
    box.addEventListener('cancel', (event) => {
      event.preventDefault();
      if (mayStay) end(null);
    });
    document.body.append(box);
    box.showModal();
  });

  const start = async () => {
    try {
      await library();
    } catch (error) {
      throw { words: 'the library in this file cannot be started in this browser', hint: String(error) };
    }
    return opened(await welcome(false));
  };

  /** Goes on with something else; what stands is kept. */
  const another = async () => {
    const found = await welcome(true);
    return found ? opened(found) : null;
  };

  const intoFile = async (text) => {
    const writer = await handle.createWritable();
    await writer.write(text);
    await writer.close();
    stamp = (await handle.getFile()).lastModified;
    inFile = true;
    fileText = text;
    store((all) => all.removeItem(key));
  };

  const save = async (text, base, force) => {
    if (text === fileText && !force) {
      inFile = true;
      return { revision, words: `saved as ${name}` };
    }
    const safe = keep(text);
    inFile = false;
    if (!handle) {
      if (!safe) throw { lost: true, words: 'this browser keeps nothing: save it as a file' };
      return { revision, words: 'kept in this browser, not in a file yet' };
    }
    try {
      const file = await handle.getFile();
      if (!force && file.lastModified !== stamp) {
        const outside = await file.text();
        stamp = file.lastModified;
        if (outside !== text) return { outside: { text: outside, revision } };
      }
      await intoFile(text);
    } catch {
      throw { lost: true, words: 'the file cannot be written' };
    }
    return { revision, words: `saved in ${name}` };
  };

  /** Saves as a file: into one where the browser can, else handed over as a download. */
  const saveFile = async (text) => {
    if (window.showSaveFilePicker) {
      try {
        handle = await window.showSaveFilePicker({ suggestedName: name, types: TYPES });
      } catch (trouble) {
        if (trouble && trouble.name === 'AbortError') return null;
        handle = null;
      }
      if (handle) {
        name = handle.name;
        await intoFile(text);
        return { revision, name, words: `saved in ${name}` };
      }
    }
    ds.download(name, text);
    inFile = true;
    fileText = text;
    return { revision, name, words: `handed over as ${name}: look among your downloads` };
  };

  return {
    home: 'file', start, ask, save, saveFile, another,
    onOutside: () => {},
    photo: async () => picture,
    setPhoto: async (blob, placement) => {
      picture = blob === null ? null : { blob: blob || (picture && picture.blob), placement: placement || (picture && picture.placement) || null };
    },
    get pending() { return !inFile; },
  };
})();
