// What a piece can have beside its outline: holes, rows, slots, notches, lines, allowances. Each kind says its fields
// and how a new one looks.

import { el } from "../drawing/element.js";
import { at, millimetres, pathWords, shown, typedLength, written } from "../pure/sizes.js";
import { edgeAcross, edgeRun } from "../pure/edges.js";
import { freeSpot } from "../pure/geometry.js";
import { add, choiceField, flagField, put, sizeField, take, toggles } from "./controls.js";
import { typedPlaces } from "../pure/typed_lines.js";
import { say } from "../shell/notice.js";
import { pointRows } from "./points_form.js";

const GROUP = [[["group"], "group"], [["purpose"], "else for"]];
const LINE_KINDS = [["stitch", "stitch"], ["crease", "crease"], ["fold", "fold"], ["skive", "skive"], ["mark", "mark"]];
const CORNERS = [["shared", "a hole in each"], ["spaced", "none in them"], ["round", "run round"]];
const POINT = [[["at", 0], "x"], [["at", 1], "y"]];
const COURSES = [["edge", "an edge"], ["line", "points of its own"]];

/** The kinds, by the field of the piece that lists them. `make(c)` gives a new one: c = {middle, centre, size, box, edge, chosen,
 * line, named, rounded, mm}; what `like` names it has from the last of its kind in the product, and `typed` ones are put in by
 * their places too. */
export const FEATURES = {
  holes: {
    like: ["diameter"], typed: ["diameter", "group", "purpose", "one_side"],
    one: "hole", many: "Holes", folds: true, lengths: [...POINT, [["diameter"], "diameter"]], texts: GROUP,
    make: (c) => ({ at: c.middle, diameter: c.mm(4) }),
  },
  rows: {
    like: ["inset", "pitch", "number", "diameter", "corners", "even"],
    one: "row of holes", many: "Rows of holes", folds: true, edge: true, points: "line", course: rowCourse,
    texts: GROUP.slice(0, 1), lengths: [[["inset"], "inset"], [["pitch"], "pitch"], [["number"], "number"], [["ends"], "from the ends"], [["diameter"], "diameter"]],
    after: GROUP.slice(1), choices: [[["corners"], "corners", CORNERS]], flags: [[["even"], "holes at both ends"]],
    // along the line that is chosen, by its name; else along edges, and round the corners between them where those are rounded
    make: (c) => ({ ...(c.named ? { line: c.named } : { edge: c.edge, inset: c.mm(4) }), pitch: c.mm(5), diameter: c.mm(1),
      ...(!c.named && Array.isArray(c.edge) && c.rounded ? { corners: "round" } : {}), ...(c.named ? { group: c.named } : {}) }),
  },
  slots: {
    like: ["length", "width", "angle", "ends"], typed: ["length", "width", "angle", "ends", "one_side"],
    one: "slot", many: "Slots", folds: true, lengths: [...POINT, [["length"], "length"], [["width"], "width"], [["angle"], "angle, °"]],
    choices: [[["ends"], "ends", [["round", "round"], ["square", "square"]]]],
    make: (c) => ({ at: c.middle, length: c.mm(Math.min(30, c.size[1] / 3)), width: c.mm(Math.min(5, c.size[0] / 4)) }),
  },
  buckle_slots: {
    one: "buckle slot", many: "Buckle slots", folds: true, lengths: [[["at"], "at"], [["length"], "length"], [["width"], "width"]],
    make: (c) => ({ at: c.mm(Math.min(60, c.size[1] / 3)), length: c.mm(Math.min(25, c.size[1] / 4)), width: c.mm(Math.min(5, c.size[0] / 4)) }),
  },
  notches: {
    like: ["depth", "width"],
    one: "notch", many: "Notches", folds: true, edge: "single", lengths: [[["at"], "at"], [["depth"], "depth"], [["width"], "width"]],
    make: (c) => ({ edge: c.edge, depth: c.mm(3) }),
  },
  lines: {
    like: ["inset", "width", "left"],
    one: "line", many: "Lines that are not cut", folds: true, edge: true, points: "points", course: lineCourse, choices: [[["kind"], "kind", LINE_KINDS, false]],
    lengths: [[["inset"], "inset"], [["width"], "skived width"], [["left"], "thickness left"]], texts: [[["name"], "words at it"]],
    // along the edges that are chosen, as creases and skived strips always are; where none is, across the middle, as a fold is drawn,
    // which goes along one edge at most
    make: (c) => {
      const kind = c.line || "fold";
      if ((!c.chosen || (kind === "fold" && Array.isArray(c.edge))) && !["crease", "skive"].includes(kind)) return { kind, points: [[c.mm(c.box[0]), c.middle[1]], [c.mm(c.box[1]), c.middle[1]]] };
      return { kind, edge: c.edge, ...{ crease: { inset: c.mm(3) }, skive: { width: c.mm(12) }, fold: {} }[kind] ?? { inset: c.mm(4) } };
    },
  },
  allowances: {
    like: ["kind", "width", "left"],
    one: "allowance", many: "Allowances", edge: true, choices: [[["kind"], "for", [["turned", "turning in"], ["lap", "a skived lap"], ["seam", "a seam"]], false]],
    lengths: [[["width"], "width"], [["left"], "thickness left"]],
    make: (c) => ({ edge: c.edge, kind: "turned", width: c.mm(12) }),
  },
  covered: {
    like: ["grade"], one: "covered part", many: "Covered parts", folds: true, points: "outline", choices: [[["grade"], "may lie on", [["B", "B"], ["C", "C"], ["D", "D"]], false]],
    make: (c) => {
      const [w, h] = [c.size[0] / 4, c.size[1] / 8];
      const [x0, x1, y0, y1] = [c.centre[0] - w, c.centre[0] + w, c.centre[1] - h, c.centre[1] + h].map(c.mm);
      return { outline: [[x0, y0], [x1, y0], [x1, y1], [x0, y1]], grade: "D" };
    },
  },
};

/** The edits that give a piece one more of a kind. `run` are the edges that are chosen, in turn; `line` which kind of line, and
 * `named` the line of the piece that is chosen.
 */
export function newFeature(place, kind, { made, run = [], edges, units, tables = [], line = null, named = null, at: spot = null }) {
  const mm = (value) => written(value, units, 0);
  const xs = made.outline.map((point) => point[0]), ys = made.outline.map((point) => point[1]);
  const amid = [(Math.min(...xs) + Math.max(...xs)) / 2, (Math.min(...ys) + Math.max(...ys)) / 2];
  const reach = { holes: 5, slots: 20 }[kind];
  const middle = spot || (reach ? freeSpot(made, amid, reach) : amid);
  const c = { middle: middle.map(mm), centre: middle, size: made.size, box: [Math.min(...xs), Math.max(...xs)], edge: chosenEdges(place, kind, run, edges, tables), chosen: run.length > 0, line, named, rounded: roundedCorners(place.data.shape), mm };
  if (kind === "belt_holes") return [put(place, ["belt_holes"], { middle: mm(made.size[1] * 0.8), number: 5, pitch: mm(25.4), diameter: mm(5), group: "belt" })];
  const fresh = FEATURES[kind].make(c);
  return [add(place, [kind], likened(fresh, FEATURES[kind], lastOf(kind, fresh, tables, place.data)))];
}

/** Along which edges a new one goes: those that are chosen; for a row else those that the last row along several goes along. */
function chosenEdges(place, kind, run, edges, tables) {
  if (run.length) return run.length > 1 && FEATURES[kind]?.edge === true ? run : run[0];
  const several = kind === "rows" ? tables.flatMap((table) => table.rows || []).filter((row) => Array.isArray(row.edge)).pop()?.edge : null;
  return several?.every((name) => edges.includes(name)) ? several : freeEdge(place, kind, sidesFirst(place, kind, edges));
}

/** A strap is sewn and notched along its sides: those that have none yet stand before its ends. */
function sidesFirst(place, kind, edges) {
  if (!place.data.shape?.strap || !["rows", "notches"].includes(kind)) return edges;
  const taken = (place.data[kind] || []).flatMap((each) => each.edge || []);
  return [...["left", "right"].filter((name) => edges.includes(name) && !taken.includes(name)), ...edges];
}

/** Whether an outline has a corner that is rounded. */
export function roundedCorners(shape = {}) {
  const marks = [shape.corner, ...(shape.corners || []), ...(shape.polygon || []).map((item) => item?.round)];
  return marks.some((mark) => mark !== undefined && mark !== 0 && (typeof mark !== "object" || mark.round !== undefined));
}

/** The first edge, or the next after one; of those that have no allowance yet where it is one that is asked for. */
function freeEdge(place, kind, edges, after = null) {
  const taken = kind === "allowances" ? (place.data.allowances || []).flatMap((each) => each.edge) : [];
  const start = edges.indexOf(after) + 1;
  return [...edges.slice(start), ...edges.slice(0, start)].find((name) => !taken.includes(name)) || edges[0] || "all";
}

/** One more like an item of a kind, along the edge across from its own, or the next, where it has one. */
function oneMore(place, kind, item, contour) {
  const [edge, ...others] = [item.edge ?? []].flat();
  if (edge === undefined || others.length || edge === "all") return add(place, [kind], item);
  const taken = (place.data[kind] || []).flatMap((each) => each.edge || []);
  const across = edgeAcross(contour, edge, taken);
  return add(place, [kind], { ...item, edge: across || freeEdge(place, kind, namesOf(contour), edge) });
}

/** The names of edges in turn, none twice. */
export const namesOf = (contour) => [...new Set(contour.map((edge) => edge.name).filter(Boolean))];

/** The last of a kind that a new one can be like: of lines one of the same kind, of rows and lines one along an edge, since it
 * has an inset; what is left of the thickness only from a piece of the same leather.
 */
function lastOf(kind, fresh, tables, own) {
  const all = [...tables, own].flatMap((table) => (table[kind] || []).map((item) => (table.leather === own.leather ? item : (({ left: _, ...rest }) => rest)(item))));
  const alike = (item) => (kind === "rows" ? item.edge !== undefined : kind !== "lines" || (item.edge !== undefined && item.kind === fresh.kind));
  return all.filter(alike).pop();
}

function likened(item, { like = [] }, last) {
  if (!last || item.points) return item;
  const { pitch, width, ...rest } = item;
  const spaced = pitch !== undefined && !("number" in last) ? { pitch } : {};  // so many, or at a pitch
  const wide = width !== undefined && ("width" in last || item.kind === "skive") ? { width } : {};
  const fits = (name) => name in last && (name !== "corners" || Array.isArray(item.edge)) && (name !== "inset" || item.line === undefined);
  return { ...rest, ...spaced, ...wide, ...Object.fromEntries(like.filter(fits).map((name) => [name, last[name]])) };
}

/** Holes and slots put in by their places, one or several, each as the one before in all else. */
function placesField(place, kind, { one, many, typed }) {
  const before = (place.data[kind] || []).slice(-1)[0];
  const field = el("input", { "data-key": `${kind}-next`, autocomplete: "off", spellcheck: "false", placeholder: kind === "holes" ? "26, 38; 70, 38, its group" : "26, 38", onchange: () => {
    const text = field.value.trim();
    const places = text ? typedPlaces(text, place.units, before.at) : null;
    if (!text) return;
    if (!places || (kind !== "holes" && places.some((each) => each.group))) return say("Type each place as two lengths with a comma between, and a semicolon between places: 26, 38; 70, 38; what is left out is as before: 70 or , 38.", true);
    field.value = "";
    const like = Object.fromEntries(typed.filter((name) => name in before).map((name) => [name, before[name]]));
    place.edit(`Add ${places.length > 1 ? many.toLowerCase() : `a ${one}`}`, places.map((each, i) => add(place, [kind], { ...like, ...lastGroup(places, i), ...each })));
  } });
  return el("label", { class: "field" }, el("span", { text: `next ${one}, as the last: x, y` }), field);
}

/** The holes of the last one's group once more in mirrored places, under a name of their own: to the other end of the piece, or to
 * its other side.
 */
function mirroredFields(place, kind, c) {
  const all = place.data[kind] || [];
  const last = all.at(-1);
  const field = (axis, words) => {
    const input = el("input", { "data-key": `${kind}-mirrored=${"xy"[axis]}`, autocomplete: "off", spellcheck: "false", placeholder: last.group || "its group", onchange: () => {
      const group = input.value.trim();
      if (!group) return;
      const own = all.filter((each) => each.group === last.group);
      input.value = "";
      place.edit(`Add ${own.length > 1 ? "mirrored holes" : "a mirrored hole"}`, own.map((each) => add(place, [kind], { ...each, at: each.at.map((value, i) => (i === axis ? acrossFrom(place, c, axis, value) : value)), group })));
    } });
    return el("label", { class: "field" }, el("span", { text: words }), input);
  };
  return el("div", { class: "pair" }, field(1, "mirrored to the other end, as group"), field(0, "or to the other side, as group"));
}

/** A coordinate as far from the other end of the piece as it is from this one. */
function acrossFrom(place, c, axis, value) {
  const { rectangle, strap } = place.data.shape || {};
  const far = (rectangle || strap)?.[axis];
  const values = c.contour.flatMap((edge) => edge.points.map((point) => point[axis]));
  const both = Math.min(...values) + Math.max(...values);
  const mm = millimetres(value, place.units);
  if (mm !== null && (far === undefined || millimetres(far, place.units) !== null)) return written(both - mm, place.units, value);
  const whole = far ?? written(both, place.units, 0);
  return `${bracketed(whole)} - ${bracketed(value)}`;
}

const bracketed = (value) => (/[+-]/.test(String(value)) ? `(${value})` : value);

/** A group that is told holds for the places after it. */
function lastGroup(places, i) {
  const told = places.slice(0, i).filter((each) => each.group).pop();
  return told ? { group: told.group } : {};
}

/** A row along an edge, or through points of its own: what else it says stays. */
function rowCourse({ edge, inset, line, ...rest }, how, ends, edges) {
  const { corners: _, ...bare } = rest;
  if (how === "named") return { line: ends.named[0], group: ends.named[0], ...bare };
  return how === "line" ? { line: ends, ...rest } : { edge: edges[0] || "all", inset: ends.inset, ...rest };
}

function lineCourse({ edge, inset, points, width, left, ...rest }, how, ends, edges) {
  return how === "line" ? { points: ends, ...rest } : { edge: edges[0] || "all", inset: ends.inset, ...rest };
}

/** Whether a row or a line follows an edge, or points of its own. */
function courseElements(place, kind, feature, i, edges, c) {
  if (!feature.course) return [];
  const item = place.data[kind][i];
  const now = typeof item.line === "string" ? "named" : feature.points in item ? "line" : "edge";
  const named = kind === "rows" ? (place.data.lines || []).map((line) => line.name).filter(Boolean) : [];
  const [made] = c.made;
  const ys = made ? made.outline.map((point) => point[1]) : [0, 0], xs = made ? made.outline.map((point) => point[0]) : [0, 60];
  const y = (Math.min(...ys) + Math.max(...ys)) / 2;
  const off = kind === "rows" ? (Math.max(...xs) - Math.min(...xs)) / 8 : 0;  // holes lie inside the piece
  const ends = Object.assign([[c.mm(Math.min(...xs) + off), c.mm(y)], [c.mm(Math.max(...xs) - off), c.mm(y)]], { inset: c.mm(4), named });
  const courses = named.length || now === "named" ? [...COURSES, ["named", "a line of the piece"]] : COURSES;
  const which = now === "named" ? choiceField(place, "which line", [kind, i, "line"], [...new Set([...named, item.line])].map((name) => [name, name]), { clears: false }) : null;
  return [toggles(place, "It follows", [kind, i, "course"], courses, now, (how) => [put(place, [kind, i], feature.course(item, how, ends, edges))]), which].filter(Boolean);
}

/** A group that is called otherwise is so in the joints and seams too, where no other holes of the piece have its name. */
function groupPlace(place, { joint = [], seam = [] }, item) {
  const alone = Object.keys(FEATURES).flatMap((kind) => place.data[kind] || []).filter((each) => each.group === item.group).length === 1 && place.data.belt_holes?.group !== item.group;
  const own = (name) => [place.data.name, `${place.data.name} left`, `${place.data.name} right`].includes(name);
  const named = ([table, rows, list]) => rows.flatMap((row, i) => (row[list] || []).flatMap((part, j) => (own(part.piece) ? ["holes", "ends"].flatMap((field) => spots(part[field], item.group).map((more) => [table, i, list, j, field, ...more])) : [])));
  const follow = (value) => (!alone || !item.group || value === undefined ? [] : [["joint", joint, "layers"], ["seam", seam, "edges"]].flatMap(named).map((path) => ({ op: "put", path, value })));
  return { ...place, edit: (words, edits) => place.edit(words, [...edits, ...follow(edits[0].value)]) };
}

/** Where in a field, which holds one name or a list of them, a name stands. */
function spots(held, name) {
  if (held === name) return [[]];
  return Array.isArray(held) ? held.flatMap((each, i) => (each === name ? [[i]] : [])) : [];
}

/** The lists of all features of a piece. `c` = {contour, made, units, across, tables, joined}; `chosen` is the path of the one that is
 * chosen on the drawing.
 */
export function featureElements(place, { contour, made, units, across, tables, joined }, chosen) {
  const edges = namesOf(contour);
  const c = { made, contour, across, tables, joined, mm: (value) => written(value, units, 0) };
  const lists = Object.entries(FEATURES).filter(([kind]) => (place.data[kind] || []).length).map(([kind, feature]) =>
    el("section", { "aria-label": feature.many, "data-field": kind }, el("h3", { text: feature.many }),
      ...place.data[kind].map((item, i) => itemElement(place, kind, feature, i, edges, chosen, c)),
      feature.typed ? placesField(place, kind, feature) : null,
      kind === "holes" ? mirroredFields(place, kind, c) : null));
  return [...lists, ...beltElements(place)];
}

function itemElement(place, kind, feature, i, edges, chosen, c) {
  const path = (rest) => [kind, i, ...rest];
  const item = place.data[kind][i];
  const alone = { lines: ["inset", "width", "left"], rows: ["inset"] }[kind] || [];  // what only an edge asks for
  const given = ([rest]) => item.edge || !alone.includes(rest[0]);
  const lit = chosen && chosen[0] === kind && chosen[1] === i;
  const words = `${feature.one} ${i + 1}`;
  const textFields = (fields = []) => fields.map(([rest, name]) => sizeField(rest[0] === "group" ? groupPlace(place, c.joined, item) : place, name, path(rest), { typed: false }));
  return el("fieldset", { class: lit ? "feature chosen" : "feature", "data-field": pathWords([kind, i]), "data-feature": `${kind}-${i}` },
    el("legend", { text: words + (item.group ? ` · ${item.group}` : "") }),
    ...courseElements(place, kind, feature, i, edges, c),
    feature.edge && item.edge !== undefined ? edgeField(kind === "rows" ? rowPlace(place, i, c) : place, path(["edge"]), edges, feature.edge === "single") : null,
    kind === "lines" && Array.isArray(item.points) ? acrossFields(place, i, item.points, c) : null,
    ...(Array.isArray(item[feature.points]) ? pointRows(place, path([feature.points]), { least: kind === "covered" ? 3 : 2, rounds: kind !== "covered" }) : []),
    el("div", { class: "three" }, ...(kind === "rows" ? textFields(feature.texts) : []), ...(feature.lengths || []).filter(given).map(([rest, name]) => sizeField(place, name, path(rest))),
      ...textFields(kind === "rows" ? feature.after : feature.texts),
      ...(feature.choices || []).map(([rest, name, options, clears = true]) => choiceField(kind === "lines" ? kindPlace(place, i, c) : place, name, path(rest), options, { clears }))),
    el("div", { class: "row spread" },
      el("div", {}, ...(feature.flags || []).map(([rest, name]) => flagField(place, name, path(rest))),
        feature.folds && place.data.fold && place.data.fold !== "none" ? flagField(place, "on one side only", path(["one_side"])) : null),
      feature.edge || feature.points ? el("button", { type: "button", class: "quiet", text: "One more like it", "aria-label": `One more like ${words}`, "data-key": pathWords([...place.base, kind, i, "like"]), onclick: () => place.edit(`Add a ${feature.one}`, [oneMore(place, kind, item, c.contour)]) }) : null,
      el("button", { type: "button", class: "quiet", text: "Take out", "aria-label": `Take out ${words}`, "data-key": pathWords([...place.base, kind, i, "out"]), onclick: () => place.edit(`Take out the ${feature.one}`, [take(place, [kind, i])]) })));
}

/** A line that becomes one of another kind loses what goes with skiving alone, or gets the width that skiving asks for. */
function kindPlace(place, i, c) {
  const line = place.data.lines[i];
  const follow = (value) => {
    if (value !== "skive") return ["width", "left"].filter((name) => name in line).map((name) => take(place, ["lines", i, name]));
    if (line.edge === undefined) return [];
    return [...("inset" in line ? [take(place, ["lines", i, "inset"])] : []), ...("width" in line ? [] : [put(place, ["lines", i, "width"], c.mm(12))])];
  };
  return { ...place, edit: (words, edits) => place.edit(words, [...follow(edits[0].value), ...edits]) };
}

/** A row that comes to go along several edges has their corners as the last such row has, or goes round them. */
function rowPlace(place, i, c) {
  const corners = () => {
    if (place.data.rows[i].corners !== undefined) return [];
    const last = [...(c.tables || []), place.data].flatMap((table) => table.rows || []).filter((row) => row.corners !== undefined).pop()?.corners;
    const how = last ?? (roundedCorners(place.data.shape) ? "round" : null);
    return how ? [put(place, ["rows", i, "corners"], how)] : [];
  };
  return { ...place, edit: (words, edits) => place.edit(words, [...edits, ...(Array.isArray(edits[0].value) ? corners() : [])]) };
}

/** A line right across the piece, or from one of its ends to the other: told by where it crosses, its ends found on the outline. */
function acrossFields(place, i, points, c) {
  const plain = points.length === 2 && points.every(Array.isArray);
  const told = (axis) => (plain && String(points[0][axis]) === String(points[1][axis]) ? shown(points[0][axis]) : "");
  const field = (axis, words) => {
    const input = el("input", { value: told(axis), "data-key": `${pathWords([...place.base, "lines", i, "across"])}=${"xy"[axis]}`, autocomplete: "off", spellcheck: "false", onchange: () => {
      const text = input.value.trim();
      if (text && text !== told(axis)) c.across(["lines", i, "points"], axis, typedLength(text, place.units));
    } });
    return el("label", { class: "field" }, el("span", { text: words }), input);
  };
  return el("div", { class: "pair" }, field(1, "right across, at y"), field(0, "or end to end, at x"));
}

/** Which edges: one, or several in the order they are pressed. */
export function edgeField(place, path, edges, single) {
  const value = at(place.data, path);
  const named = value === undefined ? [] : Array.isArray(value) ? value : [value];
  const press = (name) => {
    if (single || name === "all" || named.includes("all")) return name;
    const left = named.includes(name) ? named.filter((each) => each !== name) : inTurn([...named, name], edges);
    return left.length > 1 ? left : left[0] || name;
  };
  const options = single ? edges : [...edges, "all"];
  const known = [...options, ...named.filter((name) => !options.includes(name))];
  return el("div", { class: "row edges", role: "group", "aria-label": "Along which edges", "data-field": pathWords(path) }, ...known.map((name) => el("button", {
    type: "button", text: name, "aria-pressed": String(named.includes(name)), "data-key": `${pathWords([...place.base, ...path])}=${name}`,
    onclick: (event) => place.edit("Choose the edges", [put(place, path, event.shiftKey && !single ? edgeRun(edges, named[0], name) : press(name))]),
  })));
}

/** Edges that are pressed in any order, as they follow one another round the piece; as they are where that fits already. */
function inTurn(names, edges) {
  const places = names.map((name) => edges.indexOf(name));
  const steps = (way) => places.every((place, i) => i === 0 || place === (places[i - 1] + way + edges.length) % edges.length);
  if (places.includes(-1) || names.length === edges.length || steps(1) || steps(-1)) return names;
  const first = places.find((place) => !places.includes((place - 1 + edges.length) % edges.length));
  const chain = names.map((_, i) => edges[(first + i) % edges.length]);
  return chain.every((name) => names.includes(name)) ? chain : names;
}

function beltElements(place) {
  if (!place.data.belt_holes) return [];
  const fields = [["middle", "middle hole at"], ["number", "number"], ["pitch", "pitch"], ["diameter", "diameter"]];
  return [el("section", { "aria-label": "Belt holes", "data-field": "belt_holes" }, el("h3", { text: "Belt holes" }),
    el("fieldset", { class: "feature" }, el("legend", { text: "on the middle line" }),
      el("div", { class: "three" }, ...fields.map(([name, words]) => sizeField(place, words, ["belt_holes", name])),
        ...GROUP.map(([[name], words]) => sizeField(place, words, ["belt_holes", name], { typed: false }))),
      el("div", { class: "row end" }, el("button", { type: "button", class: "quiet", text: "Take out", "aria-label": "Take out the belt holes", "data-key": "belt-out", onclick: () => place.edit("Take out the belt holes", [take(place, ["belt_holes"])]) }))))];
}
