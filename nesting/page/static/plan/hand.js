// Pieces moved by hand: grabbed, slid and turned; they stop at what they may not lie on. The check on the server has
// the last word: what it refuses goes back to where it lay. What is moved, locked, cut or gone is kept in the draft, run by
// run, and undone like the rest. Pieces moved, locked or cut stay when the rest is filled.

import { get, send } from "../shell/api.js";
import { look } from "../shell/look.js";
import { say, trying } from "../shell/notice.js";
import { allowedAngle, bearingOf, evenWith, groundOf, laid, obstacle, shifted, slide, snapped, turnedOn, whyNot } from "../pure/contact.js";
import { bounds, distance, labelPlace, pointInRing } from "../pure/geometry.js";
import { mmOf } from "../pure/units.js";
import { Ticks } from "../cutting/ticks.js";

const STEP = 1, COARSE = 2, FINE = 0.01;
const NUDGE = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
const WHERE = ["x", "y", "angle"];
const NOTHING = {};

export class Hand {
  /** `draft` keeps what is done; `order()` is what a search is asked for; `told(words)` says how things stand. */
  constructor(view, { draft, order, told }) {
    Object.assign(this, { view, draft, order, told });
    this.hide = null;
    this.words = "";
    view.hand = this;
  }

  /** Take up an answer. */
  open(result) {
    const [hide] = result.layout.hides;
    this.result = result;
    this.base = hide.placements;
    this.hide = hide;
    this.gap = result.layout.gap || 0;
    this.kinds = Object.fromEntries(result.layout.pieces.map((piece) => [piece.name, piece]));
    this.chosen = null;
    this.held = null;
    this.more = null;
    this.ticks = new Ticks(result.id, () => result === this.result && this.#take());
    this.kept = undefined;
    this.#read();
    get(`/api/runs/${result.id}/grounds`).then((more) => result === this.result && (this.more = more)).catch(() => null);
    this.ticks.open().then(() => result === this.result && this.#take()).catch(() => null);
  }

  close() {
    this.hide = null;
    this.result = null;
  }

  /** What was done by hand to this answer, by the place of the piece. */
  get own() {
    return this.draft.content.hand?.[this.result.id] || NOTHING;
  }

  /** Whether pieces lie elsewhere than the answer has them. */
  get moved() {
    return this.pieces.some((piece, i) => WHERE.some((name) => piece[name] !== this.base[i][name]));
  }

  /** The draft has changed, here or by undo: show it. */
  follow() {
    if (!this.result || this.held || this.waiting) return;
    if (this.kept !== this.own || this.flaws !== this.draft.content.hide.flaws) this.#take();
  }

  #take() {
    if (this.held || this.waiting) return;
    this.#read();
    this.#shown();
  }

  #read() {
    this.kept = this.own;
    this.flaws = this.draft.content.hide.flaws;
    const found = (this.found = this.#found());
    this.ground = { ...this.hide, flaws: [...(this.hide.flaws || []), ...found] };
    this.pieces = this.base.map((placement, i) => this.#piece(placement, this.kept[i], i, found));
  }

  #piece(placement, own, index, found) {
    const piece = { ...placement, keep: Boolean(placement.keep), gone: false, ...own, cut: this.ticks.cut.has(index) };
    if (own && WHERE.some((name) => name in own)) piece.outline = laid(this.kinds[piece.piece].outline, piece);
    const met = found.length ? obstacle(piece.outline, { ...groundOf({ flaws: found, outline: this.hide.outline }, this.kinds[piece.piece], [], this.gap, { at: piece, more: this.more }), inside: [], line: null }) : null;
    return { ...piece, hit: Boolean(met) && !piece.cut && !piece.gone };
  }

  // Flaws of the hide that this answer did not know: found since at the bench.
  #found() {
    const known = this.hide.flaws || [];
    const same = (one, other) => one.outline.length === other.outline.length && distance(one.outline[0], other.outline[0]) < 1e-3;
    return (this.flaws || []).filter((flaw) => flaw.outline.length > 2 && !known.some((each) => same(each, flaw)))
      .map((flaw) => ({ ...flaw, clearance: mmOf(flaw.clearance) }));
  }

  /** The pieces as the view draws them. */
  drawn() {
    const complete = Object.fromEntries(this.result.answer.products.map((product) => [product.name, product.complete]));
    return this.pieces.map((piece, i) => ({ ...piece, begun: piece.number > complete[piece.product], chosen: i === this.chosen }));
  }

  #shown() {
    this.view.update(this.drawn());
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
    this.#shown();
  }

  /** The pointer grabs a piece. */
  grab(index, { world }) {
    this.choose(index);
    const piece = this.pieces[index];
    this.held = { index, world, start: piece, ground: this.#ground(index), fast: piece.cut || piece.gone };
    return true;
  }

  /** The pointer grabs the handle of the chosen piece. */
  grabTurn({ world }) {
    const index = this.chosen, start = this.pieces[index], middle = middleOf(start.outline);
    this.turning = true;
    this.held = { index, start, middle, from: bearingOf([middle, world]) - start.angle };
    return true;
  }

  /** The pointer has moved: the piece follows as far as it may. */
  drag(place) {
    const { held } = this;
    if (!held || held.fast) return;
    if (!held.lifted) {
      this.view.lift(held.index);
      held.lifted = true;
    }
    if (this.turning) this.#dragTurn(place);
    else this.#dragPlace(place);
  }

  #dragPlace(place) {
    const { index, start, ground, world: from } = this.held;
    const now = this.pieces[index];
    const want = [place.world[0] - from[0] + start.x - now.x, place.world[1] - from[1] + start.y - now.y];
    const by = slide(now.outline, want, ground);
    this.pieces[index] = this.#moved(now, by);
    const met = by === want ? null : obstacle(shifted(now.outline, want), ground);
    this.view.shift(index, this.pieces[index], [this.pieces[index].x - start.x, this.pieces[index].y - start.y]);
    this.#because(place, met, met && shifted(now.outline, want));
  }

  #dragTurn(place) {
    const { index, start, middle, from } = this.held, kind = this.kinds[start.piece], now = this.pieces[index];
    const raw = bearingOf([middle, place.world]) - from, near = now.angle + wrapped(raw - now.angle);
    const wish = allowedAngle(kind, this.#bearing(start), near);
    const even = evenWith(start.outline, start.angle, wish, this.#ground(index, start));
    const [got, met] = this.#turnTo(now, allowedAngle(kind, this.#bearing(start), even), middle);
    this.pieces[index] = got;
    this.view.turn(index, got);
    const why = met || (Math.abs(wish - near) > 0.5 ? { words: "how the leather is to run in it", rings: [] } : null);
    this.#because(place, why, null);
  }

  // As far as it turns towards an angle: [the piece then, what stopped it].
  #turnTo(piece, angle, middle) {
    const at = (a) => this.#turned(piece, a, middle), met = (one) => obstacle(one.outline, this.#ground(this.held.index, one));
    const steps = Math.max(1, Math.ceil(Math.abs(angle - piece.angle) / COARSE));
    let best = piece, low = piece.angle;
    for (let i = 1; i <= steps; i++) {
      const next = at(piece.angle + ((angle - piece.angle) * i) / steps), stopped = met(next);
      if (!stopped) {
        best = next;
        low = next.angle;
        continue;
      }
      let high = next.angle;
      while (Math.abs(high - low) > FINE) {
        const half = at((low + high) / 2);
        if (met(half)) high = half.angle;
        else {
          best = half;
          low = half.angle;
        }
      }
      return [best, stopped];
    }
    return [best, null];
  }

  #because(place, met, wish) {
    const words = met ? `It stops at ${met.words}.` : "";
    this.view.tellWhy(place, words, met?.rings, wish);
  }

  /** The pointer lets go; the check judges. */
  async drop() {
    const { index, start, ground } = this.held, { turning } = this;
    if (!turning) this.pieces[index] = this.#moved(this.pieces[index], snapped(this.pieces[index].outline, ground));
    this.letGo();
    const now = this.pieces[index];
    if (now.x === start.x && now.y === start.y && now.angle === start.angle) return this.#shown();
    return this.#settle(index, turning ? "Turn" : "Move");
  }

  /** Back where it was grabbed. */
  cancel() {
    if (!this.held) return;
    this.pieces[this.held.index] = this.held.start;
    this.letGo();
    this.#shown();
  }

  letGo() {
    this.held = null;
    this.turning = false;
    this.view.tellWhy(null, "");
  }

  /** Move the chosen piece by so many millimetres. */
  nudge([dx, dy]) {
    const index = this.chosen, start = this.pieces[index];
    if (start.cut || start.gone) return say("It is cut: it stays where it is.");
    this.pieces[index] = this.#moved(start, slide(start.outline, [dx, dy], this.#ground(index)));
    return this.#settle(index, "Move", `nudge-${index}`);
  }

  /** Turn the chosen piece about its middle by a step, as its grain lets it. */
  turn(step) {
    if (this.chosen === null) return say("Choose a piece first: tap it on the hide.");
    const index = this.chosen, start = this.pieces[index], kind = this.kinds[start.piece];
    if (start.cut || start.gone) return say("It is cut: it stays where it is.");
    const angle = turnedOn(kind, this.#bearing(start), start.angle, step);
    if (angle === start.angle) return this.#say("It is not turned: it may lie one way only.");
    const next = this.#turned(start, angle, middleOf(start.outline)), met = whyNot(next.outline, this.#ground(index, next));
    if (met) return this.#say(`It cannot turn here: ${met} is in the way.`);
    this.pieces[index] = next;
    return this.#settle(index, "Turn", `turn-${index}`);
  }

  lock() {
    return this.#mark((piece) => ({ keep: !piece.keep }), (piece) => (piece.keep ? "Unlock" : "Lock"));
  }

  /** The chosen piece is cut: it counts, and stays where it is. */
  cut() {
    if (this.chosen === null) return say("Choose a piece first: tap it on the hide.");
    return this.ticks.set([this.chosen], !this.pieces[this.chosen].cut);
  }

  /** The leather of the chosen piece is gone: spoilt, or taken for something else. */
  gone() {
    return this.#mark((piece) => ({ gone: !piece.gone }), () => "Mark leather as gone:");
  }

  lockAll(keep) {
    const changes = Object.fromEntries(this.pieces.map((piece, i) => [i, { keep: keep && !piece.hit }]));
    this.#change(keep ? "Lock all" : "Unlock all", changes);
  }

  #mark(change, words) {
    if (this.chosen === null) return say("Choose a piece first: tap it on the hide.");
    const piece = this.pieces[this.chosen];
    return this.#change(`${words(piece)} ${nameOf(piece)}`, { [this.chosen]: change(piece) });
  }

  /** What is asked of a search for the rest: what stays, what of it is cut, and the outlines of leather that is gone. */
  rest() {
    const cut = this.pieces.filter((piece) => piece.cut && !piece.gone), gone = this.pieces.filter((piece) => piece.gone);
    const keep = this.pieces.filter((piece) => piece.keep && !piece.cut && !piece.gone && !piece.hit);
    return { keep: keep.map(place), cut: cut.map(place), gone: gone.map((piece) => piece.outline) };
  }

  /** All pieces as they lie. */
  places() {
    return this.pieces.map(place);
  }

  /** A key on the drawing; whether it was for a piece. */
  key(event) {
    if (!this.hide) return false;
    if (event.key === "n" || event.key === "p") return this.#next(event.key === "n" ? 1 : -1);
    if (event.key === "f" || event.key === "t") return this.draw(event.key === "f" ? "flaw" : "taken");
    if (this.chosen === null) return false;
    if (event.key in NUDGE) this.nudge(NUDGE[event.key].map((way) => way * (event.shiftKey ? 10 : 1)));
    else if (event.key === "r" || event.key === "R") this.turn(event.key === "R" ? -STEP : STEP);
    else if (event.key === "l") this.lock();
    else if (event.key === "c") this.cut();
    else if (event.key === "g") this.gone();
    else if (event.key === "Escape") this.choose(null);
    else return false;
    return true;
  }

  #next(step) {
    const many = this.pieces.length;
    this.choose(((this.chosen ?? (step > 0 ? -1 : many)) + step + many) % many);
    return true;
  }

  #moved(piece, [dx, dy]) {
    const x = round(piece.x + dx), y = round(piece.y + dy);
    return { ...piece, x, y, outline: laid(this.kinds[piece.piece].outline, { ...piece, x, y }) };
  }

  #turned(piece, angle, middle) {
    const { outline } = this.kinds[piece.piece], a = Math.round(angle * 1e4) / 1e4;
    const now = middleOf(laid(outline, { ...piece, angle: a }));
    const x = round(piece.x + middle[0] - now[0]), y = round(piece.y + middle[1] - now[1]);
    return { ...piece, angle: a, x, y, outline: laid(outline, { ...piece, angle: a, x, y }) };
  }

  #ground(index, at = this.pieces[index]) {
    const others = this.pieces.filter((_, i) => i !== index);
    return groundOf(this.ground, this.kinds[at.piece], others, this.gap, { at, more: this.more });
  }

  // The check judges all pieces as they lie; what it lets by is a step of the draft.
  async #settle(index, verb, kind = null) {
    const version = (this.version = (this.version || 0) + 1);
    this.waiting = true;
    this.#shown();
    const told = await trying(() => send("POST", "/api/laid/check", { ...this.order(), laid: this.places() }));
    if (version !== this.version) return;
    this.waiting = false;
    const fault = told?.faults[0];
    if (!told || fault) {
      this.#take();
      this.#say(fault ? `It may not lie there: ${fault.text}.` : "It could not be checked, so it went back.");
      return;
    }
    const changes = {};
    this.pieces.forEach((piece, i) => {
      const before = { ...this.base[i], ...this.own[i] };
      if (WHERE.some((name) => piece[name] !== before[name])) changes[i] = { x: piece.x, y: piece.y, angle: piece.angle, keep: true };
    });
    this.#change(`${verb} ${nameOf(this.pieces[index])}`, changes, kind);
  }

  #change(words, changes, kind = null) {
    const { id } = this.result, runs = new Set([id, ...(this.draft.aside.answers || []).map(([run]) => run)]);
    this.draft.change(words, (content) => {
      const hand = Object.fromEntries(Object.entries(content.hand || {}).filter(([run]) => runs.has(run)));
      const own = { ...hand[id] };
      for (const [i, change] of Object.entries(changes)) own[i] = { ...own[i], ...change };
      return { ...content, hand: { ...hand, [id]: own } };
    }, kind && `${id}-${kind}`);
    if (this.kept !== this.own) this.#take();
  }

  #say(words) {
    this.told(words);
  }

  #tell() {
    const count = (test) => this.pieces.filter(test).length;
    const locked = count((piece) => piece.keep && !piece.cut && !piece.gone && !piece.hit), cut = count((piece) => piece.cut), gone = count((piece) => piece.gone);
    const hit = this.pieces.filter((piece) => piece.hit), one = this.chosen === null ? null : this.pieces[this.chosen];
    const about = hit.length ? `${hit.length === 1 ? `${nameOf(hit[0])} lies` : `${hit.length} pieces lie`} on what was found: lock what is to stay, then Fill the rest.`
      : one ? `Chosen: ${nameOf(one)}, its middle at ${middleOf(one.outline).map((mm) => look.length(mm)).join(" across, ")} up${one.gone ? ", its leather is gone" : one.cut ? ", cut: it stays where it is" : ". Drag it or its handle, or arrow keys; R turns it, L locks it"}.`
        : "Drag a piece to move it; it stops at what it may not lie on. Press it to choose it.";
    const tally = [[locked, "locked"], [cut, "cut"], [gone, "gone"]].filter(([n]) => n).map(([n, words]) => `${n} ${words}`).join(", ");
    this.told(`${about}${tally ? ` ${tally}.` : ""}`, one);
  }
}

function place({ piece, number, x, y, angle, mirrored, keep, cut }) {
  return { piece, number, x, y, angle, mirrored, keep: keep || cut };
}

function nameOf({ piece, number }) {
  return `${piece}${number ? ` ${number}` : ""}`;
}

function middleOf(outline) {
  const [x0, y0, x1, y1] = bounds(outline);
  return [(x0 + x1) / 2, (y0 + y1) / 2];
}

function wrapped(degrees) {
  return ((((degrees + 180) % 360) + 360) % 360) - 180;
}

function round(value) {
  return Math.round(value * 1e6) / 1e6;
}
