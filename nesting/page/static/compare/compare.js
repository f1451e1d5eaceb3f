// The product in several leathers: a table, a chart, the reasons.

import { get, keepFile, send, upload } from "../shell/api.js";
import { leathersForm } from "./leathers_form.js";
import { comparisonElements } from "./compare_answer.js";
import { el, field, select, show } from "../drawing/element.js";
import { trying } from "../shell/notice.js";
import { RunPanel } from "../shell/run_panel.js";

const START = { project: "", leathers: "", batch: "10", effort: "quick", seed: "1", seeds: "3", gap: "0 mm" };

export class CompareTab {
  constructor(host, desk) {
    this.desk = desk;
    this.search = new RunPanel({ answer: () => this.answer, stopId: "compare-stop", done: (told) => this.#finished(told), changed: () => this.#draw() });
    this.form = el("div", { class: "stack" });
    this.go = el("button", { type: "button", class: "main", id: "compare-go", text: "Compare", onclick: () => this.#start() });
    this.file = el("input", { type: "file", accept: ".toml", hidden: true, "aria-label": "Choose a leathers file" });
    this.file.addEventListener("change", () => this.#bring());
    this.answer = el("section", { id: "compare-answer", "aria-live": "polite", "aria-label": "Answer", tabindex: -1 });
    host.replaceChildren(
      el("header", {}, el("h2", { text: "Compare leathers" }), el("p", { class: "note", text: "The same product in each leather: what changes with thickness is worked out anew, the pieces are laid on each leather's hides, and the cost follows." })),
      el("div", { class: "split" },
        el("section", { class: "paper", "aria-label": "What to compare" }, this.form, this.go,
          el("div", { class: "row" }, el("button", { type: "button", id: "leathers-new", text: "New leathers", onclick: () => this.#write("") }),
            this.change = el("button", { type: "button", id: "leathers-change", text: "Change these", onclick: () => this.#write(this.question.leathers) })),
          el("button", { type: "button", class: "quiet", text: "Bring in a leathers file", onclick: () => this.file.click() }), this.file),
        el("div", { class: "stack" }, this.search.element, this.answer)));
  }

  get question() {
    return { ...START, ...this.desk.content.compare };
  }

  async shown() {
    await this.#load();
    if (!this.folder) return;
    if (!this.taken) {
      this.taken = true;
      await this.search.resume(this.desk.content.compareRun);
    }
    this.#draw();
    if (this.told) this.#finished(this.told);
  }

  async #load() {
    this.folder = (await trying(() => get("/api/folder"))) || this.folder;
  }

  #set(values) {
    this.desk.change({ compare: { ...this.question, ...values } });
  }

  #draw() {
    if (!this.folder) return;
    const { question } = this;
    show(this.go, !this.search.busy);
    this.change.disabled = !question.leathers;
    const choose = (name, files, words, id) => select([["", words], ...files.map((file) => [file, file.replace(/\.toml$/, "")])], question[name], { id, onchange: (event) => {
      this.#set({ [name]: event.target.value });
      this.change.disabled = !this.question.leathers;
    } });
    const input = (name, attributes = {}) => el("input", { ...attributes, value: question[name], oninput: (event) => this.#set({ [name]: event.target.value }) });
    const effort = select([["quick", "quick"], ["normal", "normal"], ["thorough", "thorough"]], question.effort, { onchange: (event) => this.#set({ effort: event.target.value }) });
    this.form.replaceChildren(
      field("Project", choose("project", this.folder.projects, "choose a project …", "compare-project")),
      field("Leathers", choose("leathers", this.folder.leathers, "choose a leathers file …", "compare-leathers")),
      el("div", { class: "pair" }, field("Made in one batch", input("batch", { inputmode: "numeric", id: "compare-batch" })), field("Between pieces", input("gap"))),
      el("div", { class: "three" }, field("Effort", effort), field("Seed", input("seed", { inputmode: "numeric" })), field("Seeds in all", input("seeds", { inputmode: "numeric", id: "compare-seeds" }))),
      el("p", { class: "note", text: "Every hide is searched once a seed: the more seeds, the better it is known how far the search alone shifts the figures." }));
  }

  async #bring() {
    const [file] = this.file.files;
    this.file.value = "";
    const kept = file && (await trying(() => upload("/api/leathers", file)));
    if (!kept) return;
    await this.#load();
    this.#set({ leathers: kept.file });
    this.#draw();
  }

  /** Leathers written in the form: a new file, or the chosen one changed. */
  async #write(file) {
    if (!this.folder) await this.#load();
    const kept = this.folder && (await trying(() => leathersForm(file, this.folder.hides, this.desk)));
    if (!kept) return;
    await this.#load();
    this.#set({ leathers: kept });
    this.#draw();
  }

  async #start() {
    this.go.disabled = true;
    const run = await trying(() => send("POST", "/api/comparisons", this.question));
    this.go.disabled = false;
    if (!run) return;
    this.told = null;
    this.answer.replaceChildren();
    this.desk.change({ compareRun: run.id });
    this.search.follow(run.id);
    this.search.stopButton.focus();
  }

  #finished(told) {
    this.told = told;
    this.answer.replaceChildren(...comparisonElements(told, (kind) => keepFile(`/api/comparisons/${told.id}/comparison.${kind}`)));
  }
}
