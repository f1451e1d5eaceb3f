// The layers of a joint: which piece, which of its holes, how many side by side; or a washer with its own thickness.

import { el, select } from "../drawing/element.js";
import { add, flagField, put, sizeField, take, unused } from "./controls.js";

/** What a layer can be: a group of a piece's holes, or a piece without holes, which is sewn. */
export function layerOptions(c) {
  const bare = c.told.pieces.flatMap((piece) => piece.made.map((made) => ({ piece: made.name, group: "", number: 0 })));
  return [...c.groups, ...bare];
}

export const layerOf = ({ piece, group }) => (group ? { piece, holes: group } : { piece });

/** A joint is called by the first of its holes. */
export function jointName(layers, joints) {
  const held = layers.flatMap((layer) => layer.holes || layer.ends || []);
  return unused(held[0] || "joint", joints.map((joint) => joint.name));
}

const joined = (joints) => joints.flatMap((joint) => joint.layers || []).flatMap((layer) => [layer.holes || layer.ends || []].flat().map((group) => `${layer.piece}\n${group}`));

/** The group of a layer's piece that comes after its own and that no joint has yet, and has as many holes; else its own. */
export function nextGroup(c, layer, joints) {
  const groups = c.groups.filter((each) => each.piece === layer.piece);
  const at = groups.findIndex((each) => each.group === layer.holes);
  const used = joined(joints);
  const free = [...groups.slice(at + 1), ...groups.slice(0, Math.max(0, at))].find((each) => each.number === groups[at]?.number && !used.includes(`${each.piece}\n${each.group}`));
  return free?.group || layer.holes;
}

/** Layers to begin with: what the last joint holds at holes of the same name that no joint has yet; else holes of two pieces that
 * are as many. The halves of a snap are each set in one piece.
 */
export function firstLayers(c, joints, kind) {
  const [one] = c.groups;
  if (!one) return [];  // its holes are picked on the drawing, or its layers are sewn
  const used = joined(joints);
  const [before, ...rest] = joints.at(-1)?.layers || [];
  const alike = before?.holes && rest.every((layer) => !layer.piece) && c.groups.find((each) => each.group === before.holes && !used.includes(`${each.piece}\n${each.group}`));
  if (alike) return [{ ...before, piece: alike.piece }, ...rest];
  if (kind === "snap") return [layerOf(c.groups.find((each) => !used.includes(`${each.piece}\n${each.group}`)) || one)];
  const fits = c.groups.flatMap((a) => c.groups.filter((b) => b.piece !== a.piece && b.number === a.number).map((b) => [a, b]));
  return (fits[0] || [one, c.groups.find((each) => each.piece !== one.piece) || one]).map(layerOf);
}

/** One more layer: what there is to choose from, each pressed once. Open where a joint lacks layers. */
export function layerButtons(c, place) {
  // a piece without holes is sewn, so it stands to choice where the joint says how long its seam is
  const options = layerOptions(c).filter(({ group }) => group || place.data.seam !== undefined || !c.groups.length);
  if (!options.length) return null;
  const buttons = options.map((option) => {
    const words = layerWords(option);
    return el("button", { type: "button", text: words, "aria-label": `One more layer of ${place.data.name}: ${words}`, "data-key": `layer+${place.base[1]}=${option.piece}/${option.group}`, onclick: () => place.edit("Add a layer", (told) => addedLayer(c, { ...place, data: told.tables.joint[place.base[1]] }, layerOf(option))) });
  });
  return el("details", { class: "more-of-it", "data-key": `layers-${place.base[1]}`, open: (place.data.layers || []).length < 3 }, el("summary", { text: "One more layer" }), el("div", { class: "row edges" }, ...buttons));
}

const layerWords = ({ piece, group, number }) => (group ? `${piece}: ${group} (${number})` : `${piece}: no holes`);

/** How many must lie side by side in the layers that do not say it, so that all have as many holes as the fullest, no more than
 * there are in the product; and how many such joints there are, where all the pieces come to as many.
 */
function fitting(c, layers) {
  const many = layers.map((layer) => (layer.ends ? 0 : [layer.holes || []].flat().reduce((sum, name) => sum + (c.groups.find((each) => each.piece === layer.piece && each.group === name)?.number || 0), 0)));
  const most = Math.max(...many.map((number, j) => number * (layers[j].pieces || 1)));
  const counts = Object.fromEntries(c.told.pieces.flatMap((piece) => piece.made.map((made) => [made.name, made.count])));
  const beside = many.map((number, j) => (number && !layers[j].pieces && number < most && most % number === 0 && most / number <= counts[layers[j].piece] ? most / number : undefined));
  const times = [...new Set(layers.flatMap((layer, j) => (layer.piece ? [counts[layer.piece] / (beside[j] || layer.pieces || 1)] : [])))];
  return { beside, count: layers.length > 1 && times.length === 1 && times[0] > 1 && Number.isInteger(times[0]) ? times[0] : undefined };
}

const bare = ({ pieces: _, ...layer }) => layer;

/** The edits that let what a joint's layers said of themselves follow its layers as they become; what was typed stays. */
function besideEdits(c, place, layers) {
  const before = fitting(c, (place.data.layers || []).map(bare));
  const own = layers.map((layer, j) => (layer.pieces !== undefined && layer.pieces === before.beside[j] ? bare(layer) : layer));
  const after = fitting(c, own);
  const edit = (path, now, next) => (now === next ? [] : [next === undefined ? take(place, path) : put(place, path, next)]);
  const counts = place.data.count === undefined || place.data.count === before.count ? edit(["count"], place.data.count, after.count) : [];
  return [...layers.flatMap((layer, j) => edit(["layers", j, "pieces"], layer.pieces, own[j].pieces ?? after.beside[j])), ...counts];
}

function addedLayer(c, place, layer) {
  return [add(place, ["layers"], layer), ...besideEdits(c, place, [...(place.data.layers || []), layer])];
}

/** The fields of one layer. */
export function layerElement(c, place, layer, j) {
  const out = el("button", { type: "button", class: "quiet", text: "×", "aria-label": `Take out layer ${j + 1} of ${place.data.name}`, "data-key": `layer-out-${place.base[1]}-${j}`, onclick: () => place.edit(`Take out layer ${j + 1}`, [take(place, ["layers", j])]) });
  if (!layer.piece) return el("div", { class: "layer" }, sizeField(place, `layer ${j + 1}: thickness`, ["layers", j, "thickness"]), sizeField(place, "plies", ["layers", j, "plies"], { hint: "1" }), out);
  const groups = c.groups.filter((each) => each.piece === layer.piece).map((each) => each.group);
  return el("div", { class: "feature-row", role: "group", "aria-label": `Layer ${j + 1} of ${place.data.name}` },
    el("div", { class: "layer" }, el("label", { class: "field" }, el("span", { text: `layer ${j + 1}` }), holesBox(c, place, layer, j)), sizeField(besidePlace(c, place, j), "side by side", ["layers", j, "pieces"], { hint: "1" }), out),
    groups.length > 1 ? groupButtons(c, place, layer, j, groups) : null,
    el("div", { class: "row" }, layer.ends ? null : flagField(place, "flesh to the front", ["layers", j, "turned"]),
      heldGroups(layer).length > 1 ? endsField(place, layer, j) : null,
      layer.ends ? null : sizeField(place, "plies", ["layers", j, "plies"], { hint: "1" })));
}

/** How many lie side by side, as it is typed: how many joints there are follows. */
function besidePlace(c, place, j) {
  const counted = (told, [{ op, value }]) => {
    const joint = told.tables.joint[place.base[1]];
    const layers = joint.layers.map((layer, k) => (k === j ? { ...bare(layer), ...(op === "put" && Number(value) ? { pieces: Number(value) } : {}) } : layer));
    return besideEdits(c, { ...place, data: joint }, layers).filter(({ path }) => path.at(-1) === "count");
  };
  return { ...place, edit: (words, edits) => place.edit(words, (told) => [...edits, ...counted(told, edits)]) };
}

const heldGroups = (layer) => [layer.ends || layer.holes || []].flat();

function withGroups(layer, groups) {
  const { holes: _, ends: __, ...rest } = layer;
  if (layer.ends && groups.length > 1) return { ...rest, ends: groups };
  return groups.length ? { ...rest, holes: groups.length > 1 ? groups : groups[0] } : rest;
}

/** One list of all holes there are; what a file says otherwise stands in it too. */
function holesBox(c, place, layer, j) {
  const now = heldGroups(layer).join(" + ");
  const options = layerOptions(c).map((each) => [`${each.piece}\n${each.group}`, layerWords(each)]);
  const value = `${layer.piece}\n${now}`;
  if (!options.some(([key]) => key === value)) options.unshift([value, `${layer.piece}: ${now || "no holes"}`]);
  const box = select(options, value, { "aria-label": `Holes of layer ${j + 1} of ${place.data.name}`, "data-key": `layer-${place.base[1]}-${j}`, "data-field": `layers[${j}]` });
  box.addEventListener("change", () => {
    const [piece, group] = box.value.split("\n");
    const { ends: _, ...rest } = layer;
    chosen(c, place, j, withGroups({ ...rest, piece }, group ? [group] : []));
  });
  return box;
}

/** A layer chosen otherwise, and as many side by side as its holes then ask for; a name that only tells the holes follows. */
function chosen(c, place, j, layer) {
  return place.edit("Choose the layer's holes", (told) => {
    const joint = told.tables.joint[place.base[1]];
    const layers = joint.layers.map((each, k) => (k === j ? layer : each));
    const others = told.tables.joint.filter((each) => each.name !== joint.name);
    const named = joint.name === jointName(joint.layers, others) ? [put(place, ["name"], jointName(layers, others))] : [];
    return [put(place, ["layers", j], layer), ...besideEdits(c, { ...place, data: joint }, layers), ...named];
  });
}

/** Several groups of one piece: pressed in their order. */
function groupButtons(c, place, layer, j, groups) {
  const held = heldGroups(layer);
  const press = (name) => chosen(c, place, j, withGroups(layer, held.includes(name) ? held.filter((each) => each !== name) : [...held, name]));
  return el("div", { class: "row edges", role: "group", "aria-label": `Groups of holes of layer ${j + 1}` }, ...groups.map((name) => el("button", {
    type: "button", text: name, "aria-pressed": String(held.includes(name)), "data-key": `layer-${place.base[1]}-${j}=${name}`, onclick: () => press(name) })));
}

/** A piece that is folded there, so that the groups lie on one another. */
function endsField(place, layer, j) {
  const box = el("input", { type: "checkbox", checked: Boolean(layer.ends), "data-key": `layer-ends-${place.base[1]}-${j}`, onchange: () => {
    const { holes: _, ends: __, turned: ___, plies: ____, ...rest } = layer;
    const groups = heldGroups(layer);
    place.edit("Fold the layer", [put(place, ["layers", j], { ...rest, ...(box.checked ? { ends: groups } : { holes: groups }) })]);
  } });
  return el("label", { class: "check" }, box, el("span", { text: "folded: these lie on one another" }));
}
