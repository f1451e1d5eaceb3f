// Plane geometry of rings, as pure functions. A point is [x, y]; a ring is an array of points, not repeated at
// the end. Nothing here knows the page, so that it can be tested by itself.

const EPSILON = 1e-9;

/** Signed area of a ring (positive when counter-clockwise with y up), in square units of its points. */
export function signedArea(ring) {
  if (ring.length < 3) return 0;
  const [ox, oy] = ring[0];
  let twice = 0;
  for (let i = 1; i < ring.length - 1; i++) {
    const ax = ring[i][0] - ox, ay = ring[i][1] - oy;
    const bx = ring[i + 1][0] - ox, by = ring[i + 1][1] - oy;
    twice += ax * by - bx * ay;
  }
  return twice / 2;
}

/** Area of a ring. */
export function area(ring) {
  return Math.abs(signedArea(ring));
}

/** Smallest upright box round some points: [x0, y0, x1, y1], or null for none. */
export function bounds(points) {
  if (!points.length) return null;
  let x0 = Infinity, y0 = Infinity, x1 = -Infinity, y1 = -Infinity;
  for (const [x, y] of points) {
    if (x < x0) x0 = x;
    if (x > x1) x1 = x;
    if (y < y0) y0 = y;
    if (y > y1) y1 = y;
  }
  return [x0, y0, x1, y1];
}

/** Distance between two points. */
export function distance(a, b) {
  return Math.hypot(a[0] - b[0], a[1] - b[1]);
}

function turn(a, b, c) {
  const value = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
  const scale = Math.max(1, Math.abs(b[0] - a[0]) + Math.abs(b[1] - a[1])) *
    Math.max(1, Math.abs(c[0] - a[0]) + Math.abs(c[1] - a[1]));
  return Math.abs(value) <= EPSILON * scale ? 0 : Math.sign(value);
}

function between(a, b, p) {
  return Math.min(a[0], b[0]) - EPSILON <= p[0] && p[0] <= Math.max(a[0], b[0]) + EPSILON &&
    Math.min(a[1], b[1]) - EPSILON <= p[1] && p[1] <= Math.max(a[1], b[1]) + EPSILON;
}

/** Where two segments meet (crossing or touching), or null. */
export function meeting(a, b, c, d) {
  const abc = turn(a, b, c), abd = turn(a, b, d), cda = turn(c, d, a), cdb = turn(c, d, b);
  if (abc * abd < 0 && cda * cdb < 0) {
    const rx = b[0] - a[0], ry = b[1] - a[1], sx = d[0] - c[0], sy = d[1] - c[1];
    const t = ((c[0] - a[0]) * sy - (c[1] - a[1]) * sx) / (rx * sy - ry * sx);
    return [a[0] + t * rx, a[1] + t * ry];
  }
  if (abc === 0 && between(a, b, c)) return c;
  if (abd === 0 && between(a, b, d)) return d;
  if (cda === 0 && between(c, d, a)) return a;
  if (cdb === 0 && between(c, d, b)) return b;
  return null;
}

function segmentsByLeft(ring, owner) {
  return ring.map((a, i) => {
    const b = ring[(i + 1) % ring.length];
    return { a, b, i, owner, left: Math.min(a[0], b[0]), right: Math.max(a[0], b[0]) };
  });
}

function sweep(segments, check) {
  segments.sort((s, t) => s.left - t.left);
  let active = [];
  for (const segment of segments) {
    active = active.filter((other) => other.right >= segment.left - EPSILON);
    for (const other of active) if (check(other, segment) === false) return;
    active.push(segment);
  }
}

/** Places where a ring crosses or touches itself: [{at, edges: [i, j]}], at most `most` of them. */
export function crossings(ring, most = 20) {
  const found = [];
  const n = ring.length;
  if (n < 3) return found;
  sweep(segmentsByLeft(ring, 0), (s, t) => {
    const [p, q] = s.i < t.i ? [s, t] : [t, s];
    const neighbours = q.i - p.i === 1 || (p.i === 0 && q.i === n - 1);
    const at = neighbours ? foldedBack(p, q, n) : meeting(p.a, p.b, q.a, q.b);
    if (at) found.push({ at, edges: [p.i, q.i] });
    return found.length < most;
  });
  return found;
}

// Neighbouring edges share a corner; they fault only by running back over each other, or by having no length.
function foldedBack(p, q, n) {
  const first = q.i - p.i === 1 ? p : q;
  const second = first === p ? q : p;
  if (n === 2) return null;
  if (distance(first.a, first.b) <= EPSILON) return first.a;
  if (distance(second.a, second.b) <= EPSILON) return second.a;
  const dot = (first.b[0] - first.a[0]) * (second.b[0] - second.a[0]) + (first.b[1] - first.a[1]) * (second.b[1] - second.a[1]);
  return turn(first.a, first.b, second.b) === 0 && dot < 0 ? first.b : null;
}

/** Whether two rings' edges meet anywhere. Only edges near the first ring are looked at, so the small one comes first. */
export function ringsMeet(one, other) {
  let met = false;
  const box = bounds(one);
  const near = segmentsByLeft(other, 1).filter((segment) => reaches(segment, box));
  sweep([...segmentsByLeft(one, 0), ...near], (s, t) => {
    if (s.owner !== t.owner && meeting(s.a, s.b, t.a, t.b)) met = true;
    return !met;
  });
  return met;
}

function reaches({ a, b, left, right }, [x0, y0, x1, y1]) {
  return right >= x0 - EPSILON && left <= x1 + EPSILON &&
    Math.max(a[1], b[1]) >= y0 - EPSILON && Math.min(a[1], b[1]) <= y1 + EPSILON;
}

/** Whether a point lies inside a ring (on the edge counts either way). */
export function pointInRing(point, ring) {
  let inside = false;
  const [x, y] = point;
  for (let i = 0, j = ring.length - 1; i < ring.length; j = i++) {
    const [xi, yi] = ring[i], [xj, yj] = ring[j];
    if ((yi > y) !== (yj > y) && x < ((xj - xi) * (y - yi)) / (yj - yi) + xi) inside = !inside;
  }
  return inside;
}

/** Where there is room for something that reaches so far about its middle: at a spot, or as near to it as can be up or down,
 * or to the sides; the spot itself where there is none. `piece` has an outline, cutouts, and holes with their diameters.
 */
export function freeSpot({ outline, cutouts = [], holes = [] }, spot, reach) {
  const [x0, y0, x1, y1] = bounds(outline);
  const clear = ([x, y]) => pointInRing([x, y], outline) &&
    holes.every((hole) => distance(hole.at, [x, y]) > hole.diameter / 2 + reach) &&
    cutouts.every((ring) => { const [a, b, c, d] = bounds(ring); return x < a - reach || x > c + reach || y < b - reach || y > d + reach; });
  const steps = Array.from({ length: 16 }, (_, i) => (i % 2 ? -1 : 1) * Math.ceil(i / 2) / 16);
  const spots = [...steps.map((part) => [spot[0], spot[1] + part * (y1 - y0)]), ...steps.map((part) => [spot[0] + part * (x1 - x0), spot[1]])];
  return spots.find(clear) || spot;
}

/** How a ring lies to an outline: "inside", "across" or "outside". */
export function lies(ring, outline) {
  if (ringsMeet(ring, outline)) return "across";
  return pointInRing(ring[0], outline) ? "inside" : (pointInRing(outline[0], ring) ? "across" : "outside");
}

/** The ring's point nearest to a place: {index, distance}, or null for an empty ring. */
export function nearestVertex(ring, place) {
  let best = null;
  ring.forEach((point, index) => {
    const d = distance(point, place);
    if (!best || d < best.distance) best = { index, distance: d };
  });
  return best;
}

/** The place on a ring nearest to a point: {index of the edge, at, distance}, or null. */
export function nearestEdge(ring, place, closed = true) {
  let best = null;
  const edges = closed ? ring.length : ring.length - 1;
  for (let i = 0; i < edges; i++) {
    const a = ring[i], b = ring[(i + 1) % ring.length];
    const at = nearestOnSegment(a, b, place);
    const d = distance(at, place);
    if (!best || d < best.distance) best = { index: i, at, distance: d };
  }
  return best;
}

function nearestOnSegment(a, b, p) {
  const dx = b[0] - a[0], dy = b[1] - a[1];
  const length2 = dx * dx + dy * dy;
  const t = length2 ? Math.min(1, Math.max(0, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / length2)) : 0;
  return [a[0] + t * dx, a[1] + t * dy];
}

/** The indices of points to show as handles so that shown ones are at least `gap` apart; those in `always` stay. */
export function thin(points, gap, always = []) {
  const keep = new Set(always);
  const cells = new Map();
  const cell = (p) => `${Math.floor(p[0] / gap)},${Math.floor(p[1] / gap)}`;
  const put = (i) => {
    const key = cell(points[i]);
    if (!cells.has(key)) cells.set(key, []);
    cells.get(key).push(points[i]);
  };
  keep.forEach((i) => points[i] && put(i));
  points.forEach((point, i) => {
    if (keep.has(i) || crowded(point, gap, cells)) return;
    keep.add(i);
    put(i);
  });
  return [...keep].filter((i) => points[i]).sort((i, j) => i - j);
}

function crowded(point, gap, cells) {
  const cx = Math.floor(point[0] / gap), cy = Math.floor(point[1] / gap);
  for (let x = cx - 1; x <= cx + 1; x++) {
    for (let y = cy - 1; y <= cy + 1; y++) {
      for (const other of cells.get(`${x},${y}`) || []) if (distance(other, point) < gap) return true;
    }
  }
  return false;
}

/** The ring with the point at `index` moved. */
export function withMoved(ring, index, point) {
  return ring.map((old, i) => (i === index ? point : old));
}

/** The ring with a point put after `index`. */
export function withInserted(ring, index, point) {
  return [...ring.slice(0, index + 1), point, ...ring.slice(index + 1)];
}

/** The ring without the point at `index`. */
export function without(ring, index) {
  return ring.filter((_, i) => i !== index);
}

/** Whether four points, taken in order, form a convex four-sided figure. */
export function isConvexQuad(points) {
  const signs = points.map((_, i) => turn(points[i], points[(i + 1) % 4], points[(i + 2) % 4]));
  return points.length === 4 && signs.every((s) => s !== 0 && s === signs[0]);
}

/** The projective map that carries four points onto four others, as nine numbers; null where there is none. */
export function homography(from, to) {
  const rows = [];
  for (let i = 0; i < 4; i++) {
    const [x, y] = from[i], [u, v] = to[i];
    rows.push([x, y, 1, 0, 0, 0, -u * x, -u * y, u]);
    rows.push([0, 0, 0, x, y, 1, -v * x, -v * y, v]);
  }
  const solved = solve(rows);
  return solved && [...solved, 1];
}

// Gauss-Jordan elimination with row pivoting on an augmented matrix.
function solve(rows) {
  const n = rows.length;
  for (let column = 0; column < n; column++) {
    let pivot = column;
    for (let r = column + 1; r < n; r++) if (Math.abs(rows[r][column]) > Math.abs(rows[pivot][column])) pivot = r;
    if (Math.abs(rows[pivot][column]) < 1e-12) return null;
    [rows[column], rows[pivot]] = [rows[pivot], rows[column]];
    for (let r = 0; r < n; r++) {
      if (r === column) continue;
      const factor = rows[r][column] / rows[column][column];
      for (let c = column; c <= n; c++) rows[r][c] -= factor * rows[column][c];
    }
  }
  return rows.map((row, i) => row[n] / row[i]);
}

/** A point carried by a projective map. */
export function carried(map, [x, y]) {
  const w = map[6] * x + map[7] * y + map[8];
  return [(map[0] * x + map[1] * y + map[2]) / w, (map[3] * x + map[4] * y + map[5]) / w];
}

/** The view that shows a box centred in a window: {scale, x, y} with screen = scale * world + (x, y); y may be flipped. */
export function fitView(box, width, height, pad, flip) {
  const [x0, y0, x1, y1] = box;
  const scale = Math.max(1e-6, Math.min((width - 2 * pad) / Math.max(x1 - x0, 1e-6), (height - 2 * pad) / Math.max(y1 - y0, 1e-6)));
  const sign = flip ? -1 : 1;
  return { scale, flip, x: width / 2 - (scale * (x0 + x1)) / 2, y: height / 2 - (sign * scale * (y0 + y1)) / 2 };
}

/** The view scaled by a factor so that what lies under a screen place stays there. */
export function zoomedAt(view, [sx, sy], factor, least = 1e-3, most = 1e3) {
  const scale = Math.min(most, Math.max(least, view.scale * factor));
  const real = scale / view.scale;
  return { ...view, scale, x: sx - (sx - view.x) * real, y: sy - (sy - view.y) * real };
}

/** A world point on the screen. */
export function toScreen(view, [x, y]) {
  return [view.x + view.scale * x, view.y + (view.flip ? -1 : 1) * view.scale * y];
}

/** A screen place in the world. */
export function toWorld(view, [sx, sy]) {
  return [(sx - view.x) / view.scale, ((view.flip ? -1 : 1) * (sy - view.y)) / view.scale];
}

/** A place inside a ring that is good for a label: the middle of its widest inside stretch at several heights. */
export function labelPlace(ring) {
  const box = bounds(ring);
  let best = { width: -1, at: [(box[0] + box[2]) / 2, (box[1] + box[3]) / 2] };
  for (const share of [0.5, 0.35, 0.65, 0.2, 0.8]) {
    const y = box[1] + share * (box[3] - box[1]);
    const xs = [];
    ring.forEach((a, i) => {
      const b = ring[(i + 1) % ring.length];
      if ((a[1] > y) !== (b[1] > y)) xs.push(a[0] + ((y - a[1]) / (b[1] - a[1])) * (b[0] - a[0]));
    });
    xs.sort((p, q) => p - q);
    for (let i = 0; i + 1 < xs.length; i += 2) {
      const width = xs[i + 1] - xs[i];
      if (width > best.width * 1.2) best = { width, at: [(xs[i] + xs[i + 1]) / 2, y] };
    }
  }
  return best.at;
}
