// The three zoom buttons at a surface's corner.

import { el } from "./element.js";

export function wireZoomers(surface) {
  const button = (zoom, words, sign, act, title = words) => el("button", { type: "button", "data-zoom": zoom, "aria-label": words, title, onclick: act }, sign);
  surface.host.querySelector(".zoomers").append(
    button("in", "Zoom in", "+", () => surface.zoom(1.4)),
    button("out", "Zoom out", "−", () => surface.zoom(1 / 1.4)),
    button("all", "Show all", "⤢", () => surface.fit(), "Show all (0)"),
  );
}
