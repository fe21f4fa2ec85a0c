/** The form of the house: what stands when nothing is picked. */
ds.formHouse = (() => {
  const { el, button } = ds.dom;
  const entries = (path) => {
    const found = ds.field.at(path);
    return found && typeof found === 'object' && !Array.isArray(found) ? Object.entries(found) : [];
  };

  /** A line with a name to add something by. */
  const byName = (label, words, add) => {
    const id = ds.dom.freshId('new');
    const input = el('input', { id, type: 'text', autocomplete: 'off', data: { key: `new/${label}`, was: '' }, on: { keydown: (event) => event.key === 'Enter' && go() } });
    const go = () => {
      const name = input.value.trim();
      if (!name) return;
      input.value = '';
      add(name);
    };
    return el('div', { class: 'field' }, el('label', { for: id }, label), el('div', { class: 'row' }, input, button(words, go)));
  };

  const place = ([name, said]) => {
    const path = ['places', name];
    const mapped = said !== null && typeof said === 'object';
    const like = mapped ? said.like : said;
    return el('fieldset', {}, el('legend', {}, name), ds.forms.faultsOf(path),
      ds.field.make({
        label: 'It is like', path: mapped ? [...path, 'like'] : path, value: like, options: ds.words.list('like'), words: `what ${name} is like`,
        changes: (value) => (value ? [{ do: 'set', path: mapped ? [...path, 'like'] : path, value }] : []),
      }),
      ds.field.plain(like) === 'buffer' || (mapped && said['zone reading'] !== undefined) ? ds.field.make({
        label: 'Zone reading', path: [...path, 'zone reading'], value: mapped ? said['zone reading'] : '', example: '46 of 50 Pa to outdoors', words: `zone reading of ${name}`,
        note: 'pressure of the place, the house held by a fan in a door',
        changes: (value) => (mapped ? ds.field.setting([...path, 'zone reading'])(value) : value ? [{ do: 'set', path, value: { like: ds.field.plain(like), 'zone reading': value } }] : []),
      }) : null,
      button(`Remove ${name}`, () => ds.doc.change([{ do: 'remove', path }], `remove the place ${name}`), { class: 'away' }));
  };

  const appliance = (said, index) => {
    const path = ['combustion', index];
    const name = ds.field.plain(said && said.appliance) || `appliance ${index + 1}`;
    return el('fieldset', {}, el('legend', {}, name), ds.forms.faultsOf(path),
      ds.field.make({ label: 'What it is', path: [...path, 'appliance'], words: `name of ${name}` }),
      ds.field.make({ label: 'How it vents', path: [...path, 'draft'], options: ds.words.list('draft'), mean: (word) => word, words: `draft of ${name}` }),
      ds.field.make({ label: 'Where it stands', path: [...path, 'place'], options: ds.doc.view.places, words: `place of ${name}` }),
      button(`Remove ${name}`, () => ds.doc.change([{ do: 'remove', path }], `remove ${name}`), { class: 'away' }));
  };

  const usual = (name) => {
    const path = ['usual', name];
    const at = (key) => [...path, key];
    const words = name === 'all' ? 'everything' : name;
    const sheet = name !== 'all';
    return el('details', { data: { key: `usual/${name}` } }, el('summary', {}, `Usual for ${words}`), ds.forms.faultsOf(path),
      sheet ? [
        ds.field.make({ label: 'Lengthwise seam', path: at('seam'), example: 'snaplock', words: `usual seam of ${words}` }),
        ds.field.make({ label: 'Joint between sections', path: at('joint'), example: name === 'rectangular' ? 'slip and drive' : 'crimp', words: `usual joint of ${words}` }),
        ds.field.make({ label: 'Length of a section', path: at('section'), example: ds.words.si() ? '1.2 m' : '4 ft', words: `usual section of ${words}` }),
        ds.field.make({ label: 'Sheet gauge', path: at('gauge'), example: '26 ga', words: `usual gauge of ${words}` }),
      ] : null,
      ds.forms.around(path, name === 'all' ? () => '' : ds.forms.usualOf(null), `the usual ${words}`));
  };

  const build = () => {
    const { view } = ds.doc;
    const list = ds.field.at(['combustion']);
    const combustion = Array.isArray(list) ? list : [];
    const used = ['all', 'rectangular', 'round', ...entries(['usual']).map(([key]) => key)];
    return el('div', { class: 'form' },
      view.runs.length ? null : el('p', { class: 'lead' }, 'Begin with a trunk: tap a plenum on the drawing and drag.'),
      el('h2', {}, 'The house'),
      ds.forms.faultsOf([]),
      ds.field.make({ label: 'Title of the job', path: ['title'], words: 'title' }),
      ds.field.make({ label: 'Floor area that this system serves', path: ['house', 'floor area'], example: ds.words.si() ? '140 m2' : '1500 ft2', words: 'floor area' }),
      ds.field.make({ label: 'Ceiling height', path: ['house', 'height'], example: ds.words.si() ? '2.4 m' : '8 ft', words: 'ceiling height' }),
      ds.field.make({ label: 'Height above sea level', path: ['house', 'elevation'], example: ds.words.si() ? '250 m' : '820 ft', words: 'elevation' }),
      ds.field.make({ label: 'Old white or grey tape or wrap', path: ['suspect tape'], big: ds.words.list('suspect tape'), words: 'suspect tape', note: 'It may hold asbestos. Leave it alone: do not touch, brush, tape over or blow at it; let a qualified person judge it under local rules.' }),
      el('h3', {}, 'Places around the ducts'),
      entries(['places']).map(place),
      byName('A new place', 'Add place', (name) => ds.doc.change([{ do: 'set', path: ['places', name], value: 'outside' }], `place ${name}`)),
      el('h3', {}, 'What burns fuel here'),
      combustion.map(appliance),
      byName('A new appliance', 'Add appliance', (name) => ds.doc.change([{ do: 'insert', path: ['combustion'], at: null, value: { appliance: name, draft: 'natural', place: view.places[0] || 'inside' } }], `appliance ${name}`)),
      el('h3', {}, 'How things are usually built here'),
      [...new Set(used)].map(usual),
      el('details', { data: { key: 'note' } }, el('summary', {}, 'Note'), ds.field.make({ label: 'Free words about the job', path: ['note'], lines: 4, words: 'note' })));
  };

  return { build };
})();
