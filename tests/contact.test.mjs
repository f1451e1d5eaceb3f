// Contact of a piece with what it may not lie on, against positions worked out by hand.

import test from "node:test";
import assert from "node:assert/strict";
import { allowedAngle, evenWith, groundOf, laid, obstacle, shifted, slide, snapped, turnedOn, whyNot } from "../nesting/page/static/pure/contact.js";

const HIDE = { outline: [[0, 0], [500, 0], [500, 300], [0, 300]], edge: 0 };
const box = (x, y, w = 100, h = 100) => [[x, y], [x + w, y], [x + w, y + h], [x, y + h]];
const PIECE = { grade: "A" };
const near = (a, b, by = 2e-3) => assert.ok(Math.abs(a - b) <= by, `${a} is not ${b}`);

test("a free place is reached exactly, even beyond a neighbour", () => {
  const ground = groundOf(HIDE, PIECE, [{ piece: "n", outline: box(150, 0) }], 0);
  assert.deepEqual(slide(box(0, 0), [300.25, 7.5], ground), [300.25, 7.5]);
});

test("it stops at a neighbour, at the gap, at the edge and its strip", () => {
  const stop = (hide, others, gap, by) => slide(box(20, 20), by, groundOf(hide, PIECE, others, gap));
  const other = [{ piece: "n", outline: box(200, 20) }];
  near(stop(HIDE, other, 0, [120, 0])[0], 80);
  near(stop(HIDE, other, 3, [120, 0])[0], 77);
  near(stop(HIDE, [], 0, [-60, 0])[0], -20);
  near(stop({ ...HIDE, edge: 10 }, [], 0, [-60, 0])[0], -10);
});

test("it stops at the clearance of a flaw, and only where its grade forbids it", () => {
  const flaws = [{ kind: "brand", outline: box(200, 0, 50, 300), grade: "C", clearance: 5 }];
  near(slide(box(20, 20), [140, 0], groundOf({ ...HIDE, flaws }, PIECE, [], 0))[0], 75);
  assert.deepEqual(slide(box(20, 20), [140, 0], groundOf({ ...HIDE, flaws }, { grade: "C" }, [], 0)), [140, 0]);
});

test("it slides along what it meets", () => {
  const ground = groundOf(HIDE, PIECE, [{ piece: "n", outline: box(200, 0, 100, 300) }], 0);
  const [x, y] = slide(box(50, 20), [120, 60], ground);
  near(x, 50);
  near(y, 60, 0.05);
});

test("pieces that touch do not overlap; the same piece twice does", () => {
  const overlap = (one, other) => whyNot(one, groundOf({ ...HIDE, outline: box(-100, -100, 600, 600) }, PIECE, [{ piece: "n", outline: other }], 0)) !== "";
  assert.equal(overlap(box(0, 0), box(100, 0)), false);
  assert.equal(overlap(box(0, 0), box(99.9, 0)), true);
  assert.equal(overlap(box(0, 0), box(0, 0)), true);
  assert.equal(overlap(box(0, 0), box(20, 20, 10, 10)), true);
});

test("a thousand random drags end where nothing is met", () => {
  let seed = 7;
  const random = () => ((seed = (seed * 48271) % 2147483647) / 2147483647);
  const others = [box(150, 0), box(300, 120), box(20, 190)].map((outline) => ({ piece: "n", outline }));
  const ground = groundOf(HIDE, PIECE, others, 1);
  let at = [20, 20];
  const tall = [[0, 0], [70, 0], [70, 30], [30, 30], [30, 60], [0, 60]];
  for (let i = 0; i < 1000; i++) {
    const ring = shifted(tall, at), by = [(random() - 0.5) * 500, (random() - 0.5) * 300];
    const went = slide(ring, by, ground);
    at = [at[0] + went[0], at[1] + went[1]];
    assert.equal(whyNot(shifted(tall, at), ground), "", `drag ${i}`);
  }
});

test("a piece is laid mirrored, turned, shifted, in this order", () => {
  const [first] = laid([[10, 0], [20, 0], [20, 5]], { x: 100, y: 50, angle: 90, mirrored: true }).slice(-1);
  near(first[0], 100, 1e-9);
  near(first[1], 40, 1e-9);
});

test("turning keeps to what the grain allows", () => {
  const strap = { along: "backbone", tolerance: 2, turn: true };
  assert.equal(turnedOn(strap, 0, -90, 1), -89);
  assert.equal(turnedOn(strap, 0, -88, 1), 92);
  assert.equal(turnedOn({ ...strap, tolerance: 0, turn: false }, 0, -90, 1), -90);
  assert.equal(turnedOn({ along: "any" }, 0, 10, -1), 9);
  assert.equal(turnedOn({ angles: [0, 90] }, 0, -90, 1), 0);
});

test("what is in the way is told with its outline", () => {
  const other = box(200, 20);
  const ground = groundOf(HIDE, PIECE, [{ piece: "n", number: 2, outline: other }], 0);
  assert.deepEqual(obstacle(box(150, 20), ground).rings, [other]);
  assert.equal(obstacle(box(150, 20), ground).words, "n 2");
  assert.deepEqual(obstacle(box(450, 20), ground).rings, [HIDE.outline]);
  assert.equal(obstacle(box(20, 20), ground), null);
});

test("what lies a hair off is closed up, to two things at most, and less than half a millimetre in all", () => {
  const others = [{ piece: "n", outline: box(200, 0, 100, 300) }];
  const closed = (x, y, gap = 0) => snapped(box(x, y), groundOf(HIDE, PIECE, others, gap));
  near(closed(99.7, 50)[0], 0.3);
  near(closed(99.7, 50)[1], 0, 1e-9);
  const [dx, dy] = closed(99.75, 0.25);
  near(dx, 0.25);
  near(dy, -0.25);
  near(closed(96.8, 50, 3)[0], 0.2);
  assert.deepEqual(closed(99.4, 50), [0, 0]);
  for (const [x, y] of [[99.6, 0.4], [99.8, 0.43]]) assert.ok(Math.hypot(...closed(x, y)) <= 0.4501);
  assert.equal(whyNot(shifted(box(99.7, 50), closed(99.7, 50)), groundOf(HIDE, PIECE, others, 0)), "");
});

test("turned to within two degrees of an edge beside it, it lies even with that edge", () => {
  const slanted = [[201, 0], [300, 0], [300, 300], [201 - 300 * Math.tan(Math.PI / 180), 300]];
  const ground = groundOf({ outline: box(-500, -500, 2000, 2000) }, PIECE, [{ piece: "n", outline: slanted }], 0);
  near(evenWith(box(90, 50), 0, 0.4, ground), 1, 1e-6);
  near(evenWith(box(90, 50), 0, 2.5, ground), 1, 1e-6);
  assert.equal(evenWith(box(90, 50), 0, 4, ground), 4);
  assert.equal(evenWith(box(-200, 50), 0, 0.4, ground), 0.4);
});

test("a wished angle becomes the nearest that the grain allows", () => {
  const strap = { along: "backbone", tolerance: 2, turn: true };
  near(allowedAngle(strap, 0, -91), -91, 1e-9);
  near(allowedAngle(strap, 0, -80), -88, 1e-9);
  near(allowedAngle(strap, 0, 85), 88, 1e-9);
  near(allowedAngle({ ...strap, turn: false }, 0, 60), -88, 1e-9);
  near(allowedAngle({ along: "across", tolerance: 0 }, 10, 7), 10, 1e-9);
  near(allowedAngle({ angles: [0, 90] }, 0, -60), -90, 1e-9);
  assert.equal(allowedAngle({ along: "any" }, 0, 33), 33);
});
