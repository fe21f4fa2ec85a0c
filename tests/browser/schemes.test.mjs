// Light and dark, and a reader who wants nothing to move.
import assert from "node:assert/strict";
import { test } from "node:test";

import { colours, luminance, motionFaults, painted, watchScroll } from "./lib/access.mjs";
import { withPage } from "./lib/browser.mjs";
import { chartContrast, markContrast } from "./lib/contrast.mjs";
import { choose, contrastFaults, layers } from "./lib/drawing.mjs";
import { none, sharedBrowser } from "./lib/each.mjs";
import { clickFaults, falling } from "./lib/linking.mjs";
import { allocation, model, models, nameOf, report } from "./lib/program.mjs";

const shared = sharedBrowser();

test("dark is dark, light is light, and every colour changes", async () => {
  const seen = {};
  for (const colorScheme of ["light", "dark"]) {
    seen[colorScheme] = await withPage(shared.browser, report(model("bungalow")), { colorScheme }, colours);
  }
  for (const name of Object.keys(seen.light)) assert.notEqual(seen.light[name], seen.dark[name], `${name} is the same in both schemes`);
  assert.ok(luminance(seen.dark.paper) < 0.1, `dark paper is ${seen.dark.paper}`);
  assert.ok(luminance(seen.dark.letters) > 0.5, `letters on it are ${seen.dark.letters}`);
  assert.ok(luminance(seen.light.letters) < 0.1, `letters in light are ${seen.light.letters}`);
});

test("the drawing is painted light in light, dark in dark, with marks that stand out in both", async () => {
  const seen = {};
  for (const colorScheme of ["light", "dark"]) {
    seen[colorScheme] = await withPage(shared.browser, report(model("bungalow")), { colorScheme }, painted);
  }
  assert.ok(seen.light.half > 0.8, `half of the pixels in light are below ${seen.light.half}`);
  assert.ok(seen.light.darkest < 0.1, `the darkest pixel in light has ${seen.light.darkest}`);
  assert.ok(seen.dark.half < 0.1, `half of the pixels in dark are above ${seen.dark.half}`);
  assert.ok(seen.dark.lightest > 0.6, `the lightest pixel in dark has ${seen.dark.lightest}`);
});

for (const sketch of models()) {
  for (const colorScheme of ["light", "dark"]) {
    test(`${nameOf(sketch)}: the drawing's letters in ${colorScheme}`, async () => {
      await withPage(shared.browser, report(sketch), { colorScheme }, async (page) => {
        for (const layer of await layers(page)) {
          await choose(page, layer);
          none(await contrastFaults(page), layer);
        }
      });
    });

    test(`${nameOf(sketch)}: marks and charts stand out in ${colorScheme}`, async (t) => {
      await withPage(shared.browser, report(sketch), { colorScheme }, async (page) => {
        await page.evaluate(() => {
          for (const details of document.querySelectorAll("details")) details.open = true;
        });
        const charts = await chartContrast(page);
        const faults = charts.faults.map((fault) => `charts: ${fault}`);
        let marks = 0;
        for (const layer of await layers(page)) {
          await choose(page, layer);
          const found = await markContrast(page);
          marks += found.checked;
          faults.push(...found.faults.map((fault) => `layer ${layer}: ${fault}`));
        }
        t.diagnostic(`${charts.checked} parts of charts, ${marks} marks`);
        assert.ok(charts.checked > 50 && marks > 50, `only ${charts.checked} parts of charts and ${marks} marks`);
        none(faults, nameOf(sketch));
      });
    });
  }
}

test("nothing moves for a reader who asked for little movement", async () => {
  const sketch = model("bungalow");
  await withPage(shared.browser, report(sketch), { reducedMotion: "reduce" }, async (page) => {
    await watchScroll(page);
    none(await clickFaults(page, falling(allocation(sketch)).slice(0, 3).map(({ index }) => index)), "clicks");
    none(await motionFaults(page), "movement");
  });
});
