// Lengths, areas and thicknesses as people write them. The server reads them again by the same rules and has the
// last word; here they serve the live figures. 1 in = 25.4 mm and 1 sq ft = 92903.04 mm² exactly; 1 oz = 1/64 in.

export const LENGTHS = { mm: 1, cm: 10, m: 1000, in: 25.4, ft: 304.8, yd: 914.4 };
export const AREAS = { "sq ft": 92903.04, m2: 1e6, dm2: 1e4, cm2: 100, "sq in": 645.16, mm2: 1, "sq yd": 836127.36 };
export const AREA_SHOWN = { "sq ft": "sq ft", m2: "m²", dm2: "dm²" };
const LENGTH_WORDS = { inch: "in", inches: "in", '"': "in", "″": "in", feet: "ft", foot: "ft", "'": "ft", "′": "ft" };
const AREA_WORDS = {
  "m²": "m2", "dm²": "dm2", "cm²": "cm2", "mm²": "mm2", sqft: "sq ft", ft2: "sq ft", "ft²": "sq ft", sf: "sq ft",
  "square feet": "sq ft", "square foot": "sq ft", "sq m": "m2", sqm: "m2", "sq dm": "dm2", in2: "sq in", "in²": "sq in",
};
const VULGAR = {
  "½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
};
const NUMBER = /^[+-]?(?:\d+\s+\d+\/\d+|\d+\/\d+|\d+\.?\d*(?:[eE][+-]?\d+)?|\.\d+)/;

/** The number a text begins with and what follows it: [number, rest], or null. */
export function readNumber(text) {
  let plain = String(text);
  for (const [sign, words] of Object.entries(VULGAR)) plain = plain.replaceAll(sign, ` ${words}`);
  plain = plain.trim().replace("−", "-");
  const match = NUMBER.exec(plain);
  if (!match) return null;
  let value = 0;
  for (const part of match[0].replace(/^[+-]/, "").split(/\s+/)) {
    const [top, bottom] = part.split("/");
    value += bottom === undefined ? Number(top) : Number(top) / Number(bottom);
  }
  if (!Number.isFinite(value)) return null;
  return [match[0].startsWith("-") ? -value : value, plain.slice(match[0].length).trim()];
}

/** A length in mm; a bare number is in `unit`. Null where it cannot be read. */
export function lengthMm(text, unit = "mm") {
  const read = readNumber(text);
  if (!read) return null;
  const word = read[1].toLowerCase();
  const named = word === "" ? unit : LENGTH_WORDS[word] || word;
  return named in LENGTHS ? read[0] * LENGTHS[named] : null;
}

/** A length in mm from a field or a file; nought where there is none. */
export function mmOf(value) {
  return lengthMm(value ?? "") ?? 0;
}

/** An area in mm², its unit always told. Null where it cannot be read. */
export function areaMm2(text) {
  const read = readNumber(text);
  if (!read || read[0] <= 0) return null;
  const word = read[1].toLowerCase().replaceAll(".", "").replace(/\s+/g, " ");
  const named = AREA_WORDS[word] || word;
  return named in AREAS ? read[0] * AREAS[named] : null;
}

/** A thickness as [low, high] in mm: "10-11 oz", "4.0-4.4 mm". Null where it cannot be read. */
export function thicknessMm(text) {
  const first = readNumber(text);
  if (!first) return null;
  let [low, rest] = first;
  let high = low;
  if (/^[-–—]/.test(rest)) {
    const second = readNumber(rest.slice(1));
    if (!second) return null;
    [high, rest] = second;
  }
  const factor = { oz: 25.4 / 64, ounce: 25.4 / 64, ounces: 25.4 / 64, mm: 1, in: 25.4 }[rest.toLowerCase()];
  return factor && low > 0 && low <= high && high * factor <= 50 ? [low * factor, high * factor] : null;
}

/** A length for reading, in the chosen unit. */
export function showLength(mm, unit = "mm") {
  const digits = { mm: 0, cm: 1, in: 2 }[unit] ?? 1;
  return `${trimmed(mm / LENGTHS[unit], digits)} ${unit}`;
}

/** A length for reading at the bench: whole millimetres, or inches to a part of an inch (5 1/2 in). */
export function writeLength(mm, unit = "mm", part = 16) {
  if (unit !== "in") return `${Math.round(mm) || 0} mm`;
  return `${fraction(mm / LENGTHS.in, part)} in`;
}

/** A sentence that measures in mm and dm² or sq ft, in the chosen units: "up to 3.2 mm" is "up to 1/8 in". */
export function inUnits(words, { length = "mm", area = "" } = {}, part = 16) {
  const lengths = length !== "in" ? words : words.replace(/(\d+(?:\.\d+)?)((?: × \d+(?:\.\d+)?)?) mm(?!²)\b/g, (_, first, second) => {
    const sides = [first, ...second.split(" × ").slice(1)];
    return `${sides.map((side) => fraction(Number(side) / LENGTHS.in, part)).join(" × ")} in`;
  });
  const known = Object.keys(AREA_SHOWN).find((name) => name === area);
  return !known ? lengths : lengths.replace(/(\d+(?:\.\d+)?) (dm²|sq ft)/g, (told, value, unit) =>
    AREA_SHOWN[known] === unit ? told : showArea(Number(value) * AREAS[AREA_WORDS[unit] || unit], known));
}

/** Where a mark is pricked: to half a millimetre, or to a part of an inch; without its unit, as the cut sheet has it. */
export function writePlace(mm, unit = "mm", part = 32) {
  if (unit === "in") return fraction(mm / LENGTHS.in, part);
  return String(Math.round(2 * mm) / 2 || 0).replace("-", "−");
}

/** A number as whole and fraction, to the nearest part: 5.5 is "5 1/2". */
export function fraction(value, part = 16) {
  const parts = Math.round(Math.abs(value) * part), whole = Math.floor(parts / part);
  let top = parts - whole * part, bottom = part;
  while (top && top % 2 === 0) [top, bottom] = [top / 2, bottom / 2];
  const sign = value < 0 && parts ? "−" : "";
  if (!top) return `${sign}${whole}`;
  return `${sign}${whole ? `${whole} ` : ""}${top}/${bottom}`;
}

/** A thickness [low, high] in mm for reading: mm, or ounces (1 oz is 1/64 in). */
export function writeThickness([low, high], unit = "mm") {
  const one = (mm) => trimmed(unit === "oz" ? Math.round((mm * 128) / 25.4) / 2 : mm, 1); // half ounces, as it is sold
  return low === high ? `${one(low)} ${unit}` : `${one(low)}-${one(high)} ${unit}`;
}

/** An area for reading, in the chosen unit. */
export function showArea(mm2, unit = "sq ft") {
  const digits = { "sq ft": 2, m2: 3, dm2: 1 }[unit] ?? 1;
  return `${(mm2 / AREAS[unit]).toFixed(digits)} ${AREA_SHOWN[unit] || unit}`;
}

/** A share in per cent for reading. */
export function showShare(share, digits = 1) {
  return `${(100 * share).toFixed(digits)} %`;
}

function trimmed(value, digits) {
  const text = value.toFixed(digits);
  return digits ? text.replace(/\.?0+$/, "") : text;
}
