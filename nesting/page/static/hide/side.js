// What stands beside the hide: its area, its facts, its flaws and zones, what to look over, and where to go on.

import { el, field, select, show } from "../drawing/element.js";
import { area } from "../pure/geometry.js";
import { sameShape, withFields, withoutShape } from "../pure/shapes.js";
import { PhotoSide } from "./photo_side.js";
import { look } from "../shell/look.js";
import { AREA_SHOWN, areaMm2, lengthMm, mmOf, showArea, showShare, thicknessMm } from "../pure/units.js";

const CUTS = ["hide", "side", "back", "butt", "bend", "double shoulder", "shoulder", "belly", "offcut"];
const GRADES = [["A", "A, best"], ["B", "B"], ["C", "C"], ["D", "D"]];
const FLAW_GRADES = [["none", "not usable at all"], ["D", "usable as D"], ["C", "usable as C"], ["B", "usable as B"]];
const KINDS = ["hole", "scar", "brand", "tick marks", "warble hole", "horn rake", "scratch", "flay cut", "growth wrinkles", "veins", "stretch marks", "loose grain", "stain"];
const ZONES = ["belly", "flank", "neck", "shank", "shoulder"];

export class Side {
  constructor(host, bench, acts) {
    this.bench = bench;
    this.draft = bench.draft;
    this.acts = acts;
    this.bound = [];
    this.photo = new PhotoSide(bench, acts);
    this.area = this.#areaSection();
    this.look = el("section", { "aria-label": "Look over", "aria-live": "polite" });
    this.flaws = el("section", { "aria-label": "Flaws" });
    this.zones = el("section", { "aria-label": "Weaker zones" });
    host.replaceChildren(
      ...this.photo.parts, this.area, this.look, this.#factSection(), this.flaws, this.zones, list("flaw-kinds", KINDS), list("zone-names", ZONES),
      ...this.#endSection(),
    );
  }

  /** Show the hide as it stands (in a drag too). */
  update(hide, choice) {
    this.#showArea(hide);
    for (const { input, read, check } of this.bound) {
      const value = String(read(hide) ?? "");
      if (document.activeElement !== input && input.value !== value) input.value = value;
      input.classList.toggle("wrong", Boolean(check && input.value.trim() && !check(input.value)));
    }
    this.#showLook(hide);
    this.#showList(this.flaws, "flaw", hide.flaws || [], choice);
    this.#showList(this.zones, "zone", hide.zones || [], choice);
    this.photo.update();
  }

  #bind(input, name, words, read, write, check = null) {
    const change = () => this.draft.changeHide(words, (hide) => write(hide, input.value), `field-${name}`);
    input.addEventListener(input.tagName === "SELECT" ? "change" : "input", change);
    input.name = name;
    this.bound.push({ input, read, check });
    return input;
  }

  #plain(name, words, check = null, attributes = {}) {
    return this.#bind(el("input", attributes), name, words, (hide) => hide[name], (hide, value) => ({ ...hide, [name]: value }), check);
  }

  #areaSection() {
    this.measured = el("output", { class: "big", id: "measured" });
    this.beside = el("p", { class: "note", id: "beside-marked" });
    this.estimate = el("p", { class: "estimate", text: "An estimate: a typical outline scaled to the marked area, not this hide measured." });
    const unit = select(Object.entries(AREA_SHOWN), "sq ft", { "aria-label": "Unit of area" });
    unit.addEventListener("change", () => look.set({ area: unit.value }));
    this.unit = unit;
    return el("section", { "aria-label": "Area" },
      el("div", { class: "row" }, el("h3", { text: "Measured area" })),
      el("div", { class: "pair" }, this.measured, unit), this.beside, this.estimate);
  }

  #showArea(hide) {
    const unit = look.chosen.area;
    this.unit.value = unit;
    const holes = (hide.holes || []).reduce((sum, hole) => sum + area(hole), 0);
    const measured = area(hide.outline || []) - holes;
    this.measured.textContent = measured > 0 ? showArea(measured, unit) : "—";
    const marked = areaMm2(hide.area || "");
    show(this.estimate, Boolean(hide.estimate));
    if (!marked) this.beside.textContent = "No marked area given; the measured one is paid for.";
    else if (measured <= 0) this.beside.textContent = `Marked ${showArea(marked, unit)}.`;
    else {
      const off = measured / marked - 1;
      const words = Math.abs(off) < 0.0005 ? "the same" : `${showShare(Math.abs(off))} ${off < 0 ? "less than marked" : "more than marked"}`;
      this.beside.textContent = `Marked ${showArea(marked, unit)}; measured is ${words}.`;
    }
  }

  #factSection() {
    const price = (hide) => hide.price || {};
    const setPrice = (key) => (hide, value) => {
      const next = { per_area: "", unit: "sq ft", currency: "", ...hide.price, [key]: value };
      return { ...hide, price: next.per_area === "" && next.currency === "" ? null : next };
    };
    const isNumber = (text) => Number(text) >= 0;
    return el("section", { "aria-label": "Facts" }, el("h3", { text: "Facts" }),
      field("Name", this.#plain("name", "Name the hide", null, { maxlength: 60, autocomplete: "off" })),
      el("div", { class: "pair" },
        field("Cut", this.#bind(select(CUTS.map((c) => [c, c]), "hide"), "cut", "Choose the cut", (h) => h.cut || "hide", (h, v) => ({ ...h, cut: v }))),
        field("Grade of the whole", this.#bind(select(GRADES, "A"), "grade", "Choose the grade", (h) => h.grade || "A", (h, v) => ({ ...h, grade: v })))),
      el("div", { class: "pair" },
        field("Thickness", this.#plain("thickness", "Set the thickness", thicknessMm, { placeholder: "10-11 oz" })),
        field("Clear along the edge", this.#plain("edge", "Set the edge strip", (t) => lengthMm(t) >= 0, { placeholder: "10 mm" }))),
      el("div", { class: "pair" },
        field("Leather", this.#plain("leather", "Say what leather it is", null, { placeholder: "bridle, russet", maxlength: 60 })),
        field("Lot", this.#plain("lot", "Say which lot it is of", null, { maxlength: 40 }))),
      field("Marked area (what is paid for)", this.#plain("area", "Set the marked area", areaMm2, { placeholder: "22 3/4 sq ft" })),
      el("div", { class: "three" },
        field("Price", this.#bind(el("input", { inputmode: "decimal", placeholder: "9.50" }), "price", "Set the price", (h) => price(h).per_area, setPrice("per_area"), isNumber)),
        field("for each", this.#bind(select([["sq ft", "sq ft"], ["m2", "m²"], ["dm2", "dm²"]], "sq ft"), "price-unit", "Set the price", (h) => price(h).unit || "sq ft", setPrice("unit"))),
        field("Currency", this.#bind(el("input", { maxlength: 8, placeholder: "EUR" }), "currency", "Set the currency", (h) => price(h).currency, setPrice("currency")))));
  }

  #showLook(hide) {
    const { faults } = this.bench;
    const words = faults.map((fault) => fault.words).join("|") + String(hide.outline?.length > 2);
    if (words === this.looked) return;
    this.looked = words;
    const lines = faults.map((fault) =>
      el("li", {}, el("span", { text: fault.words }),
        el("button", { type: "button", class: "quiet", text: "Show", "aria-label": `Show: ${fault.words}`, onclick: () => this.bench.lookAt(fault.choice, fault.at) })));
    const none = hide.outline?.length > 2 ? "Nothing crosses, nothing lies outside." : "There is no outline yet.";
    this.look.replaceChildren(el("h3", { text: "Look over" }),
      lines.length ? el("ul", { class: "faults", id: "faults" }, ...lines) : el("p", { class: "note fine", text: none }));
  }

  #showList(section, kind, items, choice) {
    const chosen = choice?.kind === kind ? choice.index : -1;
    const signature = `${items.length}/${chosen}`;
    if (section.dataset.drawn !== signature) {
      section.dataset.drawn = signature;
      const title = kind === "flaw" ? "Flaws" : "Weaker zones";
      const none = kind === "flaw" ? "None drawn." : "None drawn. Belly, flank and neck are usually weaker.";
      const cards = items.map((_, index) => this.#card(kind, index, index === chosen));
      section.replaceChildren(
        el("div", { class: "row" }, el("h3", { text: title }),
          el("button", { type: "button", class: "quiet", text: kind === "flaw" ? "Draw a flaw" : "Draw a zone", onclick: () => this.bench.use(kind) })),
        ...(cards.length ? cards : [el("p", { class: "note", text: none })]));
    }
    items.forEach((item, index) => this.#fillCard(section, kind, item, index));
  }

  #card(kind, index, open) {
    const choice = { kind, index, point: null };
    const pick = el("button", { type: "button", class: "pick", "aria-expanded": String(open), onclick: () => this.bench.choose(sameShape(this.bench.choice, choice) ? null : choice) },
      el("span", { class: kind === "zone" ? "tag zone" : "tag", text: String(index + 1) }), el("span", { class: "summary" }));
    const card = el("div", { class: open ? "item chosen" : "item", "data-index": index }, pick);
    if (open) card.append(el("div", { class: "more" }, ...(kind === "flaw" ? this.#flawFields(choice) : this.#zoneFields(choice)),
      el("div", { class: "row" },
        el("button", { type: "button", text: "Show", onclick: () => this.bench.lookAt(choice, this.bench.hide[`${kind}s`][index].outline[0]) }),
        el("button", { type: "button", text: `Delete this ${kind}`, onclick: () => this.#drop(choice) }))));
    return card;
  }

  #drop(choice) {
    this.bench.choice = null;
    this.bench.commit(`Take away the ${choice.kind}`, withoutShape(this.bench.hide, choice));
  }

  #flawFields(choice) {
    const set = (name, words) => this.#setter(choice, name, words);
    return [
      el("div", { class: "pair" },
        field("Kind", el("input", { "data-field": "kind", list: "flaw-kinds", maxlength: 40, oninput: set("kind", "Say what the flaw is") })),
        field("Keep away", el("input", { "data-field": "clearance", placeholder: "5 mm", oninput: set("clearance", "Set the clearance") }))),
      field("Leather there is", select(FLAW_GRADES, "none", { "data-field": "grade", onchange: set("grade", "Grade the flaw") })),
    ];
  }

  #zoneFields(choice) {
    const set = (name, words) => this.#setter(choice, name, words);
    return [
      field("Name", el("input", { "data-field": "name", list: "zone-names", maxlength: 40, oninput: set("name", "Name the zone") })),
      el("div", { class: "pair" },
        field("Grade", select([...GRADES, ["none", "not usable"]], "C", { "data-field": "grade", onchange: set("grade", "Grade the zone") })),
        field("Thickness", el("input", { "data-field": "thickness", placeholder: "as the hide", oninput: set("thickness", "Set the zone's thickness") }))),
    ];
  }

  #setter(choice, name, words) {
    return (event) => this.draft.changeHide(words, (hide) => withFields(hide, choice, { [name]: event.target.value }), `${choice.kind}-${choice.index}-${name}`);
  }

  #fillCard(section, kind, item, index) {
    const card = section.querySelector(`[data-index="${index}"]`);
    if (!card) return;
    const usable = item.grade === "none" ? "not usable" : `grade ${item.grade || "A"}`;
    const more = kind === "flaw" && mmOf(item.clearance) > 0 ? `, keep ${look.length(mmOf(item.clearance))} away` : "";
    card.querySelector(".summary").textContent = `${(kind === "flaw" ? item.kind : item.name) || "unnamed"}: ${usable}${more}`;
    for (const input of card.querySelectorAll("[data-field]")) {
      const value = String(item[input.dataset.field] ?? "");
      if (document.activeElement !== input) input.value = value;
    }
  }

  #endSection() {
    return [
      el("section", { "aria-label": "The hide file" }, el("div", { class: "row" },
        el("button", { type: "button", id: "save-hide", text: "Save to the folder", onclick: () => this.acts.save() }),
        el("button", { type: "button", id: "download-hide", text: "Download the hide file", onclick: () => this.acts.download() }))),
      el("section", { "aria-label": "Go on", class: "go-on" },
        el("button", { type: "button", class: "main", id: "go-plan", text: "Plan the cutting →", onclick: () => this.acts.plan() })),
    ];
  }
}

function list(id, words) {
  return el("datalist", { id }, ...words.map((value) => el("option", { value })));
}
