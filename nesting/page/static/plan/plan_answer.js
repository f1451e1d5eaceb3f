// The answer in words and figures: products and bound, yield, where the leather goes, the pieces, the files.

import { el, svg } from "../drawing/element.js";
import { coloursOf } from "../drawing/layout_view.js";
import { showShare } from "../pure/units.js";

const FEW = 2;
const HEADS = [["pieces", "pieces", "#3f7f6f"], ["offcuts", "offcuts to keep", "#9bb86a"], ["edge", "edge strip", "#b99b6b"], ["flaws", "flaws", "#a2331d"], ["gone", "gone already", "#5b5f66"], ["scrap", "scrap", "#8d8372"]];

/** The elements of an answer. `light(kind or null)` makes one kind of piece stand out. */
export function answerElements(result, { area, stale, light }) {
  const { answer } = result;
  const parts = [el("h3", { text: "Answer" })];
  if (stale) parts.push(el("p", { class: "estimate", text: "This layout was made before the last change to the hide or the product. Lay out again to bring it up to date." }));
  if (answer.estimate) parts.push(el("p", { class: "estimate", text: "An estimate: this hide's outline was not measured." }));
  for (const product of answer.products) {
    parts.push(el("p", { class: "big", "data-complete": product.complete, text: `${product.complete} × ${product.name}` }),
      el("p", { class: "note", text: product.claim || "" }),
      ...(product.next?.laid ? [el("p", { class: "note", id: "begun", text: begunWords(product) })] : []));
  }
  for (const { pieces, strips, claim } of answer.straight || []) {
    parts.push(el("p", { class: "note", text: `${pieces} pieces come off ${strips} strips; the cut sheet has the table to cut by. ${claim || ""}` }));
  }
  if (answer.stopped) parts.push(el("p", { class: "note", text: "The search was stopped; this is the best it had." }));
  parts.push(...areaElements(answer, area), ...limitElements(answer), pieceTable(result, light));
  return parts;
}

function begunWords({ name, next: { laid, of, missing } }) {
  const lacking = Object.entries(missing).map(([piece, many]) => `${many} ${piece}`).join(", ");
  return `Of one more ${name} ${laid} of ${of} pieces are laid; it lacks ${lacking}. Areas and offcuts leave it out.`;
}

function areaElements(answer, area) {
  const gone = answer.gone || 0, areas = { ...answer.areas, flaws: answer.areas.flaws - gone, gone };
  const heads = HEADS.filter(([name]) => name !== "gone" || gone);
  const share = (value) => (areas.hide ? value / areas.hide : 0);
  let x = 0;
  const bars = heads.map(([name, words, colour]) => {
    const wide = 100 * share(areas[name]);
    const bar = svg("rect", { x, y: 0, width: wide, height: 10, fill: colour }, svg("title", { text: `${words} ${showShare(share(areas[name]))}` }));
    x += wide;
    return bar;
  });
  const rows = heads.map(([name, words, colour]) => el("tr", {}, el("td", {}, swatch(colour), words),
    el("td", { class: "number", text: area(areas[name]) }), el("td", { class: "number", text: showShare(share(areas[name])) })));
  return [
    el("p", { text: `Yield ${showShare(answer.yield.hide)} of the hide, ${showShare(answer.yield.usable)} of its usable part.` }),
    el("div", { class: "bars" }, svg("svg", { viewBox: "0 0 100 10", preserveAspectRatio: "none", role: "img", "aria-label": "Where the hide's area goes; the table below says it in figures" }, ...bars)),
    el("table", { "aria-label": "Where the hide's area goes" }, el("tbody", {}, ...rows)),
  ];
}

function limitElements(answer) {
  const costs = (answer.material || []).map((m) => `Leather bought for one ${m.product}: ${m.each.toFixed(2)} ${m.currency}.`);
  return [...costs.map((text) => el("p", { class: "note", text })), ...whyElements(answer.limits || [])];
}

// Of many kinds that limit a product the names, and on asking why.
function whyElements(limits) {
  const lines = limits.map(({ piece, why }) => el("p", { class: "note", text: `Limited by ${piece}${why ? `: ${why}` : ""}.` }));
  if (lines.length <= FEW) return lines;
  const names = limits.map(({ piece }) => piece);
  return [el("p", { class: "note", text: `Limited by ${names.slice(0, -1).join(", ")} and ${names.at(-1)}.` }), el("details", {}, el("summary", { text: "Why" }), ...lines)];
}

function pieceTable(result, light) {
  const colours = coloursOf(result.pieces.map((piece) => piece.name));
  const rows = result.pieces.map((piece) => {
    const row = el("tr", { tabindex: "0" }, el("td", {}, swatch(colours[piece.name]), piece.name),
      el("td", { class: "number", text: `${piece.placed}` }), el("td", { class: "number", text: `${piece.count}` }));
    for (const name of ["mouseenter", "focus"]) row.addEventListener(name, () => light(piece.name));
    for (const name of ["mouseleave", "blur"]) row.addEventListener(name, () => light(null));
    return row;
  });
  return el("table", { "aria-label": "Pieces in the layout" },
    el("thead", {}, el("tr", {}, el("th", { scope: "col", text: "Piece" }), el("th", { scope: "col", class: "number", text: "Cut" }), el("th", { scope: "col", class: "number", text: "in one product" }))),
    el("tbody", {}, ...rows));
}

function swatch(colour) {
  return svg("svg", { class: "swatch", viewBox: "0 0 10 10", "aria-hidden": "true" }, svg("rect", { width: 10, height: 10, fill: colour }));
}
