// Drawing and table point at each other.
import { settled } from "./browser.mjs";

/** Seams in the order of falling leakage, from the allocation: `{index, mean}`. */
export function falling(allocation) {
  return allocation.seams.map((seam, index) => ({ index, mean: seam.test_m3_s.mean })).sort((a, b) => b.mean - a.mean);
}

/** Faults of the pairing: every seam of the allocation has one row and one mark in the layer of seams, by the same number. */
export async function pairFaults(page, allocation) {
  const { rows, marks, words } = await page.evaluate(() => {
    const numbers = (query) => [...document.querySelectorAll(query)].map((element) => Number(element.dataset.seam));
    return {
      rows: numbers("#seam-table tbody tr"),
      marks: numbers("svg.plan-drawing .layer-seams .seam"),
      words: [...document.querySelectorAll("#seam-table tbody tr")].map((row) => [Number(row.dataset.seam), row.innerText]),
    };
  });
  const faults = [];
  for (const [what, found] of [["row", rows], ["mark", marks]]) {
    const counts = new Map();
    for (const seam of found) counts.set(seam, (counts.get(seam) ?? 0) + 1);
    allocation.seams.forEach((seam, index) => {
      const count = counts.get(index) ?? 0;
      if (count !== 1) faults.push(`seam ${index} (${seam.id}) has ${count} ${what}s`);
      counts.delete(index);
    });
    for (const seam of counts.keys()) faults.push(`${what} of an unknown seam ${seam}`);
  }
  for (const [index, text] of words) {
    const id = allocation.seams[index]?.id;
    const bare = (value) => value.replace(/\s+/g, "");
    if (id && !bare(text).includes(bare(id))) faults.push(`row ${index} does not name ${id}`);
  }
  return faults;
}

/** Seams that are lit, in the table and in the layer that is shown. */
async function lit(page) {
  return page.evaluate(() => {
    const numbers = (query) => [...new Set([...document.querySelectorAll(query)].filter(isSeen).map((e) => Number(e.dataset.seam)))];
    return { rows: numbers("#seam-table tr.lit"), marks: numbers("svg.plan-drawing .seam.lit") };
  });
}

/** Width of a spot that can be pointed at, px: 0.8 mm at 96 px an inch. Engineering estimate: a mouse is steadier than that. */
const SPOT = 3;

/**
 * A point of the window at which the visible mark of a seam is uppermost, scrolled into sight, and round it for a width of
 * `spot`; `null` if there is none.
 */
export async function pointOf(page, seam, spot = SPOT) {
  return page.evaluate(([number, spot]) => {
    const mark = [...document.querySelectorAll(`svg.plan-drawing .seam[data-seam="${number}"]`)].find(isSeen);
    if (!mark) return null;
    mark.scrollIntoView({ block: "center", inline: "center", behavior: "instant" });
    const points = [];
    for (const shape of mark.querySelectorAll("path, line, polyline, polygon, rect, circle, ellipse")) {
      const matrix = shape.getScreenCTM();
      const length = shape.getTotalLength?.() ?? 0;
      for (const part of [0.5, 0.25, 0.75, 0.1, 0.9, 0, 1, 0.38, 0.62]) {
        const point = shape.getPointAtLength(length * part).matrixTransform(matrix);
        points.push([point.x, point.y]);
      }
      const box = shape.getBoundingClientRect();
      points.push([(box.left + box.right) / 2, (box.top + box.bottom) / 2]);
    }
    const area = mark.getBoundingClientRect();
    for (let k = 0; k < 441; k += 1) {
      points.push([area.left - 3 + ((area.width + 6) * (k % 21)) / 20, area.top - 3 + ((area.height + 6) * Math.floor(k / 21)) / 20]);
    }
    const round = Array.from({ length: 8 }, (_, k) => [(Math.cos((k * Math.PI) / 4) * spot) / 2, (Math.sin((k * Math.PI) / 4) * spot) / 2]);
    const belongs = ([x, y]) => markAt(x, y) === mark;
    return points.find((point) => belongs(point) && round.every(([dx, dy]) => belongs([point[0] + dx, point[1] + dy]))) ?? null;
  }, [seam, spot]);
}

async function expectLit(page, faults, what, seam) {
  await settled(page);
  const now = await lit(page);
  if (now.rows.join() !== String(seam) || now.marks.join() !== String(seam)) {
    faults.push(`${what}: seam ${seam} should be lit, rows ${now.rows.join() || "none"} and marks ${now.marks.join() || "none"} are`);
  }
}

/** Seams whose mark cannot be pointed at, each tried. */
export async function hiddenMarks(page, allocation, spot = SPOT) {
  const hidden = [];
  for (let index = 0; index < allocation.seams.length; index += 1) {
    if ((await pointOf(page, index, spot)) === null) hidden.push(`${index} (${allocation.seams[index].id})`);
  }
  return hidden;
}

/** Faults of pointing: a mark under the pointer lights its row, a row lights its mark, nothing else is lit. */
export async function pointerFaults(page, seams) {
  const faults = [];
  for (const seam of seams) {
    const point = await pointOf(page, seam, 1);
    if (!point) {
      faults.push(`seam ${seam} cannot be pointed at`);
      continue;
    }
    await page.mouse.move(1, 1);
    await page.mouse.move(...point);
    await expectLit(page, faults, "pointer on the mark", seam);
    const row = page.locator(`#seam-table tr[data-seam="${seam}"]`);
    await row.locator("th, td").first().hover();
    await expectLit(page, faults, "pointer on the row", seam);
  }
  return faults;
}

/** Where the focus is: `row 17`, `mark 17`, or the name of an element. */
async function focus(page) {
  return page.evaluate(() => {
    const element = document.activeElement;
    if (element.matches("#seam-table tr[data-seam]")) return `row ${element.dataset.seam}`;
    if (element.matches(".seam[data-seam]")) return `mark ${element.dataset.seam}`;
    return element.id || element.localName;
  });
}

async function expectFocus(page, faults, what, wanted) {
  await settled(page);
  const now = await focus(page);
  if (now !== wanted) faults.push(`${what}: focus should be on ${wanted}, is on ${now}`);
  const inside = await page.evaluate(() => {
    const box = document.activeElement.getBoundingClientRect();
    const frame = document.activeElement.closest(".sheet")?.getBoundingClientRect() ?? { top: 0, bottom: innerHeight, left: 0, right: innerWidth };
    const middle = [(box.left + box.right) / 2, (box.top + box.bottom) / 2];
    if (document.activeElement.closest(".sheet") && (middle[0] < frame.left || middle[0] > frame.right || middle[1] < frame.top || middle[1] > frame.bottom)) return false;
    return box.bottom > 0 && box.top < innerHeight && box.right > 0 && box.left < innerWidth;
  });
  if (!inside) faults.push(`${what}: what has the focus is out of sight`);
}

/** Faults of a click on a mark: its row has the focus and is in sight. */
export async function clickFaults(page, seams) {
  const faults = [];
  for (const seam of seams) {
    const point = await pointOf(page, seam, 1);
    if (!point) {
      faults.push(`seam ${seam} cannot be clicked`);
      continue;
    }
    await page.mouse.click(...point);
    await expectFocus(page, faults, "click on the mark", `row ${seam}`);
  }
  return faults;
}

/** Faults of a click on a row: its mark stands inside the drawing's frame, and the page stays where it is. */
export async function rowFaults(page, seams) {
  const faults = [];
  for (const seam of seams) {
    const cell = page.locator(`#seam-table tr[data-seam="${seam}"]`).locator("th, td").first();
    await cell.evaluate((element) => element.scrollIntoView({ block: "center", inline: "center", behavior: "instant" }));
    await settled(page);
    // Not `scrollY`: a row above may change its height.
    const place = () => cell.evaluate((element) => element.getBoundingClientRect().top);
    const before = await place();
    await cell.click();
    await settled(page);
    const after = await place();
    const inside = await page.evaluate((number) => {
      const mark = [...document.querySelectorAll(`svg.plan-drawing .seam[data-seam="${number}"]`)].find(isSeen).getBoundingClientRect();
      const frame = document.querySelector(".sheet").getBoundingClientRect();
      const [x, y] = [(mark.left + mark.right) / 2, (mark.top + mark.bottom) / 2];
      return x > frame.left && x < frame.right && y > frame.top && y < frame.bottom;
    }, seam);
    if (!inside) faults.push(`click on row ${seam}: its mark is outside the frame`);
    if (Math.abs(after - before) > 2) faults.push(`click on row ${seam}: it moves from ${before} to ${after} px of the window`);
  }
  return faults;
}

/** Faults of the keyboard: one tab stop in the drawing, arrows in order of falling leakage, Enter both ways, Escape. */
export async function keyFaults(page, allocation) {
  const faults = [];
  const stops = () =>
    page.evaluate(() => [...document.querySelectorAll("svg.plan-drawing [tabindex='0']")].filter(isSeen).map((e) => Number(e.dataset.seam)));
  if ((await stops()).length !== 1) faults.push(`${(await stops()).length} tab stops in the drawing`);

  // From the choice of layers, Tab reaches a mark before it reaches the table.
  await page.focus('input[name="layer"]:checked');
  let reached = "";
  for (let step = 0; step < 25 && !/^(mark|row) /.test(reached); step += 1) {
    await page.keyboard.press("Tab");
    reached = await focus(page);
  }
  if (!reached.startsWith("mark ")) return [...faults, `Tab from the layers reaches ${reached}, no mark`];
  const start = reached;
  await page.keyboard.press("Tab");
  if ((await focus(page)).startsWith("mark ")) faults.push(`a second Tab reaches ${await focus(page)}, still among the marks`);
  await page.keyboard.press("Shift+Tab");
  if ((await focus(page)) !== start) faults.push(`Shift+Tab comes back to ${await focus(page)}, not to ${start}`);

  const mean = new Map(allocation.seams.map((seam, index) => [index, seam.test_m3_s.mean]));
  const largest = falling(allocation)[0];
  const first = Number(reached.split(" ")[1]);
  if (mean.get(first) !== largest.mean) faults.push(`the first mark is ${first}, the leakiest is ${largest.index}`);
  let before = first;
  const seen = [first];
  for (let step = 0; step < 12; step += 1) {
    await page.keyboard.press(step % 2 ? "ArrowDown" : "ArrowRight");
    const [kind, seam] = (await focus(page)).split(" ");
    if (kind !== "mark" || Number(seam) === before) {
      faults.push(`arrow ${step + 1} stays at ${kind} ${seam}`);
      break;
    }
    if (mean.get(Number(seam)) > mean.get(before)) faults.push(`arrow goes from ${before} up to the leakier ${seam}`);
    before = Number(seam);
    seen.push(before);
    await expectLit(page, faults, "focus on the mark", before);
    const open = await stops();
    if (open.join() !== String(before)) faults.push(`after an arrow the tab stop is ${open.join()}, not ${before}`);
  }
  await page.keyboard.press("ArrowLeft");
  if ((await focus(page)) !== `mark ${seen.at(-2)}`) faults.push(`ArrowLeft goes to ${await focus(page)}, not back to mark ${seen.at(-2)}`);
  await page.keyboard.press("ArrowUp");
  const seam = seen.at(-3);
  if ((await focus(page)) !== `mark ${seam}`) faults.push(`ArrowUp goes to ${await focus(page)}, not back to mark ${seam}`);

  await page.keyboard.press("Enter");
  await expectFocus(page, faults, "Enter on the mark", `row ${seam}`);
  await expectLit(page, faults, "focus on the row", seam);
  await page.keyboard.press("Enter");
  await expectFocus(page, faults, "Enter on the row", `mark ${seam}`);
  await page.keyboard.press("Escape");
  await settled(page);
  const now = await lit(page);
  if (now.rows.length || now.marks.length) faults.push(`Escape leaves lit: rows ${now.rows.join()}, marks ${now.marks.join()}`);
  return faults;
}
