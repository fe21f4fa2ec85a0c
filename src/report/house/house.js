"use strict";
(() => {
  const $ = (id) => document.getElementById(id);
  const root = document.documentElement;
  const svg = document.querySelector("svg.plan-drawing");
  const table = $("seam-table");
  const body = table && table.tBodies[0];
  const rows = body ? [...body.rows] : [];
  const calm = matchMedia("(prefers-reduced-motion: reduce)");

  for (const part of document.querySelectorAll("[hidden]")) {
    if (part.matches(".tools, .filters")) part.hidden = false;
  }

  // Print.
  $("print-as").addEventListener("change", (event) => { root.dataset.print = event.target.value; });
  $("print").addEventListener("click", () => window.print());
  // Browsers that bring back what was chosen before bring the page along.
  addEventListener("pageshow", () => { root.dataset.print = $("print-as").value; chosen(); if (svg && marks.length) restart(); if (body) filter(); });
  let opened = [];
  addEventListener("beforeprint", () => {
    if (root.dataset.print !== "all") return;
    opened = [...document.querySelectorAll("details:not([open])")];
    for (const one of opened) one.open = true;
  });
  addEventListener("afterprint", () => { for (const one of opened) one.open = false; opened = []; });

  // Links from mark to row and back.
  const rowOf = new Map(rows.map((row) => [row.dataset.seam, row]));
  const marks = svg ? [...svg.querySelectorAll(".seam[data-seam]")] : [];
  const marksOf = new Map();
  for (const mark of marks) {
    const known = marksOf.get(mark.dataset.seam) || [];
    known.push(mark);
    marksOf.set(mark.dataset.seam, known);
  }
  // The layer that is chosen. The style does the same alone, where the browser knows its newer selectors.
  const choices = [...document.querySelectorAll("input[name=layer]")];
  const chosen = () => {
    const choice = choices.find((one) => one.checked);
    for (const layer of svg && choice ? svg.querySelectorAll(".layer") : []) {
      layer.style.display = layer.dataset.layer === choice.value ? "inline" : "none";
    }
  };
  for (const choice of choices) choice.addEventListener("change", () => { chosen(); if (marks.length) restart(); });
  chosen();
  // Wide lines that nobody sees, for fingers: made of the marks of a layer when it is first shown, and laid under all of
  // them, so that none covers another seam's mark.
  const hitsOf = new Map();
  const ready = new Set();
  const makeHits = () => {
    for (const layer of svg ? svg.querySelectorAll(".layer") : []) {
      if (ready.has(layer) || !layer.getClientRects().length) continue;
      ready.add(layer);
      const under = document.createElementNS(svg.namespaceURI, "g");
      under.setAttribute("class", "hits");
      for (const seam of layer.querySelectorAll(".seam[data-seam]")) {
        const known = hitsOf.get(seam.dataset.seam) || [];
        for (const mark of seam.querySelectorAll(".mark")) {
          const hit = mark.cloneNode(false);
          for (const name of ["id", "style", "stroke", "stroke-dasharray", "stroke-opacity", "opacity"]) hit.removeAttribute(name);
          hit.setAttribute("class", "hit" + (seam.dataset.seam === lit ? " lit" : ""));
          hit.setAttribute("stroke-width", "2.6");
          hit.dataset.of = seam.id;
          known.push(hit);
          under.append(hit);
        }
        hitsOf.set(seam.dataset.seam, known);
      }
      layer.prepend(under);
    }
  };
  let lit = null;
  const light = (seam) => {
    if (seam === lit) return;
    for (const [on, which] of [[false, lit], [true, seam]]) {
      if (which === null) continue;
      for (const one of [rowOf.get(which), ...(marksOf.get(which) || []), ...(hitsOf.get(which) || [])]) if (one) one.classList.toggle("lit", on);
    }
    lit = seam;
  };
  // Where the pointer is on nothing, what has the focus stays lit.
  const focused = () => {
    const one = document.activeElement && document.activeElement.closest("[data-seam]");
    return one ? one.dataset.seam : null;
  };
  const over = (one) => light(one ? one.dataset.seam : focused());
  const show = (one) => {
    one.scrollIntoView({ block: "center", inline: "center", behavior: calm.matches ? "auto" : "smooth" });
    one.focus({ preventScroll: true });
  };
  const shown = (mark) => mark.getClientRects().length > 0;
  const order = rows.map((row) => row.dataset.seam);
  // One tab stop for the drawing: the arrows go from mark to mark by falling leakage.
  const inOrder = () => {
    const found = [];
    for (const seam of order) for (const mark of marksOf.get(seam) || []) if (shown(mark)) found.push(mark);
    return found;
  };
  let stopped = null;
  const stop = (mark) => {
    if (stopped) stopped.setAttribute("tabindex", "-1");
    if (mark) mark.setAttribute("tabindex", "0");
    stopped = mark;
  };
  const restart = () => { makeHits(); stop(inOrder()[0] || null); };
  // A row that is clicked brings its mark into the frame, and leaves the page where it is.
  const frame = svg && svg.closest(".sheet");
  const bring = (seam, how = calm.matches ? "auto" : "smooth") => {
    const mark = (marksOf.get(seam) || []).find(shown);
    if (!mark) return;
    const [own, inside] = [mark.getBoundingClientRect(), frame.getBoundingClientRect()];
    frame.scrollBy({
      left: (own.left + own.right - inside.left - inside.right) / 2,
      top: (own.top + own.bottom - inside.top - inside.bottom) / 2,
      behavior: how,
    });
  };
  const goToRow = (seam) => {
    const row = rowOf.get(seam);
    if (!row) return;
    if (row.hidden) clearFilters();
    show(row);
  };
  const goToMark = (seam) => {
    const own = marksOf.get(seam) || [];
    let mark = own.find(shown);
    if (!mark && own.length) {
      const choice = choices.find((one) => one.value === own[0].closest(".layer").dataset.layer);
      if (choice) { choice.checked = true; chosen(); restart(); }
      mark = own.find(shown);
    }
    if (mark) { stop(mark); show(mark); }
  };
  if (svg && marks.length) {
    // A picture is read as a whole; marks that can be pressed make it a group.
    svg.setAttribute("role", "group");
    for (const mark of marks) { mark.setAttribute("role", "button"); mark.setAttribute("tabindex", "-1"); }
    restart();
    const markAt = (event) => event.target.dataset && event.target.dataset.of ? $(event.target.dataset.of)
      : event.target.closest && event.target.closest(".seam[data-seam]");
    svg.addEventListener("pointerover", (event) => over(markAt(event)));
    svg.addEventListener("pointerleave", () => over(null));
    svg.addEventListener("focusin", (event) => { const mark = markAt(event); if (mark) { stop(mark); light(mark.dataset.seam); } });
    svg.addEventListener("click", (event) => { const mark = markAt(event); if (mark) goToRow(mark.dataset.seam); });
    svg.addEventListener("keydown", (event) => {
      const mark = markAt(event);
      if (!mark) return;
      const steps = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 };
      const all = inOrder();
      let next = null;
      if (event.key in steps) next = all[all.indexOf(mark) + steps[event.key]];
      else if (event.key === "Home") next = all[0];
      else if (event.key === "End") next = all[all.length - 1];
      else if (event.key === "Enter" || event.key === " ") { event.preventDefault(); goToRow(mark.dataset.seam); return; }
      else return;
      event.preventDefault();
      if (next) next.focus();
    });
  }
  // A frame that cannot show the whole sheet begins at what leaks most.
  if (frame && order.length && frame.scrollWidth > frame.clientWidth + 1) bring(order[0], "auto");
  addEventListener("keydown", (event) => { if (event.key === "Escape") light(null); });
  if (!body) return;
  const rowAt = (event) => event.target.closest("tr[data-seam]");
  body.addEventListener("pointerover", (event) => over(rowAt(event)));
  body.addEventListener("pointerleave", () => over(null));
  body.addEventListener("click", (event) => { const row = rowAt(event); if (row && frame) bring(row.dataset.seam); });
  body.addEventListener("focusin", (event) => { const row = rowAt(event); if (row) light(row.dataset.seam); });
  body.addEventListener("keydown", (event) => {
    const row = rowAt(event);
    if (!row || event.target !== row) return;
    if (event.key === "Enter") { event.preventDefault(); goToMark(row.dataset.seam); }
  });

  // Sort.
  const heads = [...table.tHead.rows[0].cells];
  const FIRST_NUMBER = 6;
  const key = (row, k) => k < FIRST_NUMBER ? row.cells[k].textContent : Number(row.dataset.n.split(" ")[k - FIRST_NUMBER]);
  const names = new Intl.Collator("en", { numeric: true });
  heads.forEach((head, k) => head.querySelector("button").addEventListener("click", () => {
    const was = head.getAttribute("aria-sort");
    // Figures begin with the largest, names with the first.
    const falls = was === "none" ? k >= FIRST_NUMBER : was === "ascending";
    for (const one of heads) one.setAttribute("aria-sort", "none");
    head.setAttribute("aria-sort", falls ? "descending" : "ascending");
    const sign = falls ? -1 : 1;
    const sorted = rows.map((row) => [key(row, k), row]);
    sorted.sort(([a], [b]) => sign * (k < FIRST_NUMBER ? names.compare(a, b) : a - b));
    body.append(...sorted.map(([, row]) => row));
  }));

  // Filter.
  const text = $("filter-text");
  const narrows = [["filter-side", 3], ["filter-place", 4], ["filter-reach", 5], ["filter-type", 2]].map(([id, k]) => [$(id), k]);
  const words = rows.map((row) => [...row.cells].map((cell) => cell.textContent).join(" ").toLowerCase());
  const named = rows.map((row) => [...row.cells].slice(0, FIRST_NUMBER).map((cell) => cell.textContent));
  const filter = () => {
    const wanted = text.value.trim().toLowerCase().split(/\s+/).filter(Boolean);
    let count = 0;
    rows.forEach((row, at) => {
      const fits = wanted.every((word) => words[at].includes(word))
        && narrows.every(([choice, k]) => !choice.value || named[at][k] === choice.value);
      row.hidden = !fits;
      if (fits) count += 1;
    });
    $("filter-count").textContent = count + " of " + rows.length + " seams";
  };
  const clearFilters = () => {
    text.value = "";
    for (const [choice] of narrows) choice.value = "";
    filter();
  };
  text.addEventListener("input", filter);
  for (const [choice] of narrows) choice.addEventListener("change", filter);
})();
