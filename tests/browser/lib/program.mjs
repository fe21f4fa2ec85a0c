// The built program as a black box: where it stands, its sketches, the reports it writes.
import { execFileSync } from "node:child_process";
import { createHash } from "node:crypto";
import fs from "node:fs";
import path from "node:path";
import { fileURLToPath } from "node:url";

const ROOT = path.resolve(path.dirname(fileURLToPath(import.meta.url)), "../../..");

/** Path of the program: `DUCTSEAM`, else the release build. Throws if there is none. */
export function program() {
  const file = path.resolve(ROOT, process.env.DUCTSEAM || "target/release/ductseam");
  if (!fs.existsSync(file)) {
    throw new Error(`no program at ${file}: build it with \`cargo build --release\`, or name another in DUCTSEAM`);
  }
  return file;
}

/** Every model of the repository, in order of name. */
export function models() {
  const dir = path.join(ROOT, "models");
  const names = fs.readdirSync(dir).filter((name) => name.endsWith(".yaml")).sort();
  if (names.length === 0) throw new Error("no models found");
  return names.map((name) => path.join(dir, name));
}

/** One model by its name without ending. */
export function model(name) {
  return path.join(ROOT, "models", `${name}.yaml`);
}

/** Name of a sketch without folder and ending. */
export function nameOf(sketch) {
  return path.basename(sketch, ".yaml");
}

/**
 * Runs the program and returns its answer. Exit 0 is demanded, unless `ask.doubtful` lets exit 1 pass: answered, but
 * doubtful. `ask.env` is laid over the environment.
 */
export function run(args, { env = {}, doubtful = false } = {}) {
  const options = { encoding: "utf8", maxBuffer: 1 << 30, env: { ...process.env, ...env }, stdio: ["ignore", "pipe", "pipe"] };
  try {
    return execFileSync(program(), args, options);
  } catch (error) {
    if (doubtful && error.status === 1) return error.stdout;
    throw new Error(`\`ductseam ${args.join(" ")}\` failed with exit ${error.status ?? "none"}:\n${error.stderr ?? error.message}`);
  }
}

/** A folder for files of these tests, made if it is not there. */
export function folder(name) {
  const dir = path.join(ROOT, "target/tmp/browser", name);
  fs.mkdirSync(dir, { recursive: true });
  return dir;
}

/** A new empty folder for files of this process. */
export function scratch() {
  return fs.mkdtempSync(path.join(folder("scratch"), "of-"));
}

/** What the program is, for names of what it wrote: its content. */
let origin;
function programHash() {
  origin ??= createHash("sha256").update(fs.readFileSync(program())).digest("hex");
  return origin;
}

/**
 * What the program answers to a sketch, written once for all test files: kept under a name that holds the content of all
 * that it comes from.
 * @param kind word of the command
 * @param options of the command, exit 1 let pass as `run` does
 * @returns path of the answer
 */
function answer(kind, sketch, ending, { options = [], doubtful = false }) {
  const hash = createHash("sha256").update(programHash());
  for (const source of [fs.readFileSync(sketch), path.basename(sketch), ...options]) hash.update("\0").update(source);
  const file = path.join(folder("pages"), `${kind}-${nameOf(sketch)}-${hash.digest("hex").slice(0, 16)}${ending}`);
  if (!fs.existsSync(file)) {
    // Written whole or not at all, though two test files may want it at once; the ending stays, the program looks at it.
    const half = path.join(path.dirname(file), `${process.pid}-${path.basename(file)}`);
    run([kind, sketch, ...options, "-o", half], { doubtful });
    fs.renameSync(half, file);
  }
  return file;
}

/** Path of the report of a sketch. */
export function report(sketch, { ask = [], doubtful = false } = {}) {
  return answer("report", sketch, ".html", { options: ask, doubtful });
}

/** The allocation of a sketch, as the program tells it to other programs. */
export function allocation(sketch, { ask = [], doubtful = false } = {}) {
  return JSON.parse(fs.readFileSync(answer("allocate", sketch, ".json", { options: ["--format", "json", ...ask], doubtful }), "utf8"));
}

/** Hours of the plan that a report shows if it is asked for nothing else. */
export const DAY = "8 h";

/** The plan of a sketch, likewise, as its report shows it. */
export function plan(sketch, { ask = [], doubtful = false } = {}) {
  const time = ask.includes("--time") ? [] : ["--time", DAY];
  return JSON.parse(fs.readFileSync(answer("plan", sketch, ".json", { options: ["--format", "json", ...time, ...ask], doubtful }), "utf8"));
}

/** What was proved of a sealed sketch, likewise. */
export function proof(sketch) {
  return JSON.parse(fs.readFileSync(answer("prove", sketch, ".json", { options: ["--format", "json"] }), "utf8"));
}
