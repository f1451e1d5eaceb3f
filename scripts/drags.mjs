// node scripts/drags.mjs < case.json: drags pieces of a layout at random as a hand on the page does, by the page's own
// contact. In: hide, pieces, gap, grounds of a layout, placements, seed, drags. Out: a line of JSON a drag.
import { readFileSync } from "node:fs";
import { groundOf, laid, shifted, slide, snapped, turnedOn, bearingOf, whyNot } from "../nesting/page/static/pure/contact.js";
import { bounds } from "../nesting/page/static/pure/geometry.js";

const MOVES = 8;
const round = (value) => Math.round(value * 1e6) / 1e6;

const told = JSON.parse(readFileSync(0, "utf8"));
const { hide, gap, grounds } = told;
const kinds = Object.fromEntries(told.pieces.map((piece) => [piece.name, piece]));
let seed = told.seed;
const random = () => ((seed = (seed * 48271) % 2147483647) / 2147483647);
const laidNow = told.placements.map((placement) => ({ ...placement }));
const box = bounds(hide.outline);

function groundFor(index, at) {
  return groundOf(hide, kinds[at.piece], laidNow.filter((_, i) => i !== index), gap, { at, more: grounds });
}

function moved(piece, [dx, dy]) {
  const x = round(piece.x + dx), y = round(piece.y + dy);
  return { ...piece, x, y, outline: laid(kinds[piece.piece].outline, { ...piece, x, y }) };
}

// One drag in some moves of the pointer; now and then the piece is turned first.
function drag(index) {
  if (random() < 0.2) turn(index);
  const start = laidNow[index], ground = groundFor(index, start), near = random() < 0.5;
  const aim = near ? [(random() - 0.5) * 120, (random() - 0.5) * 120]
    : [box[0] + random() * (box[2] - box[0]) - start.outline[0][0], box[1] + random() * (box[3] - box[1]) - start.outline[0][1]];
  let now = start;
  const took = [];
  for (let i = 1; i <= MOVES; i++) {
    const began = process.cpuUsage();
    const want = [start.x + (aim[0] * i) / MOVES - now.x, start.y + (aim[1] * i) / MOVES - now.y];
    now = moved(now, slide(now.outline, want, ground));
    whyNot(shifted(now.outline, want), ground);
    const { user, system } = process.cpuUsage(began);
    took.push((user + system) / 1000);
  }
  now = moved(now, snapped(now.outline, ground));
  const free = !whyNot(shifted(start.outline, aim), ground);
  laidNow[index] = now;
  return { index, free, off: Math.hypot(start.x + aim[0] - now.x, start.y + aim[1] - now.y), moved: Math.hypot(now.x - start.x, now.y - start.y), took };
}

function turn(index) {
  const start = laidNow[index], kind = kinds[start.piece];
  const bearing = hide.backbone ? bearingOf(hide.backbone) : 0, angle = turnedOn(kind, bearing, start.angle, random() < 0.5 ? 1 : -1);
  const at = { ...start, angle }, outline = laid(kind.outline, at);
  if (!whyNot(outline, groundFor(index, at))) laidNow[index] = { ...at, outline };
}

for (let n = 0; n < told.drags; n++) {
  const one = drag(Math.floor(random() * laidNow.length));
  const { x, y, angle } = laidNow[one.index];
  process.stdout.write(`${JSON.stringify({ ...one, x, y, angle })}\n`);
}
