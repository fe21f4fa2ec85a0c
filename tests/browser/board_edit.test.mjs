// Changes by pointer, list and forms: typed lengths, snapping, the way back and forth, names, copies, mirrors, what is taken away.
import assert from "node:assert/strict";
import fs from "node:fs";
import path from "node:path";
import { after, test } from "node:test";

import { changed, chooseRun, fillIn, looked, mouseOf, saved, spot, textOf, until, withBoard } from "./lib/board.mjs";
import { sharedBrowser } from "./lib/each.mjs";
import { model, run, scratch } from "./lib/program.mjs";

const shared = sharedBrowser();
const dir = scratch();
after(() => fs.rmSync(dir, { recursive: true }));

/** A sketch of a test's own: a copy of a model, or a text. */
function own(name, text = fs.readFileSync(model("bungalow"), "utf8")) {
  const file = path.join(dir, `${name}.yaml`);
  fs.writeFileSync(file, text);
  return file;
}

const checked = (file) => JSON.parse(run(["check", file, "--format", "json"]));
const read = (file) => fs.readFileSync(file, "utf8");

const BARE = `ductseam: 1
title: Bare (invented)
units: ip
air handler: {supply plenum: {size: 20x16 in, length: 3 ft}, return plenum: {size: 20x14 in, length: 3 ft}}
runs: []
`;

/** Begins a drag with the mouse at a point in feet and leaves the button down. */
async function dragging(page, from, to) {
  await page.mouse.move(...(await spot(page, ...from)));
  await page.mouse.down();
  await page.mouse.move(...(await spot(page, ...to)), { steps: 6 });
}

test("digits typed while a length is dragged are its length", async () => {
  const file = own("typed", BARE);
  await withBoard(shared.browser, file, {}, async ({ page }) => {
    await looked(page);
    const hand = mouseOf(page);
    await hand.press("Run");
    await dragging(page, [0, 0.5], [0, 6]);
    await page.keyboard.press("1");
    await until("the box for a length", () => page.evaluate(() => ds.lengthBox.open));
    await page.keyboard.type("0 6");
    await changed(page, () => page.keyboard.press("Enter"));
    await page.mouse.up();
    await saved(page);
    assert.match(read(file), /walk: \[north 10 ft 6 in\]/);
    // The button let go after the length was typed adds nothing.
    const text = await textOf(page);
    await page.mouse.move(...(await spot(page, 3, 3)));
    assert.equal(await textOf(page), text);
    // A length typed at once afterwards is that of what was drawn last.
    await changed(page, async () => {
      await page.keyboard.press("8");
      await until("the box for a length", () => page.evaluate(() => ds.lengthBox.open));
      await page.keyboard.press("Enter");
    });
    await saved(page);
    assert.match(read(file), /walk: \[north 8 ft\]/);
    await changed(page, () => page.keyboard.press("c"));
    await saved(page);
    assert.equal(checked(file).runs.length, 1);
  });
});

test("Escape while dragging changes nothing", async () => {
  const file = own("given-up", BARE);
  await withBoard(shared.browser, file, {}, async ({ page }) => {
    await looked(page);
    await mouseOf(page).press("Run");
    await dragging(page, [0, 0.5], [0, 6]);
    await page.keyboard.press("Escape");
    await page.mouse.up();
    await page.waitForTimeout(300);
    assert.equal(await textOf(page), BARE);
    assert.equal(read(file), BARE);
  });
});

test("drags snap to headings, whole steps and the run they leave", async () => {
  const file = own("snap", BARE);
  await withBoard(shared.browser, file, {}, async ({ page }) => {
    await looked(page);
    const hand = mouseOf(page);
    await hand.press("Run");
    for (let k = 0; k < 4; k += 1) await hand.press("Farther");
    const { foot } = await page.evaluate(() => ({ foot: ds.camera.scale * 0.3048 }));
    assert.ok(foot < 80, `a foot has ${foot} px: the steps are finer`);
    // Askew by about 8 degrees and a fifth of a foot over.
    await changed(page, async () => hand.drag(await spot(page, 0, 0.5), await spot(page, 2.8, 20.7)));
    await saved(page);
    assert.match(read(file), /walk: \[north 20 ft\]/);
    await changed(page, async () => hand.drag(await spot(page, 0.1, 6.1), await spot(page, -7.8, 7.2)));
    await saved(page);
    assert.match(read(file), /from: trunk at 6 ft left, size: 6 in, walk: \[tab collar, 8 ft\]/);
    // At 45 degrees the takeoff gets an elbow.
    await changed(page, async () => hand.drag(await spot(page, 0, 12), await spot(page, 5, 17.2)));
    await saved(page);
    assert.match(read(file), /from: trunk at 12 ft right, size: 6 in, walk: \[tab collar, adjustable elbow left 45 degrees, 7 ft\]/);
  });
});

test("back to the first state and forth again, letter by letter", async () => {
  const file = own("back-and-forth");
  const first = read(file);
  await withBoard(shared.browser, file, {}, async ({ page }) => {
    await looked(page);
    const states = [await textOf(page)];
    const state = async () => {
      await saved(page);
      states.push(await textOf(page));
    };
    await chooseRun(page, "bedroom 3");
    await fillIn(page, "Size", "7 in");
    await state();
    await fillIn(page, "Name", "third bedroom");
    await state();
    await changed(page, () => page.getByRole("button", { name: "Mirror it and what hangs on it" }).click());
    await state();
    await page.locator("#board .b-view").focus();
    await changed(page, () => page.keyboard.press("Delete"));
    await state();
    assert.ok(!checked(file).runs.some(({ id }) => id === "third bedroom"));
    for (let k = states.length - 2; k >= 0; k -= 1) {
      if (k % 2) await changed(page, () => page.locator("#undo").click());
      else await changed(page, () => page.keyboard.press("Control+z"));
      assert.equal(await textOf(page), states[k], `state ${k}`);
    }
    await saved(page);
    assert.equal(read(file), first, "the file is as it was");
    assert.ok(await page.locator("#undo").isDisabled());
    for (let k = 1; k < states.length; k += 1) {
      if (k % 2) await changed(page, () => page.locator("#redo").click());
      else await changed(page, () => page.keyboard.press("Control+Shift+z"));
      assert.equal(await textOf(page), states[k], `state ${k} again`);
    }
    await saved(page);
    assert.equal(read(file), states.at(-1));
    assert.ok(await page.locator("#redo").isDisabled());
  });
});

test("a run gets another name everywhere", async () => {
  const file = own("renamed");
  await withBoard(shared.browser, file, {}, async ({ page }) => {
    await looked(page);
    const before = checked(file);
    await chooseRun(page, "west trunk");
    await fillIn(page, "Name", "bedroom trunk");
    await saved(page);
    assert.doesNotMatch(read(file), /west trunk/);
    assert.equal(read(file).match(/from: bedroom trunk at/g).length, 6);
    const now = checked(file);
    assert.deepEqual(now.runs.map(({ id }) => id), before.runs.map(({ id }) => (id === "west trunk" ? "bedroom trunk" : id)));
    assert.equal(now.openings, before.openings);
  });
});

test("a branch is copied, with its room and without what was seen there", async () => {
  const looks = "\nlooks:\n  - {seam: hall/tab collar, smoke: strong}\n";
  const file = own("copied", fs.readFileSync(model("bungalow"), "utf8") + looks);
  await withBoard(shared.browser, file, {}, async ({ page }) => {
    await looked(page);
    const before = checked(file);
    await chooseRun(page, "hall");
    await page.getByText("Copy this branch", { exact: true }).click();
    await page.getByLabel("The copy starts at").fill("west trunk at 12 ft right");
    await changed(page, () => page.locator("#panels").getByRole("button", { name: "Copy", exact: true }).click());
    await saved(page);
    const text = read(file);
    assert.match(text, /id: hall 2, from: west trunk at 12 ft right, size: 5 in, room: hall/);
    assert.equal(text.match(/smoke: strong/g).length, 1);
    const now = checked(file);
    assert.equal(now.runs.length, before.runs.length + 1);
    assert.equal(now.openings, before.openings + 1);
    await page.getByRole("heading", { name: "Run hall 2", exact: true }).waitFor();
  });
});

test("a branch is mirrored, and mirrored back", async () => {
  const file = own("mirrored");
  const first = read(file);
  await withBoard(shared.browser, file, {}, async ({ page }) => {
    await looked(page);
    await chooseRun(page, "bedroom 3");
    const mirror = page.getByRole("button", { name: "Mirror it and what hangs on it" });
    await changed(page, () => mirror.click());
    await saved(page);
    assert.match(read(file), /tab collar, 3 ft, adjustable elbow right 45 degrees, 8 ft, boot 10x4 in/);
    const lengths = ({ runs, seams }) => [runs.length, seams.length ?? seams];
    assert.deepEqual(lengths(checked(file)), lengths(JSON.parse(run(["check", model("bungalow"), "--format", "json"]))));
    await changed(page, () => mirror.click());
    await saved(page);
    assert.equal(read(file), first);
  });
});

test("a trunk goes with all that hangs on it, after a question", async () => {
  const file = own("removed");
  await withBoard(shared.browser, file, {}, async ({ page }) => {
    await looked(page);
    const before = checked(file);
    await chooseRun(page, "west trunk");
    await page.getByRole("button", { name: "Remove this run" }).click();
    const asked = page.getByRole("dialog");
    await asked.getByText(/bath, hall, bedroom 1 north/).waitFor();
    await asked.getByRole("button", { name: "Leave everything" }).click();
    assert.equal(read(file), fs.readFileSync(model("bungalow"), "utf8"));
    await page.getByRole("button", { name: "Remove this run" }).click();
    await changed(page, () => asked.getByRole("button", { name: "Remove 7 runs" }).click());
    await saved(page);
    const now = checked(file);
    assert.equal(now.runs.length, before.runs.length - 7);
    assert.doesNotMatch(read(file), /west trunk/);
    await changed(page, () => page.locator("#undo").click());
    await saved(page);
    assert.equal(read(file), fs.readFileSync(model("bungalow"), "utf8"));
  });
});
