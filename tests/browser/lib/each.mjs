// Test scaffolding: one browser a file, tests over models, a list of faults that must be empty.
import assert from "node:assert/strict";
import { after, before } from "node:test";

import { launch } from "./browser.mjs";

/** A browser for all tests of a file, started before and ended after them. */
export function sharedBrowser() {
  const shared = {};
  before(async () => {
    shared.browser = await launch();
  });
  after(async () => {
    await shared.browser?.close();
  });
  return shared;
}

/** Demands that nothing is wrong; tells at most 12 faults. */
export function none(faults, where) {
  if (faults.length) assert.fail(`${where}: ${faults.length} faults\n  ${faults.slice(0, 12).join("\n  ")}`);
}

/** Demands that something is found wrong, and that it is what was broken. */
export function some(faults, words) {
  assert.ok(faults.some((fault) => words.test(fault)), `the check found nothing like ${words}, only: ${faults.slice(0, 5).join("; ") || "nothing"}`);
}
