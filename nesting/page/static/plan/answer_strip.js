// Every answer kept as a small picture, to be looked at, compared and taken back.

import { get } from "../shell/api.js";
import { el, pathOf, svg } from "../drawing/element.js";
import { coloursOf } from "../drawing/layout_view.js";
import { bounds } from "../pure/geometry.js";
import { trying } from "../shell/notice.js";

export class AnswerStrip {
  /** `again(result, made)` takes an answer back. */
  constructor(again) {
    this.again = again;
    this.known = new Map();
    this.list = el("div", { class: "answers", role: "list" });
    this.element = el("section", { "aria-label": "Answers so far", id: "answers", hidden: true }, el("h3", { text: "Answers so far" }), this.list);
  }

  /** Show the answers of these runs: [id, what it was made of]. */
  async show(answers, current) {
    const signature = JSON.stringify([answers.map(([id]) => id), current]);
    if (signature === this.shown) return;
    this.shown = signature;
    this.element.hidden = answers.length < 2;
    for (const [id] of answers) {
      if (!this.known.has(id)) this.known.set(id, await get(`/api/runs/${id}`).catch(() => null));
    }
    if (signature !== this.shown) return;
    const there = answers.filter(([id]) => this.known.get(id)?.layout);
    this.list.replaceChildren(...there.map(([id, made]) => this.#card(this.known.get(id), made, id === current)));
  }

  #card(result, made, current) {
    const words = result.answer.products.map((product) => `${product.complete} × ${product.name}`).join(", ");
    return el("div", { role: "listitem" }, el("button", {
      type: "button", class: "answer-card", "aria-pressed": String(current), "data-run": result.id, onclick: () => trying(async () => this.again(result, made)),
    }, picture(result), el("span", { text: words })));
  }
}

function picture(result) {
  const [hide] = result.layout.hides;
  const [x0, y0, x1, y1] = bounds(hide.outline);
  const colours = coloursOf(result.pieces.map((piece) => piece.name));
  return svg("svg", { viewBox: `${x0} ${-y1} ${x1 - x0} ${y1 - y0}`, "aria-hidden": "true" }, svg("g", { transform: "scale(1 -1)" },
    svg("path", { class: "leather", d: pathOf(hide.outline) }),
    ...hide.placements.map((placement) => svg("path", { class: "piece", fill: colours[placement.piece], d: pathOf(placement.outline) }))));
}
