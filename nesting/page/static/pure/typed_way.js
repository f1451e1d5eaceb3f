// Points as a person types them: "120, 0", and after it in words what is done there or how the outline leads there:
// "120, 0 round 8", "60, 100 rise 6 edge lip", "30, 90 by 50, 104 and 40, 92", "smooth 15, 80 and 0, 40". What is left out
// of a point is as in the one before: ", 60" or "120".

import { parted, typedLength, typedPoint } from "./sizes.js";

const ARCS = ["rise", "radius", "through"];
const WORDS = [...ARCS, "by", "round", "cut", "edge"];
const TOKEN = /[\p{L}_][\p{L}\w]*|\S/gu;

/** One point of an outline or a line as the file writes it, after the point `before`; null where the text is none. */
export function typedStep(text, units, before = null) {
  const [head, ...clauses] = parts(text.trim());
  const smooth = /^smooth\s+/.exec(head.text);
  const points = smooth ? joined(head.text.slice(smooth[0].length), units, before) : [typedPoint(head.text, units, before)];
  const given = {};
  for (const { word, text: said } of clauses) {
    const value = clauseValue(word, said, units);
    if (value === null || word in given) return null;
    given[word] = value;
  }
  const { by, ...rest } = given;
  const arcs = ARCS.filter((word) => word in given).length;
  if (!points?.every(Boolean) || arcs + (by ? 1 : 0) + (smooth ? 1 : 0) > 1) return null;
  if (smooth) return { smooth: points, ...rest };
  const [point] = points;
  if (by) return { curve: point, by, ...rest };
  if (arcs) return { arc: point, ...rest };
  return clauses.length ? { at: point, ...rest } : point;
}

/** Points told apart by semicolons; null where one of them is none. */
export function typedSteps(text, units) {
  const steps = [];
  for (const each of parted(text, ";").filter((part) => part.trim())) {
    const last = steps[steps.length - 1];
    steps.push(last === null ? null : typedStep(each, units, last && stepEnd(last)));
  }
  return steps.length && steps.every(Boolean) ? steps : null;
}

/** The corners of a rectangle that is told from one corner to the other, "12, 0 to 128, 48"; null where it is not. */
export function typedBox(text, units) {
  const [from, to, ...more] = text.split(/\sto\s/).map((each) => typedPoint(each, units));
  return from && to && !more.length ? [from, [to[0], from[1]], to, [from[0], to[1]]] : null;
}

/** Points in the words that `typedSteps` reads; null where something in them has no words. */
export function stepsWords(steps) {
  const words = steps.map(stepWords);
  return words.every((each) => each !== null) ? words.join("; ") : null;
}

/** The point (as the file writes it) that a step leads to. */
export function stepEnd(step) {
  if (Array.isArray(step)) return step;
  if (step.smooth) return Array.isArray(step.smooth[0]) ? step.smooth[step.smooth.length - 1] : step.smooth;
  return step.at || step.arc || step.curve;
}

function stepWords(step) {
  if (Array.isArray(step)) return pointWords(step);
  const { smooth, at, arc, curve, by, edge, ...rest } = step;
  const points = smooth ? (Array.isArray(smooth[0]) ? smooth : [smooth]) : [at || arc || curve];
  const said = Object.entries(rest).map(([word, value]) => (word === "through" || word === "cut" ? `${word} ${[value].flat().join(", ")}` : `${word} ${value}`));
  const words = [`${smooth ? "smooth " : ""}${points.map(pointWords).join(" and ")}`, ...(by ? [`by ${by.map(pointWords).join(" and ")}`] : []), ...said, ...(edge === undefined ? [] : [`edge ${edge}`])].join(" ");
  return Object.keys(rest).every((word) => WORDS.includes(word)) && points.every(Array.isArray) ? words : null;
}

const pointWords = (point) => point.join(", ");

const joined = (text, units, before = null) => {
  const points = [];
  for (const each of parted(text.replace(/\s+and\s+/g, " \n "), "\n")) points.push(typedPoint(each.replace(" \n ", " and "), units, points[points.length - 1] || before));
  return points.every(Boolean) ? points : null;
};

function clauseValue(word, text, units) {
  if (!text) return null;
  if (word === "edge") return text;
  if (word === "by") return joined(text, units);
  if (word === "through") return typedPoint(text, units);
  if (word === "cut" && parted(text, ",").length === 2) return typedPoint(text, units);
  return typedLength(text, units);
}

/** A text cut before each word that begins a clause. A length may have such a word for a name: it stands after a sign,
 * a comma or another such word. What an edge is called goes on to the end. */
function parts(text) {
  const cuts = [{ word: "", from: 0, to: 0 }];
  let depth = 0, whole = false;
  for (const { 0: token, index } of text.matchAll(TOKEN)) {
    if (depth === 0 && whole && WORDS.includes(token)) {
      cuts.push({ word: token, from: index, to: index + token.length });
      if (token === "edge") break;
      whole = false;
      continue;
    }
    depth += (token === "(") - (token === ")");
    whole = !/^[-+*/,(]$/.test(token) && !(token === "smooth" && index === 0);
  }
  return cuts.map(({ word, to }, i) => ({ word, text: text.slice(to, cuts[i + 1]?.from).trim() }));
}
