// Drawing and table point at each other: by pointer, click and keyboard.
import assert from "node:assert/strict";
import { test } from "node:test";

import { withPage } from "./lib/browser.mjs";
import { choose, layers } from "./lib/drawing.mjs";
import { none, sharedBrowser } from "./lib/each.mjs";
import { clickFaults, falling, hiddenMarks, keyFaults, pairFaults, pointerFaults, rowFaults } from "./lib/linking.mjs";
import { allocation, model, models, nameOf, report } from "./lib/program.mjs";
import { zoomTo } from "./lib/zoom.mjs";

const shared = sharedBrowser();

/** Some seams of every size: the leakiest, the least, and some between. */
function sample(answer, count) {
  const order = falling(answer).map(({ index }) => index);
  return Array.from({ length: count }, (_, k) => order[Math.round((k * (order.length - 1)) / (count - 1))]);
}

for (const sketch of models()) {
  const name = nameOf(sketch);
  // Smooth scrolling is waited for on one model; on the others the reader wants none, which saves its time.
  const motion = { reducedMotion: name === "bungalow" ? "no-preference" : "reduce" };
  test(`${name}: every seam has its row and its mark, and can be pointed at`, async () => {
    const answer = allocation(sketch);
    await withPage(shared.browser, report(sketch), motion, async (page) => {
      none(await pairFaults(page, answer), name);
      await choose(page, "seams");
      none(await hiddenMarks(page, answer, 0.5), `${name}, marks that others cover`);
      // Where seams crowd, a person shows the drawing as large as it goes.
      await zoomTo(page, "300 %");
      none(await hiddenMarks(page, answer), `${name}, marks that cannot be pointed at`);
    });
  });

  test(`${name}: pointer and click`, async () => {
    const answer = allocation(sketch);
    await withPage(shared.browser, report(sketch), motion, async (page) => {
      await choose(page, "seams");
      none(await pointerFaults(page, sample(answer, 12)), name);
      none(await clickFaults(page, sample(answer, 7)), name);
    });
  });

  test(`${name}: keyboard`, async () => {
    const answer = allocation(sketch);
    await withPage(shared.browser, report(sketch), motion, async (page) => {
      await choose(page, "seams");
      none(await keyFaults(page, answer), name);
    });
  });
}

test("a click on a row brings its mark into the frame of a large drawing", async () => {
  const sketch = model("two-storey");
  const answer = allocation(sketch);
  await withPage(shared.browser, report(sketch), { reducedMotion: "reduce" }, async (page) => {
    await choose(page, "seams");
    await zoomTo(page, "300 %");
    none(await rowFaults(page, sample(answer, 6)), "two-storey");
  });
});

test("the marks of the other layers point at rows too", async () => {
  const sketch = model("bungalow");
  const answer = allocation(sketch);
  await withPage(shared.browser, report(sketch), {}, async (page) => {
    for (const layer of (await layers(page)).filter((word) => ["top", "types"].includes(word))) {
      await choose(page, layer);
      const marked = await page.evaluate((name) => [...document.querySelectorAll(`svg.plan-drawing .layer-${name} .seam[data-seam]`)].map((mark) => Number(mark.dataset.seam)), layer);
      const largest = falling(answer).map(({ index }) => index).filter((index) => marked.includes(index)).slice(0, 3);
      assert.equal(largest.length, 3, `marks of ${layer}`);
      none(await pointerFaults(page, largest), layer);
    }
  });
});
