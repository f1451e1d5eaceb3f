// The piece in the hand, drawn by itself above the layout: while it moves nothing else is drawn again.

import { pathOf, svg } from "./element.js";
import { bounds } from "../pure/geometry.js";

const RIM = 8;

export class Lifted {
  constructor(surface) {
    this.surface = surface;
    this.piece = null;
  }

  /** Take a piece {outline, path, named} up from the layout. */
  take(piece) {
    this.lay();
    Object.assign(this, { piece, by: [0, 0] });
    this.path = piece.path.cloneNode();
    this.world = svg("g", {}, this.path);
    this.root = svg("svg", { class: "lifted", "aria-hidden": "true" }, this.world);
    const text = piece.named?.text;
    if (text) this.root.append(this.name = text.cloneNode(true));
    this.#frame(piece.outline);
    this.hidden = [piece.path, ...(text ? [text] : [])];
    for (const part of this.hidden) part.setAttribute("visibility", "hidden");
    this.surface.host.append(this.root);
  }

  /** It lies so far (mm) from where it was taken up. */
  shift(by) {
    const { scale } = this.surface.view, [dx, dy] = (this.by = by);
    this.root.style.transform = `translate(${dx * scale}px, ${-dy * scale}px)`;
  }

  /** The view has moved. */
  view() {
    if (!this.piece) return;
    this.name?.remove();
    this.name = null;
    this.#frame(this.outline);
    this.shift(this.by);
  }

  /** It has turned: its outline is another. */
  redraw(outline) {
    this.name?.remove();
    this.name = null;
    this.path.setAttribute("d", pathOf(outline));
    this.#frame(outline);
  }

  /** Laid down, or there was none. */
  lay() {
    if (!this.piece) return;
    for (const part of this.hidden) part.removeAttribute("visibility");
    this.root.remove();
    Object.assign(this, { piece: null, root: null, name: null });
  }

  // As large as the piece and no larger, so that little is kept for it.
  #frame(outline) {
    this.outline = outline;
    const corners = outline.map((point) => this.surface.toScreen(point)), [x0, y0, x1, y1] = bounds(corners);
    const [left, top] = [Math.floor(x0) - RIM, Math.floor(y0) - RIM];
    const [wide, high] = [Math.ceil(x1) + RIM - left, Math.ceil(y1) + RIM - top];
    Object.assign(this.root.style, { left: `${left}px`, top: `${top}px`, width: `${wide}px`, height: `${high}px`, transform: "" });
    this.root.setAttribute("viewBox", `${left} ${top} ${wide} ${high}`);
    this.world.setAttribute("transform", this.surface.world.getAttribute("transform"));
  }
}
