// The table of seams: filter and sort, judged by what its cells say.
import { settled } from "./browser.mjs";

/** Reads the table: headings, and of every row its number, whether it is seen, and the text of its cells. */
export async function read(page) {
  return page.evaluate(() => {
    const table = document.querySelector("#seam-table");
    const clean = (element) => element.textContent.replace(/\s+/g, " ").trim();
    const heads = [...table.tHead.rows].at(-1).cells;
    return {
      heads: [...heads].map(clean),
      sorts: [...heads].map((head) => head.getAttribute("aria-sort")),
      rows: [...table.tBodies].flatMap((body) => [...body.rows]).filter((row) => row.dataset.seam !== undefined).map((row) => ({
        seam: Number(row.dataset.seam),
        seen: row.checkVisibility(),
        cells: [...row.cells].map(clean),
      })),
    };
  });
}

const FILTERS = { side: /side/i, place: /place|where/i, reach: /reach/i, type: /type/i };

/** Column of a filter by the words of its heading. */
function column(table, name) {
  return table.heads.findIndex((head) => FILTERS[name].test(head));
}

async function countFaults(page, table, what) {
  const words = await page.evaluate(() => document.querySelector("#filter-count").textContent.trim());
  const seen = table.rows.filter((row) => row.seen).length;
  const [, some, all] = words.match(/^(\d+) of (\d+) seams\b/) ?? [];
  return Number(some) === seen && Number(all) === table.rows.length ? [] : [`${what}: "${words}" beside ${seen} of ${table.rows.length} rows`];
}

async function compare(page, what, wanted) {
  await settled(page);
  const table = await read(page);
  const faults = await countFaults(page, table, what);
  const wrong = table.rows.filter((row) => row.seen !== wanted(row));
  if (wrong.length) {
    const [first] = wrong;
    faults.push(`${what}: ${wrong.length} rows wrong, first ${first.seen ? "shown" : "hidden"} "${first.cells.join(" | ")}"`);
  }
  return { faults, seen: table.rows.filter((row) => row.seen).length };
}

/** Faults of the filters: each choice of each, text, two together, nothing found, all cleared. */
export async function filterFaults(page) {
  const faults = [];
  const start = await read(page);
  faults.push(...(await countFaults(page, start, "at first")));
  if (start.rows.some((row) => !row.seen)) faults.push("at first rows are hidden");
  const choices = {};
  for (const name of Object.keys(FILTERS)) {
    const at = column(start, name);
    if (at < 0) {
      faults.push(`no column for the filter ${name} among ${start.heads.join(" | ")}`);
      continue;
    }
    const options = await page.evaluate(
      (id) => [...document.querySelectorAll(`#filter-${id} option`)].map((option) => ({ value: option.value, label: option.textContent.trim() })),
      name,
    );
    const real = options.filter((option) => option.value !== "");
    if (real.length === options.length) faults.push(`the filter ${name} offers no "any"`);
    const cells = new Set(start.rows.map((row) => row.cells[at]));
    const labels = new Set(real.map((option) => option.label));
    for (const cell of cells) if (!labels.has(cell)) faults.push(`the filter ${name} does not offer "${cell}"`);
    choices[name] = { at, real };
    for (const { value, label } of real) {
      await page.selectOption(`#filter-${name}`, value);
      const found = await compare(page, `${name} ${label}`, (row) => row.cells[at] === label);
      faults.push(...found.faults);
      if (found.seen === 0) faults.push(`${name} ${label} is offered but finds nothing`);
    }
    await page.selectOption(`#filter-${name}`, "");
  }
  const says = (row, words) => row.cells.join(" ").toLowerCase().includes(words);
  // Single words: whether several must stand together is the page's own affair.
  for (const words of [start.rows[0].cells[0].split(/\W/).at(-1), "BOOT", "return", "bo"]) {
    await page.fill("#filter-text", words);
    faults.push(...(await compare(page, `text ${words}`, (row) => says(row, words.toLowerCase()))).faults);
  }
  // The end of one cell and the beginning of the next are no word.
  const [first] = start.rows;
  for (let k = 0; k + 1 < Math.min(first.cells.length, 6); k += 1) {
    const words = `${first.cells[k].split(" ").at(-1)}${first.cells[k + 1].split(" ")[0]}`;
    await page.fill("#filter-text", words);
    faults.push(...(await compare(page, `text ${words}`, (row) => row.cells.some((cell) => cell.toLowerCase().includes(words.toLowerCase())))).faults);
  }
  if (choices.side) {
    const { at, real } = choices.side;
    await page.fill("#filter-text", "bo");
    await page.selectOption("#filter-side", real[0].value);
    faults.push(...(await compare(page, "text and side", (row) => says(row, "bo") && row.cells[at] === real[0].label)).faults);
    await page.selectOption("#filter-side", "");
  }
  await page.fill("#filter-text", "no such seam anywhere");
  faults.push(...(await compare(page, "nothing found", () => false)).faults);
  await page.fill("#filter-text", "");
  faults.push(...(await compare(page, "cleared", () => true)).faults);
  return faults;
}

/**
 * A cell's number: its first one; `<0.1 %` stands for half of it, `>99 %` for half a
 * unit more; `NaN` where there is none.
 */
export function number(cell) {
  const [, sign, value] = cell.replace(/[\u2212]/g, "-").replace(/,(?=\d{3})/g, "").match(/^([<>]?)\s*(-?\d+(?:\.\d+)?(?:e-?\d+)?)/) ?? [];
  return value === undefined ? NaN : Number(value) * (sign === "<" ? 0.5 : 1) + (sign === ">" ? 0.5 : 0);
}

const EMPTY = /^[\u2013\u2014-]?$/;

function isNumeric(cells) {
  const filled = cells.filter((cell) => !EMPTY.test(cell));
  return filled.length > 0 && filled.every((cell) => !Number.isNaN(number(cell)));
}

/** Whether cells rise (`way` 1) or fall (−1); empty ones must stand together at one end. */
export function isSorted(cells, way) {
  const filled = cells.map((cell, at) => ({ cell, at })).filter(({ cell }) => !EMPTY.test(cell));
  if (filled.length && filled.length < cells.length && filled.at(-1).at - filled[0].at + 1 !== filled.length) return false;
  const values = filled.map(({ cell }) => cell);
  const rises = (order) => values.every((value, k) => k === 0 || way * order(values[k - 1], value) <= 0);
  // A band is in order by its lower or by its upper end.
  const upper = (cell) => (/ to /.test(cell) ? number(cell.split(" to ")[1]) : number(cell));
  if (isNumeric(cells)) return rises((a, b) => number(a) - number(b)) || rises((a, b) => upper(a) - upper(b));
  const plain = (a, b) => (a < b ? -1 : a > b ? 1 : 0);
  const folded = (a, b) => plain(a.toLowerCase(), b.toLowerCase());
  const collator = new Intl.Collator("en");
  const digits = new Intl.Collator("en", { numeric: true });
  return [plain, folded, collator.compare, digits.compare].some(rises);
}

/** Faults of sorting: every column, both ways, with `aria-sort` on it alone; no row lost. */
export async function sortFaults(page) {
  const faults = [];
  const start = await read(page);
  const all = start.rows.map((row) => row.seam).sort((a, b) => a - b).join();
  for (let at = 0; at < start.heads.length; at += 1) {
    const button = page.locator("#seam-table thead tr").last().locator("th, td").nth(at).locator("button");
    if ((await button.count()) !== 1) {
      faults.push(`no button in the heading "${start.heads[at]}"`);
      continue;
    }
    const ways = [];
    for (let press = 0; press < 2; press += 1) {
      await button.click();
      await settled(page);
      const table = await read(page);
      const sort = table.sorts[at];
      ways.push(sort);
      const others = table.sorts.filter((value, k) => k !== at && value !== null && value !== "none");
      if (others.length) faults.push(`"${start.heads[at]}": ${others.length} other headings say that they are sorted`);
      if (sort !== "ascending" && sort !== "descending") {
        faults.push(`"${start.heads[at]}": aria-sort is ${sort}`);
        continue;
      }
      const cells = table.rows.map((row) => row.cells[at]);
      const way = sort === "ascending" ? 1 : -1;
      if (!isSorted(cells, way)) {
        const bad = cells.findIndex((_, k) => k > 0 && !isSorted([cells[k - 1], cells[k]], way));
        const where = bad < 0 ? `its cells stand in no order: ${cells.slice(0, 40).join(", ")}` : `"${cells[bad - 1]}" stands before "${cells[bad]}"`;
        faults.push(`"${start.heads[at]}" says ${sort}, but ${where}`);
      }
      if (table.rows.map((row) => row.seam).sort((a, b) => a - b).join() !== all) faults.push(`"${start.heads[at]}": rows lost`);
    }
    if (ways[0] === ways[1]) faults.push(`"${start.heads[at]}": sorted ${ways[0]} twice`);
  }
  return faults;
}
