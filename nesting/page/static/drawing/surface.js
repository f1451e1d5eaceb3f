// A drawing that can be panned and zoomed with mouse, wheel, fingers and keys. It knows nothing of what is drawn:
// `world` holds the drawing in its own units, `overlay` what keeps its size on the screen. A tool may take a press;
// what no tool takes moves the view.

import { svg } from "./element.js";
import { fitView, toScreen, toWorld, zoomedAt } from "../pure/geometry.js";

const SLOP = { mouse: 3, pen: 5, touch: 9 };
const LINE = 30, NOTICE = 120;

export class Surface {
  constructor(host, { label, flip = true }) {
    this.host = host;
    this.flip = flip;
    this.world = svg("g", { class: "world" });
    this.overlay = svg("g", { class: "overlay" });
    this.root = svg("svg", { class: "surface", role: "application", "aria-label": label, tabindex: "0" }, this.world, this.overlay);
    host.prepend(this.root);
    this.view = { scale: 1, x: 0, y: 0, flip };
    this.tool = {};
    this.pointers = new Map();
    this.onView = () => {};
    this.box = null;
    this.#listen();
    new ResizeObserver(() => this.#resized()).observe(host);
  }

  /** Show this box of the world whole. */
  fit(box = this.box) {
    const { width, height } = this.#size();
    if (!box || width < 10) return;
    this.box = box;
    this.touched = false;
    this.shown = true;
    this.fitted = { width, height };
    const buttons = this.host.querySelector(".zoomers");
    const foot = buttons && buttons.offsetWidth > buttons.offsetHeight ? buttons.offsetHeight : 0; // in a row they take the foot
    this.#set(fitView(box, width, height - foot, Math.min(48, width / 10), this.flip));
  }

  /** Say what the whole drawing spans. It is shown whole when it is new and nobody moved the view. */
  span(box, key = "") {
    this.box = box;
    if (key === this.spanned && this.shown) return;
    this.spanned = key;
    if (!this.touched) this.fit(box);
  }

  /** Forget the view: the next drawing is shown whole. */
  forget() {
    this.touched = false;
    this.shown = false;
  }

  zoom(factor, place = null) {
    const { width, height } = this.#size();
    this.touched = true;
    this.#set(zoomedAt(this.view, place || [width / 2, height / 2], factor));
  }

  pan(dx, dy) {
    this.touched = true;
    this.#set({ ...this.view, x: this.view.x + dx, y: this.view.y + dy });
  }

  /** Bring a place of the world to the middle. */
  centre(point, scale = null) {
    const { width, height } = this.#size();
    const view = { ...this.view, scale: scale || this.view.scale };
    const [sx, sy] = toScreen(view, point);
    this.touched = true;
    this.#set({ ...view, x: view.x + width / 2 - sx, y: view.y + height / 2 - sy });
  }

  toScreen(point) {
    return toScreen(this.view, point);
  }

  toWorld(place) {
    return toWorld(this.view, place);
  }

  /** World length of one screen pixel. */
  get pixel() {
    return 1 / this.view.scale;
  }

  get size() {
    return this.#size();
  }

  #size() {
    return { width: this.host.clientWidth, height: this.host.clientHeight };
  }

  #set(view) {
    this.view = view;
    const { scale, x, y } = view;
    this.world.setAttribute("transform", `matrix(${scale} 0 0 ${this.flip ? -scale : scale} ${x} ${y})`);
    this.onView(view);
  }

  // A hint that takes one line more, or a notice that comes or goes, moves no drawing away under the hand.
  #resized() {
    const { width, height } = this.#size(), { fitted } = this;
    if (!this.box || width <= 10 || this.touched) return;
    const least = this.worked === fitted ? NOTICE : LINE;
    if (fitted?.width !== width || Math.abs(fitted.height - height) > least) this.fit();
  }

  #place(event) {
    const box = this.root.getBoundingClientRect();
    const screen = [event.clientX - box.left, event.clientY - box.top];
    return { screen, world: this.toWorld(screen), touch: event.pointerType === "touch", shift: event.shiftKey };
  }

  #listen() {
    const { root } = this;
    root.addEventListener("pointerdown", (event) => this.#down(event));
    root.addEventListener("pointermove", (event) => this.#move(event));
    root.addEventListener("pointerup", (event) => this.#up(event));
    root.addEventListener("pointercancel", (event) => this.#cancel(event));
    root.addEventListener("pointerleave", () => this.tool.leave?.());
    root.addEventListener("contextmenu", (event) => event.preventDefault());
    root.addEventListener("dblclick", (event) => this.tool.twice?.(this.#place(event)));
    root.addEventListener("wheel", (event) => this.#wheel(event), { passive: false });
    root.addEventListener("keydown", (event) => this.#key(event));
  }

  #down(event) {
    if (event.button > 1) return;
    this.worked = this.fitted;
    this.root.focus({ preventScroll: true });
    this.root.setPointerCapture(event.pointerId);
    const place = this.#place(event);
    this.pointers.set(event.pointerId, place.screen);
    if (this.pointers.size === 2) {
      if (this.press?.taken) this.tool.cancel?.();
      this.press = null;
      this.pinch = this.#grip();
      return;
    }
    if (this.pointers.size > 2) return;
    const taken = event.button === 0 && !event.ctrlKey && this.tool.press?.(place) === true;
    this.press = { id: event.pointerId, at: place.screen, last: place.screen, moved: false, taken, slop: SLOP[event.pointerType] ?? 4 };
  }

  #move(event) {
    const place = this.#place(event);
    if (!this.pointers.has(event.pointerId)) {
      this.tool.hover?.(place);
      return;
    }
    this.pointers.set(event.pointerId, place.screen);
    if (this.pinch && this.pointers.size === 2) this.#pinched();
    else if (this.press?.id === event.pointerId) this.#dragged(place);
  }

  #dragged(place) {
    const { press } = this;
    const [dx, dy] = [place.screen[0] - press.at[0], place.screen[1] - press.at[1]];
    if (!press.moved && Math.hypot(dx, dy) < press.slop) return;
    press.moved = true;
    if (press.taken) this.tool.drag?.(place);
    else this.pan(place.screen[0] - press.last[0], place.screen[1] - press.last[1]);
    press.last = place.screen;
  }

  #up(event) {
    const place = this.#place(event);
    this.pointers.delete(event.pointerId);
    if (this.pointers.size < 2) this.pinch = null;
    const { press } = this;
    if (press?.id !== event.pointerId) return;
    this.press = null;
    if (press.moved && press.taken) this.tool.release?.(place);
    else if (!press.moved) this.tool.tap?.(place);
  }

  #cancel(event) {
    this.pointers.delete(event.pointerId);
    this.pinch = null;
    if (this.press?.taken) this.tool.cancel?.();
    this.press = null;
  }

  /** Escape while something is in the hand: it goes back where it was. */
  #dropPress() {
    if (!this.press?.taken) return false;
    this.press = null;
    this.tool.cancel?.();
    return true;
  }

  #grip() {
    const [a, b] = [...this.pointers.values()];
    return { middle: [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2], spread: Math.hypot(a[0] - b[0], a[1] - b[1]) };
  }

  #pinched() {
    const now = this.#grip();
    const before = this.pinch;
    this.pinch = now;
    this.touched = true;
    const moved = { ...this.view, x: this.view.x + now.middle[0] - before.middle[0], y: this.view.y + now.middle[1] - before.middle[1] };
    this.#set(zoomedAt(moved, now.middle, now.spread / Math.max(1, before.spread)));
  }

  #wheel(event) {
    event.preventDefault();
    const step = event.deltaMode === 1 ? 24 : 1;
    this.zoom(Math.exp(-Math.max(-240, Math.min(240, event.deltaY * step)) * 0.0016), this.#place(event).screen);
  }

  #key(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const taken = (event.key === "Escape" && this.#dropPress()) || this.tool.key?.(event) || this.#viewKey(event);
    if (taken) {
      event.preventDefault();
      event.stopPropagation();
    }
  }

  #viewKey(event) {
    const step = 60;
    const moves = { ArrowLeft: [step, 0], ArrowRight: [-step, 0], ArrowUp: [0, step], ArrowDown: [0, -step] };
    if (event.key in moves) this.pan(...moves[event.key]);
    else if (event.key === "+" || event.key === "=") this.zoom(1.25);
    else if (event.key === "-") this.zoom(0.8);
    else if (event.key === "0") this.fit();
    else return false;
    return true;
  }
}

