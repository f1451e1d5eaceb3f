// How the whole page shows things, chosen once and kept: units of length, area and thickness, and paper.

import { el, field, select } from "../drawing/element.js";
import { AREA_SHOWN, areaMm2, inUnits, showArea, thicknessMm, writeLength, writePlace, writeThickness } from "../pure/units.js";
import { ask } from "./notice.js";

const USUAL = { length: "mm", area: "sq ft", thickness: "mm", paper: "A4", fraction: "16" };
const CHOICES = {
  length: ["Lengths", [["mm", "millimetres"], ["in", "inches with fractions"]]],
  fraction: ["Finest part of an inch", [["16", "1/16"], ["32", "1/32"], ["64", "1/64"]]],
  area: ["Areas", Object.entries(AREA_SHOWN)],
  thickness: ["Thickness", [["mm", "mm"], ["oz", "oz (1/64 in)"]]],
  paper: ["Paper", [["A4", "A4"], ["A3", "A3"], ["Letter", "Letter"], ["Tabloid", "Tabloid"]]],
};

class Look extends EventTarget {
  /** Take what was chosen from the desk, and keep it there. */
  open(desk) {
    this.desk = desk;
    this.dispatchEvent(new Event("change"));
  }

  get chosen() {
    return { ...USUAL, ...this.desk?.content.look };
  }

  set(values) {
    this.desk.change({ look: { ...this.chosen, ...values } });
    this.dispatchEvent(new Event("change"));
  }

  /** A length, mm, in words. */
  length(mm) {
    return writeLength(mm, this.chosen.length, Number(this.chosen.fraction));
  }

  /** A sentence of the program's, which measures in its own units. */
  said(words) {
    return inUnits(words, this.chosen, Math.max(32, Number(this.chosen.fraction)));
  }

  /** Where a mark is pricked, along or across, as the cut sheet tells it. */
  place(mm) {
    return writePlace(mm, this.chosen.length, Math.max(32, Number(this.chosen.fraction)));
  }

  /** What sheets and words of the server are asked for, as a query. */
  query() {
    const { paper, length, fraction } = this.chosen;
    return `?${new URLSearchParams({ paper, units: length, ...(length === "in" && { fraction }) })}`;
  }

  /** An area, mm², in words. */
  area(mm2) {
    return showArea(mm2, this.chosen.area);
  }

  /** A thickness as it was written, in the chosen unit; as it stands where it cannot be read. */
  thickness(text) {
    const read = thicknessMm(text ?? "");
    return read ? writeThickness(read, this.chosen.thickness) : text;
  }

  /** A fact of a hide as it was written, in the page's units: areas and thickness; anything else as it stands. */
  fact(name, text) {
    if (name === "thickness") return this.thickness(text);
    const mm2 = name.startsWith("area") ? areaMm2(text ?? "") : null;
    return mm2 ? this.area(mm2) : text;
  }

  /** The choices as fields. */
  fields(names = Object.keys(CHOICES)) {
    return names.map((name) => {
      const [words, options] = CHOICES[name];
      return field(words, select(options, this.chosen[name], { "data-look": name, onchange: (event) => this.set({ [name]: event.target.value }) }));
    });
  }

  /** Ask for the choices. */
  async ask() {
    await ask("Units and paper", [el("p", { class: "note", text: "For the whole page and for new sheets; what you type may have any unit." }), el("div", { class: "stack" }, ...this.fields())], [["done", "Done"]]);
  }
}

export const look = new Look();
