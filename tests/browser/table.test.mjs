// The table of seams: filter and sort.
import assert from "node:assert/strict";
import { test } from "node:test";

import { withPage } from "./lib/browser.mjs";
import { none, sharedBrowser } from "./lib/each.mjs";
import { models, nameOf, report } from "./lib/program.mjs";
import { filterFaults, isSorted, number, sortFaults } from "./lib/table.mjs";

const shared = sharedBrowser();

for (const sketch of models()) {
  test(`${nameOf(sketch)}: filters show what their words say, and count it`, async () => {
    await withPage(shared.browser, report(sketch), {}, async (page) => none(await filterFaults(page), nameOf(sketch)));
  });

  test(`${nameOf(sketch)}: every column sorts both ways`, async () => {
    await withPage(shared.browser, report(sketch), {}, async (page) => none(await sortFaults(page), nameOf(sketch)));
  });
}

test("the test's own reading of numbers and of order", () => {
  assert.deepEqual(["12.5", "2.1 to 45.4", "<0.1 %", "1,250", "\u22123 Pa", ">99 %"].map(number), [12.5, 2.1, 0.05, 1250, -3, 99.5]);
  assert.ok(Number.isNaN(number("open")));
  assert.ok(isSorted(["2", "10", "\u2013"], 1));
  assert.ok(!isSorted(["10", "2"], 1));
  assert.ok(!isSorted(["2", "\u2013", "10"], 1));
  assert.ok(isSorted(["b", "a"], -1));
  assert.ok(!isSorted(["b", "c", "a"], 1));
});
