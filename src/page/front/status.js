/** The head of the page: title, file, whether it is saved, the way back, units; and short news. */
ds.status = (() => {
  const { byId, el, fill, button } = ds.dom;
  const NEWS_MS = 9000;

  const showState = () => {
    const { state, words } = ds.doc.state;
    const line = byId('state');
    line.dataset.state = state;
    const mark = { saved: '✓ ', saving: '… ', lost: '! ' }[state] || '';
    fill(line, el('span', { 'aria-hidden': 'true' }, mark), words, state === 'lost'
      ? [' ', button('Save a copy', () => ds.doc.saveCopy()), ' ', button('Try now', () => ds.doc.retry())]
      : null);
  };

  const wayBack = (id, sign, word, label, can) => {
    const at = byId(id);
    at.disabled = !can;
    const words = can ? `${word}: ${label}` : `${word}: nothing`;
    at.setAttribute('aria-label', words);
    at.title = words;
    fill(at, el('span', { 'aria-hidden': 'true' }, sign), ' ', el('span', { class: 'words' }, can ? `${word}: ${label}` : word));
  };

  const showDoc = () => {
    const { view } = ds.doc;
    byId('title').textContent = view.title || 'Sketch without a title';
    document.title = `${view.title || 'Sketch'}: drawing board`;
    byId('file').textContent = ds.doc.name;
    wayBack('undo', '↶', 'Undo', ds.doc.undoLabel, ds.doc.canUndo);
    wayBack('redo', '↷', 'Redo', ds.doc.redoLabel, ds.doc.canRedo);
    const si = view.units === 'si';
    byId('units').textContent = si ? 'L/s, m' : 'cfm, ft';
    byId('units').setAttribute('aria-label', si ? 'L/s, m: answers are in these; change to cfm and feet' : 'cfm, ft: answers are in these; change to L/s and metres');
  };

  /** Short news at the foot of the page; goes by itself, or when closed. */
  const tell = (words, act) => {
    const news = el('div', {}, el('span', {}, words));
    if (act) news.append(button(act.words, () => { news.remove(); act.act(); }));
    news.append(button('Close', () => news.remove()));
    const told = byId('told');
    while (told.children.length > 2) told.firstChild.remove();
    told.append(news);
    setTimeout(() => news.remove(), NEWS_MS);
  };

  const start = () => {
    byId('undo').addEventListener('click', () => ds.doc.undo());
    byId('redo').addEventListener('click', () => ds.doc.redo());
    byId('units').addEventListener('click', () => {
      const to = ds.doc.view.units === 'si' ? 'ip' : 'si';
      ds.doc.change([{ do: 'set', path: ['units'], value: to }], to === 'si' ? 'answers in L/s' : 'answers in cfm');
    });
    addEventListener('keydown', (event) => {
      const typing = event.target.closest && event.target.closest('input, textarea, select, [contenteditable]');
      if (typing || document.querySelector('dialog[open]') || !(event.ctrlKey || event.metaKey) || event.altKey) return;
      const key = event.key.toLowerCase();
      if (key !== 'z' && key !== 'y') return;
      event.preventDefault();
      if (key === 'y' || event.shiftKey) ds.doc.redo();
      else ds.doc.undo();
    });
    if (ds.host.saveFile) {
      byId('save').hidden = false;
      byId('files').hidden = false;
      byId('save').addEventListener('click', () => ds.doc.saveFile());
      byId('files').addEventListener('click', async () => {
        const opened = await ds.host.another();
        if (opened) await ds.doc.open(opened);
      });
    }
    addEventListener('beforeunload', (event) => {
      if (!ds.doc.view) return;
      if (ds.textView.typed || ds.doc.unsaved || ds.doc.state.state !== 'saved' || ds.host.pending) event.preventDefault();
    });
    for (const event of ['saved', 'saving', 'lost']) ds.doc.on(event, showState);
    ds.doc.on('view', showDoc);
    ds.doc.on('told', ({ words }) => tell(words, { words: 'Undo', act: () => ds.doc.undo() }));
    ds.doc.on('refused', ({ title, hint, told }) => {
      if (!told) tell(hint ? `${title}: ${hint}` : title);
    });
  };

  return { start, tell };
})();
