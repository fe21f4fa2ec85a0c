/** The form of the unit and its plenums. */
ds.formUnit = (() => {
  const { el } = ds.dom;
  const ROOT = ['air handler'];

  /** `1000 cfm by blower table` in its two parts. */
  const airflow = (said) => {
    const text = ds.field.plain(said).trim();
    const by = /^(.*?)\s+by\s+(.+)$/i.exec(text);
    if (by) return { flow: by[1], how: by[2] };
    const assumed = /^(.*?)\s+assumed$/i.exec(text);
    return assumed ? { flow: assumed[1], how: 'assumed' } : { flow: text, how: '' };
  };

  const written = (flow, how) => (how === 'assumed' || how === '' ? `${flow} assumed` : `${flow} by ${how}`);

  const plenum = (name) => {
    const path = [...ROOT, name];
    const at = (key) => [...path, key];
    const material = ds.field.plain(ds.field.at(at('material'))) || 'rectangular';
    return el('details', { data: { key: name } }, el('summary', {}, name === 'supply plenum' ? 'Supply plenum' : 'Return plenum'),
      ds.forms.faultsOf(path),
      ds.field.make({ label: 'Size', path: at('size'), example: ds.words.si() ? '500x450 mm' : '20x18 in', words: `size of the ${name}` }),
      ds.field.make({ label: 'Length along the air', path: at('length'), example: ds.words.si() ? '0.9 m' : '3 ft', words: `length of the ${name}` }),
      ds.field.make({ label: 'Material', path: at('material'), options: ds.words.list('materials'), words: `material of the ${name}` }),
      ds.forms.around(path, ds.forms.usualOf(material), `the ${name}`));
  };

  const build = () => {
    const at = (key) => [...ROOT, key];
    const { flow, how } = airflow(ds.field.at(at('airflow')));
    const blower = ds.field.at(at('blower'));
    return el('div', { class: 'form' },
      el('h2', {}, 'The unit'),
      ds.forms.faultsOf(ROOT),
      ds.field.make({ label: 'Place', path: at('place'), options: ds.doc.view.places, empty: 'as usual', words: 'place of the unit' }),
      ds.field.make({
        label: 'Airflow while it runs', path: at('airflow'), value: flow, example: ds.words.si() ? '470 L/s' : '1000 cfm', words: 'airflow of the unit',
        changes: (value) => ds.field.setting(at('airflow'))(value && written(value, how)),
      }),
      flow ? ds.field.make({
        label: 'How the airflow was got', key: 'air handler/airflow/how', value: how, options: ds.words.list('airflowBy'), empty: 'not said', words: 'how the airflow was got',
        changes: (value) => [{ do: 'set', path: at('airflow'), value: written(flow, value) }],
      }) : null,
      ds.field.make({ label: 'Cooling coil', path: at('coil'), options: ds.words.list('coil'), words: 'cooling coil' }),
      ds.field.make({ label: 'Filter', path: at('filter'), options: ds.words.list('filter'), words: 'filter' }),
      typeof blower === 'object' && blower !== null
        ? el('p', { class: 'note' }, 'The blower is written by its points: change them in the text.')
        : ds.field.make({ label: 'Blower', path: at('blower'), options: ds.words.list('blower'), empty: 'fixed speed, as usual', words: 'blower' }),
      ds.field.make({ label: 'How its cabinet is sealed', path: at('work'), options: ds.words.list('work'), empty: 'as usual', words: 'work on the unit' }),
      ds.field.make({ label: 'Reach', path: at('reach'), options: ds.words.list('reach'), empty: 'as usual', words: 'reach of the unit' }),
      plenum('supply plenum'),
      plenum('return plenum'));
  };

  return { build };
})();
