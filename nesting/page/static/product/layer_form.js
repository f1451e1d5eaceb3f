// The layers of a joint: which piece, which of its holes, how many side by side; or a washer with its own thickness.

import { el, select } from "../drawing/element.js";
import { add, flagField, put, sizeField, take } from "./controls.js";

/** What a layer can be: a group of a piece's holes, or a piece without holes, which is sewn. */
export function layerOptions(c) {
  const bare = c.told.pieces.flatMap((piece) => piece.made.map((made) => ({ piece: made.name, group: "", number: 0 })));
  return [...c.groups, ...bare];
}

export const layerOf = ({ piece, group }) => (group ? { piece, holes: group } : { piece });

/** Two layers to begin with: holes of two pieces that are as many. */
export function firstLayers(c) {
  const [one] = c.groups;
  if (!one) return [];  // its holes are picked on the drawing, or its layers are sewn
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
    return el("button", { type: "button", text: words, "aria-label": `One more layer of ${place.data.name}: ${words}`, "data-key": `layer+${place.base[1]}=${option.piece}/${option.group}`, onclick: () => place.edit("Add a layer", (told) => [add(place, ["layers"], layerOf(option)), ...besideEdits(c, place, [...(told.tables.joint[place.base[1]].layers || []), layerOf(option)])]) });
  });
  return el("details", { class: "more-of-it", "data-key": `layers-${place.base[1]}`, open: (place.data.layers || []).length < 3 }, el("summary", { text: "One more layer" }), el("div", { class: "row edges" }, ...buttons));
}

const layerWords = ({ piece, group, number }) => (group ? `${piece}: ${group} (${number})` : `${piece}: no holes`);

/** How many must lie side by side in the layers that do not say it, so that all have as many holes as the fullest; no
 * more than there are in the product.
 */
function besideEdits(c, place, layers) {
  const many = layers.map((layer) => (layer.ends ? 0 : [layer.holes || []].flat().reduce((sum, name) => sum + (c.groups.find((each) => each.piece === layer.piece && each.group === name)?.number || 0), 0)));
  const most = Math.max(...many.map((number, j) => number * (layers[j].pieces || 1)));
  const counts = Object.fromEntries(c.told.pieces.flatMap((piece) => piece.made.map((made) => [made.name, made.count])));
  return many.flatMap((number, j) => (number && !layers[j].pieces && number < most && most % number === 0 && most / number <= counts[layers[j].piece] ? [put(place, ["layers", j, "pieces"], most / number)] : []));
}

/** The fields of one layer. */
export function layerElement(c, place, layer, j) {
  const out = el("button", { type: "button", class: "quiet", text: "×", "aria-label": `Take out layer ${j + 1} of ${place.data.name}`, "data-key": `layer-out-${place.base[1]}-${j}`, onclick: () => place.edit(`Take out layer ${j + 1}`, [take(place, ["layers", j])]) });
  if (!layer.piece) return el("div", { class: "layer" }, sizeField(place, `layer ${j + 1}: thickness`, ["layers", j, "thickness"]), sizeField(place, "plies", ["layers", j, "plies"], { hint: "1" }), out);
  const groups = c.groups.filter((each) => each.piece === layer.piece).map((each) => each.group);
  return el("div", { class: "feature-row", role: "group", "aria-label": `Layer ${j + 1} of ${place.data.name}` },
    el("div", { class: "layer" }, el("label", { class: "field" }, el("span", { text: `layer ${j + 1}` }), holesBox(c, place, layer, j)), sizeField(place, "side by side", ["layers", j, "pieces"], { hint: "1" }), out),
    groups.length > 1 ? groupButtons(c, place, layer, j, groups) : null,
    el("div", { class: "row" }, layer.ends ? null : flagField(place, "flesh to the front", ["layers", j, "turned"]),
      heldGroups(layer).length > 1 ? endsField(place, layer, j) : null,
      layer.ends ? null : sizeField(place, "plies", ["layers", j, "plies"], { hint: "1" })));
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

/** A layer chosen otherwise, and as many side by side as its holes then ask for. */
function chosen(c, place, j, layer) {
  const layers = place.data.layers.map((each, k) => (k === j ? layer : each));
  return place.edit("Choose the layer's holes", [put(place, ["layers", j], layer), ...besideEdits(c, place, layers)]);
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
