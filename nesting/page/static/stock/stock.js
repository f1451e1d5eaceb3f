// The shelf: every hide with its picture, what is known of it, and what can be done with it.

import { get, send } from "../shell/api.js";
import { el, field, select } from "../drawing/element.js";
import { look } from "../shell/look.js";
import { say, trying } from "../shell/notice.js";

const PLACES = [["in", "on the shelf"], ["out", "taken out"], ["cut", "cut"], ["sold", "sold"], ["lost", "written off"], ["", "all"]];
const KINDS = { add: "Added", take: "Taken out", back: "Put back", cut: "Cut", undo: "Undone", redo: "Done again", sell: "Sold", lose: "Written off", reserve: "Kept for somebody", note: "Noted", correct: "Described anew" };

export class StockTab {
  constructor(host, acts) {
    this.acts = acts;
    this.place = select(PLACES, "in", { "aria-label": "Which hides to show" });
    this.place.addEventListener("change", () => this.#draw());
    this.sums = el("p", { class: "note", id: "stock-sums" });
    this.add = el("button", { type: "button", id: "stock-add", onclick: () => this.#change("add") });
    this.undo = el("button", { type: "button", id: "stock-undo", text: "Undo the last change", onclick: () => this.#change("undo") });
    this.redo = el("button", { type: "button", text: "Redo", onclick: () => this.#change("redo") });
    this.cards = el("div", { class: "cards", id: "stock-cards" });
    this.damaged = el("ul", { class: "faults" });
    this.books = el("pre", { class: "note", id: "stock-books" });
    this.money = el("details", {}, el("summary", { text: "What was paid, and where it stands" }), this.books);
    this.past = el("details", {}, el("summary", { text: "Latest changes" }));
    host.replaceChildren(
      el("header", { class: "row spread" }, el("div", {}, el("h2", { text: "Stock" }), this.sums), el("div", { class: "row" }, this.place, this.add, this.undo, this.redo)),
      this.damaged, this.cards, this.money, this.past);
  }

  async shown() {
    const told = await trying(() => get("/api/stock"));
    if (told) this.#take(told);
  }

  #take(told) {
    this.stock = told;
    this.#draw();
  }

  async #change(action, names = [], text = "") {
    if (this.changing) return; // a second press before the answer is no second change
    this.changing = true;
    const told = await trying(() => send("POST", `/api/stock/${action}`, { names, text }));
    this.changing = false;
    if (!told) return;
    say(`${action === "reserve" && !text.trim() ? "Free again" : KINDS[action]}: ${told.told}.`);
    this.#take(told);
  }

  #draw() {
    const { hides, register, sums, damaged, changes } = this.stock;
    this.sums.textContent = register ? `Register ${register}; ${look.said(sums)}.` : `Hide files of the folder; ${look.said(sums)}. A register remembers what was cut and keeps the offcuts.`;
    this.add.textContent = register ? "Add new hide files" : "Begin a register";
    this.books.textContent = this.stock.books || "";
    this.money.hidden = !this.stock.books;
    for (const part of [this.undo, this.redo, this.place, this.past]) part.hidden = !register;
    const chosen = hides.filter((hide) => !register || !this.place.value || hide.status === this.place.value);
    const focused = this.cards.contains(document.activeElement) ? document.activeElement.getAttribute("aria-label") : null;
    const open = new Set([...this.cards.querySelectorAll("details[open]")].map((part) => part.dataset.hide));
    this.cards.replaceChildren(...(chosen.length ? chosen.map((hide) => this.#card(hide)) : [el("p", { class: "note", text: "No hides here." })]));
    for (const part of this.cards.querySelectorAll("details")) part.open = open.has(part.dataset.hide);
    if (focused) this.cards.querySelector(`[aria-label="${CSS.escape(focused)}"]`)?.focus({ preventScroll: true });
    this.damaged.replaceChildren(...damaged.map((text) => el("li", { text })));
    this.past.replaceChildren(this.past.firstChild, el("ul", { class: "lines" }, ...changes.map((change) => el("li", {},
      el("span", { class: "what", text: `${KINDS[change.kind] || change.kind}: ${change.hides.join(", ")}${change.note ? ` (${change.note})` : ""}${change.in_force ? "" : ", undone since"}` }),
      el("small", { text: change.at.replace("T", " ").slice(0, 16) })))));
  }

  #card(hide) {
    const at = `/api/shelf/${encodeURIComponent(hide.key)}`;
    const facts = hide.details.flatMap(([name, text]) => [el("dt", { text: name }), el("dd", { text: look.fact(name, text) })]);
    const move = { in: ["take", "Take out"], out: ["back", "Put back"] }[hide.status];
    return el("article", { class: "card" },
      el("img", { src: `${at}/picture.svg`, alt: `Outline of ${hide.name}`, width: 300, height: 190, loading: "lazy" }),
      el("h3", { text: hide.name }), hide.estimate ? el("p", { class: "estimate", text: "An estimate, not measured." }) : null,
      el("dl", {}, ...facts),
      el("div", { class: "row" },
        hide.status === "in" ? el("button", { type: "button", text: "Plan on it", "aria-label": `Plan on ${hide.name}`, onclick: () => trying(async () => this.acts.plan(await get(at))) }) : null,
        this.stock.register && move ? el("button", { type: "button", text: move[1], "aria-label": `${move[1]}: ${hide.name}`, onclick: () => this.#change(move[0], [`#${hide.number}`]) }) : null,
        hide.status === "cut" ? el("a", { href: `${at}/layout.json`, download: `${hide.name}-layout.json`, text: "Its layout" }) : null),
      this.stock.register && move ? this.#more(hide) : null);
  }

  /** What is done more rarely with a hide on hand. */
  #more(hide) {
    const act = (action, text = "") => this.#change(action, [`#${hide.number}`], text);
    const ask = (words, action, value, done) => {
      const input = el("input", { value: value || "", maxlength: 200 });
      return el("div", { class: "pair" }, field(words, input), el("button", { type: "button", text: done, "aria-label": `${done}: ${words.toLowerCase()} ${hide.name}`, onclick: () => act(action, input.value) }));
    };
    const file = select([["", "choose …"], ...this.stock.files.map((name) => [name, name])], "");
    return el("details", { "data-hide": `${hide.number}` }, el("summary", { text: "Keep, note, correct, sell" }),
      ask("Kept for", "reserve", hide.reserved, "Keep"), ask("Note", "note", hide.note, "Save"),
      el("div", { class: "pair" }, field("Described anew by", file), el("button", { type: "button", text: "Correct", "aria-label": `Correct: ${hide.name}`, onclick: () => (file.value ? act("correct", file.value) : say("Choose the hide file that describes it first.", true)) })),
      el("div", { class: "row" },
        el("button", { type: "button", class: "quiet", text: "Sold whole", "aria-label": `Sold whole: ${hide.name}`, onclick: () => act("sell") }),
        el("button", { type: "button", class: "quiet", text: "Spoilt or gone", "aria-label": `Spoilt or gone: ${hide.name}`, onclick: () => act("lose") })));
  }
}
