// A layout to look at and to take pieces up from: the hide with its pieces, names on hover, focus on a kind.

import { hideParts } from "./bench_drawing.js";
import { pathOf, svg } from "./element.js";
import { groundImage } from "./ground.js";
import { bounds, labelPlace } from "../pure/geometry.js";
import { besides, isDark, nameIn, sizeOf } from "../pure/labels.js";
import { Lifted } from "./lifted.js";
import { Pen } from "./pen.js";

// Any two are at least 12 apart (CIEDE2000) for every colour vision; a test simulates it.
export const COLOURS = ["#87c3c3", "#ffe1a5", "#8787c3", "#d2875a", "#1e6969", "#d2b4ff", "#a5a596", "#875a1e", "#5a5aa5", "#69785a", "#87ffff", "#5a8787"];

/** The colour of each kind of piece, by name. */
export function coloursOf(pieces) {
  return Object.fromEntries(pieces.map((name, i) => [name, COLOURS[i % COLOURS.length]]));
}

function classOf({ number, begun, keep, cut, gone, hit, chosen }) {
  const words = { spare: !number, begun, locked: keep, cut, gone, hit, chosen };
  return ["piece", ...Object.keys(words).filter((word) => words[word])].join(" ");
}

const TIP_STAYS = 2500;
const HANDLE_AWAY = 30, HANDLE_REACH = { fine: 15, touch: 26 };

export class LayoutView {
  constructor(surface, tip) {
    this.surface = surface;
    this.tip = tip;
    this.names = svg("g");
    this.turner = svg("g", { class: "turner" });
    this.why = svg("g", { class: "why" });
    this.pen = new Pen(surface);
    this.lifted = new Lifted(surface);
    surface.overlay.append(this.names, this.turner);
    surface.onView = () => {
      this.#drawNames();
      this.#drawTurner();
      this.pen.redraw();
      this.lifted.view();
    };
    this.tool = {
      hover: (place) => this.#hover(place), leave: () => this.#leave(), tap: (place) => this.#tap(place),
      press: (place) => this.#press(place), drag: (place) => this.hand.drag(place), release: () => this.hand.drop(),
      cancel: () => this.hand.cancel(), key: (event) => this.hand?.key(event),
    };
    surface.tool = this.tool;
    this.pieces = [];
    this.measure = (mm) => `${Math.round(mm)} mm`;
  }

  /** Lay a photo {href, box} under what is drawn, or none. */
  lieOn(photo) {
    this.photo = photo;
    this.surface.host.classList.toggle("on-photo", Boolean(photo));
    this.surface.world.querySelector("image")?.remove();
    this.surface.world.prepend(...this.#ground());
  }

  #ground() {
    return this.photo ? [groundImage(this.photo)] : [];
  }

  /** Show a bare hide. */
  drawHide(hide) {
    this.pieces = [];
    this.lifted.lay();
    this.surface.world.replaceChildren(...this.#ground(), ...hideParts(hide, null, true), this.pen.world);
    this.names.replaceChildren();
    this.turner.replaceChildren();
    this.#span(hide.outline || []);
  }

  /** Show one hide of a layout. `kinds` are the names of the pieces in order; flaws `found` since lie over them. */
  drawLayout(hide, kinds) {
    const colours = coloursOf(kinds);
    this.lifted.lay();
    this.pieces = hide.placements.map((placement) => ({
      ...placement,
      dark: isDark(colours[placement.piece]),
      path: svg("path", { class: classOf(placement), fill: colours[placement.piece], d: pathOf(placement.outline), "data-piece": placement.piece }),
    }));
    const found = (hide.found || []).map((flaw) => svg("path", { class: "flaw found", d: pathOf(flaw.outline) }));
    const offcuts = (hide.offcuts || []).map((offcut) => svg("path", { class: "offcut", d: pathOf(offcut.outline || offcut) }));
    this.surface.world.replaceChildren(...this.#ground(), ...hideParts(hide, null, true), ...offcuts, ...this.pieces.map((piece) => piece.path), ...found, this.why, this.pen.world);
    this.#span(hide.outline);
    this.#drawNames();
    this.#drawTurner();
  }

  /** The same pieces, some of them elsewhere, locked, chosen: only what has changed is drawn anew. */
  update(placements) {
    this.lifted.lay();
    this.why.replaceChildren();
    placements.forEach((placement, i) => {
      const piece = this.pieces[i];
      if (piece.outline !== placement.outline) piece.path.setAttribute("d", pathOf(placement.outline));
      const words = classOf(placement);
      if (piece.path.getAttribute("class") !== words) piece.path.setAttribute("class", words);
      this.pieces[i] = { ...piece, ...placement, named: piece.named };
    });
    this.#drawNames();
    this.#drawTurner();
  }

  /** A piece is taken up by hand: from now on it alone is drawn when it moves. */
  lift(index) {
    const piece = this.pieces[index];
    this.turner.replaceChildren();
    this.lifted.take(piece);
  }

  /** The piece in the hand follows: shifted from where it was taken up, or turned. */
  shift(index, placement, by) {
    this.pieces[index].outline = placement.outline;
    this.lifted.shift(by);
  }

  turn(index, placement) {
    this.pieces[index].outline = placement.outline;
    this.lifted.redraw(placement.outline);
  }

  /** Say beside the pointer why the piece in the hand may not lie where it is drawn to, and show what is in the way. */
  tellWhy(place, words, rings = [], wish = null) {
    this.why.replaceChildren(...rings.map((ring) => svg("path", { class: "in-the-way", d: pathOf(ring) })), ...(wish ? [svg("path", { class: "wish", d: pathOf(wish) })] : []));
    this.tip.hidden = !words;
    if (words) this.#tipAt(place, words);
  }

  #under(place) {
    const under = document.elementFromPoint(...this.#client(place.screen));
    return this.pieces.findIndex((one) => one.path === under);
  }

  #press(place) {
    if (!this.hand?.hide) return false;
    const reach = place.touch ? HANDLE_REACH.touch : HANDLE_REACH.fine;
    if (this.turnAt && Math.hypot(place.screen[0] - this.turnAt[0], place.screen[1] - this.turnAt[1]) <= reach) return this.hand.grabTurn(place);
    const index = this.#under(place);
    if (index < 0) return false;
    this.#leave();
    return this.hand.grab(index, place);
  }

  #tap(place) {
    const turning = this.turnAt && this.hand?.turning;
    this.hand?.letGo();
    if (this.hand?.hide && !turning && this.#under(place) < 0) this.hand.choose(null);
    this.#hover(place);
    clearTimeout(this.fading);
    if (place.touch) this.fading = setTimeout(() => this.#leave(), TIP_STAYS); // no finger hovers away from it
  }

  // A handle beside the chosen piece, to turn it by.
  #drawTurner() {
    const piece = this.hand?.hide ? this.pieces.find((one) => one.chosen) : null;
    this.turnAt = null;
    if (!piece || piece.gone || piece.cut) return this.turner.replaceChildren();
    const [x0, y0, x1, y1] = bounds(piece.outline), middle = [(x0 + x1) / 2, (y0 + y1) / 2];
    const [x, top] = this.surface.toScreen([middle[0], y1]), foot = this.surface.toScreen([middle[0], y0])[1];
    const up = top - HANDLE_AWAY > 16, y = up ? top - HANDLE_AWAY : foot + HANDLE_AWAY;
    this.turnAt = [x, y];
    return this.turner.replaceChildren(
      svg("path", { class: "turner-stem", d: `M${x} ${up ? top : foot}V${y}` }), svg("circle", { class: "turner-disc", cx: x, cy: y, r: 13 }),
      svg("path", { class: "turner-arrow", d: `M${x - 6} ${y + 1}a6 6 0 1 1 3 5m-3.4 -1.4l3.4 1.4l-.4 -3.8` }));
  }

  /** Let one kind of piece (or one product's number) stand out; null for all. */
  light(kind) {
    for (const piece of this.pieces) {
      piece.path.classList.toggle("dim", kind !== null && piece.piece !== kind);
      piece.path.classList.toggle("lit", kind !== null && piece.piece === kind);
    }
  }

  /** Show the whole of an outline when another one comes. */
  #span(outline) {
    const box = bounds(outline) || [0, 0, 1000, 700];
    this.surface.span(box, box.map(Math.round).join(" "));
  }

  #drawNames() {
    const named = this.pieces.map((piece) => this.#name(piece));
    this.names.replaceChildren(...this.#leaders(named), ...named.filter(Boolean));
  }

  // The name runs along the piece where there is room for it; worked out anew only when piece or scale have changed.
  #name(piece) {
    const { scale } = this.surface.view;
    if (piece.named?.scale !== scale || piece.named.outline !== piece.outline) {
      const words = piece.number ? `${piece.piece} ${piece.number}` : piece.piece;
      const place = nameIn(piece.outline, piece.angle, words, scale);
      const text = place && svg("text", { class: piece.dark ? "piece-name light" : "piece-name", text: words });
      piece.named = { scale, outline: piece.outline, place, text };
    }
    const { place, text } = piece.named;
    if (!place) return null;
    const [x, y] = this.surface.toScreen(place.at);
    text.setAttribute("transform", `translate(${x} ${y}) rotate(${place.turn})`);
    return text;
  }

  // A kind none of whose pieces has room for its name is named once, beside one of them.
  #leaders(named) {
    const open = new Map();
    this.pieces.forEach((piece, i) => {
      if (named[i]) open.set(piece.piece, null);
      else if (!open.has(piece.piece)) open.set(piece.piece, piece);
    });
    const pieces = [...open.values()].filter(Boolean);
    const points = pieces.map((piece) => this.surface.toScreen(labelPlace(piece.outline)));
    const { width, height } = this.surface.size;
    const boxes = besides(points, pieces.map((piece) => piece.piece), [width, height], this.#boxes(named));
    return pieces.flatMap((piece, i) => (boxes[i] ? leader(points[i], boxes[i], piece.piece) : []));
  }

  // The upright boxes round the names that stand in their pieces, on the screen.
  #boxes(named) {
    return this.pieces.flatMap(({ named: { place } }, i) => {
      if (!named[i]) return [];
      const [wide, high] = sizeOf(named[i].textContent), a = (place.turn * Math.PI) / 180;
      const [x, y] = this.surface.toScreen(place.at), c = Math.abs(Math.cos(a)) / 2, s = Math.abs(Math.sin(a)) / 2;
      const [dx, dy] = [c * wide + s * high, s * wide + c * high];
      return [[x - dx, y - dy, x + dx, y + dy]];
    });
  }

  #hover(place) {
    const under = document.elementFromPoint(...this.#client(place.screen));
    const piece = this.pieces.find((one) => one.path === under);
    if (!piece) return this.#leave();
    const box = bounds(piece.outline);
    const of = piece.number ? `${piece.product}, number ${piece.number}` : `${piece.product}, spare`;
    this.tip.textContent = `${piece.piece}\n${of}\nturned ${Math.round(piece.angle * 10) / 10}°${piece.mirrored ? ", turned over" : ""}, ${this.measure(box[2] - box[0])} × ${this.measure(box[3] - box[1])} as it lies`;
    this.tip.hidden = false;
    return this.#tipAt(place, this.tip.textContent);
  }

  #tipAt({ screen: [x, y] }, words) {
    if (this.tip.textContent !== words) this.tip.textContent = words;
    this.tip.style.transform = `translate(${Math.max(4, Math.min(x + 14, this.surface.size.width - 270))}px, ${y + 14}px)`;
  }

  #leave() {
    this.tip.hidden = true;
  }

  #client([x, y]) {
    const box = this.surface.root.getBoundingClientRect();
    return [x + box.left, y + box.top];
  }
}

function leader([px, py], { x, y, wide, high }, words) {
  return [
    svg("path", { class: "leader", d: `M${px} ${py}L${x} ${y}` }),
    svg("rect", { class: "leader-box", x: x - wide / 2, y: y - high / 2, width: wide, height: high, rx: 4 }),
    svg("text", { class: "leader-name", x, y, text: words }),
  ];
}
