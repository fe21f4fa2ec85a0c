// What a page says, sentence by sentence.

/** Every sentence of the page, folded parts, hidden layers and names of marks included; scripts and styles not. */
export async function sentences(page, within = "body") {
  const blocks = await page.evaluate((within) => {
    const found = [];
    const block = /^(P|LI|TD|TH|H\d|DD|DT|CAPTION|SUMMARY|FIGCAPTION|LABEL|OPTION|A|DIV|SECTION|HEADER|MAIN|UL|OL|TR|TABLE|text|title)$/i;
    const walk = (node, into) => {
      for (const child of node.childNodes) {
        if (child.nodeType === Node.TEXT_NODE) into.push(child.data);
        if (child.nodeType !== Node.ELEMENT_NODE || /^(SCRIPT|STYLE)$/i.test(child.nodeName)) continue;
        if (block.test(child.nodeName)) {
          const own = [];
          walk(child, own);
          found.push(own.join(""));
          into.push(" \n ");
        } else walk(child, into);
      }
    };
    const rest = [];
    for (const part of document.querySelectorAll(within)) walk(part, rest);
    found.push(rest.join(""));
    return found;
  }, within);
  return blocks.flatMap((text) => text.split(/\n\s*\n| \n |(?<=[.;:!?])\s+/)).map((text) => text.replace(/\s+/g, " ").trim()).filter(Boolean);
}

/**
 * Words by which a sentence advises to seal, smoke, touch, look into or blow. What was seen before (`smoke wisp`), how a
 * test was set up (`masked`, `blown up to`) and what a word means are no advice.
 */
const ADVICE = [
  /^(?:(?:then|first|next|now|do|do next|after that)[,:]?\s+)*(?:seal:|(?:seal(?! class)|touch|feel|blow|brush|peel|press|look|listen|puff) )/i,
  /^(?:(?:then|first|next|now|do|do next|after that)[,:]?\s+)*smoke (?!(?:wisp|none|strong|says|test|seen)\b)/i,
  /\b(?:then|first|next|should|could|can|must|to) (?:be sealed|be touched|seal|touch|feel|blow on|blow into|smoke)\b/i,
  /\bseal (?:first|next|it|them|these|those|all|the \w+|\d+)\b/i,
  /\blook (?:there|here|first|into|inside|again|for it)\b/i,
  /\b(?:smoke|a hand|hands)\b.*\b(?:tells?|shows?|finds?|will tell)\b/i,
  /\ba hand reaches\b/i,
  /\bput (?:it|them) back\b/i,
];

/** Sentences that forbid: what follows is what nobody does before something. */
const FORBIDS = /\b(?:do not|nothing|never|nobody|no one|not before|only after|must not)\b/i;

/** Sentences among these that advise, though they should not. */
export function advice(all) {
  return [...new Set(all)].filter((sentence) => !FORBIDS.test(sentence) && ADVICE.some((words) => words.test(sentence)));
}
