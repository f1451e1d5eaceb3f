// A table of offsets typed in: stations along the backbone and the distance to the edge on one or both sides.

import { send, upload } from "../shell/api.js";
import { el, field, select } from "../drawing/element.js";
import { ask, trying } from "../shell/notice.js";

const ROWS = 7;

/** Ask for a table of offsets; the answer is a hide, or null. */
export async function offsetsForm() {
  const unit = select([["mm", "mm"], ["cm", "cm"], ["in", "in"]], "mm", { id: "offsets-units" });
  const name = el("input", { id: "offsets-name", value: "Measured hide", maxlength: 60 });
  const file = el("input", { type: "file", accept: ".csv,.txt", class: "out-of-sight", id: "offsets-file" });
  const body = el("tbody");
  const cell = (row, words) => el("td", {}, el("input", { inputmode: "decimal", "aria-label": `${words}, row ${row}` }));
  const addRow = () => {
    const row = body.childElementCount + 1;
    body.append(el("tr", {}, cell(row, "Station"), cell(row, "Left"), cell(row, "Right")));
  };
  for (let i = 0; i < ROWS; i++) addRow();
  const table = el("table", { class: "form" }, el("thead", {}, el("tr", {},
    el("th", { scope: "col", text: "Station along the backbone" }), el("th", { scope: "col", text: "To the left edge" }), el("th", { scope: "col", text: "To the right edge" }))), body);
  const parts = [
    el("p", { text: "Walk along the backbone from the tail. At each station measure straight out to the edge. For a side of leather fill in one of the two columns." }),
    el("div", { class: "pair" }, field("Name", name), field("Unit", unit)), table,
    el("div", { class: "row" }, el("button", { type: "button", class: "quiet", text: "One more row", onclick: addRow }),
      el("label", { class: "button" }, "Or bring in a table (CSV)", file)),
  ];
  let made = null;
  file.addEventListener("change", async () => {
    const [picked] = file.files;
    made = picked && (await trying(() => upload("/api/read/offsets-file", picked)));
    file.value = "";
    if (made) document.getElementById("question").close("file");
  });
  while (!made) {
    if (await ask("Measured with a tape", parts, [["make", "Make the outline"], ["", "Back"]]) !== "make") return made;
    const rows = [...body.rows].map((row) => [...row.querySelectorAll("input")].map((input) => input.value.trim())).filter((row) => row.some(Boolean));
    made = await trying(() => send("POST", "/api/read/offsets", { name: name.value, units: unit.value, rows }));
  }
  return made;
}
