/** Questions with two texts: which of them stands. */
ds.conflict = (() => {
  const { el, button } = ds.dom;
  const MOST_LINES = 400;
  const NEAR = 2;

  /** The lines that differ, with a few around them. */
  const differing = (first, second, firstWords, secondWords) => {
    const all = ds.diff.lines(first, second);
    const keep = all.map((_, at) => all.slice(Math.max(0, at - NEAR), at + NEAR + 1).some(({ mark }) => mark !== ' '));
    const rows = [];
    let gap = false;
    all.forEach(({ mark, line }, at) => {
      if (!keep[at]) {
        gap = true;
        return;
      }
      if (gap && rows.length) rows.push(el('li', { class: 'gap', 'aria-hidden': 'true' }, '⋯'));
      gap = false;
      const whose = { '-': firstWords, '+': secondWords }[mark];
      rows.push(el('li', { class: { '-': 'ours', '+': 'theirs' }[mark] || '' }, whose ? el('b', {}, `${whose}: `) : null, el('code', {}, line || ' ')));
    });
    const more = rows.length - MOST_LINES;
    return el('ul', { class: 'differ', tabIndex: 0, 'aria-label': 'Lines that differ' }, rows.slice(0, MOST_LINES), more > 0 ? el('li', {}, `and ${more} more lines`) : null);
  };

  /** Shows a question; its answer is the key of the button that was taken. */
  const question = (head, words, inside, answers) => new Promise((done) => {
    const id = ds.dom.freshId('question');
    const box = el('dialog', { 'aria-labelledby': id }, el('h2', { id }, head), words.map((line) => el('p', {}, line)), inside);
    const end = (key) => {
      box.close();
      box.remove();
      done(key);
    };
    box.append(el('div', { class: 'row' }, answers.map(({ key, label, main }) => button(label, () => end(key), { class: main ? 'main' : '' }))));
    box.addEventListener('cancel', (event) => {
      const last = answers.find(({ cancels }) => cancels);
      event.preventDefault();
      if (last) end(last.key);
    });
    document.body.append(box);
    box.showModal();
  });

  /** @returns "theirs", "mine" or "copy" */
  const ask = ({ mine, theirs }) => question(
    'The file was changed elsewhere',
    ['Another program or another tab wrote this file since this page last saved it. Nothing is lost: say what shall stand.'],
    differing(mine, theirs, 'here', 'there'),
    [
      { key: 'theirs', label: 'Take what is in the file', main: true },
      { key: 'mine', label: 'Keep what is here' },
      { key: 'copy', label: 'Save what is here as a copy, take the file' },
    ],
  );

  /** @returns "kept", "file" or "copy" */
  const askRecovered = ({ file, kept, when, changed }) => question(
    'Work from before was kept',
    [`The page ended before its last changes were in the file${when ? ` (${new Date(when).toLocaleString()})` : ''}. They were kept beside it.`,
      ...(changed ? ['The file was changed since: what was kept does not hold those changes.'] : [])],
    differing(file, kept, 'file', 'kept'),
    [
      { key: 'kept', label: 'Take what was kept', main: !changed },
      { key: 'file', label: 'Stay with the file', main: changed },
      { key: 'copy', label: 'Save what was kept as a copy' },
    ],
  );

  return { ask, askRecovered, question, differing };
})();
