// What is being drawn and not done yet: the points of a ring so far, and the keyboard's cross.

import { pathOf, svg } from "./element.js";

export class Pen {
  /** Its line lies in `world`, which whoever draws keeps on top; its dots and the cross keep their size on the screen. */
  constructor(surface) {
    this.surface = surface;
    this.world = svg("g");
    this.dots = svg("g");
    this.cursor = svg("path", { class: "cursor-cross", visibility: "hidden" });
    surface.overlay.append(this.dots, this.cursor);
    this.points = [];
  }

  /** The ring being clicked round: points so far, and where the pointer is. */
  drawPending(points, tip = null, closed = false) {
    this.points = points;
    const line = tip ? [...points, tip] : points;
    this.world.replaceChildren(...(points.length ? [svg("path", { class: "pending", d: pathOf(line, closed) })] : []));
    this.redraw();
  }

  redraw() {
    this.dots.replaceChildren(...this.points.map((point, i) => {
      const [cx, cy] = this.surface.toScreen(point);
      return svg("circle", { class: i === 0 ? "handle first" : "handle", cx, cy, r: i === 0 ? 8 : 4.5 });
    }));
  }

  /** The keyboard's cross, at a screen place; null hides it. */
  drawCursor(place) {
    this.cursor.setAttribute("visibility", place ? "visible" : "hidden");
    if (place) this.cursor.setAttribute("d", `M${place[0] - 12} ${place[1]}h24M${place[0]} ${place[1] - 12}v24`);
  }
}
