// For everybody, and against everybody: rules of axe-core, sizes for gloves, hostile sketches, requests that are refused.
import assert from "node:assert/strict";
import fs from "node:fs";
import http from "node:http";
import path from "node:path";
import { after, test } from "node:test";

import { axeFaults } from "./lib/access.mjs";
import { boardPage, changed, saved, serve, textOf, until } from "./lib/board.mjs";
import { none, sharedBrowser } from "./lib/each.mjs";
import { model, scratch } from "./lib/program.mjs";

const shared = sharedBrowser();
const dir = scratch();
after(() => fs.rmSync(dir, { recursive: true }));

async function opened(name, text, options, use) {
  const file = path.join(dir, `${name}.yaml`);
  fs.writeFileSync(file, text);
  const served = await serve(file);
  const { page, notes, context } = await boardPage(shared.browser, served, options);
  try {
    await saved(page);
    await use({ page, file, served, context });
    none(notes, name);
  } finally {
    await context.close();
    await served.stop();
  }
}

const BUNGALOW = fs.readFileSync(model("bungalow"), "utf8");

for (const [name, options] of [
  ["desk", { viewport: { width: 1440, height: 900 } }],
  ["desk-dark", { viewport: { width: 1440, height: 900 }, colorScheme: "dark" }],
  ["tablet", { viewport: { width: 768, height: 1024 }, hasTouch: true }],
  ["phone", { viewport: { width: 390, height: 844 }, hasTouch: true }],
]) {
  test(`axe-core finds nothing, ${name}`, async (t) => {
    await opened(`axe-${name}`, BUNGALOW, options, async ({ page }) => {
      for (const tab of await page.getByRole("tab").all()) {
        await tab.click();
        const { faults, undecided, passed } = await axeFaults(page);
        t.diagnostic(`${await tab.textContent()}: ${passed} rules passed, undecided: ${undecided.join(", ") || "none"}`);
        none(faults, `${name}, ${await tab.textContent()}`);
      }
    });
  });
}

test("every button of the board is large enough for a glove", async () => {
  await opened("gloves", BUNGALOW, { viewport: { width: 1024, height: 768 }, hasTouch: true }, async ({ page }) => {
    const small = await page.evaluate(() =>
      [...document.querySelectorAll("#tools button, #board button, #head button")]
        .filter((button) => button.checkVisibility())
        .map((button) => [button.textContent.trim(), button.getBoundingClientRect()])
        .filter(([, box]) => box.width < 44 || box.height < 44)
        .map(([words, box]) => `${words}: ${box.width.toFixed(0)} x ${box.height.toFixed(0)} px`),
    );
    none(small, "buttons");
  });
});

test("what a sketch says is never taken for a page", async () => {
  const nasty = '<img src=x onerror="window.hurt = 1"><script>window.hurt = 2</script>';
  const long = "x".repeat(50);
  const text = BUNGALOW.replace("title: Alder Row bungalow (invented)", `title: '${nasty}'`)
    .replaceAll("id: dining,", `id: '<b onclick="hurt()">d</b>',`)
    .replaceAll("room: kitchen", `room: "\\u202e${long}&lt;"`);
  await opened("nasty", text, {}, async ({ page }) => {
    assert.equal(await page.locator("#title").textContent(), nasty);
    for (const tab of await page.getByRole("tab").all()) await tab.click();
    await page.evaluate(() => ds.pick.set({ kind: "run", run: ds.doc.view.runs.findIndex((run) => run.id?.startsWith("<b")) }));
    assert.equal(await page.evaluate(() => document.querySelectorAll("img, b[onclick], script:not([src])").length), 0);
    assert.equal(await page.evaluate(() => window.hurt), undefined);
  });
});

test("nothing runs that did not come with the page", async () => {
  await opened("policy", BUNGALOW, {}, async ({ page }) => {
    const ran = await page.evaluate(async () => {
      const refused = [];
      document.addEventListener("securitypolicyviolation", (event) => refused.push(event.effectiveDirective));
      const script = document.createElement("script");
      script.textContent = "window.ran = true";
      document.body.append(script);
      // What is asked from outside may evaluate; a page's own task may not.
      const evaluated = await new Promise((done) =>
        setTimeout(() => {
          try {
            done(new Function("return true")());
          } catch {
            done(false);
          }
        }),
      );
      let fetched = true;
      try {
        await fetch("http://192.0.2.1/");
      } catch {
        fetched = false;
      }
      await new Promise((done) => setTimeout(done, 100));
      return { ran: window.ran === true, evaluated, fetched, refused };
    });
    assert.equal(ran.ran, false);
    assert.equal(ran.evaluated, false);
    assert.equal(ran.fetched, false);
    assert.ok(ran.refused.length >= 2, ran.refused.join());
  }).catch((error) => {
    // What was tried here is what the notes tell; anything else is a fault.
    const rest = error.message.split("\n").slice(1).filter((line) => !/Content Security Policy|192\.0\.2\.1|Content-Security-Policy/.test(line));
    if (!/^policy: \d+ faults/.test(error.message) || rest.length) throw error;
  });
});

test("a page of somebody else reads and writes nothing", async () => {
  await opened("foreign", BUNGALOW, {}, async ({ file, served }) => {
    const site = http.createServer((_, answer) => answer.end("<!doctype html><title>elsewhere</title>"));
    await new Promise((done) => site.listen(0, "127.0.0.1", done));
    const context = await shared.browser.newContext();
    try {
      const page = await context.newPage();
      await page.goto(`http://127.0.0.1:${site.address().port}/`);
      const got = await page.evaluate(
        async ([origin, token]) => {
          const tried = [];
          for (const [way, options] of [
            ["/api/open", { method: "POST", body: "{}", headers: { "x-board-token": token } }],
            ["/api/open", { method: "POST", body: "{}", mode: "no-cors" }],
            ["/api/save", { method: "POST", body: '{"text":"gone","base":1,"force":true}', mode: "no-cors" }],
            ["/", { method: "GET" }],
            ["/front.js", { method: "GET", mode: "no-cors" }],
          ]) {
            try {
              const answer = await fetch(origin + way, options);
              tried.push(answer.type === "opaque" ? "opaque" : `${answer.status} ${(await answer.text()).slice(0, 40)}`);
            } catch {
              tried.push("refused");
            }
          }
          return tried;
        },
        [served.origin, served.token],
      );
      assert.deepEqual(got, Array(5).fill("refused"));
      assert.equal(fs.readFileSync(file, "utf8"), BUNGALOW);
    } finally {
      await context.close();
      site.close();
    }
  });
});

test("a page without its key says so and shows nothing of the sketch", async () => {
  await opened("keyless", BUNGALOW, {}, async ({ served }) => {
    const context = await shared.browser.newContext();
    try {
      const page = await context.newPage();
      await page.goto(`${served.origin}/`);
      await until("words about it", async () => /cannot be opened|start/i.test(await page.locator("#board").textContent()));
      assert.ok(!(await page.content()).includes("Alder Row"));
    } finally {
      await context.close();
    }
  });
});

test("3000 seams: opens, is picked and changed", async (t) => {
  const { house } = await import("./lib/sketches.mjs");
  const sketch = house(dir, { name: "large system", trunks: 8, branches: 56 });
  await opened("large", fs.readFileSync(sketch, "utf8"), {}, async ({ page }) => {
    const seams = await page.evaluate(() => ds.doc.view.seams.length);
    assert.ok(seams > 2700, `${seams} seams`);
    t.diagnostic(`${seams} seams`);
    await page.evaluate(() => ds.pick.set({ kind: "run", run: 40 }));
    await until("its form", async () => (await page.locator("#panel-piece").textContent()).length > 50);
    await changed(page, () => page.evaluate(() => ds.doc.change([{ do: "set", path: ["runs", 40, "size"], value: "7 in" }], "size")));
    assert.match(await textOf(page), /7 in/);
    await saved(page);
  });
});
