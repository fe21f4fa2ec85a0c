/** Whether what a change is about still stands where it stood when it was asked for: changes wait in line, and lists move meanwhile. */
ds.places = (() => {
  const under = (root, path) => path.reduce((here, part) => (here !== null && typeof here === 'object' && Object.hasOwn(here, part) ? here[part] : undefined), root);
  const pathOf = (change) => (change.path ? change.path : Number.isInteger(change.run) ? ['runs', change.run] : null);
  const known = (item) => (item !== null && typeof item === 'object' && !Array.isArray(item) && item.id !== undefined ? `id ${item.id}` : null);

  /**
   * The items of lists that the changes name by number, with what tells them apart: their id, else how long the list is.
   * What is taken away is known by all that is written of it.
   */
  const of = (view, changes) => {
    const root = view && view.sketch;
    const found = [];
    for (const change of changes) {
      const path = pathOf(change);
      if (!path) continue;
      path.forEach((part, at) => {
        if (!Number.isInteger(part)) return;
        const item = path.slice(0, at + 1);
        const isAll = at === path.length - 1 && (change.do === 'remove' || change.do === 'remove_run');
        found.push({ item, isAll, was: sign(root, item, isAll) });
      });
    }
    return found;
  };

  const sign = (root, item, isAll) => {
    const here = under(root, item);
    if (isAll) return JSON.stringify(here);
    const list = under(root, item.slice(0, -1));
    return known(here) || `of ${Array.isArray(list) ? list.length : 0}`;
  };

  const stand = (view, places) => places.every(({ item, isAll, was }) => sign(view && view.sketch, item, isAll) === was);

  return { of, stand };
})();
