// The layout at full size on the hide, by a projector above the table: fitted by dragging four corners onto four marks,
// thin lines to cut along, a square to check by, one piece lit at a time if wanted. The fit belongs to this window.

import { get } from "../shell/api.js";
import { el, field, pathOf, show, svg } from "../drawing/element.js";
import { bounds } from "../pure/geometry.js";
import { amid, firstCorners, placed, projection, rectangle, testSquare, turnedAbout } from "../pure/projection.js";
import { lengthMm } from "../pure/units.js";
import { look } from "../shell/look.js";
import { say, trying } from "../shell/notice.js";
import { Ticks } from "./ticks.js";

const STORE = "projector-fit";
const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
const HANDLE = 26;

export class Projector {
  constructor(host, { leave }) {
    this.host = host;
    this.leave = leave;
    this.root = svg("svg", { class: "beam", role: "application", tabindex: "0", "aria-label": "The layout as the projector throws it. The keys are listed in the panel." });
    const button = (id, text, act, pressed = false) => el("button", { type: "button", id, text, onclick: act, ...(pressed && { "aria-pressed": "false" }) });
    this.wide = el("input", { id: "projector-width", autocomplete: "off" });
    this.deep = el("input", { id: "projector-depth", autocomplete: "off" });
    for (const box of [this.wide, this.deep]) box.addEventListener("change", () => this.#sized());
    this.fitting = button("projector-fit", "Fit the corners", () => this.#use("fit"), true);
    this.placing = button("projector-place", "Shift the layout", () => this.#use("place"), true);
    this.one = button("projector-one", "One piece at a time", () => this.#toggle("one"), true);
    this.square = button("projector-square", "Test square", () => this.#toggle("square"), true);
    this.words = el("p", { class: "note", role: "status", id: "projector-words" });
    this.panel = el("div", { class: "beam-panel", id: "projector-panel" },
      el("div", { class: "row" }, button("projector-leave", "Back to the plan", leave), button("projector-full", "Full screen", () => this.#full()), button("projector-hide", "Hide this panel (H)", () => this.#panel(false))),
      el("div", { class: "pair" }, field("Between the marks, across", this.wide), field("Between the marks, deep", this.deep)),
      el("div", { class: "row" }, this.fitting, this.placing, this.one, this.square), this.words);
    host.replaceChildren(this.root, this.panel);
    addEventListener("keydown", (event) => this.#key(event));
    addEventListener("resize", () => this.#draw());
    this.root.addEventListener("pointerdown", (event) => this.#down(event));
    this.root.addEventListener("pointermove", (event) => this.#move(event));
    for (const end of ["pointerup", "pointercancel"]) this.root.addEventListener(end, () => this.#up());
  }

  /** Show an answer. `size` is the measured rectangle of the hide's photo, mm, whose coordinates the hide has; or null. */
  async open(result, size) {
    this.steps = null;
    this.root.replaceChildren();
    const told = await trying(() => get(`/api/runs/${result.id}/steps${look.query()}`));
    if (!told) return false;
    [this.hide] = result.layout.hides;
    this.result = result;
    this.ticks = new Ticks(result.id, () => this.#draw());
    await this.ticks.open().catch(() => null);
    this.steps = told.steps;
    this.at = Math.max(0, this.steps.findIndex((step) => !this.ticks.has(step.pieces)));
    this.fit = this.#kept(size);
    this.mode = "fit";
    this.corner = 0;
    Object.assign(this, { lit: false, checked: true });
    [this.wide.value, this.deep.value] = this.fit.size.map((mm) => look.length(mm));
    this.#panel(true);
    this.#draw();
    this.root.focus();
    return true;
  }

  close() {
    this.steps = null;
    if (document.fullscreenElement) document.exitFullscreen();
  }

  get #window() {
    return [this.host.clientWidth || innerWidth, this.host.clientHeight || innerHeight];
  }

  // The fit kept in this browser; where the layout lies belongs to the hide it was laid on.
  #kept(photo) {
    let kept = null;
    try {
      kept = JSON.parse(localStorage.getItem(STORE));
    } catch {
      // none, or damaged: begin anew
    }
    const box = bounds(this.hide.outline);
    const around = [box[2] - box[0], box[3] - box[1]].map((mm) => Math.ceil((mm + 100) / 100) * 100);
    const size = photo || kept?.size || around;
    const same = kept?.corners && kept.size[0] === size[0] && kept.size[1] === size[1];
    const home = photo ? { dx: 0, dy: 0, angle: 0 } : amid(box, size);
    return { size, corners: same ? kept.corners : firstCorners(size, this.#window), place: kept?.places?.[this.result.id] || home, places: kept?.places || {} };
  }

  #keep() {
    const { size, corners, place } = this.fit;
    const places = Object.fromEntries([...Object.entries(this.fit.places).slice(-20), [this.result.id, place]]);
    this.fit.places = places;
    try {
      localStorage.setItem(STORE, JSON.stringify({ size, corners, places }));
    } catch {
      say("This browser keeps nothing, so the fit is lost when the page is closed.", true);
    }
  }

  #sized() {
    const size = [lengthMm(this.wide.value, look.chosen.length), lengthMm(this.deep.value, look.chosen.length)];
    if (!size.every((mm) => mm >= 100 && mm <= 20_000)) return say("Give both distances between the marks, from 100 mm to 20 m.", true);
    this.fit = { ...this.fit, size };
    return this.#changed();
  }

  #changed() {
    this.#keep();
    this.#draw();
  }

  #use(mode) {
    this.mode = this.mode === mode ? "" : mode;
    this.#draw();
    this.root.focus();
  }

  #toggle(what) {
    if (what === "one") this.lit = !this.lit;
    else this.checked = !this.checked;
    this.#draw();
    this.root.focus();
  }

  #panel(visible) {
    show(this.panel, visible);
    if (visible) return;
    this.mode = "";
    this.#draw();
    this.root.focus();
  }

  #full() {
    if (document.fullscreenElement) document.exitFullscreen();
    else this.host.requestFullscreen?.().catch(() => null);
  }

  #key(event) {
    if (!this.steps || this.host.hidden || event.ctrlKey || event.metaKey || event.target.closest?.("input")) return;
    if (!this.#acted(event)) return;
    event.preventDefault();
    event.stopPropagation();
  }

  #acted({ key, shiftKey, target }) {
    const letters = { f: () => this.#use("fit"), m: () => this.#use("place"), l: () => this.#toggle("one"), t: () => this.#toggle("square"), h: () => this.#panel(this.panel.hidden), n: () => this.#step(1), p: () => this.#step(-1) };
    if (key.toLowerCase() in letters) letters[key.toLowerCase()]();
    else if ("1234".includes(key)) this.#corner(Number(key) - 1);
    else if (key in ARROWS) this.#arrow(ARROWS[key], shiftKey ? 10 : 1);
    else if ((key === "," || key === ".") && this.mode === "place") this.#turn(key === "," ? 0.2 : -0.2);
    else if (key === " " && this.lit && !target.closest?.("button")) this.#cut();
    else if (key === "Escape") this.panel.hidden ? this.#panel(true) : this.leave();
    else return false;
    return true;
  }

  #corner(index) {
    this.mode = "fit";
    this.corner = index;
    this.#draw();
  }

  #arrow([dx, dy], by) {
    if (this.mode === "fit") {
      this.#setCorner(this.corner, ([x, y]) => [x + dx * by, y + dy * by]);
    } else if (this.mode === "place") {
      const { place } = this.fit;
      this.fit = { ...this.fit, place: { ...place, dx: place.dx + dx * by, dy: place.dy - dy * by } };
      this.#changed();
    } else this.#step(dx || dy);
  }

  #setCorner(index, make) {
    const corners = this.fit.corners.map((corner, i) => (i === index ? make(corner) : corner));
    if (!projection({ ...this.fit, corners })) return;
    this.fit = { ...this.fit, corners };
    this.#changed();
  }

  #turn(by) {
    const box = bounds(this.hide.outline);
    const middle = placed([(box[0] + box[2]) / 2, (box[1] + box[3]) / 2], this.fit.place);
    this.fit = { ...this.fit, place: turnedAbout(this.fit.place, middle, by) };
    this.#changed();
  }

  #step(by) {
    this.at = Math.min(Math.max(this.at + by, 0), this.steps.length - 1);
    this.#draw();
  }

  #cut() {
    this.ticks.set(this.steps[this.at].pieces, true);
    this.#step(1);
  }

  #pixel(event) {
    const box = this.root.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  }

  #down(event) {
    const at = this.#pixel(event);
    this.root.setPointerCapture(event.pointerId);
    if (this.mode === "fit") {
      const far = this.fit.corners.map(([x, y]) => Math.hypot(x - at[0], y - at[1]));
      const index = far.indexOf(Math.min(...far));
      if (far[index] > 2 * HANDLE) return;
      this.corner = index;
      this.held = { corner: index, off: [this.fit.corners[index][0] - at[0], this.fit.corners[index][1] - at[1]] };
    } else if (this.mode === "place") this.held = { table: projection(this.fit).toTable(at), place: this.fit.place };
    this.#draw();
  }

  #move(event) {
    if (!this.held) return;
    const at = this.#pixel(event), { corner, off, table, place } = this.held;
    if (off) return void this.#setCorner(corner, () => [at[0] + off[0], at[1] + off[1]]);
    const [x, y] = projection(this.fit).toTable(at);
    this.fit = { ...this.fit, place: { ...place, dx: place.dx + x - table[0], dy: place.dy + y - table[1] } };
    this.#draw();
  }

  #up() {
    if (this.held) this.#changed();
    this.held = null;
  }

  #draw() {
    if (!this.steps) return;
    const map = projection(this.fit);
    if (!map) return;
    const line = (ring, name, closed = true) => svg("path", { class: name, d: pathOf(ring.map((point) => map.toPixels(point)), closed) });
    const laid = (ring) => ring.map((point) => placed(point, this.fit.place));
    const step = this.steps[this.at];
    const pieces = this.hide.placements.flatMap((placement, place) => {
      const now = step.pieces.includes(place), cut = this.ticks.cut.has(place);
      if (this.lit ? !now : cut) return [];
      return [line(laid(placement.outline), now && this.lit ? "beam-piece lit" : "beam-piece")];
    });
    const { size } = this.fit;
    this.root.replaceChildren(
      line(laid(this.hide.outline), "beam-hide"), ...pieces,
      ...(this.checked ? this.#squareParts(map, size, line) : []),
      ...(this.mode === "fit" ? [line(rectangle(size), "beam-marks"), ...this.fit.corners.flatMap((corner, i) => this.#handle(corner, i))] : []));
    this.#tell(step);
  }

  #squareParts(map, [width, depth], line) {
    const middle = [width / 2, depth / 2], [x, y] = map.toPixels(middle);
    return [line(testSquare(middle), "beam-square"), svg("text", { class: "beam-text", x, y, text: look.chosen.length === "in" ? "100 mm = 3 15/16 in" : "100 mm" })];
  }

  #handle([x, y], i) {
    const name = i === this.corner ? "beam-handle chosen" : "beam-handle";
    return [
      svg("circle", { class: name, cx: x, cy: y, r: HANDLE, "data-corner": i }),
      svg("path", { class: name, d: `M${x - HANDLE} ${y}h${2 * HANDLE}M${x} ${y - HANDLE}v${2 * HANDLE}` }),
      svg("text", { class: "beam-text", x: x + (i === 0 || i === 3 ? 1 : -1) * 44, y: y + (i < 2 ? 1 : -1) * 44, text: String(i + 1) }),
    ];
  }

  #tell(step) {
    for (const [button, on] of [[this.fitting, this.mode === "fit"], [this.placing, this.mode === "place"], [this.one, this.lit], [this.square, this.checked]]) button.setAttribute("aria-pressed", String(on));
    const words = {
      fit: "Lay four marks on the table as the corners of a measured rectangle. Drag corners 1 to 4 onto them, or choose one by its number and use the arrows (Shift: ten steps). Then measure the test square.",
      place: "Drag the layout until its outline lies on the hide's edge; arrows shift it by 1 mm, comma and full stop turn it.",
      "": `L: one piece at a time. N and P: next and before. T: test square. F: fit. M: shift. H: this panel.`,
    }[this.mode];
    this.words.textContent = this.lit ? `${step.title}, ${this.at + 1} of ${this.steps.length}. Space: cut, and on. ${this.mode ? words : ""}` : words;
  }
}
