// How well each piece of a product nests with itself.

import { get } from "../shell/api.js";
import { el } from "../drawing/element.js";
import { look } from "../shell/look.js";
import { ask, trying } from "../shell/notice.js";
import { showShare } from "../pure/units.js";

/** Show it for a project in the folder, with the plan's gap and the hide's thickness. */
export async function showInterlock(file, gap, thickness) {
  const at = `/api/projects/${encodeURIComponent(file)}/interlock`, query = `?${new URLSearchParams({ gap, thickness })}`;
  const told = await trying(() => get(at + query));
  if (!told) return;
  const head = ["Piece", "Area", "Takes", "Becomes pieces", "Between the pieces", "Lies"].map((text, i) => el("th", { scope: "col", class: i && i < 5 ? "number" : "", text }));
  const rows = told.pieces.map((piece) => el("tr", {}, el("td", { text: piece.piece }),
    ...[look.area(piece.area), look.area(piece.takes), showShare(piece.yield), showShare(piece.first_waste)].map((text) => el("td", { class: "number", text })),
    el("td", { text: piece.head_to_tail ? "head to tail" : "one way" })));
  const pairs = told.pairs.map((pair) => el("p", { text: `${pair.first} and ${pair.second} share leather: of what they take together ${showShare(pair.yield)} becomes pieces.` }));
  const box = document.getElementById("question");
  box.classList.add("broad");
  await ask(`How ${told.product} nests with itself`, [
    el("p", { text: `Whole products, every kind in rows by itself: ${showShare(told.yield)} of the leather becomes pieces.` }),
    el("div", { class: "wide", tabindex: "0" }, el("table", { "aria-label": "Interlock of the pieces" }, el("thead", {}, el("tr", {}, ...head)), el("tbody", {}, ...rows))),
    ...pairs, el("img", { class: "interlock", src: `${at}.svg${query}`, alt: "Each piece repeated without end, and the parallelogram that holds one with what lies between the pieces" }),
    el("p", { class: "note", text: told.terms })], [["done", "Done"]]);
  box.classList.remove("broad");
}
