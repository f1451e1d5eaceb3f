// A leathers file made or changed: one leather after another, with its price and the hides it is tried on.

import { get, send } from "../shell/api.js";
import { el, field, select } from "../drawing/element.js";
import { look } from "../shell/look.js";
import { ask, say } from "../shell/notice.js";

const PER = [["sq ft", "each sq ft"], ["m2", "each m²"], ["dm2", "each dm²"], ["hide", "each hide"]];
const CUTS = ["side", "hide", "back", "butt", "bend", "double shoulder", "shoulder", "belly"];
const BLANK = { name: "", thickness: "", colour: "", price: "", per: "sq ft", currency: "", freight: "", freight_per: "hide", freight_hide: "", discrepancy: "", density: "", grades: "", hides: [], cut: "side", area: "" };

/**
 * Ask for a leathers file's content; the name of the file it was kept as, or null. `file` is what is changed, "" for a new one.
 * What is typed lies on the desk until a file is made of it.
 */
export async function leathersForm(file, hides, desk) {
  const fresh = file ? await get(`/api/leathers/${encodeURIComponent(file)}`) : { file: "leathers.toml", rows: [{ ...BLANK }] };
  const before = desk.content.leathers_typed?.[file];
  const state = structuredClone(before || fresh);
  const name = el("input", { value: state.file, maxlength: 60, id: "leathers-name", "aria-label": "Name of the file" });
  const list = el("div", { class: "stack" }), wrong = el("p", { class: "estimate", role: "alert", hidden: true });
  const lay = (typed) => desk.change({ leathers_typed: { ...desk.content.leathers_typed, [file]: typed } });
  const typed = () => {
    state.file = name.value;
    return JSON.stringify(state) !== JSON.stringify(fresh);
  };
  const draw = () => list.replaceChildren(...state.rows.map((row, i) => leather(row, i, { hides, state, draw })));
  draw();
  for (const part of [name, list]) for (const event of ["input", "change"]) part.addEventListener(event, () => lay(typed() ? state : undefined));
  const more = el("button", { type: "button", id: "leathers-more", text: "One more leather", onclick: () => {
    state.rows.push({ ...BLANK, currency: state.rows.at(-1)?.currency || "" });
    draw();
  } });
  const note = file ? "Comments in the file are not kept." : "Sample hides are hide files of the folder; without one, a typical outline of the cut serves as an estimate.";
  const choices = [["keep", "Keep the file"], ["", "Back"], ...(before ? [["anew", "Begin anew"]] : [])];
  for (;;) {
    const answer = await ask(file ? "Change the leathers" : "New leathers", [el("p", { class: "note", text: note }), wrong, field("Name of the file", name), list, more], choices);
    if (answer === "anew") {
      lay(undefined);
      return leathersForm(file, hides, desk);
    }
    if (answer !== "keep") {
      lay(typed() ? state : undefined);
      if (typed()) say("What you typed is kept: open it again to go on with it.");
      return null;
    }
    const kept = await keep({ file: name.value, rows: state.rows, replace: name.value === file });
    if (kept.file) {
      lay(undefined);
      return kept.file;
    }
    wrong.textContent = kept.wrong;
    wrong.hidden = !kept.wrong;
  }
}

async function keep(body) {
  try {
    return await send("POST", "/api/leathers/form", body);
  } catch (problem) {
    if (problem.status !== 409) return { wrong: problem.message };
    const sure = await ask("Replace the file?", `“${body.file}” is in the folder already.`, [["yes", "Replace it"], ["", "Leave it"]]);
    return sure === "yes" ? keep({ ...body, replace: true }) : { wrong: "" };
  }
}

function leather(row, i, { hides, state, draw }) {
  const label = (words) => `${words} of leather ${i + 1}`;
  const input = (name, words, attributes = {}) => field(words, el("input", { ...attributes, value: row[name] ?? "", "aria-label": label(words), "data-leather": `${i}-${name}`, oninput: (event) => (row[name] = event.target.value) }));
  const choice = (name, words, options) => field(words, select(options, row[name] || options[0][0], { "aria-label": label(words), onchange: (event) => (row[name] = event.target.value) }));
  const samples = hides.map((hide) => {
    const box = el("input", { type: "checkbox", "data-sample": `${i}-${hide.file}`, onchange: (event) => (row.hides = event.target.checked ? [...row.hides, hide.file] : row.hides.filter((each) => each !== hide.file)) });
    box.checked = row.hides.includes(hide.file);
    return el("label", { class: "check" }, box, el("span", { text: [hide.name, hide.cut, look.thickness(hide.thickness)].filter(Boolean).join(" · ") }));
  });
  const drop = el("button", { type: "button", class: "quiet", text: "Remove", "aria-label": `Remove leather ${i + 1}`, disabled: state.rows.length === 1, onclick: () => {
    state.rows.splice(i, 1);
    draw();
  } });
  return el("fieldset", {}, el("legend", { text: `Leather ${i + 1}` }),
    el("div", { class: "pair" }, input("name", "Name"), input("thickness", "Thickness", { placeholder: "10-11 oz" })),
    el("div", { class: "three" }, input("price", "Price", { inputmode: "decimal" }), choice("per", "for", PER), input("currency", "Currency", { maxlength: 8, placeholder: "EUR" })),
    el("div", { class: "pair" }, input("freight", "Freight", { inputmode: "decimal", placeholder: "none" }), choice("freight_per", "freight for", PER)),
    el("div", { class: "three" }, input("grades", "Grades it comes in", { placeholder: "A, B" }), input("density", "Density, kg/m³", { placeholder: "unknown" }), input("discrepancy", "Measured over marked", { placeholder: "1" })),
    input("colour", "Colour"),
    el("details", { open: row.hides.length > 0 }, el("summary", { text: "Sample hides" }), ...samples),
    el("div", { class: "pair" }, choice("cut", "or a typical", CUTS.map((cut) => [cut, cut])), input("area", "of the marked area", { placeholder: "22 sq ft" })),
    el("div", { class: "row end" }, drop));
}
