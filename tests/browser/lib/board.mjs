// The drawing board: its server on a sketch of its own, a page on it, hands of three kinds that draw.
import { spawn } from "node:child_process";
import fs from "node:fs";
import path from "node:path";

import { none } from "./each.mjs";
import { folder, program } from "./program.mjs";

export const FOOT = 0.3048;

/** How long something may take, ms. Patient: the machine may be busy with other work. */
const PATIENCE_MS = Number(process.env.BOARD_PATIENCE_MS) || 60_000;

/** Waits until something holds. */
export async function until(what, holds, patience_ms = PATIENCE_MS) {
  const end = Date.now() + patience_ms;
  for (;;) {
    const found = await holds();
    if (found) return found;
    if (Date.now() > end) throw new Error(`waited ${patience_ms / 1000} s in vain: ${what}`);
    await new Promise((done) => setTimeout(done, 25));
  }
}

/** Serves a sketch. `{url, origin, token, child, stop, kill}`. */
export async function serve(file, args = []) {
  const child = spawn(program(), ["page", file, "--no-open", ...args], { cwd: path.dirname(file), stdio: ["ignore", "ignore", "pipe"] });
  let said = "";
  child.stderr.setEncoding("utf8");
  child.stderr.on("data", (text) => {
    said += text;
  });
  const ended = new Promise((done) => child.on("exit", (code, signal) => done({ code, signal })));
  let over = false;
  ended.then(() => {
    over = true;
  });
  const url = await until("the address of the board", () => {
    if (over) throw new Error(`the program ended: ${said}`);
    return said.match(/http:\/\/\S+/)?.[0];
  });
  const [origin, token] = url.split("/#");
  return {
    url,
    origin,
    token,
    child,
    said: () => said,
    stop: () => {
      child.kill("SIGINT");
      return ended;
    },
    kill: () => {
      child.kill("SIGKILL");
      return ended;
    },
  };
}

/** Opens a page on a board. `notes` grows by all that a quiet page does not do. */
export async function boardPage(browser, served, options = {}) {
  const context = await browser.newContext({ viewport: { width: 1280, height: 800 }, ...options });
  context.setDefaultTimeout(PATIENCE_MS);
  const page = await context.newPage();
  const notes = [];
  page.on("console", (message) => {
    // What is not there, and what the server says no to, is told by the browser itself.
    if (["error", "warning"].includes(message.type()) && !/status of (404|409)/.test(message.text())) notes.push(`console ${message.type()}: ${message.text()}`);
  });
  page.on("pageerror", (error) => notes.push(`uncaught: ${error.message}`));
  page.on("request", (request) => {
    const url = request.url();
    if (!url.startsWith(`${served.origin}/`) && !url.startsWith("data:") && !url.startsWith("blob:")) notes.push(`request: ${url}`);
  });
  await page.goto(served.url);
  return { page, notes, context };
}

/** The text in the page. */
export const textOf = (page) => page.evaluate(() => ds.doc.text);

/** Waits until a page has its sketch, and every change is on disk. */
export const saved = (page) => until("everything saved", () => page.evaluate(() => Boolean(ds.doc.view) && !ds.doc.unsaved && ds.doc.state.state === "saved"));

/** Does something and waits until it has changed the sketch. */
export async function changed(page, action) {
  const before = await textOf(page);
  await action();
  await until("a change of the sketch", async () => (await textOf(page)) !== before);
}

/** Waits for the answers from all draws for what stands now. */
export const answered = (page) => until("the answers", () => page.evaluate(() => ds.doc.answersFor === "full"), 240_000);

/** Where a point of the sketch, feet east and north, is in the window. */
export async function spot(page, east_ft, north_ft) {
  return page.evaluate(
    ([x, y]) => {
      const box = document.getElementById("board").getBoundingClientRect();
      const [left, top] = ds.camera.toBoard([x, y, 0]);
      return [box.left + left, box.top + top];
    },
    [east_ft * FOOT, north_ft * FOOT],
  );
}

/** Hands that count what they do: `press(name)` a button, `drag(from, to)` and `tap(point)` on the board. */
export function mouseOf(page) {
  const count = { clicks: 0, drags: 0 };
  return {
    count,
    press: async (name, scope = page) => {
      count.clicks += 1;
      await scope.getByRole("button", { name, exact: true }).first().click();
    },
    tap: async ([x, y]) => {
      count.clicks += 1;
      await page.mouse.click(x, y);
    },
    drag: async (from, to) => {
      count.drags += 1;
      await page.mouse.move(...from);
      await page.mouse.down();
      await page.mouse.move(...to, { steps: 6 });
      await page.mouse.up();
    },
  };
}

/** Fingers: touch events and no mouse. */
export async function fingerOf(page) {
  const wire = await page.context().newCDPSession(page);
  const touch = (type, points) => wire.send("Input.dispatchTouchEvent", { type, touchPoints: points.map(([x, y]) => ({ x, y })) });
  const count = { taps: 0, drags: 0 };
  const tap = async (point) => {
    count.taps += 1;
    await touch("touchStart", [point]);
    await touch("touchEnd", []);
  };
  return {
    count,
    tap,
    press: async (name, scope = page) => {
      const button = scope.getByRole("button", { name, exact: true }).first();
      await button.waitFor();
      // What follows the drawing is aimed at when it stands still.
      let before = null;
      const box = await until(`${name} stands still`, async () => {
        await button.evaluate((one) => one.scrollIntoView({ block: "nearest" })).catch(() => {});
        const now = await button.boundingBox();
        const still = before && now && ["x", "y", "width", "height"].every((side) => before[side] === now[side]);
        before = now;
        return still && now;
      });
      await tap([box.x + box.width / 2, box.y + box.height / 2]);
    },
    drag: async (from, to) => {
      count.drags += 1;
      await touch("touchStart", [from]);
      for (let k = 1; k <= 6; k += 1) {
        await touch("touchMove", [[from[0] + ((to[0] - from[0]) * k) / 6, from[1] + ((to[1] - from[1]) * k) / 6]]);
      }
      await touch("touchEnd", []);
    },
  };
}

/** What stands in a folder, by name. */
export const filesOf = (dir) => fs.readdirSync(dir).sort();

/**
 * Serves a sketch, opens a page on it, hands both to `use`, demands a quiet page, ends both. A picture is taken where something failed.
 * @param options of the browser's context, and `expects`: what the page may say for all that
 */
export async function withBoard(browser, file, { expects = null, ...options }, use) {
  const served = await serve(file);
  try {
    const { page, notes, context } = await boardPage(browser, served, options);
    try {
      await use({ page, served, context });
      none(notes.filter((note) => !expects?.test(note)), path.basename(file));
    } catch (error) {
      const picture = path.join(folder("failed"), `${path.basename(file)}-${Date.now()}.png`);
      await page.screenshot({ path: picture }).catch(() => {});
      error.message += `\nseen: ${picture}`;
      throw error;
    } finally {
      await context.close();
    }
  } finally {
    await served.stop();
  }
}

/** Waits until the page has its sketch; for a page without a question before it. */
export const looked = (page) => until("a view", () => page.evaluate(() => Boolean(globalThis.ds?.doc?.view)));

/** Opens a tab of the side. */
export const tab = (page, name) => page.getByRole("tab", { name: new RegExp(`^${name}`) }).click();

/** Picks a run by its name in the list of runs, which is a tab of its own where the window is narrow. */
export async function chooseRun(page, id) {
  const runs = page.getByRole("tab", { name: "Runs" });
  if (await runs.isVisible()) await runs.click();
  else await page.evaluate(() => ds.side.show("piece"));
  const find = page.locator("#outline-filter");
  if (await find.isVisible()) await find.fill(id);
  await page.locator("#tree").getByRole("treeitem", { name: id, exact: true }).click();
  await page.getByRole("heading", { name: `Run ${id}`, exact: true }).waitFor();
}

/** Types into a field of the forms and leaves it; waits until the sketch has changed. */
export async function fillIn(page, label, words) {
  const field = page.locator("#panels").getByRole("textbox", { name: label, exact: true });
  await changed(page, async () => {
    await field.fill(words);
    await field.press("Tab");
  });
}
