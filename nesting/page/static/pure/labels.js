// Where names go on pieces: along a piece where there is room in it, else beside it by a leader. Pure plane geometry;
// places on the screen are pixels with y down, rings are in the hide's millimetres.

import { bounds, labelPlace, pointInRing } from "./geometry.js";

const WIDE = 7, HIGH = 13, PAD = 4;
const WAYS = [[1, -1], [-1, -1], [1, 1], [-1, 1], [0, -1], [0, 1], [1, 0], [-1, 0]];
const FAR = [34, 52, 76, 110, 150];

/** Width and height of a name, pixels. */
export function sizeOf(words) {
  return [words.length * WIDE + PAD, HIGH + PAD];
}

/** Where a name lies in a piece and how it runs, degrees as the screen turns, never upside down; null where there is no room. */
export function nameIn(ring, angle, words, scale) {
  const own = ring.map((point) => turned(point, -angle));
  const box = bounds(own), upright = box[3] - box[1] > box[2] - box[0];
  const way = angle + (upright ? 90 : 0), lying = upright ? ring.map((point) => turned(point, -way)) : own;
  const [wide, high] = sizeOf(words).map((pixels) => pixels / scale / 2);
  if (wide * 2 > Math.max(box[2] - box[0], box[3] - box[1])) return null;
  const [x, y] = labelPlace(lying);
  const rim = [[-1, -1], [0, -1], [1, -1], [1, 1], [0, 1], [-1, 1]];
  if (!rim.every(([sx, sy]) => pointInRing([x + sx * wide, y + sy * high], lying))) return null;
  let turn = -way % 180;
  if (turn > 90) turn -= 180;
  if (turn <= -90) turn += 180;
  return { at: turned([x, y], way), turn };
}

/** Boxes for names that stand beside their pieces, one after another where they cover none of the others and stay on the
 * sheet: [{x, y, wide, high}], or null for a name that finds no place. `names` are boxes that are taken already. */
export function besides(points, words, [width, height], names = []) {
  const taken = [...names];
  return points.map(([px, py], i) => {
    const [wide, high] = sizeOf(words[i]);
    for (const far of FAR) {
      for (const [sx, sy] of WAYS) {
        const x = px + sx * (far + wide / 2), y = py + sy * far;
        const box = [x - wide / 2, y - high / 2, x + wide / 2, y + high / 2];
        const within = box[0] > 2 && box[1] > 2 && box[2] < width - 2 && box[3] < height - 2;
        if (!within || taken.some((other) => meet(box, other)) || points.some(([qx, qy]) => qx > box[0] && qx < box[2] && qy > box[1] && qy < box[3])) continue;
        taken.push(box);
        return { x, y, wide, high };
      }
    }
    return null;
  });
}

function meet(a, b) {
  return a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3];
}

function turned([x, y], degrees) {
  const angle = (degrees * Math.PI) / 180;
  return [x * Math.cos(angle) - y * Math.sin(angle), x * Math.sin(angle) + y * Math.cos(angle)];
}

/** Whether dark letters are hard to read on a colour (#rrggbb): its relative luminance, as WCAG 2.1 reckons it. */
export function isDark(colour) {
  const [r, g, b] = [1, 3, 5].map((at) => {
    const c = parseInt(colour.slice(at, at + 2), 16) / 255;
    return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * r + 0.7152 * g + 0.0722 * b < 0.19;
}
