// Made-up houses: one of about 150 seams, one system of about 3000. No time is demanded, only told.
import assert from "node:assert/strict";
import fs from "node:fs";
import { after, test } from "node:test";

import { settled, withPage } from "./lib/browser.mjs";
import { choose, layers, shown, textFaults } from "./lib/drawing.mjs";
import { none, sharedBrowser } from "./lib/each.mjs";
import { pairFaults } from "./lib/linking.mjs";
import { allocation, report, scratch } from "./lib/program.mjs";
import { house } from "./lib/sketches.mjs";
import { filterFaults, read } from "./lib/table.mjs";

/** As few draws as the program takes, and little work planned: here the page is tested, not its figures. */
const FEW = ["--draws", "500"];
const LITTLE = ["--time", "1 h"];
const shared = sharedBrowser();
const dir = scratch();
after(() => fs.rmSync(dir, { recursive: true }));

async function timed(t, what, action) {
  const start = performance.now();
  const value = await action();
  t.diagnostic(`${what}: ${(performance.now() - start).toFixed(0)} ms`);
  return value;
}

async function opens(t, sketch) {
  const file = await timed(t, "report written", () => report(sketch, { ask: [...FEW, ...LITTLE] }));
  const bytes = fs.statSync(file).size;
  const answer = allocation(sketch, { ask: FEW });
  t.diagnostic(`${answer.seams.length} seams, ${bytes} bytes`);
  await timed(t, "open and all of it", () =>
    withPage(shared.browser, file, {}, async (page, notes) => {
      none(await pairFaults(page, answer), "pairs");
      for (const layer of await layers(page)) {
        await timed(t, `layer ${layer}`, () => choose(page, layer));
        assert.deepEqual(await shown(page), [layer]);
        const { texts, faults } = await textFaults(page);
        t.diagnostic(`layer ${layer}: ${texts} texts, ${faults.length} faults`);
        none(faults, layer);
      }
      await timed(t, "filter by text", async () => {
        await page.fill("#filter-text", "room 1-8");
        await settled(page);
      });
      const found = (await read(page)).rows.filter((row) => row.seen);
      const wanted = answer.seams.filter(({ id }) => id.startsWith("room 1-8/")).length;
      assert.ok(wanted > 0, "no seam of room 1-8");
      assert.equal(found.length, wanted, "rows found");
      assert.ok(found.every((row) => row.cells.join(" ").includes("room 1-8")));
      await page.fill("#filter-text", "");
      // Every filter is tried where that takes seconds: it is the same script.
      if (answer.seams.length < 500) await timed(t, "every filter", async () => none(await filterFaults(page), "filters"));
      none(notes, "page");
    }),
  );
  return bytes;
}

test("a house of about 150 seams", async (t) => {
  const sketch = house(dir, { name: "made-up house", trunks: 2, branches: 9 });
  const seams = allocation(sketch, { ask: FEW }).seams.length;
  assert.ok(seams > 130 && seams < 180, `${seams} seams`);
  const bytes = await opens(t, sketch);
  assert.ok(bytes < 600_000, `${bytes} bytes`);
});

test("a system of about 3000 seams", async (t) => {
  const sketch = house(dir, { name: "made-up large system", trunks: 8, branches: 56 });
  const seams = allocation(sketch, { ask: FEW }).seams.length;
  assert.ok(seams > 2700 && seams < 3300, `${seams} seams`);
  await opens(t, sketch);
});
