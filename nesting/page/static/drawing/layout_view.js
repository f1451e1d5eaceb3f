// A layout to look at: the hide with its pieces, names on hover, focus on a kind.

import { hideParts } from "./bench_drawing.js";
import { pathOf, svg } from "./element.js";
import { area, bounds, labelPlace } from "../pure/geometry.js";

// Muted, told apart by lightness as well as hue.
const COLOURS = ["#8fb7ac", "#e9cf8f", "#b9a5c9", "#e3a48c", "#9fb7d8", "#cfd8a0", "#d9b6c4", "#a8c7c9", "#c9b79c", "#f0e3b6"];

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

  /** Show a bare hide. */
  drawHide(hide) {
    this.pieces = [];
    this.surface.world.replaceChildren(...hideParts(hide, null, true));
    this.names.replaceChildren();
    this.#span(hide.outline || []);
  }

  /** Show one hide of a layout. `kinds` are the names of the pieces in order. */
  drawLayout(hide, kinds) {
    const colours = coloursOf(kinds);
    this.pieces = hide.placements.map((placement) => ({
      ...placement,
      area: area(placement.outline),
      path: svg("path", { class: classOf(placement), fill: colours[placement.piece], d: pathOf(placement.outline), "data-piece": placement.piece }),
    }));
    const offcuts = (hide.offcuts || []).map((offcut) => svg("path", { class: "offcut", d: pathOf(offcut.outline || offcut) }));
    this.surface.world.replaceChildren(...hideParts(hide, null, true), ...offcuts, ...this.pieces.map((piece) => piece.path));
    this.#span(hide.outline);
    this.#drawNames();
  }

  /** A piece that is moved by hand follows at once. */
  moveTo(index, placement) {
    const piece = this.pieces[index];
    Object.assign(piece, placement, { path: piece.path });
    piece.path.setAttribute("d", pathOf(placement.outline));
    this.#drawNames();
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
    this.names.replaceChildren(...this.pieces.flatMap((piece) => this.#name(piece)));
  }

  // The name runs along the piece's longer side, never upside down, where there is room for it.
  #name(piece) {
    const { scale } = this.surface.view;
    const own = piece.outline.map((point) => turned(point, -piece.angle));
    const box = bounds(own);
    const [wide, high] = [(box[2] - box[0]) * scale, (box[3] - box[1]) * scale];
    const words = piece.number ? `${piece.piece} ${piece.number}` : piece.piece;
    if (Math.max(wide, high) < words.length * 6.6 + 6 || Math.min(wide, high) < 13) return [];
    const [x, y] = this.surface.toScreen(turned(labelPlace(own), piece.angle));
    let angle = -(piece.angle + (wide < high ? 90 : 0)) % 180;
    if (angle > 90) angle -= 180;
    if (angle <= -90) angle += 180;
    return [svg("text", { class: "piece-name", x, y, text: words, transform: `rotate(${angle} ${x} ${y})` })];
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

function turned([x, y], degrees) {
  const angle = (degrees * Math.PI) / 180;
  return [x * Math.cos(angle) - y * Math.sin(angle), x * Math.sin(angle) + y * Math.cos(angle)];
}
