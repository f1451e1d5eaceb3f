// The form of one piece: name, count, shape, grade and direction, fold and hands, features, where it may lie.

import { el, select } from "../drawing/element.js";
import { at, told } from "../pure/sizes.js";
import { add, changeButton, choiceField, flagField, put, sizeField, take, toggles } from "./controls.js";
import { whenFields } from "./choices_form.js";
import { featureElements } from "./features.js";
import { shapeElements } from "./shape_form.js";

const GRADES = [["A", "A"], ["B", "B"], ["C", "C"], ["D", "D"]];
const ALONG = [["any", "any way"], ["backbone", "along the backbone"], ["across", "across it"]];
const FOLDS = [["none", "not folded"], ["y", "left over right"], ["x", "top over bottom"], ["both", "both ways"]];
const HANDS = [["", "one shape"], ["both", "left and right"], ["left", "drawn as left"], ["right", "drawn as right"]];
const REGIONS = "names of regions, as butt, back";
const USUAL_REGIONS = ["butt", "back", "bend", "double shoulder", "shoulder", "belly", "side"];

/** The elements for a piece. `c` has edit, piece, told, units, corner, feature (paths chosen on the drawing). */
export function pieceElements(c) {
  const place = { edit: c.edit, data: c.piece.table, base: ["piece", c.piece.index], units: c.units };
  return [
    ...chosenElements(place, c),
    el("section", { "aria-label": "Name and count" }, nameField(place, c), el("div", { class: "pair" }, sizeField(place, "in one product", ["count"], { hint: "1" }), leatherField(place, c))),
    el("section", { "aria-label": "Shape" }, el("h3", { text: "Shape" }), ...shapeElements(place, c.corner, c.units), sizeWords(c)),
    el("section", { "aria-label": "Leather" },
      toggles(place, "Worst grade it may lie on", ["grade"], GRADES, place.data.grade || "A"),
      toggles(place, "Its length runs", ["along"], ALONG, place.data.angles ? "" : place.data.along || "any", (value) => alongEdits(place, value)),
      directionMore(place),
      likeBefore(place, c)),
    el("section", { "aria-label": "Fold and hands" },
      toggles(place, "Drawn by half and folded", ["fold"], FOLDS, foldOf(place.data), (value) => foldEdits(place, value)),
      foldOf(place.data) !== "none" && place.data.shape?.polygon ? aloneField(place) : null,
      toggles(place, "Hand", ["hand"], HANDS, place.data.hand || "", (value) => handEdits(place, value)),
      place.data.hand === "both" ? pairField(place) : null),
    ...featureElements(place, { contour: c.piece.edges, made: c.piece.made, units: c.units, across: c.across, tables: c.told.pieces.map((piece) => piece.table), joined: c.told.tables }, c.feature),
    el("details", { class: "more-of-it", "data-key": "where" }, el("summary", { text: "Where it may lie, and more" }), el("div", { class: "stack" }, ...whereFields(place, c))),
    el("div", { class: "row spread" },
      changeButton(place, "Copy the piece", "Copy the piece", () => [copied(place, c, place.data)], { id: "piece-copy" }),
      place.data.shape ? changeButton(place, "New piece of this outline", "Add a piece of the same outline", () => [copied(place, c, outlineOf(place.data))], { id: "piece-outline" }) : null,
      changeButton(place, "Take the piece out", "Take the piece out", [{ op: "take", path: place.base }], { id: "piece-out", class: "quiet" })),
  ];
}

/** The numbers of what is chosen on the drawing, which the arrows and the pointer move too. */
function chosenElements(place, { chosen }) {
  if (!chosen || (!chosen.x && !chosen.y)) return [];
  const words = { corner: "corner", side: "side", end: "end", rim: "rim", hole: "hole", slot: "slot", row: "end of the row", line: "end of the line", cover: "corner of the covered part", arc: "end of the arc", point: "point of the curve", bend: "point that bends the curve" }[chosen.kind];
  const across = chosen.kind === "rim" ? "diameter" : "x";
  return [el("fieldset", { class: "feature chosen", id: "chosen" }, el("legend", { text: `The chosen ${words}` }),
    el("div", { class: "pair" }, ...[[chosen.x, across], [chosen.y, "y"]].filter(([path]) => path).map(([path, name]) => {
      const field = sizeField(place, name, path, { needed: true });
      field.querySelector("input").dataset.key += "@chosen";
      field.querySelector("input").removeAttribute("data-field");
      return field;
    })))];
}

function nameField(place, c) {
  const input = el("input", {
    value: place.data.name ?? "", maxlength: 60, id: "piece-name", "data-key": "piece-name", "data-field": "name",
    onchange: () => input.value.trim() && place.edit("Name the piece", [{ op: "rename", path: place.base, value: input.value.trim() }, ...leatherOf(place, c, input.value.trim())]),
  });
  return el("label", { class: "field" }, el("span", { text: `Piece ${c.piece.index + 1} of ${c.told.pieces.length}` }), input);
}

/** A new piece that is called by one of the leathers, as “lining” or “front lining”, is of it. */
function leatherOf(place, c, name) {
  const found = c.told.leathers.slice(1).find((leather) => name === leather.name || name.endsWith(` ${leather.name}`));
  return found && place.data.leather === undefined && /^piece \d+$/.test(place.data.name) ? [put(place, ["leather"], found.name)] : [];
}

function leatherField(place, c) {
  const names = c.told.leathers.map((leather) => leather.name);
  return names.length ? choiceField(place, "leather", ["leather"], names.map((name) => [name, name])) : null;
}

function sizeWords(c) {
  const words = c.piece.made.map((made) => `${c.piece.made.length > 1 ? `${made.name}: ` : ""}${told(made.size[0], c.units)} × ${told(made.size[1], c.units)}, ${(made.area / 100).toFixed(1)} cm²`);
  return el("p", { class: "note", id: "piece-size", text: words.join("; ") || (c.piece.problem ? "" : "There is no such piece in this variant.") });
}

function alongEdits(place, value) {
  const angles = place.data.angles ? [take(place, ["angles"])] : [];
  const loose = value === "any" ? ["tolerance", "turn"].filter((name) => name in place.data).map((name) => take(place, [name])) : [];
  return [...angles, ...loose, put(place, ["along"], value)];
}

const LIES = ["grade", "along", "tolerance", "turn", "angles", "mirror"];

/** How a new piece lies: as the one before, but whether it may be turned over, which not all of a product may. */
export const liesLike = (table) => Object.fromEntries(LIES.filter((name) => name !== "mirror" && name in table).map((name) => [name, table[name]]));

/** Grade and direction as the piece before has them, where it has others. */
function likeBefore(place, c) {
  const before = c.told.pieces[c.piece.index - 1]?.table;
  const other = before ? LIES.filter((name) => JSON.stringify(before[name]) !== JSON.stringify(place.data[name])) : [];
  if (!other.length || !before.name) return null;
  return changeButton(place, `As “${before.name}”`, "Lie as the piece before", other.map((name) => (name in before ? put(place, [name], before[name]) : take(place, [name]))), { "data-key": "lies-as", "aria-label": `Grade and direction as “${before.name}”` });
}

function handEdits(place, value) {
  const pair = value !== "both" ? ["pair", "pair_within"].filter((name) => name in place.data).map((name) => take(place, [name])) : [];
  const over = value === "both" && place.data.mirror ? [take(place, ["mirror"])] : [];
  return [...pair, ...over, value ? put(place, ["hand"], value) : take(place, ["hand"])];
}

const foldOf = (table) => table.fold || table.shape?.fold || "none";

function foldEdits(place, value, alone = Boolean(place.data.shape?.fold)) {
  const paths = [["fold"], ["shape", "fold"]];
  const out = paths.filter((path) => at(place.data, path) !== undefined).map((path) => take(place, path));
  return value === "none" ? out : [...out, put(place, paths[alone ? 1 : 0], value)];
}

/** Whether the fold completes the outline alone, and holes and lines are drawn whole. */
function aloneField(place) {
  const alone = Boolean(place.data.shape.fold);
  const box = el("input", { type: "checkbox", checked: alone, "data-key": "fold-alone", "data-field": "shape.fold", onchange: () => place.edit("Fold the outline", foldEdits(place, foldOf(place.data), !alone)) });
  return el("label", { class: "check" }, box, el("span", { text: "its outline alone; holes and lines are drawn on both halves" }));
}

function pairField(place) {
  const box = el("input", {
    type: "checkbox", checked: place.data.pair === "mirrored", "data-key": "pair", "data-field": "pair",
    onchange: () => place.edit("Set the pair", box.checked ? [put(place, ["pair"], "mirrored")] : ["pair", "pair_within"].filter((name) => name in place.data).map((name) => take(place, [name]))),
  });
  return el("div", { class: "stack" }, el("label", { class: "check" }, box, el("span", { text: "from mirrored places about the backbone" })),
    place.data.pair ? sizeField(place, "within", ["pair_within"], { hint: "200 mm" }) : null);
}

function directionMore(place) {
  const directed = place.data.along && place.data.along !== "any";
  return el("div", { class: "pair" }, directed ? sizeField(place, "tolerance, °", ["tolerance"], { hint: "0" }) : null,
    el("div", {}, directed ? flagField(place, "may lie head to tail", ["turn"], true) : null,
      place.data.hand === "both" ? null : flagField(place, "may be turned over", ["mirror"])));
}

function whereFields(place, c) {
  const others = c.told.pieces.filter((piece) => piece !== c.piece).flatMap((piece) => piece.made.map((made) => made.name));
  const near = (place.data.near || []).map((wish, i) => nearElement(place, wish, i, others));
  return [
    el("div", { class: "pair" }, sizeField(place, "off the backbone", ["off_backbone"], { hint: "0" }), sizeField(place, "only on leather of", ["thickness"], { typed: false, hint: "8-12 oz" })),
    listField(place, "only from", "from", REGIONS, (names) => [names.length ? put(place, ["from"], names) : take(place, ["from"])]),
    regionButtons(place),
    listField(place, "only at these angles, °", "angles", "any, or as it runs", (words) => angleEdits(place, words)),
    ...near,
    others.length ? changeButton(place, "It is to lie near another", "Wish to lie near another", () => [add(place, ["near"], { piece: others[0], within: "300 mm" })]) : null,
    ...spliceFields(place),
    ...whenFields(place, c.told.tables),
    flagField(place, "may be cut singly from what is left", ["spare"]),
  ];
}

/** One field for a list, its items told apart by commas. */
function listField(place, words, name, hint, edits) {
  const now = (place.data[name] || []).join(", ");
  const input = el("input", {
    value: now, placeholder: hint, "data-key": name, "data-field": name, autocomplete: "off",
    onchange: () => {
      const items = input.value.split(",").map((item) => item.trim()).filter(Boolean);
      if (items.join(", ") !== now) place.edit(`Set ${words}`, edits(items));
    },
  });
  return el("label", { class: "field" }, el("span", { text: words }), input);
}

/** Regions that hides usually have, pressed one after another; others are typed. */
function regionButtons(place) {
  const held = place.data.from || [];
  const press = (name) => {
    const names = held.includes(name) ? held.filter((each) => each !== name) : [...held, name];
    place.edit("Set only from", [names.length ? put(place, ["from"], names) : take(place, ["from"])]);
  };
  return el("div", { class: "row edges", role: "group", "aria-label": "Usual regions" }, ...USUAL_REGIONS.map((name) => el("button", { type: "button", text: name, "aria-pressed": String(held.includes(name)), "data-key": `from=${name}`, onclick: () => press(name) })));
}

/** Angles stand in place of a direction. */
function angleEdits(place, words) {
  const angles = words.map((word) => (Number.isFinite(Number(word)) ? Number(word) : word));
  if (!angles.length) return [take(place, ["angles"])];
  return [...["along", "tolerance", "turn"].filter((name) => name in place.data).map((name) => take(place, [name])), put(place, ["angles"], angles)];
}

function nearElement(place, wish, i, others) {
  const box = select([...new Set([...others, wish.piece])].map((name) => [name, name]), wish.piece, { "aria-label": "near which piece", "data-key": `near-${i}`, "data-field": `near[${i}].piece` });
  box.addEventListener("change", () => place.edit("Choose what it lies near", [put(place, ["near", i, "piece"], box.value)]));
  return el("div", { class: "layer" }, el("label", { class: "field" }, el("span", { text: "near" }), box), sizeField(place, "within", ["near", i, "within"], { needed: true }),
    el("button", { type: "button", class: "quiet", text: "×", "aria-label": `It need not lie near ${wish.piece}`, "data-key": `near-out-${i}`, onclick: () => place.edit("Take out the wish", [place.data.near.length > 1 ? take(place, ["near", i]) : take(place, ["near"])]) }));
}

function spliceFields(place) {
  if (!place.data.splice) return [changeButton(place, "It may be spliced where it is long", "Splice the piece", () => [put(place, ["splice"], { over: "900 mm", lap: "60 mm" })])];
  return [el("div", { class: "three" }, sizeField(place, "spliced where longer than", ["splice", "over"], { needed: true }), sizeField(place, "lap of the splice", ["splice", "lap"], { needed: true }),
    changeButton(place, "Cut it whole", "Cut the piece whole", () => [take(place, ["splice"])], { class: "quiet" }))];
}

/** The outline alone, as a lining is cut by its shell. */
const outlineOf = ({ name, shape, fold, ...rest }) => ({ name, shape, ...(fold ? { fold } : {}), ...liesLike(rest) });

function copied(place, c, table) {
  const names = c.told.pieces.map((piece) => piece.name);
  let name = `${place.data.name} copy`;
  for (let i = 2; names.includes(name); i++) name = `${place.data.name} copy ${i}`;
  return { op: "add", path: ["piece"], value: { ...table, name } };
}
