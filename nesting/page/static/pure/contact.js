// Whether a piece may lie where it is put, and how far it goes before it meets something. Pure plane geometry: rings of
// [x, y] in millimetres. Nothing is let by that is off by more than SLACK, a tenth of what the check lets by.

import { bounds, pointInRing } from "./geometry.js";

export const SLACK = 1e-3;
const MARCH = 2, MOST_STEPS = 400, FINE = 1e-4, NEAR = 0.05;
const GRADES = ["A", "B", "C", "D", "none"];

/** A piece's outline as it lies: turned over (x to −x), then turned by degrees, then shifted. */
export function laid(outline, { x, y, angle, mirrored }) {
  const a = (angle * Math.PI) / 180, c = Math.cos(a), s = Math.sin(a);
  const points = mirrored ? [...outline].reverse().map(([px, py]) => [-px, py]) : outline;
  return points.map(([px, py]) => [x + c * px - s * py, y + s * px + c * py]);
}

/** A ring shifted. */
export function shifted(ring, [dx, dy]) {
  return ring.map(([x, y]) => [x + dx, y + dy]);
}

/** What a piece meets on a hide: `inside` rings it stays in, `off` rings it stays out of, each with its distance. */
export function groundOf(hide, piece, others, gap) {
  const worse = (grade) => GRADES.indexOf(grade ?? "none") > GRADES.indexOf(piece.grade ?? "A");
  const off = (ring, by, words) => ({ ring, by, words, box: bounds(ring) });
  return {
    inside: { ring: hide.outline, by: hide.edge || 0 },
    off: [
      ...(hide.holes || []).map((ring) => off(ring, 0, "a hole in the hide")),
      ...(hide.flaws || []).filter((flaw) => worse(flaw.grade)).map((flaw) => off(flaw.outline, flaw.clearance || 0, `a flaw (${flaw.kind})`)),
      ...(hide.zones || []).filter((zone) => worse(zone.grade)).map((zone) => off(zone.outline, 0, `leather of grade ${zone.grade} (${zone.name})`)),
      ...others.map((other) => off(other.outline, gap, `${other.piece} ${other.number || ""}`.trim())),
    ],
  };
}

/** What keeps a ring from lying where it is, in words; nothing where it may. */
export function whyNot(ring, ground) {
  const box = bounds(ring), inner = drawnIn(ring);
  const { inside } = ground;
  if (!inner.every((point) => pointInRing(point, inside.ring)) || crosses(inner, inside.ring)) return "the edge of the leather";
  if (inside.by > SLACK && nearer(ring, inside.ring, inside.by)) return "the strip kept clear along the edge";
  const met = ground.off.find((each) => meets(ring, inner, box, each));
  return met ? met.words : "";
}

function meets(ring, inner, box, { ring: other, by, box: theirs }) {
  if (box[0] > theirs[2] + by || theirs[0] > box[2] + by || box[1] > theirs[3] + by || theirs[1] > box[3] + by) return false;
  return lieIn(inner, other) || (by > SLACK && nearer(ring, other, by));
}

/** Whether two rings lie in one another by more than SLACK. */
export function overlap(one, other) {
  return lieIn(drawnIn(one), other);
}

function lieIn(inner, other) {
  return crosses(inner, other) || inner.some((point) => pointInRing(point, other)) || other.some((point) => pointInRing(point, inner));
}

/** A counter-clockwise ring with every edge moved in by SLACK; sharp corners by no more than four times that. */
function drawnIn(ring) {
  const many = ring.length;
  return ring.map((p, i) => {
    const [ax, ay] = unit(ring[(i + many - 1) % many], p), [bx, by] = unit(p, ring[(i + 1) % many]);
    const nx = -ay - by, ny = ax + bx, share = 1 + ax * bx + ay * by;
    const scale = SLACK / Math.max(share, 0.25);
    return [p[0] + nx * scale, p[1] + ny * scale];
  });
}

function unit(a, b) {
  const long = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1;
  return [(b[0] - a[0]) / long, (b[1] - a[1]) / long];
}

// Whether any edges cross with all four ends off the other's line.
function crosses(one, other) {
  const mine = edgesIn(one, bounds(other)), theirs = edgesIn(other, bounds(one));
  return mine.some(([a, b]) => theirs.some(([c, d]) => cross(a, b, c, d)));
}

function cross(a, b, c, d) {
  if (Math.max(a[0], b[0]) < Math.min(c[0], d[0]) || Math.max(c[0], d[0]) < Math.min(a[0], b[0])) return false;
  if (Math.max(a[1], b[1]) < Math.min(c[1], d[1]) || Math.max(c[1], d[1]) < Math.min(a[1], b[1])) return false;
  return side(a, b, c) * side(a, b, d) < 0 && side(c, d, a) * side(c, d, b) < 0;
}

function side(a, b, p) {
  return (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]);
}

function grown(box, by) {
  return [box[0] - by, box[1] - by, box[2] + by, box[3] + by];
}

function edgesIn(ring, [x0, y0, x1, y1]) {
  const found = [];
  for (let i = 0; i < ring.length; i++) {
    const a = ring[i], b = ring[(i + 1) % ring.length];
    if (Math.max(a[0], b[0]) >= x0 && Math.min(a[0], b[0]) <= x1 && Math.max(a[1], b[1]) >= y0 && Math.min(a[1], b[1]) <= y1) found.push([a, b]);
  }
  return found;
}

function toSegment(p, a, b) {
  const dx = b[0] - a[0], dy = b[1] - a[1], long = dx * dx + dy * dy;
  const t = long ? Math.min(1, Math.max(0, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / long)) : 0;
  return Math.hypot(p[0] - a[0] - t * dx, p[1] - a[1] - t * dy);
}

// Whether the borders of two rings that do not cross are nearer than a distance: then a corner of one is.
function nearer(one, other, by) {
  const mine = edgesIn(one, grown(bounds(other), by)), theirs = edgesIn(other, grown(bounds(one), by));
  const close = (edges, others) => edges.some(([a]) => others.some(([c, d]) => toSegment(a, c, d) < by - SLACK));
  return close(mine, theirs) || close(theirs, mine) || mine.some(([, b]) => theirs.some(([c, d]) => toSegment(b, c, d) < by - SLACK)) ||
    theirs.some(([, d]) => mine.some(([a, b]) => toSegment(d, a, b) < by - SLACK));
}

/** How far a ring that lies well goes on the way to `by`: there if it may lie there, else until it meets something,
 * and on along what it met. */
export function slide(ring, by, ground) {
  if (!whyNot(shifted(ring, by), ground)) return by;
  let at = march(ring, [0, 0], by, ground);
  for (let turn = 0; turn < 2; turn++) {
    const left = [by[0] - at[0], by[1] - at[1]];
    const ways = directions(shifted(ring, at), ground).map(([ux, uy]) => {
      const along = left[0] * ux + left[1] * uy;
      return [along * ux, along * uy];
    }).filter((way) => Math.hypot(...way) > FINE);
    const ends = ways.map((way) => march(ring, at, way, ground));
    const far = (end) => Math.hypot(by[0] - end[0], by[1] - end[1]);
    const best = ends.sort((p, q) => far(p) - far(q))[0];
    if (!best || far(best) > far(at) - FINE) break;
    at = best;
  }
  return at;
}

function march(ring, from, way, ground) {
  const long = Math.hypot(...way), steps = Math.min(MOST_STEPS, Math.max(1, Math.ceil(long / MARCH)));
  const place = (t) => [from[0] + t * way[0], from[1] + t * way[1]];
  const free = (t) => !whyNot(shifted(ring, place(t)), ground);
  let low = 0, high = null;
  for (let i = 1; i <= steps && high === null; i++) {
    if (free(i / steps)) low = i / steps;
    else high = i / steps;
  }
  if (high === null) return place(1);
  while ((high - low) * long > FINE) {
    const middle = (low + high) / 2;
    if (free(middle)) low = middle;
    else high = middle;
  }
  return place(low);
}

// The directions of edges that nearly touch the ring, its own and theirs.
function directions(ring, ground) {
  const box = grown(bounds(ring), NEAR), found = [];
  const note = (a, b) => {
    const long = Math.hypot(b[0] - a[0], b[1] - a[1]);
    if (long > FINE) found.push([(b[0] - a[0]) / long, (b[1] - a[1]) / long]);
  };
  for (const { ring: other, by } of [ground.inside, ...ground.off]) {
    const reach = by + NEAR;
    for (const [c, d] of edgesIn(other, grown(box, by))) {
      for (let i = 0; i < ring.length; i++) {
        const a = ring[i], b = ring[(i + 1) % ring.length];
        if (toSegment(a, c, d) < reach) note(c, d);
        if (toSegment(c, a, b) < reach || toSegment(d, a, b) < reach) note(a, b);
      }
    }
  }
  return found.slice(0, 24);
}

/** The next angle (degrees) that a piece may be turned to by steps of `step`; itself where there is none. */
export function turnedOn(piece, bearing, angle, step) {
  const next = angle + step;
  if (piece.angles) return nextOf(piece.angles.map((each) => each + bearing - 90), angle, Math.sign(step));
  if (piece.along === "any") return next;
  const middle = bearing - 90 + (piece.along === "across" ? 90 : 0);
  const middles = piece.turn === false ? [middle] : [middle, middle + 180];
  if (middles.some((each) => Math.abs(between(next, each)) <= (piece.tolerance || 0) + 1e-9)) return next;
  return piece.turn === false ? angle : angle + 180;
}

function nextOf(angles, angle, sign) {
  const ahead = angles.map((each) => ({ each, by: ((sign * (each - angle)) % 360 + 360) % 360 })).filter(({ by }) => by > 1e-6);
  return ahead.length ? ahead.sort((p, q) => p.by - q.by)[0].each : angle;
}

function between(a, b) {
  return ((((a - b) % 360) + 540) % 360) - 180;
}
