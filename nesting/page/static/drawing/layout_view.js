// A layout to look at: the hide with its pieces, names on hover, focus on a kind.

import { hideParts } from "./bench_drawing.js";
import { pathOf, svg } from "./element.js";
import { groundImage } from "./ground.js";
import { area, bounds, labelPlace } from "../pure/geometry.js";
import { besides, isDark, nameIn, sizeOf } from "../pure/labels.js";

// Any two are at least 12 apart (CIEDE2000) for every colour vision; a test simulates it.
export const COLOURS = ["#87c3c3", "#ffe1a5", "#8787c3", "#d2875a", "#1e6969", "#d2b4ff", "#a5a596", "#875a1e", "#5a5aa5", "#69785a", "#87ffff", "#5a8787"];

/** The colour of each kind of piece, by name. */
export function coloursOf(pieces) {
  return Object.fromEntries(pieces.map((name, i) => [name, COLOURS[i % COLOURS.length]]));
}

function classOf({ number, begun, keep, gone, chosen }) {
  return ["piece", !number && "spare", begun && "begun", keep && "locked", gone && "gone", chosen && "chosen"].filter(Boolean).join(" ");
}

export class LayoutView {
  constructor(surface, tip) {
    this.surface = surface;
    this.tip = tip;
    this.names = svg("g");
    surface.overlay.append(this.names);
    surface.onView = () => this.#drawNames();
    surface.tool = {
      hover: (place) => this.#hover(place), leave: () => this.#leave(), tap: (place) => this.#tap(place),
      press: (place) => this.#press(place), drag: (place) => this.hand.drag(place.world), release: () => this.hand.drop(),
      cancel: () => this.hand.cancel(), key: (event) => this.hand?.key(event),
    };
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
    this.surface.world.replaceChildren(...this.#ground(), ...hideParts(hide, null, true));
    this.names.replaceChildren();
    this.#span(hide.outline || []);
  }

  /** Show one hide of a layout. `kinds` are the names of the pieces in order. */
  drawLayout(hide, kinds) {
    const colours = coloursOf(kinds);
    this.pieces = hide.placements.map((placement) => ({
      ...placement,
      area: area(placement.outline),
      dark: isDark(colours[placement.piece]),
      path: svg("path", { class: classOf(placement), fill: colours[placement.piece], d: pathOf(placement.outline), "data-piece": placement.piece }),
    }));
    const offcuts = (hide.offcuts || []).map((offcut) => svg("path", { class: "offcut", d: pathOf(offcut.outline || offcut) }));
    this.surface.world.replaceChildren(...this.#ground(), ...hideParts(hide, null, true), ...offcuts, ...this.pieces.map((piece) => piece.path));
    this.#span(hide.outline);
    this.#drawNames();
  }

  /** A piece that is moved by hand follows at once. */
  moveTo(index, placement) {
    const piece = this.pieces[index];
    Object.assign(piece, placement, { path: piece.path, area: piece.area });
    piece.path.setAttribute("d", pathOf(placement.outline));
    const before = piece.named?.text;
    const text = this.#name(piece);
    if (before && before !== text) before.replaceWith(...(text ? [text] : []));
  }

  #under(place) {
    const under = document.elementFromPoint(...this.#client(place.screen));
    return this.pieces.findIndex((one) => one.path === under);
  }

  #press(place) {
    const index = this.hand?.hide ? this.#under(place) : -1;
    if (index < 0 || this.hand.pieces[index].gone) return false;
    this.#leave();
    return this.hand.grab(index, place.world);
  }

  #tap(place) {
    if (this.hand?.hide && this.#under(place) < 0) this.hand.choose(null);
    else if (this.hand?.held) this.hand.held = null;
    this.#hover(place);
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
    const { width } = this.surface.size;
    this.tip.style.left = `${Math.min(place.screen[0] + 14, width - 230)}px`;
    this.tip.style.top = `${place.screen[1] + 14}px`;
    return null;
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
