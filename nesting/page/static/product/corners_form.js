// The corners of a new outline typed one after another, beside the drawing on which they can be tapped.

import { el } from "../drawing/element.js";
import { told as measure } from "../pure/sizes.js";
import { stepsWords } from "../pure/typed_way.js";

const SAID = [["120, 0 round 8", "this corner rounded; cut 8 cuts it off"], ["120, 60 rise 6", "an arc leads there that bulges by 6; radius 50, or through 118, 30, gives it otherwise"],
  ["30, 90 by 50, 104", "a curve that a point bends, or two with “and” between"], ["smooth 15, 80 and 0, 40", "a smooth curve through the points"], ["0, 40 edge side", "what the edge that leads there is called"], [", 60", "x stays as in the corner before; 120 is x, and y stays"]];

/** The elements while an outline is drawn. `bench` has units, pending, and the acts putTyped, takePoint, close, dropPending. */
export function cornersElements(bench) {
  const { pending, units } = bench;
  const input = el("input", { "data-key": "corner-next", placeholder: "120, 0", autocomplete: "off", spellcheck: "false", onkeydown: (event) => {
    if (event.key === "Escape") return bench.dropPending();
    if (event.key !== "Enter") return null;
    event.preventDefault();
    const text = input.value.trim();
    input.value = "";
    return text ? bench.putTyped(text) : bench.close();
  } });
  const rows = pending.map((point, i) => el("li", { text: bench.pendingTold[i] ? stepsWords([bench.pendingTold[i]]) : point.map((value) => measure(value, units)).join(", ") }));
  return [el("section", { "aria-label": "New outline" }, el("h3", { text: "A new outline" }),
    el("p", { class: "note", text: "Tap its corners, or type them: x, a comma, y, and Enter for the next. Sums may use t, named lengths and choices; sums and curves are drawn once it is closed." }),
    el("details", { class: "more-of-it", "data-key": "corner-words" }, el("summary", { text: "What can be said after it" }), el("dl", {}, ...SAID.flatMap(([words, what]) => [el("dt", {}, el("kbd", { text: words })), el("dd", { text: what })]))),
    el("label", { class: "field" }, el("span", { text: `corner ${pending.length + 1}: x, y` }), input),
    el("ol", {}, ...rows),
    el("div", { class: "row" }, el("button", { type: "button", text: "Close the outline", "data-key": "corner-close", disabled: pending.length < 2, onclick: () => bench.close() }),
      el("button", { type: "button", class: "quiet", text: "Take back the last", "data-key": "corner-back", disabled: !pending.length, onclick: () => bench.takePoint() }),
      el("button", { type: "button", class: "quiet", text: "Leave it", "data-key": "corner-leave", onclick: () => bench.dropPending() })))];
}
