/** Which fields a kind of reading has, and short words of the trade for each kind. */
ds.readingFields = (() => {
  /** Kinds in the order in which they are offered, with short words; the library says at length what each is. */
  const SHORT = [
    ['total', 'total leakage'],
    ['to outside', 'leakage to outside'],
    ['supply', 'supply side alone'],
    ['return', 'return side alone'],
    ['pan', 'pan at a register'],
    ['register flow', 'flow at a register'],
    ['supply static', 'supply static'],
    ['return static', 'return static'],
    ['airflow', 'airflow of the unit'],
    ['isolated', 'one run behind a plug'],
    ['static rise', 'static rise over the unit'],
    ['guarded supply', 'supply side, return guarded'],
    ['guarded return', 'return side, supply guarded'],
    ['rough-in', 'ducts before the unit is set'],
    ['house fan open', 'house fan, registers open'],
    ['house fan masked', 'house fan, registers masked'],
    ['room pressure', 'pressure of a closed room'],
    ['place pressure', 'pressure of a place'],
    ['house pressure', 'pressure of the house'],
    ['nulling flow', 'fan that nulls the house'],
  ];
  const USUAL = 9;
  const NEEDS = { isolated: 'run', pan: 'run', 'register flow': 'run', 'room pressure': 'room', 'place pressure': 'place' };

  /** `{key, words, long, example, needs}`, known to the library or, before its words have come, to this page. */
  const kinds = () => {
    const said = ds.doc.choices.readings;
    const list = Array.isArray(said) && said.length ? said : SHORT.map(([key]) => ({ key, needs: NEEDS[key] || null }));
    const place = (key) => {
      const at = SHORT.findIndex(([one]) => one === key);
      return at < 0 ? SHORT.length : at;
    };
    return list.map((one) => ({
      key: one.key,
      words: (SHORT.find(([key]) => key === one.key) || [0, one.key])[1],
      long: one.words || '',
      example: one.example || '',
      needs: one.needs || NEEDS[one.key] || null,
    })).sort((a, b) => place(a.key) - place(b.key));
  };
  const keys = () => kinds().map(({ key }) => key);
  const kindOf = (entry) => keys().find((key) => entry && entry[key] !== undefined) || null;

  const runs = () => ds.doc.view.runs.filter(({ id }) => id).map(({ id }) => id);
  const rooms = () => {
    const all = ds.field.at(['runs']);
    return Array.isArray(all) ? [...new Set(all.map((run) => run && ds.field.plain(run.room)).filter(Boolean))] : [];
  };
  const same = (word) => word;
  const MASKS = { flange: 'round the flange', face: 'over the face', throat: 'in the throat' };

  /** Whether the library lets a field stand beside a kind. */
  const mayStand = (key, kind) => {
    const field = (ds.doc.choices.reading_fields || []).find((one) => one.key === key);
    return !field || !field.with.length || field.with.includes(kind);
  };

  /** The fields of a kind besides its value and name. */
  const of = (kind) => {
    const about = kinds().find(({ key }) => key === kind);
    const needs = about ? about.needs : null;
    const all = [
      { key: 'run', label: kind === 'isolated' ? 'The run behind the plug' : 'The run with this register', options: runs(), mean: same },
      { key: 'room', label: 'Room', options: rooms(), mean: same },
      { key: 'place', label: 'Place', options: ds.doc.view.places, mean: same },
      { key: 'fan', label: 'Where the fan blows in', near: ['blower panel', ...runs()], example: 'blower panel' },
      { key: 'tap', label: 'Where the pressure tap is', near: ['supply plenum', 'return plenum', ...runs()], example: 'supply plenum' },
      { key: 'mask', label: 'How the registers were masked', options: ds.words.list('mask'), mean: (word) => MASKS[word] || word },
      { key: 'barrier', label: 'Where the barrier between the sides stands', options: ds.words.list('barrier'), mean: same },
      { key: 'direction', label: 'Blown up or pulled down', options: ds.words.list('direction'), mean: same, empty: 'as usual' },
      { key: 'plugged', label: 'Runs plugged at their start', note: 'with commas between them', listed: true },
      { key: 'gauge', label: 'Gauge', note: 'readings on one gauge share its error' },
      { key: 'date', label: 'Day', example: '2026-11-02' },
      { key: 'note', label: 'Note' },
    ];
    return all.filter(({ key }) => (['run', 'room', 'place'].includes(key) ? needs === key : mayStand(key, kind)))
      .map((field) => ({ ...field, needed: field.key === needs }));
  };

  return { kinds, keys, kindOf, of, USUAL };
})();
