// The files of a layout to keep: which, on what paper, in which units, for which machine.

import { el, field, select } from "../drawing/element.js";
import { look } from "./look.js";

const FILES = [
  ["sheet.pdf", "Cut sheet"], ["tiles.pdf", "Whole layout at full size"], ["patterns.pdf", "Patterns at full size"], ["cards.pdf", "Bench cards"],
  ["pieces.csv", "Piece list"], ["drawing.dxf", "Drawing (DXF)"], ["drawing.svg", "Drawing (SVG)"], ["picture.png", "Picture (PNG)"], ["layout.json", "Layout"],
];
const MACHINE = [["cut.dxf", "DXF"], ["cut.svg", "SVG"], ["cut.plt", "HPGL"]];
const TOOLS = [["knife", "knife"], ["laser", "laser"], ["press", "press with dies"]];

/** The elements; `keep(kind with its query)` downloads. `without` names kinds that are not to be had. */
export function fileElements(keep, without = []) {
  return [
    el("div", { class: "row" }, ...FILES.filter(([kind]) => !without.includes(kind)).map(([kind, words]) => el("button", { type: "button", "data-file": kind, text: words, onclick: () => keep(`${kind}${look.query()}`) }))),
    el("details", { class: "file-style" }, el("summary", { text: "Paper and units" }), el("div", { class: "pair" }, ...look.fields(["paper", "length", "fraction"]))),
    machine(keep),
    el("p", { class: "note", text: "Sharp blades: cut with the waste, not the work, under the far side; hands clear of a press. Things that hang are not load-rated; fix them to the wall by local codes." }),
  ];
}

function machine(keep) {
  const tool = select(TOOLS, "knife", { "data-machine": "tool" });
  const kerf = el("input", { "data-machine": "kerf", value: "0 mm", autocomplete: "off" });
  const twice = el("input", { type: "checkbox", "data-machine": "twice" });
  const query = () => `?${new URLSearchParams({ tool: tool.value, kerf: kerf.value, ...(twice.checked && { twice: "yes" }) })}`;
  return el("details", { class: "file-machine" }, el("summary", { text: "For a machine" }),
    el("div", { class: "side-part" },
      el("div", { class: "pair" }, field("What cuts", tool), field("Width it takes away (kerf)", kerf)),
      el("label", { class: "check" }, twice, el("span", { text: "Cut a line that pieces share twice" })),
      el("div", { class: "row" }, ...MACHINE.map(([kind, words]) => el("button", { type: "button", "data-file": kind, text: words, "aria-label": `Machine file, ${words}`, onclick: () => keep(kind + query()) }))),
      el("p", { class: "note", text: "Pieces only, in cutting order. Lasers: extract fumes, and cut chrome-tanned leather only as the machine's maker allows." })));
}
