// What is on the desk beside the hides: the order being written, the comparison being made. Kept after every change.

import { get, send } from "./api.js";
import { trying } from "./notice.js";

const WAIT = 400;

export class Desk {
  constructor() {
    this.content = {};
    addEventListener("pagehide", () => this.#keep());
  }

  async load() {
    this.content = (await trying(() => get("/api/desk"))) || {};
  }

  change(values) {
    this.content = { ...this.content, ...values };
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.#keep(), WAIT);
  }

  #keep() {
    if (!this.timer) return;
    clearTimeout(this.timer);
    this.timer = 0;
    trying(() => send("PUT", "/api/desk", this.content, true));
  }
}
