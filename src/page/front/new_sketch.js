/** Asks how to begin where the file does not exist yet, or is empty. */
ds.newSketch = (() => {
  const { el, button, freshId, put } = ds.dom;

  /** `lower-floor.yaml` as words. */
  const titleOf = (name) => {
    const words = name.replace(/\.ya?ml$/i, '').replace(/[-_.]+/g, ' ').trim() || 'my house';
    return words[0].toUpperCase() + words.slice(1);
  };

  const made = async (request) => {
    const reply = await ds.host.ask(request, 'quick');
    if (!reply.ok) throw { words: reply.refused.title };
    return reply.text;
  };

  /** The fields of a new sketch, and the request that makes it. */
  const fields = (title) => {
    const name = el('input', { type: 'text', id: freshId('title'), value: title, autocomplete: 'off' });
    const units = el('select', { id: freshId('units') }, el('option', { value: 'ip' }, 'cfm, feet, inches'), el('option', { value: 'si' }, 'L/s, metres, millimetres'));
    return {
      rows: [el('div', { class: 'field' }, el('label', { for: name.id }, 'Title of the job'), name), el('div', { class: 'field' }, el('label', { for: units.id }, 'Units'), units)],
      request: () => ({ ask: 'blank', title: name.value.trim() || title, units: units.value }),
    };
  };

  const ask = (file) => new Promise((done) => {
    const head = freshId('new');
    const said = el('p', { class: 'wrong', role: 'alert', hidden: true });
    const box = el('dialog', { 'aria-labelledby': head });
    const asked = fields(titleOf(file));
    const end = async (request) => {
      try {
        const text = await made(request);
        box.close();
        box.remove();
        done(text);
      } catch (trouble) {
        said.hidden = false;
        said.textContent = (trouble && trouble.words) || `This did not work: ${trouble}`;
      }
    };
    put(box, [
      el('h2', { id: head }, 'Begin a sketch'),
      el('p', {}, `${file} holds nothing yet. It is written with the first thing that you draw.`),
      said,
      asked.rows,
      el('div', { class: 'row' }, button('Begin', () => end(asked.request()), { class: 'main' }), button('Example (invented house)', () => end({ ask: 'starter' }))),
    ]);
    // Leaving the question begins with what it says.
    box.addEventListener('cancel', (event) => {
      event.preventDefault();
      end(asked.request());
    });
    document.body.append(box);
    box.showModal();
  });

  return { ask, fields, titleOf };
})();
