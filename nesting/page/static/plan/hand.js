// Pieces moved by hand: grabbed, slid and turned; they stop at what they may not lie on. The check on the server has
// the last word: what it refuses goes back to where it lay. Pieces moved or locked stay when the rest is filled.

import { get, send } from "../shell/api.js";
import { el } from "../drawing/element.js";
import { say, trying } from "../shell/notice.js";
import { bearingOf, groundOf, laid, shifted, slide, turnedOn, whyNot } from "../pure/contact.js";
import { bounds, labelPlace, pointInRing } from "../pure/geometry.js";

const STEP = 1;
const NUDGE = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };

export class Hand {
  /** `redraw()` draws the pieces anew, `order()` is what a search is asked for, `fill(keep, gone)` starts one: pieces that stay,
   * and the outlines of what is cut already. */
  constructor(view, { redraw, order, fill }) {
    Object.assign(this, { view, redraw, order, fill });
    this.hide = null;
    this.words = el("p", { class: "note", role: "status", id: "hand-words" });
    const button = (id, text, act) => el("button", { type: "button", id, text, onclick: act });
    this.lockButton = button("hand-lock", "Lock", () => this.lock());
    this.goneButton = button("hand-gone", "Mark as cut", () => this.cut());
    this.undoButton = button("hand-undo", "Take back", () => this.back());
    this.element = el("section", { "aria-label": "By hand", id: "hand" }, el("h3", { text: "By hand" }), this.words,
      el("div", { class: "row" }, button("hand-left", "Turn left", () => this.turn(STEP)), button("hand-right", "Turn right", () => this.turn(-STEP)),
        this.lockButton, this.goneButton),
      el("div", { class: "row" }, button("hand-all", "Lock all", () => this.lockAll(true)), button("hand-none", "Unlock all", () => this.lockAll(false)), this.undoButton),
      el("button", { type: "button", class: "main", id: "hand-fill", text: "Fill the rest", onclick: () => this.#fill() }));
    view.hand = this;
  }

  /** Take up an answer. */
  open(result) {
    const [hide] = result.layout.hides;
    this.result = result;
    this.hide = hide;
    this.gap = result.layout.gap || 0;
    this.kinds = Object.fromEntries(result.layout.pieces.map((piece) => [piece.name, piece]));
    this.pieces = hide.placements.map((placement) => ({ ...placement, keep: Boolean(placement.keep), gone: false }));
    this.past = [];
    this.chosen = null;
    this.more = null;
    get(`/api/runs/${result.id}/grounds`).then((more) => result === this.result && (this.more = more)).catch(() => null);
    this.#tell();
  }

  /** The direction of the backbone that holds where a piece lies: a zone's own, or the hide's. */
  #bearing({ outline }) {
    const middle = labelPlace(outline);
    const zone = this.more?.turned.find(({ rings }) => pointInRing(middle, rings[0]));
    if (zone) return zone.bearing;
    return this.hide.backbone ? bearingOf(this.hide.backbone) : 0;
  }

  choose(index) {
    this.chosen = index;
    this.#tell();
    if (index !== null) this.element.scrollIntoView({ block: "nearest" });
    this.redraw();
  }

  /** The pointer grabs a piece. */
  grab(index, world) {
    this.choose(index);
    const piece = this.pieces[index];
    this.held = { index, world, start: piece, ground: this.#ground(index) };
    return true;
  }

  /** The pointer has moved: the piece follows as far as it may. */
  drag(world) {
    const { index, start, ground, world: from } = this.held;
    const now = this.pieces[index];
    const want = [world[0] - from[0] + start.x - now.x, world[1] - from[1] + start.y - now.y];
    const by = slide(now.outline, want, ground);
    this.pieces[index] = this.#moved(now, by);
    const blocked = whyNot(shifted(now.outline, want), ground);
    this.words.textContent = blocked ? `It stops at ${blocked}.` : "";
    this.view.moveTo(index, this.pieces[index]);
  }

  /** The pointer lets go; the check judges. */
  async drop() {
    const { index, start } = this.held;
    this.held = null;
    if (this.pieces[index].x === start.x && this.pieces[index].y === start.y) return;
    await this.#settle(index, start);
  }

  /** Back where it was grabbed. */
  cancel() {
    if (!this.held) return;
    this.pieces[this.held.index] = this.held.start;
    this.held = null;
    this.redraw();
  }

  /** Move the chosen piece by so many millimetres. */
  async nudge([dx, dy]) {
    const index = this.chosen, start = this.pieces[index];
    this.pieces[index] = this.#moved(start, slide(start.outline, [dx, dy], this.#ground(index)));
    await this.#settle(index, start);
  }

  /** Turn the chosen piece about its middle, as its grain lets it. */
  async turn(step) {
    if (this.chosen === null) return say("Choose a piece first: tap it on the hide.");
    const index = this.chosen, start = this.pieces[index], kind = this.kinds[start.piece];
    const angle = turnedOn(kind, this.#bearing(start), start.angle, step);
    const box = bounds(start.outline), middle = [(box[0] + box[2]) / 2, (box[1] + box[3]) / 2];
    const raw = laid(kind.outline, { ...start, angle });
    const now = bounds(raw), by = [middle[0] - (now[0] + now[2]) / 2, middle[1] - (now[1] + now[3]) / 2];
    const x = round(start.x + by[0]), y = round(start.y + by[1]);
    const outline = laid(kind.outline, { ...start, angle, x, y });
    const met = angle === start.angle ? "it may lie one way only" : whyNot(outline, this.#ground(index, { ...start, angle, x, y }));
    if (met) {
      this.words.textContent = angle === start.angle ? `It is not turned: ${met}.` : `It cannot turn here: ${met} is in the way.`;
      return null;
    }
    this.pieces[index] = { ...start, angle, x, y, outline };
    return this.#settle(index, start);
  }

  lock() {
    if (this.chosen === null) return say("Choose a piece first: tap it on the hide.");
    this.#remember();
    this.pieces[this.chosen] = { ...this.pieces[this.chosen], keep: !this.pieces[this.chosen].keep };
    return this.#changed();
  }

  lockAll(keep) {
    this.#remember();
    this.pieces = this.pieces.map((piece) => ({ ...piece, keep }));
    this.#changed();
  }

  /** The chosen piece is cut already: its leather is gone when the rest is filled. */
  cut() {
    if (this.chosen === null) return say("Choose a piece first: tap it on the hide.");
    this.#remember();
    this.pieces[this.chosen] = { ...this.pieces[this.chosen], gone: !this.pieces[this.chosen].gone };
    return this.#changed();
  }

  back() {
    if (!this.past.length) return;
    this.pieces = this.past.pop();
    this.#changed();
  }

  /** A key on the drawing; whether it was for a piece. */
  key(event) {
    if (!this.hide) return false;
    if (event.key === "n" || event.key === "p") return this.#next(event.key === "n" ? 1 : -1);
    if (this.chosen === null) return false;
    if (event.key in NUDGE) this.nudge(NUDGE[event.key].map((way) => way * (event.shiftKey ? 10 : 1)));
    else if (event.key === "r" || event.key === "R") this.turn(event.key === "R" ? -STEP : STEP);
    else if (event.key === "l") this.lock();
    else if (event.key === "Escape") this.choose(null);
    else return false;
    return true;
  }

  // The next piece that is not cut yet, and round again.
  #next(step) {
    const many = this.pieces.length, from = this.chosen ?? (step > 0 ? -1 : many);
    for (let i = 1; i <= many; i++) {
      const index = (((from + step * i) % many) + many) % many;
      if (!this.pieces[index].gone) {
        this.choose(index);
        return true;
      }
    }
    return true;
  }

  #moved(piece, [dx, dy]) {
    const x = round(piece.x + dx), y = round(piece.y + dy);
    return { ...piece, x, y, outline: laid(this.kinds[piece.piece].outline, { ...piece, x, y }) };
  }

  #ground(index, at = this.pieces[index]) {
    const others = this.pieces.filter((_, i) => i !== index);
    return groundOf(this.hide, this.kinds[at.piece], others, this.gap, { at, more: this.more });
  }

  async #settle(index, start) {
    const version = (this.version = (this.version || 0) + 1);
    const told = await trying(() => send("POST", "/api/laid/check", { ...this.order(), laid: this.pieces.map(place) }));
    if (version !== this.version) return;
    const fault = told?.faults[0];
    if (!told || fault) {
      this.pieces[index] = start;
      this.words.textContent = fault ? `It may not lie there: ${fault.text}.` : "It could not be checked, so it went back.";
    } else {
      this.past.push(this.pieces.map((piece, i) => (i === index ? start : piece)));
      this.pieces[index] = { ...this.pieces[index], keep: true };
      this.#tell();
    }
    this.redraw();
  }

  #remember() {
    this.past.push([...this.pieces]);
  }

  #changed() {
    this.#tell();
    this.redraw();
  }

  #tell() {
    const locked = this.pieces.filter((piece) => piece.keep && !piece.gone).length;
    const gone = this.pieces.filter((piece) => piece.gone).length;
    const one = this.chosen === null ? null : this.pieces[this.chosen];
    const about = one ? `Chosen: ${one.piece}${one.number ? ` ${one.number}` : ""}. Drag it, or arrow keys; R turns it, L locks it.` : "Tap a piece, then drag it. It stops at what it may not lie on.";
    this.words.textContent = `${about} ${locked} locked${gone ? `, ${gone} cut already` : ""}.`;
    this.lockButton.textContent = one?.keep ? "Unlock" : "Lock";
    this.goneButton.textContent = one?.gone ? "Not cut yet" : "Mark as cut";
    this.undoButton.disabled = !this.past.length;
  }

  #fill() {
    const keep = this.pieces.filter((piece) => piece.keep && !piece.gone).map(place);
    const gone = this.pieces.filter((piece) => piece.gone).map((piece) => piece.outline);
    return this.fill(keep, gone);
  }
}

function place({ piece, number, x, y, angle, mirrored }) {
  return { piece, number, x, y, angle, mirrored };
}

function round(value) {
  return Math.round(value * 1e6) / 1e6;
}
