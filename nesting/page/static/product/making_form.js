// What a product takes beside its leather: materials, work on the edges, labour, prices, and whether it hangs.

import { el } from "../drawing/element.js";
import { pathWords } from "../pure/sizes.js";
import { whenFields } from "./choices_form.js";
import { add, choiceField, flagField, put, sizeField, take, unused } from "./controls.js";

const FACES = [["edge", "the edge itself"], ["grain", "along it on the grain"], ["flesh", "along it on the flesh"], ["both", "along it on both"]];
const LABOUR = [["rate", "money an hour"], ["cut", "cut in a minute"], ["edge", "edge finished in a minute"], ["sewing", "seam sewn in a minute"], ["hole", "minutes a hole"],
  ["fastener", "minutes a fastener"], ["assembly", "minutes a product"], ["setup", "minutes a batch"]];

/** The elements for the making. `c` has edit and told. */
export function makingElements(c) {
  const { tables } = c.told;
  const names = c.told.pieces.flatMap((piece) => piece.made.map((made) => made.name));
  return [
    el("section", { "aria-label": "Materials" }, el("h3", { text: "Materials beside the leather" }), ...(tables.material || []).map((each, i) => materialElement(c, each, i)), moreButton(c, "material", "One more material", (rows) => ({ name: unused("material", rows.map((row) => row.name)), amount: 1 }))),
    el("section", { "aria-label": "Work on the edges" }, el("h3", { text: "Work on the edges, in its order" }), ...(tables.edge || []).map((each, i) => edgeElement(c, each, i, names)), moreButton(c, "edge", "One more step at the edges", (rows) => newStep(rows))),
    el("section", { "aria-label": "Labour" }, el("h3", { text: "Labour" }), ...labourFields(c, tables.labour || {}, names)),
    el("section", { "aria-label": "Prices" }, el("h3", { text: "Prices" }), ...priceFields(c, tables.price || {})),
    el("section", { "aria-label": "Care" }, flagField({ edit: c.edit, data: tables.care || {}, base: ["care"] }, "it hangs or carries something", ["hangs"])),
  ];
}

/** A step more is done to the pieces that the last was done to. */
function newStep(rows) {
  const last = rows[rows.length - 1];
  return { name: unused(["bevel", "burnish", "groove"][rows.length] || "step", rows.map((row) => row.name)), ...(last?.pieces ? { pieces: last.pieces } : {}) };
}

function moreButton(c, table, words, made) {
  return el("button", { type: "button", id: `${table}-more`, text: words, onclick: () => c.edit(words, [{ op: "add", path: [table], value: made(c.told.tables[table] || []) }]) });
}

function outButton(c, table, i, name) {
  return el("button", { type: "button", class: "quiet", text: "Take out", "aria-label": `Take out ${name}`, "data-key": `${table}-out-${i}`, onclick: () => c.edit(`Take out ${name}`, [{ op: "take", path: [table, i] }]) });
}

function materialElement(c, material, i) {
  const place = { edit: c.edit, data: material, base: ["material", i] };
  return el("fieldset", { class: "feature" }, el("legend", { text: material.name }),
    el("div", { class: "three" }, sizeField(place, "name", ["name"], { typed: false, needed: true }), sizeField(place, "amount", ["amount"], { needed: true }), sizeField(place, "unit", ["unit"], { typed: false, hint: "piece" }),
      sizeField(place, "price of one", ["price"], { hint: "0" }), sizeField(place, "weight of one, g", ["weight"], { hint: "0" }), sizeField(place, "spare, as a share", ["spare"], { hint: "0" })),
    ...whenFields(place, c.told.tables), el("div", { class: "row end" }, outButton(c, "material", i, material.name)));
}

function edgeElement(c, edge, i, names) {
  const place = { edit: c.edit, data: edge, base: ["edge", i] };
  return el("fieldset", { class: "feature" }, el("legend", { text: edge.name }),
    el("div", { class: "three" }, sizeField(place, "name", ["name"], { typed: false, needed: true }), sizeField(place, "from the edge", ["inset"], { hint: "0" }), sizeField(place, "worked in a minute", ["speed"], { hint: "not told" })),
    choiceField(place, "where", ["faces"], FACES), pieceButtons(place, ["pieces"], names), el("div", { class: "row end" }, outButton(c, "edge", i, edge.name)));
}

/** Which pieces; none pressed means all of them. */
function pieceButtons(place, path, names) {
  const held = place.data[path[0]] || [];
  const press = (name) => {
    const left = held.includes(name) ? held.filter((each) => each !== name) : [...held, name];
    place.edit("Choose the pieces", [left.length ? put(place, path, left) : take(place, path)]);
  };
  return el("div", { class: "row edges", role: "group", "aria-label": "On which pieces; none pressed is all", "data-field": pathWords(path) },
    ...[...new Set([...names, ...held])].map((name) => el("button", { type: "button", text: name, "aria-pressed": String(held.includes(name)), "data-key": `${pathWords([...place.base, ...path])}=${name}`, onclick: () => press(name) })));
}

function labourFields(c, labour, names) {
  const place = { edit: c.edit, data: labour, base: ["labour"] };
  return [el("div", { class: "three" }, ...LABOUR.map(([name, words]) => sizeField(place, words, [name], { hint: "not counted" }))),
    el("p", { class: "note", text: "Edges are finished of these pieces; none pressed is all." }), pieceButtons(place, ["edges"], names), ...stepButtons(c, place)];
}

/** The pieces that a step at the edges is done to already, put in at once. */
function stepButtons(c, place) {
  const held = JSON.stringify(place.data.edges);
  return (c.told.tables.edge || []).filter((step) => step.pieces?.length && JSON.stringify(step.pieces) !== held).slice(0, 1)
    .map((step) => el("button", { type: "button", class: "quiet", text: `As at “${step.name}”`, "aria-label": `Edges are finished of the pieces of “${step.name}”`, "data-key": "labour-edges-as", onclick: () => place.edit("Choose the pieces", [put(place, ["edges"], step.pieces)]) }));
}

function priceFields(c, price) {
  const place = { edit: c.edit, data: price, base: ["price"] };
  return [el("div", { class: "three" }, sizeField(place, "currency", ["currency"], { typed: false, needed: true, hint: "EUR" }), sizeField(place, "wholesale, times the total", ["wholesale"], { hint: "not told" }), sizeField(place, "retail, times the total", ["retail"], { hint: "not told" }),
    ...[["per_hour", "overhead an hour"], ["per_product", "overhead a product"], ["share", "overhead, as a share"]].map(([name, words]) => sizeField(place, words, ["overhead", name], { hint: "0" })))];
}
