// Reach for everyone: rules of axe-core, sizes for fingers, narrow windows, schemes of colour.
import axe from "axe-core";

const TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22a", "wcag22aa", "best-practice"];

/** Runs axe-core. `{faults, undecided, passed}`: faults in words, numbers of rules undecided and passed. */
export async function axeFaults(page) {
  await page.evaluate(axe.source);
  const result = await page.evaluate(
    (tags) => globalThis.axe.run(document, { runOnly: { type: "tag", values: tags }, resultTypes: ["violations", "incomplete"] }),
    TAGS,
  );
  const faults = result.violations.map(
    (rule) => `${rule.id} (${rule.impact}): ${rule.help}; ${rule.nodes.length} places, first ${rule.nodes[0].target.join(" ")}: ${rule.nodes[0].html.slice(0, 120)}; ${(rule.nodes[0].failureSummary ?? "").replace(/\s+/g, " ").slice(0, 200)}`,
  );
  const undecided = result.incomplete.map((rule) => `${rule.id} (${rule.nodes.length})`);
  return { faults, undecided, passed: result.passes.length };
}

/** Faults in a narrow window: sideways scroll, small letters, controls that cannot be reached or are too small for a finger. */
export async function narrowFaults(page) {
  // Not the window's own `innerWidth`: a telephone zooms out where a page is too wide.
  const { width: window } = page.viewportSize();
  return page.evaluate((width) => {
    const faults = [];
    const root = document.scrollingElement;
    if (root.scrollWidth > width) {
      const wide = [...document.querySelectorAll("main *")]
        .filter((element) => {
          if (element.getBoundingClientRect().right <= width + 1) return false;
          for (let up = element.parentElement; up; up = up.parentElement) {
            if (["auto", "scroll", "hidden", "clip"].includes(getComputedStyle(up).overflowX)) return false;
          }
          return true;
        })
        .slice(0, 3)
        .map((element) => `${element.localName}${element.id ? `#${element.id}` : ""}.${element.getAttribute("class") ?? ""}`);
      faults.push(`the page is ${root.scrollWidth} px wide in a window of ${width}: ${wide.join(", ")}`);
    }
    const size = parseFloat(getComputedStyle(document.body).fontSize);
    if (size < 15) faults.push(`letters of ${size} px`);
    const controls = document.querySelectorAll("button, input, select, summary, body > a, nav a");
    for (const control of controls) {
      if (!control.checkVisibility() || control.closest("svg")) continue;
      const name = `${control.localName}${control.id ? `#${control.id}` : ""} "${(control.textContent || control.value || "").trim().slice(0, 30)}"`;
      // A link that skips to the report may stand outside the page until it has the focus.
      control.focus({ preventScroll: true });
      control.scrollIntoView({ block: "center", inline: "center", behavior: "instant" });
      const box = control.getBoundingClientRect();
      const all = [box, ...[...(control.labels ?? [])].filter((label) => /radio|checkbox/.test(control.type)).map((label) => label.getBoundingClientRect())];
      const wide = Math.max(...all.map((b) => b.right)) - Math.min(...all.map((b) => b.left));
      const high = Math.max(...all.map((b) => b.bottom)) - Math.min(...all.map((b) => b.top));
      if (wide < 24 || high < 24) faults.push(`${name} is ${wide.toFixed(0)} x ${high.toFixed(0)} px`);
      const target = all.find((b) => {
        const hit = document.elementFromPoint((b.left + b.right) / 2, (b.top + b.bottom) / 2);
        return hit && (hit === control || control.contains(hit) || [...(control.labels ?? [])].some((label) => label.contains(hit)));
      });
      if (!target) faults.push(`${name} cannot be reached`);
      if (root.scrollLeft !== 0) faults.push(`${name} moves the page sideways`);
    }
    document.activeElement.blur();
    root.scrollTo({ left: 0, top: 0, behavior: "instant" });
    return faults;
  }, window);
}

/** Colours of the page: paper and letters. */
export async function colours(page) {
  return page.evaluate(() => ({
    paper:
      [document.body, document.documentElement]
        .map((element) => getComputedStyle(element).backgroundColor)
        .find((colour) => colour !== "rgba(0, 0, 0, 0)") ?? "none",
    letters: getComputedStyle(document.body).color,
  }));
}

/**
 * What is painted of the drawing: relative luminance (WCAG 2.2) of its pixels, the tenth, half and nine tenths of them.
 * Looked at as pixels, since a style may turn colours round in more than one way.
 */
export async function painted(page) {
  const picture = await page.locator("svg.plan-drawing").screenshot();
  const blank = await page.context().newPage();
  try {
    return await blank.evaluate(async (base64) => {
      const image = new Image();
      image.src = `data:image/png;base64,${base64}`;
      await image.decode();
      const canvas = new OffscreenCanvas(image.width, image.height);
      const pen = canvas.getContext("2d");
      pen.drawImage(image, 0, 0);
      const { data } = pen.getImageData(0, 0, image.width, image.height);
      const linear = (v) => (v / 255 <= 0.04045 ? v / 255 / 12.92 : ((v / 255 + 0.055) / 1.055) ** 2.4);
      const all = [];
      for (let i = 0; i < data.length; i += 4) {
        all.push(0.2126 * linear(data[i]) + 0.7152 * linear(data[i + 1]) + 0.0722 * linear(data[i + 2]));
      }
      all.sort((a, b) => a - b);
      const at = (part) => all[Math.floor(part * (all.length - 1))];
      return { darkest: at(0), half: at(0.5), lightest: at(1) };
    }, picture.toString("base64"));
  } finally {
    await blank.close();
  }
}

/** Relative luminance of an `rgb()` colour, WCAG 2.2. */
export function luminance(colour) {
  const parts = colour.match(/rgba?\(([^)]+)\)/)?.[1].split(/[ ,/]+/).map(Number);
  if (!parts) return NaN;
  const linear = (v) => (v / 255 <= 0.04045 ? v / 255 / 12.92 : ((v / 255 + 0.055) / 1.055) ** 2.4);
  return 0.2126 * linear(parts[0]) + 0.7152 * linear(parts[1]) + 0.0722 * linear(parts[2]);
}

/** Faults of movement where the reader asked for little: moving styles. Smooth scrolling by script is watched by `watchScroll`. */
export async function motionFaults(page) {
  return page.evaluate(() => {
    const faults = new Set();
    for (const element of [document.documentElement, ...document.querySelectorAll("body, body *")]) {
      const style = getComputedStyle(element);
      const longest = (value) => Math.max(...value.split(",").map(parseFloat));
      if (longest(style.transitionDuration) > 0.01) faults.add(`${element.localName} has a transition`);
      if (style.animationName !== "none" && longest(style.animationDuration) > 0.01) faults.add(`${element.localName} has an animation`);
      if (style.scrollBehavior === "smooth") faults.add(`${element.localName} scrolls smoothly`);
    }
    for (const asked of globalThis.scrollsAsked ?? []) if (asked === "smooth") faults.add("a script asks for smooth scrolling");
    return [...faults];
  });
}

/** Notes every behaviour that the page's script asks of scrolling from now on. */
export async function watchScroll(page) {
  await page.evaluate(() => {
    globalThis.scrollsAsked = [];
    for (const [owner, name] of [[Element.prototype, "scrollIntoView"], [Element.prototype, "scrollTo"], [window, "scrollTo"], [window, "scrollBy"]]) {
      const plain = owner[name];
      owner[name] = function watched(...values) {
        globalThis.scrollsAsked.push(values[0]?.behavior ?? "auto");
        return plain.apply(this, values);
      };
    }
  });
}

/** Faults without scripts: a section or a row that cannot be seen. */
export async function scriptlessFaults(page, seams) {
  const faults = await page.evaluate(() => {
    const found = [];
    for (const section of document.querySelectorAll("main section[id]")) {
      if (!section.checkVisibility() || section.getBoundingClientRect().height < 10) found.push(`section ${section.id} is not seen`);
    }
    if (![...document.querySelectorAll("svg.plan-drawing g.layer")].some((layer) => layer.checkVisibility())) found.push("no layer of the drawing is seen");
    return found;
  });
  const rows = await page.evaluate(
    () => [...document.querySelectorAll("#seam-table tbody tr[data-seam]")].filter((row) => row.checkVisibility() && row.getBoundingClientRect().height > 5).length,
  );
  if (rows !== seams) faults.push(`${rows} of ${seams} rows are seen`);
  return faults;
}
