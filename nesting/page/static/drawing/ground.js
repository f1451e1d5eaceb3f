// The photo laid flat, as it lies under a drawing.

import { svg } from "./element.js";

/** The image of a flat photo {href, box: [left, low, right, high]} in the hide's own plane (y upwards), `before` taken on where it shows the same. */
export function groundImage({ href, box: [left, low, right, high] }, strength = 1, before = null) {
  const image = before?.getAttribute("href") === href ? before : svg("image", { href, preserveAspectRatio: "none" });
  image.setAttribute("width", right - left);
  image.setAttribute("height", high - low);
  image.setAttribute("transform", `matrix(1 0 0 -1 ${left} ${high})`);
  image.setAttribute("opacity", strength);
  return image;
}
