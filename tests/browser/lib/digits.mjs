// Answers as they travel, letter by letter: what a page was told against what the command writes.
import assert from "node:assert/strict";

import { run } from "./program.mjs";

/** JSON without the spaces and line ends that stand outside of its texts. */
export const squeezed = (json) => json.replace(/("(?:[^"\\]|\\.)*")|\s+/g, "$1");

/** The allocation of a sketch as the command writes it. */
export function commanded(file, draws = 2000, seed = 1) {
  return run(["allocate", file, "--format", "json", "--draws", String(draws), "--seed", String(seed)], { doubtful: true });
}

/**
 * Demands that a reply, as its bytes came, holds the allocation that the command writes of a file: every number with the same digits.
 * @returns how many numbers were compared
 */
export function sameDigits(reply, file) {
  const command = squeezed(commanded(file));
  const told = squeezed(reply);
  const head = '"allocation":';
  const from = told.indexOf(head) + head.length;
  const held = told.slice(from, from + command.length);
  if (held !== command) {
    const at = [...command].findIndex((letter, i) => letter !== held[i]);
    assert.fail(`letter ${at}: the command …${command.slice(Math.max(0, at - 120), at + 40)}…, the page …${held.slice(Math.max(0, at - 120), at + 40)}…`);
  }
  assert.deepEqual(JSON.parse(reply).allocation, JSON.parse(command));
  return command.replace(/"(?:[^"\\]|\\.)*"/g, '""').match(/-?\d+(?:\.\d+)?(?:[eE][-+]?\d+)?/g).length;
}
