// What stops the work or casts doubt must stand before anything that somebody could follow, on the screen and on paper.
import { settled } from "./browser.mjs";
import { bare, print } from "./print.mjs";

/** Faults of words that must be seen above the page's contents and its main part. */
export async function topFaults(page, words, query) {
  const found = await page.evaluate((query) => {
    const main = document.querySelector("main");
    const contents = document.querySelector("nav");
    return [...document.querySelectorAll(query)]
      .filter((element) => isSeen(element) && element.compareDocumentPosition(main) & Node.DOCUMENT_POSITION_FOLLOWING)
      .filter((element) => !contents || element.getBoundingClientRect().bottom <= contents.getBoundingClientRect().top)
      .filter((element) => element.getBoundingClientRect().bottom <= main.getBoundingClientRect().top)
      .map((element) => element.textContent);
  }, query);
  const all = bare(found.join(" "));
  return words.filter((word) => !all.includes(bare(word))).map((word) => `not above all else: "${word}"`);
}

/** Prints as `as` and tells which of these words do not stand on the first page above all of the report's parts. */
export async function paperTopFaults(page, words, as, paper) {
  const pages = await print(page, as, paper);
  await page.emulateMedia({ media: "print" });
  const first = await page.evaluate(() => {
    const seen = [...document.querySelectorAll("main h2, main h3, main p, main li")].find((element) => isSeen(element) && !element.matches(".stop, .doubtful, .stop *, .doubtful *") && element.textContent.trim().length > 8);
    return seen?.textContent.trim().slice(0, 40) ?? "";
  });
  await page.emulateMedia({ media: "screen" });
  await settled(page);
  const text = bare(pages[0].text);
  const below = first === "" ? -1 : text.indexOf(bare(first));
  const faults = [];
  for (const word of words) {
    const at = text.indexOf(bare(word));
    if (at < 0) faults.push(`${as}: page 1 does not say "${word}"`);
    else if (below >= 0 && below < at) faults.push(`${as}: "${first}" stands above "${word}"`);
  }
  return { pages, faults };
}
