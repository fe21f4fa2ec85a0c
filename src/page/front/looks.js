/** What was seen at a seam: one touch writes it into `looks`, and takes it back. */
ds.looks = (() => {
  const { el, button, freshId } = ds.dom;
  /** What holds for one look after another: who looks, at which pressure, in which test. */
  const round = { by: '', at: '', during: '' };
  let walk = [];

  const entries = () => {
    const found = ds.field.at(['looks']);
    return Array.isArray(found) ? found : [];
  };

  const names = (seam) => (Array.isArray(seam) ? seam.map(ds.field.plain) : [ds.field.plain(seam)]);

  const said = (entry) => {
    const parts = [];
    if (entry.smoke !== undefined) parts.push(`smoke: ${ds.field.plain(entry.smoke)}`);
    if (entry.gap !== undefined) parts.push(`gap of ${ds.field.plain(entry.gap)}`);
    if (entry.sealed !== undefined) parts.push('sealed and sound');
    if (entry.hanging !== undefined) parts.push('hanging loose or off');
    if (entry.at !== undefined) parts.push(`at ${ds.field.plain(entry.at)}`);
    if (entry.during !== undefined) parts.push(`during ${ds.field.plain(entry.during)}`);
    if (entry.by !== undefined) parts.push(`by ${ds.field.plain(entry.by)}`);
    return parts.join(', ');
  };

  const kindOf = (entry) => ['smoke', 'gap', 'sealed', 'hanging'].find((key) => entry[key] !== undefined);
  const group = (kind) => (kind === 'sealed' || kind === 'hanging' ? 'state' : kind);

  let line = Promise.resolve();
  /** One look after another: what the one before wrote is there when the next looks for its like. */
  const write = (...look) => {
    const done = line.then(() => writeNow(...look));
    line = done.catch(() => {});
    return done;
  };

  /** Writes a look; one of the same kind, by the same person in the same test, is written over. */
  const writeNow = (seam, key, value, words) => {
    const entry = { seam, [key]: value };
    if (key === 'smoke') {
      if (round.during) entry.during = round.during;
      else if (round.at) entry.at = round.at;
    }
    if (round.by) entry.by = round.by;
    const twin = entries().findIndex((one) => one && ds.field.plain(one.seam) === seam && !Array.isArray(one.seam) && group(kindOf(one)) === group(key)
      && ['by', 'at', 'during'].every((field) => ds.field.plain(one[field]) === (entry[field] || '')) && one.after === undefined && one.before === undefined);
    const changes = twin >= 0 ? [{ do: 'set', path: ['looks', twin], value: entry }] : [{ do: 'insert', path: ['looks'], at: null, value: entry }];
    return ds.doc.change(changes, `${words} at ${seam}`);
  };

  const takeBack = (index, seam) => {
    const entry = entries()[index];
    const many = Array.isArray(entry.seam) && entry.seam.length > 1;
    const path = many ? ['looks', index, 'seam', names(entry.seam).indexOf(seam)] : ['looks', index];
    return ds.doc.change([{ do: 'remove', path }], `take back what was seen at ${seam}`);
  };

  const lookAround = () => {
    const readings = ds.field.at(['readings']);
    const ids = Array.isArray(readings) ? readings.map((one) => one && ds.field.plain(one.id)).filter(Boolean) : [];
    const line = (key, label, rest) => {
      const id = freshId('look');
      const input = el('input', { id, type: 'text', value: round[key], autocomplete: 'off', data: { key: `round/${key}`, was: round[key] }, on: { input: () => { round[key] = input.value.trim(); } }, ...rest });
      return el('div', { class: 'field' }, el('label', { for: id }, label), input);
    };
    const id = freshId('look');
    const during = el('select', { id, data: { key: 'round/during' }, on: { change: () => { round.during = during.value; } } }, el('option', { value: '' }, 'none of these'), ids.map((one) => el('option', { value: one }, one)));
    during.value = ids.includes(round.during) ? round.during : '';
    return el('details', { data: { key: 'look-round' } }, el('summary', {}, `Who looks, and at which pressure${round.by || round.at || round.during ? ` (${[round.by, round.during ? `during ${round.during}` : round.at].filter(Boolean).join(', ')})` : ''}`),
      line('by', 'Who looks'), line('at', 'Pressure of the ducts', { placeholder: '25 Pa' }),
      el('div', { class: 'field' }, el('label', { for: id }, 'Or during the set-up of this reading'), during),
      el('p', { class: 'note' }, 'This holds for all looks that follow. 25 Pa stands if nothing is said.'));
  };

  const gapLine = (seam) => {
    const id = freshId('gap');
    const input = el('input', { id, type: 'text', autocomplete: 'off', placeholder: ds.words.si() ? '2 mm' : '1/8 in', data: { key: 'gap', was: '' } });
    const unit = ds.words.si() ? 'mm' : 'in';
    const go = () => {
      const typed = input.value.trim();
      if (!typed) return;
      const width = /^[0-9./ ]+$/.test(typed) ? `${typed} ${unit}` : typed;
      input.value = '';
      write(seam, 'gap', width, `gap of ${width}`);
    };
    input.addEventListener('keydown', (event) => event.key === 'Enter' && go());
    return el('div', { class: 'field' }, el('label', { for: id }, `An open gap, mean width in ${ds.words.si() ? 'millimetres' : 'inches'}`), el('div', { class: 'row' }, input, button('Write the gap', go)));
  };

  const isGroup = (entry) => names(entry.seam).some((name) => /^all\b/i.test(name));

  /** Whether a look at a group of seams holds this one; the answers say which seams each look holds. */
  const groupHolds = (index, seam) => {
    const allocation = ds.doc.answersFor ? ds.doc.answers.allocation : null;
    const looks = (allocation && allocation.looks) || [];
    return looks.length === entries().length && (looks[index].seams || []).includes(seam);
  };

  const seenHere = (seam) => {
    const rows = [];
    entries().forEach((entry, index) => {
      if (!entry || typeof entry !== 'object') return;
      if (!names(entry.seam).includes(seam)) return;
      rows.push(el('li', {}, el('span', {}, said(entry)), button('Take it back', () => takeBack(index, seam), { data: { key: `back/${index}` } }), ds.field.faultsAt(['looks', index]).map(ds.field.faultWords)));
    });
    const groups = entries().filter((entry, index) => entry && isGroup(entry) && groupHolds(index, seam));
    return el('div', {}, el('h3', {}, 'Seen here'),
      rows.length ? el('ul', { class: 'bare rows' }, rows) : el('p', {}, 'Nothing was said of this seam alone.'),
      groups.length ? el('details', { data: { key: 'look-groups' } }, el('summary', {}, `Said of groups that it belongs to: ${groups.length}`), el('ul', {}, groups.map((entry) => el('li', {}, `${names(entry.seam).join(', ')}: ${said(entry)}`)))) : null);
  };

  /** Seams to look at one after another, as an advice names them. */
  const walkThrough = (seams) => {
    walk = [...seams];
    if (walk.length) go(walk[0]);
  };

  const go = (id) => {
    const seam = ds.doc.view.seams.find((one) => one.id === id);
    ds.pick.set({ kind: 'seam', run: seam ? seam.run : null, step: seam ? seam.step : null, seam: id });
    ds.side.show('piece');
  };

  const walkLine = (id) => {
    const at = walk.indexOf(id);
    if (at < 0 || walk.length < 2) return null;
    return el('div', { class: 'row' }, el('span', {}, `look ${at + 1} of ${walk.length}`),
      at > 0 ? button('Seam before', () => go(walk[at - 1])) : null,
      at + 1 < walk.length ? button('Next seam', () => go(walk[at + 1]), { class: 'main' }) : button('Done', () => { walk = []; ds.side.show('answers'); }, { class: 'main' }));
  };

  const build = (pick) => {
    const seam = ds.doc.view.seams.find((one) => one.id === pick.seam);
    if (!seam) return el('p', {}, 'This seam is not there now.');
    const suspect = ds.doc.view.cautions.some(({ stop }) => stop);
    const answer = ds.answers ? ds.answers.ofSeam(seam) : null;
    const big = (key, value, words) => button(words, () => write(seam.id, key, value, words), { data: { key: `look/${key}/${value}` } });
    return el('div', { class: 'form' },
      el('h2', {}, seam.id),
      el('p', { class: 'note' }, [seam.what, seam.joint_name, `in ${seam.place}`, seam.reach === 'open' ? null : seam.reach === 'none' ? 'no hand gets there' : seam.reach, seam.work].filter(Boolean).join(' · ')),
      answer,
      walkLine(seam.id),
      suspect ? el('p', { class: 'wrong' }, 'The work is stopped: read what stands above before you go near.') : null,
      el('h3', {}, 'What smoke did'),
      el('div', { class: 'row big', role: 'group', 'aria-label': 'What smoke did' }, ds.words.list('smoke').map((word) => big('smoke', word, `smoke: ${word}`))),
      el('h3', {}, 'What was seen'),
      el('div', { class: 'row big', role: 'group', 'aria-label': 'What was seen' }, big('sealed', true, 'sealed and sound'), big('hanging', true, 'hanging loose')),
      gapLine(seam.id),
      lookAround(),
      seenHere(seam.id));
  };

  return { build, write, walkThrough, go };
})();
