// The pictures: the drawing shows one layer at a time, no text lies on another in any, nor in a chart.
import assert from "node:assert/strict";
import { test } from "node:test";

import { DESKTOP, PHONE, withPage } from "./lib/browser.mjs";
import { chartFaults, choiceFaults, choose, layers, textFaults } from "./lib/drawing.mjs";
import { none, sharedBrowser } from "./lib/each.mjs";
import { models, nameOf, report } from "./lib/program.mjs";

const shared = sharedBrowser();

for (const sketch of models()) {
  test(`${nameOf(sketch)}: each choice shows its layer alone`, async () => {
    await withPage(shared.browser, report(sketch), {}, async (page) => none(await choiceFaults(page), nameOf(sketch)));
  });

  test(`${nameOf(sketch)}: no two texts overlap`, async (t) => {
    await withPage(shared.browser, report(sketch), {}, async (page) => {
      const faults = [];
      let texts = 0;
      for (const layer of await layers(page)) {
        await choose(page, layer);
        const found = await textFaults(page);
        texts += found.texts;
        faults.push(...found.faults.map((fault) => `${layer}: ${fault}`));
      }
      t.diagnostic(`${texts} visible texts over all layers, ${faults.length} faults`);
      assert.ok(texts > 20, `only ${texts} texts`);
      none(faults, nameOf(sketch));
    });
  });

  for (const [window, viewport] of [["desktop", DESKTOP], ["phone", PHONE]]) {
    test(`${nameOf(sketch)}: no two texts of a chart overlap, ${window}`, async (t) => {
      await withPage(shared.browser, report(sketch), { viewport }, async (page) => {
        await page.evaluate(() => {
          for (const details of document.querySelectorAll("details")) details.open = true;
        });
        const { charts, texts, faults } = await chartFaults(page);
        t.diagnostic(`${charts} charts, ${texts} visible texts, ${faults.length} faults`);
        assert.ok(charts > 0, "no charts");
        none(faults, nameOf(sketch));
      });
    });
  }
}
