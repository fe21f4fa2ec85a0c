// The report on paper: printed to PDF, and the PDF read back.
import { luminance } from "./access.mjs";
import { settled } from "./browser.mjs";

// The reader of PDF looks for these of a browser and warns without; they serve painting, which is not asked for here.
globalThis.DOMMatrix ??= class {};
globalThis.Path2D ??= class {};
const { getDocument, OPS, VerbosityLevel } = await import("pdfjs-dist/legacy/build/pdf.mjs");

/** Paper sizes, PDF points (1/72 in), portrait. ISO 216 and the inch sizes of ANSI/ASME Y14.1. */
export const PAPER = { A4: [595.28, 841.89], Letter: [612, 792] };

/** Prints the open page as `as` (`all`, `owner`, `crew`) on `paper` and reads it back: of every page size, text, strokes. */
export async function print(page, as, paper) {
  await page.selectOption("#print-as", as);
  await settled(page);
  const bytes = await page.pdf({ format: paper, preferCSSPageSize: true, printBackground: false });
  const document = await getDocument({ data: new Uint8Array(bytes), verbosity: VerbosityLevel.ERRORS }).promise;
  const pages = [];
  for (let number = 1; number <= document.numPages; number += 1) {
    const sheet = await document.getPage(number);
    const { items } = await sheet.getTextContent();
    const operators = await sheet.getOperatorList();
    const pale = paleWords(operators);
    const paints = operators.fnArray.filter((name) => [OPS.constructPath, OPS.paintImageXObject, OPS.showText].includes(name)).length;
    const [left, bottom, right, top] = sheet.view;
    pages.push({
      width: right - left,
      height: top - bottom,
      text: items.map((item) => item.str).join(" "),
      // Lowest baseline above the bottom edge: how far the page is filled.
      lowest: Math.min(top - bottom, ...items.filter((item) => item.str.trim()).map((item) => item.transform[5])),
      paints,
      pale,
    });
  }
  await document.destroy();
  return pages;
}

/**
 * Words painted in a colour nearer to white than to black, of four letters or more: a number in a dark disc is none. Words
 * painted dark as well stand on a pale rim of themselves and are none either.
 */
function paleWords(operators) {
  let ink = 0;
  const kept = [];
  const runs = [];
  operators.fnArray.forEach((name, at) => {
    const values = operators.argsArray[at];
    if (name === OPS.save) kept.push(ink);
    if (name === OPS.restore) ink = kept.pop() ?? 0;
    if (name === OPS.setFillRGBColor) ink = inkOf(values);
    if (name === OPS.setFillGray) [ink] = values;
    if (name === OPS.beginText) runs.push({ words: "", pale: ink > 0.5 });
    if (name === OPS.showText && runs.length) {
      if (runs.at(-1).pale !== ink > 0.5) runs.push({ words: "", pale: ink > 0.5 });
      runs.at(-1).words += values[0].map((glyph) => glyph.unicode ?? "").join("");
    }
  });
  const dark = runs.filter((run) => !run.pale).map((run) => run.words).join("");
  return runs.filter((run) => run.pale && run.words.trim().length > 3 && !dark.includes(run.words)).map((run) => run.words);
}

function inkOf(values) {
  const [r, g, b] = typeof values[0] === "string" ? [1, 3, 5].map((k) => parseInt(values[0].slice(k, k + 2), 16)) : values;
  return luminance(`rgb(${r},${g},${b})`);
}

/** Faults of printed sheets: paper of another size, a blank page. */
export function sheetFaults(pages, paper) {
  const faults = [];
  const [short, long] = PAPER[paper];
  pages.forEach((page, at) => {
    const sides = [page.width, page.height].sort((a, b) => a - b);
    if (Math.abs(sides[0] - short) > 1.5 || Math.abs(sides[1] - long) > 1.5) {
      faults.push(`page ${at + 1} of ${pages.length} is ${page.width.toFixed(0)} x ${page.height.toFixed(0)} pt, not ${paper}`);
    }
    if (page.pale.length) faults.push(`page ${at + 1} of ${pages.length}: ${page.pale.length} words too pale for paper, first "${page.pale[0]}"`);
    if (page.text.replace(/\s+/g, "").length < 20) faults.push(`page ${at + 1} of ${pages.length} is blank (${page.paints} strokes)`);
  });
  return faults;
}

/** What of a row of the table of seams must be printed: its words, in one piece (a name alone stands elsewhere too). */
export function printed(row) {
  return row.cells.slice(0, 3).join(" ");
}

/** Letters alone: spaces, line breaks and the back quotes round a file's own words do not count. */
export function bare(value) {
  return value.normalize("NFKC").replace(/[\s\u00ad\u200b`]+/g, "").toLowerCase();
}

/**
 * Parts of cautions that paper must say word for word. What speaks of the sketch or of its words is for whoever writes
 * one, and is put otherwise for a reader of paper. Throws if that leaves nothing of a caution.
 */
export function cautionParts(cautions) {
  return cautions.flatMap(({ code, text }) => {
    const parts = text.split(/(?<=[.;])\s+|, say so under `[^`]+`, (?:and )?/).filter((part) => !/\bsketch\b|`/.test(part));
    if (parts.length === 0) throw new Error(`nothing of the caution ${code} would be looked for`);
    return parts;
  });
}

/** Words that stand nowhere on the pages. */
export function missing(pages, words) {
  const printed = bare(pages.map((page) => page.text).join(""));
  return words.filter((word) => !printed.includes(bare(word)));
}
