// The drawing as the browser lays it out.
import { settled } from "./browser.mjs";

/** Layers, in the order of the choice. */
export async function layers(page) {
  return page.evaluate(() => [...document.querySelectorAll('input[name="layer"]')].map((input) => input.value));
}

/** Chooses a layer as a person does. */
export async function choose(page, layer) {
  await page.check(`input[name="layer"][value="${layer}"]`, { force: true });
  await settled(page);
}

/** Layers that can be seen now. */
export async function shown(page) {
  return page.evaluate(() =>
    [...document.querySelectorAll("svg.plan-drawing g.layer")]
      .filter((group) => getComputedStyle(group).display !== "none" && getComputedStyle(group).visibility !== "hidden")
      .map((group) => group.dataset.layer),
  );
}

/** Faults of the choice of layers: each radio shows its own layer and no other, by pointer and by arrow keys. */
export async function choiceFaults(page) {
  const faults = [];
  const offered = await layers(page);
  const drawn = await page.evaluate(() => [...document.querySelectorAll("svg.plan-drawing g.layer")].map((group) => group.dataset.layer));
  if (offered.length < 2) faults.push(`only ${offered.length} layers to choose from`);
  if ([...offered].sort().join() !== [...drawn].sort().join()) faults.push(`offered ${offered.join()}, drawn ${drawn.join()}`);
  const first = await page.evaluate(() => document.querySelector('input[name="layer"]:checked')?.value);
  if ((await shown(page)).join() !== first) faults.push(`at first ${first} is chosen but ${(await shown(page)).join()} shown`);
  for (const layer of offered) {
    await choose(page, layer);
    const now = await shown(page);
    if (now.join() !== layer) faults.push(`${layer} chosen, ${now.join() || "nothing"} shown`);
  }
  await page.focus('input[name="layer"]:checked');
  await page.keyboard.press("ArrowDown");
  await settled(page);
  const next = await page.evaluate(() => document.querySelector('input[name="layer"]:checked').value);
  if ((await shown(page)).join() !== next) faults.push(`${next} chosen by key, ${(await shown(page)).join()} shown`);
  await choose(page, offered[0]);
  return faults;
}

/** Texts of the bare drawing as they are painted: the title of a shortened one is not. */
export async function baseTexts(page) {
  return page.evaluate(() =>
    [...document.querySelectorAll("svg.plan-drawing .base text")].map((text) => [...text.childNodes].filter((node) => node.localName !== "title").map((node) => node.textContent).join("")),
  );
}

/** Tolerance of overlaps, px. */
const TOUCH = 0.3;
/**
 * By how much the line boxes of two texts, one above the other, may run into each other, parts of the letters' size. The
 * fonts asked for leave 0.17 of it blank above capitals (Liberation Sans: ascent 0.905, height of capitals 0.729): letters
 * themselves do not touch.
 */
const BLANK = 0.1;

/**
 * Faults of the visible texts of a picture: two that overlap, one that leaves the sheet (a chart: the window), one without
 * width.
 * @param at which picture of the page; the drawing if nothing is said
 * @returns `{texts, faults}`, `texts` the number of visible ones
 */
export async function textFaults(page, at = null) {
  return page.evaluate(([touch, blank, at]) => {
    const drawing = at === null ? document.querySelector("svg.plan-drawing") : document.querySelectorAll("main svg")[at];
    // A chart may let its ends of axes stand out, but not out of the window.
    const sheet = at === null ? drawing.getBoundingClientRect() : { left: 0, right: innerWidth, top: -Infinity, bottom: Infinity };
    const texts = [];
    const faults = [];
    for (const text of drawing.querySelectorAll("text")) {
      if (!isSeen(text)) continue;
      const box = text.getBoundingClientRect();
      const words = text.textContent.trim();
      if (box.width === 0 || box.height === 0 || words === "") {
        faults.push(`text without a size: "${words}"`);
        continue;
      }
      if (box.left < sheet.left - touch || box.top < sheet.top - touch || box.right > sheet.right + touch || box.bottom > sheet.bottom + touch) {
        faults.push(`leaves the sheet: "${words}"`);
      }
      texts.push({ words, box, blank: blank * parseFloat(getComputedStyle(text).fontSize) * text.getScreenCTM().a });
    }
    for (let i = 0; i < texts.length; i += 1) {
      for (let j = i + 1; j < texts.length; j += 1) {
        const [a, b] = [texts[i].box, texts[j].box];
        const across = Math.min(a.right, b.right) - Math.max(a.left, b.left);
        const down = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
        if (across > touch && down > Math.max(touch, Math.min(texts[i].blank, texts[j].blank))) {
          faults.push(`"${texts[i].words}" and "${texts[j].words}" overlap by ${across.toFixed(1)} x ${down.toFixed(1)} px`);
        }
      }
    }
    return { texts: texts.length, faults };
  }, [TOUCH, BLANK, at]);
}

/** Faults of the texts of every other picture of the page, its charts, as `textFaults` finds them. */
export async function chartFaults(page) {
  const charts = await page.evaluate(() => [...document.querySelectorAll("main svg")].map((svg, at) => [at, svg.closest("section")?.id, svg]).filter(([, , svg]) => !svg.matches(".plan-drawing") && isSeen(svg)).map(([at, section]) => [at, section]));
  const all = { charts: charts.length, texts: 0, faults: [] };
  for (const [at, section] of charts) {
    const { texts, faults } = await textFaults(page, at);
    all.texts += texts;
    all.faults.push(...faults.map((fault) => `chart in ${section}: ${fault}`));
  }
  return all;
}

/** Faults of contrast of the drawing's visible texts with the drawn ground right beneath them, WCAG 2.2, 1.4.3. */
export async function contrastFaults(page) {
  return page.evaluate(() => {
    const parse = (value) => {
      const parts = value.match(/rgba?\(([^)]+)\)/)?.[1].split(/[ ,/]+/).map(Number);
      return parts ? [...parts.slice(0, 3), parts[3] ?? 1] : null;
    };
    const luminance = ([r, g, b]) => {
      const f = (v) => (v / 255 <= 0.04045 ? v / 255 / 12.92 : ((v / 255 + 0.055) / 1.055) ** 2.4);
      return 0.2126 * f(r) + 0.7152 * f(g) + 0.0722 * f(b);
    };
    const over = (top, under) => {
      const a = top[3];
      return [0, 1, 2].map((k) => top[k] * a + under[k] * (1 - a)).concat(1);
    };
    const everything = document.createElement("style");
    everything.textContent = "svg.plan-drawing *{pointer-events:visiblePainted !important}";
    document.head.append(everything);
    const drawing = document.querySelector("svg.plan-drawing");
    drawing.scrollIntoView({ block: "start", behavior: "instant" });
    const ground = [];
    for (let element = drawing; element; element = element.parentElement) {
      const colour = parse(getComputedStyle(element).backgroundColor);
      if (colour && colour[3] > 0) ground.unshift(colour);
    }
    const page = ground.reduce((under, top) => over(top, under), [255, 255, 255, 1]);
    const canvas = getComputedStyle(document.documentElement).colorScheme.includes("dark") && matchMedia("(prefers-color-scheme: dark)").matches;
    const base = ground.length === 0 && canvas ? [18, 18, 18, 1] : page;
    const faults = new Map();
    for (const text of drawing.querySelectorAll("text")) {
      if (!isSeen(text)) continue;
      text.scrollIntoView({ block: "center", behavior: "instant" });
      const box = text.getBoundingClientRect();
      const point = [box.left + box.width / 2, box.top + box.height / 2];
      const stack = document.elementsFromPoint(...point);
      const beneath = stack.slice(stack.indexOf(text) + 1).filter((element) => drawing.contains(element) && element !== drawing && element.localName !== "text");
      let under = base;
      for (const element of beneath.reverse()) {
        const style = getComputedStyle(element);
        const fill = parse(style.fill);
        if (!fill) continue;
        let alpha = fill[3] * Number(style.fillOpacity);
        for (let up = element; up && up !== drawing; up = up.parentElement) alpha *= Number(getComputedStyle(up).opacity);
        under = over([...fill.slice(0, 3), alpha], under);
      }
      const style = getComputedStyle(text);
      const ink = parse(style.fill);
      if (!ink) continue;
      const shown = over([...ink.slice(0, 3), ink[3] * Number(style.fillOpacity)], under);
      const [l1, l2] = [luminance(shown), luminance(under)].sort((a, b) => b - a);
      const ratio = (l1 + 0.05) / (l2 + 0.05);
      if (ratio < 4.5) {
        const key = `${ratio.toFixed(2)}: ${style.fill} on ${under.slice(0, 3).map(Math.round).join(",")}`;
        faults.set(key, [...(faults.get(key) ?? []), text.textContent.trim()]);
      }
    }
    everything.remove();
    return [...faults].map(([key, words]) => `contrast ${key}: ${words.length} texts, first "${words[0]}"`);
  });
}
