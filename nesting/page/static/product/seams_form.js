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
    const edges = likelySides(c, rows) || bareSides(c, pieces, rows) || [{ piece: one.name, edge: one.edges[0] }, { piece: other.name, edge: other === one ? one.edges[1] || one.edges[0] : other.edges[0] }];
    c.edit("Add a seam", [{ op: "add", path: ["seam"], value: { name: seamName(edges, rows), edges, ...sewnLike(c, rows, edges) } }]);
  };
  return [...rows.map((seam, i) => seamElement(c, seam, i, pieces)), el("button", { type: "button", id: "seam-more", text: "One more seam", disabled: !pieces.length, onclick: begin })];
}

/** What a seam is called by its first two pieces. */
export const seamName = (edges, rows) => unused(`${edges[0].piece} and ${edges[1].piece}`, rows.map((row) => row.name));

/** The rows of holes that a seam can follow, each as the side that it makes: its piece, where it runs, its holes. */
export function rowSides(c) {
  return c.told.pieces.flatMap((piece) => piece.made.flatMap((made) => (piece.table.rows || []).filter((row) => row.group && (row.edge || typeof row.line === "string")).map((row) => ({
    row, pitch: row.pitch, number: c.groups.find((each) => each.piece === made.name && each.group === row.group)?.number || 0,
    side: { piece: made.name, ...(row.line ? { line: row.line } : rowEdges(row)), holes: row.group },
  }))));
}

const rowEdges = ({ edge, inset }) => ({ edge, ...(inset === undefined ? {} : { inset }) });

/** Where no rows are left: a row whose holes have no name, and a piece that has edges of the same names. */
function bareSides(c, pieces, rows) {
  const sewn = (name) => rows.some((row) => (row.edges || []).some((side) => side.piece === name));
  for (const piece of c.told.pieces.filter((each) => each.made.length && !sewn(each.made[0].name))) {
    const row = (piece.table.rows || []).find((each) => each.edge && !each.group);
    const other = row && pieces.find((each) => each.name !== piece.made[0].name && !sewn(each.name) && [row.edge].flat().every((name) => each.edges.includes(name)));
    if (other) return [piece.made[0].name, other.name].map((name) => ({ piece: name, ...rowEdges(row) }));
  }
  return null;
}

/** A row that no seam has yet and that has as many holes as those the seam has. */
function oneMoreSide(c, seam) {
  const rows = rowSides(c);
  const number = rows.find(({ side }) => sameRow(side, seam.edges[0]))?.number;
  const sewn = (c.told.tables.seam || []).flatMap((row) => row.edges || []);
  return rows.find((each) => each.number === number && !sewn.some((other) => sameRow(other, each.side)))?.side;
}

const sameRow = (one, other) => one.piece === other.piece && one.holes === other.holes;

/** Whether a seam has a row already. */
export const sewnAlready = (told, side) => (told.tables.seam || []).some((seam) => (seam.edges || []).some((each) => sameRow(each, side)));

/** Two rows that no seam has yet: those that are called by one another's pieces, else those that have as many holes. */
function likelySides(c, rows) {
  const sewn = rows.flatMap((row) => row.edges || []);
  const free = rowSides(c).filter(({ side }) => !sewn.some((each) => sameRow(each, side)));
  const pairs = free.flatMap((one, i) => free.slice(i + 1).map((other) => [one, other]));
  const named = Math.max(0, ...pairs.map(([one, other]) => calledBy(one.side, other.side)));
  const best = (named && pairs.find(([one, other]) => calledBy(one.side, other.side) === named))
    || pairs.find(([one, other]) => other.number === one.number && other.side.piece !== one.side.piece) || pairs.find(([one, other]) => other.number === one.number);
  return best ? best.map(({ side }) => side) : null;
}

/** By how many of two rows the other's piece is named: the row “front” of the gusset and a row of the front. */
function calledBy(one, other) {
  const names = (row, piece) => row === piece || piece.split(" ").includes(row);
  return one.piece === other.piece ? 0 : Number(names(one.holes, other.piece)) + Number(names(other.holes, one.piece));
}

/** A row of another piece that is called by a side's piece, or the other way round, better than the row it has now. */
function follower(c, seam, j, side) {
  if (seam.edges.length !== 2) return null;
  const now = seam.edges[1 - j];
  const own = calledBy(side, { holes: "", ...now });
  const free = rowSides(c).filter((each) => !sewnAlready(c.told, each.side) && calledBy(side, each.side) > own);
  return free.sort((a, b) => calledBy(side, b.side) - calledBy(side, a.side))[0]?.side || null;
}

/** What a new seam is sewn with: as the last one, or with the thread there is at the pitch of its holes. */
export function sewnLike(c, rows, edges) {
  if (rows.length) return Object.fromEntries(["fastener", "pitch"].filter((name) => name in rows[rows.length - 1]).map((name) => [name, rows[rows.length - 1][name]]));
  const thread = (c.told.tables.fastener || []).find((each) => each.kind === "thread");
  const bare = c.told.pieces.find((piece) => piece.made[0]?.name === edges[0].piece)?.table.rows?.find((row) => !row.group && !edges[0].holes);
  const pitch = rowSides(c).find(({ side }) => sameRow(side, edges[0]))?.pitch ?? bare?.pitch;
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
    const other = along ? follower(c, place.data, j, along.side) : null;
    if (along) return place.edit("Choose the seam's row", chosen(c, place, j, along.side, other));
    const own = pieces.find((piece) => piece.name === box.value).edges;
    const like = [side, ...place.data.edges].find((each) => each.edge && [each.edge].flat().every((name) => own.includes(name)));
    const { holes: _, line: __, ...rest } = side;
    const inset = like?.inset === undefined ? {} : { inset: like.inset };
    return place.edit("Choose the seam's piece", chosen(c, place, j, { ...rest, ...inset, piece: box.value, edge: like?.edge ?? own[0] }));
  });
  const groups = c.groups.filter((each) => each.piece === side.piece).map((each) => each.group);
  const holes = [["", "not checked"], ...[...new Set([...groups, ...(side.holes ? [side.holes].flat() : [])])].map((name) => [name, name])];
  const out = place.data.edges.length > 2 ? el("button", { type: "button", class: "quiet", text: "×", "aria-label": `Take out edge ${j + 1} of seam ${place.data.name}`, "data-key": `seam-${place.base[1]}-${j}-out`, onclick: () => place.edit("Take out an edge", [take(place, ["edges", j])]) }) : null;
  return el("div", { class: "feature-row", role: "group", "aria-label": words, "data-side": j },
    el("div", { class: "layer" }, el("label", { class: "field" }, el("span", { text: length ? `edge ${j + 1}: ${measure(length.length, c.units)}` : `edge ${j + 1}` }), box),
      side.line ? el("span", {}) : sizeField(place, "inset", ["edges", j, "inset"], { hint: "0" }), out),
    edgeField(side.line ? alongEdge(place, side, j) : place, ["edges", j, "edge"], edges, false),
    lineButtons(place, side, j, lines),
    lengthButton(c, place, side, j),
    Array.isArray(side.holes) ? null : choiceField(place, "holes", ["edges", j, "holes"], holes));
}

/** A side of a seam chosen otherwise, and the other with it where that is told; a name that only tells the pieces follows. */
function chosen(c, place, j, side, other = null) {
  const seam = place.data;
  const edges = seam.edges.map((each, k) => (k === j ? side : other && k === 1 - j ? other : each));
  const others = (c.told.tables.seam || []).filter((row) => row.name !== seam.name);
  const named = seam.edges.length > 1 && seam.name === seamName(seam.edges, others) && !JSON.stringify(c.told.pieces.map((piece) => piece.table)).includes(`as seam ${seam.name}`);
  return [put(place, ["edges", j], side), ...(other ? [put(place, ["edges", 1 - j], other)] : []), ...(named ? [put(place, ["name"], seamName(edges, others))] : [])];
}

/** A strap that is sewn along its side can have its length from the other side of the seam. */
function lengthButton(c, place, side, j) {
  const index = c.told.pieces.findIndex((piece) => piece.made.some((made) => made.name === side.piece));
  const { strap: [, length] = [], ends = "square" } = c.told.pieces[index]?.table.shape || {};
  const free = length !== undefined && [ends].flat().every((end) => end === "square") && !String(length).includes("as seam") && [side.edge].flat().every((name) => ["left", "right"].includes(name));
  return free ? el("button", { type: "button", text: `“${side.piece}” as long as this seam`, "data-key": `seam-long-${place.base[1]}-${j}`, onclick: () => place.edit("Take its length from the seam", [{ op: "put", path: ["piece", index, "shape", "strap", 1], value: `as seam ${place.data.name}` }]) }) : null;
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
