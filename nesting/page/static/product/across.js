// The two ends of a line that crosses a piece, in the words of the corners it runs between.

import { crossing } from "../pure/edges.js";
import { written } from "../pure/sizes.js";

/** Points of a line at `value` (as the file writes it; of axis 0: x, 1: y) from where it enters the piece to where it leaves it.
 * `at` is what the value comes to in mm; null where that is not known: then as far as the piece goes.
 */
export function acrossPoints(piece, axis, value, at, units) {
  const ends = (at === null ? null : crossing(piece.edges, axis, at)) || extremes(piece.edges, 1 - axis);
  return ends.map((end) => {
    const far = inWords(piece, 1 - axis, end, units);
    return axis ? [far, value] : [value, far];
  });
}

function extremes(contour, axis) {
  const values = contour.flatMap((edge) => edge.points.map((point) => point[axis]));
  return [Math.min(...values), Math.max(...values)].map((value) => ({ at: value, ends: [] }));
}

/** A coordinate as the nearest corner has it that lies there or, on a folded piece, across from there; else its number. */
function inWords(piece, axis, { at, ends }, units) {
  if (Math.abs(at) < 5e-3) return 0;
  const corners = piece.handles.filter((handle) => [handle.x, handle.y][axis]?.[0] === "shape" && handle.scale === 1);
  const fits = corners.filter((handle) => Math.abs(Math.abs(handle.at[axis]) - Math.abs(at)) < 5e-3);
  const far = (handle) => Math.min(...ends.map((end) => Math.abs(end[1 - axis] - handle.at[1 - axis])), 1e6);
  const [best] = fits.sort((a, b) => far(a) - far(b));
  if (!best) return written(at, units, 0);
  return best.at[axis] * at > 0 ? best.values[axis] : opposite(best.values[axis]);
}

/** The same length the other way. */
function opposite(value) {
  if (typeof value === "number") return -value;
  return /^[\w.]+( ?[*/] ?[\w.]+)*$/.test(value) ? `-${value}` : `-(${value})`;
}
