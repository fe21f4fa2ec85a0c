// The library as WebAssembly, called as a page calls it.
import fs from "node:fs";
import path from "node:path";
import { fileURLToPath } from "node:url";

const ROOT = path.resolve(path.dirname(fileURLToPath(import.meta.url)), "../../..");

/** Where the library for the web stands: `DUCTSEAM_WASM`, else where `.ci/one-file` builds it. */
export const LIBRARY = path.resolve(ROOT, process.env.DUCTSEAM_WASM || "target/web/wasm32-unknown-unknown/web/ductseam-web.wasm");

/** Why the tests of the library for the web are left out: `false`, unless it is not there and `DUCTSEAM_WEB=skip` says so. */
export function leftOut() {
  if (fs.existsSync(LIBRARY) || process.env.DUCTSEAM_WEB !== "skip") return false;
  return `no library for the web at ${LIBRARY}, and DUCTSEAM_WEB=skip lets that pass`;
}

/** Where the board as one file stands: `DUCTSEAM_ONE_FILE`, else where `.ci/one-file` writes it. */
const ONE_FILE = path.resolve(ROOT, process.env.DUCTSEAM_ONE_FILE || "target/web/ductseam.html");

/** Why the tests of the board as one file are left out: `false`, unless it is not there and `DUCTSEAM_WEB=skip` says so. */
export function noOneFile() {
  if (fs.existsSync(ONE_FILE) || process.env.DUCTSEAM_WEB !== "skip") return false;
  return `no board as one file at ${ONE_FILE}, and DUCTSEAM_WEB=skip lets that pass`;
}

/** The board as one file; throws if it is not there. */
export function oneFile() {
  if (!fs.existsSync(ONE_FILE)) {
    throw new Error(`no board as one file at ${ONE_FILE}: build it with \`.ci/one-file\`, name another in DUCTSEAM_ONE_FILE, or leave these tests out with DUCTSEAM_WEB=skip`);
  }
  return ONE_FILE;
}

/** Compiles the library; throws if it is not there. */
export function compile() {
  if (!fs.existsSync(LIBRARY)) {
    throw new Error(`no library for the web at ${LIBRARY}: build it with \`.ci/one-file\`, name another in DUCTSEAM_WASM, or leave these tests out with DUCTSEAM_WEB=skip`);
  }
  return new WebAssembly.Module(fs.readFileSync(LIBRARY));
}

/** A new instance, which is given nothing, and the one door of the board in it. */
export function board(module) {
  const { exports } = new WebAssembly.Instance(module, {});
  const text = (at, length) => new TextDecoder("utf-8", { fatal: true }).decode(new Uint8Array(exports.memory.buffer, at >>> 0, length >>> 0));
  return (request) => {
    const bytes = new TextEncoder().encode(JSON.stringify(request));
    const at = exports.board_reserve(bytes.length) >>> 0;
    new Uint8Array(exports.memory.buffer, at, bytes.length).set(bytes);
    let length;
    try {
      length = exports.board_call(bytes.length);
    } catch (error) {
      throw new Error(`the library ended: ${text(exports.board_last_words(), exports.board_last_words_length()) || error}`);
    }
    return JSON.parse(text(exports.board_reply(), length));
  };
}
