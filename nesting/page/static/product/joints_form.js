// What joins the pieces: joints with their layers, fasteners, seams, leathers and named lengths.

import { el } from "../drawing/element.js";
import { told as measure } from "../pure/sizes.js";
import { typedNamed } from "../pure/typed_lines.js";
import { say } from "../shell/notice.js";
import { choiceElements, whenFields } from "./choices_form.js";
import { add, choiceField, sizeField, unused } from "./controls.js";
import { seamElements } from "./seams_form.js";
import { firstLayers, jointName, layerButtons, layerElement, nextGroup } from "./layer_form.js";
import { fastenerElement, KINDS, newSizes } from "./fastener_form.js";

/** The elements for all joints. `c` has edit, told, units, groups, pick(joint or null), picking. */
export function jointElements(c) {
  const tables = c.told.tables;
  const joints = tables.joint || [];
  return [
    el("section", { "aria-label": "Joints" }, el("h3", { text: "Joints" }),
      el("p", { class: "note", text: "A joint names the holes that lie on one another, from the front to the back." }),
      ...joints.map((joint, i) => jointElement(c, joint, i)),
      el("button", { type: "button", id: "joint-more", text: "One more joint", onclick: () => c.edit("Add a joint", [{ op: "add", path: ["joint"], value: newJoint(c, joints) }]) })),
    el("section", { "aria-label": "Seams" }, el("h3", { text: "Seams" }), ...seamElements(c, tables.seam || [])),
    ...beginningElements(c),
    ...remarks(c),
  ];
}

/** What a product can begin with, before it has a piece: fasteners, leathers, choices and named lengths. */
export function beginningElements(c) {
  const { tables } = c.told;
  return [
    el("section", { "aria-label": "Choices" }, el("h3", { text: "Choices" }), ...choiceElements(c)),
    el("section", { "aria-label": "Named lengths" }, el("h3", { text: "Named lengths" }), ...lengths(c, tables.lengths || {})),
    el("section", { "aria-label": "Leathers" }, el("h3", { text: "Leathers" }), ...leathers(c, tables.leather || [])),
    el("section", { "aria-label": "Fasteners" }, el("h3", { text: "Fasteners" }), ...(tables.fastener || []).map((fastener, i) => fastenerElement(c, fastener, i)),
      tables.fastener?.length ? sizeField({ edit: c.edit, data: tables.price || {}, base: ["price"] }, "currency of the prices", ["currency"], { typed: false, needed: true, hint: "EUR" }) : null,
      el("div", { class: "row" }, ...KINDS.map(([kind, words]) => el("button", { type: "button", text: `+ ${words}`, "aria-label": `One more fastener: ${words}`, "data-key": `fastener+${kind}`, onclick: () => c.edit("Add a fastener", [{ op: "add", path: ["fastener"], value: newFastener(tables.fastener || [], kind, words) }]) })))),
  ];
}

function newJoint(c, joints) {
  const held = joints.length ? joints[joints.length - 1].fastener : (c.told.tables.fastener || []).find((each) => each.kind !== "thread")?.name;
  const layers = firstLayers(c, joints, (c.told.tables.fastener || []).find((each) => each.name === held)?.kind);
  return { name: jointName(layers, joints), ...(held ? { fastener: held } : {}), layers };
}

/** One more joint of the same pieces and washers, at the holes of each that come next. */
function likeJoint(c, joint, joints) {
  const layers = (joint.layers || []).map((layer) => (typeof layer.holes === "string" ? { ...layer, holes: nextGroup(c, layer, joints) } : layer));
  return { ...joint, name: jointName(layers, joints), layers };
}

function newFastener(fasteners, kind, words) {
  return { name: unused(words, fasteners.map((each) => each.name)), kind, sizes: newSizes(kind) };
}

function jointElement(c, joint, i) {
  const place = { edit: c.edit, data: joint, base: ["joint", i] };
  const use = (c.told.joints || []).find((each) => each.name === joint.name);
  const fasteners = [["", "only that the holes agree"], ...(c.told.tables.fastener || []).map((each) => [each.name, each.name])];
  const wrong = c.told.problem?.kind === "joint" && c.told.problem.name === joint.name;
  const layers = (joint.layers || []).map((layer, j) => layerElement(c, place, layer, j));
  return el("fieldset", { class: wrong ? "feature wrong" : "feature", "data-joint": joint.name }, el("legend", { text: joint.name }),
    el("div", { class: "pair" }, sizeField(place, "name", ["name"], { typed: false, needed: true }), choiceField(place, "held by", ["fastener"], fasteners),
      sizeField(place, "in one product", ["count"], { hint: "1" }), sizeField(place, "may be off by", ["tolerance"], { hint: "0.5 mm" }), choiceField(place, "put in from", ["enters"], [["front", "front"], ["back", "back"]]),
      sizeField(place, "or sewn along", ["seam"], { hint: "through its holes" }), sizeField(place, "stitches every", ["pitch"], { hint: "" })),
    ...layers,
    ...whenFields(place, c.told.tables),
    use ? el("p", { class: "note stack-words", text: `Stack ${measure(use.stack, c.units)}${use.fastener ? `; ${use.size ? `${use.fastener} ${use.size}` : `no ${use.fastener} fits`}, ${Number(use.number.toFixed(2))} in one product` : ""}.` }) : null,
    ...(wrong ? [el("p", { class: "problem-line", text: [c.told.problem.problem, c.told.problem.remedy].filter(Boolean).join("; ") })] : []),
    ...(c.told.remarks || []).filter((each) => each.joint === joint.name).map((each) => el("p", { class: each.fault ? "problem-line" : "note", text: each.text })),
    layerButtons(c, place),
    el("div", { class: "row" },
      el("button", { type: "button", text: c.picking === i ? "Tap the holes …" : "Pick its holes", "aria-pressed": String(c.picking === i), "data-key": `pick-${i}`, onclick: () => c.pick(c.picking === i ? null : i) }),
      el("button", { type: "button", text: "A washer or felt", "data-key": `washer+${i}`, onclick: () => c.edit("Add a layer", [add(place, ["layers"], { thickness: "1 mm" })]) }),
      el("button", { type: "button", text: "One more like it", "aria-label": `One more joint like ${joint.name}`, "data-key": `joint-like-${i}`, onclick: () => c.edit("Add a joint", (told) => [{ op: "add", path: ["joint"], value: likeJoint(c, told.tables.joint[i], told.tables.joint) }]) }),
      el("button", { type: "button", class: "quiet", text: "Take out", "aria-label": `Take out the joint ${joint.name}`, "data-key": `joint-out-${i}`, onclick: () => c.edit("Take out the joint", [{ op: "take", path: ["joint", i] }]) })));
}

function leathers(c, rows) {
  const made = rows.map((leather, i) => {
    const place = { edit: c.edit, data: leather, base: ["leather", i] };
    return el("div", { class: "layer" }, sizeField(place, "name", ["name"], { typed: false, needed: true }), sizeField(place, "thickness", ["thickness"], { typed: false, hint: "3-3.5 mm" }), sizeField(place, "hides of it are called", ["leather"], { typed: false, hint: "its name" }),
      el("button", { type: "button", class: "quiet", text: "×", "aria-label": `Take out the leather ${leather.name}`, "data-key": `leather-out-${i}`, onclick: () => c.edit("Take out the leather", [{ op: "take", path: ["leather", i] }]) }));
  });
  const line = lineField("A new leather, with its thickness", "leather-new", `${rows.length ? "lining" : "shell"} = ${rows.length ? "0.8-1" : "3-3.5"} mm, ${rows.length ? "calf" : "veg-tanned"}`, "Type a name, =, its thickness, and after a comma what hides of it are called, if otherwise: lining = 0.8-1 mm, calf.",
    ([name, said]) => {
      const [thickness, ...called] = said.split(/\s*,\s*/);
      return c.edit("Add a leather", [{ op: "add", path: ["leather"], value: { name, thickness, ...(called.length ? { leather: called.join(", ") } : {}) } }]);
    });
  return [...made, line, el("button", { type: "button", id: "leather-more", text: "One more leather", onclick: () => c.edit("Add a leather", [{ op: "add", path: ["leather"], value: { name: unused(rows.length ? "lining" : "shell", rows.map((row) => row.name)), thickness: rows.length ? "1 mm" : "3 mm" } }]) })];
}

function lengths(c, table) {
  const place = { edit: c.edit, data: table, base: ["lengths"] };
  const made = Object.keys(table).map((name) => el("div", { class: "layer" }, sizeField(place, name, [name], { needed: true }),
    el("button", { type: "button", class: "quiet", text: "×", "aria-label": `Take out the length ${name}`, "data-key": `length-out-${name}`, onclick: () => c.edit("Take out the length", [{ op: "take", path: ["lengths", name] }]) })));
  const line = lineField("A new length", "length-new", "roll = 60 mm", "Type a name, =, and the length: roll = 60 mm.",
    ([called, value]) => c.edit("Name a length", [{ op: "put", path: ["lengths", called], value, typed: true }]));
  return [...made, line];
}

/** A field for a line with a name and what it is, after which it waits for the next. `wrong` is said of another line. */
function lineField(words, key, hint, wrong, put) {
  const line = el("input", { placeholder: hint, "data-key": key, autocomplete: "off", spellcheck: "false", onchange: () => {
    const text = line.value.trim();
    const named = typedNamed(text);
    if (text && !named) return say(wrong, true);
    line.value = "";
    return named ? put(named) : null;
  } });
  return el("label", { class: "field" }, el("span", { text: words }), line);
}

function remarks(c) {
  const loose = (c.told.remarks || []).filter((each) => !(c.told.tables.joint || []).some((joint) => joint.name === each.joint));
  return loose.length ? [el("section", { "aria-label": "Remarks" }, el("h3", { text: "Remarks" }), ...loose.map((each) => el("p", { class: "note", text: `${each.joint ? `${each.joint}: ` : ""}${each.text}` })))] : [];
}
