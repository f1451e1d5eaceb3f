// A table of offsets typed in: stations along the backbone and the distance to the edge on one or both sides.

import { send, upload } from "../shell/api.js";
import { el, field, select } from "../drawing/element.js";
import { ask, say, trying } from "../shell/notice.js";

const ROWS = 7;

/** Ask for a table of offsets; the answer is a hide, or null. What is typed lies on the desk until a hide is made of it. */
export async function offsetsForm(desk) {
  const before = desk.content.offsets || { name: "Measured hide", units: "mm", rows: [] };
  const unit = select([["mm", "mm"], ["cm", "cm"], ["in", "in"]], before.units, { id: "offsets-units" });
  const name = el("input", { id: "offsets-name", value: before.name, maxlength: 60 });
  const file = el("input", { type: "file", accept: ".csv,.txt", class: "out-of-sight", id: "offsets-file" });
  const body = el("tbody");
  const typed = () => [...body.rows].map((row) => [...row.querySelectorAll("input")].map((input) => input.value.trim()));
  const keep = () => desk.change({ offsets: { name: name.value, units: unit.value, rows: typed() } });
  const cell = (row, words, value) => el("td", {}, el("input", { inputmode: "decimal", "aria-label": `${words}, row ${row}`, value: value || "", oninput: keep }));
  const addRow = (values = []) => {
    const row = body.childElementCount + 1;
    body.append(el("tr", {}, ...["Station", "Left", "Right"].map((words, i) => cell(row, words, values[i]))));
  };
  for (let i = 0; i < Math.max(ROWS, before.rows.length); i++) addRow(before.rows[i]);
  name.addEventListener("input", keep);
  unit.addEventListener("change", keep);
  const table = el("table", { class: "form" }, el("thead", {}, el("tr", {},
    el("th", { scope: "col", text: "Station along the backbone" }), el("th", { scope: "col", text: "To the left edge" }), el("th", { scope: "col", text: "To the right edge" }))), body);
  const wrong = el("p", { class: "estimate", role: "alert", hidden: true });
  const parts = [
    wrong,
    el("p", { text: "Walk along the backbone from the tail. At each station measure straight out to the edge. For a side of leather fill in one of the two columns." }),
    el("div", { class: "pair" }, field("Name", name), field("Unit", unit)), table,
    el("div", { class: "row" }, el("button", { type: "button", class: "quiet", text: "One more row", onclick: () => addRow() }),
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
    if (await ask("Measured with a tape", parts, [["make", "Make the outline"], ["", "Back"]]) !== "make") {
      if (!made && typed().flat().some(Boolean)) say("The table is kept: open it again to go on with it.");
      return made;
    }
    const rows = typed().filter((row) => row.some(Boolean));
    wrong.hidden = true;
    made = await send("POST", "/api/read/offsets", { name: name.value, units: unit.value, rows }).catch((problem) => {
      wrong.textContent = problem.message;
      wrong.hidden = false;
    });
  }
  desk.change({ offsets: null });
  return made;
}
