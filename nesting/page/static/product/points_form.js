// Points that something runs through or round: a row's line, a line that is not cut, a covered part. Each has its two fields.

import { el } from "../drawing/element.js";
import { at, pathWords } from "../pure/sizes.js";
import { put, sizeField, take } from "./controls.js";
import { say } from "../shell/notice.js";
import { stepsWords, typedBox, typedSteps } from "../pure/typed_way.js";
import { wayPoints } from "./way_form.js";

const NO_POINTS = "Type each point as two lengths with a comma between, and a semicolon between points: 0, 80; 120, 80.";

/** The rows of a list of points at `path`, of which `least` must stay; a new one lies midway to the next. */
export function pointRows(place, path, { least = 2, words = "point", rounds = false } = {}) {
  const points = at(place.data, path);
  if (!Array.isArray(points)) return [];
  const key = pathWords([...place.base, ...path]);
  const rows = points.map((_, i) => el("div", { class: "corner-row", "data-field": pathWords([...path, i]) }, el("span", { class: "tag zone", text: `${i + 1}` }),
    ...["x", "y"].map((name, axis) => coordinate(place, [...path, i, ...lastPoint(points[i]), axis], `${name} of ${words} ${i + 1}`)),
    el("button", { type: "button", class: "quiet", text: "+", "aria-label": `A ${words} after ${words} ${i + 1}`, "data-key": `${key}-more-${i}`, onclick: () => place.edit("Put in a point", [put(place, path, withOneMore(points, i))]) }),
    el("button", { type: "button", class: "quiet", text: "×", "aria-label": `Take out ${words} ${i + 1}`, "data-key": `${key}-out-${i}`, disabled: points.length <= least, onclick: () => place.edit("Take out a point", [take(place, [...path, i])]) }),
    rounds && i > 0 && i < points.length - 1 ? roundField(place, [...path, i], points[i], i) : null));
  return [allField(place, path, points, words, least > 2), el("div", { class: "corners", "data-field": pathWords(path) }, ...rows)].filter(Boolean);
}

/** All points in one line, where they can be told so; a part of the piece also as a rectangle from corner to corner. */
function allField(place, path, points, words, closed) {
  const now = stepsWords(points);
  if (now === null) return null;
  const field = el("input", { value: now, "data-key": `${pathWords([...place.base, ...path])}:all`, autocomplete: "off", spellcheck: "false", placeholder: closed ? "12, 0 to 128, 48" : "0, 0; 120, 0", onchange: () => {
    const told = (closed && typedBox(field.value, place.units)) || typedSteps(field.value, place.units);
    if (!told) return say(NO_POINTS, true);
    if (stepsWords(told) !== now) place.edit(`Set the ${words}s`, [put(place, path, told)]);
    return null;
  } });
  return el("label", { class: "field" }, el("span", { text: closed ? `all ${words}s: x, y; x, y; or a rectangle: x, y to x, y` : `all ${words}s: x, y; x, y` }), field);
}

function coordinate(place, path, words) {
  const field = sizeField(place, words, path, { needed: true });
  field.querySelector("span").className = "out-of-sight";
  return field;
}

/** Where in an item its last point stands. */
function lastPoint(item) {
  const ways = wayPoints(item);
  return ways[ways.length - 1] || [];
}

/** A line's corner is round once it is given a radius. */
function roundField(place, path, item, i) {
  if (!Array.isArray(item) && !item.at) return null;
  const begun = Array.isArray(item) ? [put(place, path, { at: item })] : [];
  const edit = (_, edits) => place.edit("Round the corner", [...begun, ...edits]);
  const field = sizeField({ ...place, edit }, `corner ${i + 1} rounded by`, [...path, "round"], { hint: "not rounded" });
  field.classList.add("wide-cell");
  return field;
}

const endOf = (item) => lastPoint(item).reduce((held, step) => held[step], item);

/** After the last point one more lies as far on; sums count as they stand. */
function withOneMore(points, i) {
  const [here, there] = [endOf(points[i]), endOf(points[i + 1] || points[i])];
  const middle = [0, 1].map((axis) => (typeof here[axis] === "number" && typeof there[axis] === "number" ? (here[axis] + there[axis]) / 2 : here[axis]));
  return [...points.slice(0, i + 1), middle, ...points.slice(i + 1)];
}
