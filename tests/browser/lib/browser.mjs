// Debian's Chromium, driven from outside, on files of this machine.
import fs from "node:fs";
import { pathToFileURL } from "node:url";

import { chromium } from "playwright-core";

export const DESKTOP = { width: 1280, height: 900 };
export const PHONE = { width: 390, height: 844 };

const ARGS = [
  "--no-sandbox",
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
];

/** Starts the browser. `CHROMIUM` names another one than Debian's. Throws if there is none. */
export async function launch() {
  const executablePath = process.env.CHROMIUM || "/usr/bin/chromium";
  if (!fs.existsSync(executablePath)) {
    throw new Error(`no browser at ${executablePath}: install Debian's \`chromium\`, or name another in CHROMIUM`);
  }
  return chromium.launch({ executablePath, args: ARGS });
}

/**
 * Gives a page `markAt(x, y)` and `isSeen(element)`: laid out, not hidden, not clear, and neither is anything around it. The browser's own
 * `checkVisibility` says yes to what stands in an undisplayed group of a drawing.
 */
function eyes() {
  globalThis.isSeen = (element) => {
    if (!element.checkVisibility()) return false;
    for (let around = element; around; around = around.parentElement) {
      const style = getComputedStyle(around);
      if (style.display === "none" || Number(style.opacity) === 0) return false;
      if (around === element && style.visibility !== "visible") return false;
    }
    return true;
  };
  // The mark of a seam that a point of the window belongs to: its own shape, or the wide line made for it.
  globalThis.markAt = (x, y) => {
    const found = document.elementFromPoint(x, y);
    return found?.closest(".seam") ?? document.getElementById(found?.dataset?.of ?? "")?.closest(".seam") ?? null;
  };
}

/**
 * Opens a file in a page of its own and notes all that a quiet page must not do.
 * @param options of the browser's context (`viewport`, `colorScheme`, `reducedMotion`, `javaScriptEnabled`, `hasTouch`)
 * @returns `{page, notes, close}`; `notes` grows while the page is open: console warnings and errors, uncaught errors,
 *   requests for anything but the file
 */
export async function open(browser, file, options = {}) {
  const context = await browser.newContext({ viewport: DESKTOP, ...options });
  await context.addInitScript(eyes);
  const page = await context.newPage();
  const address = pathToFileURL(file).href;
  const notes = [];
  page.on("console", (message) => {
    if (["error", "warning", "assert"].includes(message.type())) notes.push(`console ${message.type()}: ${message.text()}`);
  });
  page.on("pageerror", (error) => notes.push(`uncaught: ${error.message}`));
  page.on("request", (request) => {
    if (request.url().split("#")[0] !== address) notes.push(`request: ${request.url()}`);
  });
  page.on("websocket", (socket) => notes.push(`request: ${socket.url()}`));
  await page.goto(address, { waitUntil: "load" });
  return { page, notes, close: () => context.close() };
}

/** Opens a file, hands its page to `use`, closes it again. */
export async function withPage(browser, file, options, use) {
  const opened = await open(browser, file, options);
  try {
    return await use(opened.page, opened.notes);
  } finally {
    await opened.close();
  }
}

/** Waits until what an action has set going is drawn and nothing scrolls any more. */
export async function settled(page) {
  await page.evaluate(async () => {
    const frame = () => new Promise((done) => requestAnimationFrame(done));
    const place = () => `${scrollX},${scrollY}`;
    await frame();
    for (let still = 0, before = place(); still < 3; ) {
      await frame();
      still = place() === before ? still + 1 : 0;
      before = place();
    }
  });
}
