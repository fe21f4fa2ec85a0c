// A system of five registers drawn from nothing: by mouse, by keyboard, by touch; then read by the program.
import assert from "node:assert/strict";
import fs from "node:fs";
import path from "node:path";
import { after, test } from "node:test";

import { answered, boardPage, changed, fingerOf, mouseOf, saved, serve, spot, textOf, until } from "./lib/board.mjs";
import { none, sharedBrowser } from "./lib/each.mjs";
import { folder, run, scratch } from "./lib/program.mjs";

const shared = sharedBrowser();
const dir = scratch();
after(() => fs.rmSync(dir, { recursive: true }));

/** Where the branches leave the trunk, ft from its start, and to which side. */
const BRANCHES = [[4, -1], [8, 1], [12, -1], [16, 1], [20, -1]];

/** Opens a board on a file that does not exist and gives its page to `draw`; then looks at what is on disk. */
async function drawn(t, name, options, draw) {
  const file = path.join(dir, `${name}.yaml`);
  const served = await serve(file);
  const { page, notes, context } = await boardPage(shared.browser, served, options);
  const start = performance.now();
  try {
    await page.getByRole("dialog").waitFor();
    assert.ok(!fs.existsSync(file), "a file before anything was drawn");
    const count = await draw(page);
    await saved(page);
    t.diagnostic(`${name}: ${JSON.stringify(count)}, ${((performance.now() - start) / 1000).toFixed(1)} s`);
    const text = fs.readFileSync(file, "utf8");
    assert.equal(text, await textOf(page), "the file is the page's text");
    const check = JSON.parse(run(["check", file, "--format", "json"]));
    assert.equal(check.openings, 6, text);
    assert.equal(check.runs.length, 7, text);
    for (const [at, side] of BRANCHES) {
      assert.match(text, new RegExp(`trunk at ${at} ft ${side < 0 ? "left" : "right"}`));
    }
    assert.equal(text.match(/boot 10x4 in/g).length, 5);
    assert.match(text, /return box/);
    assert.match(text, /north 24 ft/);
    await agrees(page, file);
    none(notes, name);
  } catch (error) {
    const picture = path.join(folder("failed"), `${name}.png`);
    await page.screenshot({ path: picture });
    throw new Error(`${error.message}\nseen: ${picture}\nsketch: ${await textOf(page)}`, { cause: error });
  } finally {
    await context.close();
    await served.stop();
  }
}

/** The answers in the page are those of the command, to the last digit. */
async function agrees(page, file) {
  await answered(page);
  await saved(page);
  const shown = await page.evaluate(() => JSON.stringify({ allocation: ds.doc.answers.allocation, draws: ds.doc.answers.draws, seed: ds.doc.answers.seed }));
  const { allocation, draws, seed } = JSON.parse(shown);
  const command = JSON.parse(run(["allocate", file, "--format", "json", "--draws", String(draws), "--seed", String(seed)], { doubtful: true }));
  assert.equal(draws, 2000);
  // Numbers are written with all their digits, so that equal texts are equal numbers.
  assert.equal(JSON.stringify(allocation), JSON.stringify(command));
}

/** The whole drawing with a hand that presses, taps and drags. */
async function byHand(page, hand) {
  await hand.press("Begin");
  await until("a view", () => page.evaluate(() => Boolean(ds.doc.view)));
  await hand.press("Run");
  for (let k = 0; k < 4; k += 1) await hand.press("Farther");
  await changed(page, async () => hand.drag(await spot(page, 0, 0.5), await spot(page, 0, 24.5)));
  await changed(page, () => hand.press("Cap", page.getByRole("toolbar", { name: /^End of/ })));
  for (const [at, side] of BRANCHES) {
    await changed(page, async () => hand.drag(await spot(page, 0, at), await spot(page, side * 8, at)));
    await changed(page, () => hand.press("Boot 10x4"));
  }
  await changed(page, async () => hand.drag(await spot(page, 0, -3.8), await spot(page, 0, -13.8)));
  await changed(page, () => hand.press("Return box", page.getByRole("toolbar", { name: /^End of/ })));
  await hand.press("Pick");
}

/** Enters a total reading of 90 cfm and smoke at the leakiest seam's piece, by the same hand. */
async function reads(page, hand) {
  await page.evaluate(() => ds.side.show("readings"));
  await hand.press("total leakage");
  await page.locator("#draft-value").fill("90 cfm at 25 Pa ± 3 %");
  await changed(page, () => hand.press("Add this reading"));
  const seam = await page.evaluate(() => ds.doc.view.seams.find((one) => one.id.endsWith("/tab collar")).id);
  const at = await page.evaluate((id) => {
    const found = ds.doc.view.seams.find((one) => one.id === id);
    return found.at;
  }, seam);
  const point = await spot(page, at[0] / 0.3048, at[1] / 0.3048);
  // What lies over one another is picked one after the other.
  for (let k = 0; k < 8; k += 1) {
    await hand.tap(point);
    const pick = await page.evaluate(() => ds.pick.get());
    if (pick?.kind === "seam") break;
  }
  const pick = await page.evaluate(() => ds.pick.get());
  assert.equal(pick?.kind, "seam", "a seam is picked by taps on the drawing");
  await changed(page, () => hand.press("smoke: strong"));
  assert.match(await textOf(page), /smoke: strong/);
  assert.match(await textOf(page), /total: 90 cfm at 25 Pa ± 3 %/);
}

test("by mouse", async (t) => {
  await drawn(t, "by-mouse", {}, async (page) => {
    const hand = mouseOf(page);
    await byHand(page, hand);
    const { clicks, drags } = hand.count;
    await reads(page, hand);
    return { clicks, drags };
  });
});

test("by touch", async (t) => {
  await drawn(t, "by-touch", { viewport: { width: 1024, height: 768 }, hasTouch: true }, async (page) => {
    const hand = await fingerOf(page);
    await byHand(page, hand);
    const { taps, drags } = hand.count;
    await reads(page, hand);
    return { taps, drags };
  });
});

test("by keyboard", async (t) => {
  await drawn(t, "by-keyboard", {}, async (page) => {
    let keys = 0;
    const press = async (key) => {
      keys += 1;
      await page.keyboard.press(key);
    };
    const type = async (words) => {
      for (const letter of words) await press(letter);
    };
    const said = (words) => until(`the board says ${words}`, () => page.evaluate((like) => new RegExp(like).test(document.querySelector("#board [aria-live]")?.textContent ?? ""), words));
    const picked = (pick) => page.evaluate((like) => Object.entries(like).every(([key, value]) => ds.pick.get()?.[key] === value), pick);
    const toPick = async (key, pick) => {
      for (let k = 0; k < 80 && !(await picked(pick)); k += 1) await press(key);
      assert.ok(await picked(pick), `no way by keys to ${JSON.stringify(pick)}`);
    };
    await until("focus in the question", () => page.evaluate(() => Boolean(document.activeElement.closest("dialog"))));
    for (let k = 0; k < 10 && (await page.evaluate(() => document.activeElement.textContent)) !== "Begin"; k += 1) await press("Tab");
    await press("Enter");
    await until("a view", () => page.evaluate(() => Boolean(ds.doc.view)));
    for (let k = 0; k < 60 && !(await page.evaluate(() => document.activeElement === ds.drawing.view)); k += 1) await press("Tab");
    assert.ok(await page.evaluate(() => document.activeElement === ds.drawing.view), "the drawing is reached by Tab");
    const length = async (words) => {
      await press(words[0]);
      await until("the box for a length", () => page.evaluate(() => ds.lengthBox.open));
      await type(words.slice(1));
      await press("Enter");
    };
    await press("n");
    await press("ArrowUp");
    await changed(page, () => length("24"));
    await changed(page, () => press("c"));
    for (const [at, side] of BRANCHES) {
      await toPick("Shift+Tab", { kind: "run", run: 0 });
      await press("t");
      await until("the box for a distance", () => page.evaluate(() => ds.lengthBox.open));
      await type(String(at));
      await press("Enter");
      await until("the sides", () => page.evaluate(() => document.activeElement.textContent === "Left"));
      if (side > 0) await press("ArrowRight");
      await press("Enter");
      await said("Enter makes it");
      await changed(page, () => length("8"));
      await changed(page, () => press("b"));
    }
    await press("p");
    await press("ArrowDown");
    await changed(page, () => length("10"));
    await changed(page, () => press("r"));
    return { keys };
  });
});
