/** Words of the trade for forms. Those of the library come with `choices`; the rest of the format's fixed words stand here. */
ds.words = (() => {
  const from = (key, usual) => {
    const said = ds.doc.choices[key];
    return Array.isArray(said) && said.length ? said.map((one) => (typeof one === 'string' ? one : one.key || one.word || one.id)) : usual;
  };

  const FIXED = {
    sides: ['supply', 'return'],
    materials: ['rectangular', 'round', 'spiral', 'flex', 'duct board', 'panned joist', 'cavity'],
    takeoffs: ['tab collar', 'spin-in collar', 'side tap'],
    elbows: ['adjustable elbow', 'elbow', 'mitre elbow', 'mitre elbow with vanes', 'flex bend'],
    boots: ['boot', 'end boot', 'return box'],
    work: ['unsealed', 'ordinary', 'mastic'],
    reach: ['open', 'under insulation', 'behind finish', 'none'],
    headings: ['north', 'south', 'east', 'west', 'up', 'down', 'left', 'right', 'ahead'],
    faces: ['left', 'right', 'up', 'down'],
    smoke: ['none', 'wisp', 'strong'],
    units: ['ip', 'si'],
    coil: ['none', 'before blower', 'after blower'],
    filter: ['none', 'unit', 'grille'],
    blower: ['fixed speed', 'constant flow'],
    draft: ['natural', 'fan assisted', 'sealed'],
    'suspect tape': ['none seen', 'suspected', 'not checked'],
    like: ['inside', 'outside', 'buffer'],
    airflowBy: ['plate at filter', 'return grilles', 'blower table', 'nameplate', 'assumed'],
    mask: ['flange', 'face', 'throat'],
    barrier: ['filter', 'blower inlet', 'blower outlet'],
    direction: ['pressurised', 'depressurised'],
    door: ['open', 'closed'],
  };

  /** Names under which the library offers them. */
  const OFFERED = { like: 'places_like', airflowBy: 'airflow_by', 'suspect tape': 'suspect_tape', direction: 'directions' };
  const list = (key) => from(OFFERED[key] || key, FIXED[key] || []);

  /** What stands beside a word, for who does not know it. */
  const MEANINGS = {
    inside: 'inside: at the pressure of the house',
    outside: 'outside: at the pressure outdoors',
    buffer: 'buffer: between the two, like a basement or an attic with leaks',
    unsealed: 'unsealed: as put together',
    ordinary: 'ordinary: taped or gasketed',
    mastic: 'mastic: sealed',
    none: 'none',
  };
  const meaning = (word) => (Object.hasOwn(MEANINGS, word) ? MEANINGS[word] : word);

  const KINDS = [
    ['straight', 'straight duct'],
    ['elbow', 'elbow'],
    ['takeoff', 'takeoff (start of a branch)'],
    ['reducer', 'reducer or transition'],
    ['boot', 'boot or grille (end at a room)'],
    ['cap', 'cap (closed end)'],
    ['damper', 'damper'],
    ['canvas', 'canvas connector'],
    ['access door', 'access door'],
    ['filter slot', 'filter slot'],
    ['test hole', 'test hole'],
    ['splice', 'splice of flexible duct'],
    ['intake', 'outdoor air intake'],
    ['joins', 'joins another run'],
  ];

  const si = () => ds.doc.view && ds.doc.view.units === 'si';

  /** The parts of a new step: usual choices that the person then changes. */
  const freshParts = (kind, run) => {
    const parts = {
      straight: { length: si() ? '1.5 m' : '5 ft' },
      elbow: { word: list('elbows')[0], heading: 'left' },
      takeoff: { word: list('takeoffs')[0] },
      reducer: { size: (run && run.size) || (si() ? '200x150 mm' : '10x8 in') },
      boot: { word: 'boot', size: si() ? '250x100 mm' : '10x4 in' },
      intake: { size: si() ? '150 mm' : '6 in' },
      'access door': { size: si() ? '300x200 mm' : '12x8 in' },
      joins: { onto: firstOther(run) },
    }[kind];
    return { kind, ...parts };
  };

  const firstOther = (run) => {
    const other = ds.doc.view.runs.find((one) => one.id && (!run || one.id !== run.id));
    return other ? other.id : 'trunk';
  };

  const sizes = (kind) => {
    const { choices } = ds.doc;
    const of = choices[`${kind}_sizes`];
    return (of && of[si() ? 'si' : 'ip']) || [];
  };

  return { list, meaning, KINDS, freshParts, sizes, si };
})();
