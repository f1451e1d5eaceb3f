// The plan: a product on the hide, the search for its layout, and the answer.

import { get, keepFile, send, upload } from "../shell/api.js";
import { byId, el, field, select, show } from "../drawing/element.js";
import { LayoutView } from "../drawing/layout_view.js";
import { floorOf } from "../pure/lens.js";
import { look } from "../shell/look.js";
import { say, trying } from "../shell/notice.js";
import { AnswerStrip } from "./answer_strip.js";
import { Hand } from "./hand.js";
import { HandBar } from "./hand_bar.js";
import { fileElements } from "../shell/files.js";
import { showInterlock } from "./interlock.js";
import { markCut } from "./mark_cut.js";
import { answerElements } from "./plan_answer.js";
import { blankForm, formElements } from "./project_form.js";
import { RunPanel } from "../shell/run_panel.js";
import { Surface } from "../drawing/surface.js";
import { wireZoomers } from "../drawing/zoomers.js";

const EFFORTS = [["quick", "quick: seconds"], ["normal", "normal: about half a minute"], ["thorough", "thorough: minutes"]];
const ON_PHOTO = ["sheet.pdf", "picture.png"];
const OWN = "(make one here)";
const START = { project: "", form: null, gap: "0 mm", edge: "", effort: "quick", seed: "1", straight: false, cutter_least: "", cutter_most: "", kerf: "" };

/** The picture that a hide file names, where it lies in the folder. */
async function kept({ file, box }) {
  const href = `/api/pictures/${encodeURIComponent(file)}`;
  const there = await fetch(href, { headers: { "X-Hideplan": "page" } }).catch(() => null);
  return there?.ok ? { href, box } : null;
}

export class Plan {
  constructor(draft, acts) {
    this.acts = acts;
    this.draft = draft;
    this.surface = new Surface(byId("plan-surface"), { label: "The layout. N and P choose a piece: then arrows move it, R turns it, L locks it, C marks it cut, G gone. F marks a flaw found, T leather taken. With none chosen arrows move the view; plus, minus and 0 zoom." });
    this.view = new LayoutView(this.surface, byId("tip"));
    this.view.measure = (mm) => look.length(mm);
    wireZoomers(this.surface);
    this.projects = [];
    this.result = null;
    this.#build(byId("plan-side"));
  }

  get plan() {
    return { ...START, ...this.draft.content.plan };
  }

  /** A new draft: take up the layout it had, or the search it left running. */
  async opened() {
    this.result = null;
    this.surface.forget();
    await this.search.resume(this.draft.aside.run);
    this.refresh();
  }

  /** The tab comes to the front. */
  async shown() {
    await this.loadProjects();
    this.answered = null; // what was done at the table or under Stock shows
    this.refresh();
  }

  async loadProjects() {
    const told = await get("/api/folder").catch(() => null);
    if (told) this.projects = told.projects;
  }

  refresh() {
    const { hide } = this.draft.content;
    if (!hide) return;
    this.#fillInputs();
    this.#showProduct();
    this.#showPhoto(hide);
    const drawn = this.result ? this.result.id : JSON.stringify(hide);
    if (drawn !== this.drawn && !this.growing) {
      if (this.result) this.#take(this.result);
      else this.#bare(hide);
      this.drawn = drawn;
    } else if (this.hand.hide) this.#followHand();
    this.#showAnswer();
    this.#showState();
  }

  /** The photo under the layout, where there is one of the hide as it stands and it is wanted. */
  async #showPhoto(hide) {
    const { photo } = this.draft.content;
    const made = this.result && this.draft.aside.made;
    const same = !made || JSON.stringify(JSON.parse(made).hide) === JSON.stringify(hide);
    const key = same && (photo?.marks ? JSON.stringify([photo.id, floorOf(photo)]) : hide.photo ? JSON.stringify(hide.photo) : "");
    show(this.photoCheck, Boolean(key));
    if (key !== this.photoKey) {
      this.photoKey = key;
      this.flat = null;
      if (key) this.flat = photo?.marks ? await send("POST", `/api/photos/${photo.id}/flat`, floorOf(photo)).catch(() => null) : await kept(hide.photo);
      if (this.photoKey !== key) return;
      if (key && !this.flat) show(this.photoCheck, false);
    }
    const wanted = this.flat && this.onPhoto.checked ? this.flat : null;
    if (wanted !== (this.view.photo || null)) this.view.lieOn(wanted);
  }

  /** What a sheet is asked for so that it lies on the photo. */
  #photoQuery() {
    const { photo } = this.view;
    return photo ? `&${new URLSearchParams({ photo: decodeURIComponent(photo.href.split("/")[3]), box: photo.box.join(",") })}` : "";
  }

  /** Draw an answer, and let its pieces be moved. */
  #take(result) {
    this.hand.open(result);
    this.#drawHand();
  }

  #bare(hide) {
    this.hand.close();
    this.view.drawHide(hide);
  }

  // What was found on the hide since, and where pieces were moved to, shows; offcuts hold for the pieces as they were laid.
  #drawHand() {
    const [hide] = this.result.layout.hides;
    this.drawnOf = [this.draft.content.hide.flaws, this.hand.moved];
    this.view.drawLayout({ ...hide, found: this.hand.found, placements: this.hand.drawn(), offcuts: this.hand.moved ? [] : hide.offcuts }, this.#kinds());
  }

  #followHand() {
    this.hand.follow();
    const [flaws, moved] = this.drawnOf;
    if (flaws !== this.draft.content.hide.flaws || moved !== this.hand.moved) this.#drawHand();
  }

  #found(words, flaw) {
    this.draft.changeHide(words, (hide) => ({ ...hide, flaws: [...(hide.flaws || []), flaw] }));
  }

  /** The answer as its pieces lie now: where any was moved, an answer of its own. Null where that cannot be. */
  async settled() {
    const { result, hand } = this;
    if (!result || hand.result !== result || !hand.moved) return result;
    const told = await trying(() => send("POST", `/api/runs/${result.id}/by-hand`, { laid: hand.places() }));
    if (!told || this.result !== result) return null;
    this.draft.setAside({ run: told.id });
    await this.#finished(told);
    this.refresh();
    say("The pieces as you laid them are an answer of their own now, beside the former one.");
    return told;
  }

  /** The search holds more than before: show it, unless the former answer has as much. */
  #grew(shown) {
    const held = (products) => products.reduce((sum, product) => sum + product.complete, 0);
    if (this.result && held(shown.products) <= held(this.result.answer.products)) return;
    this.growing = true;
    this.drawn = null;
    this.hand.close();
    const kinds = [...new Set(shown.placements.map((placement) => placement.piece))].sort();
    this.view.drawLayout({ ...this.draft.content.hide, placements: shown.placements, offcuts: [] }, kinds);
    const words = shown.products.map((p) => `${p.complete} × ${p.name} so far. ${p.claim}`);
    byId("plan-hint").textContent = words.join(" ");
  }

  /** An answer that was kept is shown again. */
  #again(result, made) {
    this.result = result;
    this.draft.setAside({ run: result.id, made });
    this.refresh();
  }

  #kinds() {
    return this.result.pieces.map((piece) => piece.name);
  }

  #build(host) {
    this.project = el("select", { id: "project" });
    this.project.addEventListener("change", () => this.#chooseProject(this.project.value));
    this.file = el("input", { type: "file", accept: ".toml", hidden: true, id: "project-file", "aria-label": "Choose a project file" });
    this.file.addEventListener("change", () => this.#uploadProject());
    this.product = el("div", { class: "side-part" });
    const input = (name, attributes = {}) => {
      const box = el("input", { id: `plan-${name}`, ...attributes });
      box.addEventListener("input", () => this.#set("Change a setting", { [name]: box.value }, `plan-${name}`));
      return box;
    };
    this.inputs = { gap: input("gap"), edge: input("edge", { placeholder: "the hide's own" }), seed: input("seed", { inputmode: "numeric" }),
      cutter_least: input("cutter_least", { placeholder: "any" }), cutter_most: input("cutter_most", { placeholder: "any" }), kerf: input("kerf", { placeholder: "0 mm" }) };
    this.cuts = el("div", { class: "three" }, field("Cutter from", this.inputs.cutter_least), field("to", this.inputs.cutter_most), field("A cut takes", this.inputs.kerf));
    this.effort = select(EFFORTS, "quick", { id: "plan-effort" });
    this.effort.addEventListener("change", () => this.#set("Change the effort", { effort: this.effort.value }));
    this.straight = el("input", { type: "checkbox", id: "plan-straight" });
    this.straight.addEventListener("change", () => this.#set("Change how it is cut", { straight: this.straight.checked }));
    this.onPhoto = el("input", { type: "checkbox", id: "plan-photo" });
    this.onPhoto.addEventListener("change", () => this.#showPhoto(this.draft.content.hide));
    this.photoCheck = el("label", { class: "check" }, this.onPhoto, el("span", { text: "The hide's photo under the layout, here and on the cut sheet" }));
    this.go = el("button", { type: "button", class: "main", id: "lay-out", text: "Lay out the pieces", onclick: () => this.#start() });
    this.goOn = el("section", { "aria-label": "Go on" }, this.go);
    this.search = new RunPanel({ answer: () => (this.result ? this.answer : this.go), done: (told) => this.#finished(told), changed: () => this.refresh(), grew: (shown) => this.#grew(shown) });
    this.hand = new Hand(this.view, { draft: this.draft, order: () => this.#order(), told: (words, one) => this.#handTold(words, one) });
    this.bar = new HandBar(byId("hand"), this.view, this.hand, {
      draft: this.draft, found: (words, flaw) => this.#found(words, flaw), hint: (words) => (byId("plan-hint").textContent = words), fill: () => this.#fill(),
    });
    this.strip = new AnswerStrip((result, made) => this.#again(result, made));
    this.answer = el("section", { "aria-label": "Answer", "aria-live": "polite", id: "answer", tabindex: -1 });
    this.interlock = el("button", { type: "button", class: "quiet", id: "interlock", text: "How it nests with itself", onclick: () => showInterlock(this.plan.project, this.plan.gap, this.draft.content.hide.thickness || "") });
    this.cutMark = el("div", { class: "row" });
    this.productMore = el("details", { open: true }, el("summary", { text: "Its pieces" }), this.product);
    host.replaceChildren(
      this.answer, this.strip.element, this.photoCheck,
      el("section", { "aria-label": "Product" }, el("h3", { text: "Product" }),
        field("Project", this.project),
        el("div", { class: "row" }, el("button", { type: "button", text: "Bring in a project file", onclick: () => this.file.click() }), this.file),
        this.productMore, this.interlock),
      el("section", { "aria-label": "Search" }, el("h3", { text: "Search" }),
        el("div", { class: "pair" }, field("Between pieces", this.inputs.gap), field("Clear along the edge", this.inputs.edge)),
        el("div", { class: "pair" }, field("Effort", this.effort), field("Seed", this.inputs.seed)),
        el("label", { class: "check" }, this.straight, el("span", { text: "Straps and rectangles in straight strips off one line" })), this.cuts,
        this.search.element),
      this.goOn);
  }

  #set(words, values, kind = null) {
    this.draft.change(words, (content) => ({ ...content, plan: { ...this.plan, ...values } }), kind);
  }

  #fillInputs() {
    const { plan } = this;
    const options = [["", "choose a project …"], ...this.projects.map((name) => [name, name]), [OWN, "make one here"]];
    if (plan.project && plan.project !== OWN && !this.projects.includes(plan.project)) options.push([plan.project, plan.project]);
    this.project.replaceChildren(...options.map(([value, words]) => el("option", { value, text: words })));
    this.project.value = plan.project;
    for (const [name, box] of Object.entries(this.inputs)) if (document.activeElement !== box) box.value = plan[name];
    this.effort.value = plan.effort;
    this.straight.checked = plan.straight;
    this.cuts.hidden = !plan.straight;
  }

  #chooseProject(project) {
    const form = project === OWN ? this.plan.form || blankForm() : this.plan.form;
    this.productMore.open = true;
    this.#set("Choose the project", { project, form });
  }

  async #uploadProject() {
    const [file] = this.file.files;
    this.file.value = "";
    if (!file) return;
    const kept = await trying(() => upload("/api/projects", file));
    if (!kept) return;
    await this.loadProjects();
    this.#set("Choose the project", { project: kept.file });
  }

  #showProduct() {
    const { plan } = this;
    const own = plan.project === OWN;
    show(this.interlock, Boolean(plan.project) && !own);
    const signature = own ? `own-${plan.form.pieces.length}-${this.formVersion || 0}` : `${plan.project}-${JSON.stringify(look.chosen)}`;
    if (this.productShown === signature && !(own && !this.product.contains(document.activeElement))) return;
    this.productShown = signature;
    if (own) this.#showForm();
    else if (plan.project) this.#showPieces(plan.project);
    else this.product.replaceChildren(el("p", { class: "note", text: "A project names the pieces of one product. Choose one, bring one in, or make one here." }));
  }

  #showForm() {
    const elements = formElements(() => this.plan.form, (words, form, kind = null) => this.#set(words, { form }, kind));
    this.product.replaceChildren(...elements,
      el("button", { type: "button", class: "quiet", id: "form-save", text: "Keep as a project file", onclick: () => this.#saveForm() }));
  }

  async #saveForm() {
    const kept = await trying(() => send("POST", "/api/projects/form", this.plan.form));
    if (!kept) return;
    await this.loadProjects();
    this.#set("Choose the project", { project: kept.file });
    say(`Kept as ${kept.file} in the folder.`);
  }

  async #showPieces(file) {
    this.product.replaceChildren(el("p", { class: "note", text: "Reading …" }));
    const thickness = encodeURIComponent(this.draft.content.hide.thickness || "");
    const told = await get(`/api/projects/${encodeURIComponent(file)}?thickness=${thickness}`).catch((problem) => ({ problem: problem.message }));
    if (this.plan.project !== file) return;
    if (told.problem) {
      this.productShown = null;
      this.product.replaceChildren(el("p", { class: "estimate", text: told.problem }));
      return;
    }
    const rows = told.pieces.map((piece) => el("tr", {}, el("td", { text: piece.name }), el("td", { class: "number", text: `${piece.count}` }),
      el("td", { text: piece.box.map((mm) => look.length(mm)).join(" × ") }), el("td", { text: piece.along })));
    this.product.replaceChildren(el("div", { class: "wide" }, el("table", { "aria-label": `Pieces of ${told.name}` },
      el("thead", {}, el("tr", {}, el("th", { scope: "col", text: told.name }), el("th", { scope: "col", class: "number", text: "Count" }), el("th", { scope: "col", text: "Size" }), el("th", { scope: "col", text: "Runs" }))),
      el("tbody", {}, ...rows))),
    el("button", { type: "button", class: "quiet", id: "to-product", text: "Change this product", onclick: () => this.acts.product(file) }));
  }

  #handTold(words, one) {
    if (one !== undefined) this.bar.tell(one);
    if (!this.search.busy && !this.bar.name) byId("plan-hint").textContent = words;
  }

  /** Leather that is gone is a flaw of the hide from now on, which can be taken back as any. */
  #fill() {
    const { keep, cut, gone } = this.hand.rest();
    const flaws = gone.map((outline) => ({ kind: "gone", outline, grade: "none", clearance: "" }));
    if (flaws.length) this.draft.changeHide("Mark what is cut", (hide) => ({ ...hide, flaws: [...(hide.flaws || []), ...flaws] }));
    return this.#start({ keep, cut, former: this.hand.places() });
  }

  async #start(more = {}) {
    const { plan } = this;
    if (!plan.project) return say("Choose a project first, or make one here.", true);
    if (!(this.draft.content.hide.outline?.length > 2)) return say("The hide has no outline yet.", true);
    this.go.disabled = true;
    const run = await trying(() => send("POST", "/api/runs", { ...this.#order(), ...more }));
    this.go.disabled = false;
    if (!run) return null;
    this.draft.setAside({ run: run.id, made: JSON.stringify(this.#order()) });
    this.search.follow(run.id);
    return this.search.stopButton.focus();
  }

  #order() {
    const { plan } = this;
    const product = plan.project === OWN ? { form: plan.form } : { project: plan.project };
    const { gap, edge, effort, seed, straight, cutter_least, cutter_most, kerf } = plan;
    return { hide: this.draft.content.hide, ...product, settings: { gap, edge, effort, seed, ...(straight && { straight, cutter_least, cutter_most, kerf }) } };
  }

  async #finished(told) {
    this.result = told;
    this.growing = false;
    const answers = [...(this.draft.aside.answers || []).filter(([id]) => id !== told.id), [told.id, this.draft.aside.made]].slice(-12);
    this.draft.setAside({ answers });
    this.productMore.open = this.plan.project === OWN;
    byId("plan-side").scrollTop = 0;
  }

  #showState() {
    const { busy } = this.search;
    if (!busy) this.growing = false;
    show(this.goOn, !busy);
    this.goOn.classList.toggle("go-on", !this.result); // once there is an answer, what it is for comes first
    const rest = this.result ? null : "The hide as it will be cut. Choose a project (the pieces of one product), then Lay out the pieces.";
    if (busy ? !this.growing : rest) byId("plan-hint").textContent = busy ? "Searching …" : rest;
  }

  #showAnswer() {
    show(this.answer, Boolean(this.result));
    this.bar.show(Boolean(this.result) && !this.search.busy);
    this.strip.show(this.draft.aside.answers || [], this.result?.id);
    if (!this.result) {
      this.answered = null;
      return;
    }
    const stale = this.draft.aside.made !== JSON.stringify(this.#order());
    const signature = `${this.result.id}-${stale}-${JSON.stringify(look.chosen)}`;
    if (this.answered === signature) return;
    this.answered = signature;
    this.answer.replaceChildren(
      ...answerElements(this.result, { area: (mm2) => look.area(mm2), stale, light: (kind) => this.view.light(kind) }),
      el("h3", { text: "To the cutting table" }),
      el("div", { class: "row" }, el("button", { type: "button", class: "main", id: "to-cutting", text: "Cut it now, step by step", onclick: () => this.acts.table("cutting") }),
        el("button", { type: "button", id: "to-projector", text: "Projector", onclick: () => this.acts.table("projector") })),
      ...fileElements((kind) => this.#keep(kind)), this.cutMark);
    this.#showMark();
  }

  async #keep(kind) {
    const answer = await this.settled();
    if (answer) keepFile(`/api/runs/${answer.id}/${kind}${ON_PHOTO.some((name) => kind.startsWith(name)) ? this.#photoQuery() : ""}`);
  }

  async #markCut(standing) {
    const answer = await this.settled();
    if (answer && (await markCut(answer, standing))) this.#showMark();
  }

  /** Whether the hide of this answer is marked cut, and the button that does it. */
  async #showMark() {
    const { result } = this;
    const standing = await get(`/api/runs/${result.id}/cutting`).catch(() => null);
    if (!standing || result !== this.result) return;
    const mark = el("button", { type: "button", id: "mark-cut", text: "Mark this hide cut", onclick: () => this.#markCut(standing) });
    this.cutMark.replaceChildren(standing.marked ? el("p", { class: "note fine", text: "This hide is marked cut; its offcuts lie on the shelf." }) : mark);
  }
}
