// Reports of what is not in order: work that is stopped, nothing read, no step, doubtful answers. Screen and paper.
import assert from "node:assert/strict";
import { test } from "node:test";

import { DESKTOP, PHONE, withPage } from "./lib/browser.mjs";
import { ALTERED, altered } from "./lib/altered.mjs";
import { choose, layers } from "./lib/drawing.mjs";
import { none, sharedBrowser } from "./lib/each.mjs";
import { bare, cautionParts, missing, PAPER, print, sheetFaults } from "./lib/print.mjs";
import { allocation, plan, report } from "./lib/program.mjs";
import { addressFaults, frameFaults, policyFaults } from "./lib/quiet.mjs";
import { paperTopFaults, topFaults } from "./lib/stops.mjs";
import { advice, sentences } from "./lib/words.mjs";

const shared = sharedBrowser();

const page = (name, use, options = {}) => {
  const { sketch, ask } = altered(name);
  return withPage(shared.browser, report(sketch, { ask, doubtful: true }), options, use);
};
const planOf = (name) => {
  const { sketch, ask } = altered(name);
  return plan(sketch, { ask, doubtful: true });
};
const allocationOf = (name) => allocation(altered(name).sketch, { doubtful: true });
/** What a plan stops the work by. */
const stopsOf = ({ cautions, halted }) => [...cautions.filter(({ stop }) => stop).map(({ text }) => text), ...(halted ? [halted] : [])];
const said = (within) => async (opened) => (await sentences(opened, within)).join("\n");

for (const name of ALTERED) {
  test(`${name}: opens quietly`, async () => {
    await page(name, async (opened, notes) => {
      for (const layer of await layers(opened)) await choose(opened, layer);
      none([...notes, ...(await policyFaults(opened)), ...(await addressFaults(opened)), ...(await frameFaults(opened))], name);
    });
  });

  for (const paper of Object.keys(PAPER)) {
    test(`${name}: owner's and crew's ${paper}`, async (t) => {
      const planned = planOf(name);
      await page(name, async (opened) => {
        const owner = await print(opened, "owner", paper);
        const crew = await print(opened, "crew", paper);
        t.diagnostic(`owner ${owner.length} pages, crew ${crew.length}, ${planned.steps.length} steps`);
        none([...sheetFaults(owner, paper), ...sheetFaults(crew, paper)], name);
        assert.equal(owner.length, 2, "pages for the owner");
        none(missing(crew, planned.steps.map(({ seam }) => seam)), "crew, steps not printed");
        none(missing(crew, cautionParts(planned.cautions)), "crew, cautions not printed");
      });
    });
  }
}

for (const name of ["tape suspected", "stopped and unread", "everything at once", "halted for draft"]) {
  test(`${name}: the stop stands above everything, on screen and paper`, async () => {
    const stops = stopsOf(planOf(name));
    assert.ok(stops.length > 0, "nothing stops the work");
    for (const [window, viewport] of [["desktop", DESKTOP], ["phone", PHONE]]) {
      await page(name, async (opened) => none(await topFaults(opened, stops, ".stop"), window), { viewport });
    }
    await page(name, async (opened) => {
      for (const as of ["owner", "crew"]) none((await paperTopFaults(opened, stops, as, "A4")).faults, as);
    });
  });
}

for (const name of ["tape suspected", "stopped and unread", "everything at once"]) {
  test(`${name}: nobody is told to seal, smoke, touch, look into or blow`, async () => {
    assert.ok(planOf(name).stopped, "the work is not stopped");
    await page(name, async (opened) => {
      const all = await sentences(opened);
      assert.ok(all.length > 300, `only ${all.length} sentences`);
      none(advice(all), name);
    });
  });
}

test("halted for draft: the summary sends for a draft test before it tells what sealing buys", async () => {
  assert.ok(planOf("halted for draft").halted, "the work is not halted");
  await page("halted for draft", async (opened) => {
    const summary = await sentences(opened, "#summary");
    none(summary.filter((sentence) => /^(?:then )?seal(:| )/i.test(sentence)), "summary, told to seal");
    assert.match(summary.join("\n"), /qualified person/i);
  });
});

test("halted for draft: a pressure that is not known is not shown as nought", async () => {
  await page("halted for draft", async (opened) => {
    const all = await sentences(opened);
    none(all.filter((sentence) => /\b0\.00\s*(→|to|->)\s*0\.00\s*Pa\b/.test(sentence)), "pressures");
  });
});

test("tape suspected, two minutes: nothing to seal, and why, on the page and the crew's paper", async () => {
  for (const [name, why] of [["two minutes", /nothing to seal|seal nothing|do nothing/i], ["tape suspected", /nothing to seal|seal nothing|do nothing|nothing is/i]]) {
    assert.equal(planOf(name).steps.length, 0, `${name}: there are steps`);
    await page(name, async (opened) => {
      const lists = await opened.evaluate(() => document.querySelector("#work-list")?.textContent.replace(/\s+/g, " ").trim() ?? "");
      assert.match(lists, why, `${name}: the work list`);
      const reason = lists.slice(lists.search(why)).replace(/^[^.:]*[.:]\s*/, "");
      assert.ok(reason.length > 30, `${name}: no reason in "${lists}"`);
      none(missing(await print(opened, "crew", "A4"), [reason]), `${name}: not on the crew's paper`);
    });
  }
});

test("loose, twenty minutes: what hangs open comes before the work on the crew's paper", async () => {
  const name = "loose, twenty minutes";
  const steps = planOf(name).steps.map(({ seam }) => seam);
  const loose = allocationOf(name).gross.filter(({ chance, seams }) => chance >= 0.5 && !seams.some((seam) => steps.includes(seam)));
  assert.ok(loose.length > 0 && steps.length > 0, `${loose.length} hang open, ${steps.length} steps`);
  await page(name, async (opened) => {
    const text = bare((await print(opened, "crew", "A4")).map(({ text }) => text).join(" "));
    const from = text.indexOf(bare("Before all else"));
    assert.ok(from >= 0, 'the paper does not say "Before all else"');
    const first = text.indexOf(bare(steps[0]), from);
    for (const seam of loose[0].seams) {
      const at = text.indexOf(bare(seam), from);
      assert.ok(at >= 0 && at < first, `${seam} is not named before the first step ${steps[0]}`);
    }
    assert.ok(text.slice(from, first).includes(bare("before anything is sealed")), "it does not say that this comes before sealing");
  });
});

test("contradictory: the doubt stands above everything, on screen and paper", async () => {
  const { status, reasons } = allocationOf("contradictory");
  assert.equal(status, "doubtful");
  await page("contradictory", async (opened) => {
    none(await topFaults(opened, ["doubtful", ...reasons], ".doubtful"), "screen");
    for (const as of ["owner", "crew"]) none((await paperTopFaults(opened, reasons, as, "A4")).faults, as);
  });
});

for (const name of ["nothing read", "looks only"]) {
  test(`${name}: the page says so and does not say that these ducts leak`, async () => {
    assert.equal(allocationOf(name).readings.length, 0);
    await page(name, async (opened) => {
      const summary = await said("#summary")(opened);
      assert.match(summary, /(nothing|no flow|no reading|no leakage) (was|has been) (read|taken|measured)/i);
      const all = await sentences(opened);
      none(all.filter((sentence) => /\b(these|your) ducts (leak|lose)\b/i.test(sentence) && !/\b(usually|would|probably|such)\b/i.test(sentence)), "said as found");
      none((await sentences(opened, "#summary")).filter((sentence) => /\btotal is known\b/i.test(sentence)), "said as known");
    });
  });
}

test("metric: no inch-pound figure in the page's own words", async () => {
  await page("metric", async (opened) => {
    const all = await sentences(opened, "#summary, #seams thead, #shares, #groups");
    assert.ok(all.some((sentence) => /\bL\/s\b/.test(sentence)), "no L/s at all");
    none(all.filter((sentence) => /\bcfm\b|\bin2\b|\bft2\b|\d ft\b/.test(sentence)), "metric");
  });
});

test("no airflow: no part of the unit's air is told", async () => {
  await page("no airflow", async (opened) => {
    const summary = await sentences(opened, "#summary");
    none(summary.filter((sentence) => /nameplate/i.test(sentence)), "airflow by a nameplate that nobody gave");
    assert.ok(summary.length > 15, `only ${summary.length} sentences`);
  });
});
