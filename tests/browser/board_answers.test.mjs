// Answers in the page are those of the command, letter by letter as they travel, and belong to what stands now.
import assert from "node:assert/strict";
import fs from "node:fs";
import path from "node:path";
import { after, test } from "node:test";

import { answered, changed, looked, mouseOf, saved, tab, until, withBoard } from "./lib/board.mjs";
import { commanded, sameDigits } from "./lib/digits.mjs";
import { sharedBrowser } from "./lib/each.mjs";
import { model, scratch } from "./lib/program.mjs";

const shared = sharedBrowser();
const dir = scratch();
after(() => fs.rmSync(dir, { recursive: true }));

function own(name, of) {
  const file = path.join(dir, `${name}.yaml`);
  fs.copyFileSync(model(of), file);
  return file;
}

/** Keeps the letters of every answer that comes. */
function listen(page) {
  const replies = [];
  page.on("response", async (response) => {
    if (!response.url().includes("lane=slow") || response.status() !== 200) return;
    const text = await response.text().catch(() => "");
    if (text.includes('"allocation":')) replies.push(text);
  });
  return replies;
}

const full = (replies) => replies.filter((text) => JSON.parse(text).draws === 2000);

for (const name of ["two-storey", "slab-attic"]) {
  test(`${name}: the reply holds the command's bytes`, async (t) => {
    const file = own(name, name);
    await withBoard(shared.browser, file, {}, async ({ page }) => {
      const replies = listen(page);
      await page.reload();
      await looked(page);
      await answered(page);
      const reply = await until("the reply", () => full(replies).at(-1));
      t.diagnostic(`${sameDigits(reply, file)} numbers`);
      assert.deepEqual(await page.evaluate(() => ds.doc.answers.allocation), JSON.parse(commanded(file)));
    });
  });
}

test("a reading and a look are entered by mouse, changed in haste, and the answers are those of the last", async (t) => {
  const file = own("haste", "bungalow");
  await withBoard(shared.browser, file, {}, async ({ page }) => {
    const replies = listen(page);
    const hand = mouseOf(page);
    await looked(page);
    await tab(page, "Readings");
    await hand.press("total leakage");
    await page.locator("#draft-value").fill("243 cfm at 25 Pa ± 3 %");
    await page.getByLabel("Name of the reading").fill("second");
    await changed(page, () => hand.press("Add this reading"));
    await tab(page, "Answers");
    const first = page.locator("#panel-answers button.seam").first();
    await first.click();
    await tab(page, "Piece");
    // One after the other, before any full answer came.
    for (const words of ["smoke: faint", "smoke: strong", "smoke: none"]) {
      const said = page.getByRole("group", { name: "What smoke did" }).getByRole("button", { name: words, exact: true });
      if (!(await said.count())) continue;
      await changed(page, () => said.click());
      assert.equal(await page.evaluate(() => ds.doc.answersFor), null, "answers from before a change do not stand as new ones");
    }
    await saved(page);
    await answered(page);
    assert.equal(fs.readFileSync(file, "utf8").match(/smoke:/g).length, 1, "one look, written over");
    assert.equal(await page.evaluate(() => ds.doc.answers.text), fs.readFileSync(file, "utf8"));
    t.diagnostic(`${sameDigits(await until("the reply", () => full(replies).at(-1)), file)} numbers`);
  });
});
