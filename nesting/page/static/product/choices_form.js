// What may be chosen of a product: places, a waist, left or right, lined or not; and in which variants a piece is there.

import { el } from "../drawing/element.js";
import { pathWords } from "../pure/sizes.js";
import { typedChoice } from "../pure/typed_lines.js";
import { say } from "../shell/notice.js";
import { put, sizeField, take } from "./controls.js";

const KINDS = [["number", "number", { default: 4, from: 1, to: 12 }], ["length", "length", { default: "200 mm", from: "100 mm", to: "300 mm" }],
  ["words", "some words", { default: "left", of: ["left", "right"] }], ["flag", "yes or no", { default: true }]];

function kindOf(choice) {
  if ("of" in choice) return "words";
  if (typeof choice.default === "boolean") return "flag";
  return "range";
}

/** The elements for all choices. `c` has edit and told. */
export function choiceElements(c) {
  const table = c.told.tables.choices || {};
  const name = el("input", { placeholder: "a name, or places = 4, 1-12", "data-key": "choice-name", autocomplete: "off", spellcheck: "false", onchange: () => {
    const text = name.value.trim();
    if (!text.includes("=")) return null;
    const line = typedChoice(text, c.units);
    if (!line) return say(`“${text}” is no choice: type places = 4, 1-12, or side = left, right, or lined = yes.`, true);
    name.value = "";
    return c.edit("Add a choice", [{ op: "put", path: ["choices", line[0]], value: line[1] }]);
  } });
  const begin = (value) => name.value.trim() && c.edit("Add a choice", [{ op: "put", path: ["choices", name.value.trim()], value }]);
  return [
    el("p", { class: "note", text: "One file serves a family of products: a choice stands in sums by its name, and says which pieces there are. In one line: places = 4, 1-12 (usually 4, from 1 to 12); side = left, right; lined = yes." }),
    ...Object.keys(table).map((each) => choiceElement(c, table, each)),
    el("label", { class: "field" }, el("span", { text: "A new choice is called" }), name),
    el("div", { class: "row" }, ...KINDS.map(([kind, words, value]) => el("button", { type: "button", text: `+ ${words}`, "aria-label": `New choice: ${words}`, "data-key": `choice+${kind}`, onclick: () => begin(value) }))),
  ];
}

function choiceElement(c, table, name) {
  const place = { edit: c.edit, data: table[name], base: ["choices", name] };
  const fields = { words: () => wordFields(place), flag: () => [usual(place, [["yes", true], ["no", false]])], range: () => ["default", "from", "to"].map((each) => sizeField(place, each === "default" ? "usual" : each, [each], { needed: true })) }[kindOf(place.data)]();
  return el("fieldset", { class: "feature", "data-choice": name }, el("legend", { text: name }), el("div", { class: "three" }, ...fields),
    el("button", { type: "button", class: "quiet", text: "Take out", "aria-label": `Take out the choice ${name}`, "data-key": `choice-out-${name}`, onclick: () => c.edit("Take out the choice", [{ op: "take", path: ["choices", name] }]) }));
}

function wordFields(place) {
  const { of, default: now } = place.data;
  const input = el("input", {
    value: of.join(", "), "data-key": `${place.base.join(".")}.of`, "data-field": "of", autocomplete: "off",
    onchange: () => {
      const words = input.value.split(",").map((word) => word.trim()).filter(Boolean);
      if (words.length) place.edit("Set the words", [put(place, ["of"], words), ...(words.includes(now) ? [] : [put(place, ["default"], words[0])])]);
    },
  });
  return [el("label", { class: "field" }, el("span", { text: "one of" }), input), usual(place, of.map((word) => [word, word]))];
}

function usual(place, options) {
  const box = el("select", { "aria-label": "usual", "data-key": `${place.base.join(".")}.default`, "data-field": "default" }, ...options.map(([words]) => el("option", { value: words, text: words })));
  box.value = options.find(([, value]) => value === place.data.default)?.[0] ?? "";
  box.addEventListener("change", () => place.edit("Set what is usual", [put(place, ["default"], options.find(([words]) => words === box.value)[1])]));
  return el("label", { class: "field" }, el("span", { text: "usual" }), box);
}

/** In which variants a piece is there: a list for every choice of some words or of yes and no. */
export function whenFields(place, tables) {
  const when = place.data.when || {};
  return Object.entries(tables.choices || {}).filter(([, choice]) => kindOf(choice) !== "range").map(([name, choice]) => {
    const options = kindOf(choice) === "flag" ? [["yes", true], ["no", false]] : choice.of.map((word) => [word, word]);
    const now = name in when ? (Array.isArray(when[name]) ? when[name].join(" or ") : options.find(([, value]) => value === when[name])?.[0] ?? String(when[name])) : "";
    const words = options.map(([word]) => word);
    const box = el("select", { "aria-label": `only where ${name} is`, "data-key": place.base[0] === "piece" ? `when-${name}` : `${pathWords(place.base)}.when-${name}`, "data-field": "when" }, el("option", { value: "", text: "in all" }),
      ...[...words, ...(now && !words.includes(now) ? [now] : [])].map((word) => el("option", { value: word, text: word })));
    box.value = now;
    box.addEventListener("change", () => {
      const { [name]: _, ...rest } = when;
      const next = box.value ? { ...rest, [name]: options.find(([word]) => word === box.value)?.[1] ?? when[name] } : rest;
      place.edit("Set the variants", [Object.keys(next).length ? put(place, ["when"], next) : take(place, ["when"])]);
    });
    return el("label", { class: "field" }, el("span", { text: `only where ${name} is` }), box);
  });
}
