// A search under way: its progress, and the button that stops it and keeps the best so far.

import { get } from "./api.js";
import { el, show } from "../drawing/element.js";
import { follow, stop } from "./follow.js";
import { putAway, say, trying } from "./notice.js";

const BUSY = ["working", "stopping"];

export class RunPanel {
  /** `grew(shown)` gets what the search holds so far. `done(told)` gets the answer; `changed()` hears whenever the search begins or ends.
   * `answer()` is where the answer stands: the keyboard goes there when its button goes away with the search.
   */
  constructor({ done, changed, answer, grew = null, stopId = "stop" }) {
    this.answer = answer;
    this.done = done;
    this.changed = changed;
    this.grew = grew;
    this.bar = el("progress", { max: 1, "aria-label": "Progress of the search" });
    this.stage = el("p", { class: "note", role: "status" });
    this.stopButton = el("button", { type: "button", class: "stop", id: stopId, text: "Stop, keep the best", onclick: () => this.stop() });
    this.element = el("div", { class: "stack working" }, this.bar, this.stage, this.stopButton);
    this.state = null;
    this.#draw();
  }

  get busy() {
    return Boolean(this.state && BUSY.includes(this.state.state));
  }

  /** Take up a run of which only its name is known: its answer, or its progress. */
  async resume(id) {
    this.leave();
    if (!id) return;
    const told = await get(`/api/runs/${id}`).catch(() => null);
    if (told && BUSY.includes(told.state)) this.follow(id);
    else if (told?.state === "done") await this.done(told);
  }

  follow(id) {
    this.leave();
    putAway();
    this.run = id;
    this.state = { state: "working", stage: "starting", fraction: 0, best: "" };
    this.#draw();
    this.close = follow(id, (state) => this.#told(id, state));
    this.changed();
  }

  leave() {
    this.close?.();
    this.close = null;
    this.run = null;
    this.state = null;
    this.#draw();
  }

  async stop() {
    this.stopButton.disabled = true;
    await trying(() => stop(this.run));
    this.stopButton.disabled = false;
  }

  async #told(id, state) {
    if (id !== this.run) return;
    this.state = state;
    const held = [this.stopButton, document.body].includes(document.activeElement);
    if (state.shown) this.grew?.(state.shown);
    this.#draw();
    if (BUSY.includes(state.state)) return;
    if (state.state === "failed") say(state.problem, true);
    else {
      const answer = await trying(() => get(`/api/runs/${id}`));
      if (answer && id === this.run) await this.done(answer);
    }
    this.changed();
    if (held) this.answer().focus({ preventScroll: true });
  }

  #draw() {
    show(this.element, this.busy);
    if (!this.busy) return;
    const { state, stage, fraction, best } = this.state;
    this.bar.value = fraction;
    const found = best ? ` Best so far: ${best}.` : "";
    this.stage.textContent = state === "stopping" ? `Stopping; the best so far is being checked.${found}` : `${stage[0].toUpperCase()}${stage.slice(1)}.${found}`;
  }
}
