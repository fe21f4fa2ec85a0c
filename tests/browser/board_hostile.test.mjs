// Sketches that mean harm: markup, quotes, letters that run backwards, names without end. Nothing runs, nothing breaks, nothing leaves.
import assert from "node:assert/strict";
import fs from "node:fs";
import http from "node:http";
import path from "node:path";
import { after, test } from "node:test";

import { changed, looked, saved, serve, textOf, until, withBoard } from "./lib/board.mjs";
import { none, sharedBrowser } from "./lib/each.mjs";
import { model, scratch } from "./lib/program.mjs";

const shared = sharedBrowser();
const dir = scratch();
after(() => fs.rmSync(dir, { recursive: true }));
const BUNGALOW = fs.readFileSync(model("bungalow"), "utf8");

const MARKUP = `<img src=x onerror="window.hurt=1">`;
const NAMES = {
  markup: MARKUP,
  "a script": `</script><script>window.hurt=1</script>`,
  quotes: `a"b'c\`\${window.hurt=1}`,
  backwards: "\u202Edcba\u2066 \u05D0\u05D1",
  "selectors and paths": `x"] , * { } ../../etc/hosts __proto__`,
  "ten thousand letters": "m".repeat(10_000),
  "the names of objects": "__proto__",
};
const yaml = (name) => JSON.stringify(name);

/** Goes through all that the page shows: every tab, every run, step and seam. */
async function everything(page) {
  for (const name of ["runs", "piece", "readings", "answers", "faults", "text"]) await page.evaluate((to) => ds.side.show(to), name);
  await page.evaluate(() => ds.side.show("piece"));
  const picks = await page.evaluate(() => {
    const { view } = ds.doc;
    const all = [null, { kind: "unit" }];
    view.runs.forEach((run, at) => {
      all.push({ kind: "run", run: at });
      run.steps.forEach((_, step) => all.push({ kind: "step", run: at, step }));
    });
    for (const seam of view.seams) all.push({ kind: "seam", run: seam.run, step: seam.step, seam: seam.id });
    for (const pick of all) {
      ds.pick.set(pick, { again: true });
      for (const box of document.querySelectorAll("#panel-piece details")) box.open = true;
    }
    ds.pick.set(null);
    return all.length;
  });
  assert.ok(picks > 20, `${picks} picks`);
}

const hurt = (page) =>
  page.evaluate(() => ({
    ran: window.hurt ?? null,
    polluted: Object.keys(Object.prototype).length + Object.keys(Array.prototype).length,
    foreign: [...document.querySelectorAll("img, iframe, object, embed, video, script:not([src='/front.js']), [onerror], [onclick], [onload]")].map((one) => one.outerHTML.slice(0, 80)),
  }));

/** The bungalow with a name wherever there are names: most of them are faults there, which are shown with it. */
const everywhere = (name) =>
  BUNGALOW.replace("title: Alder Row bungalow (invented)", `title: ${yaml(`${name} t`)}`)
    .replace("{id: dining,", `{id: ${yaml(`${name} d`)},`)
    .replace("{id: west trunk,", `{id: ${yaml(name)},`)
    .replace(/from: west trunk (at [^,]+),/g, (_, at) => `from: ${yaml(`${name} ${at}`)},`)
    .replace("places:\n", `places:\n  ${yaml(name.slice(0, 900))}: outside\n`)
    .replace("2 ft, damper", yaml(`${name} 2 ft`))
    .replace("room: kitchen", `room: ${yaml(`${name} k`)}`)
    .replace("id: pre-test", `id: ${yaml(`${name} r`)}`)
    .replace("- {appliance: furnace,", `- {appliance: ${yaml(`${name} f`)},`);

/** The same only where any words may stand: a whole sketch, with answers. */
const allowed = (name) =>
  `${BUNGALOW.replace("title: Alder Row bungalow (invented)", `title: ${yaml(name)}`)
    .replace("room: kitchen", `room: ${yaml(name)}`)
    .replace("- {appliance: furnace,", `- {appliance: ${yaml(name)},`)
    .replace("note: registers taped", `note: ${yaml(name)} # registers taped`)
    .replace('note: "Invented house.', `note: ${yaml(name)} # "`)}
looks:
  - {seam: hall/tab collar, smoke: strong, by: ${yaml(name)}}
`;

for (const [words, name] of Object.entries(NAMES)) {
  for (const [where, text] of [["everywhere", everywhere(name)], ["where any words may stand", allowed(name.slice(0, 55))]]) {
    test(`${words}, ${where}`, async (t) => {
      const file = path.join(dir, `${words} ${where}.yaml`);
      fs.writeFileSync(file, text);
      await withBoard(shared.browser, file, {}, async ({ page }) => {
        await looked(page);
        const { stands, faults, more, title } = await page.evaluate(() => ({ stands: ds.doc.view.stands, faults: ds.doc.view.faults.map((fault) => [fault.title, fault.label, fault.hint].join(": ")), more: ds.doc.view.more_faults, title: ds.doc.view.title }));
        t.diagnostic(stands ? "stands" : `${faults.length + more} faults, such as ${faults[0]}`);
        if (where === "everywhere") {
          assert.ok(stands || faults.length > 0);
          if (!stands) none(faults.filter((fault) => fault.length > 500), "faults without end");
        } else {
          assert.ok(stands, faults[0]);
          assert.equal(title, name.slice(0, 55));
          await until("first answers", () => page.evaluate(() => ds.doc.answersFor !== null));
        }
        await everything(page);
        assert.deepEqual(await hurt(page), { ran: null, polluted: 0, foreign: [] });
        // The page still does its work.
        await changed(page, () => page.evaluate(() => ds.doc.change([{ do: "set", path: ["house", "height"], value: "9 ft" }], "height")));
        await saved(page);
        assert.equal(fs.readFileSync(file, "utf8"), await textOf(page));
        const wide = await page.evaluate(() => document.scrollingElement.scrollWidth - innerWidth);
        assert.ok(wide <= 1, `the page is ${wide} px wider than its window`);
      });
    });
  }
}

test("a file whose own name is markup", async () => {
  const file = path.join(dir, "<img src=x onerror=window.hurt=1>.yaml");
  fs.writeFileSync(file, BUNGALOW);
  await withBoard(shared.browser, file, {}, async ({ page }) => {
    await looked(page);
    await until("its name", async () => (await page.locator("#file").textContent()).startsWith("<img"));
    assert.deepEqual(await hurt(page), { ran: null, polluted: 0, foreign: [] });
  });
});

/** One request by hand. `{status, headers, body}`. */
const ask = (served, { way = "/", method = "GET", headers = {}, body }) =>
  new Promise((done, failed) => {
    const { port } = new URL(served.origin);
    const request = http.request({ host: "127.0.0.1", port, path: way, method, headers: { host: `127.0.0.1:${port}`, ...headers } }, (answer) => {
      let text = "";
      answer.setEncoding("utf8");
      answer.on("data", (part) => {
        text += part;
      });
      answer.on("end", () => done({ status: answer.statusCode, headers: answer.headers, body: text }));
    });
    request.on("error", failed);
    request.end(body);
  });

test("other names of this machine, other pages and other keys are turned away", async () => {
  const file = path.join(dir, "guarded.yaml");
  fs.writeFileSync(file, BUNGALOW);
  const served = await serve(file);
  try {
    const { port } = new URL(served.origin);
    const key = { "x-board-token": served.token };
    const open = { way: "/api/open", method: "POST", body: '{"tab":"a"}' };
    assert.equal((await ask(served, { ...open, headers: { ...key, "content-type": "application/json" } })).status, 200, "its own page is answered");
    const turned = [
      ["no key", { ...open }],
      ["a wrong key", { ...open, headers: { "x-board-token": `${served.token.slice(0, -1)}${served.token.endsWith("A") ? "B" : "A"}` } }],
      ["half a key", { ...open, headers: { "x-board-token": served.token.slice(0, 20) } }],
      ["another name", { ...open, headers: { ...key, host: "attacker.example" } }],
      ["another name with this port", { headers: { host: `attacker.example:${port}` } }],
      ["another port", { headers: { host: "127.0.0.1:1" } }],
      ["another page", { ...open, headers: { ...key, origin: "http://attacker.example" } }],
      ["another page of this machine", { ...open, headers: { ...key, origin: "http://127.0.0.1:1" } }],
      ["a page without a name", { ...open, headers: { ...key, origin: "null" } }],
      ["another site", { headers: { "sec-fetch-site": "cross-site" } }],
      ["the same site on another port", { headers: { "sec-fetch-site": "same-site" } }],
    ];
    const faults = [];
    for (const [words, request] of turned) {
      const { status, body } = await ask(served, request);
      if (status !== 403) faults.push(`${words}: ${status}`);
      if (body.includes("Alder Row") || body.includes(served.token)) faults.push(`${words}: told something`);
    }
    none(faults, "turned away");
    for (const way of ["/", "/front.js", "/front.css", "/api/open", "/nothing"]) {
      const { headers } = await ask(served, { way });
      const rule = headers["content-security-policy"] ?? "";
      for (const part of ["default-src 'none'", "script-src 'self'", "connect-src 'self'", "frame-ancestors 'none'", "base-uri 'none'", "form-action 'none'"]) assert.ok(rule.includes(part), `${way}: ${part} is not in "${rule}"`);
      assert.ok(!/unsafe|\*/.test(rule), rule);
      assert.equal(headers["x-content-type-options"], "nosniff", way);
      assert.equal(headers["cache-control"], "no-store", way);
      assert.equal(headers["set-cookie"], undefined, way);
      assert.equal(headers["access-control-allow-origin"], undefined, way);
    }
    assert.equal(fs.readFileSync(file, "utf8"), BUNGALOW);
  } finally {
    await served.stop();
  }
});

test("the key is in no address once the page is open", async () => {
  const file = path.join(dir, "key.yaml");
  fs.writeFileSync(file, BUNGALOW);
  await withBoard(shared.browser, file, {}, async ({ page, served }) => {
    const seen = [];
    page.on("request", (request) => seen.push(request.url()));
    await looked(page);
    assert.ok(!page.url().includes(served.token));
    await page.reload();
    await looked(page);
    assert.ok(!page.url().includes(served.token));
    assert.ok(seen.length > 3);
    none(seen.filter((url) => url.includes(served.token)), "addresses with the key");
    assert.equal((await page.context().cookies()).length, 0);
  });
});
