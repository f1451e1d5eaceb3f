// Edges of an outline by their names: which follow one another, which lie across from one another.

const STRAIGHT = 0.98;

/** The edges from one to another round the outline, the shorter way; counter-clockwise where both are as long. */
export function edgeRun(names, from, to) {
  const [first, last] = [names.indexOf(from), names.indexOf(to)];
  if (first < 0 || last < 0 || first === last) return to;
  const n = names.length;
  const [on, back] = [(last - first + n) % n, (first - last + n) % n];
  const step = on <= back ? 1 : -1;
  return Array.from({ length: Math.min(on, back) + 1 }, (_, i) => names[(first + step * i + n * n) % n]);
}

/** The edge that runs the other way across the piece and is most nearly as long; null where none does that is not `taken`.
 * `contour` has each edge with its name, its points and its length.
 */
export function edgeAcross(contour, name, taken) {
  const own = contour.find((edge) => edge.name === name);
  if (!own || !heading(own)) return null;
  const fits = contour.filter((edge) => edge.name && !edge.name.endsWith(" mirrored") && !taken.includes(edge.name) && facing(own, edge));
  const unlike = (edge) => Math.abs(Math.log(edge.length / own.length));
  fits.sort((a, b) => unlike(a) - unlike(b));
  return fits[0]?.name || null;
}

function facing(one, other) {
  const [a, b] = [heading(one), heading(other)];
  return Boolean(b) && a[0] * b[0] + a[1] * b[1] < -STRAIGHT;
}

/** The direction of a straight edge; null of one that bends. */
function heading({ points, length }) {
  const [[x0, y0], [x1, y1]] = [points[0], points[points.length - 1]];
  const far = Math.hypot(x1 - x0, y1 - y0);
  return far > STRAIGHT * length && far > 0 ? [(x1 - x0) / far, (y1 - y0) / far] : null;
}

/** Where a line at `at` (of axis 0: x, 1: y) enters and leaves an outline: its least and its greatest other coordinate, and the
 * ends of the edge it crosses there; null where it passes it by.
 */
export function crossing(contour, axis, at) {
  const other = 1 - axis;
  const found = contour.flatMap(({ points }) => points.slice(1).flatMap((to, i) => {
    const from = points[i];
    const [low, high] = [Math.min(from[axis], to[axis]), Math.max(from[axis], to[axis])];
    if (at < low - 1e-6 || at > high + 1e-6) return [];
    const share = high - low < 1e-9 ? [0, 1] : [(at - from[axis]) / (to[axis] - from[axis])];
    return share.map((part) => ({ at: from[other] + part * (to[other] - from[other]), ends: [points[0], points[points.length - 1]] }));
  }));
  if (!found.length) return null;
  found.sort((a, b) => a.at - b.at);
  return [found[0], found[found.length - 1]];
}
