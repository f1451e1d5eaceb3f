// A product in a simple form: pieces with name, count, width, length and the way they run.

import { el, field, select } from "../drawing/element.js";

const ALONG = [["any", "any way"], ["backbone", "along the backbone"], ["across", "across it"]];

/** An empty form. */
export function blankForm() {
  return { name: "New product", pieces: [{ name: "panel", count: "1", width: "150 mm", length: "300 mm", along: "any" }] };
}

/** The form's elements. `change(words, form, kind)` is told of every change. */
export function formElements(form, change) {
  const setPiece = (index, name, value) => {
    const pieces = form().pieces.map((piece, i) => (i === index ? { ...piece, [name]: value } : piece));
    change("Change a piece", { ...form(), pieces }, `piece-${index}-${name}`);
  };
  const body = el("tbody");
  form().pieces.forEach((piece, index) => {
    const cell = (name, words, attributes = {}) => el("td", {}, el("input", {
      ...attributes, value: piece[name], "aria-label": `${words} of piece ${index + 1}`, "data-field": `${index}-${name}`,
      oninput: (event) => setPiece(index, name, event.target.value),
    }));
    const along = select(ALONG, piece.along, { "aria-label": `Direction of piece ${index + 1}`, onchange: (event) => setPiece(index, "along", event.target.value) });
    const drop = el("button", {
      type: "button", class: "quiet", text: "×", "aria-label": `Remove piece ${index + 1}`, disabled: form().pieces.length === 1,
      onclick: () => change("Remove a piece", { ...form(), pieces: form().pieces.filter((_, i) => i !== index) }),
    });
    body.append(
      el("tr", {}, cell("name", "Name", { maxlength: 40 }), cell("count", "Count", { inputmode: "numeric" }), cell("width", "Width"), cell("length", "Length"), el("td", {}, drop)),
      el("tr", { class: "second" }, el("td", { colspan: 5 }, along)));
  });
  const head = el("thead", {}, el("tr", {}, ...["Piece", "Count", "Width", "Length"].map((words) => el("th", { scope: "col", text: words })), el("td")));
  return [
    field("Name of the product", el("input", { value: form().name, maxlength: 60, id: "form-name", oninput: (event) => change("Name the product", { ...form(), name: event.target.value }, "form-name") })),
    el("div", { class: "wide" }, el("table", { class: "form pieces" }, head, body)),
    el("button", { type: "button", text: "One more piece", id: "form-more", onclick: () => change("Add a piece", {
      ...form(), pieces: [...form().pieces, { name: `piece ${form().pieces.length + 1}`, count: "1", width: "50 mm", length: "100 mm", along: "any" }],
    }) }),
  ];
}
