// The drawing can be shown large enough to read, inside its own frame, with and without scripts.
import assert from "node:assert/strict";
import { test } from "node:test";

import { DESKTOP, PHONE, withPage } from "./lib/browser.mjs";
import { baseTexts, choose, layers } from "./lib/drawing.mjs";
import { none, sharedBrowser } from "./lib/each.mjs";
import { missing, print, sheetFaults } from "./lib/print.mjs";
import { model, models, nameOf, report } from "./lib/program.mjs";
import { shownSize, zoomFaults, zoomTo } from "./lib/zoom.mjs";

const shared = sharedBrowser();
/** Least height of letters that are read without effort on a screen, and on a telephone held nearer, px. Engineering estimate. */
const READ = 11;
const READ_NEAR = 9;

for (const sketch of models()) {
  const name = nameOf(sketch);
  test(`${name}: letters of ${READ} px or more at 200 %`, async (t) => {
    await withPage(shared.browser, report(sketch), { viewport: DESKTOP }, async (page) => {
      await zoomTo(page, "200 %");
      const faults = [];
      for (const layer of await layers(page)) {
        await choose(page, layer);
        const { least, words } = await shownSize(page);
        t.diagnostic(`${layer}: ${least.toFixed(1)} px`);
        if (least < READ) faults.push(`${layer}: "${words}" is ${least.toFixed(1)} px high`);
      }
      none(faults, name);
    });
  });

  test(`${name}: letters of ${READ_NEAR} px or more on a telephone, as it opens`, async () => {
    await withPage(shared.browser, report(sketch), { viewport: PHONE, isMobile: true, hasTouch: true, deviceScaleFactor: 2 }, async (page) => {
      const { least, words } = await shownSize(page);
      assert.ok(least >= READ_NEAR, `"${words}" is ${least.toFixed(1)} px high`);
    });
  });
}

for (const [window, options] of [
  ["desktop", { viewport: DESKTOP }],
  ["telephone", { viewport: PHONE, isMobile: true, hasTouch: true }],
  ["without scripts", { viewport: DESKTOP, javaScriptEnabled: false }],
]) {
  test(`each size scrolls inside its frame, ${window}`, async () => {
    await withPage(shared.browser, report(model("two-storey")), options, async (page) => none(await zoomFaults(page, options.javaScriptEnabled === false ? (drawn) => drawn.waitForTimeout(200) : undefined), window));
  });
}

test("the size on the screen does not change the paper", async () => {
  await withPage(shared.browser, report(model("two-storey")), {}, async (page) => {
    const texts = await baseTexts(page);
    assert.ok(texts.length > 3, `only ${texts.length} texts`);
    const before = await print(page, "crew", "A4");
    await zoomTo(page, "300 %");
    const after = await print(page, "crew", "A4");
    assert.equal(after.length, before.length, "pages");
    none(sheetFaults(after, "A4"), "crew");
    none(missing(after, texts), "of the drawing not printed");
  });
});
