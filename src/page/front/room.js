// Room on the drawing: what is taken, so that words and numbers lie neither on one another nor on marks. A coarse raster, made once a drawing.
/* global ds */
ds.room = (() => {
  /** Side of a cell of the raster, px. */
  const CELL = 4;
  /** What a cell holds: a word or a sign, a mark of a seam, a duct. */
  const TAKEN = 1;
  const MARK = 2;
  const DUCT = 4;
  const widths = new Map();
  let pen = null;

  /** Width of a text as the browser will write it, px. `font` as in a style sheet, without its family. */
  function width(text, font) {
    const key = `${font} ${text}`;
    if (!widths.has(key)) {
      if (!pen) pen = document.createElement('canvas').getContext('2d');
      if (widths.size > 5000) widths.clear();
      pen.font = `${font} ${getComputedStyle(document.body).fontFamily}`;
      widths.set(key, pen.measureText(text).width);
    }
    return widths.get(key);
  }

  /** An empty room of the size of the layer. Boxes are `[x0, y0, x1, y1]`, px of the layer. */
  function make() {
    const size = ds.camera.layerSize();
    const margin = ds.camera.margin();
    const wide = Math.ceil(size.w / CELL) + 1;
    const high = Math.ceil(size.h / CELL) + 1;
    const cells = new Uint8Array(wide * high);
    const sight = [margin.x, margin.y, size.w - margin.x, size.h - margin.y];
    const cell = (x, most) => Math.max(0, Math.min(most - 1, Math.floor(x / CELL)));

    function take(box, what = TAKEN) {
      if (box[2] < 0 || box[3] < 0 || box[0] > size.w || box[1] > size.h) return;
      const x1 = cell(box[2], wide);
      const y1 = cell(box[3], high);
      for (let y = cell(box[1], high); y <= y1; y += 1) for (let x = cell(box[0], wide); x <= x1; x += 1) cells[y * wide + x] |= what;
    }

    function takeLine(a, b, half, what) {
      const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
      // Never more steps than cross the whole layer, however near one looks.
      const steps = Math.min(2000, Math.max(1, Math.ceil(length / Math.max(CELL, half))));
      for (let k = 0; k <= steps; k += 1) {
        const x = a[0] + ((b[0] - a[0]) * k) / steps;
        const y = a[1] + ((b[1] - a[1]) * k) / steps;
        take([x - half, y - half, x + half, y + half], what);
      }
    }

    /** Cells of a box that hold any of these. */
    function held(box, what) {
      let count = 0;
      const x1 = cell(box[2], wide);
      const y1 = cell(box[3], high);
      for (let y = cell(box[1], high); y <= y1; y += 1) for (let x = cell(box[0], wide); x <= x1; x += 1) if (cells[y * wide + x] & what) count += 1;
      return count;
    }

    const within = (box, edge) => box[0] >= edge[0] && box[1] >= edge[1] && box[2] <= edge[2] && box[3] <= edge[3];

    /**
     * The first of the middles `spots` where a box `w` by `h` has room, taken at once; null where there is none.
     * What lies in sight is not written over its edge. `avoid` is what it must not lie on, `shun` what it had better not:
     * of its box at most `part` may, or all of it, as in a wide duct.
     */
    function find(spots, w, h, { avoid = TAKEN | MARK, shun = DUCT, part = 0.35, must = false } = {}) {
      const boxes = spots.map((p) => [p[0] - w / 2, p[1] - h / 2, p[0] + w / 2, p[1] + h / 2]);
      const isIn = spots.length && within([...spots[0], ...spots[0]], sight);
      const edge = isIn ? sight : [0, 0, size.w, size.h];
      const fits = boxes.map((box) => within(box, edge));
      let k = boxes.findIndex((box, at) => fits[at] && !held(box, avoid | shun));
      const all = (Math.floor(w / CELL) + 1) * (Math.floor(h / CELL) + 1);
      const isFew = (count) => count <= part * all || count >= 0.9 * all;
      if (k < 0) k = boxes.findIndex((box, at) => fits[at] && !held(box, avoid) && isFew(held(box, shun)));
      if (k < 0 && must) {
        let least = Infinity;
        boxes.forEach((box, at) => {
          const count = held(box, avoid) + (fits[at] ? 0 : 1000);
          if (count >= least) return;
          least = count;
          k = at;
        });
      }
      if (k < 0) return null;
      take(boxes[k]);
      return spots[k];
    }

    return { take, takeLine, find };
  }

  return { make, width, TAKEN, MARK, DUCT };
})();
