// The tools above the plan: turn, lock, mark what is cut or gone, draw what was found at the bench, fill the rest.

import { el, show } from "../drawing/element.js";
import { Cross } from "../hide/cross.js";
import { ringTool } from "../hide/tools.js";

const TURN = 1;
const FOUND = { flaw: ["flaw found", "Mark a flaw found", "Drag over the flaw, or click round it; with keys arrows, Space at each point, Enter."], taken: ["gone", "Mark leather as taken", "Drag over the leather that is taken, or click round it; with keys arrows, Space at each point, Enter."] };

export class HandBar {
  /** `found(words, flaw)` gets what was drawn; `hint(words)` says how a tool is used; `fill()` lays the rest. */
  constructor(host, view, hand, { draft, found, hint, fill }) {
    Object.assign(this, { host, view, hand, hint });
    const button = (id, text, key, act, full = null) => el("button", { type: "button", id, onclick: act, title: full, "aria-label": full }, el("span", { text }), key && el("kbd", { text: key }));
    this.lock = button("hand-lock", "Lock", "L", () => hand.lock());
    this.cut = button("hand-cut", "Cut", "C", () => hand.cut());
    this.gone = button("hand-gone", "Gone", "G", () => hand.gone());
    this.left = button("hand-left", "↺", "", () => hand.turn(TURN), "Turn left (R)");
    this.right = button("hand-right", "↻", "", () => hand.turn(-TURN), "Turn right (Shift-R)");
    this.drawing = { flaw: button("hand-flaw", "Flaw", "F", () => this.use("flaw"), "Flaw found at the bench (F)"), taken: button("hand-taken", "Taken", "T", () => this.use("taken"), "Taken: leather that is gone (T)") };
    for (const each of Object.values(this.drawing)) each.setAttribute("aria-pressed", "false");
    host.replaceChildren(this.left, this.right, this.lock, this.cut, this.gone, button("hand-all", "Lock all", "", () => hand.lockAll(true)),
      button("hand-none", "Unlock all", "", () => hand.lockAll(false)), this.drawing.flaw, this.drawing.taken,
      el("button", { type: "button", class: "main", id: "hand-fill", text: "Fill the rest", onclick: fill }));
    hand.draw = (name) => {
      this.use(name);
      return true;
    };
    const bench = { surface: view.surface, drawing: view.pen, hint, mend: { doubts: [] }, get hide() { return draft.content.hide; } };
    bench.cross = new Cross(bench, "found-words");
    this.tools = Object.fromEntries(Object.entries(FOUND).map(([name, [kind, words, how]]) => [name, ringTool(bench, {
      hint: how, ovals: true, finish: (outline) => {
        this.use(null);
        found(words, { kind, outline, grade: "none", clearance: "" });
      },
    })]));
  }

  /** Draw what was found, or take pieces in the hand again. */
  use(name) {
    const again = name && name === this.name ? null : name;
    if (this.name) this.tools[this.name].end();
    this.name = again;
    this.view.surface.tool = again ? this.#leaving(this.tools[again]) : this.view.tool;
    this.view.surface.host.classList.toggle("drawing", Boolean(again));
    for (const [each, button] of Object.entries(this.drawing)) button.setAttribute("aria-pressed", String(each === again));
    if (again) this.hint(`${FOUND[again][2]} Escape leaves off.`);
  }

  // Escape with nothing begun leaves the tool.
  #leaving(tool) {
    return { ...tool, key: (event) => {
      if (event.key === "Escape" && !this.view.pen.points.length) this.use(null);
      else return tool.key(event);
      return true;
    } };
  }

  /** What of it can be used with the piece that is chosen, or none. */
  tell(one) {
    const fast = Boolean(one && (one.cut || one.gone));
    for (const each of [this.lock, this.left, this.right]) each.disabled = !one || fast;
    for (const each of [this.cut, this.gone]) each.disabled = !one;
    const told = [[this.lock, one?.keep, "Lock", "Unlock"], [this.cut, one?.cut, "Cut", "Not cut"], [this.gone, one?.gone, "Gone", "Not gone"]];
    for (const [each, is, words, back] of told) each.firstChild.textContent = is ? back : words;
  }

  show(visible) {
    show(this.host, visible);
    if (!visible && this.name) this.use(null);
  }
}
