// Whether a page keeps to itself: no request, no message, a policy that forbids both.

/** Sections that a report can have. */
export const SECTIONS = [
  "summary", "drawing", "seams", "shares", "groups", "readings", "next", "plan", "effects", "proof", "limits", "predicted",
  "cautions", "assumptions", "how-to-read",
];

/** Faults of the page's content security policy. */
export async function policyFaults(page) {
  const content = await page.evaluate(() => document.querySelector('meta[http-equiv="Content-Security-Policy"]')?.content ?? null);
  if (content === null) return ["no content security policy"];
  const rules = new Map(
    content.split(";").map((rule) => rule.trim().split(/\s+/)).filter((words) => words[0]).map(([name, ...values]) => [name, values.join(" ")]),
  );
  const faults = [];
  if (rules.get("default-src") !== "'none'") faults.push(`default-src is ${rules.get("default-src")}`);
  for (const [name, value] of rules) {
    if (/\*|https?:|unsafe-eval|'self'/.test(value)) faults.push(`${name} lets in ${value}`);
  }
  return faults;
}

/** Addresses in the page that a browser would fetch, whether or not the policy stops it. */
export async function addressFaults(page) {
  return page.evaluate(() => {
    const faults = [];
    const outside = (value) => value && !value.startsWith("#") && !value.startsWith("data:");
    for (const element of document.querySelectorAll("[src], link[href], use, image, [srcset], [poster], form[action]")) {
      for (const name of ["src", "href", "xlink:href", "srcset", "poster", "action"]) {
        const value = element.getAttribute(name);
        if (outside(value)) faults.push(`${element.localName} ${name}=${value}`);
      }
    }
    for (const sheet of document.querySelectorAll("style")) {
      if (/@import|url\(\s*["']?(?!data:|#|["']?#)/.test(sheet.textContent)) faults.push("style sheet fetches something");
    }
    return faults;
  });
}

/** Faults of the frame that every page has: language, one main part, unlike ids, sections that hold something. */
export async function frameFaults(page) {
  return page.evaluate((known) => {
    const faults = [];
    if (document.documentElement.lang !== "en") faults.push("no language");
    if (document.querySelectorAll("main").length !== 1 || !document.querySelector("main#report")) faults.push("not one main part #report");
    if (!document.title.trim()) faults.push("no title");
    const seen = new Set();
    for (const { id } of document.querySelectorAll("[id]")) {
      if (seen.has(id)) faults.push(`id ${id} twice`);
      seen.add(id);
    }
    for (const attribute of ["aria-labelledby", "aria-describedby", "aria-controls", "for"]) {
      for (const element of document.querySelectorAll(`[${attribute}]`)) {
        for (const id of element.getAttribute(attribute).split(/\s+/)) {
          if (id && !seen.has(id)) faults.push(`${element.localName} ${attribute} points at ${id}, which is not there`);
        }
      }
    }
    for (const link of document.querySelectorAll('a[href^="#"]')) {
      const id = decodeURIComponent(link.getAttribute("href").slice(1));
      if (id && !seen.has(id)) faults.push(`link to #${id}, which is not there`);
    }
    for (const section of document.querySelectorAll("main section[id]")) {
      const parent = section.parentElement.closest("section");
      if (!parent && !known.includes(section.id)) faults.push(`section ${section.id} is unknown`);
      if (section.textContent.trim().length < 40) faults.push(`section ${section.id} is empty`);
    }
    for (const id of ["summary", "drawing", "seams"]) {
      if (!document.querySelector(`section#${id}`)) faults.push(`no section ${id}`);
    }
    for (const image of document.querySelectorAll("main svg")) {
      const hidden = image.closest("[aria-hidden=true]");
      const named = image.querySelector("title") || image.getAttribute("aria-label") || image.getAttribute("aria-labelledby");
      if (!hidden && !named) faults.push("a picture without a name");
    }
    if (/\bNaN\b|\bundefined\b|\bnull\b|\[object|\bInfinity\b|\binf\b/.test(document.body.innerText)) {
      faults.push(`a value that is none: ${document.body.innerText.match(/.{0,30}(\bNaN\b|\bundefined\b|\bnull\b|\[object|\bInfinity\b|\binf\b).{0,30}/)[0]}`);
    }
    return faults;
  }, SECTIONS);
}
