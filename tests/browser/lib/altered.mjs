// Sketches that are a model with one thing altered: what stops the work, what nobody read, what does not settle.
import fs from "node:fs";
import path from "node:path";

import { folder, model } from "./program.mjs";

/** A sketch's text without a whole top-level part, such as `readings`. Throws if it has none. */
export function without(text, part) {
  const lines = text.split("\n");
  const start = lines.findIndex((line) => line.startsWith(`${part}:`));
  if (start < 0) throw new Error(`nothing to alter: no \`${part}:\``);
  let end = start + 1;
  while (end < lines.length && !/^[a-z]/.test(lines[end])) end += 1;
  return [...lines.slice(0, start), ...lines.slice(end)].join("\n");
}

/** A sketch's text with `from` put as `to`. Throws if `from` is not in it. */
export function put(text, from, to) {
  if (!text.includes(from)) throw new Error(`nothing to alter: no \`${from}\``);
  return text.replace(from, to);
}

const suspected = (text) => put(text, "suspect tape: none seen", "suspect tape: suspected");

/** Altered copies by name: the model it comes from, what is altered, and what the report is asked with. */
const COPIES = {
  "tape suspected": { from: "two-storey", alter: suspected },
  // No size of the house, so the pressure that draft appliances stand in cannot be known.
  "halted for draft": { from: "bungalow", alter: (text) => put(text, "house: {floor area: 1500 ft2, height: 8 ft, elevation: 820 ft}", "house: {elevation: 820 ft}") },
  "nothing read": { from: "bungalow", alter: (text) => without(text, "readings") },
  "looks only": { from: "two-storey", alter: (text) => without(text, "readings") },
  "no airflow": { from: "slab-attic", alter: (text) => put(text, "  airflow: 1200 cfm by nameplate\n", "") },
  "metric": { from: "slab-attic", alter: (text) => text, ask: ["--units", "si"] },
  "two minutes": { from: "slab-attic", alter: (text) => text, ask: ["--time", "2 min"] },
  "loose, twenty minutes": { from: "loose-takeoff", alter: (text) => text, ask: ["--time", "20 min"] },
  // Two readings of one thing that cannot both be.
  "contradictory": {
    from: "slab-attic",
    alter: (text) => put(text, "  - id: outside\n    to outside: 74 cfm at 25 Pa ± 3 %", "  - id: outside\n    to outside: 640 cfm at 25 Pa ± 1 %"),
  },
  "stopped and unread": { from: "loose-takeoff", alter: (text) => without(without(suspected(text), "readings"), "looks") },
  // Every caution that a sketch can call for at once, suspected tape among them.
  "everything at once": { from: "loose-takeoff", alter: (text) => suspected(text).replace("draft: sealed", "draft: natural") },
};

/** The altered copy of a name: `{sketch, ask}`, `ask` what the report is asked with. */
export function altered(name) {
  const { from, alter, ask = [] } = COPIES[name];
  const sketch = path.join(folder("altered"), `${name.replace(/\W+/g, "-")}.yaml`);
  const text = alter(fs.readFileSync(model(from), "utf8"));
  const half = `${sketch}.${process.pid}`;
  fs.writeFileSync(half, text);
  fs.renameSync(half, sketch);
  return { sketch, ask };
}

/** Names of the altered copies. */
export const ALTERED = Object.keys(COPIES);
