// A row of holes on one piece for a row on another: it has its holes at the same pitch, and a seam joins the two.

import { put, unused } from "./controls.js";
import { namesOf, newFeature } from "./features.js";
import { rowSides, seamName, sewnAlready, sewnLike } from "./seams_form.js";

const ALIKE = ["pitch", "number", "diameter"];
const SAME = 1;

/** The rows of other pieces that no seam has yet, each with the key it is chosen by. */
export function openRows({ told, groups, piece }) {
  const rows = rowSides({ told, groups }).filter(({ side }) => !piece.made.some((made) => made.name === side.piece) && !sewnAlready(told, side));
  return rows.map((each) => ({ ...each, key: `${each.side.piece}\n${each.side.holes}` }));
}

/** The edits that sew the piece on the bench to a row, along the edges that are chosen, and the words that say so; null where
 * the row is gone. A strap that is not as long as the seam has its length from it.
 */
export function sewnTo(bench, key) {
  const { told, groups, piece, run, units } = bench;
  const row = openRows(bench).find((each) => each.key === key);
  const [made] = piece.made;
  if (!row || !made) return null;
  const own = groups.filter((each) => each.piece === made.name).map((each) => each.group);
  const group = unused(row.side.piece, own);
  const place = { data: piece.table, base: ["piece", piece.index] };
  const [fresh] = newFeature(place, "rows", { made, run, edges: namesOf(piece.edges), units, tables: told.pieces.map((each) => each.table) });
  const { pitch: _, number: __, ...kept } = fresh.value;
  const value = { ...kept, ...Object.fromEntries(ALIKE.filter((name) => name in row.row).map((name) => [name, row.row[name]])), ...(row.side.inset === undefined ? {} : { inset: row.side.inset }), group };
  const { edge, inset } = value;
  const seams = told.tables.seam || [];
  const edges = [row.side, { piece: made.name, edge, ...(inset === undefined ? {} : { inset }), holes: group }];
  const name = seamName(edges, seams);
  const seam = { op: "add", path: ["seam"], value: { name, edges, ...sewnLike({ told, groups }, seams, edges) } };
  const long = lengthFrom(bench, row, [edge].flat()) ? [put(place, ["shape", "strap", 1], `as seam ${name}`)] : [];
  return { edits: [{ ...fresh, value }, seam, ...long], words: `Sewn to ${row.side.piece}: a row “${group}” along ${[edge].flat().join(", ")}, and the seam “${name}”${long.length ? ", which its length now follows from" : ""}.` };
}

/** Whether a strap is to have its length from a seam along its side. */
function lengthFrom({ told, piece }, row, names) {
  const { strap: [, length] = [], ends = "square" } = piece.table.shape || {};
  if (length === undefined || [ends].flat().some((end) => end !== "square") || String(length).includes("as seam") || !row.side.edge || !names.every((name) => ["left", "right"].includes(name))) return false;
  const other = told.pieces.find((each) => each.made.some((made) => made.name === row.side.piece));
  return Math.abs(along(other.edges, [row.side.edge].flat()) - along(piece.edges, names)) > SAME;
}

const along = (contour, names) => contour.filter((edge) => names.includes(edge.name)).reduce((sum, edge) => sum + edge.length, 0);
