// The cutting table: one piece or strip at a time, large, with its marks and where they are, ticked off when it is cut.

import { get } from "../shell/api.js";
import { hideParts } from "../drawing/bench_drawing.js";
import { el, pathOf, svg } from "../drawing/element.js";
import { coloursOf } from "../drawing/layout_view.js";
import { Surface } from "../drawing/surface.js";
import { bounds } from "../pure/geometry.js";
import { look } from "../shell/look.js";
import { trying } from "../shell/notice.js";
import { markCut } from "../plan/mark_cut.js";
import { Ticks } from "./ticks.js";

const ROOM = 0.35, LEAST_ROOM = 60;

export class Cutting {
  /** `leave()` goes back to the plan. */
  constructor(host, { leave }) {
    this.host = host;
    const button = (id, text, act, more = {}) => el("button", { type: "button", id, text, onclick: act, ...more });
    this.stage = el("div", { class: "sheet", id: "cutting-surface" });
    this.title = el("h2", { id: "cutting-title", tabindex: "-1" });
    this.progress = el("p", { class: "note", id: "cutting-progress", role: "status" });
    this.bar = el("progress", { max: 1, "aria-label": "How much of the layout is cut" });
    this.words = el("div", { class: "stack" });
    this.marks = el("div", { class: "wide" });
    this.done = button("cutting-done", "Cut", () => this.tick(), { class: "main huge" });
    this.whole = button("cutting-whole", "Whole hide", () => this.#look(!this.wide), { "aria-pressed": "false" });
    this.end = el("div", { class: "row", id: "cutting-end" });
    host.replaceChildren(
      this.stage,
      el("aside", { class: "side", "aria-label": "What to cut now" },
        el("div", { class: "row spread" }, button("cutting-leave", "Back to the plan", leave), this.whole),
        el("div", {}, this.bar, this.progress), this.title, this.words, this.marks,
        el("div", { class: "row steps" }, button("cutting-before", "‹ Before", () => this.step(-1)), this.done, button("cutting-next", "Next ›", () => this.step(1))),
        this.end,
        el("p", { class: "note", text: "Space: cut, and on to the next. ← →: before, next. Backspace: not cut after all. W: the whole hide. Tap a piece to go to it." })));
    this.surface = new Surface(this.stage, { label: "The piece to cut now on the hide" });
    this.drawn = svg("g");
    this.overlay = svg("g");
    this.surface.world.append(this.drawn);
    this.surface.overlay.append(this.overlay);
    this.surface.onView = () => this.#drawMarks();
    this.surface.tool = { tap: (place) => this.#tap(place), key: (event) => Boolean(this.steps) && this.#acted(event) };
    addEventListener("keydown", (event) => this.#key(event));
  }

  /** Begin, or go on, with an answer. */
  async open(result) {
    this.result = result;
    [this.hide] = result.layout.hides;
    this.#empty();
    this.ticks = new Ticks(result.id, () => this.#draw());
    const told = await trying(() => get(`/api/runs/${result.id}/steps${look.query()}`));
    if (!told || (await trying(async () => (await this.ticks.open(), true))) === null) return false;
    Object.assign(this, { steps: told.steps, datum: told.datum });
    this.at = Math.max(0, this.#open(0));
    this.wide = false;
    this.surface.forget();
    this.#build();
    this.#show();
    this.title.focus();
    await navigator.wakeLock?.request("screen").then((lock) => (this.awake = lock)).catch(() => null);
    return true;
  }

  #empty() {
    this.steps = null;
    for (const part of [this.drawn, this.overlay, this.words, this.marks, this.end]) part.replaceChildren();
    this.ended = null;
    this.title.textContent = "Working out the marks …";
    this.progress.textContent = "";
  }

  close() {
    this.awake?.release();
    this.awake = null;
    this.steps = null;
  }

  /** Tick the piece or strip off and go on; or take the tick back. */
  tick(on = !this.#isCut(this.at)) {
    this.ticks.set(this.steps[this.at].pieces, on);
    if (!on) return;
    const next = this.#open(this.at);
    if (next >= 0) this.#go(next);
  }

  step(by) {
    this.#go(Math.min(Math.max(this.at + by, 0), this.steps.length - 1));
  }

  #go(at) {
    this.at = at;
    this.#show();
  }

  #isCut(at) {
    return this.ticks.has(this.steps[at].pieces);
  }

  /** The next step that is not cut, from a place on and round again; −1 where all is. */
  #open(from) {
    const many = this.steps.length;
    for (let i = 0; i < many; i++) if (!this.#isCut((from + i) % many)) return (from + i) % many;
    return -1;
  }

  #key(event) {
    if (!this.steps || this.host.hidden || event.ctrlKey || event.metaKey || document.querySelector("dialog[open]")) return;
    if (this.#acted(event)) event.preventDefault();
  }

  #acted({ key, target }) {
    const onButton = target.closest?.("button, a, input, select");
    if (key === " " && !onButton) this.tick(true);
    else if (key === "ArrowRight") this.step(1);
    else if (key === "ArrowLeft") this.step(-1);
    else if (key === "Backspace") this.tick(false);
    else if (key === "w" || key === "W") this.#look(!this.wide);
    else return false;
    return true;
  }

  #tap(place) {
    const box = this.surface.root.getBoundingClientRect();
    const under = document.elementFromPoint(place.screen[0] + box.left, place.screen[1] + box.top);
    const index = this.paths.indexOf(under);
    const at = index < 0 ? -1 : this.steps.findIndex((step) => step.pieces.includes(index));
    if (at >= 0) this.#go(at);
  }

  #look(wide) {
    this.wide = wide;
    this.#fit();
  }

  #build() {
    const colours = coloursOf(this.result.pieces.map((piece) => piece.name));
    this.paths = this.hide.placements.map((placement) => svg("path", { d: pathOf(placement.outline), fill: colours[placement.piece] }));
    const [from, on] = this.datum, box = bounds(this.hide.outline), long = (box[2] - box[0] + box[3] - box[1]) / 100;
    const end = [from[0] + (on[0] - from[0]) * long, from[1] + (on[1] - from[1]) * long];
    this.drawn.replaceChildren(...hideParts(this.hide, null, true), ...this.paths, svg("path", { class: "datum", d: pathOf([from, end], false) }));
  }

  #show() {
    this.#draw();
    this.#fit();
  }

  #draw() {
    if (!this.steps || !this.paths) return;
    const step = this.steps[this.at], cut = this.#isCut(this.at), all = this.#open(0) < 0;
    this.paths.forEach((path, place) => {
      path.setAttribute("class", ["piece", this.ticks.cut.has(place) && "gone", step.pieces.includes(place) ? "now" : "faint"].filter(Boolean).join(" "));
    });
    for (const place of step.pieces) this.paths[place].parentNode.append(this.paths[place]);
    this.title.textContent = cut ? `${step.title} – cut` : step.title;
    this.words.replaceChildren(...step.words.map((text) => el("p", { text })));
    this.marks.replaceChildren(...(step.marks.length ? [markTable(step.marks)] : []));
    this.done.textContent = cut ? "Not cut after all" : step.pieces.length > 1 ? "Strip is cut" : "Cut";
    const many = this.hide.placements.length;
    this.progress.textContent = `${this.ticks.cut.size} of ${many} pieces cut${this.ticks.waiting ? "; kept in this browser until hideplan answers" : ""}.`;
    this.bar.value = many ? this.ticks.cut.size / many : 0;
    this.#drawEnd(all);
    this.#drawMarks();
  }

  #drawEnd(all) {
    const { marked } = this.ticks.standing || {};
    const signature = `${all}-${marked}`;
    if (this.ended === signature) return;
    this.ended = signature;
    if (marked) this.end.replaceChildren(el("p", { class: "note fine", text: "This hide is marked cut; its offcuts lie on the shelf." }));
    else if (!all) this.end.replaceChildren();
    else this.end.replaceChildren(el("p", { text: "All pieces are cut." }), el("button", { type: "button", class: "main", id: "cutting-mark", text: "Mark this hide cut", onclick: () => this.#mark() }));
  }

  async #mark() {
    if (!(await markCut(this.result, this.ticks.standing, true))) return;
    this.ticks.standing.marked = true;
    this.#draw();
  }

  #fit() {
    this.whole.setAttribute("aria-pressed", String(this.wide));
    const hide = bounds(this.hide.outline);
    if (this.wide) return this.surface.fit(hide);
    const [x0, y0, x1, y1] = bounds(this.steps[this.at].pieces.flatMap((place) => this.hide.placements[place].outline));
    const room = Math.max(LEAST_ROOM, ROOM * Math.max(x1 - x0, y1 - y0));
    return this.surface.fit([x0 - room, y0 - room, x1 + room, y1 + room]);
  }

  // Each mark as a cross with its number, and the square distance to the datum line.
  #drawMarks() {
    if (!this.steps) return;
    const { marks } = this.steps[this.at];
    this.overlay.replaceChildren(...marks.flatMap((mark, i) => this.#cross(mark, i + 1)));
  }

  #cross({ at, across }, number) {
    const [x, y] = this.surface.toScreen(at);
    const [fx, fy] = this.surface.toScreen(this.#foot(at, across));
    return [
      svg("path", { class: "to-datum", d: pathOf([[x, y], [fx, fy]], false) }),
      svg("path", { class: "mark-cross", d: `M${x - 11} ${y}h22M${x} ${y - 11}v22` }),
      svg("circle", { class: "mark-disc", cx: x + 17, cy: y - 17, r: 13 }),
      svg("text", { class: "label", x: x + 17, y: y - 17, text: String(number) }),
    ];
  }

  #foot([x, y], across) {
    const [[ax, ay], [bx, by]] = this.datum, long = Math.hypot(bx - ax, by - ay);
    return [x + (across * (by - ay)) / long, y - (across * (bx - ax)) / long];
  }
}

function markTable(marks) {
  const head = ["Mark", "along", "across"].map((text, i) => el("th", { scope: "col", class: i ? "number" : "", text }));
  const rows = marks.map((mark, i) => el("tr", {}, el("td", {}, el("b", { text: `${i + 1} ` }), mark.words),
    el("td", { class: "number figure", text: look.place(mark.along) }), el("td", { class: "number figure", text: look.place(mark.across) })));
  return el("table", { class: "marks", "aria-label": `Where the marks are, ${look.chosen.length}, along and across the datum line` }, el("thead", {}, el("tr", {}, ...head)), el("tbody", {}, ...rows));
}
