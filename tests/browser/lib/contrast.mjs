// Contrast of what is drawn, as it is painted, filters included.

/** WCAG 2.2, 1.4.3: letters. */
export const LETTERS = 4.5;
/** WCAG 2.2, 1.4.11: parts of a picture that are needed to understand it. */
export const SHAPES = 3;

/**
 * Shapes and letters of pictures that stand out too little from their ground. A shape stands out by its fill or by its
 * stroke, whichever is more.
 * @param pictures selector of the pictures
 * @param shapes selector, within them, of what must stand out; letters always must, unless `letters` is false
 * @returns `{checked, faults}`
 */
export async function standOut(page, pictures, shapes, { letters = true } = {}) {
  return page.evaluate(([pictures, shapes, letters, LETTERS, SHAPES]) => {
    const parse = (value) => {
      const parts = value.match(/rgba?\(([^)]+)\)/)?.[1].split(/[ ,/]+/).map(Number);
      return parts ? [...parts.slice(0, 3), parts[3] ?? 1] : null;
    };
    const over = (top, under) => [0, 1, 2].map((k) => top[k] * top[3] + under[k] * (1 - top[3])).concat(1);
    const luminance = (colour) => {
      const [r, g, b] = colour.map((v) => (v / 255 <= 0.04045 ? v / 255 / 12.92 : ((v / 255 + 0.055) / 1.055) ** 2.4));
      return 0.2126 * r + 0.7152 * g + 0.0722 * b;
    };
    // What a filter makes of a colour, by the browser's own painting.
    const known = new Map();
    const filtered = (colour, filter) => {
      if (filter === "none") return colour;
      const key = `${colour.map(Math.round)} ${filter}`;
      if (!known.has(key)) {
        const pen = new OffscreenCanvas(4, 4).getContext("2d", { willReadFrequently: true });
        pen.filter = filter;
        pen.fillStyle = `rgb(${colour.slice(0, 3).map(Math.round).join(",")})`;
        pen.fillRect(-8, -8, 20, 20);
        known.set(key, [...pen.getImageData(1, 1, 1, 1).data.slice(0, 3), 1]);
      }
      return known.get(key);
    };
    const dark = matchMedia("(prefers-color-scheme: dark)").matches && getComputedStyle(document.documentElement).colorScheme.includes("dark");
    const faults = new Map();
    let checked = 0;
    for (const picture of document.querySelectorAll(pictures)) {
      if (!isSeen(picture)) continue;
      const filter = getComputedStyle(picture).filter;
      let own = null;
      let ground = null;
      for (let element = picture; element && !ground; element = element.parentElement) {
        const colour = parse(getComputedStyle(element).backgroundColor);
        if (!colour || colour[3] === 0) continue;
        if (element === picture) own = ground = colour;
        else ground = colour;
      }
      ground ??= dark ? [18, 18, 18, 1] : [255, 255, 255, 1];
      const shownGround = own ? filtered(ground, filter) : ground;
      const contrast = (colour, alpha) => {
        const shown = filtered(over([...colour.slice(0, 3), alpha], ground), filter);
        const [high, low] = [luminance(shown), luminance(shownGround)].sort((a, b) => b - a);
        return (high + 0.05) / (low + 0.05);
      };
      for (const element of picture.querySelectorAll(letters ? `text, ${shapes}` : shapes)) {
        if (!isSeen(element)) continue;
        const style = getComputedStyle(element);
        let alpha = 1;
        for (let up = element; up && up !== picture; up = up.parentElement) alpha *= Number(getComputedStyle(up).opacity);
        const [fill, stroke] = [parse(style.fill), parse(style.stroke)];
        const ratios = [];
        if (fill) ratios.push(contrast(fill, alpha * fill[3] * Number(style.fillOpacity)));
        if (stroke && element.localName !== "text" && parseFloat(style.strokeWidth) > 0) ratios.push(contrast(stroke, alpha * stroke[3] * Number(style.strokeOpacity)));
        if (ratios.length === 0) continue;
        checked += 1;
        const least = element.localName === "text" ? LETTERS : SHAPES;
        const ratio = Math.max(...ratios);
        if (ratio < least) {
          const where = picture.id || picture.closest("section")?.id;
          const key = `${element.localName}.${element.getAttribute("class") ?? ""} of ${element.closest(".seam")?.getAttribute("class") ?? where}: ${ratio.toFixed(2)}:1, wanted ${least}:1`;
          faults.set(key, (faults.get(key) ?? 0) + 1);
        }
      }
    }
    return { checked, faults: [...faults].map(([key, count]) => `${key} (${count} times)`) };
  }, [pictures, shapes, letters, LETTERS, SHAPES]);
}

/** Charts: every letter and every shape but the rail that leads the eye, and the field between two edges that stand out. */
export async function chartContrast(page) {
  const found = await standOut(page, "main svg:not(.plan-drawing)", "rect:not(.field), circle, ellipse, polygon, polyline, path, line:not(.rail)");
  const open = await page.evaluate(() => [...document.querySelectorAll("main svg:not(.plan-drawing)")].filter((chart) => chart.querySelectorAll(".edge").length < 2 * chart.querySelectorAll(".field").length).map((chart) => chart.id));
  return { ...found, faults: [...found.faults, ...open.map((id) => `${id}: fields without their two edges`)] };
}

/** Marks of seams in the layer that is shown, and lines of pressure. */
export async function markContrast(page) {
  return standOut(page, "svg.plan-drawing", ".seam .mark, .pressure", { letters: false });
}
