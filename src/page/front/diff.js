/** Lines in which two texts differ, in their order. */
ds.diff = (() => {
  const MOST_CELLS = 4e6;

  /** @returns `[{mark: " "|"-"|"+", line}]`: "-" stands in the first only, "+" in the second only */
  const lines = (first, second) => {
    const a = first.split('\n');
    const b = second.split('\n');
    let start = 0;
    while (start < a.length && start < b.length && a[start] === b[start]) start += 1;
    let end = 0;
    while (end < a.length - start && end < b.length - start && a[a.length - 1 - end] === b[b.length - 1 - end]) end += 1;
    const middle = between(a.slice(start, a.length - end), b.slice(start, b.length - end));
    const same = (list) => list.map((line) => ({ mark: ' ', line }));
    return [...same(a.slice(0, start)), ...middle, ...same(a.slice(a.length - end))];
  };

  /** The longest lines that both hold in one order stay; where that would take too long, everything differs. */
  const between = (a, b) => {
    const out = [];
    if (a.length * b.length > MOST_CELLS) return [...a.map((line) => ({ mark: '-', line })), ...b.map((line) => ({ mark: '+', line }))];
    const wide = b.length + 1;
    const best = new Uint32Array((a.length + 1) * wide);
    for (let i = a.length - 1; i >= 0; i -= 1) {
      for (let j = b.length - 1; j >= 0; j -= 1) {
        best[i * wide + j] = a[i] === b[j] ? best[(i + 1) * wide + j + 1] + 1 : Math.max(best[(i + 1) * wide + j], best[i * wide + j + 1]);
      }
    }
    let i = 0;
    let j = 0;
    while (i < a.length || j < b.length) {
      if (i < a.length && j < b.length && a[i] === b[j]) {
        out.push({ mark: ' ', line: a[i] });
        i += 1;
        j += 1;
      } else if (i < a.length && (j >= b.length || best[(i + 1) * wide + j] >= best[i * wide + j + 1])) {
        out.push({ mark: '-', line: a[i] });
        i += 1;
      } else {
        out.push({ mark: '+', line: b[j] });
        j += 1;
      }
    }
    return out;
  };

  return { lines };
})();
