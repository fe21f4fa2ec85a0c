// A benchmark, not a test: how the board moves at 3000 seams, and how soon answers follow a change. Figures are told, nothing is demanded.
//   cd tests/browser && DUCTSEAM=target/release/ductseam npm run bench
import fs from "node:fs";
import path from "node:path";

import { answered, boardPage, saved, serve, until } from "./lib/board.mjs";
import { launch } from "./lib/browser.mjs";
import { model, scratch } from "./lib/program.mjs";
import { house } from "./lib/sketches.mjs";

const dir = scratch();
const browser = await launch();
const ms = (value) => `${value.toFixed(0)} ms`;
const middle = (values) => [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)];

async function on(sketch, use) {
  const file = path.join(dir, `${path.basename(sketch, ".yaml")}-board.yaml`);
  fs.copyFileSync(sketch, file);
  const served = await serve(file);
  const { page, context } = await boardPage(browser, served);
  try {
    await saved(page);
    await use(page);
  } finally {
    await context.close();
    await served.stop();
  }
}

/** 60 frames of dragging the empty board: time from frame to frame, and long tasks. */
async function pan(page) {
  const box = await page.locator("#board").boundingBox();
  const [x, y] = [box.x + box.width / 2, box.y + 12];
  await page.evaluate(() => {
    const told = { frames: [], long: [] };
    window.told = told;
    new PerformanceObserver((list) => told.long.push(...list.getEntries().map((entry) => entry.duration))).observe({ type: "longtask" });
    let before = performance.now();
    const frame = () => {
      const now = performance.now();
      told.frames.push(now - before);
      before = now;
      if (told.frames.length < 400) requestAnimationFrame(frame);
    };
    requestAnimationFrame(frame);
  });
  await page.mouse.move(x, y);
  await page.mouse.down({ button: "middle" });
  const first = await page.evaluate(() => window.told.frames.length);
  for (let k = 1; k <= 60; k += 1) await page.mouse.move(x + 3 * k * Math.cos(k / 10), y + 3 * k);
  const last = await page.evaluate(() => window.told.frames.length);
  await page.mouse.up({ button: "middle" });
  const { frames, long } = await page.evaluate(() => window.told);
  const own = frames.slice(first, Math.max(last, first + 1));
  return `${own.length} frames, longest ${ms(Math.max(...own))}, half below ${ms(middle(own))}; ${long.filter((one) => one > 50).length} tasks over 50 ms`;
}

/** From a change to answers from few draws and from all. */
async function answers(page) {
  await answered(page);
  const quick = [];
  const full = [];
  for (const size of ["7 in", "5 in", "6 in", "7 in", "5 in"]) {
    const times = await page.evaluate(async (value) => {
      const start = performance.now();
      const times = {};
      const done = new Promise((end) => {
        ds.doc.on("answers", () => {
          const how = ds.doc.answersFor;
          if (how && times[how] === undefined) times[how] = performance.now() - start;
          if (how === "full") end();
        });
      });
      await ds.doc.change([{ do: "set", path: ["title"], value: `Changed to ${value}` }], "title");
      times.view = performance.now() - start;
      await done;
      return times;
    }, size);
    quick.push(times.quick);
    full.push(times.full);
  }
  return `shares, bands, next looks and plan after ${ms(middle(quick))} (500 draws), ${ms(middle(full))} (2000 draws); middle of ${quick.length}`;
}

try {
  for (const name of ["bungalow", "slab-attic", "two-storey"]) await on(model(name), async (page) => console.log(`${name}: ${await answers(page)}`));
  await on(house(dir, { name: "large", trunks: 8, branches: 56 }), async (page) => {
    const seams = await until("a view", () => page.evaluate(() => ds.doc.view?.seams.length));
    console.log(`${seams} seams, panned: ${await pan(page)}`);
  });
} finally {
  await browser.close();
  fs.rmSync(dir, { recursive: true });
}
