// A draft on a bench (a hide, a product): its contents with undo and redo, kept on the server after every change and, until that
// has happened, in this tab's own store, so that a reload loses nothing.

import { get, send } from "./api.js";
import { begin, changed, redone, undone } from "../pure/history.js";

const WAIT = 350;
const STORE_LIMIT = 1_500_000;

export class Draft extends EventTarget {
  /** `place` is where the server keeps drafts of this kind. */
  constructor(place = "/api/drafts") {
    super();
    this.place = place;
    this.id = null;
    this.tabs = "BroadcastChannel" in window ? new BroadcastChannel("hideplan-drafts") : null;
    if (this.tabs) this.tabs.onmessage = (event) => this.#otherTab(event.data);
    addEventListener("pagehide", () => this.#store());
  }

  /** What is on the bench now: hide, photo, show, plan. Never altered in place. */
  get content() {
    return this.history.now.content;
  }

  /** Begin a new draft with the given content. */
  async create(content) {
    const made = await send("POST", this.place, { ...content, aside: {} });
    this.#take(made.id, made.revision, content, {});
  }

  /** Open a kept draft. Changes this tab had not yet handed over come back with it. */
  async open(id) {
    const kept = await get(`${this.place}/${id}`);
    const { aside = {}, ...content } = kept.content;
    this.#take(kept.id, kept.revision, content, aside);
    const own = this.#stored(id);
    const ours = own && (own.revision === kept.revision || (own.saving && own.revision + 1 === kept.revision));
    if (ours) {
      this.history = { ...this.history, ...own.history };
      if (own.dirty || own.saving) {
        this.aside = own.aside;
        this.#changed();
      }
    }
    this.#tell("change");
  }

  #take(id, revision, content, aside) {
    this.id = id;
    this.revision = revision;
    this.history = begin(content);
    this.aside = aside;
    this.state = "kept";
    this.saving = null;
    this.dirty = false;
    this.#tell("state");
    this.#tell("opened");
    this.#tell("change");
  }

  /** Make one undoable step. `make(content)` gives the new content. Typing in one field (`kind`) is one step. */
  change(words, make, kind = null) {
    const content = make(this.content);
    if (content === this.content) return;
    this.history = changed(this.history, content, words, kind);
    this.#changed();
    this.#tell("change");
  }

  /** The same for the hide alone. */
  changeHide(words, make, kind = null) {
    this.change(words, (content) => ({ ...content, hide: make(content.hide) }), kind);
  }

  /** Keep something that is no step of the work (which run was made). */
  setAside(values) {
    this.aside = { ...this.aside, ...values };
    this.#changed();
    this.#tell("aside");
  }

  /** Alter what is no step of the work in the content (the file it was kept as): undo does not take it back. */
  amend(values) {
    const { history } = this;
    const withValues = (step) => ({ ...step, content: { ...step.content, ...values } });
    this.history = { ...history, now: withValues(history.now), past: history.past.map(withValues), future: history.future.map(withValues) };
    this.#changed();
    this.#tell("change");
  }

  undo() {
    this.#step(undone(this.history));
  }

  redo() {
    this.#step(redone(this.history));
  }

  #step(history) {
    if (history === this.history) return;
    this.history = history;
    this.#changed();
    this.#tell("change");
  }

  /** Hand over what is not yet kept; resolves when the server has it. */
  async flush() {
    clearTimeout(this.timer);
    if (this.saving) await this.saving;
    if (this.dirty && this.state !== "conflict") await this.#save();
  }

  /** After another tab was faster: keep this tab's work as a draft of its own. */
  async keepAsOwn() {
    const { history, aside } = this;
    const made = await send("POST", this.place, { ...this.content, aside });
    this.#take(made.id, made.revision, this.content, aside);
    this.history = history;
    this.#tell("change");
  }

  #changed() {
    this.dirty = true;
    if (this.state !== "conflict") this.#setState("waiting");
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.flush(), WAIT);
    this.#store();
  }

  async #save() {
    this.#setState("saving");
    this.dirty = false;
    this.saving = this.#hand();
    await this.saving;
    this.saving = null;
    if (this.dirty && this.state === "kept") this.#changed();
  }

  async #hand() {
    const id = this.id;
    try {
      const kept = await send("PUT", `${this.place}/${id}`, {
        revision: this.revision,
        content: { ...this.content, aside: this.aside },
      });
      if (id !== this.id) return;
      this.revision = kept.revision;
      this.#setState("kept");
      this.tabs?.postMessage({ id, revision: kept.revision });
    } catch (problem) {
      if (id !== this.id) return;
      this.dirty = true;
      this.#setState(problem.status === 409 ? "conflict" : "unkept", problem.message);
      if (problem.status !== 409) this.timer = setTimeout(() => this.flush(), 3000);
    }
    this.#store();
  }

  #otherTab(told) {
    if (told.id !== this.id || told.revision <= this.revision) return;
    if (this.dirty || this.saving) this.#setState("conflict");
    else this.open(this.id).then(() => this.#tell("followed"));
  }

  #setState(state, words = "") {
    this.state = state;
    this.stateWords = words;
    this.#tell("state");
  }

  #tell(name) {
    this.dispatchEvent(new Event(name));
  }

  #store() {
    if (!this.id) return;
    const { now, past, future } = this.history;
    let steps = { now, past: past.slice(-60), future: future.slice(0, 20) };
    const make = () => JSON.stringify({
      revision: this.revision, dirty: this.dirty, saving: Boolean(this.saving), aside: this.aside, history: steps,
    });
    let text = make();
    while (text.length > STORE_LIMIT && (steps.past.length || steps.future.length)) {
      steps = { now, past: steps.past.slice(Math.ceil(steps.past.length / 2)), future: [] };
      text = make();
    }
    try {
      sessionStorage.setItem(`draft-${this.id}`, text);
    } catch {
      sessionStorage.clear();
    }
  }

  #stored(id) {
    try {
      return JSON.parse(sessionStorage.getItem(`draft-${id}`));
    } catch {
      return null;
    }
  }
}
