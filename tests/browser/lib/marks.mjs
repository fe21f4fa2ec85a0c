// Marks of seams as the file holds them, and what the page's script adds to them.

/** Faults of the marks in the file itself: lines for the pointer, a second name, no name. */
export function fileFaults(text) {
  const faults = [];
  const drawing = text.match(/<svg[^>]*class="plan-drawing"[\s\S]*?<\/svg>/)?.[0];
  if (!drawing) return ["no drawing"];
  const hits = drawing.match(/class="(?:[^"]* )?hit(?: [^"]*)?"/g) ?? [];
  if (hits.length) faults.push(`${hits.length} lines for the pointer stand in the file`);
  const marks = drawing.match(/<g[^>]*class="seam[ "][^>]*>\s*(?:<title>[^<]*<\/title>)?/g) ?? [];
  if (marks.length === 0) faults.push("no mark in the file");
  const named = marks.filter((mark) => /aria-label=/.test(mark));
  if (named.length) faults.push(`${named.length} of ${marks.length} marks have an aria-label beside their title`);
  const bare = marks.filter((mark) => !/<title>[^<]*\S[^<]*<\/title>$/.test(mark));
  if (bare.length) faults.push(`${bare.length} of ${marks.length} marks have no title, first ${bare[0].slice(0, 90)}`);
  return faults;
}

/** By layer: its marks, and lines for the pointer that the script has made in it. */
export async function hits(page) {
  return page.evaluate(() => {
    const made = new Set([...document.querySelectorAll("svg.plan-drawing .hit[data-of]")].map((line) => line.dataset.of));
    return Object.fromEntries(
      [...document.querySelectorAll("svg.plan-drawing g.layer")].map((layer) => {
        const marks = [...layer.querySelectorAll(".seam[data-seam]")];
        return [layer.dataset.layer, { marks: marks.length, hit: marks.filter((mark) => mark.querySelector(".hit") || made.has(mark.id)).length }];
      }),
    );
  });
}
