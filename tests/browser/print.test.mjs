// The report on paper, A4 and letter.
import assert from "node:assert/strict";
import { test } from "node:test";

import { withPage } from "./lib/browser.mjs";
import { baseTexts } from "./lib/drawing.mjs";
import { none, sharedBrowser } from "./lib/each.mjs";
import { cautionParts, missing, PAPER, print, printed, sheetFaults } from "./lib/print.mjs";
import { allocation, models, nameOf, plan, report } from "./lib/program.mjs";
import { read } from "./lib/table.mjs";

const shared = sharedBrowser();

const sizes = (pages) => pages.map((page) => (page.width > page.height ? "landscape" : "portrait"));

for (const sketch of models()) {
  const name = nameOf(sketch);
  for (const paper of Object.keys(PAPER)) {
    test(`${name} on ${paper}`, async (t) => {
      const answer = allocation(sketch);
      await withPage(shared.browser, report(sketch), {}, async (page) => {
        const title = await page.evaluate(() => document.querySelector("h1").innerText);
        const text = await page.evaluate(() => document.querySelector("#summary p, #summary li").innerText);

        const { rows } = await read(page);
        assert.equal(rows.length, answer.seams.length, "rows of the table");
        const drawn = await baseTexts(page);
        assert.ok(drawn.length > 3, `only ${drawn.length} texts on the bare drawing`);

        const owner = await print(page, "owner", paper);
        t.diagnostic(`owner ${owner.length} pages (${sizes(owner).join(", ")})`);
        none(sheetFaults(owner, paper), "owner");
        none(missing(owner, [title, text]), "owner, not printed");

        const crew = await print(page, "crew", paper);
        t.diagnostic(`crew ${crew.length} pages (${sizes(crew).join(", ")})`);
        none(sheetFaults(crew, paper), "crew");
        const planned = plan(sketch);
        const steps = planned.steps.map((step) => step.seam);
        assert.ok(steps.length > 0, "the plan has no step");
        t.diagnostic(`crew: ${steps.length} steps`);
        none(missing(crew, steps), "crew, steps not printed");
        none(missing(crew, cautionParts(planned.cautions)), "crew, cautions not printed");
        none(missing(crew, [title]), "crew, not printed");
        none(missing(crew, drawn), "crew, of the drawing not printed");

        assert.equal(owner.length, 2, "pages for the owner");
        // Everything is many pages, and breaks alike on either paper.
        if (paper !== "A4") return;
        const all = await print(page, "all", paper);
        t.diagnostic(`all ${all.length} pages`);
        none(sheetFaults(all, paper), "all");
        none(missing(all, [title, text, ...drawn, ...rows.map(printed)]), "all, not printed");
        assert.ok(all.length >= owner.length, `all has ${all.length} pages, owner ${owner.length}`);
      });
    });
  }
}

test("paper is white where the screen is dark", async () => {
  await withPage(shared.browser, report(models()[0]), { colorScheme: "dark" }, async (page) => none(sheetFaults(await print(page, "all", "A4"), "A4"), "all"));
});

test("controls and filters stay off the paper", async () => {
  await withPage(shared.browser, report(models()[0]), {}, async (page) => {
    await page.emulateMedia({ media: "print" });
    const shown = await page.evaluate(() =>
      ["#print", "#print-as", "#filter-text", "#filter-side", 'input[name="layer"]'].filter((query) => document.querySelector(query) && isSeen(document.querySelector(query))),
    );
    none(shown, "seen in print");
  });
});
