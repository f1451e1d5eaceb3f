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
    const edges = likelySides(c, rows) || [{ piece: one.name, edge: one.edges[0] }, { piece: other.name, edge: other === one ? one.edges[1] || one.edges[0] : other.edges[0] }];
    c.edit("Add a seam", [{ op: "add", path: ["seam"], value: { name: unused("seam", rows.map((row) => row.name)), edges, ...sewnLike(c, rows, edges) } }]);
  };
  return [...rows.map((seam, i) => seamElement(c, seam, i, pieces)), el("button", { type: "button", id: "seam-more", text: "One more seam", disabled: !pieces.length, onclick: begin })];
}

/** The rows of holes that a seam can follow, each as the side that it makes: its piece, where it runs, its holes. */
function rowSides(c) {
  return c.told.pieces.flatMap((piece) => piece.made.flatMap((made) => (piece.table.rows || []).filter((row) => row.group && (row.edge || typeof row.line === "string")).map(({ edge, inset, line, group, pitch }) => ({
    pitch, number: c.groups.find((each) => each.piece === made.name && each.group === group)?.number || 0,
    side: { piece: made.name, ...(line ? { line } : { edge, ...(inset === undefined ? {} : { inset }) }), holes: group },
  }))));
}

/** A row that no seam has yet and that has as many holes as those the seam has. */
function oneMoreSide(c, seam) {
  const rows = rowSides(c);
  const number = rows.find(({ side }) => sameRow(side, seam.edges[0]))?.number;
  const sewn = (c.told.tables.seam || []).flatMap((row) => row.edges || []);
  return rows.find((each) => each.number === number && !sewn.some((other) => sameRow(other, each.side)))?.side;
}

const sameRow = (one, other) => one.piece === other.piece && one.holes === other.holes;

/** Two rows that no seam has yet and that have as many holes. */
function likelySides(c, rows) {
  const sewn = rows.flatMap((row) => row.edges || []);
  const free = rowSides(c).filter(({ side }) => !sewn.some((each) => sameRow(each, side)));
  for (const [i, one] of free.entries()) {
    const other = free.slice(i + 1).find((each) => each.number === one.number && each.side.piece !== one.side.piece) || free.slice(i + 1).find((each) => each.number === one.number);
    if (other) return [one.side, other.side];
  }
  return null;
}

/** What a new seam is sewn with: as the last one, or with the thread there is at the pitch of its holes. */
function sewnLike(c, rows, edges) {
  if (rows.length) return Object.fromEntries(["fastener", "pitch"].filter((name) => name in rows[rows.length - 1]).map((name) => [name, rows[rows.length - 1][name]]));
  const thread = (c.told.tables.fastener || []).find((each) => each.kind === "thread");
  const pitch = rowSides(c).find(({ side }) => sameRow(side, edges[0]))?.pitch;
  return thread && pitch ? { fastener: thread.name, pitch } : {};
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
      el("button", { type: "button", text: "One more edge", "data-key": `seam-edge+${i}`, disabled: !pieces.length, onclick: () => c.edit("Add an edge", [add(place, ["edges"], oneMoreSide(c, seam) || { piece: pieces[0].name, edge: pieces[0].edges[0] })]) }),
      el("button", { type: "button", class: "quiet", text: "Take out", "aria-label": `Take out the seam ${seam.name}`, "data-key": `seam-out-${i}`, onclick: () => c.edit("Take out the seam", [{ op: "take", path: ["seam", i] }]) })));
}

/** One side of a seam: its piece, its edges in their order, how far inside they are sewn, and the holes. */
function sideElement(c, place, side, j, pieces, length) {
  const words = `Edge ${j + 1} of seam ${place.data.name}`;
  const names = [...new Set([...pieces.map((piece) => piece.name), side.piece])];
  const ofRows = rowSides(c);
  const key = (each) => `${each.piece}\n${each.holes}`;
  const row = ofRows.find((each) => sameRow(each.side, side));
  const options = names.flatMap((name) => [[name, name], ...ofRows.filter((each) => each.side.piece === name).map((each) => [key(each.side), `${name}: the row ${each.side.holes} (${each.number})`])]);
  const box = select(options, row ? key(row.side) : side.piece, { "aria-label": words, "data-key": `seam-${place.base[1]}-${j}` });
  const { edges, lines } = pieces.find((piece) => piece.name === side.piece) || { edges: [], lines: [] };
  box.addEventListener("change", () => {
    const along = ofRows.find((each) => key(each.side) === box.value);
    if (along) return place.edit("Choose the seam's row", [put(place, ["edges", j], along.side)]);
    const own = pieces.find((piece) => piece.name === box.value).edges;
    const kept = side.edge && [side.edge].flat().every((name) => own.includes(name)) ? side.edge : own[0];
    const { holes: _, line: __, ...rest } = side;
    return place.edit("Choose the seam's piece", [put(place, ["edges", j], { ...rest, piece: box.value, edge: kept })]);
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
