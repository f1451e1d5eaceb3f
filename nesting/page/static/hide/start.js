// The first screen: the ways a hide comes in, the hide files in the folder, and unfinished work.

import { get, remove, send, upload } from "../shell/api.js";
import { byId, el, field, select, svg } from "../drawing/element.js";
import { look } from "../shell/look.js";
import { ask, hush, say, trying } from "../shell/notice.js";
import { offsetsForm } from "./offsets_form.js";
import { choosePaths } from "./drawing_form.js";
import { blank } from "./start_hide.js";

const CUTS = ["side", "hide", "back", "butt", "bend", "double shoulder", "shoulder", "belly"];
const ICONS = {
  photo: "M5 13h7l3-5h14l3 5h7v24H5zM22 18a8 8 0 1 0 .1 0z",
  drawing: "M6 36c2-18 8-26 14-22s4 16 10 14 5-16 8-20M6 36l4-1M36 6l4 2",
  tape: "M6 24h32M6 24v10h32V24M12 24v5M18 24v8M24 24v5M30 24v8M10 18l28-8",
  invoice: "M10 5h24v34l-4-3-4 3-4-3-4 3-4-3-4 3zM16 14h12M16 21h12M16 28h7",
  file: "M10 5h16l8 8v26H10zM26 5v8h8M16 22h12M16 29h12",
};

export class Start {
  constructor(acts) {
    this.acts = acts;
    byId("example-go").addEventListener("click", () => this.#example());
    byId("ways").replaceChildren(
      this.#fileWay("photo", "A photo from above", "Four marks round the hide, then the outline is proposed.", "Choose a photo", "image/jpeg,image/png,image/webp,image/tiff", (file) => this.#photo(file)),
      this.#fileWay("file", "A hide file", "Made here before, or by the command line.", "Choose a hide file", ".json,application/json", (file) => this.#hideFile(file)),
      this.#fileWay("drawing", "A drawing", "DXF or SVG, with the outline as a closed line.", "Choose a drawing", ".dxf,.svg", (file) => this.#drawing(file)),
      way("tape", "A tape measure", "Distances to the edge at stations along the backbone.", el("button", { type: "button", text: "Type a table", onclick: () => this.#offsets() })),
      way("invoice", "Only the invoice", "A typical outline of the cut, scaled to the marked area. An estimate.", el("button", { type: "button", text: "Give cut and area", onclick: () => this.#typical() })));
  }

  async #example() {
    const done = await trying(() => send("POST", "/api/example", {}));
    if (done) say(`${done.files} files of Alder Lane Workshop (invented) lie in the folder now.`);
    await this.show();
  }

  async show() {
    const told = await trying(() => get("/api/folder"));
    if (!told) return;
    byId("folder").textContent = told.folder;
    byId("example").hidden = told.hides.length > 0;
    byId("shelf").replaceChildren(...lines(told.hides, "No hide files yet.", (hide) => [
      el("span", { class: "what" }, hide.name || hide.file, el("small", { text: [hide.cut, look.fact("area", hide.area), look.fact("thickness", hide.thickness), hide.file].filter(Boolean).join(" · ") })),
      el("button", { type: "button", text: "Open", "aria-label": `Open ${hide.file}`, onclick: () => this.#fromFolder(hide.file) }),
    ]));
    byId("drafts").replaceChildren(...lines(told.drafts, "Nothing begun.", (draft) => [
      el("span", { class: "what" }, draft.name || "Unnamed hide", el("small", { text: new Date(draft.changed * 1000).toLocaleString() })),
      el("span", { class: "row" },
        el("button", { type: "button", text: "Go on", "aria-label": `Go on with ${draft.name || "the unnamed hide"}`, onclick: () => this.acts.open(draft.id) }),
        el("button", { type: "button", class: "quiet", text: "Discard", "aria-label": `Discard ${draft.name || "the unnamed hide"}`, onclick: () => this.#discard(draft) })),
    ]));
  }

  /** A file that was dropped or pasted: by its kind. */
  async take(file) {
    const ending = file.name.toLowerCase().split(".").pop();
    if (file.type.startsWith("image/") && ending !== "svg") return this.#photo(file);
    if (ending === "json") return this.#hideFile(file);
    if (["dxf", "svg"].includes(ending)) return this.#drawing(file);
    if (ending === "toml") return this.#toml(file);
    return say(`“${file.name}” is no photo, hide file, drawing, project or leathers file.`, true);
  }

  async #toml(file) {
    const leathers = (await file.text()).includes("hideplan-leathers");
    const kept = await upload(leathers ? "/api/leathers" : "/api/projects", file);
    say(`${kept.file} lies in the folder now${leathers ? "; choose it under Compare" : "; choose it under Plan"}.`);
    this.acts.arrived?.();
  }

  #fileWay(icon, title, words, button, accept, take) {
    const input = el("input", { type: "file", accept, hidden: true, "aria-label": button, id: `file-${icon}` });
    input.addEventListener("change", async () => {
      const [file] = input.files;
      input.value = "";
      if (file) await trying(() => take(file));
    });
    return way(icon, title, words, el("button", { type: "button", class: icon === "photo" ? "main" : "", text: button, onclick: () => input.click() }), input);
  }

  async #photo(file) {
    say("Reading the photo …");
    const photo = await upload("/api/photos", file);
    await this.acts.begin({ hide: blank(file.name.replace(/\.\w+$/, "")), photo });
    this.acts.marks();
    hush();
  }

  async #hideFile(file) {
    await this.acts.begin({ hide: await upload("/api/read/hide", file) });
  }

  async #fromFolder(name) {
    await trying(async () => this.acts.begin({ hide: await get(`/api/hides/${encodeURIComponent(name)}`), file: name }));
  }

  async #drawing(file) {
    const hide = await choosePaths(file);
    if (hide) await this.acts.begin({ hide });
  }

  async #offsets() {
    const hide = await offsetsForm(this.acts.desk());
    if (hide) await this.acts.begin({ hide });
  }

  async #typical() {
    const cut = select(CUTS.map((c) => [c, c]), "side", { id: "typical-cut" });
    const area = el("input", { id: "typical-area", value: "22 3/4 sq ft" });
    const body = [el("p", { text: "A typical outline is no measurement: every answer made from it is marked as an estimate." }),
      el("div", { class: "stack" }, field("Cut", cut), field("Marked area", area, "as on the invoice: 22 3/4 sq ft, 2.1 m2, 211 dm2"))];
    if (await ask("From the invoice", body, [["make", "Make it"], ["", "Back"]]) !== "make") return;
    await trying(async () => this.acts.begin({ hide: await send("POST", "/api/read/typical", { cut: cut.value, area: area.value }) }));
  }

  async #discard(draft) {
    const sure = await ask("Discard this work?", `“${draft.name || "Unnamed hide"}” as it stands here goes; hide files in the folder stay.`, [["yes", "Discard it"], ["", "Keep it"]]);
    if (sure === "yes") await trying(() => remove(`/api/drafts/${draft.id}`));
    await this.show();
  }
}

function way(icon, title, words, ...rest) {
  const picture = svg("svg", { viewBox: "0 0 44 44", fill: "none", stroke: "#1f4a44", "stroke-width": "2.2", "stroke-linejoin": "round", "stroke-linecap": "round", "aria-hidden": "true" }, svg("path", { d: ICONS[icon] }));
  return el("div", { class: "way" }, picture, el("h3", { text: title }), el("p", { text: words }), ...rest);
}

function lines(items, none, make) {
  return items.length ? items.map((item) => el("li", {}, ...make(item))) : [el("li", {}, el("span", { class: "note", text: none }))];
}
