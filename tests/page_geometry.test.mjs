// The page's pure modules: geometry, units, history, faults. Run by `node --test` (tests/test_page_scripts.py does).

import assert from "node:assert/strict";
import test from "node:test";

import * as faults from "../nesting/page/static/pure/faults.js";
import * as geometry from "../nesting/page/static/pure/geometry.js";
import * as history from "../nesting/page/static/pure/history.js";
import * as shapes from "../nesting/page/static/pure/shapes.js";
import * as lenses from "../nesting/page/static/pure/lens.js";
import * as edges from "../nesting/page/static/pure/edges.js";
import * as lines from "../nesting/page/static/pure/typed_lines.js";
import * as sizes from "../nesting/page/static/pure/sizes.js";
import * as way from "../nesting/page/static/pure/typed_way.js";
import * as units from "../nesting/page/static/pure/units.js";

const SQUARE = [[0, 0], [10, 0], [10, 10], [0, 10]];
const near = (a, b, off = 1e-9) => assert.ok(Math.abs(a - b) <= off, `${a} is not ${b}`);
const circle = (n, r, x = 0, y = 0) => Array.from({ length: n }, (_, i) => [x + r * Math.cos((2 * Math.PI * i) / n), y + r * Math.sin((2 * Math.PI * i) / n)]);

test("a regular polygon's area is n r² sin(2π/n) / 2 (Euclid, elementary trigonometry)", () => {
  for (const n of [3, 6, 97]) near(geometry.area(circle(n, 50, 1e5, -1e5)), (n * 2500 * Math.sin((2 * Math.PI) / n)) / 2, 1e-6);
});

test("the area does not depend on direction; its sign does", () => {
  near(geometry.signedArea(SQUARE), 100);
  near(geometry.signedArea([...SQUARE].reverse()), -100);
});

test("a new hole stands in the middle, or as near as nothing is in its way", () => {
  const piece = { outline: [[0, 0], [32, 0], [32, 320], [0, 320]], cutouts: [], holes: [] };
  assert.deepEqual(geometry.freeSpot(piece, [16, 160], 5), [16, 160]);
  piece.holes.push({ at: [16, 160], diameter: 4 });
  const [x, y] = geometry.freeSpot(piece, [16, 160], 5);
  assert.equal(x, 16);
  assert.ok(Math.abs(y - 160) > 7 && Math.abs(y - 160) <= 20);
  piece.cutouts.push([[14, 100], [18, 100], [18, 220], [14, 220]]);
  assert.ok(Math.abs(geometry.freeSpot(piece, [16, 160], 5)[1] - 160) > 65);
  piece.cutouts.push([[0, 0], [32, 0], [32, 320], [0, 320]]);
  assert.deepEqual(geometry.freeSpot(piece, [16, 160], 5), [16, 160]);
});

test("a bow tie crosses itself once, in its middle", () => {
  const found = geometry.crossings([[0, 0], [10, 10], [10, 0], [0, 10]]);
  assert.equal(found.length, 1);
  assert.deepEqual(found[0].at, [5, 5]);
});

test("touching counts as crossing: a corner on another edge, a doubled point, a line run back", () => {
  assert.equal(geometry.crossings([[0, 0], [10, 0], [10, 10], [5, 0], [0, 10]]).length > 0, true);
  assert.equal(geometry.crossings([[0, 0], [10, 0], [10, 0], [10, 10]]).length > 0, true);
  assert.equal(geometry.crossings([[0, 0], [10, 0], [4, 0], [4, 8]]).length > 0, true);
});

test("a pentagram crosses itself five times", () => {
  const star = [0, 2, 4, 1, 3].map((i) => circle(5, 10)[i]);
  assert.equal(geometry.crossings(star).length, 5);
});

test("simple rings do not cross, whatever their direction and start", () => {
  for (const ring of [SQUARE, [...SQUARE].reverse(), circle(250, 900), [[0, 0], [10, 0], [10, 10], [5, 2], [0, 10]]]) {
    for (let i = 0; i < ring.length; i += 7) assert.deepEqual(geometry.crossings([...ring.slice(i), ...ring.slice(0, i)]), []);
  }
});

test("the sweep finds what checking every pair finds, on random rings", () => {
  let seed = 5;
  const random = () => (seed = (seed * 16807) % 2147483647) / 2147483647;
  for (let round = 0; round < 60; round++) {
    const ring = Array.from({ length: 12 }, () => [Math.round(random() * 20), Math.round(random() * 20)]);
    let pairs = false;
    for (let i = 0; i < 12 && !pairs; i++) {
      for (let j = i + 2; j < 12; j++) {
        if (i === 0 && j === 11) continue;
        if (geometry.meeting(ring[i], ring[i + 1], ring[j], ring[(j + 1) % 12])) pairs = true;
      }
    }
    if (pairs) assert.ok(geometry.crossings(ring).length > 0, JSON.stringify(ring));
  }
});

test("a ring of 250 points that wobbles is found to cross nowhere", () => {
  const ring = circle(250, 900).map(([x, y], i) => [x * (1 + 0.05 * Math.sin(i)), y]);
  assert.deepEqual(geometry.crossings(ring), []);
});

test("where a ring lies to an outline", () => {
  const outline = circle(40, 100);
  assert.equal(geometry.lies(circle(8, 10), outline), "inside");
  assert.equal(geometry.lies(circle(8, 10, 300), outline), "outside");
  assert.equal(geometry.lies(circle(8, 10, 100), outline), "across");
  assert.equal(geometry.lies(circle(8, 500), outline), "across");
});

test("the nearest point and the nearest place on an edge", () => {
  assert.deepEqual(geometry.nearestVertex(SQUARE, [9, 2]), { index: 1, distance: Math.hypot(1, 2) });
  const edge = geometry.nearestEdge(SQUARE, [4, -3]);
  assert.equal(edge.index, 0);
  assert.deepEqual(edge.at, [4, 0]);
  near(edge.distance, 3);
});

test("thinned handles keep their distance and keep the chosen one", () => {
  const points = circle(400, 100);
  const shown = geometry.thin(points, 15, [7]);
  assert.ok(shown.includes(7));
  for (const i of shown) for (const j of shown) if (i !== j) assert.ok(geometry.distance(points[i], points[j]) >= 15 - 1e-9);
  for (const point of points) assert.ok(shown.some((i) => geometry.distance(points[i], point) < 15 + 1e-9));
});

test("putting in, moving and taking out points leaves the old ring as it was", () => {
  const before = JSON.stringify(SQUARE);
  assert.deepEqual(geometry.without(geometry.withInserted(SQUARE, 1, [11, 5]), 2), SQUARE);
  assert.deepEqual(geometry.withMoved(SQUARE, 0, [1, 1])[0], [1, 1]);
  assert.equal(JSON.stringify(SQUARE), before);
});

test("a homography carries its four points, keeps lines straight and cross ratios equal (projective geometry)", () => {
  const from = [[0, 0], [100, 0], [100, 60], [0, 60]];
  const to = [[12, 8], [210, 30], [180, 150], [5, 140]];
  const map = geometry.homography(from, to);
  from.forEach((point, i) => geometry.carried(map, point).forEach((value, k) => near(value, to[i][k], 1e-8)));
  const along = [0, 10, 40, 100].map((x) => geometry.carried(map, [x, 25]));
  const gap = (i, j) => geometry.distance(along[i], along[j]);
  near((gap(0, 2) * gap(1, 3)) / (gap(1, 2) * gap(0, 3)), (40 * 90) / (30 * 100), 1e-9);
  near((along[1][0] - along[0][0]) * (along[3][1] - along[0][1]), (along[3][0] - along[0][0]) * (along[1][1] - along[0][1]), 1e-6);
});

test("marks that do not go round are told", () => {
  assert.equal(geometry.isConvexQuad(SQUARE), true);
  assert.equal(geometry.isConvexQuad([[0, 0], [10, 10], [10, 0], [0, 10]]), false);
  assert.equal(geometry.isConvexQuad([[0, 0], [10, 0], [2, 2], [0, 10]]), false);
});

test("zooming keeps the place under the pointer, and screen and world are each other's inverse", () => {
  for (const flip of [true, false]) {
    let view = geometry.fitView([0, 0, 2000, 1200], 900, 600, 30, flip);
    const place = [313, 207];
    const world = geometry.toWorld(view, place);
    view = geometry.zoomedAt(view, place, 2.7);
    geometry.toScreen(view, world).forEach((value, i) => near(value, place[i], 1e-9));
    geometry.toWorld(view, geometry.toScreen(view, [17, -5])).forEach((value, i) => near(value, [17, -5][i], 1e-9));
  }
});

test("a fitted box is seen whole", () => {
  const view = geometry.fitView([100, -50, 2100, 950], 800, 300, 20, true);
  for (const corner of [[100, -50], [2100, 950]]) {
    const [x, y] = geometry.toScreen(view, corner);
    assert.ok(x >= 19 && x <= 781 && y >= 19 && y <= 281);
  }
});

test("a label lies inside its ring, in a crescent too", () => {
  const crescent = [...circle(60, 100).slice(0, 31), ...circle(60, 80).slice(0, 31).reverse()];
  assert.ok(geometry.pointInRing(geometry.labelPlace(crescent), crescent));
});

test("lengths, areas and thicknesses read as the trade writes them", () => {
  near(units.lengthMm("5 1/2 in"), 139.7);
  near(units.lengthMm("5½ in"), 139.7);
  near(units.lengthMm("0.5 ft"), 152.4);
  near(units.lengthMm("14", "cm"), 140);
  near(units.areaMm2("22 3/4 sq ft"), 2113544.16, 1e-6);
  near(units.areaMm2("211 dm2"), 2110000);
  near(units.areaMm2("2.1 m²"), 2.1e6, 1e-6);
  near(units.thicknessMm("10-11 oz")[0], 3.96875);
  near(units.thicknessMm("4.0–4.4 mm")[1], 4.4);
  for (const bad of ["", "thick", "4", "5-4 oz", "60 mm"]) assert.equal(units.thicknessMm(bad), null);
  for (const bad of ["22", "-2 sq ft", "x", "0 m2"]) assert.equal(units.areaMm2(bad), null);
  assert.equal(units.lengthMm("2 parsec"), null);
  assert.equal(units.showArea(92903.04), "1.00 sq ft");
});

test("undo takes back step by step, redo brings again, a new change forgets what was taken back", () => {
  let steps = history.begin("a");
  steps = history.changed(steps, "b", "one");
  steps = history.changed(steps, "c", "two");
  assert.equal(history.undoWords(steps), "two");
  steps = history.undone(steps);
  assert.equal(steps.now.content, "b");
  assert.equal(history.redoWords(steps), "two");
  assert.equal(history.redone(steps).now.content, "c");
  steps = history.changed(steps, "d", "three");
  assert.equal(history.redoWords(steps), null);
  assert.equal(history.undone(history.undone(history.undone(steps))).now.content, "a");
});

test("typing in one field is one step; after an undo it is a new one", () => {
  let steps = history.begin("");
  for (const text of ["S", "Si", "Sid"]) steps = history.changed(steps, text, "Name", "name");
  assert.equal(steps.past.length, 1);
  steps = history.undone(steps);
  assert.equal(steps.now.content, "");
  steps = history.changed(history.redone(steps), "Side", "Name", "name");
  assert.equal(history.undone(steps).now.content, "Sid");
});

test("a flaw outside and a crossing outline are told with their places", () => {
  const hide = { outline: circle(40, 500), flaws: [{ kind: "hole", outline: circle(8, 10, 900) }], zones: [], holes: [] };
  const found = faults.faultsOf(hide);
  assert.equal(found.length, 1);
  assert.match(found[0].words, /flaw 1, hole: lies outside/);
  const crossed = { ...hide, flaws: [], outline: [[0, 0], [10, 10], [10, 0], [0, 10]] };
  assert.match(faults.faultsOf(crossed)[0].words, /outline: the line crosses/);
  assert.deepEqual(faults.faultsOf({ ...hide, flaws: [] }), []);
});

test("a hide of 5,000 points with 200 flaws that touch nothing has no fault", () => {
  const flaws = Array.from({ length: 200 }, (_, i) => ({ kind: "hole", outline: circle(12, 4, -400 + 4 * i, 30 * (i % 9)) }));
  assert.deepEqual(faults.faultsOf({ outline: circle(5000, 900), flaws, zones: [], holes: [] }), []);
});

test("changing one shape leaves the others and the old hide alone", () => {
  const hide = { outline: SQUARE, flaws: [], zones: [], holes: [], backbone: null };
  const more = shapes.withFlaw(hide, circle(8, 1, 5, 5));
  assert.equal(hide.flaws.length, 0);
  assert.equal(more.flaws[0].grade, "none");
  const moved = shapes.withRing(more, { kind: "flaw", index: 0 }, circle(8, 2, 5, 5));
  assert.equal(moved.outline, hide.outline);
  assert.equal(shapes.withoutShape(moved, { kind: "flaw", index: 0 }).flaws.length, 0);
});

test("a lens is found again from lines that were straight, and what it bends comes back", () => {
  const size = [4000, 3000], lens = { k: -0.12, size };
  const corners = [[600, 500], [3300, 620], [3500, 2600], [420, 2450]];
  const middles = corners.map(([x, y], i) => {
    const [u, v] = corners[(i + 1) % 4];
    return [x + 0.55 * (u - x), y + 0.55 * (v - y)];
  });
  const photo = { width: 4000, height: 3000, size: [2400, 1800], marks: corners.map((p) => lenses.bent(lens, p)), middles: middles.map((p) => lenses.bent(lens, p)) };
  const map = lenses.floorMap(photo);
  assert.ok(Math.abs(map.lens.k - lens.k) < 1e-3);
  for (const point of [[700, 800], [2000, 1500], [3999, 1]]) {
    const [x, y] = lenses.bent(lens, lenses.straightened(lens, point));
    assert.ok(Math.hypot(x - point[0], y - point[1]) < 1e-6);
    const [a, b] = map.toPixels(map.toMm(point));
    assert.ok(Math.hypot(a - point[0], b - point[1]) < 1e-6);
  }
});

test("lengths are written as the bench says them: whole millimetres, or inches to a part", () => {
  assert.equal(units.writeLength(139.7, "in"), "5 1/2 in");
  assert.equal(units.writeLength(25.4, "in"), "1 in");
  assert.equal(units.writeLength(1.5, "in"), "1/16 in");
  assert.equal(units.writeLength(0.2, "in"), "0 in");
  assert.equal(units.writeLength(312.44), "312 mm");
  assert.equal(units.inUnits("a pixel is up to 3.2 mm; a place of 51 × 25 mm", { length: "in" }), "a pixel is up to 1/8 in; a place of 2 × 1 in");
  assert.equal(units.inUnits("a pixel is up to 3.2 mm"), "a pixel is up to 3.2 mm");
  assert.equal(units.inUnits("2 hides, 223.1 dm², 263.62 USD", { area: "sq ft" }), "2 hides, 24.01 sq ft, 263.62 USD");
  assert.equal(units.inUnits("24.01 sq ft left", { area: "m2" }), "2.231 m² left");
  assert.equal(units.writePlace(312.44), "312.5");
  assert.equal(units.writePlace(-139.9, "in"), "−5 1/2");
  assert.equal(units.writeThickness([25.4 / 64 * 9, 25.4 / 64 * 10], "oz"), "9-10 oz");
  assert.equal(units.writeThickness([4, 4]), "4 mm");
});

test("several points move by one way and are taken out together, but three stay", () => {
  assert.deepEqual(shapes.withManyMoved(SQUARE, [1, 2], [5, -1]), [[0, 0], [15, -1], [15, 9], [0, 10]]);
  assert.deepEqual(shapes.withoutMany(SQUARE, [2]), [[0, 0], [10, 0], [0, 10]]);
  assert.equal(shapes.withoutMany(SQUARE, [1, 2]), SQUARE);
});

test("a mark that was proposed becomes a flaw with what was chosen and the last flaw's clearance", () => {
  const hide = { outline: SQUARE, flaws: [{ kind: "scar", outline: SQUARE, grade: "C", clearance: "7 mm" }] };
  assert.deepEqual(shapes.withProposedFlaw(hide, SQUARE, "brand", "D").flaws[1], { kind: "brand", outline: SQUARE, grade: "D", clearance: "7 mm" });
  assert.equal(shapes.withProposedFlaw({ outline: SQUARE }, SQUARE, "tick", "none").flaws.length, 1);
});

test("what is moved by hand is written as it was written: numbers, lengths with their unit, fractions of an inch", () => {
  assert.equal(sizes.written(12.5, "mm", 3), 12.5);
  assert.equal(sizes.written(12.7, "mm", "1 in"), "1/2 in");
  assert.equal(sizes.written(38.1, "in", 2), "1 1/2 in");
  assert.equal(sizes.written(25, "mm", "3 cm"), "2.5 cm");
  assert.equal(sizes.written(25, "cm", 1), 2.5);
  assert.equal(sizes.written(-9.525, "in", 0), "-3/8 in");
});

test("inches are told as fractions to 1/32, and as decimals where they are none", () => {
  for (let n = 0; n < 64; n++) near(units.readNumber(`${sizes.fraction(n / 32)} in`)[0], n / 32);
  assert.equal(sizes.fraction(2.01), "2.01");
  assert.equal(sizes.told(139.7, "in"), "5 1/2 in");
  assert.equal(sizes.told(139.75, "mm"), "139.8 mm");
});

test("a sum is not set by hand; a number and a length are", () => {
  for (const plain of [3, 0, "28 mm", "5 1/2 in", "-2 cm"]) assert.equal(sizes.isPlain(plain), true, plain);
  for (const sum of ["roll + 4 mm", "pi * (80 + t)", "tall", "2 * t", undefined, null]) assert.equal(sizes.isPlain(sum), false, sum);
});

test("a place snaps to whole millimetres or sixteenths of an inch", () => {
  assert.equal(sizes.snapped(12.4, "mm"), 12);
  near(sizes.snapped(12.4, "in"), (8 * 25.4) / 16);
  assert.equal(sizes.pathWords(["rows", 0, "pitch"]), "rows[0].pitch");
});

test("a point is typed with what is done there, and a name of a length may be such a word", () => {
  assert.deepEqual(way.typedStep("120, 5 1/2 in", "mm"), [120, "5 1/2 in"]);
  assert.deepEqual(way.typedStep("width / 2, 0 round round edge lower edge", "mm"), { at: ["width / 2", 0], round: "round", edge: "lower edge" });
  assert.deepEqual(way.typedStep("60, max(4, rise) rise -6", "mm"), { arc: [60, "max(4, rise)"], rise: -6 });
  assert.deepEqual(way.typedStep("0, tall - edge cut 5, 8", "mm"), { at: [0, "tall - edge"], cut: [5, 8] });
  assert.deepEqual(way.typedStep("60, 0 through 30, 9 edge 2", "mm"), { arc: [60, 0], through: [30, 9], edge: "2" });
  assert.deepEqual(way.typedStep("30, 90 by 50, 104 and 40, 92", "mm"), { curve: [30, 90], by: [[50, 104], [40, 92]] });
  assert.deepEqual(way.typedStep("35, (as seam front and gusset) - 10 mm", "mm"), [35, "(as seam front and gusset) - 10 mm"]);
  assert.deepEqual(way.typedStep("smooth 1, (as seam a and b) and 0, 40", "mm"), { smooth: [[1, "(as seam a and b)"], [0, 40]] });
  assert.deepEqual(way.typedStep("smooth 15, 80 and 0, 40 edge side", "mm"), { smooth: [[15, 80], [0, 40]], edge: "side" });
});

test("what is no point is told as none", () => {
  for (const text of ["", "120", "1, 2, 3", "1, 2 rise", "1, 2 rise 3 radius 4", "1, 2 round 3 round 4", "1, 2 and 3, 4", "smooth 1, 2 rise 3", "1, 2 by 3"]) {
    assert.equal(way.typedStep(text, "mm"), null, text);
  }
  assert.equal(way.typedSteps("3; 1, 2", "mm"), null);
  assert.equal(way.typedSteps("  ", "mm"), null);
});

test("a length that is left out of a point is as in the point before", () => {
  assert.deepEqual(way.typedSteps("w / 2 - 65, tall; , 45 round 15; 80 round 15; , tall edge lip", "mm"), [["w / 2 - 65", "tall"], { at: ["w / 2 - 65", 45], round: 15 }, { at: [80, 45], round: 15 }, { at: [80, "tall"], edge: "lip" }]);
  assert.deepEqual(way.typedStep("smooth 15 and , 40", "mm", [0, 80]), { smooth: [[15, 80], [15, 40]] });
  assert.equal(way.typedStep(",", "mm", [0, 80]), null);
  assert.deepEqual(lines.typedPlaces("70; , 262, top", "mm", [26, 38]), [{ at: [70, 38] }, { at: [70, 262], group: "top" }]);
  assert.equal(lines.typedPlaces(", , top", "mm", [26, 38]), null);
});

test("a rectangle is told from corner to corner", () => {
  assert.deepEqual(way.typedBox("12, 0 to wide - 12, 48", "mm"), [[12, 0], ["wide - 12", 0], ["wide - 12", 48], [12, 48]]);
  for (const text of ["12, 0", "12, 0 to 5", "1, 1 to 2, 2 to 3, 3"]) assert.equal(way.typedBox(text, "mm"), null, text);
});

test("edges follow one another the shorter way round, and lie across from one another", () => {
  const names = ["bottom", "right", "top", "left"];
  assert.deepEqual(edges.edgeRun(names, "left", "right"), ["left", "bottom", "right"]);
  assert.deepEqual(edges.edgeRun(names, "bottom", "left"), ["bottom", "left"]);
  assert.equal(edges.edgeRun(names, "left", "left"), "left");
  const box = [[0, 0], [40, 0], [40, 90], [0, 90]];
  const contour = names.map((name, i) => ({ name, points: [box[i], box[(i + 1) % 4]], length: i % 2 ? 90 : 40 }));
  assert.equal(edges.edgeAcross(contour, "left", ["left"]), "right");
  assert.equal(edges.edgeAcross(contour, "left", ["left", "right"]), null);
  assert.equal(edges.edgeAcross([{ ...contour[0], length: 60 }, ...contour.slice(1)], "bottom", []), null);
  assert.deepEqual(edges.crossing(contour, 1, 30).map(({ at }) => at), [0, 40]);
  assert.equal(edges.crossing(contour, 0, 41), null);
});

test("points told in words read back the same", () => {
  const points = [[0, 0], { at: ["a / 2", 0], round: 8, edge: "bottom" }, { arc: [9, 9], radius: "-(b - c)" }, { arc: [1, 7], through: [0, 8], cut: [2, 3] },
    { curve: [3, "2 * t"], by: [[1, 1]] }, { smooth: [[1, 2], ["3 in", 4]], edge: "s" }];
  assert.deepEqual(way.typedSteps(way.stepsWords(points), "mm"), points);
  assert.equal(way.stepsWords([{ at: [1, 2], colour: "red" }]), null);
});

test("a length and a choice are typed in one line with their names", () => {
  assert.deepEqual(lines.typedNamed("roll = 60 mm"), ["roll", "60 mm"]);
  assert.equal(lines.typedNamed("60 mm"), null);
  assert.equal(lines.typedNamed("roll ="), null);
  assert.deepEqual(lines.typedChoice("places = 1 to 12, usually 4", "mm"), ["places", { default: 4, from: 1, to: 12 }]);
  assert.deepEqual(lines.typedChoice("waist = 24 in to 52 in, usually 34 in", "mm"), ["waist", { default: "34 in", from: "24 in", to: "52 in" }]);
  assert.deepEqual(lines.typedChoice("waist = 24 to 52 in, usually 34", "mm"), ["waist", { default: "34 in", from: "24 in", to: "52 in" }]);
  assert.deepEqual(lines.typedChoice("wide = 20.5 to 30", "cm"), ["wide", { default: "20.5 cm", from: "20.5 cm", to: "30 cm" }]);
  assert.deepEqual(lines.typedChoice("hand = left, right, usually right", "mm"), ["hand", { default: "right", of: ["left", "right"] }]);
  assert.deepEqual(lines.typedChoice("places = 4, 1-12", "mm"), ["places", { default: 4, from: 1, to: 12 }]);
  assert.deepEqual(lines.typedChoice("waist = 34 1/2 in, 24 to 52", "mm"), ["waist", { default: "34 1/2 in", from: "24 in", to: "52 in" }]);
  assert.deepEqual(lines.typedChoice("kind = semi-round, x-line", "mm"), ["kind", { default: "semi-round", of: ["semi-round", "x-line"] }]);
  assert.deepEqual(lines.typedChoice("lined = no", "mm"), ["lined", { default: false }]);
  for (const text of ["places", "side = left", "side = left, right, usually up"]) assert.equal(lines.typedChoice(text, "mm"), null, text);
});

test("holes are typed one after another with the group that differs, sizes by their lengths", () => {
  assert.deepEqual(lines.typedPlaces("26, 38; max(1, t), 262, top", "mm"), [{ at: [26, 38] }, { at: ["max(1, t)", 262], group: "top" }]);
  assert.equal(lines.typedPlaces("26", "mm"), null);
  assert.equal(lines.typedPlaces("26, 38, a, b", "mm"), null);
  assert.deepEqual(lines.typedMarks("round, 8, 0, cut 5 1/2 in", "mm"), ["round", 8, 0, { cut: "5 1/2 in" }]);
  assert.equal(lines.markWords(["round", 8, 0, { cut: "5 1/2 in" }]), "round, 8, 0, cut 5 1/2 in");
  assert.equal(lines.markWords([0, 0, 0, { cut: [5, 8] }]), null);
  for (const text of ["8", "8, 8, 8", "8, 8, , 8"]) assert.equal(lines.typedMarks(text, "mm"), null, text);
  assert.deepEqual(lines.typedMarks("round, cut 5", "mm"), ["round", "round", { cut: 5 }, { cut: 5 }]);
  assert.deepEqual(lines.typedSizes("5/16 in 0.42 3.1, 8 mm 1", "mm"), [{ name: "5/16 in", length: "5/16 in", price: 0.42, weight: 3.1 }, { name: "8 mm", length: "8 mm", price: 1 }]);
  assert.deepEqual(lines.typedSizes("1/4 in, 8", "mm"), [{ name: "1/4 in", length: "1/4 in" }, { name: "8 mm", length: 8 }]);
});
