// The keyboard's cross: arrows move it over the drawing, and the tool in hand takes a place at it as it takes a press.
// Where it lies is told in words a little after it has come to rest, for whoever hears the page rather than sees it.

import { distance, nearestEdge, nearestVertex, pointInRing } from "../pure/geometry.js";
import { el } from "../drawing/element.js";
import { look } from "../shell/look.js";

const STEP = { wide: 16, fine: 2 };
const RIM = 16;
const REST = 500;
const NO_MORE = "No stretch of the outline is in doubt.";

export class Cross {
  constructor(bench, id = "cross-words") {
    this.bench = bench;
    this.at = null;
    this.shown = false;
    this.words = el("p", { class: "unseen", role: "status", id });
    bench.surface.host.append(this.words);
  }

  /** Whether a key was the cross's; `set(place)` takes a place, as by a press. */
  key(event, set) {
    const step = event.shiftKey ? STEP.fine : STEP.wide;
    const arrows = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, -step], ArrowDown: [0, step] };
    const name = event.key.length === 1 ? event.key.toLowerCase() : event.key;
    if (name in arrows) this.#move(arrows[name]);
    else if (name === "n" || name === "p") this.#toPoint(name === "n" ? 1 : -1);
    else if (name === "d") this.#toDoubt();
    else if (name === " ") {
      this.#show();
      set({ screen: this.#screen, world: this.at, touch: false });
    } else return false;
    return true;
  }

  /** The view has moved, or the tool was laid down. */
  redraw() {
    if (this.shown) this.bench.drawing.drawCursor(this.#screen);
  }

  hide() {
    this.shown = false;
    clearTimeout(this.timer);
    this.words.textContent = "";
    this.bench.drawing.drawCursor(null);
  }

  /** Another hide lies on the bench. */
  forget() {
    this.hide();
    this.at = null;
  }

  get #screen() {
    return this.bench.surface.toScreen(this.at);
  }

  #middle() {
    const { width, height } = this.bench.surface.size;
    return this.bench.surface.toWorld([width / 2, height / 2]);
  }

  #move([dx, dy]) {
    this.at ||= this.#middle();
    const [x, y] = this.#screen;
    this.at = this.bench.surface.toWorld([x + dx, y + dy]);
    this.#show();
  }

  /** To the outline's next point, or the one before; from elsewhere to the nearest. */
  #toPoint(by) {
    const ring = this.bench.hide.outline || [];
    if (!ring.length) return;
    const near = nearestVertex(ring, this.at || this.#middle());
    const on = this.at && near.distance < this.bench.surface.pixel;
    this.at = ring[(near.index + (on ? by + ring.length : 0)) % ring.length];
    this.#show();
  }

  #toDoubt() {
    const { doubts } = this.bench.mend;
    if (!doubts.length) return this.#say(NO_MORE);
    const here = doubts.findIndex((doubt) => this.at && distance(doubt.at, this.at) < this.bench.surface.pixel);
    const next = doubts[(here + 1) % doubts.length];
    this.at = next.at;
    return this.#show(`${next.words}. `);
  }

  #show(first = "") {
    this.at ||= this.#middle();
    this.shown = true;
    const [x, y] = this.#screen;
    const { width, height } = this.bench.surface.size;
    if (x < RIM || y < RIM || x > width - RIM || y > height - RIM) this.bench.surface.centre(this.at);
    this.redraw();
    this.#say(first + this.#whereabouts());
  }

  #say(words) {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => { this.words.textContent = words; }, REST);
  }

  #whereabouts() {
    const { hide } = this.bench;
    const [x, y] = this.at;
    const place = `Cross at ${look.length(x)} across, ${look.length(y)} up`;
    if (!hide.outline?.length) return `${place}.`;
    const away = look.length(nearestEdge(hide.outline, this.at).distance);
    const flaw = (hide.flaws || []).findIndex((one) => pointInRing(this.at, one.outline));
    const on = pointInRing(this.at, hide.outline) ? "on the leather" : "off the leather";
    return `${place}: ${on}, ${away} from the edge${flaw < 0 ? "" : `, on flaw ${flaw + 1}`}.`;
  }
}
