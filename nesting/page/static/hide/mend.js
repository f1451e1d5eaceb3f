// The outline mended on the flat photo: strokes and stretches go to the program, its answer becomes a step of the work.
// What is in doubt is asked for whenever the outline has changed, and drawn over it.

import { send } from "../shell/api.js";
import { pathOf, svg } from "../drawing/element.js";
import { say, trying } from "../shell/notice.js";
import { distance } from "../pure/geometry.js";
import { floorOf } from "../pure/lens.js";

const WAIT = 500;
const SEEN_NEAR = 40;
const OUTLINE = { kind: "outline", index: 0, point: null };

export class Mend {
  constructor(bench) {
    this.bench = bench;
    this.draft = bench.draft;
    this.waiting = Promise.resolve();
    this.found = [];
    this.lines = svg("g");
    this.wet = svg("g");
    this.spots = svg("g");
    bench.surface.world.append(this.lines, this.spots, this.wet);
    this.draft.addEventListener("opened", () => this.#forget());
  }

  /** The photo's marks as the program wants them, or null where the photo is not laid flat. */
  get floor() {
    const { photo } = this.draft.content;
    return photo?.marks ? floorOf(photo) : null;
  }

  /** Stretches in doubt that nobody has called right. */
  get doubts() {
    const seen = this.draft.content.photo?.seen || [];
    return this.found.filter((doubt) => !seen.some((place) => distance(place, doubt.at) < SEEN_NEAR));
  }

  /** Paint: the outline follows. One stroke waits for the other. */
  paint(stroke) {
    const wet = this.#wet(stroke);
    this.wet.append(wet);
    return this.#inTurn(async () => {
      const strokes = [...(this.draft.content.photo.strokes || []), stroke];
      const words = stroke.leather ? "Paint leather" : "Paint what is not leather";
      await this.#mended("strokes", { strokes }, words, (photo) => ({ ...photo, strokes }));
    }).finally(() => wet.remove());
  }

  /** Snap the stretch between two places to the edge; each end may move by `within` mm. */
  stretch(ends, within) {
    return this.#inTurn(() => this.#mended("stretch", { ends, within }, "Snap a stretch to the edge", (photo) => photo));
  }

  /** Look for marks on the leather; they are only proposed. */
  async lookForSpots() {
    const told = await this.#asked("spots", {});
    if (!told) return;
    this.draft.change("Look for marks on the leather", (content) => ({ ...content, photo: { ...content.photo, spots: told.spots } }));
    say(told.spots.length ? `${told.spots.length === 1 ? "One mark" : `${told.spots.length} marks`} found. Take, grade or throw away each.` : "No marks stand out on the leather. Look at the hide all the same.");
  }

  /** Call a stretch right as it is. */
  callRight(doubt) {
    this.draft.change("Call a stretch right", (content) => ({ ...content, photo: { ...content.photo, seen: [...(content.photo.seen || []), doubt.at] } }));
  }

  /** The outline was proposed or drawn by the program: its doubts came with it. */
  take(outline, doubts) {
    this.of = outline;
    this.found = doubts.map((doubt) => ({ ...doubt, at: doubt.line[Math.floor(doubt.line.length / 2)] }));
  }

  /** After every change: draw what is known, ask anew where the outline is another; until then the old doubts stand. */
  refresh() {
    const { hide } = this.draft.content;
    if (!this.floor || !hide.outline?.length) this.#forget();
    else if (hide.outline !== this.of) {
      clearTimeout(this.timer);
      this.timer = setTimeout(() => this.#ask(hide), WAIT);
    }
    this.lines.replaceChildren(...this.doubts.map((doubt) => svg("path", { class: "doubt", d: pathOf(doubt.line, false) })));
    const spots = this.floor ? this.draft.content.photo.spots || [] : [];
    this.spots.replaceChildren(...spots.map((spot) => svg("path", { class: "spot", d: pathOf(spot.outline) })));
  }

  async #ask(hide) {
    const floor = this.floor;
    if (!floor || this.draft.content.hide.outline !== hide.outline) return;
    try {
      const told = await send("POST", `/api/photos/${this.draft.content.photo.id}/doubts`, { ...floor, outline: hide.outline, holes: hide.holes });
      if (this.draft.content.hide.outline !== hide.outline) return;
      this.take(hide.outline, told.doubts);
      this.bench.refresh();
    } catch {
      this.take(hide.outline, []); // an outline that cannot be looked at has no doubts; what is wrong with it is told elsewhere
    }
  }

  async #mended(way, more, words, photoAfter) {
    const before = this.draft.content;
    const told = await this.#asked(way, more);
    if (!told) return;
    if (this.draft.content.hide.outline !== before.hide.outline || this.draft.id !== this.id) return say("The outline was changed meanwhile; paint once more.", true);
    this.draft.change(words, (content) => ({
      ...content, photo: photoAfter(content.photo), hide: { ...content.hide, outline: told.outline, holes: told.holes },
    }));
    this.bench.choice = OUTLINE;
    this.bench.refresh();
  }

  #asked(way, more) {
    const { hide, photo } = this.draft.content;
    this.id = this.draft.id;
    return trying(() => send("POST", `/api/photos/${photo.id}/${way}`, { ...this.floor, outline: hide.outline, holes: hide.holes, ...more }));
  }

  #inTurn(work) {
    this.waiting = this.waiting.then(work, work);
    return this.waiting;
  }

  #forget() {
    clearTimeout(this.timer);
    this.of = null;
    this.found = [];
  }

  #wet({ line, radius, leather }) {
    const path = line.length > 1 ? pathOf(line, false) : `M${line[0][0]} ${line[0][1]}h0.01`;
    return svg("path", { class: leather ? "wet of-leather" : "wet", d: path, "stroke-width": 2 * radius });
  }

  /** The stroke being painted; null takes it away. */
  drawWet(stroke) {
    this.now?.remove();
    this.now = stroke && this.#wet(stroke);
    if (this.now) this.wet.append(this.now);
  }
}

/** A photo's strokes, marks and what was called right, after its marks were set anew: `move(ring)` carries places over. */
export function movedPhoto(photo, move) {
  const rings = (list, key) => list?.map((item) => ({ ...item, [key]: move(item[key]) }));
  return { ...photo, strokes: rings(photo.strokes, "line"), spots: rings(photo.spots, "outline"), seen: photo.seen && move(photo.seen) };
}
