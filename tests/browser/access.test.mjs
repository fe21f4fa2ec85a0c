// Rules of accessibility, by axe-core: WCAG 2.0 to 2.2, A and AA, and its best practices.
import assert from "node:assert/strict";
import { test } from "node:test";

import { axeFaults } from "./lib/access.mjs";
import { altered } from "./lib/altered.mjs";
import { DESKTOP, PHONE, withPage } from "./lib/browser.mjs";
import { none, sharedBrowser } from "./lib/each.mjs";
import { model, nameOf, report } from "./lib/program.mjs";
import { SECTIONS } from "./lib/quiet.mjs";

const shared = sharedBrowser();

/** Pages that between them hold every section, a stop and a doubt: the others are built of the same parts. */
const PAGES = [model("bungalow-sealed"), altered("contradictory").sketch, altered("stopped and unread").sketch];

for (const sketch of PAGES) {
  for (const [window, viewport] of [["desktop", DESKTOP], ["phone", PHONE]]) {
    for (const colorScheme of ["light", "dark"]) {
      test(`${nameOf(sketch)}, ${window}, ${colorScheme}`, async (t) => {
        await withPage(shared.browser, report(sketch, { doubtful: true }), { viewport, colorScheme, reducedMotion: "reduce" }, async (page) => {
          await page.evaluate(() => {
            for (const details of document.querySelectorAll("details")) details.open = true;
          });
          const { faults, undecided, passed } = await axeFaults(page);
          t.diagnostic(`${passed} rules passed, ${faults.length} broken; undecided: ${undecided.join(", ") || "none"}`);
          assert.ok(passed > 20, `only ${passed} rules applied`);
          none(faults, "axe");
        });
      });
    }
  }
}

test("the pages that are looked at hold every section", async () => {
  const held = new Set();
  for (const sketch of PAGES) {
    const ids = await withPage(shared.browser, report(sketch, { doubtful: true }), {}, (page) => page.evaluate(() => [...document.querySelectorAll("main section[id], header .stop, header .doubtful")].map((part) => part.id || part.className)));
    for (const id of ids) held.add(id);
  }
  none([...SECTIONS, "stop", "doubtful"].filter((id) => !held.has(id)), "not looked at");
});
