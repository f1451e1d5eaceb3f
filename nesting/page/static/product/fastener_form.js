// A fastener of the product: its kind, the hole for it, and the sizes it comes in.

import { el } from "../drawing/element.js";
import { typedSizes } from "../pure/typed_lines.js";
import { add, choiceField, put, sizeField, take } from "./controls.js";

export const KINDS = [["post", "screw post"], ["rivet", "rivet"], ["snap", "snap"], ["thread", "thread"]];
const SIZES = {
  post: [{ name: "1/4 in", length: "1/4 in" }, { name: "3/8 in", length: "3/8 in" }, { name: "1/2 in", length: "1/2 in" }],
  rivet: [{ name: "6 mm", length: "6 mm" }, { name: "8 mm", length: "8 mm" }, { name: "10 mm", length: "10 mm" }],
  snap: [{ name: "short", grip: ["1 mm", "3 mm"] }, { name: "long", grip: ["3 mm", "5 mm"] }],
  thread: [{ name: "0.8 mm" }],
};

/** What a new fastener of a kind holds beside its name. */
export const newSizes = (kind) => SIZES[kind];

/** The elements of one fastener. */
export function fastenerElement(c, fastener, i) {
  const place = { edit: c.edit, data: fastener, base: ["fastener", i] };
  return el("fieldset", { class: "feature", "data-fastener": fastener.name }, el("legend", { text: fastener.name }),
    el("div", { class: "three" }, sizeField(place, "name", ["name"], { typed: false, needed: true }), choiceField(place, "kind", ["kind"], KINDS, { clears: false }), fastener.kind === "thread" ? sizeField(place, "left at the ends", ["tail"], { hint: "0" }) : null, sizeField(place, "hole for it", ["hole"], { hint: "not checked" }),
      sizeField(place, "spare, as a share", ["spare"], { hint: "0" }), fastener.kind === "thread" ? null : sizeField(place, "least from the edge", ["edge"], { hint: "usual" })),
    sizesField(place, fastener, c.units),
    ...(fastener.sizes || []).map((size, j) => sizeElement(place, size, j)),
    el("div", { class: "row" },
      fastener.kind === "thread" && fastener.sizes?.length ? null : el("button", { type: "button", text: "One more size", "data-key": `size+${i}`, onclick: () => c.edit("Add a size", [add(place, ["sizes"], newSize(fastener))]) }),
      el("button", { type: "button", class: "quiet", text: "Take out", "aria-label": `Take out the fastener ${fastener.name}`, "data-key": `fastener-out-${i}`, onclick: () => c.edit("Take out the fastener", [{ op: "take", path: ["fastener", i] }]) })));
}

/** All sizes in one line by their lengths; what is known of one, its price or its grip, stays with it. */
function sizesField(place, fastener, units) {
  const sizes = fastener.sizes || [];
  if (!["post", "rivet"].includes(fastener.kind) || !sizes.every((size) => size.length !== undefined)) return null;
  const now = sizes.map((size) => size.length).join(", ");
  const field = el("input", { value: now, "data-key": `sizes-${place.base[1]}`, placeholder: "1/4 in 0.42 3.1, 3/8 in", autocomplete: "off", spellcheck: "false", onchange: () => {
    const typed = typedSizes(field.value, units);
    if (!typed.length) field.value = now;
    else if (field.value.trim() !== now) place.edit("Set the sizes", [put(place, ["sizes"], typed.map((size) => ({ ...size, ...sizes.find((each) => String(each.length) === String(size.length)), ...priced(size) })))]);
  } });
  return el("label", { class: "field" }, el("span", { text: "all sizes: length, and if known its price and weight, g" }), field);
}

const priced = ({ price, weight }) => ({ ...(price === undefined ? {} : { price }), ...(weight === undefined ? {} : { weight }) });

/** One more of what the last size is, under a name of its own. */
function newSize(fastener) {
  const sizes = fastener.sizes || [];
  const last = sizes[sizes.length - 1] || SIZES[fastener.kind]?.[0] || { length: "10 mm" };
  return { ...last, name: `size ${sizes.length + 1}` };
}

/** A length, a grip from least to most, or neither; and what one costs. */
function sizeElement(place, size, j) {
  const path = ["sizes", j];
  const words = size.name || `size ${j + 1}`;
  const long = "length" in size || place.data.kind === "post" || place.data.kind === "rivet";
  return el("div", { class: "feature-row", role: "group", "aria-label": `${words} of ${place.data.name}` },
    el("div", { class: "three" }, sizeField(place, "size", [...path, "name"], { typed: false, needed: true }), long ? sizeField(place, "length", [...path, "length"], { needed: true }) : null, sizeField(place, place.data.kind === "thread" ? "price of a metre" : "price of one", [...path, "price"], { hint: "not told" }), sizeField(place, "weight, g", [...path, "weight"], { hint: "not told" })),
    ...gripFields(place, size, path, words),
    el("button", { type: "button", class: "quiet", text: "×", "aria-label": `Take out ${words} of ${place.data.name}`, "data-key": `size-out-${place.base[1]}-${j}`, disabled: place.data.sizes.length < 2, onclick: () => place.edit("Take out a size", [take(place, path)]) }));
}

function gripFields(place, size, path, words) {
  if (size.grip) return [el("div", { class: "pair" }, sizeField(place, "grips from", [...path, "grip", 0], { needed: true }), sizeField(place, "to", [...path, "grip", 1], { needed: true }))];
  if (place.data.kind !== "post") return [];
  return [el("button", { type: "button", class: "quiet", text: "State its grip", "aria-label": `State the grip of ${words}`, "data-key": `grip-${path.join("-")}-${place.base[1]}`, onclick: () => place.edit("State the grip", [put(place, [...path, "grip"], ["5 mm", "9 mm"])]) })];
}
