// The checks themselves: each finds what is broken on purpose in a page that is else as the program wrote it.
import fs from "node:fs";
import path from "node:path";
import { after, test } from "node:test";

import { axeFaults, colours, luminance, motionFaults, narrowFaults, scriptlessFaults, watchScroll } from "./lib/access.mjs";
import { PHONE, withPage } from "./lib/browser.mjs";
import { chartContrast, markContrast } from "./lib/contrast.mjs";
import { choiceFaults, choose, contrastFaults, textFaults } from "./lib/drawing.mjs";
import { none, sharedBrowser, some } from "./lib/each.mjs";
import { clickFaults, falling, hiddenMarks, keyFaults, pairFaults, pointerFaults } from "./lib/linking.mjs";
import { fileFaults, hits } from "./lib/marks.mjs";
import { missing, print, printed, sheetFaults } from "./lib/print.mjs";
import { allocation, model, report, scratch } from "./lib/program.mjs";
import { addressFaults, frameFaults, policyFaults } from "./lib/quiet.mjs";
import { paperTopFaults, topFaults } from "./lib/stops.mjs";
import { filterFaults, read, sortFaults } from "./lib/table.mjs";
import { advice, sentences } from "./lib/words.mjs";
import { zoomFaults } from "./lib/zoom.mjs";

const shared = sharedBrowser();
const dir = scratch();
after(() => fs.rmSync(dir, { recursive: true }));

const sketch = model("bungalow");
const largest = () => falling(allocation(sketch))[0].index;

/**
 * Writes a broken copy of a report.
 * @param how.script a script put before the page's own end, `how.early` one put into its head before any other
 * @param how.style a style sheet put last
 * @param how.replace pairs of what is replaced in the text by what
 */
function broken(name, { script = "", early = "", style = "", replace = [] }) {
  let text = fs.readFileSync(report(sketch), "utf8");
  for (const [from, to] of replace) {
    if (!text.includes(from)) throw new Error(`nothing to break: the page has no ${from}`);
    text = text.replace(from, to);
  }
  text = text.replace(/<head>/, `<head>${early ? `<script>${early}</script>` : ""}`);
  text = text.replace(/<\/body>/, `${style ? `<style>${style}</style>` : ""}${script ? `<script>${script}</script>` : ""}</body>`);
  const file = path.join(dir, `${name.replace(/\W+/g, "-")}.html`);
  fs.writeFileSync(file, text);
  return file;
}

/** A test that `check` finds something like `words` on a page broken by `how`. */
function finds(name, how, words, check, options = {}) {
  test(`found: ${name}`, async () => {
    await withPage(shared.browser, broken(name, how()), options, async (page, notes) => some(await check(page, notes), words));
  });
}

const quietly = (_, notes) => notes;
finds("a picture from elsewhere", () => ({ script: "new Image().src='http://localhost:9/x.png'" }), /request|console/, async (page, notes) => {
  await page.waitForTimeout(200);
  return notes;
});
finds("a warning on the console", () => ({ script: "console.warn('late')" }), /console warning: late/, quietly);
finds("an uncaught error", () => ({ script: "missing()" }), /uncaught: missing/, quietly);
finds("no policy", () => ({ script: "document.querySelector('meta[http-equiv]').remove()" }), /no content security/, policyFaults);
finds("a loose policy", () => ({ script: "document.querySelector('meta[http-equiv]').content+='; connect-src *'" }), /connect-src/, policyFaults);
finds("a linked style sheet", () => ({ replace: [["<head>", '<head><link rel="x" href="other.css">']] }), /other\.css/, addressFaults);
finds("an id twice", () => ({ script: "document.querySelector('h1').id='seams'" }), /id seams twice/, frameFaults);
finds("a value that is none", () => ({ script: "document.querySelector('#summary p').textContent='leaks NaN cfm'" }), /NaN/, frameFaults);

finds("two layers at once", () => ({ style: ".plan-drawing .layer{display:inline !important}" }), /shown/, choiceFaults);
finds("a text on another", () => ({
  script: "const t=[...document.querySelectorAll('.plan-drawing text')];const c=t[0].cloneNode(true);c.textContent='copy';t[0].parentNode.append(c)",
}), /"copy".*overlap/, async (page) => (await textFaults(page)).faults);
finds("a text off the sheet", () => ({ script: "const t=document.querySelector('.plan-drawing text');t.setAttribute('x',-9)" }), /leaves the sheet/, async (page) => (await textFaults(page)).faults);
finds("pale letters in the drawing", () => ({ style: ".plan-drawing text{fill:#bbb !important}" }), /contrast/, contrastFaults);

finds("a seam without a row", () => ({ script: "document.querySelector('#seam-table tr[data-seam=\"3\"]').remove()" }), /seam 3 .* 0 rows/, (page) => pairFaults(page, allocation(sketch)));
finds("a mark with another number", () => ({ script: "document.querySelector('.layer-seams .seam[data-seam=\"3\"]').dataset.seam=4" }), /seam 4 .* 2 marks/, (page) => pairFaults(page, allocation(sketch)));
finds("a covered mark", () => ({ style: ".layer-seams .seam[data-seam='3'] *,.hit[data-of$='-s3']{pointer-events:none !important}" }), /^3 /, (page) => hiddenMarks(page, allocation(sketch)));
finds("marks too thin to point at", () => ({ style: ".plan-drawing :is(.seam *,.hit){stroke-width:.2px !important}" }), /^0 /, (page) => hiddenMarks(page, allocation(sketch)));
const deaf = (...names) => ({
  early: `const add=EventTarget.prototype.addEventListener;EventTarget.prototype.addEventListener=function(n,...r){if(!${JSON.stringify(names)}.includes(n))add.call(this,n,...r)}`,
});
finds("a page deaf to the pointer", () => deaf("pointerover", "pointerenter", "mouseover", "mouseenter", "pointermove", "mousemove"), /should be lit/, (page) => pointerFaults(page, [largest()]));
finds("a page deaf to clicks", () => deaf("click", "pointerup", "pointerdown", "mousedown", "mouseup"), /focus should be on row/, (page) => clickFaults(page, [largest()]));
finds("a page deaf to keys", () => deaf("keydown", "keyup"), /arrow|Tab/, (page) => keyFaults(page, allocation(sketch)));
finds("every mark a tab stop", () => ({ script: "addEventListener('load',()=>document.querySelectorAll('.layer-seams .seam').forEach(m=>m.setAttribute('tabindex',0)))" }), /tab stops/, (page) => keyFaults(page, allocation(sketch)));

finds("a dead filter", () => deaf("input", "change"), /rows wrong/, filterFaults);
finds("a wrong count", () => ({
  script: "const c=document.querySelector('#filter-count');new MutationObserver(()=>{if(!c.textContent.startsWith('7777'))c.textContent='7777 of 188 seams'}).observe(c,{childList:true,characterData:true,subtree:true})",
}), /7777/, filterFaults);
finds("a filter that joins cells", () => ({
  script: `const f=document.querySelector('#filter-text');f.addEventListener('input',()=>{for(const r of document.querySelectorAll('#seam-table tbody tr'))r.hidden=!r.textContent.toLowerCase().includes(f.value.toLowerCase())})`,
}), /text \S+: \d+ rows wrong/, filterFaults);
finds("numbers sorted as words", () => ({
  script: `document.querySelector('#seam-table thead').addEventListener('click',(e)=>{const th=e.target.closest('th');if(!th)return;const k=th.cellIndex;const up=th.getAttribute('aria-sort')==='ascending'?1:-1;
    const body=document.querySelector('#seam-table tbody');[...body.rows].sort((a,b)=>up*(a.cells[k].textContent<b.cells[k].textContent?-1:1)).forEach(r=>body.append(r))})`,
}), /stands before/, sortFaults);
finds("no aria-sort", () => ({ script: "Element.prototype.setAttribute=function(n,v){if(n!=='aria-sort'){this.setAttributeNS(null,n,v)}};document.querySelectorAll('[aria-sort]').forEach(e=>e.removeAttribute('aria-sort'))" }), /aria-sort is/, sortFaults);

finds("a third page and a blank one", () => ({ script: "const s=document.querySelector('header');for(const t of ['','one line more'])s.append(Object.assign(document.createElement('div'),{style:'break-before:page;min-height:9mm',textContent:t}))" }), /blank|3 pages|4 pages/, async (page) => {
  const pages = await print(page, "owner", "A4");
  return [...sheetFaults(pages, "A4"), ...(pages.length === 2 ? [] : [`${pages.length} pages`])];
});
finds("paper of another size", () => ({ style: "@page{size:200mm 200mm}" }), /not A4/, async (page) => sheetFaults(await print(page, "owner", "A4"), "A4"));
finds("rows that are not printed", () => ({ style: "@media print{#seam-table tr:nth-child(n+9){display:none}}" }), /./, async (page) => missing(await print(page, "all", "A4"), (await read(page)).rows.map(printed)));
finds("white letters on paper", () => ({ style: "@media print{*{color:#fff !important;fill:#fff !important}}" }), /too pale/, async (page) => sheetFaults(await print(page, "all", "A4"), "A4"));

const phone = { viewport: PHONE, hasTouch: true, isMobile: true };
finds("a wide block", () => ({ style: "#summary p{width:500px;max-width:none}" }), /px wide/, narrowFaults, phone);
finds("small letters", () => ({ style: "body{font-size:13px}" }), /letters of 13/, narrowFaults, phone);
finds("a small button", () => ({ style: "#print{height:16px !important;min-height:0 !important;padding:0 !important;font-size:9px !important;line-height:1 !important}" }), /button#print .* px/, narrowFaults, phone);
finds("a covered control", () => ({ style: "body::after{content:'';position:fixed;inset:0}" }), /filter-text.*cannot be reached/, narrowFaults, phone);

const late = "const p=document.createElement('p');p.className='stop';p.textContent='Danger ahead of you.';document.querySelector('main').append(p)";
finds("a stop below the advice", () => ({ script: late }), /not above all else: "Danger/, (page) => topFaults(page, ["Danger ahead"], ".stop"));
finds("a stop below the advice on paper", () => ({ script: late.replace("main'", "#summary'") }), /"Danger/, async (page) => (await paperTopFaults(page, ["Danger ahead"], "owner", "A4")).faults);
for (const words of ["Look there first.", "Seal: 12 seams in 3 h.", "Then seal the tab collar.", "Smoke under pressure, or a hand, tells.", "A hand reaches 48 % of the leakage.", "Blow into the register."]) {
  finds(`advice: ${words}`, () => ({ script: `document.querySelector('#how-to-read').append(Object.assign(document.createElement('p'),{textContent:${JSON.stringify(words)}}))` }), new RegExp(`^${words.slice(0, 5)}`), async (page) => advice((await sentences(page)).slice(-4)));
}
test("what is forbidden, was seen or was set up is no advice", () => {
  none(advice(["Nothing is cut, peeled, covered or sealed before it has been looked at by somebody licensed for it.", "smoke wisp", "blown up to 25 Pa", "masked round the flanges", "no one saw it leak unless a look says so.", "Do not pressurise, cut, peel, cover or handle it;"]), "no advice");
});

finds("pale parts of charts", () => ({ style: ".chart .mean{fill:#ddd !important;stroke:none !important}" }), /circle\.mean .*1\.\d\d:1/, async (page) => (await chartContrast(page)).faults);
finds("pale letters of charts", () => ({ style: ".chart text{fill:#999 !important}" }), /^text/, async (page) => (await chartContrast(page)).faults);
finds("pale marks", () => ({ style: ".plan-drawing .seam .mark{stroke:#ccc !important}" }), /path\.mark/, async (page) => (await markContrast(page)).faults);
finds("marks pale in dark", () => ({ style: ".plan-drawing{filter:none !important;background:#000 !important}" }), /path\.mark/, async (page) => (await markContrast(page)).faults, { colorScheme: "dark" });

finds("sizes that change nothing", () => ({ style: ".plan-drawing{width:40rem !important;min-width:0 !important;max-width:none !important}" }), /no more than the size before/, (page) => zoomFaults(page));
finds("a large drawing that widens the page", () => ({ style: "main,section,#drawing *{overflow:visible !important}" }), /px wide in a window/, (page) => zoomFaults(page));
finds("lines for the pointer that are not made", () => ({ script: "document.querySelectorAll('.hit').forEach(h=>h.remove())" }), /^0 of/, async (page) => {
  const { marks, hit } = (await hits(page)).seams;
  return [`${hit} of ${marks}`];
});
test("found: marks that the file makes heavy", () => {
  const mark = '<svg class="plan-drawing"><g class="seam k1" aria-label="a"><path class="hit"/></g></svg>';
  for (const words of [/for the pointer/, /aria-label/, /no title/]) some(fileFaults(mark), words);
  none(fileFaults('<svg class="plan-drawing"><g class="seam k1"><title>a</title><path class="mark"/></g></svg>'), "a light mark");
});

finds("a dark scheme that stays light", () => ({ style: "html,body{background:#fff !important}" }), /light paper/, async (page) => (luminance((await colours(page)).paper) < 0.1 ? [] : ["light paper"]), { colorScheme: "dark" });
finds("a moving style", () => ({ style: "h1{transition:color 2s !important}" }), /transition/, motionFaults, { reducedMotion: "reduce" });
finds("smooth scrolling by script", () => ({ script: "document.addEventListener('click',()=>document.querySelector('h1').scrollIntoView({behavior:'smooth'}))" }), /smooth/, async (page) => {
  await watchScroll(page);
  await page.mouse.click(2, 2);
  return motionFaults(page);
}, { reducedMotion: "reduce" });

finds("pale letters", () => ({ style: "p{color:#999 !important;background:#fff !important}" }), /color-contrast/, async (page) => (await axeFaults(page)).faults);
finds("a control without a label", () => ({ script: "const i=document.querySelector('#filter-text');document.querySelectorAll('label').forEach(l=>l.replaceWith(...l.childNodes));i.removeAttribute('aria-label');i.removeAttribute('title');i.removeAttribute('placeholder');i.removeAttribute('aria-labelledby')" }), /label/, async (page) => (await axeFaults(page)).faults);

finds("a section that only scripts show", () => ({ style: "#seams{display:none}" }), /section seams/, (page) => scriptlessFaults(page, allocation(sketch).seams.length), { javaScriptEnabled: false });
finds("rows that only scripts show", () => ({ style: "#seam-table tr:nth-child(4){display:none}" }), /rows are seen/, (page) => scriptlessFaults(page, allocation(sketch).seams.length), { javaScriptEnabled: false });

test("the page that is broken here is whole before", async () => {
  const same = path.join(dir, "whole.html");
  fs.copyFileSync(report(sketch), same);
  await withPage(shared.browser, same, {}, async (page, notes) => {
    await choose(page, "seams");
    none([...notes, ...(await policyFaults(page)), ...(await addressFaults(page)), ...(await frameFaults(page)), ...(await pairFaults(page, allocation(sketch)))], "whole page");
  });
});
