// A house that was sealed and read again: its owner learns what was achieved.
import assert from "node:assert/strict";
import { test } from "node:test";

import { withPage } from "./lib/browser.mjs";
import { none, sharedBrowser } from "./lib/each.mjs";
import { missing, print } from "./lib/print.mjs";
import { model, proof, report } from "./lib/program.mjs";

const shared = sharedBrowser();
/** One cubic foot a minute, m3/s (exact: the foot is 0.3048 m). */
const CFM = 0.3048 ** 3 / 60;

test("the summary of a sealed house says before and after", async () => {
  const sketch = model("bungalow-sealed");
  const [pair] = proof(sketch).pairs;
  const figures = [pair.before_m3_s, pair.after_m3_s].map((m3_s) => String(Math.round(m3_s / CFM)));
  await withPage(shared.browser, report(sketch), {}, async (page) => {
    const lines = await page.evaluate(() => [...document.querySelectorAll("#summary :is(p, li)")].map((line) => line.textContent.replace(/\s+/g, " ")));
    const summary = lines.join("\n");
    for (const word of ["before", "after", ...figures]) assert.match(summary, new RegExp(`\\b${word}\\b`, "i"), `summary without "${word}"`);
    // Both and what part is gone in one line: that is what a person looks for.
    const gone = String(Math.round(100 * pair.part));
    const told = lines.filter((line) => [...figures, gone].every((figure) => new RegExp(`\\b${figure}\\b`).test(line)));
    assert.ok(told.length > 0, `no line holds ${figures.join(", ")} and ${gone} %`);
    none(missing(await print(page, "owner", "A4"), figures), "owner's paper");
  });
});

test("no step of a sealed house is sealed again without a word", async () => {
  const sketch = model("bungalow-sealed");
  const done = proof(sketch).sealed.map(({ seam }) => seam);
  await withPage(shared.browser, report(sketch), {}, async (page) => {
    const lines = await page.evaluate(() => [...document.querySelectorAll("#summary :is(p, li)")].map((line) => line.textContent));
    const named = lines.filter((line) => done.some((seam) => line.includes(seam)) && /\bseal\b/i.test(line));
    none(named.filter((sentence) => !/\b(again|already|before|once more)\b/i.test(sentence)), "sealed once, advised as new");
  });
});
