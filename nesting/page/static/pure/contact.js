// Whether a piece may lie where it is put, and how far it goes before it meets something. Pure plane geometry: rings of
// [x, y] in millimetres. Nothing is let by that is off by more than SLACK, a tenth of what the check lets by.

import { bounds, pointInRing } from "./geometry.js";

export const SLACK = 1e-3;
const MARCH = 2, MOST_STEPS = 400, FINE = 1e-4, NEAR = 0.05, FIRST = 0.02, MOST_WAYS = 8, ALIKE = 2e-3;
const ANGLE_SLACK = 1e-6;
const SNAP = 0.45, BESIDE = 12, LONG_EDGE = 15, EVEN = 2;
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

/** What a piece meets on a hide, as it lies: areas it stays in and out of, each with its distance, and the backbone's line.
 * An area is a list of rings, outlines counter-clockwise and openings clockwise. `more` is what the server tells of
 * grounds: what of its kind asks for good leather, other areas by its wishes, zones with a backbone of their own. */
export function groundOf(hide, piece, others, gap, { at = null, more = null } = {}) {
  const own = more?.kinds?.[piece.name] ?? {};
  const worse = (grade) => GRADES.indexOf(grade ?? "none") > GRADES.indexOf(piece.grade ?? "A");
  const off = (ring, by, words, grade = null) => ({ rings: [ring], by, words, grade, box: bounds(ring) });
  const area = ({ rings, words }) => ({ rings, by: 0, words, box: bounds(rings.flat()) });
  const spoilt = [
    ...(hide.holes || []).map((ring) => off(ring, 0, "a hole in the hide", "none")),
    ...(hide.flaws || []).filter((flaw) => worse(flaw.grade)).map((flaw) => off(flaw.outline, flaw.clearance || 0, `a flaw (${flaw.kind})`, flaw.grade ?? "none")),
    ...(hide.zones || []).filter((zone) => worse(zone.grade)).map((zone) => off(zone.outline, 0, `leather of grade ${zone.grade} (${zone.name})`, zone.grade)),
  ];
  const turned = at && more ? byDirection(piece, at.angle, hide, more) : { off: [], inside: [] };
  return {
    inside: [{ rings: [hide.outline], by: hide.edge || 0, words: "the edge of the leather", strip: "the strip kept clear along the edge" },
      ...(own.inside || []).map((each) => ({ ...each, by: 0 })), ...turned.inside],
    off: [...spoilt, ...(own.off || []).map(area), ...turned.off.map(area),
      ...others.map((other) => off(other.outline, gap, `${other.piece} ${other.number || ""}`.trim()))],
    line: own.off_backbone > 0 && hide.backbone ? { ends: hide.backbone, by: own.off_backbone } : null,
    parts: partsAt(own.parts, at),
    anchor: at ? laid([piece.outline[0]], at)[0] : null,
  };
}

// What of a piece asks for better leather than each grade, where it lies; only where a part of it is covered.
function partsAt(parts, at) {
  if (!parts || !at) return {};
  return Object.fromEntries(Object.entries(parts).map(([grade, rings]) => [grade, rings.map((ring) => laid(ring, at))]));
}

// Zones whose own backbone does not suit the piece's angle are no place for it; nor is the rest, where the hide's does not.
function byDirection(piece, angle, hide, { turned, elsewhere }) {
  if (!turned?.length || (!piece.angles?.length && piece.along === "any")) return { off: [], inside: [] };
  const unfit = turned.filter((zone) => !suits(piece, angle + 90 - zone.bearing));
  const off = unfit.map(({ rings, name }) => ({ rings, words: `the zone “${name}”, whose backbone runs another way` }));
  if (hide.backbone && suits(piece, angle + 90 - bearingOf(hide.backbone))) return { off, inside: [] };
  return { off, inside: [{ rings: elsewhere, by: 0, words: "leather whose backbone runs another way" }] };
}

/** The direction of a line, degrees. */
export function bearingOf([[ax, ay], [bx, by]]) {
  return (Math.atan2(by - ay, bx - ax) * 180) / Math.PI;
}

/** Whether a piece may lie at so many degrees from the backbone to its +y. */
function suits(piece, alpha) {
  if (piece.angles?.length) return piece.angles.some((each) => Math.abs(between(alpha, each)) <= ANGLE_SLACK);
  if (piece.along === "any") return true;
  const middle = piece.along === "across" ? 90 : 0;
  const middles = piece.turn === false ? [middle] : [middle, middle + 180];
  return middles.some((each) => Math.abs(between(alpha, each)) <= (piece.tolerance || 0) + ANGLE_SLACK);
}

/** What keeps a ring from lying where it is, in words; nothing where it may. */
export function whyNot(ring, ground) {
  return obstacle(ring, ground)?.words ?? "";
}

/** What keeps a ring from lying where it is: {words, rings}, its outlines; null where it may lie. */
export function obstacle(ring, ground) {
  const box = bounds(ring), inner = drawnIn(ring);
  for (const { rings, by, words, strip } of ground.inside) {
    if (!liesInside(ring, inner, rings)) return { words, rings };
    if (by > SLACK && rings.some((other) => nearer(ring, other, by))) return { words: strip, rings };
  }
  if (ground.line && nearLine(ring, ground.line)) return { words: "the backbone, which it keeps off", rings: [] };
  return ground.off.find((each) => meets(ring, inner, box, each, ground)) ?? null;
}

function meets(ring, inner, box, { rings, by, box: theirs, grade }, { parts, anchor }) {
  if (box[0] > theirs[2] + by || theirs[0] > box[2] + by || box[1] > theirs[3] + by || theirs[1] > box[3] + by) return false;
  const part = grade && anchor ? parts?.[grade] : null;
  if (!part) return overlapIn([inner], [ring], rings, by);
  const mine = part.map((each) => shifted(each, [ring[0][0] - anchor[0], ring[0][1] - anchor[1]]));
  return overlapIn(mine.map(drawnIn), mine, rings, by);
}

// Whether areas lie in one another, or nearer than a distance; `inner` are the rings of the first, drawn in.
function overlapIn(inner, mine, theirs, by) {
  if (inner.some((one) => theirs.some((other) => crosses(one, other)))) return true;
  if (inner.some((one) => inArea(one[0], theirs)) || theirs.some((other) => inArea(other[0], inner))) return true;
  return by > SLACK && mine.some((one) => theirs.some((other) => nearer(one, other, by)));
}

function liesInside(ring, inner, rings) {
  return inArea(inner[0], rings) && !rings.some((other) => crosses(inner, other)) && !rings.slice(1).some((other) => pointInRing(other[0], ring));
}

function inArea(point, rings) {
  return rings.reduce((inside, ring) => inside !== pointInRing(point, ring), false);
}

function nearLine(ring, { ends: [[ax, ay], [bx, by]], by: wanted }) {
  const long = Math.hypot(bx - ax, by - ay);
  let low = Infinity, high = -Infinity;
  for (const [x, y] of ring) {
    const off = ((bx - ax) * (y - ay) - (by - ay) * (x - ax)) / long;
    low = Math.min(low, off);
    high = Math.max(high, off);
  }
  return (low < 0 && high > 0) || Math.min(Math.abs(low), Math.abs(high)) < wanted - SLACK;
}

/** A counter-clockwise ring with every edge moved in by SLACK (a clockwise one is widened); sharp corners by no more than
 * four times that. */
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

// Boxes of rings that are asked for again and again.
const boxes = new WeakMap();

function boxOf(ring) {
  let box = boxes.get(ring);
  if (!box) boxes.set(ring, (box = bounds(ring)));
  return box;
}

// Whether any edges cross. A line through the other's corner crosses one of the two edges there.
function crosses(one, other) {
  const mine = edgesIn(one, boxOf(other));
  if (!mine.length) return false;
  const theirs = edgesIn(other, boxOf(one));
  return mine.some(([a, b]) => theirs.some(([c, d]) => cross(a, b, c, d)));
}

function cross(a, b, c, d) {
  if (Math.max(a[0], b[0]) < Math.min(c[0], d[0]) || Math.max(c[0], d[0]) < Math.min(a[0], b[0])) return false;
  if (Math.max(a[1], b[1]) < Math.min(c[1], d[1]) || Math.max(c[1], d[1]) < Math.min(a[1], b[1])) return false;
  return side(a, b, c) > 0 !== side(a, b, d) > 0 && side(c, d, a) > 0 !== side(c, d, b) > 0;
}

function side(a, b, p) {
  return (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]);
}

function grown(box, by) {
  return [box[0] - by, box[1] - by, box[2] + by, box[3] + by];
}

function edgesIn(ring, [x0, y0, x1, y1]) {
  const found = [];
  let a = ring[ring.length - 1];
  for (const b of ring) {
    if ((a[0] >= x0 || b[0] >= x0) && (a[0] <= x1 || b[0] <= x1) && (a[1] >= y0 || b[1] >= y0) && (a[1] <= y1 || b[1] <= y1)) found.push([a, b]);
    a = b;
  }
  return found;
}

function toSegment(p, a, b) {
  const [x, y] = footOn(p, a, b);
  return Math.hypot(p[0] - x, p[1] - y);
}

// Whether the borders of two rings that do not cross are nearer than a distance: then a corner of one is.
function nearer(one, other, by) {
  const mine = edgesIn(one, grown(boxOf(other), by));
  if (!mine.length) return false;
  const theirs = edgesIn(other, grown(boxOf(one), by));
  const close = (edges, others) => edges.some(([a]) => others.some(([c, d]) => toSegment(a, c, d) < by - SLACK));
  return close(mine, theirs) || close(theirs, mine) || mine.some(([, b]) => theirs.some(([c, d]) => toSegment(b, c, d) < by - SLACK)) ||
    theirs.some(([, d]) => mine.some(([a, b]) => toSegment(d, a, b) < by - SLACK));
}

/** How far a ring that lies well goes on the way to `by`: there if it may lie there, else until it meets something,
 * and on along what it met. */
export function slide(ring, by, whole) {
  const ground = about(ring, by, whole);
  if (!whyNot(shifted(ring, by), ground)) return by;
  let at = march(ring, [0, 0], by, ground);
  for (let turn = 0; turn < 2; turn++) {
    const left = [by[0] - at[0], by[1] - at[1]];
    const ways = directions(shifted(ring, at), ground).map(([ux, uy]) => {
      const along = left[0] * ux + left[1] * uy;
      return [along * ux, along * uy];
    }).filter((way) => Math.hypot(...way) > FINE && opens(ring, at, way, ground));
    const ends = ways.map((way) => march(ring, at, way, ground));
    const far = (end) => Math.hypot(by[0] - end[0], by[1] - end[1]);
    const best = ends.sort((p, q) => far(p) - far(q))[0];
    if (!best || far(best) > far(at) - FINE) break;
    at = best;
  }
  return at;
}

// Only what the ring can meet on a way that keeps within `by` of where it lies.
function about(ring, [dx, dy], ground) {
  const far = Math.hypot(dx, dy) + NEAR, box = grown(boxOf(ring), far);
  const near = ({ box: [x0, y0, x1, y1], by }) => x0 - by <= box[2] && x1 + by >= box[0] && y0 - by <= box[3] && y1 + by >= box[1];
  return { ...ground, off: ground.off.filter(near) };
}

// Whether a way is open for its first hair's breadth at least.
function opens(ring, from, way, ground) {
  const share = Math.min(1, FIRST / Math.hypot(...way));
  return !whyNot(shifted(ring, [from[0] + share * way[0], from[1] + share * way[1]]), ground);
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

// The directions of edges that nearly touch the ring, its own and theirs; of those that are nearly alike only one.
function directions(ring, ground) {
  const box = grown(bounds(ring), NEAR), found = [];
  const note = (a, b) => {
    const dx = b[0] - a[0], dy = b[1] - a[1], long = Math.hypot(dx, dy);
    if (long <= FINE || found.length >= MOST_WAYS) return;
    const way = [dx / long, dy / long];
    if (!found.some((other) => Math.abs(way[0] * other[1] - way[1] * other[0]) < ALIKE)) found.push(way);
  };
  for (const { rings, by } of [...ground.inside, ...ground.off]) {
    for (const other of rings) {
      const mine = edgesIn(ring, grown(boxOf(other), by + NEAR));
      if (mine.length) touching(mine, edgesIn(other, grown(box, by)), by + NEAR, note);
    }
  }
  return found;
}

function touching(mine, theirs, reach, note) {
  for (const [c, d] of theirs) {
    for (const [a, b] of mine) {
      if (toSegment(a, c, d) < reach) note(c, d);
      if (toSegment(c, a, b) < reach || toSegment(d, a, b) < reach) note(a, b);
    }
  }
}

/** A ring that lies well and is nearer than SNAP to what it may touch lies close to it, and to a second such thing beside:
 * how far it moves, SNAP at most in all. */
export function snapped(ring, whole) {
  const ground = about(ring, [SNAP, 0], whole);
  let at = [0, 0];
  for (let turn = 0; turn < 2; turn++) {
    const left = Math.sqrt(SNAP * SNAP - at[0] * at[0] - at[1] * at[1]);
    const way = nearest(shifted(ring, at), ground, left);
    if (!way) break;
    const end = march(ring, at, way, ground);
    if (Math.hypot(end[0] - at[0], end[1] - at[1]) < FINE) break;
    at = end;
  }
  return at;
}

// The shortest way, no longer than `reach`, by which a ring comes to touch something it does not touch yet.
function nearest(ring, ground, reach) {
  const box = grown(bounds(ring), reach);
  let best = null, least = reach;
  const note = (away, by, [dx, dy]) => {
    const left = away - by;
    if (left > 2 * SLACK && left < least) {
      least = left;
      best = [(dx * left) / away, (dy * left) / away];
    }
  };
  for (const { rings, by } of [...ground.inside, ...ground.off]) {
    for (const other of rings) {
      const mine = edgesIn(ring, grown(boxOf(other), by + reach));
      const theirs = mine.length ? edgesIn(other, grown(box, by)) : [];
      for (const [c, d] of theirs) {
        for (const [a, b] of mine) {
          const on = footOn(a, c, d), off = footOn(c, a, b);
          note(Math.hypot(on[0] - a[0], on[1] - a[1]), by, [on[0] - a[0], on[1] - a[1]]);
          note(Math.hypot(c[0] - off[0], c[1] - off[1]), by, [c[0] - off[0], c[1] - off[1]]);
        }
      }
    }
  }
  return best;
}

function footOn(p, a, b) {
  const dx = b[0] - a[0], dy = b[1] - a[1], long = dx * dx + dy * dy;
  const t = long ? Math.min(1, Math.max(0, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / long)) : 0;
  return [a[0] + t * dx, a[1] + t * dy];
}

/** The angle near `angle` (degrees) at which a long edge of a ring, drawn as it lies at `now`, runs along an edge beside it;
 * `angle` itself where none is within EVEN. */
export function evenWith(ring, now, angle, ground) {
  const box = grown(bounds(ring), BESIDE), own = longest(ring);
  let best = null;
  for (const { rings } of [...ground.inside, ...ground.off]) {
    for (const [c, d] of rings.flatMap((other) => edgesIn(other, box)).filter(([c, d]) => Math.hypot(d[0] - c[0], d[1] - c[1]) >= LONG_EDGE)) {
      for (const edge of own) {
        const off = straighter(bearingOf([c, d]) - bearingOf(edge) - (angle - now));
        if (Math.abs(off) <= EVEN && (best === null || Math.abs(off) < Math.abs(best))) best = off;
      }
    }
  }
  return best === null ? angle : angle + best;
}

function longest(ring) {
  const edges = ring.map((a, i) => [a, ring[(i + 1) % ring.length]]);
  const long = ([a, b]) => Math.hypot(b[0] - a[0], b[1] - a[1]);
  return edges.filter((edge) => long(edge) >= LONG_EDGE).sort((p, q) => long(q) - long(p)).slice(0, 4);
}

// The smallest turn that brings a line onto another one, degrees.
function straighter(degrees) {
  return ((((degrees + 90) % 180) + 180) % 180) - 90;
}

/** The angle nearest to a wished one (degrees) at which a piece may lie. */
export function allowedAngle(piece, bearing, wish) {
  const alpha = wish + 90 - bearing;
  const nearer = (angles) => angles.map((each) => between(alpha, each)).sort((p, q) => Math.abs(p) - Math.abs(q))[0];
  if (piece.angles?.length) return wish - nearer(piece.angles);
  if (piece.along === "any") return wish;
  const middle = piece.along === "across" ? 90 : 0;
  const off = nearer(piece.turn === false ? [middle] : [middle, middle + 180]), most = piece.tolerance || 0;
  return Math.abs(off) <= most ? wish : wish - off + Math.sign(off) * most;
}

/** The next angle (degrees) that a piece may be turned to by steps of `step`; itself where there is none. */
export function turnedOn(piece, bearing, angle, step) {
  const next = angle + step;
  if (piece.angles?.length) return nextOf(piece.angles.map((each) => each + bearing - 90), angle, Math.sign(step));
  if (suits(piece, next + 90 - bearing)) return next;
  return piece.turn === false ? angle : angle + 180;
}

function nextOf(angles, angle, sign) {
  const ahead = angles.map((each) => ({ each, by: ((sign * (each - angle)) % 360 + 360) % 360 })).filter(({ by }) => by > 1e-6);
  return ahead.length ? ahead.sort((p, q) => p.by - q.by)[0].each : angle;
}

function between(a, b) {
  return ((((a - b) % 360) + 540) % 360) - 180;
}
