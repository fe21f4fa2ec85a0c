// Marks of seams: light in the file, made easy to point at by the page's script, for the layer that is shown.
import fs from "node:fs";
import { test } from "node:test";

import { withPage } from "./lib/browser.mjs";
import { choose, layers, shown } from "./lib/drawing.mjs";
import { none, sharedBrowser } from "./lib/each.mjs";
import { fileFaults, hits } from "./lib/marks.mjs";
import { model, models, nameOf, report } from "./lib/program.mjs";

const shared = sharedBrowser();

for (const sketch of models()) {
  test(`${nameOf(sketch)}: marks in the file have their title alone`, () => none(fileFaults(fs.readFileSync(report(sketch), "utf8")), nameOf(sketch)));
}

test("lines for the pointer are made for the layer that is shown, when it is first shown", async () => {
  await withPage(shared.browser, report(model("two-storey")), {}, async (page) => {
    const faults = [];
    const [first] = await shown(page);
    const start = await hits(page);
    for (const [layer, { marks, hit }] of Object.entries(start)) {
      if (layer === first && (marks === 0 || hit !== marks)) faults.push(`at first ${layer}: ${hit} of ${marks} marks have theirs`);
      if (layer !== first && hit > 0) faults.push(`at first ${layer}, not shown: ${hit} marks have theirs already`);
    }
    for (const layer of await layers(page)) {
      await choose(page, layer);
      const { marks, hit } = (await hits(page))[layer];
      if (hit !== marks) faults.push(`${layer} chosen: ${hit} of ${marks} marks have theirs`);
    }
    none(faults, "lines for the pointer");
  });
});
