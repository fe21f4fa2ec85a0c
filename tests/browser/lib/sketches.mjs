// Made-up houses of a wanted size, written as sketches. All figures are invented.
import fs from "node:fs";
import path from "node:path";

import { run } from "./program.mjs";

/**
 * A house whose trunks each feed `branches` branches.
 * @param dir folder to write into
 * @param wanted.name name of the file
 * @param wanted.trunks supply trunks, 8 at most, each in a direction and at a height of its own
 * @param wanted.branches branches of a trunk
 * @returns path of the sketch, which the program has checked
 */
export function house(dir, { name, trunks, branches }) {
  const lines = [
    "ductseam: 1",
    `title: ${name} (invented)`,
    "units: ip",
    `house: {floor area: ${Math.max(1500, trunks * branches * 120)} ft2, height: 8 ft}`,
    "suspect tape: none seen",
    "places:",
    "  attic: outside",
    "  soffit: inside",
    "air handler:",
    "  place: attic",
    `  airflow: ${Math.max(1200, trunks * branches * 60)} cfm by nameplate`,
    "  coil: after blower",
    "  filter: grille",
    "  reach: open",
    "  supply plenum: {size: 30x30 in, length: 4 ft, material: rectangular, work: ordinary}",
    "  return plenum: {size: 30x30 in, length: 4 ft, material: rectangular, work: ordinary}",
    "usual:",
    "  all: {place: attic, reach: open, work: ordinary}",
    "  flex: {reach: under insulation}",
    "runs:",
  ];
  const ways = ["east", "north", "west", "south"];
  for (let t = 0; t < trunks; t += 1) {
    const length = branches * 4 + 4;
    const climb = t < 4 ? "" : "up 6 ft, adjustable elbow ";
    lines.push(`  - {id: T${t}, side: supply, from: supply plenum, size: 16 in, walk: [tab collar, ${climb}${ways[t % 4]}${climb ? ", " : " "}${length} ft, cap]}`);
    for (let b = 0; b < branches; b += 1) {
      const turn = b % 2 ? "left" : "right";
      const end = b % 3 ? "boot 10x4 in" : "boot 10x4 in in soffit";
      lines.push(`  - {id: room ${t}-${b}, from: T${t} at ${2 + b * 4} ft ${turn}, size: 6 in, material: flex, room: room ${t}-${b}, design flow: 60 cfm, walk: [tab collar, 12 ft, ${end}]}`);
    }
  }
  lines.push("  - {id: hall return, side: return, from: return plenum, size: 18 in, material: flex, room: hall, walk: [tab collar, down 8 ft, return box 30x20 in in soffit]}");
  lines.push("readings:");
  lines.push(`  - {id: total, total: ${100 + trunks * branches * 6} cfm at 25 Pa ± 4 %}`);
  const file = path.join(dir, `${name}.yaml`);
  fs.writeFileSync(file, `${lines.join("\n")}\n`);
  run(["check", file]);
  return file;
}
