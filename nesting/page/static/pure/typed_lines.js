// What stands in one line as a person types it: a length with its name, a choice with its range, the place of a hole.

import { parted, typedLength } from "./sizes.js";

/** "roll = 60 mm" as its name and what it is; null where it is no such line. */
export function typedNamed(text) {
  const found = /^\s*([\p{L}_]\w*)\s*=\s*(\S.*)$/u.exec(text);
  return found && [found[1], found[2].trim()];
}

/** A choice as it is told: "places = 4, 1-12" or "places = 1 to 12, usually 4", "waist = 34 in, 24-52", "side = left, right",
 * "lined = yes": its name and its table. Of lengths one says the unit for all. */
export function typedChoice(text, units) {
  const [name, said] = typedNamed(text) || [];
  if (!name) return null;
  if (said === "yes" || said === "no") return [name, { default: said === "yes" }];
  const { range, usual } = usualAndRange(said);
  const ends = range.split(/\s+to\s+/).map((each) => each.trim());
  if (ends.length !== 2) return wordChoice(name, range, usual);
  const given = [usual ?? ends[0], ...ends];
  const whole = given.every((each) => /^-?\d+$/.test(each));
  const own = given.map((each) => /[\d\s/½¼¾](mm|cm|m|in|ft|yd)$/.exec(each)?.[1]).find(Boolean) || units;
  const [first, from, to] = given.map((each) => (whole ? Number(each) : withUnit(each, own)));
  return [name, { default: first, from, to }];
}

/** What is usual, and "1 to 12": it stands before the range, or after it with a word. */
function usualAndRange(said) {
  const [, first, from, to] = /^([\d.½¼¾][^,]*),\s*([\d.½¼¾].*?)\s*(?:[-–]|\bto\b)\s*([\d.½¼¾].*)$/.exec(said) || [];
  if (first && !/\busually\b/.test(said)) return { usual: first.trim(), range: `${from} to ${to}` };
  const [, range, usual] = /^(.*?)(?:\s*,?\s*\busually\s+(.*))?$/.exec(said);
  return { range, usual };
}

function wordChoice(name, range, usual) {
  const words = range.split(",").map((each) => each.trim()).filter(Boolean);
  const first = usual?.trim() ?? words[0];
  return words.length > 1 && words.includes(first) ? [name, { default: first, of: words }] : null;
}

/** Places of holes, "26, 38; 70, 38, wall": `{at, group}` each, the group only where it is told; null where one is none.
 * What is left out is as at the place before, the first of which is `before`: "70" or ", 262".
 */
export function typedPlaces(text, units, before = null) {
  const places = [];
  for (const each of parted(text, ";").filter((part) => part.trim())) {
    const [x = "", y = "", ...group] = parted(each, ",").map((part) => part.trim());
    const last = places.length ? places[places.length - 1]?.at : before;
    if (group.length > 1 || (!x && !y) || (!last && (!x || !y))) return null;
    places.push({ at: [x, y].map((part, axis) => (part ? typedLength(part, units) : last[axis])), ...(group[0] ? { group: group[0] } : {}) });
  }
  return places.length ? places : null;
}

/** What is done to the four corners of a rectangle, "8, 8, 0, cut 5", or "8, 0" to the lower two and the upper two; null where
 * it is told of neither. */
export function typedMarks(text, units) {
  const marks = parted(text, ",").map((each) => {
    const [, cut, size] = /^\s*(cut\s+)?(\S.*?)\s*$/.exec(each) || [];
    return size === undefined ? null : cut ? { cut: typedLength(size, units) } : typedLength(size, units);
  });
  if (marks.includes(null)) return null;
  return { 2: [marks[0], marks[0], marks[1], marks[1]], 4: marks }[marks.length] || null;
}

/** The same in words; null where one of them has none. */
export function markWords(marks) {
  const words = marks.map((mark) => (typeof mark !== "object" ? String(mark) : "cut" in mark && !Array.isArray(mark.cut) ? `cut ${mark.cut}` : null));
  return words.includes(null) ? null : words.join(", ");
}

/** Sizes by their lengths, "1/4 in, 3/8 in", each with its length for a name; after a length with its unit may stand what one
 * costs and weighs in g: "1/4 in 0.42 3.1". */
export function typedSizes(text, units) {
  const words = text.split(",").map((each) => each.trim()).filter(Boolean);
  return words.map((each) => {
    const [, length, price, weight] = /^(.*[a-z″"])\s+(\d[\d.]*)(?:\s+(\d[\d.]*))?$/.exec(each) || [null, each];
    return { name: withUnit(length, units), length: typedLength(length, units), ...(price ? { price: Number(price) } : {}), ...(weight ? { weight: Number(weight) } : {}) };
  });
}

function withUnit(text, units) {
  const value = typedLength(text, units);
  return typeof value === "number" ? `${value} ${units}` : value;
}
