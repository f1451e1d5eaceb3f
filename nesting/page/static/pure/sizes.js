// Sizes of pieces as the project file writes them: plain numbers in its units, lengths with a unit, fractions of an
// inch, sums. What is moved by hand is written in the way it was written before.

import { lengthMm, LENGTHS } from "./units.js";

const FINEST = 32;
const STEPS = { mm: 1, cm: 1, in: 25.4 / 16 };

/** Whether a value of the file can be set by hand: a number or a length, no sum. */
export function isPlain(value) {
  return typeof value === "number" || (typeof value === "string" && lengthMm(value) !== null && /\d\s*(mm|cm|m|in|ft|yd|inch|inches|"|″)$/.test(value.trim()));
}

/** The nearest place (mm) on the grid that is set by hand in these units. */
export function snapped(mm, units, fine = false) {
  const step = (STEPS[units] ?? 1) / (fine ? 10 : 1);
  return Math.round(mm / step) * step;
}

/** By how much (mm) an arrow key moves. */
export function nudge(units, { shift = false, alt = false } = {}) {
  const step = STEPS[units] ?? 1;
  return shift ? step * (units === "in" ? 16 : 10) : alt ? step / (units === "in" ? 2 : 10) : step;
}

/** `mm` as the file would write it in place of `former`: in the same unit, inches as fractions. */
export function written(mm, units, former = 0) {
  const unit = typeof former === "string" ? (/\d\s*(mm|cm|m|ft|yd)$/.exec(former.trim())?.[1] ?? "in") : units;
  if (unit === "in") return `${fraction(mm / LENGTHS.in)} in`;
  const number = Number((mm / LENGTHS[unit]).toFixed(3));
  return typeof former === "string" ? `${number} ${unit}` : number;
}

/** A number as whole and fraction, to 1/32; as a decimal where it is none. */
export function fraction(value) {
  const parts = Math.round(Math.abs(value) * FINEST);
  if (Math.abs(parts / FINEST - Math.abs(value)) > 0.002) return String(Number(value.toFixed(3)));
  const sign = value < 0 && parts ? "-" : "";
  const whole = Math.floor(parts / FINEST);
  let [top, bottom] = [parts % FINEST, FINEST];
  while (top && top % 2 === 0) [top, bottom] = [top / 2, bottom / 2];
  if (!top) return `${sign}${whole}`;
  return `${sign}${whole ? `${whole} ` : ""}${top}/${bottom}`;
}

/** A measure for reading, in the project's units. */
export function told(mm, units) {
  if (units === "in") return `${fraction(mm / LENGTHS.in)} in`;
  return `${Number((mm / LENGTHS[units]).toFixed(units === "mm" ? 1 : 2))} ${units}`;
}

/** A value of the file as its field shows it. */
export function shown(value) {
  if (value === undefined || value === null) return "";
  return typeof value === "object" ? JSON.stringify(value) : String(value);
}

/** What stands at a path within a value, or undefined. */
export function at(value, path) {
  return path.reduce((held, step) => held?.[step], value);
}

/** A path as the server's messages write it: rows[0].pitch. */
export function pathWords(path) {
  return path.map((step) => (typeof step === "number" ? `[${step}]` : `.${step}`)).join("").replace(/^\./, "");
}

/** A length as it is typed: a number, a fraction of the file's units, else the text itself. */
export function typedLength(text, units) {
  const plain = text.trim();
  if (/^[+-]?(\d+\.?\d*|\.\d+)$/.test(plain)) return Number(plain);
  return /^[\d\s/½¼¾⅛⅜⅝⅞.]+$/.test(plain) ? `${plain} ${units}` : plain;
}

/** Two lengths with a comma between that no bracket holds, as the file writes them; null where there are not two. One
 * that is left out is as that of the point `before`, where there is one: "120" or ", 60".
 */
export function typedPoint(text, units, before = null) {
  const parts = parted(text, ",").map((part) => part.trim());
  if (before && parts.length === 1) parts.push("");
  if (parts.length !== 2 || parts.every((part) => !part) || (!before && parts.includes(""))) return null;
  return parts.map((part, axis) => (part ? typedLength(part, units) : before[axis]));
}

/** The parts of a text that a sign tells apart where no bracket holds it. */
export function parted(text, sign) {
  let depth = 0;
  const parts = [""];
  for (const each of text) {
    depth += (each === "(") - (each === ")");
    if (each === sign && depth === 0) parts.push("");
    else parts[parts.length - 1] += each;
  }
  return parts;
}

/** How many mm a length of the file is; null for a sum. */
export function millimetres(value, units) {
  if (typeof value === "number") return value * LENGTHS[units];
  return isPlain(value) ? lengthMm(value) : null;
}
