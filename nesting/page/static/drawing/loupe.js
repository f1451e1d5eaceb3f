// A round window that shows the picture under a point enlarged, with a cross, away from the finger that covers it.

import { svg } from "./element.js";

export class Loupe {
  constructor(host) {
    this.host = host;
    this.image = svg("image", { preserveAspectRatio: "none" });
    this.line = svg("path", { fill: "none", stroke: "#fff3b0", "stroke-width": "2", "vector-effect": "non-scaling-stroke" });
    this.picture = svg("svg", { "aria-hidden": "true" }, this.image, this.line);
    const cross = svg("svg", { viewBox: "0 0 100 100", "aria-hidden": "true" }, svg("path", { class: "cross", d: "M50 20v24M50 56v24M20 50h24M56 50h24", fill: "none" }));
    cross.style.position = "absolute";
    cross.style.inset = "0";
    host.replaceChildren(this.picture, cross);
  }

  /** Show a picture lying in the box (y up when `flip`) around a point, `radius` to each side. */
  show({ href, box: [x0, y0, x1, y1], flip, at, radius, path = "", screen, width }) {
    const sign = flip ? -1 : 1;
    if (this.image.getAttribute("href") !== href) this.image.setAttribute("href", href);
    const set = (name, value) => this.image.setAttribute(name, value);
    set("x", x0);
    set("y", flip ? -y1 : y0);
    set("width", x1 - x0);
    set("height", y1 - y0);
    this.line.setAttribute("d", path);
    this.line.setAttribute("transform", flip ? "scale(1 -1)" : "");
    this.picture.setAttribute("viewBox", `${at[0] - radius} ${sign * at[1] - radius} ${2 * radius} ${2 * radius}`);
    this.host.classList.toggle("right", screen[0] < width / 2 && screen[1] < 260);
    this.host.hidden = false;
  }

  hide() {
    this.host.hidden = true;
  }
}
