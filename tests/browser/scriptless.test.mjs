// Without scripts everything can be read.
import { test } from "node:test";

import { scriptlessFaults } from "./lib/access.mjs";
import { withPage } from "./lib/browser.mjs";
import { none, sharedBrowser } from "./lib/each.mjs";
import { allocation, models, nameOf, report } from "./lib/program.mjs";

const shared = sharedBrowser();

for (const sketch of models()) {
  test(`${nameOf(sketch)} without scripts`, async () => {
    const seams = allocation(sketch).seams.length;
    await withPage(shared.browser, report(sketch), { javaScriptEnabled: false }, async (page, notes) => {
      none(await scriptlessFaults(page, seams), nameOf(sketch));
      none(notes, nameOf(sketch));
    });
  });
}
