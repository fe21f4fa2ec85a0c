// The board as one file with the library inside: opened from disk, no server, the same digits.
import assert from "node:assert/strict";
import fs from "node:fs";
import path from "node:path";
import { after, test } from "node:test";
import { pathToFileURL } from "node:url";

import { axeFaults } from "./lib/access.mjs";
import { answered, changed, looked, mouseOf, spot, textOf, until } from "./lib/board.mjs";
import { sameDigits } from "./lib/digits.mjs";
import { none, sharedBrowser } from "./lib/each.mjs";
import { model, run, scratch } from "./lib/program.mjs";
import { noOneFile, oneFile } from "./lib/web.mjs";

const skip = noOneFile();
const shared = sharedBrowser();
const dir = scratch();
after(() => fs.rmSync(dir, { recursive: true }));

/** Keeps every answer as its letters came, and takes away the browser's own windows for files, which nobody could press here. */
function prepare() {
  delete window.showSaveFilePicker;
  delete window.showOpenFilePicker;
  globalThis.replies = [];
  const plain = JSON.parse;
  JSON.parse = function parse(text, ...rest) {
    if (typeof text === "string" && text.includes('"allocation":')) globalThis.replies.push(text);
    return plain.call(this, text, ...rest);
  };
}

async function opened(use, options = {}) {
  const address = pathToFileURL(oneFile()).href;
  const context = await shared.browser.newContext({ viewport: { width: 1280, height: 800 }, acceptDownloads: true, ...options });
  await context.addInitScript(prepare);
  const page = await context.newPage();
  const notes = [];
  page.on("console", (message) => {
    if (["error", "warning"].includes(message.type())) notes.push(`console ${message.type()}: ${message.text()}`);
  });
  page.on("pageerror", (error) => notes.push(`uncaught: ${error.message}`));
  page.on("request", (request) => {
    const url = request.url();
    if (url.split("#")[0] !== address && !/^(data|blob):/.test(url)) notes.push(`request: ${url}`);
  });
  try {
    await page.goto(address);
    await use({ page, context, address });
    none(notes, "one file");
  } finally {
    await context.close();
  }
}

/** Saves as a file, which is handed over as a download, and gives its path. */
async function handedOver(page, name) {
  const [download] = await Promise.all([page.waitForEvent("download"), page.getByRole("button", { name: "Save as a file" }).click()]);
  const file = path.join(dir, name);
  await download.saveAs(file);
  return { file, suggested: download.suggestedFilename() };
}

/** Opens a file through the page's own question. */
async function choose(page, file) {
  const [chooser] = await Promise.all([page.waitForEvent("filechooser"), page.getByRole("dialog").getByRole("button", { name: "Open a file" }).click()]);
  await chooser.setFiles(file);
}

const lastReply = (page) => page.evaluate(() => globalThis.replies.filter((text) => text.includes('"draws":2000')).at(-1));

test("a sketch is begun, a run drawn, answered to the last digit and saved", { skip }, async (t) => {
  await opened(async ({ page }) => {
    const hand = mouseOf(page);
    await hand.press("Begin a new sketch");
    await looked(page);
    await hand.press("Run");
    for (let k = 0; k < 3; k += 1) await hand.press("Farther");
    await changed(page, async () => hand.drag(await spot(page, 0, 0.5), await spot(page, 0, 8.5)));
    await changed(page, () => hand.press("Cap", page.getByRole("toolbar", { name: /^End of/ })));
    await changed(page, async () => hand.drag(await spot(page, 0, 4), await spot(page, 6, 4)));
    await changed(page, () => hand.press("Boot 10x4"));
    await answered(page);
    const { file, suggested } = await handedOver(page, "drawn.yaml");
    assert.match(suggested, /\.yaml$/);
    assert.equal(fs.readFileSync(file, "utf8"), await textOf(page));
    const check = JSON.parse(run(["check", file, "--format", "json"]));
    assert.equal(check.runs.length, 2);
    assert.equal(check.openings, 1);
    t.diagnostic(`${sameDigits(await lastReply(page), file)} numbers`);
    assert.match(await page.locator("#state").textContent(), /downloads/);
  });
});

test("a sketch is opened from a file, and answered to the last digit", { skip }, async (t) => {
  const file = path.join(dir, "house.yaml");
  fs.copyFileSync(model("bungalow"), file);
  await opened(async ({ page }) => {
    await choose(page, file);
    await looked(page);
    assert.equal(await textOf(page), fs.readFileSync(file, "utf8"));
    await answered(page);
    t.diagnostic(`${sameDigits(await lastReply(page), file)} numbers`);
    // Another one, while this stands.
    const other = path.join(dir, "other.yaml");
    fs.copyFileSync(model("shop"), other);
    await page.getByRole("button", { name: "Open…" }).click();
    await changed(page, () => choose(page, other));
    assert.equal(await textOf(page), fs.readFileSync(other, "utf8"));
  });
});

test("what was not saved as a file is kept in the browser and offered again", { skip }, async () => {
  await opened(async ({ page }) => {
    page.on("dialog", (question) => question.accept());
    await mouseOf(page).press("Example (invented house)");
    await looked(page);
    await changed(page, () => page.evaluate(() => ds.doc.change([{ do: "set", path: ["note"], value: "kept words" }], "note")));
    const text = await textOf(page);
    await until("it is kept", () => page.evaluate(() => Object.values(localStorage).some((one) => one.includes("kept words"))));
    await page.reload();
    await page.getByRole("dialog").getByRole("button", { name: "Go on with it" }).first().click();
    await looked(page);
    assert.equal(await textOf(page), text);
    await mouseOf(page).press("Open…");
    await mouseOf(page).press("Throw away");
    await mouseOf(page).press("Stay here");
    assert.equal(await textOf(page), text);
  });
});

test("a file with a fault is opened, told and put right", { skip }, async () => {
  const file = path.join(dir, "broken.yaml");
  fs.writeFileSync(file, fs.readFileSync(model("bungalow"), "utf8").replace("2 ft, damper", "2 ft, dampr"));
  await opened(async ({ page }) => {
    await choose(page, file);
    await looked(page);
    const fault = await page.evaluate(() => ds.doc.view.faults[0]);
    assert.equal(fault.patch, "damper");
    await page.getByRole("tab", { name: /^Faults/ }).click();
    await changed(page, () => mouseOf(page).press("Write “damper” instead"));
    assert.deepEqual(await page.evaluate(() => ds.doc.view.faults), []);
  });
});

test("axe-core finds nothing in one file", { skip }, async (t) => {
  await opened(async ({ page }) => {
    none((await axeFaults(page)).faults, "the question");
    await mouseOf(page).press("Example (invented house)");
    await looked(page);
    const { faults, passed } = await axeFaults(page);
    t.diagnostic(`${passed} rules passed`);
    none(faults, "one file");
  });
});
