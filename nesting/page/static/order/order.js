// An order: what is wanted, which hides to cut for it, and how.

import { get, keepFile, send } from "../shell/api.js";
import { el, field, select, show } from "../drawing/element.js";
import { look } from "../shell/look.js";
import { ask, say, trying } from "../shell/notice.js";
import { planElements } from "./order_answer.js";
import { RunPanel } from "../shell/run_panel.js";

const EFFORTS = [["quick", "quick"], ["normal", "normal"], ["thorough", "thorough"]];
const SAME = ["leather", "thickness", "lot"];
const LINE = { project: "", quantity: "10", due: "", spares: "0", one_hide: true, leather: "", thickness: "", same: ["leather", "thickness"], same_each: [], straight: false };
const START = { name: "Order", for: "", hides: [], lines: [LINE], effort: "quick", seed: "1", gap: "0 mm", cutter_least: "", cutter_most: "", kerf: "" };

export class OrderTab {
  constructor(host, desk) {
    this.desk = desk;
    this.search = new RunPanel({ answer: () => this.answer, stopId: "order-stop", done: (told) => this.#finished(told), changed: () => this.#draw() });
    this.form = el("div", { class: "stack" });
    this.go = el("button", { type: "button", class: "main", id: "order-go", text: "Plan the order", onclick: () => this.#start() });
    this.answer = el("section", { id: "order-answer", "aria-live": "polite", "aria-label": "Answer", tabindex: -1 });
    this.source = el("p", { class: "note" });
    host.replaceChildren(
      el("header", {}, el("h2", { text: "Order" }), this.source),
      el("div", { class: "split" }, el("section", { class: "paper", "aria-label": "The order" }, this.form, this.go), el("div", { class: "stack" }, this.search.element, this.answer)));
  }

  get order() {
    return { ...START, ...this.desk.content.order };
  }

  async shown() {
    const [folder, stock] = await Promise.all([trying(() => get("/api/folder")), trying(() => get("/api/stock"))]);
    if (!folder || !stock) return;
    this.projects = folder.projects;
    this.stock = stock;
    const there = stock.hides.filter((hide) => hide.status === "in").length;
    const noun = there === 1 ? "hide" : "hides";
    this.source.textContent = stock.register ? `Cut from the ${there} ${noun} on the shelf of ${stock.register}.` : `Cut from the ${there} hide files of the folder. Begin a register under Stock to keep what was cut and the offcuts.`;
    if (!this.taken) {
      this.taken = true;
      await this.search.resume(this.desk.content.orderRun);
    }
    this.#draw();
  }

  #set(values, again = false) {
    this.desk.change({ order: { ...this.order, ...values } });
    if (again) this.#draw();
  }

  #setLine(index, values, again = false) {
    this.#set({ lines: this.order.lines.map((line, i) => (i === index ? { ...line, ...values } : line)) }, again);
  }

  #draw() {
    if (!this.projects) return;
    const { order } = this;
    show(this.go, !this.search.busy);
    const input = (name, attributes = {}) => el("input", { ...attributes, value: order[name], oninput: (event) => this.#set({ [name]: event.target.value }) });
    const effort = select(EFFORTS, order.effort, { onchange: (event) => this.#set({ effort: event.target.value }) });
    this.cuts = el("div", { class: "three" }, field("Cutter from", input("cutter_least", { placeholder: "any" })), field("to", input("cutter_most", { placeholder: "any" })), field("A cut takes", input("kerf", { placeholder: "0 mm" })));
    this.#showCuts();
    this.form.replaceChildren(this.#known(),
      el("div", { class: "pair" }, field("Name of the order", input("name", { id: "order-name", maxlength: 60 })), field("For whom", input("for", { maxlength: 60 }))),
      ...order.lines.map((line, i) => this.#line(line, i)),
      el("button", { type: "button", id: "order-more", text: "One more product", onclick: () => this.#set({ lines: [...this.order.lines, LINE] }, true) }),
      this.#hides(),
      this.cuts,
      el("div", { class: "three" }, field("Between pieces", input("gap")), field("Effort", effort), field("Seed", input("seed", { inputmode: "numeric" }))));
  }

  /** Which hides of the shelf may be cut: all, or those picked. */
  #hides() {
    const there = this.stock.hides.filter((hide) => hide.status === "in");
    const { hides } = this.order;
    const picked = (hide) => hides.length === 0 || hides.includes(hide.key);
    const all = there.map((hide) => hide.key);
    const toggle = (key, on) => {
      const now = (hides.length ? hides : all).filter((each) => all.includes(each) && each !== key);
      if (on) now.push(key);
      if (now.length) this.#set({ hides: now.length === all.length ? [] : now }, true);
      else this.#draw();
    };
    const lines = there.map((hide) => {
      const box = el("input", { type: "checkbox", "data-hide": hide.key, onchange: (event) => toggle(hide.key, event.target.checked) });
      box.checked = picked(hide);
      const facts = Object.fromEntries(hide.details);
      return el("label", { class: "check" }, box, el("span", { text: [hide.name, facts.leather, look.thickness(facts.thickness), facts.lot && `lot ${facts.lot}`].filter(Boolean).join(" · ") }));
    });
    const words = hides.length ? `${there.filter(picked).length} of ${there.length} hides may be cut` : "Every hide on the shelf may be cut";
    return el("details", { id: "order-hides-choice", open: this.hidesOpen, ontoggle: (event) => (this.hidesOpen = event.target.open) }, el("summary", { text: words }), ...lines);
  }

  /** The leathers on the shelf, to choose from. */
  #known() {
    const names = new Set(this.stock.hides.map((hide) => Object.fromEntries(hide.details).leather).filter(Boolean));
    return el("datalist", { id: "order-leathers" }, ...[...names].sort().map((value) => el("option", { value })));
  }

  #line(line, i) {
    line = { ...LINE, ...line };
    const options = [["", "choose a project …"], ...this.projects.map((name) => [name, name.replace(/\.toml$/, "")])];
    const project = select(options, line.project, { id: `order-project-${i}`, onchange: (event) => this.#setLine(i, { project: event.target.value }) });
    const input = (name, attributes) => el("input", { ...attributes, value: line[name], oninput: (event) => this.#setLine(i, { [name]: event.target.value }) });
    const each = this.#each(line, i);
    const whole = el("input", { type: "checkbox", onchange: (event) => { this.#setLine(i, { one_hide: event.target.checked }); show(each, !event.target.checked); } });
    whole.checked = line.one_hide;
    return el("fieldset", {}, el("legend", { text: `Product ${i + 1}` }),
      el("div", { class: "pair" }, field("Project", project), field("Quantity", input("quantity", { id: `order-quantity-${i}`, inputmode: "numeric" }))),
      el("div", { class: "pair" }, field("Due", input("due", { type: "date" })), field("Spares, per cent", input("spares", { inputmode: "decimal" }))),
      el("div", { class: "pair" }, field("Leather", input("leather", { id: `order-leather-${i}`, list: "order-leathers", placeholder: "any", maxlength: 60 })),
        field("Thickness", input("thickness", { id: `order-thickness-${i}`, placeholder: "any, or 9-11 oz" }))),
      this.#more(line, i),
      el("div", { class: "row spread" }, el("label", { class: "check" }, whole, el("span", { text: "All pieces of one from one hide" })),
        this.order.lines.length > 1 ? el("button", { type: "button", class: "quiet", text: "Remove", "aria-label": `Remove product ${i + 1}`, onclick: () => this.#set({ lines: this.order.lines.filter((_, n) => n !== i) }, true) }) : null),
      each);
  }

  /** In what the pieces of one product agree; asked only where they may come from several hides. */
  #each(line, i) {
    const alike = (name) => (on) => this.#setLine(i, { same_each: SAME.filter((each) => (each === name ? on : this.order.lines[i].same_each?.includes(each))) });
    const box = el("div", {},
      check("Each of one leather", line.same_each.includes("leather"), alike("leather")),
      check("Each of one thickness", line.same_each.includes("thickness"), alike("thickness")),
      check("Each of one lot", line.same_each.includes("lot"), alike("lot")));
    show(box, !line.one_hide);
    return box;
  }

  /** What is asked more rarely: one lot, mixed leathers, straight strips. */
  #more(line, i) {
    const alike = (name) => (on) => this.#setLine(i, { same: SAME.filter((each) => (each === name ? on : this.order.lines[i].same?.includes(each) ?? LINE.same.includes(each))) });
    return el("details", {}, el("summary", { text: "How its hides agree" }),
      check("One leather for all of them", line.same.includes("leather"), alike("leather")),
      check("One thickness for all of them", line.same.includes("thickness"), alike("thickness")),
      check("One lot for all of them", line.same.includes("lot"), alike("lot")),
      check("Straps and rectangles in straight strips", line.straight, (straight) => { this.#setLine(i, { straight }); this.#showCuts(); }));
  }

  /** What the cutter opens to is asked where a line wants strips. */
  #showCuts() {
    show(this.cuts, this.order.lines.some((line) => line.straight));
  }

  async #start() {
    this.go.disabled = true;
    const run = await trying(() => send("POST", "/api/orders", this.order));
    this.go.disabled = false;
    if (!run) return;
    this.answer.replaceChildren();
    this.desk.change({ orderRun: run.id });
    this.search.follow(run.id);
    this.search.stopButton.focus();
  }

  #finished(told) {
    this.answer.replaceChildren(...planElements(told, {
      keep: (kind) => keepFile(`/api/orders/${told.id}/${kind}`),
      commit: this.stock?.register && !told.committed && told.plan.layouts.length ? () => this.#commit(told) : null,
    }));
  }

  async #commit(told) {
    const count = told.plan.hides.length;
    const sure = await ask("Mark these hides cut?", `${count} ${count === 1 ? "hide leaves" : "hides leave"} the shelf, and the offcuts worth keeping go onto it. “Undo the last change” under Stock takes it back.`, [["yes", "Mark them cut"], ["", "Not yet"]]);
    if (sure !== "yes") return;
    const done = await trying(() => send("POST", `/api/orders/${told.id}/commit`, { partly: !told.plan.filled }));
    if (!done) return;
    say(`Marked cut; ${done.offcuts} offcuts put on the shelf.`);
    this.#finished({ ...told, committed: true });
  }
}

function check(words, checked, change) {
  const box = el("input", { type: "checkbox", onchange: (event) => change(event.target.checked) });
  box.checked = checked;
  return el("label", { class: "check" }, box, el("span", { text: words }));
}
