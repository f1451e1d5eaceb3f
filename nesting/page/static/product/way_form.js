// How the outline leads to a corner: straight, on an arc, on a curve that two points bend, or smoothly through points.

import { el } from "../drawing/element.js";
import { lengthMm, LENGTHS } from "../pure/units.js";
import { pathWords, written } from "../pure/sizes.js";
import { put, sizeField, take, toggles } from "./controls.js";

const WAYS = [["straight", "Straight"], ["arc", "On an arc"], ["curve", "On a curve"], ["smooth", "Smooth"]];

/** Which way an item of an outline goes. */
export function wayOf(item) {
  return ["arc", "curve", "smooth"].find((name) => item && typeof item === "object" && name in item) || "straight";
}

/** Where in an item its points stand, the one it leads to last. */
export function wayPoints(item) {
  if (Array.isArray(item)) return [[]];
  if (!("smooth" in item)) return ["at", "arc", "curve"].filter((name) => name in item).map((name) => [name]);
  return Array.isArray(item.smooth[0]) ? item.smooth.map((_, j) => ["smooth", j]) : [["smooth"]];
}

/** The fields of the way to corner `i`. */
export function wayElements(place, shape, i, units) {
  if (i === 0) return [];
  const item = shape.polygon[i];
  const path = ["shape", "polygon", i];
  const now = wayOf(item);
  return [
    toggles(place, `The way to corner ${i + 1}`, [...path, "way"], WAYS, now, (way) => [put(place, path, gone(shape.polygon, i, way, units))]),
    ...{ straight: () => [], arc: () => arcFields(place, shape, i, path, units), curve: () => curveFields(place, item, path), smooth: () => smoothFields(place, shape, i, path, units) }[now](),
    Array.isArray(item) ? el("button", { type: "button", class: "quiet", text: "Name this edge", "data-key": `${pathWords([...place.base, ...path])}/name`, onclick: () => place.edit("Name the edge", [put(place, path, { at: item, edge: `edge ${i}` })]) })
      : sizeField(place, "name of this edge", [...path, "edge"], { typed: false }),
  ].filter(Boolean);
}

function arcFields(place, shape, i, path, units) {
  const item = shape.polygon[i];
  const by = ["rise", "radius", "through"].find((each) => each in item);
  const set = (how) => {
    const { rise: _, radius: __, through: ___, ...rest } = item;
    const long = Math.hypot(...[0, 1].map((axis) => mm(item.arc[axis], units) - mm(endOf(shape.polygon[i - 1])[axis], units)));
    const value = { rise: () => written(6, units, 0), radius: () => written(Math.ceil(long), units, 0), through: () => between(endOf(shape.polygon[i - 1]), item.arc, units, 0.1) }[how]();
    return [put(place, path, { ...rest, [how]: value })];
  };
  return [
    toggles(place, "The arc is given", [...path, "by"], [["rise", "By its rise"], ["radius", "By its radius"], ["through", "Through a point"]], by, set),
    by === "through" ? el("div", { class: "pair" }, ...["x", "y"].map((name, axis) => sizeField(place, `${name} of the point`, [...path, "through", axis], { needed: true })))
      : sizeField(place, by === "rise" ? "rise (less than 0: inwards)" : "radius (less than 0: inwards)", [...path, by], { needed: true }),
  ];
}

function curveFields(place, item, path) {
  const bends = item.by.map((_, j) => el("div", { class: "pair" }, ...["x", "y"].map((name, axis) => sizeField(place, `${name} of bend ${j + 1}`, [...path, "by", j, axis], { needed: true }))));
  const last = item.by.length - 1;
  const change = last ? { words: "Bent by one point", edits: [take(place, [...path, "by", last])] } : { words: "Bent by two points", edits: [put(place, [...path, "by"], [item.by[0], item.curve])] };
  return [...bends, el("button", { type: "button", class: "quiet", text: change.words, "data-key": `bends-${pathWords(path)}`, onclick: () => place.edit("Bend the curve otherwise", change.edits) })];
}

function smoothFields(place, shape, i, path, units) {
  const item = shape.polygon[i];
  const points = wayPoints(item);
  const more = () => {
    const all = points.map((way) => pointAt(item, way));
    const before = all.length > 1 ? all[all.length - 2] : endOf(shape.polygon[i - 1]);
    const end = all[all.length - 1];
    return [put(place, [...path, "smooth"], [...all.slice(0, -1), between(before, end, units, 0), end])];
  };
  return [
    ...points.slice(0, -1).map((way, j) => el("div", { class: "three" }, ...["x", "y"].map((name, axis) => sizeField(place, `${name} of point ${j + 1}`, [...path, ...way, axis], { needed: true })),
      el("button", { type: "button", class: "quiet", text: "×", "aria-label": `Take out point ${j + 1} of the curve`, "data-key": `smooth-out-${i}-${j}`, onclick: () => place.edit("Take out a point", [take(place, [...path, ...way])]) }))),
    el("button", { type: "button", class: "quiet", text: "One more point on it", "data-key": `smooth-more-${i}`, onclick: () => place.edit("Put in a point", more()) }),
  ];
}

/** Item `i` of an outline with another way to the same point. */
function gone(points, i, way, units) {
  const item = points[i];
  const end = endOf(item);
  const name = !Array.isArray(item) && item.edge ? { edge: item.edge } : {};
  const bend = () => between(endOf(points[i - 1]), end, units, 0.2);
  return {
    straight: () => (item.edge ? { at: end, ...name } : end),
    arc: () => ({ arc: end, rise: written(6, units, 0), ...name }),
    curve: () => ({ curve: end, by: [bend()], ...name }),
    smooth: () => ({ smooth: [bend(), end], ...name }),
  }[way]();
}

function endOf(item) {
  const ways = wayPoints(item);
  return pointAt(item, ways[ways.length - 1]);
}

const pointAt = (item, way) => way.reduce((held, step) => held[step], item);

/** Midway from one point to another, `aside` of their distance to the right of the way; sums count as nought. */
function between(from, to, units, aside) {
  const [a, b] = [from, to].map((point) => point.map((value) => mm(value, units)));
  const middle = [(a[0] + b[0]) / 2 + aside * (b[1] - a[1]), (a[1] + b[1]) / 2 - aside * (b[0] - a[0])];
  return middle.map((value) => written(Math.round(value), units, 0));
}

function mm(value, units) {
  if (typeof value === "number") return value * LENGTHS[units];
  return lengthMm(value) ?? 0;
}
