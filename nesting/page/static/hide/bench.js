// The bench: one hide on a surface, the tools that change it, and what stands beside it.

import { BenchDrawing, boxOf } from "../drawing/bench_drawing.js";
import { byId, el, pathOf, show } from "../drawing/element.js";
import { faultsOf } from "../pure/faults.js";
import { Loupe } from "../drawing/loupe.js";
import { Surface } from "../drawing/surface.js";
import { ringOf, sameShape, withRing, withoutMany, withoutShape } from "../pure/shapes.js";
import { Cross } from "./cross.js";
import { Mend } from "./mend.js";
import { makeTools, ringWithoutChosen } from "./tools.js";
import { wireZoomers } from "../drawing/zoomers.js";

const TOOLBAR = [
  ["adjust", "Adjust", "v"],
  ["outline", "Outline", "o"],
  ["flaw", "Flaw", "f"],
  ["zone", "Weaker zone", "z"],
  ["backbone", "Backbone", "b"],
  ["lasso", "Lasso", "g"],
  ["leather", "Paint leather", "l"],
  ["floor", "Paint not leather", "x"],
  ["stretch", "Stretch", "s"],
];
const ON_PHOTO = ["leather", "floor", "stretch"];
const LOUPE_RADIUS = 28;
const LIVE_POINTS = 3000;

/** How many points a hide has in all; beyond LIVE_POINTS it is looked over when a drag ends, not in every frame. */
function pointsOf(hide) {
  return [hide.outline, ...(hide.flaws || []).map((flaw) => flaw.outline)].reduce((sum, ring) => sum + ring.length, 0);
}

export class Bench {
  constructor(draft) {
    this.draft = draft;
    this.surface = new Surface(byId("bench-surface"), {
      label: "The hide. Keys: V, O, F, Z, B, G, L, X, S choose a tool; N and P the next and previous point; arrows move it; Delete takes it out; plus, minus and 0 zoom. While drawing, arrows move a cross, Space sets a place at it, N and P bring it to the outline's points, D to what is in doubt, Enter ends, Escape leaves off.",
    });
    this.drawing = new BenchDrawing(this.surface);
    this.loupe = new Loupe(byId("loupe"));
    this.cross = new Cross(this);
    this.tools = makeTools(this);
    this.mend = new Mend(this);
    this.choice = null;
    this.flat = null;
    this.strength = 1;
    this.onHide = () => {};
    this.surface.onView = () => this.#redrawView();
    wireZoomers(this.surface);
    this.#toolbar();
    this.use("adjust");
  }

  /** The hide as it stands, in the middle of a drag too. */
  get hide() {
    return this.moving || this.draft.content.hide;
  }

  get faults() {
    return this.lastFaults || [];
  }

  /** A new draft is on the bench. */
  opened() {
    this.moving = null;
    this.flat = null;
    this.surface.forget();
    this.cross.forget();
    const drawn = this.hide.outline?.length;
    this.choice = drawn ? { kind: "outline", index: 0, point: null } : null;
    this.use("adjust");
  }

  /** The flattened photo has come (or there is none). */
  showFlat(flat) {
    this.flat = flat;
    if (!flat && ON_PHOTO.includes(this.toolName)) this.use("adjust");
    this.refresh();
  }

  /** Draw everything anew. */
  refresh() {
    const { hide } = this;
    if (this.choice && !ringOf(hide, this.choice).length) this.choice = null;
    if (this.choice?.point >= ringOf(hide, this.choice).length) this.choice = { ...this.choice, point: null };
    if (this.choice?.many && ringOf(hide, this.choice).length !== this.choice.of) this.choice = { ...this.choice, many: null };
    this.mend.refresh();
    this.drawing.drawPhoto(this.flat && { ...this.flat, strength: this.strength });
    this.drawing.draw(hide, this.choice);
    this.surface.span(boxOf(hide, this.flat?.box), `${this.draft.id} ${this.flat?.href} ${Boolean(hide.outline?.length)}`);
    this.#lookOver();
    this.#buttons();
    this.onHide(hide, this.choice);
  }

  fit() {
    this.surface.fit(boxOf(this.hide, this.flat?.box));
  }

  setStrength(strength) {
    this.strength = strength;
    this.drawing.drawPhoto(this.flat && { ...this.flat, strength });
  }

  use(name) {
    this.surface.tool.end?.();
    this.toolName = name;
    this.surface.tool = this.tools[name];
    this.surface.host.classList.toggle("drawing", Boolean(this.surface.tool.drawing));
    for (const button of byId("tools").querySelectorAll("[data-tool]")) {
      button.setAttribute("aria-pressed", String(button.dataset.tool === name));
    }
    this.hint(this.surface.tool.hint);
  }

  hint(text) {
    byId("hint").textContent = text;
  }

  choose(choice) {
    const again = sameShape(choice, this.choice);
    this.choice = choice;
    if (!again) this.drawing.draw(this.hide, choice);
    else this.drawing.drawOverlay(this.hide, choice);
    this.#buttons();
    this.onHide(this.hide, choice);
  }

  /** Choose several points of a shape; `point` is the one the keys go on from. */
  chooseMany(choice, many, point = many[0]) {
    const sorted = [...new Set(many)].sort((a, b) => a - b);
    this.choose({ ...choice, point, many: sorted.length > 1 ? sorted : null, of: ringOf(this.hide, choice).length });
  }

  /** Put a point to those chosen, or take it from them. */
  toggle(index) {
    const { choice } = this;
    const many = choice.many || (choice.point ?? null) !== null ? choice.many || [choice.point] : [];
    const next = many.includes(index) ? many.filter((i) => i !== index) : [...many, index];
    if (next.length) this.chooseMany(choice, next, next.includes(index) ? index : next[0]);
    else this.choose({ ...choice, point: null, many: null });
  }

  /** The brush's width, 0 to 6, kept with the work. */
  get brush() {
    return this.draft.aside?.brush;
  }

  setBrush(width) {
    this.draft.setAside({ brush: Math.max(0, Math.min(6, width)) });
    this.onHide(this.hide, this.choice);
  }

  /** One undoable step. */
  commit(words, hide, kind = null) {
    this.moving = null;
    this.draft.changeHide(words, () => hide, kind);
  }

  /** The middle of a drag: shown, measured, not yet a step. */
  live(hide, place) {
    this.moving = hide;
    if (this.frame) return;
    this.frame = requestAnimationFrame(() => {
      this.frame = null;
      if (!this.moving) return;
      this.drawing.drawLive(this.moving, this.choice);
      if (pointsOf(this.moving) < LIVE_POINTS) this.#lookOver();
      this.#loupeAt(place);
      this.onHide(this.moving, this.choice);
    });
  }

  commitLive(words) {
    const hide = this.moving;
    this.loupe.hide();
    if (hide) this.commit(words, hide);
  }

  dropLive() {
    this.moving = null;
    this.loupe.hide();
    this.refresh();
  }

  deleteChosen() {
    const { choice, hide } = this;
    if (!choice) return;
    const ring = choice.many ? withoutMany(ringOf(hide, choice), choice.many) : ringWithoutChosen(hide, choice);
    if (choice.many) {
      this.choice = { ...choice, point: null, many: null };
      this.commit(`Take out ${choice.many.length} points`, withRing(hide, choice, ring));
    } else if (ring) {
      this.choice = { ...choice, point: choice.point % ring.length };
      this.commit("Take out a point", withRing(hide, choice, ring));
    } else if (choice.point === null || choice.point === undefined || choice.kind === "backbone") {
      this.choice = null;
      this.commit(`Take away the ${choice.kind}`, withoutShape(hide, choice));
    } else this.hint("A shape needs three points; choose the whole shape to take it away.");
  }

  keepInSight(point) {
    const [x, y] = this.surface.toScreen(point);
    const { width, height } = this.surface.size;
    if (x < 20 || y < 20 || x > width - 20 || y > height - 20) this.surface.centre(point);
  }

  /** Bring a fault or a shape to the middle and choose it. */
  lookAt(choice, at) {
    this.choose({ ...choice, point: null });
    if (at) this.surface.centre(at, Math.max(this.surface.view.scale, 0.8));
  }

  #lookOver() {
    this.lastFaults = faultsOf(this.hide);
    this.drawing.drawOverlay(this.hide, this.choice, this.lastFaults);
  }

  #redrawView() {
    if (!this.draft.id || !this.drawing?.hide) return;
    this.drawing.drawOverlay(this.hide, this.choice);
    this.surface.tool.view?.();
    this.cross.redraw();
  }

  #loupeAt(place) {
    if (!this.flat || !place) return;
    const ring = ringOf(this.hide, this.choice);
    const at = this.choice.point === null ? place.world : ring[this.choice.point];
    const radius = Math.min(LOUPE_RADIUS * this.surface.pixel, 90);
    this.loupe.show({ ...this.flat, flip: true, at, radius, path: pathOf(ring), screen: place.screen, width: this.surface.size.width });
  }

  #toolbar() {
    const tools = TOOLBAR.map(([name, words, key]) =>
      el("button", { type: "button", "data-tool": name, "aria-pressed": "false", "aria-keyshortcuts": key, onclick: () => this.use(name) },
        words, " ", el("kbd", { "aria-hidden": "true", text: key.toUpperCase() })));
    this.deleteButton = el("button", { type: "button", id: "delete-chosen", text: "Delete point", onclick: () => this.deleteChosen() });
    byId("tools").replaceChildren(...tools, this.deleteButton);
    document.addEventListener("keydown", (event) => this.#shortcut(event));
  }

  #shortcut(event) {
    if (event.ctrlKey || event.metaKey || event.altKey || byId("bench").hidden || byId("panel-hide").hidden) return;
    if (event.target.closest("input, select, textarea, dialog")) return;
    const tool = TOOLBAR.find(([, , key]) => key === event.key.toLowerCase());
    if (tool && (this.flat || !ON_PHOTO.includes(tool[0]))) this.use(tool[0]);
  }

  #buttons() {
    const { choice } = this;
    for (const name of ON_PHOTO) show(byId("tools").querySelector(`[data-tool=${name}]`), Boolean(this.flat));
    show(this.deleteButton, Boolean(choice));
    const point = choice && choice.kind !== "backbone" && choice.point !== null && choice.point !== undefined;
    if (choice) this.deleteButton.textContent = choice.many ? `Delete ${choice.many.length} points` : point ? "Delete point" : `Delete ${choice.kind}`;
  }
}
