// What a lens bends: one radial term about the picture's middle, found from lines that must come out straight.
// The same model and the same way as the program's own (hides/photo/lens.py): r / (1 + k r²), r in half diagonals.

import { carried, homography } from "./geometry.js";

const MOST = 0.3;

/** A photo pixel where a lens without any bend would have put it. */
export function straightened(lens, [x, y]) {
  const [cx, cy, half] = middle(lens);
  const factor = 1 / (1 + lens.k * ((x - cx) ** 2 + (y - cy) ** 2) / half ** 2);
  return [cx + (x - cx) * factor, cy + (y - cy) * factor];
}

/** Where the lens puts a straight point in the photo; the inverse of `straightened`. */
export function bent(lens, [x, y]) {
  const [cx, cy, half] = middle(lens);
  const r2 = ((x - cx) ** 2 + (y - cy) ** 2) / half ** 2;
  const factor = 2 / (1 + Math.sqrt(Math.max(1 - 4 * lens.k * r2, 0)));
  return [cx + (x - cx) * factor, cy + (y - cy) * factor];
}

/** The lens under which each mark amid a side lies on the line through the side's ends; size: the photo's, in pixels. */
export function fitLens(corners, middles, size) {
  let [low, high] = [-MOST, MOST];
  const ratio = (Math.sqrt(5) - 1) / 2;
  for (let i = 0; i < 60; i++) {
    const one = high - ratio * (high - low), other = low + ratio * (high - low);
    if (bend(corners, middles, { k: one, size }) < bend(corners, middles, { k: other, size })) high = other;
    else low = one;
  }
  return { k: Math.round((low + high) / 2 * 1e6) / 1e6, size };
}

/** Photo pixels to floor millimetres and back, for a photo with marks, size and, where the lens is marked, middles, or its bend where it is known. */
export function floorMap(photo) {
  const size = [photo.width, photo.height];
  const lens = photo.middles ? fitLens(photo.marks, photo.middles, size) : { k: photo.lens ?? 0, size };
  const [width, height] = photo.size;
  const rectangle = [[0, height], [width, height], [width, 0], [0, 0]];
  const straight = photo.marks.map((mark) => straightened(lens, mark));
  const down = homography(straight, rectangle), up = homography(rectangle, straight);
  if (!down || !up) return null;
  return { lens, toMm: (point) => carried(down, straightened(lens, point)), toPixels: (point) => bent(lens, carried(up, point)) };
}

/** What the program is asked by: a photo's marks as it wants them. */
export function floorOf({ marks, size, middles, lens }) {
  return { marks, size, middles, lens };
}

function middle({ size: [width, height] }) {
  return [width / 2, height / 2, Math.hypot(width, height) / 2];
}

// The sum of squares of how far the marks amid the sides are off their sides.
function bend(corners, middles, lens) {
  const ends = corners.map((point) => straightened(lens, point));
  return middles.reduce((sum, mark, i) => {
    const [ax, ay] = ends[i], [bx, by] = ends[(i + 1) % 4], [mx, my] = straightened(lens, mark);
    const off = ((bx - ax) * (my - ay) - (by - ay) * (mx - ax)) / Math.hypot(bx - ax, by - ay);
    return sum + off * off;
  }, 0);
}
