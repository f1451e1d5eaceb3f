// How a layout gets onto the table: from the hide's millimetres to the rectangle of four marks, and from there to the
// projector's pixels by the projective map of four corners. Pure plane geometry.

import { carried, homography, isConvexQuad } from "./geometry.js";

/** The rectangle's corners in its own millimetres: far left, far right, near right, near left. */
export function rectangle([width, depth]) {
  return [[0, depth], [width, depth], [width, 0], [0, 0]];
}

/** A point of the hide on the table: turned about the origin by degrees, then shifted. */
export function placed([x, y], { dx, dy, angle }) {
  const a = (angle * Math.PI) / 180;
  return [dx + x * Math.cos(a) - y * Math.sin(a), dy + x * Math.sin(a) + y * Math.cos(a)];
}

/** The map from a point on the table (mm) to the projector (pixels), and back; null where the corners make none. */
export function projection({ size, corners }) {
  if (!isConvexQuad(corners)) return null;
  const to = homography(rectangle(size), corners), from = homography(corners, rectangle(size));
  if (!to || !from) return null;
  return { toPixels: (point) => carried(to, point), toTable: (pixel) => carried(from, pixel) };
}

/** The corners to begin with: the rectangle as large as the screen lets it be. */
export function firstCorners([width, depth], [wide, high]) {
  const scale = 0.8 * Math.min(wide / width, high / depth), x = (scale * width) / 2, y = (scale * depth) / 2;
  return rectangle([2 * x, 2 * y]).map(([px, py]) => [wide / 2 + px - x, high / 2 - py + y]);
}

/** The place that lets a box of the hide lie amid the rectangle. */
export function amid([x0, y0, x1, y1], [width, depth]) {
  return { dx: width / 2 - (x0 + x1) / 2, dy: depth / 2 - (y0 + y1) / 2, angle: 0 };
}

/** A place turned by degrees about a point of the table that stays where it is. */
export function turnedAbout({ dx, dy, angle }, [x, y], by) {
  const [tx, ty] = placed([dx - x, dy - y], { dx: x, dy: y, angle: by });
  return { dx: tx, dy: ty, angle: angle + by };
}

/** A square of 100 mm about a point of the table. */
export function testSquare([x, y]) {
  return [[-50, -50], [50, -50], [50, 50], [-50, 50]].map(([dx, dy]) => [x + dx, y + dy]);
}
