// The parts of the drawing board's page that need no browser: figures as the command line shows them, lines that differ.
import assert from "node:assert/strict";
import fs from "node:fs";
import { test } from "node:test";
import vm from "node:vm";

const front = new URL("../../src/page/front/", import.meta.url);

/** The named files of the front end as the page joins them, with a sketch in the given units. */
function parts(units, ...names) {
  const text = names.map((name) => fs.readFileSync(new URL(`${name}.js`, front), "utf8")).join("\n");
  return vm.runInNewContext(`'use strict';\nvar ds = {};\n${text}\nds.doc = { view: { units: ${JSON.stringify(units)} } };\nds`, {});
}

test("figures have the digits of the command line", () => {
  const { numbers } = parts("ip", "numbers");
  // Rust's `{:.n}`: exact value, ties to even.
  for (const [value, decimals, shown] of [[0.5, 0, "0"], [1.5, 0, "2"], [2.5, 0, "2"], [-0.5, 0, "0"], [0.125, 2, "0.12"], [0.375, 2, "0.38"], [0.25, 1, "0.2"], [0.15, 1, "0.1"], [-0.04, 1, "0.0"], [NaN, 1, "n/a"]]) {
    assert.equal(numbers.number(value, decimals), shown, `${value} with ${decimals}`);
  }
  for (const [value, shown] of [[99.95, "100"], [99.94, "99.9"], [0.995, "1.0"], [0.994, "0.99"], [0, "0.00"]]) assert.equal(numbers.threeDigits(value), shown, `${value}`);
  for (const [value, digits, shown] of [[9.996, 3, "10"], [1680, 2, "1680"], [0.012345, 3, "0.0123"], [24, 3, "24"], [0, 2, "0"]]) assert.equal(numbers.significant(value, digits), shown);
  // 1 ft3/min is 0.3048^3/60 m3/s: 0.0471947 m3/s are 100 cfm.
  assert.equal(numbers.withUnit(0.04719474432), "100 cfm");
  assert.equal(numbers.leak(-0.01), "0.00");
  assert.equal(numbers.ofReading(-34.26, "Pa", "plenum-static"), "-34.3");
  for (const [part, shown] of [[0, "0 %"], [0.0003, "<0.1 %"], [0.004, "0.4 %"], [0.012, "1 %"], [0.999, ">99 %"], [1, "100 %"]]) assert.equal(numbers.chance(part), shown);
  for (const [part, shown] of [[0.066, "6.6 %"], [0.0995, "10 %"], [0.0994, "9.9 %"]]) assert.equal(numbers.percent(part), shown);
  assert.equal(parts("si", "numbers").numbers.withUnit(0.0265), "26.5 L/s");
  for (const [minutes, shown] of [[177.9, "2 h 58 min"], [60, "1 h"], [59.6, "1 h"], [5, "5 min"]]) assert.equal(numbers.minutes(minutes), shown);
});

test("both texts can be made again from the lines that differ", () => {
  const { diff } = parts("ip", "diff");
  const lines = ["a", "b", "c", "b", "d", "", "e"];
  let seed = 7;
  const next = (most) => {
    seed = (seed * 48271) % 2147483647;
    return seed % most;
  };
  for (let round = 0; round < 300; round += 1) {
    const some = () => Array.from({ length: next(9) }, () => lines[next(lines.length)]).join("\n");
    const [first, second] = [some(), some()];
    const found = diff.lines(first, second);
    assert.equal(found.filter(({ mark }) => mark !== "+").map(({ line }) => line).join("\n"), first);
    assert.equal(found.filter(({ mark }) => mark !== "-").map(({ line }) => line).join("\n"), second);
    if (first === second) assert.ok(found.every(({ mark }) => mark === " "));
  }
  assert.deepEqual([...diff.lines("a\nb\nc", "a\nx\nc")].map(({ mark, line }) => mark + line), [" a", "-b", "+x", " c"]);
});

test("a change that waits in line is dropped where the list moved under it", () => {
  const { places } = parts("ip", "places");
  const view = (...runs) => ({ sketch: { runs, readings: [{ id: "total" }, { id: "supply" }] } });
  const hall = { id: "hall", walk: ["tab collar", "4 ft"] };
  const bath = { id: "bath", walk: ["tab collar", "6 ft"] };
  const before = view(hall, bath);
  const holds = (change, after) => places.stand(after, places.of(before, [change]));
  // The same run in the same place, something else of it written meanwhile.
  assert.ok(holds({ do: "set", path: ["runs", 1, "size"], value: "6 in" }, view(hall, { ...bath, size: "5 in" })));
  assert.ok(!holds({ do: "set", path: ["runs", 1, "size"], value: "6 in" }, view(bath)));
  assert.ok(!holds({ do: "set", path: ["runs", 0, "size"], value: "6 in" }, view(bath)));
  // What is taken away must be as it was.
  assert.ok(holds({ do: "remove_run", run: 1 }, view(hall, bath)));
  assert.ok(!holds({ do: "remove_run", run: 0 }, view(bath)));
  assert.ok(!holds({ do: "remove", path: ["runs", 0, "walk", 1] }, view({ id: "hall", walk: ["tab collar"] }, bath)));
  assert.ok(!holds({ do: "remove", path: ["runs", 1] }, view(hall, { ...bath, room: "bath" })));
  // Steps have no names: a walk of another length is another walk.
  assert.ok(!holds({ do: "set_step", path: ["runs", 0, "walk", 1], parts: {} }, view({ id: "hall", walk: ["tab collar", "2 ft", "2 ft"] }, bath)));
  // What is put in at an end hangs on no number.
  assert.ok(holds({ do: "insert", path: ["runs"], at: null, value: {} }, view(bath)));
  assert.ok(holds({ do: "set", path: ["title"], value: "x" }, { sketch: null }));
});
