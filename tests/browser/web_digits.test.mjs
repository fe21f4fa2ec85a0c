// The library in a page answers with the same bytes as the program on this machine.
import assert from "node:assert/strict";
import fs from "node:fs";
import { test } from "node:test";

import { model, models, nameOf, run } from "./lib/program.mjs";
import { board, compile, leftOut } from "./lib/web.mjs";

const skip = leftOut();
const module = skip ? null : compile();

/** Asks both and compares; `seed` and `draws` of an allocation. */
function same(sketch, what, { draws, seed } = {}) {
  const options = what === "allocate" ? ["--draws", String(draws), "--seed", String(seed)] : [];
  const native = run([what, sketch, "--format", "json", ...options], { doubtful: true });
  const reply = board(module)({ ask: "print", text: fs.readFileSync(sketch, "utf8"), what, draws, seed });
  assert.ok(reply.ok, JSON.stringify(reply.refused));
  if (reply.bytes === native) return native;
  const at = [...native].findIndex((letter, i) => letter !== reply.bytes[i]);
  assert.fail(`byte ${at}: the program …${native.slice(Math.max(0, at - 120), at + 40)}…, the library …${reply.bytes.slice(Math.max(0, at - 120), at + 40)}…`);
}

test("the library asks for nothing from outside", { skip }, () => {
  assert.deepEqual(WebAssembly.Module.imports(module), []);
});

for (const sketch of models()) {
  test(`${nameOf(sketch)}: check`, { skip }, () => {
    assert.ok(same(sketch, "check").length > 500);
  });
  for (const seed of [1, 20_260]) {
    test(`${nameOf(sketch)}: allocate, 500 draws, seed ${seed}`, { skip }, () => {
      assert.ok(same(sketch, "allocate", { draws: 500, seed }).length > 500);
    });
  }
}

test("bungalow: allocate, 2000 draws", { skip }, () => {
  const one = same(model("bungalow"), "allocate", { draws: 2000, seed: 1 });
  const other = same(model("bungalow"), "allocate", { draws: 2000, seed: 2 });
  assert.notEqual(one, other, "the seed does nothing");
});

test("one instance answers again and again the same", { skip }, () => {
  const ask = board(module);
  const text = fs.readFileSync(model("bungalow"), "utf8");
  const request = { ask: "print", text, what: "allocate", draws: 500, seed: 1 };
  const first = ask(request);
  assert.equal(ask({ ask: "print", text: "no sketch", what: "check" }).ok, false);
  assert.deepEqual(ask(request), first);
});
