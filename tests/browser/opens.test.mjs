// A report opens from a file, alone and quietly, and is the same bytes each time.
import assert from "node:assert/strict";
import fs from "node:fs";
import path from "node:path";
import { test } from "node:test";

import { settled, withPage } from "./lib/browser.mjs";
import { none, sharedBrowser } from "./lib/each.mjs";
import { choose, layers } from "./lib/drawing.mjs";
import { allocation, model, models, nameOf, report, run, scratch } from "./lib/program.mjs";
import { addressFaults, frameFaults, policyFaults } from "./lib/quiet.mjs";

const shared = sharedBrowser();

/** Largest weight of a house's report, bytes, as far as 200 seams: a mail's attachment, and a second on a slow line. */
const HEAVIEST = 600_000;
/** What each further seam may weigh: the same, shared out. It has a row, a mark in most layers, often a step of the work. */
const BY_SEAM = HEAVIEST / 200;

for (const sketch of models()) {
  test(`${nameOf(sketch)}: weight`, (t) => {
    const bytes = fs.statSync(report(sketch)).size;
    t.diagnostic(`${bytes} bytes`);
    const bound = HEAVIEST + BY_SEAM * Math.max(0, allocation(sketch).seams.length - 200);
    assert.ok(bytes < bound, `${bytes} bytes, bound ${bound}`);
  });

  test(`${nameOf(sketch)} opens quietly`, async () => {
    await withPage(shared.browser, report(sketch), {}, async (page, notes) => {
      for (const layer of await layers(page)) await choose(page, layer);
      await page.fill("#filter-text", "boot");
      await settled(page);
      none(notes, "on opening and using it");
      none(await policyFaults(page), "policy");
      none(await addressFaults(page), "addresses");
      none(await frameFaults(page), "frame");
    });
  });
}

test("the print button asks the browser to print", async () => {
  await withPage(shared.browser, report(model("bungalow")), {}, async (page) => {
    await page.evaluate(() => {
      globalThis.printed = 0;
      globalThis.print = () => {
        globalThis.printed += 1;
      };
    });
    await page.click("#print");
    assert.equal(await page.evaluate(() => globalThis.printed), 1);
    for (const as of ["owner", "crew", "all"]) {
      await page.selectOption("#print-as", as);
      assert.equal(await page.evaluate(() => document.documentElement.dataset.print), as);
    }
  });
});

test("the same sketch gives the same bytes, with any number of threads", () => {
  const dir = scratch();
  for (const name of ["two-storey", "slab-attic"]) {
    const files = ["", "1"].map((threads) => {
      const file = path.join(dir, `${name}-${threads}.html`);
      run(["report", model(name), "-o", file], { env: threads ? { RAYON_NUM_THREADS: threads } : {} });
      return fs.readFileSync(file);
    });
    assert.ok(files[0].equals(files[1]), `${name}: ${files[0].length} and ${files[1].length} bytes differ`);
  }
  fs.rmSync(dir, { recursive: true });
});
