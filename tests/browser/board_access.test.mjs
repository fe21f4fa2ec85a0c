// The drawing board for everybody: every form, question and strip of buttons by the rules of axe-core, sizes for gloves, the way of the keyboard.
import assert from "node:assert/strict";
import fs from "node:fs";
import path from "node:path";
import { after, test } from "node:test";

import { axeFaults } from "./lib/access.mjs";
import { answered, boardPage, looked, mouseOf, serve, spot, tab, until, withBoard } from "./lib/board.mjs";
import { none, sharedBrowser } from "./lib/each.mjs";
import { model, scratch } from "./lib/program.mjs";

const shared = sharedBrowser();
const dir = scratch();
after(() => fs.rmSync(dir, { recursive: true }));
const BUNGALOW = fs.readFileSync(model("bungalow"), "utf8");
const LOOK = "\nlooks:\n  - {seam: hall/tab collar, smoke: strong, by: crew}\n";

function own(name, text = BUNGALOW) {
  const file = path.join(dir, `${name}.yaml`);
  fs.writeFileSync(file, text);
  return file;
}

/** Opens everything that is folded in the side. */
const unfold = (page) =>
  page.evaluate(() => {
    for (const box of document.querySelectorAll("#panels details")) box.open = true;
  });

/** Buttons and fields in sight that are too small for a glove. */
const small = (page, within) =>
  page.evaluate(
    (where) =>
      [...document.querySelectorAll(`${where} :is(button, select, input, summary, a[href])`)]
        .filter((one) => one.checkVisibility({ checkVisibilityCSS: true }) && !one.classList.contains("skip"))
        .map((one) => [one.getAttribute("aria-label") || one.textContent.trim().slice(0, 40) || one.id, one.getBoundingClientRect()])
        .filter(([, box]) => box.width > 0 && (box.width < 44 || box.height < 44))
        .map(([words, box]) => `${words}: ${box.width.toFixed(0)} x ${box.height.toFixed(0)} px`),
    within,
  );

const WINDOWS = [
  ["desk", { viewport: { width: 1440, height: 900 } }],
  ["phone", { viewport: { width: 390, height: 844 }, hasTouch: true }],
];

for (const [window, options] of WINDOWS) {
  for (const colorScheme of ["light", "dark"]) {
    test(`every form, ${window}, ${colorScheme}`, async (t) => {
      await withBoard(shared.browser, own(`forms-${window}-${colorScheme}`, BUNGALOW + LOOK), { ...options, colorScheme }, async ({ page }) => {
        await looked(page);
        await answered(page);
        const found = [];
        const look = async (what) => {
          await unfold(page);
          const { faults } = await axeFaults(page);
          found.push(...faults.map((fault) => `${what}: ${fault}`), ...(await small(page, "#panels")).map((fault) => `${what}: ${fault}`));
          const wide = await page.evaluate(() => document.scrollingElement.scrollWidth - innerWidth);
          if (wide > 1) found.push(`${what}: the page is ${wide} px wider than its window`);
        };
        const picks = await page.evaluate(() => {
          const seam = ds.doc.view.seams.find((one) => one.id === "hall/tab collar");
          const kinds = new Map();
          ds.doc.view.runs.forEach((run, at) => run.steps.forEach(({ parts }, step) => parts && kinds.set(parts.kind, { kind: "step", run: at, step })));
          return [["house", null], ["unit", { kind: "unit" }], ["run", { kind: "run", run: 2 }], ["seam", { kind: "seam", run: seam.run, step: seam.step, seam: seam.id }], ...kinds];
        });
        assert.ok(picks.length > 9, picks.map(([name]) => name).join());
        for (const [what, pick] of picks) {
          await page.evaluate((next) => {
            ds.pick.set(next, { again: true });
            ds.side.show("piece");
          }, pick);
          await look(what);
        }
        await tab(page, "Readings");
        for (const kind of ["total leakage", "pan pressure"]) {
          const button = page.locator("#panel-readings").getByRole("button", { name: kind, exact: true });
          if (!(await button.count())) continue;
          await button.click();
          await look(`reading, ${kind}`);
        }
        await tab(page, "Answers");
        await look("answers");
        t.diagnostic(`${picks.length} forms`);
        none(found, window);
      });
    });
  }

  test(`what stands over the drawing, ${window}`, async () => {
    await withBoard(shared.browser, own(`over-${window}`), options, async ({ page }) => {
      await looked(page);
      const found = [];
      const look = async (what, within) => {
        const { faults } = await axeFaults(page);
        found.push(...faults.map((fault) => `${what}: ${fault}`), ...(await small(page, within)).map((fault) => `${what}: ${fault}`));
        const out = await page.evaluate((where) => {
          const bad = [];
          for (const button of document.querySelectorAll(`${where} button`)) {
            if (!button.checkVisibility({ checkVisibilityCSS: true })) continue;
            const box = button.getBoundingClientRect();
            if (box.left < -1 || box.right > innerWidth + 1) bad.push(`${button.textContent.trim()} stands outside the window: ${box.left.toFixed(0)} to ${box.right.toFixed(0)} px`);
          }
          return bad;
        }, within);
        found.push(...out.map((fault) => `${what}: ${fault}`));
      };
      for (const tool of await page.locator("#tools button").all()) {
        await tool.click();
        await look(`tool ${await tool.textContent()}`, "#tools");
      }
      await mouseOf(page).press("Run");
      await look("sections of the next run", "#board");
      await mouseOf(page).press("Pick");
      await page.evaluate(() => void ds.taps.choose({ kind: "run", run: 2 }));
      await look("buttons for a run", "#board");
      await mouseOf(page).press("Copy", page.locator("#board"));
      await until("the box for a length", () => page.evaluate(() => ds.lengthBox.open));
      await look("box for a length", "#board");
      await page.keyboard.press("Escape");
      await page.evaluate(() => void ds.keys.help());
      await look("keys", "dialog[open]");
      await page.keyboard.press("Escape");
      await page.evaluate(() => void ds.formRun.remove(0));
      await page.getByRole("dialog").waitFor();
      await look("a question", "dialog[open]");
      await page.keyboard.press("Escape");
      await until("the question is gone", () => page.evaluate(() => !document.querySelector("dialog[open]")));
      none(found, window);
    });
  });

  test(`a sketch with faults and one that holds nothing, ${window}`, async () => {
    await withBoard(shared.browser, own(`faulty-${window}`, BUNGALOW.replace("2 ft, damper", "2 ft, dampr").replace("size: 5 in, room: entry", "size: 5 inn, room: entry")), options, async ({ page }) => {
      await looked(page);
      await tab(page, "Faults");
      none((await axeFaults(page)).faults, "faults");
      none(await small(page, "#panels"), "faults");
      await tab(page, "Text");
      none((await axeFaults(page)).faults, "text");
    });
    const served = await serve(path.join(dir, `nothing-${window}.yaml`));
    const { page, context } = await boardPage(shared.browser, served, options);
    try {
      await page.getByRole("dialog").waitFor();
      none((await axeFaults(page)).faults, "the first question");
      none(await small(page, "dialog[open]"), "the first question");
    } finally {
      await context.close();
      await served.stop();
    }
  });
}

/** What has the focus: its name, whether it is seen, and whether that can be seen. */
const focused = (page) =>
  page.evaluate(() => {
    const one = document.activeElement;
    if (!one || one === document.body) return { name: "page", part: "page", seen: true, marked: true };
    const box = one.getBoundingClientRect();
    const style = getComputedStyle(one);
    const part = one.closest("#head, #cautions, #tools, #board, #tabs, #outline, #panels, #handle, dialog")?.id ?? one.className;
    return {
      name: one.getAttribute("aria-label") || one.textContent.trim().slice(0, 30) || one.id,
      part,
      seen: box.width > 0 && box.height > 0 && box.right > 0 && box.bottom > 0 && box.left < innerWidth && box.top < innerHeight,
      marked: (style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2) || style.boxShadow !== "none",
    };
  });

test("Tab goes through head, tools, drawing and side in this order, seen at every stop, and comes out", async (t) => {
  await withBoard(shared.browser, own("tabbed"), { viewport: { width: 1440, height: 900 } }, async ({ page }) => {
    await looked(page);
    const stops = [];
    for (let k = 0; k < 60; k += 1) {
      await page.keyboard.press("Tab");
      const stop = await focused(page);
      stops.push(stop);
      if (stop.part === "board" && stop.name.startsWith("Drawing of the ducts")) {
        // On the drawing Tab goes through the pieces; Escape, then Tab, leaves it.
        await page.keyboard.press("Tab");
        assert.ok(await page.evaluate(() => Boolean(ds.pick.get())), "Tab picks the first piece");
        for (let escape = 0; escape < 8 && (await page.evaluate(() => Boolean(ds.pick.get()))); escape += 1) await page.keyboard.press("Escape");
        await page.keyboard.press("Escape");
      }
      if (stop.part === "panels" && stops.filter(({ part }) => part === "panels").length > 3) break;
    }
    const parts = stops.map(({ part }) => part).filter((part, k, all) => k === 0 || part !== all[k - 1]);
    t.diagnostic(parts.join(", "));
    assert.deepEqual(parts.filter((part) => ["head", "tools", "board", "tabs", "outline", "panels"].includes(part)), ["head", "tools", "board", "tabs", "outline", "panels"]);
    none(stops.filter(({ seen }) => !seen).map(({ name, part }) => `${part}: ${name}`), "has the focus and is not seen");
    none(stops.filter(({ marked }) => !marked).map(({ name, part }) => `${part}: ${name}`), "has the focus and does not show it");
  });
});

test("the focus stays where it was when what it stands on is made anew", async () => {
  await withBoard(shared.browser, own("kept"), { viewport: { width: 1440, height: 900 } }, async ({ page }) => {
    await looked(page);
    await page.evaluate(() => ds.pick.set({ kind: "run", run: 8 }));
    const button = page.getByRole("group", { name: "Size" }).getByRole("button", { name: "7 in", exact: true });
    await button.focus();
    const text = await page.evaluate(() => ds.doc.text);
    await page.keyboard.press("Enter");
    await until("a change", async () => (await page.evaluate(() => ds.doc.text)) !== text);
    assert.equal((await focused(page)).name, "7 in");
    assert.equal(await button.getAttribute("aria-pressed"), "true");
    // A question gives the focus back.
    await page.getByRole("button", { name: "Remove this run" }).focus();
    await page.keyboard.press("Enter");
    await until("the run is gone", () => page.evaluate(() => !ds.doc.text.includes("id: hall,")));
    assert.ok(await page.evaluate(() => document.activeElement.isConnected));
    assert.ok(await spot(page, 0, 0));
  });
});
