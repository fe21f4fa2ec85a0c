/** Begins the page: which home it has, what it holds, and then every part. */
ds.main = (() => {
  const { byId, el, fill, button } = ds.dom;

  const parts = () => {
    ds.side.start();
    ds.status.start();
    for (const name of ['cautions', 'outline', 'forms', 'readings', 'answers', 'faults', 'textView', 'asking', 'doc', 'drawing']) {
      const part = ds[name];
      if (part && part.start) part.start();
    }
  };

  const begin = async () => {
    ds.host = document.documentElement.dataset.home === 'file' ? ds.hostFile : ds.hostServer;
    parts();
    let opened;
    try {
      opened = await ds.host.start();
    } catch (trouble) {
      fill(byId('board'), el('div', { class: 'stop' }, el('p', {}, el('strong', {}, 'The sketch cannot be opened. '), (trouble && trouble.words) || String(trouble)),
        trouble && trouble.hint ? el('p', {}, trouble.hint) : null, button('Try again', () => location.reload())));
      return;
    }
    if (!opened.text.trim() && !opened.recovered) opened = { ...opened, text: await ds.newSketch.ask(opened.name) };
    await ds.doc.open(opened);
    if (opened.recovered && opened.recovered.text !== opened.text) {
      const choice = await ds.conflict.askRecovered({ file: opened.text, kept: opened.recovered.text, when: opened.recovered.when_ms, changed: opened.recovered.changed_since === true });
      if (choice === 'kept') await ds.doc.setText(opened.recovered.text, 'what was kept when the page ended');
      if (choice === 'copy') ds.download('kept.yaml', opened.recovered.text);
      if (choice !== 'kept' && opened.exists && ds.host.settle) await ds.host.settle(opened).catch(() => {});
    }
  };

  if (document.readyState === 'loading') addEventListener('DOMContentLoaded', begin);
  else begin();
  return { begin };
})();
