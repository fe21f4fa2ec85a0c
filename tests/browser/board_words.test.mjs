// Lengths, headings and smaller sections as the drawing board writes them. No browser: the pure files are loaded as they are.
import assert from "node:assert/strict";
import fs from "node:fs";
import { test } from "node:test";
import vm from "node:vm";

/** The front end's files of these names, in this order, with a document of these units. */
function load(units, ...names) {
  const ds = { doc: { view: { units, runs: [], pieces: [] } } };
  const context = vm.createContext({ ds });
  for (const name of names) {
    const file = new URL(`../../src/page/front/${name}.js`, import.meta.url);
    vm.runInContext(fs.readFileSync(file, "utf8"), context, { filename: name });
  }
  return ds;
}

/** A copy made of this realm's own objects, to be compared with `deepEqual`. */
const own = (value) => JSON.parse(JSON.stringify(value));

test("lengths are written as the sketch reads them", () => {
  const { snap } = load("ip", "snap");
  const cases = [[3.048, "10 ft"], [3.2004, "10 ft 6 in"], [0.1524, "6 in"], [0.3048, "1 ft"], [3.2131, "10 ft 6.5 in"], [0.0254 * 11.99, "1 ft"]];
  for (const [m, words] of cases) assert.equal(snap.say(m, false), words);
  for (const [m, words] of [[3.2, "3.2 m"], [0.25, "0.25 m"], [12, "12 m"]]) assert.equal(snap.say(m, true), words);
});

test("what is typed is read, or refused", () => {
  const { snap } = load("ip", "snap");
  const read = (text, si) => own(snap.read(text, si));
  const near = (text, si, m, words) => {
    const found = read(text, si);
    assert.ok(found, text);
    assert.ok(Math.abs(found.m - m) < 1e-9, `${text}: ${found.m} m`);
    assert.equal(found.text, words);
  };
  near("10", false, 3.048, "10 ft");
  near("10 6", false, 3.2004, "10 ft 6 in");
  near(" 10 ft 6 in ", false, 3.2004, "10 ft 6 in");
  near("10'6\"", false, 3.2004, "10 ft 6 in");
  near("6 in", false, 0.1524, "6 in");
  near("3.2 m", false, 3.2, "3.2 m");
  near("10", true, 10, "10 m");
  near("3,2", true, 3.2, "3.2 m");
  near("320 cm", true, 3.2, "320 cm");
  for (const text of ["", "abc", "10 13", "-3", "1e3", "10 ft 6 in 2", "5000 m", "NaN", "Infinity"]) assert.equal(read(text, false), null, text);
  assert.equal(read("10 6", true), null);
});

test("what is written is read back", () => {
  const { snap } = load("ip", "snap");
  for (let k = 1; k < 2000; k += 7) {
    const inches = k / 4;
    const m = inches * 0.0254;
    assert.ok(Math.abs(snap.read(snap.say(m, false), false).m - m) < 1e-9, snap.say(m, false));
    const si = k / 1000;
    assert.ok(Math.abs(snap.read(snap.say(si, true), true).m - si) < 1e-9, snap.say(si, true));
  }
});

test("an elbow turns from one heading to the other", () => {
  const { snap } = load("ip", "snap");
  const [north, east, south, up] = [[0, 1, 0], [1, 0, 0], [0, -1, 0], [0, 0, 1]];
  assert.equal(snap.turn(north, north), null);
  assert.deepEqual(own(snap.turn(north, east)), { heading: "east", degrees: null });
  assert.deepEqual(own(snap.turn(north, snap.turned(north, 45))), { heading: "left", degrees: "45" });
  assert.deepEqual(own(snap.turn(snap.turned(north, 45), snap.turned(north, -45))), { heading: "right", degrees: null });
  assert.equal(snap.turn(north, south), false);
  assert.deepEqual(own(snap.turn(up, east)), { heading: "east", degrees: null });
  assert.deepEqual(own(snap.turn(north, up)), { heading: "up", degrees: null });
  // Every heading offered can be reached with one elbow at most.
  for (let k = 0; k < 8; k += 1) {
    const from = snap.turned(north, 45 * k);
    for (const to of snap.headingsFrom(from)) assert.notEqual(snap.turn(from, to), false);
  }
});

test("steps of lengths get finer, never coarser, as one looks nearer", () => {
  const { snap } = load("ip", "snap");
  for (const si of [false, true]) {
    let last = Infinity;
    for (let scale = 5; scale < 1500; scale += 5) {
      const step = snap.lengthStep(scale, si);
      assert.ok(step <= last && step > 0);
      last = step;
    }
  }
});

test("steps without parts are known by their words", () => {
  const { scene } = load("ip", "snap", "scene");
  const cases = { "{step: boot 10x4 in, work: mastic}": "boot", "return box 20x12 in": "return box", "east 11 ft": "straight", "9 ft in wall": "straight", cap: "cap", "spin-in collar": "takeoff",
    "mitre elbow with vanes left": "elbow", "reducer to 10x8 in": "reducer", "{work: mastic, step: tab collar}": "takeoff", "grille 14x8 in": "return box", nonsense: null };
  for (const [text, kind] of Object.entries(cases)) assert.equal(scene.kindOf({ text, parts: null }), kind, text);
});

test("a point of a run is found again by its distance", () => {
  const { scene } = load("ip", "snap", "scene");
  const step = (start, end) => ({ text: "x", parts: { kind: "straight" }, start, end });
  const run = { id: "a", start: [0, 0, 0], end: [4, 3, 0], steps: [step([0, 0, 0], [4, 0, 0]), step([4, 0, 0], [4, 3, 0])] };
  const made = scene.make({ runs: [run], pieces: [], seams: [], faults: [] });
  const spot = scene.project(made.runs[0], [4.5, 2, 0]);
  assert.equal(spot.along, 6);
  assert.deepEqual(own(scene.pointAt(made.runs[0], 6).at), [4, 2, 0]);
  assert.equal(made.runs[0].length, 7);
});
