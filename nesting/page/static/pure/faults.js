// What is wrong with a hide as it is drawn now, in words, with the place to look at. Pure functions.

import { area, crossings, lies } from "./geometry.js";
import { choices, nameOf, ringOf } from "./shapes.js";

const SMALL = 1;

/** Faults of a hide: [{words, at, choice}]. `at` is a place in the hide's millimetres. */
export function faultsOf(hide) {
  const outline = hide.outline || [];
  if (outline.length < 3) return [];
  const found = choices(hide).flatMap((choice) => ringFaults(hide, choice));
  if (found.some((fault) => fault.choice.kind === "outline")) return found;
  return [...found, ...placeFaults(hide, outline), ...backboneFaults(hide)];
}

function ringFaults(hide, choice) {
  const ring = ringOf(hide, choice);
  const name = nameOf(hide, choice);
  if (ring.length < 3) return [{ words: `${name}: fewer than three points`, at: ring[0], choice }];
  const met = crossings(ring, 3);
  if (met.length) {
    const points = met[0].edges.map((edge) => edge + 1).join(" and ");
    return [{ words: `${name}: the line crosses or touches itself (after points ${points})`, at: met[0].at, choice }];
  }
  if (area(ring) < SMALL) return [{ words: `${name}: it holds no area`, at: ring[0], choice }];
  return [];
}

function placeFaults(hide, outline) {
  const inner = choices(hide).filter((choice) => choice.kind !== "outline");
  return inner.flatMap((choice) => {
    const ring = ringOf(hide, choice);
    if (ring.length < 3) return [];
    const how = lies(ring, outline);
    const name = nameOf(hide, choice);
    if (how === "outside") return [{ words: `${name}: lies outside the hide`, at: ring[0], choice }];
    if (how === "across" && choice.kind === "hole") return [{ words: `${name}: crosses the outline`, at: ring[0], choice }];
    return [];
  });
}

function backboneFaults(hide) {
  const bone = hide.backbone;
  if (!bone) return [];
  const short = Math.hypot(bone[1][0] - bone[0][0], bone[1][1] - bone[0][1]) < SMALL;
  return short ? [{ words: "backbone: its two points are the same", at: bone[0], choice: { kind: "backbone", index: 0 } }] : [];
}
