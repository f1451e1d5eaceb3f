// What of a layout is cut: kept with the layout in the folder, and in this browser until the folder has it.

import { get, send } from "../shell/api.js";

const AGAIN = 3000;

export class Ticks {
  constructor(run, changed) {
    this.run = run;
    this.changed = changed;
    this.cut = new Set();
  }

  /** Take up what was kept; what this browser could not hand over yet comes first. */
  async open() {
    this.standing = await get(`/api/runs/${this.run}/cutting`);
    const own = this.#own();
    this.cut = new Set(own ?? this.standing.cut);
    if (own) await this.#hand();
  }

  has(pieces) {
    return pieces.every((place) => this.cut.has(place));
  }

  /** Tick pieces off, or take the tick back. */
  set(pieces, on) {
    for (const place of pieces) {
      if (on) this.cut.add(place);
      else this.cut.delete(place);
    }
    this.#store(JSON.stringify([...this.cut]));
    this.changed();
    return this.#hand();
  }

  async #hand() {
    clearTimeout(this.timer);
    const cut = [...this.cut];
    try {
      await send("PUT", `/api/runs/${this.run}/cutting`, { cut });
      if (cut.length === this.cut.size) this.#store(null);
      this.waiting = false;
    } catch {
      this.waiting = true;
      this.timer = setTimeout(() => this.#hand(), AGAIN);
    }
    this.changed();
  }

  get #key() {
    return `cutting-${this.run}`;
  }

  #own() {
    try {
      return JSON.parse(localStorage.getItem(this.#key));
    } catch {
      return null;
    }
  }

  #store(text) {
    try {
      if (text === null) localStorage.removeItem(this.#key);
      else localStorage.setItem(this.#key, text);
    } catch {
      // a browser without a store of its own: the folder has it a moment later
    }
  }
}
