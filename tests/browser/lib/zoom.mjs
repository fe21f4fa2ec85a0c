// The choice of how large the drawing is shown.
import { settled } from "./browser.mjs";

/** Sizes offered in this window, in the order of the choice: `{at, label}`, `at` the place among all radio buttons. */
export async function sizes(page) {
  return page.evaluate(() =>
    [...document.querySelectorAll('input[name="zoom"]')]
      .map((input, at) => ({ at, label: (input.labels[0]?.innerText ?? "").replace(/\s+/g, " ").trim(), seen: isSeen(input) }))
      .filter(({ seen }) => seen),
  );
}

/**
 * Chooses a size by words of its label, as a person does; throws if there is none.
 * @param wait how to wait for the page to be drawn anew: a page without scripts cannot tell by itself
 */
export async function zoomTo(page, words, wait = settled) {
  const offered = await sizes(page);
  const found = offered.find(({ label }) => label.replace(/\s/g, "").includes(words.replace(/\s/g, "")));
  if (!found) throw new Error(`no choice "${words}" of the drawing's size, only: ${offered.map(({ label }) => label).join(", ") || "none"}`);
  await page.locator('input[name="zoom"]').nth(found.at).check({ force: true });
  await wait(page);
}

/** The drawing as it is shown: least height of its visible letters, px, its width, its frame. */
export async function shownSize(page) {
  return page.evaluate(() => {
    const drawing = document.querySelector("svg.plan-drawing");
    let frame = drawing.parentElement;
    while (frame !== document.body && !/auto|scroll/.test(getComputedStyle(frame).overflowX)) frame = frame.parentElement;
    const scale = drawing.getScreenCTM().a;
    const letters = [...drawing.querySelectorAll("text")].filter(isSeen).map((text) => ({ px: parseFloat(getComputedStyle(text).fontSize) * scale, words: text.textContent }));
    letters.sort((a, b) => a.px - b.px);
    const kept = [frame.scrollLeft, frame.scrollTop];
    frame.scrollTo({ left: 1e6, top: 1e6, behavior: "instant" });
    const moved = frame.scrollLeft > 0;
    frame.scrollTo({ left: kept[0], top: kept[1], behavior: "instant" });
    return {
      least: letters[0]?.px ?? 0,
      words: letters[0]?.words ?? "",
      width: drawing.getBoundingClientRect().width,
      frame: frame === document.body ? null : {
        width: frame.clientWidth,
        inner: frame.scrollWidth,
        moved,
        focusable: frame.tabIndex === 0,
        named: Boolean(frame.getAttribute("aria-label") || frame.getAttribute("aria-labelledby")),
      },
      page: document.scrollingElement.scrollWidth,
    };
  });
}

const PARTS = ["150 %", "200 %", "300 %"];

/** Faults of the sizes: the page never scrolls sideways, a large drawing scrolls inside its frame, which the keyboard reaches. */
export async function zoomFaults(page, wait = settled) {
  const faults = [];
  const labels = (await sizes(page)).map(({ label }) => label);
  for (const words of ["whole sheet", ...PARTS]) if (!labels.includes(words)) faults.push(`"${words}" is not offered: ${labels.join(", ") || "nothing"}`);
  const { width } = page.viewportSize();
  let before = 0;
  for (const words of ["whole sheet", ...PARTS].filter((label) => labels.includes(label))) {
    await zoomTo(page, words, wait);
    const now = await shownSize(page);
    if (now.page > width) faults.push(`${words}: the page is ${now.page} px wide in a window of ${width}`);
    if (now.width <= before) faults.push(`${words}: the drawing is ${now.width.toFixed(0)} px wide, no more than the size before`);
    before = now.width;
    if (!now.frame) {
      faults.push(`${words}: nothing round the drawing scrolls`);
      continue;
    }
    const fits = now.frame.inner <= now.frame.width + 1;
    if (fits !== (words === "whole sheet")) faults.push(`${words}: ${fits ? "all of the drawing fits into its frame" : "the sheet is wider than its frame"}`);
    if (fits) continue;
    if (!now.frame.moved) faults.push(`${words}: the frame does not scroll`);
    if (!now.frame.focusable) faults.push(`${words}: the keyboard does not reach the frame`);
    if (!now.frame.named) faults.push(`${words}: the frame has no name`);
  }
  return faults;
}
