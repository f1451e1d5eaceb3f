// The outline of a piece: its sizes, its corners one by one, and the way to another kind of shape.

import { el } from "../drawing/element.js";
import { at, pathWords, shown, typedLength, written } from "../pure/sizes.js";
import { markWords, typedMarks } from "../pure/typed_lines.js";
import { say } from "../shell/notice.js";
import { choiceField, put, sizeField, take } from "./controls.js";
import { wayElements, wayOf, wayPoints } from "./way_form.js";

const ENDS = [["square", "square"], ["round", "round"], ["point", "pointed"]];
const CORNERS = [["plain", "Plain"], ["round", "Rounded"], ["cut", "Cut off"]];

/** What a new piece of a kind looks like. */
export function newShape(kind, mm) {
  return {
    rectangle: { rectangle: [mm(120), mm(160)] },
    strap: { strap: [mm(32), mm(320)], ends: ["square", "point"] },
    circle: { circle: mm(60) },
    path: { path: `M 0 0 H ${plain(mm(80))} V ${plain(mm(60))} H 0 Z` },
    polygon: { polygon: [[mm(0), mm(0)], [mm(120), mm(0)], [mm(120), mm(120)], [mm(60), mm(160)], [mm(0), mm(120)]] },
  }[kind];
}

/** Path data has plain numbers, in the file's units. */
const plain = (value) => (typeof value === "number" ? value : 3);

/** The fields of a piece's shape. `corner` is the path of the corner chosen on the drawing. */
export function shapeElements(place, corner, units) {
  const shape = place.data.shape || {};
  const kind = ["rectangle", "strap", "circle", "polygon", "path", "drawing"].find((name) => name in shape);
  const make = { rectangle, strap, circle, polygon, path: pathShape, drawing }[kind];
  if (!make) return [el("p", { class: "note", text: "This piece has no shape yet; write it in the text." })];
  return [...make(place, shape, corner), ...(corner ? cornerElements(place, shape, corner, units) : [])];
}

function rectangle(place, shape) {
  return [
    el("div", { class: "pair" }, sizeField(place, "width", ["shape", "rectangle", 0], { needed: true }), sizeField(place, "length", ["shape", "rectangle", 1], { needed: true })),
    "corners" in shape ? null : sizeField(place, "all corners rounded by", ["shape", "corner"], { hint: "not rounded" }),
    cornersField(place, shape),
    el("button", { type: "button", class: "quiet", text: "Free its corners", "data-key": "free-corners", onclick: () => place.edit("Free the corners", freed(place, shape)) }),
  ];
}

/** The four corners in one line, from the lower left one round. */
function cornersField(place, shape) {
  const now = shape.corners ? markWords(shape.corners) : "";
  if (now === null) return el("p", { class: "note", "data-field": "shape.corners", text: "Its corners are set one by one: choose one on the drawing." });
  const field = el("input", { value: now, "data-key": `${pathWords(place.base)}.corners`, "data-field": "shape.corners", placeholder: "0, 0, 8, cut 5", autocomplete: "off", spellcheck: "false", onchange: () => {
    const text = field.value.trim();
    if (text === now) return null;
    if (!text) return place.edit("Leave the corners plain", [take(place, ["shape", "corners"])]);
    const marks = typedMarks(text, place.units);
    if (!marks) return say("Type what is done to the four corners from the lower left one round, with commas between: 8, 8, 0, cut 5; or to the lower and the upper two: 8, 0.", true);
    return place.edit("Set the corners", [...("corner" in shape ? [take(place, ["shape", "corner"])] : []), put(place, ["shape", "corners"], marks)]);
  } });
  return el("label", { class: "field" }, el("span", { text: "or one by one, from the lower left round; or two: lower, upper" }), field);
}

/** A rectangle as a polygon, whose corners can go anywhere. */
function freed(place, shape) {
  const [w, l] = shape.rectangle;
  const marks = cornersOf(shape);
  const points = [[0, 0], [w, 0], [w, l], [0, l]].map((point, i) => withMark(point, marks[i]));
  return [put(place, ["shape"], { polygon: points })];
}

function withMark(point, mark) {
  if (mark === 0 || mark === undefined) return point;
  return typeof mark === "object" ? { at: point, ...mark } : { at: point, round: mark };
}

function strap(place, shape) {
  const ends = Array.isArray(shape.ends) ? shape.ends : [shape.ends || "square", shape.ends || "square"];
  const end = (i, words) => {
    const box = choiceField({ ...place, data: { end: ends[i] }, edit: () => {} }, words, ["end"], ENDS);
    const select = box.querySelector("select");
    select.dataset.key = pathWords([...place.base, "shape", "ends", i]);
    select.dataset.field = "shape.ends";
    select.addEventListener("change", () => place.edit(`Set ${words}`, [put(place, ["shape", "ends"], ends.map((each, j) => (i === j ? select.value : each)))]));
    return box;
  };
  return [
    el("div", { class: "pair" }, sizeField(place, "width", ["shape", "strap", 0], { needed: true }), sizeField(place, "length over all", ["shape", "strap", 1], { needed: true })),
    el("div", { class: "pair" }, end(0, "end at the start"), end(1, "other end")),
  ];
}

function circle(place) {
  return [sizeField(place, "diameter", ["shape", "circle"], { needed: true })];
}

function pathShape(place) {
  return [sizeField(place, "path data", ["shape", "path"], { typed: false, needed: true })];
}

function drawing(place) {
  return [el("div", { class: "pair" }, sizeField(place, "drawing", ["shape", "drawing"], { typed: false, needed: true }), sizeField(place, "part of it", ["shape", "block"], { typed: false, hint: "all of it" }))];
}

function polygon(place, shape, corner) {
  const rows = shape.polygon.map((item, i) => {
    const where = pointPath(item);
    const base = ["shape", "polygon", i];
    const cells = where ? [0, 1].map((axis) => cell(place, [...base, ...where, axis], `${"xy"[axis]} of corner ${i + 1}`)) : [el("span", { class: "note wide-cell", text: "drag its points" })];
    const lit = corner && pathWords(corner).startsWith(pathWords(base)) && corner.length >= 3 && corner[2] === i;
    return el("div", { class: lit ? "corner-row chosen" : "corner-row", "data-field": pathWords(base) }, el("span", { class: "tag zone", text: `${i + 1}` }), ...cells,
      el("button", { type: "button", class: "quiet", text: "+", title: "A corner after it", "aria-label": `A corner after corner ${i + 1}`, "data-key": `corner-more-${i}`, onclick: () => place.edit("Put in a corner", [inserted(place, shape, i)]) }),
      el("button", { type: "button", class: "quiet", text: "×", title: "Take it out", "aria-label": `Take out corner ${i + 1}`, "data-key": `corner-out-${i}`, disabled: shape.polygon.length <= 3 || (i === 0 && pointPath(shape.polygon[1])?.length !== 0), onclick: () => place.edit("Take out a corner", [take(place, base)]) }));
  });
  return [el("div", { class: "corners", "data-field": "shape.polygon" }, ...rows)];
}

/** Where in a step of an outline the point stands that it leads to: [] in a plain point. */
function pointPath(item) {
  const ways = wayPoints(item);
  return ways[ways.length - 1] || null;
}

function cell(place, path, words) {
  const field = sizeField(place, words, path, { needed: true });
  field.querySelector("span").className = "out-of-sight";
  return field;
}

/** A corner midway to the next, where both are plain numbers; else on the one before. */
function inserted(place, shape, i) {
  const points = shape.polygon;
  const here = at(points[i], pointPath(points[i]) || []);
  const there = at(points[(i + 1) % points.length], pointPath(points[(i + 1) % points.length]) || []);
  const middle = [0, 1].map((axis) => (typeof here?.[axis] === "number" && typeof there?.[axis] === "number" ? (here[axis] + there[axis]) / 2 : here?.[axis] ?? 0));
  return put(place, ["shape", "polygon"], [...points.slice(0, i + 1), middle, ...points.slice(i + 1)]);
}

/** The four corners of a rectangle as `corners` writes them. */
function cornersOf(shape) {
  return shape.corners || Array(4).fill(shape.corner ?? 0);
}

/** What is done to the chosen corner. */
function cornerElements(place, shape, corner, units) {
  const box = "rectangle" in shape;
  const i = corner[2];
  const mark = box ? cornersOf(shape)[i] : shape.polygon?.[i];
  if (!box && mark && wayOf(mark) !== "straight") return wayElements(place, shape, i, units);
  if (mark === undefined || (!box && !Array.isArray(mark) && !mark.at)) return [];
  const kind = typeof mark === "object" && "cut" in mark ? "cut" : (box ? mark !== 0 && mark !== undefined && (typeof mark !== "object" || mark.round !== 0) : mark.round) ? "round" : "plain";
  const size = typeof mark === "object" ? mark.cut ?? mark.round : mark;
  const set = (how, value) => place.edit("Set the corner", cornerEdits(place, shape, i, how, value));
  const plain = written(8, units, 0);
  const input = el("input", { value: shown(size), disabled: kind === "plain", "data-key": "corner-size", "data-field": box ? "shape.corners" : pathWords(["shape", "polygon", i, kind]), onchange: () => set(kind, typedLength(input.value, units)) });
  return [...(box ? [] : wayElements(place, shape, i, units)), el("fieldset", { class: "toggles" }, el("legend", { text: `Corner ${i + 1}` }),
    el("div", { class: "row" }, ...CORNERS.map(([how, words]) => el("button", { type: "button", text: words, "aria-pressed": String(how === kind), "data-key": `corner=${how}`, onclick: () => set(how, kind === "plain" || Array.isArray(size) ? plain : size) }))),
    kind === "plain" ? null : el("label", { class: "field" }, el("span", { text: kind === "cut" ? "cut off both edges" : "radius" }), input))];
}

function cornerEdits(place, shape, i, how, value) {
  const mark = how === "plain" ? 0 : how === "cut" ? { cut: value } : value;
  if ("rectangle" in shape) {
    const corners = cornersOf(shape).map((each, j) => (i === j ? mark : each));
    return [...("corner" in shape ? [take(place, ["shape", "corner"])] : []), put(place, ["shape", "corners"], corners)];
  }
  const item = shape.polygon[i];
  const point = Array.isArray(item) ? item : item.at;
  const rest = Array.isArray(item) ? {} : Object.fromEntries(Object.entries(item).filter(([name]) => !["at", "round", "cut"].includes(name)));
  const bare = how === "plain" && !Object.keys(rest).length;
  return [put(place, ["shape", "polygon", i], bare ? point : { at: point, ...rest, ...(how === "plain" ? {} : { [how]: value }) })];
}
