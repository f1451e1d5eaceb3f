// Seams: edges that are sewn together, whose lengths and holes must agree.

import { el, select } from "../drawing/element.js";
import { told as measure } from "../pure/sizes.js";
import { add, choiceField, put, sizeField, take, unused } from "./controls.js";
import { whenFields } from "./choices_form.js";
import { edgeField } from "./features.js";

/** The elements of all seams. `c` has edit, told, units, groups. */
export function seamElements(c, rows) {
  const pieces = c.told.pieces.flatMap((piece) => piece.made.map((made) => ({ name: made.name, edges: [...new Set(piece.edges.map((edge) => edge.name))].filter(Boolean), lines: [...new Set(made.lines.map((line) => line.name))].filter(Boolean) }))).filter((piece) => piece.edges.length);
  const begin = () => {
    const [one, other = one] = pieces;
    const edges = [{ piece: one.name, edge: one.edges[0] }, { piece: other.name, edge: other === one ? one.edges[1] || one.edges[0] : other.edges[0] }];
    c.edit("Add a seam", [{ op: "add", path: ["seam"], value: { name: unused("seam", rows.map((row) => row.name)), edges } }]);
  };
  return [...rows.map((seam, i) => seamElement(c, seam, i, pieces)), el("button", { type: "button", id: "seam-more", text: "One more seam", disabled: !pieces.length, onclick: begin })];
}

function seamElement(c, seam, i, pieces) {
  const place = { edit: c.edit, data: seam, base: ["seam", i] };
  const wrong = c.told.problem?.kind === "seam" && c.told.problem.name === seam.name;
  const lengths = (c.told.seams || []).find((each) => each.name === seam.name)?.sides || [];
  const sewn = [["", "only that they agree"], ...(c.told.tables.fastener || []).map((each) => [each.name, each.name])];
  return el("fieldset", { class: wrong ? "feature wrong" : "feature", "data-seam": seam.name }, el("legend", { text: seam.name }),
    el("div", { class: "pair" }, sizeField(place, "name", ["name"], { typed: false, needed: true }), sizeField(place, "may be off by", ["tolerance"], { hint: "1 mm" }),
      choiceField(place, "sewn with", ["fastener"], sewn), sizeField(place, "pitch", ["pitch"]), sizeField(place, "in one product", ["count"], { hint: "1" })),
    ...(seam.edges || []).map((side, j) => sideElement(c, place, side, j, pieces, lengths[j])),
    ...whenFields(place, c.told.tables),
    wrong ? el("p", { class: "problem-line", text: [c.told.problem.problem, c.told.problem.remedy].filter(Boolean).join("; ") }) : null,
    el("div", { class: "row" },
      el("button", { type: "button", text: "One more edge", "data-key": `seam-edge+${i}`, disabled: !pieces.length, onclick: () => c.edit("Add an edge", [add(place, ["edges"], { piece: pieces[0].name, edge: pieces[0].edges[0] })]) }),
      el("button", { type: "button", class: "quiet", text: "Take out", "aria-label": `Take out the seam ${seam.name}`, "data-key": `seam-out-${i}`, onclick: () => c.edit("Take out the seam", [{ op: "take", path: ["seam", i] }]) })));
}

/** One side of a seam: its piece, its edges in their order, how far inside they are sewn, and the holes. */
function sideElement(c, place, side, j, pieces, length) {
  const words = `Edge ${j + 1} of seam ${place.data.name}`;
  const names = [...new Set([...pieces.map((piece) => piece.name), side.piece])];
  const box = select(names.map((name) => [name, name]), side.piece, { "aria-label": words, "data-key": `seam-${place.base[1]}-${j}` });
  const { edges, lines } = pieces.find((piece) => piece.name === side.piece) || { edges: [], lines: [] };
  box.addEventListener("change", () => {
    const own = pieces.find((piece) => piece.name === box.value).edges;
    const kept = side.edge && [side.edge].flat().every((name) => own.includes(name)) ? side.edge : own[0];
    const { holes: _, line: __, ...rest } = side;
    place.edit("Choose the seam's piece", [put(place, ["edges", j], { ...rest, piece: box.value, edge: kept })]);
  });
  const groups = c.groups.filter((each) => each.piece === side.piece).map((each) => each.group);
  const holes = [["", "not checked"], ...[...new Set([...groups, ...(side.holes ? [side.holes].flat() : [])])].map((name) => [name, name])];
  const out = place.data.edges.length > 2 ? el("button", { type: "button", class: "quiet", text: "×", "aria-label": `Take out edge ${j + 1} of seam ${place.data.name}`, "data-key": `seam-${place.base[1]}-${j}-out`, onclick: () => place.edit("Take out an edge", [take(place, ["edges", j])]) }) : null;
  return el("div", { class: "feature-row", role: "group", "aria-label": words, "data-side": j },
    el("div", { class: "layer" }, el("label", { class: "field" }, el("span", { text: length ? `edge ${j + 1}: ${measure(length.length, c.units)}` : `edge ${j + 1}` }), box),
      side.line ? el("span", {}) : sizeField(place, "inset", ["edges", j, "inset"], { hint: "0" }), out),
    edgeField(side.line ? alongEdge(place, side, j) : place, ["edges", j, "edge"], edges, false),
    lineButtons(place, side, j, lines),
    Array.isArray(side.holes) ? null : choiceField(place, "holes", ["edges", j, "holes"], holes));
}

/** A side that follows a line: an edge that is pressed takes the line's place. */
function alongEdge(place, side, j) {
  const { line: _, ...rest } = side;
  return { ...place, edit: (words, [{ value }]) => place.edit(words, [put(place, ["edges", j], { ...rest, edge: value })]) };
}

/** Lines in the middle of the piece that another piece can be sewn down along. */
function lineButtons(place, side, j, lines) {
  const names = [...new Set([...lines, ...(side.line ? [side.line] : [])])];
  if (!names.length) return null;
  const press = (name) => {
    const { edge: _, inset: __, ...rest } = side;
    place.edit("Choose the line", [put(place, ["edges", j], { ...rest, line: name })]);
  };
  return el("div", { class: "row edges", role: "group", "aria-label": "or along a line of the piece", "data-field": `edges[${j}].line` }, el("span", { class: "note", text: "or along the line" }),
    ...names.map((name) => el("button", { type: "button", text: name, "aria-pressed": String(side.line === name), "data-key": `seam[${place.base[1]}].edges[${j}].line=${name}`, onclick: () => press(name) })));
}
