// What others do to the file while the page is open, and ends without warning in the middle of work.
import assert from "node:assert/strict";
import fs from "node:fs";
import path from "node:path";
import { after, test } from "node:test";

import { boardPage, changed, chooseRun, looked, saved, serve, tab, textOf, until, withBoard } from "./lib/board.mjs";
import { sharedBrowser } from "./lib/each.mjs";
import { model, run, scratch } from "./lib/program.mjs";

const shared = sharedBrowser();
const dir = scratch();
after(() => fs.rmSync(dir, { recursive: true }));
const BUNGALOW = fs.readFileSync(model("bungalow"), "utf8");
const TITLE = "Alder Row bungalow (invented)";

function own(name, text = BUNGALOW) {
  const folder = path.join(dir, name);
  fs.mkdirSync(folder);
  const file = path.join(folder, "house.yaml");
  fs.writeFileSync(file, text);
  return file;
}

const read = (file) => fs.readFileSync(file, "utf8");
const titled = (title) => BUNGALOW.replace(TITLE, title);
const retitle = (page, title) => page.evaluate((to) => ds.doc.change([{ do: "set", path: ["title"], value: to }], "title"), title);
const onDisk = (file, text) => until("the file holds it", () => fs.existsSync(file) && read(file) === text);

/** Lets what the page saves wait until `release` is called. */
async function heldSaves(page) {
  let release;
  const gate = new Promise((done) => {
    release = done;
  });
  let waiting = 0;
  await page.route("**/api/save**", async (route) => {
    waiting += 1;
    await gate;
    await route.continue();
  });
  return { release, arrived: () => until("a save under way", () => waiting > 0) };
}

/** Changes the title here while another program has written the file, and gives the question that comes. */
async function conflict(page, file) {
  const saves = await heldSaves(page);
  await retitle(page, "Mine");
  await saves.arrived();
  fs.writeFileSync(file, titled("Theirs"));
  saves.release();
  const asked = page.getByRole("dialog");
  await asked.waitFor();
  assert.equal(read(file), titled("Theirs"), "nothing is written before it is decided");
  return asked;
}

test("a conflict: the file is taken, and the way back leads to what was here", async () => {
  const file = own("theirs");
  await withBoard(shared.browser, file, {}, async ({ page }) => {
    await saved(page);
    const asked = await conflict(page, file);
    await asked.getByRole("button", { name: "Take what is in the file" }).click();
    await until("theirs", async () => (await textOf(page)) === titled("Theirs"));
    await saved(page);
    assert.equal(read(file), titled("Theirs"));
    await changed(page, () => page.locator("#undo").click());
    await onDisk(file, titled("Mine"));
  });
});

test("a conflict: what is here is handed over as a copy, the file is taken", async () => {
  const file = own("copy");
  await withBoard(shared.browser, file, {}, async ({ page }) => {
    await saved(page);
    const asked = await conflict(page, file);
    const [download] = await Promise.all([page.waitForEvent("download"), asked.getByRole("button", { name: "Save what is here as a copy, take the file" }).click()]);
    assert.equal(fs.readFileSync(await download.path(), "utf8"), titled("Mine"));
    assert.equal(download.suggestedFilename(), "house-mine.yaml");
    await until("theirs", async () => (await textOf(page)) === titled("Theirs"));
    assert.equal(read(file), titled("Theirs"));
  });
});

test("two tabs change at once: the later one is asked, and both show what it says", async () => {
  const file = own("tabs");
  await withBoard(shared.browser, file, {}, async ({ page, context, served }) => {
    const other = await context.newPage();
    await other.goto(served.url);
    for (const one of [page, other]) await saved(one);
    const saves = await heldSaves(page);
    await retitle(page, "From one");
    await saves.arrived();
    await retitle(other, "From the other");
    await saved(other);
    saves.release();
    const asked = page.getByRole("dialog");
    await asked.getByRole("button", { name: "Keep what is here" }).click();
    await onDisk(file, titled("From one"));
    await until("the other shows it", async () => (await textOf(other)) === titled("From one"));
    assert.equal(await other.getByRole("dialog").count(), 0);
  });
});

test("a file that is removed is made anew with the next change, and nothing is lost", async () => {
  const file = own("removed");
  await withBoard(shared.browser, file, {}, async ({ page }) => {
    await saved(page);
    fs.rmSync(file);
    await page.waitForTimeout(1500);
    assert.equal(await textOf(page), BUNGALOW);
    await retitle(page, "Again");
    await onDisk(file, titled("Again"));
  });
});

test("a file that others leave unreadable is told, not written, and taken again when it is whole", async () => {
  const file = own("torn");
  await withBoard(shared.browser, file, {}, async ({ page }) => {
    await saved(page);
    const half = `${BUNGALOW.slice(0, 2000)}\n{[`;
    fs.writeFileSync(file, half);
    await until("the page has it", async () => (await textOf(page)) === half);
    await page.getByText("The text cannot be read", { exact: true }).waitFor();
    await tab(page, "Faults");
    assert.match(await page.locator("#panel-faults").textContent(), /1 to put right/);
    await tab(page, "Text");
    assert.equal(await page.locator("#sketch-text").inputValue(), half);
    assert.equal(read(file), half);
    fs.writeFileSync(file, BUNGALOW);
    await until("it stands again", () => page.evaluate(() => ds.doc.view.stands));
    assert.equal(await textOf(page), BUNGALOW);
  });
});

test("what is being typed stays when the file changes under it", async () => {
  const file = own("typing");
  await withBoard(shared.browser, file, {}, async ({ page }) => {
    await saved(page);
    await chooseRun(page, "entry");
    const field = page.getByRole("textbox", { name: "Airflow meant for the room" });
    await field.fill("7");
    fs.writeFileSync(file, titled("Theirs"));
    await until("theirs", async () => (await textOf(page)) === titled("Theirs"));
    await page.keyboard.type("5 cfm");
    await changed(page, () => page.keyboard.press("Tab"));
    await onDisk(file, titled("Theirs").replace("room: entry, design flow: 60 cfm", "room: entry, design flow: 75 cfm"));
    // The same in the text: it is not read by itself over what others wrote.
    await tab(page, "Text");
    const typed = read(file).replace("title: Theirs", "title: Typed");
    await page.locator("#sketch-text").fill(typed);
    fs.writeFileSync(file, read(file).replace("title: Theirs", "title: Others"));
    await page.getByText(/was changed elsewhere while you typed/).waitFor();
    await page.waitForTimeout(2500);
    assert.match(read(file), /title: Others/);
    assert.equal(await page.locator("#sketch-text").inputValue(), typed);
    await changed(page, () => page.getByRole("button", { name: "Take this text" }).click());
    await onDisk(file, typed);
  });
});

for (const acknowledged of [1, 4, 9]) {
  test(`killed in a burst after ${acknowledged} saves: all that was acknowledged is there or offered, the file is whole at every moment`, async (t) => {
    const file = own(`killed-${acknowledged}`);
    const states = new Set();
    const served = await serve(file);
    const { page, context } = await boardPage(shared.browser, served);
    let offered = null;
    try {
      await saved(page);
      await page.evaluate(() => {
        const plain = ds.host.save;
        globalThis.done = [];
        ds.host.save = async (text, ...rest) => {
          const reply = await plain(text, ...rest);
          if (reply.revision) globalThis.done.push(text);
          return reply;
        };
        globalThis.burst = setInterval(() => {
          globalThis.n = (globalThis.n ?? 0) + 1;
          ds.doc.change([{ do: "set", path: ["title"], value: `State ${globalThis.n}` }], "state");
        }, 40);
      });
      await until("so many saves", async () => {
        states.add(read(file));
        return (await page.evaluate(() => globalThis.done.length)) >= acknowledged;
      });
      await served.kill();
      states.add(read(file));
      await page.evaluate(() => clearInterval(globalThis.burst));
      await until("the page says so", async () => /not saved/.test(await page.locator("#state").textContent()));
      const done = await page.evaluate(() => globalThis.done);
      const number = (text) => Number(text.match(/title: State (\d+)/)?.[1] ?? 0);
      // The page's own work is not lost with the program: it hands over a copy.
      const [download] = await Promise.all([page.waitForEvent("download"), page.getByRole("button", { name: "Save a copy" }).click()]);
      const copy = fs.readFileSync(await download.path(), "utf8");
      assert.ok(number(copy) >= number(done.at(-1)));
      for (const text of states) {
        const one = path.join(dir, `state-${acknowledged}.yaml`);
        fs.writeFileSync(one, text);
        run(["check", one]);
      }
      const again = await serve(file);
      const next = await boardPage(shared.browser, again);
      try {
        await looked(next.page);
        let most = number(read(file));
        const asked = next.page.getByRole("dialog");
        if (await next.page.evaluate(() => Boolean(document.querySelector("dialog[open]")))) {
          const before = await textOf(next.page);
          await asked.getByRole("button", { name: "Take what was kept" }).click();
          await until("what was kept", async () => (await textOf(next.page)) !== before);
          offered = number(await textOf(next.page));
          most = Math.max(most, offered);
        }
        assert.ok(most >= number(done.at(-1)), `state ${most} is there, ${number(done.at(-1))} was acknowledged`);
      } finally {
        await next.context.close();
        await again.stop();
      }
      t.diagnostic(`${done.length} saves acknowledged, ${states.size} states seen on disk, ${offered === null ? "none offered" : `state ${offered} offered`}`);
    } finally {
      await context.close();
      await served.stop();
    }
  });
}
