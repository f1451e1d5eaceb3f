// A plan in words and pictures: what it fills and costs, and one picture a hide.

import { hideParts } from "../drawing/bench_drawing.js";
import { el, pathOf, svg } from "../drawing/element.js";
import { bounds } from "../pure/geometry.js";
import { coloursOf } from "../drawing/layout_view.js";
import { fileElements } from "../shell/files.js";
import { look } from "../shell/look.js";
import { showShare } from "../pure/units.js";

/** The elements of a plan. `keep(kind)` downloads a file; `commit` marks the hides cut, or is null. */
export function planElements({ plan, claims, committed }, { keep, commit }) {
  return [
    el("section", { class: "paper", "aria-label": "The plan" },
      el("p", { class: "big", "data-filled": String(plan.filled), text: plan.filled ? "The order is filled" : shortWords(plan) }),
      el("p", { text: `${costWords(plan)} ${claims || ""}` }),
      plan.stopped ? el("p", { class: "note", text: "The search was stopped; this is the best it had." }) : null,
      productTable(plan), ...buyElements(plan), ...plan.remarks.map((text) => el("p", { class: "note", text: look.said(text) })),
      el("div", { class: "row" },
        el("button", { type: "button", class: "main", "data-file": "plan.json", text: "Keep the plan", onclick: () => keep("plan.json") }),
        commit ? el("button", { type: "button", id: "order-commit", text: plan.filled ? "Mark these hides cut" : "Mark these hides cut, though the order is not filled", onclick: commit }) : null,
        committed ? el("p", { class: "note fine", text: "These hides are marked cut." }) : null)),
    plan.layouts.length === 0 ? null : el("div", { class: "cards", id: "order-hides" }, ...plan.layouts.map((layout, i) => hideCard(plan, layout, i, keep))),
  ].filter(Boolean);
}

function shortWords(plan) {
  return `Short of ${countsWords(plan.short)}`;
}

/** Products and how many of each: "2 × Map rack, 1 × Key fob". */
function countsWords(products) {
  return Object.entries(products).filter(([, count]) => count > 0).map(([name, count]) => `${count} × ${name}`).join(", ");
}

function costWords(plan) {
  const hides = plan.layouts.length;
  const paid = plan.hides.reduce((sum, hide) => sum + hide.cost, 0);
  const charged = plan.hides.reduce((sum, hide) => sum + hide.charged, 0);
  const kept = paid - charged > 0.005 ? `, ${(paid - charged).toFixed(2)} stays on the shelf in their offcuts` : "";
  const money = plan.currency ? `The hides to cut cost ${paid.toFixed(2)} ${plan.currency}: ${charged.toFixed(2)} is charged to this order${kept}. ` : "";
  return `${money}${hides} ${hides === 1 ? "hide is" : "hides are"} cut.`;
}

function productTable(plan) {
  const head = ["Product", "Ordered", "Spares", "Planned"].map((words, i) => el("th", { scope: "col", class: i ? "number" : "", text: words }));
  const rows = plan.products.map((product) => el("tr", {}, el("td", { text: product.name }),
    ...[product.ordered, product.spares, product.planned].map((value) => el("td", { class: "number", text: String(value) }))));
  return el("table", { "aria-label": "Order against plan" }, el("thead", {}, el("tr", {}, ...head)), el("tbody", {}, ...rows));
}

function buyElements(plan) {
  return plan.buy.map((each) => {
    const cost = each.cost === null ? "" : `, about ${each.cost.toFixed(2)} ${each.currency}`;
    return el("p", { class: "estimate", text: `For ${countsWords(each.products)} buy about ${each.hides} × ${each.cut} of ${look.area(each.area)}${each.leather ? ` (${each.leather})` : ""}${cost}: an estimate from typical outlines.` });
  });
}

function hideCard(plan, layout, i, keep) {
  const [hide] = layout.hides;
  const told = plan.hides[i];
  const mix = countsWords(told.products);
  const box = bounds(hide.outline);
  const [wide, high] = [box[2] - box[0], box[3] - box[1]];
  const colours = coloursOf([...new Set(layout.hides[0].placements.map((p) => `${p.product} ${p.piece}`))].sort());
  const pieces = hide.placements.map((p) => svg("path", { class: "piece", fill: colours[`${p.product} ${p.piece}`], d: pathOf(p.outline) }, svg("title", { text: `${p.piece} of ${p.product} ${p.number || "(spare)"}` })));
  const picture = svg("svg", { viewBox: `${box[0] - 10} ${-box[3] - 10} ${wide + 20} ${high + 20}`, class: "hide-picture", role: "img", "aria-label": `${hide.name} with its ${hide.placements.length} pieces` },
    svg("g", { transform: "scale(1 -1)" }, ...hideParts(hide, null, true), ...pieces));
  return el("article", { class: "card" }, picture, el("h3", { text: hide.name }),
    el("p", { text: mix || "single pieces only" }),
    el("p", { class: "note", text: `${told.pieces} pieces, yield ${showShare(told.yield)}${told.offcuts ? `, ${told.offcuts} ${told.offcuts === 1 ? "offcut" : "offcuts"} to keep` : ""}` }),
    el("button", { type: "button", text: "Cut sheet (PDF)", "aria-label": `Cut sheet of ${hide.name}`, onclick: () => keep(`${i + 1}/sheet.pdf`) }),
    el("details", {}, el("summary", { text: `All files of ${hide.name}` }), ...fileElements((kind) => keep(`${i + 1}/${kind}`), ["layout.json", "sheet.pdf"])));
}
