// A telephone's window.
import { test } from "node:test";

import { PHONE, withPage } from "./lib/browser.mjs";
import { narrowFaults } from "./lib/access.mjs";
import { choose, layers } from "./lib/drawing.mjs";
import { none, sharedBrowser } from "./lib/each.mjs";
import { models, nameOf, report } from "./lib/program.mjs";

const shared = sharedBrowser();

for (const sketch of models()) {
  test(`${nameOf(sketch)} in a window of ${PHONE.width} x ${PHONE.height}`, async () => {
    const options = { viewport: PHONE, hasTouch: true, isMobile: true, deviceScaleFactor: 2 };
    await withPage(shared.browser, report(sketch), options, async (page) => {
      none(await narrowFaults(page), nameOf(sketch));
      for (const layer of await layers(page)) await choose(page, layer);
      await page.evaluate(() => {
        for (const details of document.querySelectorAll("details")) details.open = true;
      });
      none(await narrowFaults(page), `${nameOf(sketch)}, all unfolded`);
    });
  });
}
