/** Cautions under the head of the page: what stops the work always stands open, the usual ones in a box. */
ds.cautions = (() => {
  const { byId, el, fill } = ds.dom;

  /** Stops of the sketch, and of the latest answers where they say more. */
  const all = () => {
    const { view, answers } = ds.doc;
    const stops = view.cautions.filter(({ stop }) => stop).map(({ text }) => text);
    const usual = view.cautions.filter(({ stop }) => !stop).map(({ text }) => text);
    if (answers && answers.text === ds.doc.text) {
      for (const text of answers.stop || []) if (!stops.includes(text)) stops.push(text);
      for (const text of answers.cautions || []) if (!usual.includes(text) && !stops.includes(text)) usual.push(text);
    }
    return { stops, usual };
  };

  const render = () => {
    if (!ds.doc.view) return;
    const { stops, usual } = all();
    const box = byId('cautions');
    const open = Boolean(box.querySelector('details[open]'));
    box.hidden = !stops.length && !usual.length;
    fill(box,
      stops.map((text) => el('div', { class: 'stop', role: 'alert' }, el('p', {}, el('strong', {}, 'Stop. '), text))),
      usual.length ? el('details', { open }, el('summary', {}, `Before you touch anything: ${usual.length} ${usual.length === 1 ? 'caution' : 'cautions'}`), el('ul', {}, usual.map((text) => el('li', {}, text)))) : null);
  };

  const start = () => {
    ds.doc.on('view', render);
    ds.doc.on('answers', render);
  };

  return { start, all };
})();
