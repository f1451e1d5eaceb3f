// What stands in the product bench's place before a product lies on it: new ones, files in the folder, unfinished work.

import { get, remove, upload } from "../shell/api.js";
import { el } from "../drawing/element.js";
import { ask, trying } from "../shell/notice.js";

export class ProductStart {
  /** `begin(body)` puts a product on the bench: {units} or {file}; `open(id)` goes on with one. */
  constructor(host, { begin, open }) {
    Object.assign(this, { host, begin, open });
    this.files = el("ul", { class: "lines", id: "product-files" });
    this.drafts = el("ul", { class: "lines", id: "product-drafts" });
    const input = el("input", { type: "file", accept: ".toml", hidden: true, id: "product-file", "aria-label": "Bring in a project file" });
    input.addEventListener("change", () => this.#bring(input));
    host.replaceChildren(
      el("header", {}, el("h2", { text: "What is to be made?" }),
        el("p", { text: "Draw the pieces of a product, type their sizes, punch their holes and join them. It is kept as a project file that the plan lays on a hide." })),
      el("div", { class: "row" },
        el("button", { type: "button", class: "main", id: "product-new-mm", text: "New product in millimetres", onclick: () => begin({ units: "mm" }) }),
        el("button", { type: "button", id: "product-new-in", text: "New product in inches", onclick: () => begin({ units: "in" }) }),
        el("button", { type: "button", text: "Bring in a project file", onclick: () => input.click() }), input),
      el("div", { class: "shelf" },
        el("section", { "aria-labelledby": "product-files-title" }, el("h3", { id: "product-files-title", text: "Project files in the folder" }), this.files),
        el("section", { "aria-labelledby": "product-drafts-title" }, el("h3", { id: "product-drafts-title", text: "Products on the bench" }), this.drafts)));
  }

  async show() {
    const told = await trying(() => get("/api/products"));
    if (!told) return;
    this.files.replaceChildren(...lines(told.files, "No project files yet.", (file) => [
      el("span", { class: "what", text: file }),
      el("button", { type: "button", text: "Open", "aria-label": `Open ${file}`, onclick: () => this.begin({ file }) })]));
    this.drafts.replaceChildren(...lines(told.drafts, "Nothing begun.", (draft) => [
      el("span", { class: "what" }, draft.name || "Unnamed product", el("small", { text: new Date(draft.changed * 1000).toLocaleString() })),
      el("span", { class: "row" },
        el("button", { type: "button", text: "Go on", "aria-label": `Go on with ${draft.name || "the unnamed product"}`, onclick: () => this.open(draft.id) }),
        el("button", { type: "button", class: "quiet", text: "Discard", "aria-label": `Discard ${draft.name || "the unnamed product"}`, onclick: () => this.#discard(draft) }))]));
  }

  async #bring(input) {
    const [file] = input.files;
    input.value = "";
    if (!file) return;
    const kept = await trying(() => upload("/api/projects", file));
    if (kept) await this.begin({ file: kept.file });
  }

  async #discard(draft) {
    const sure = await ask("Take it off the bench?", `“${draft.name || "Unnamed product"}” as it stands here goes; project files in the folder stay.`, [["yes", "Take it off"], ["", "Leave it"]]);
    if (sure === "yes") await trying(() => remove(`/api/products/${draft.id}`));
    await this.show();
  }
}

function lines(items, none, make) {
  return items.length ? items.map((item) => el("li", {}, ...make(item))) : [el("li", {}, el("span", { class: "note", text: none }))];
}
