// What stands beside the hide about its photo: proposing, brushes, how true it can be, doubts, marks on the leather.

import { el, field, select, show } from "../drawing/element.js";
import { bounds } from "../pure/geometry.js";
import { look } from "../shell/look.js";
import { withProposedFlaw } from "../pure/shapes.js";

const GRADES = [["none", "not usable at all"], ["D", "usable as D"], ["C", "usable as C"], ["B", "usable as B"]];

export class PhotoSide {
  constructor(bench, acts) {
    this.bench = bench;
    this.draft = bench.draft;
    const strength = el("input", { type: "range", min: 0, max: 100, value: 100, oninput: (event) => bench.setStrength(event.target.value / 100) });
    this.brush = el("input", { type: "range", min: 0, max: 6, value: 3, id: "brush-width", oninput: (event) => bench.setBrush(Number(event.target.value)) });
    this.truth = el("p", { class: "estimate", id: "photo-truth" });
    this.photo = el("section", { "aria-label": "Photo" }, el("h3", { text: "Photo" }),
      el("div", { class: "row" },
        el("button", { type: "button", id: "propose", text: "Propose outline", onclick: () => acts.propose() }),
        el("button", { type: "button", text: "Move marks", onclick: () => acts.marks() })),
      el("p", { class: "note", text: "The proposal follows the floor's colour. Where it is off, paint leather or not leather; above all look along shadows." }),
      this.truth, field("Brush", this.brush), field("Strength of the photo", strength));
    this.doubts = el("section", { "aria-label": "In doubt", id: "doubts", "aria-live": "polite" });
    this.spots = el("section", { "aria-label": "Marks in the photo", id: "spots" });
    this.parts = [this.photo, this.doubts, this.spots];
  }

  update() {
    const { photo } = this.draft.content;
    for (const part of this.parts) show(part, Boolean(photo));
    if (!photo) return;
    this.brush.value = this.bench.brush ?? 3;
    this.truth.textContent = truthOf(photo);
    show(this.truth, Boolean(photo.marks && this.truth.textContent));
    this.#listDoubts();
    this.#listSpots(photo.spots || []);
  }

  #listDoubts() {
    const { doubts } = this.bench.mend;
    show(this.doubts, doubts.length > 0);
    const signature = JSON.stringify(doubts.map((doubt) => [doubt.words, doubt.at]));
    if (signature === this.doubted) return;
    this.doubted = signature;
    const line = (doubt, i) => el("li", { class: "doubted" }, el("span", { text: `${i + 1}. ${doubt.words[0].toUpperCase()}${doubt.words.slice(1)}` }),
      el("span", { class: "row" },
        el("button", { type: "button", class: "quiet", text: "Show", "aria-label": `Show doubt ${i + 1}`, onclick: () => this.bench.lookAt({ kind: "outline", index: 0 }, doubt.at) }),
        el("button", { type: "button", class: "quiet", text: "It is right", "aria-label": `Doubt ${i + 1}: it is right`, onclick: () => this.bench.mend.callRight(doubt) })));
    this.doubts.replaceChildren(el("h3", { text: "In doubt" }),
      el("p", { class: "note", text: "Drawn with dots on the outline. Paint there, or say that it is right." }),
      el("ul", { class: "faults" }, ...doubts.map(line)));
  }

  #listSpots(spots) {
    const signature = JSON.stringify([spots, look.chosen.length]);
    if (signature === this.listed) return;
    this.listed = signature;
    this.spots.replaceChildren(
      el("h3", { text: "Marks in the photo" }),
      el("p", { class: "note", text: "Places that differ from the leather about them. Nothing is a flaw until it is taken, and the photo does not show every flaw." }),
      el("div", { class: "row" }, el("button", { type: "button", id: "look-for-spots", text: "Look for marks", onclick: () => this.bench.mend.lookForSpots() }),
        ...(spots.length ? [el("button", { type: "button", class: "quiet", text: "Throw away all", onclick: () => this.#drop(spots, "Throw away all marks") })] : [])),
      ...spots.map((spot, i) => this.#card(spot, i)));
  }

  #card(spot, i) {
    const kind = el("input", { list: "flaw-kinds", maxlength: 40, value: "mark" });
    const grade = select(GRADES, "none");
    return el("div", { class: "item spot-card" },
      el("p", { class: "note", text: `${i + 1}. ${spotWords(spot)}.` }),
      el("div", { class: "pair" }, field("Kind", kind), field("Leather there is", grade)),
      el("div", { class: "row" },
        el("button", { type: "button", text: "Take", "aria-label": `Take mark ${i + 1} as a flaw`, onclick: () => this.#take(spot, kind.value, grade.value) }),
        el("button", { type: "button", text: "Throw away", "aria-label": `Throw away mark ${i + 1}`, onclick: () => this.#drop([spot], "Throw away a mark") }),
        el("button", { type: "button", class: "quiet", text: "Show", "aria-label": `Show mark ${i + 1}`, onclick: () => this.bench.lookAt({ kind: "outline", index: 0 }, spot.outline[0]) })));
  }

  #take(spot, kind, grade) {
    this.draft.change("Take a mark as a flaw", (content) => ({
      ...without(content, [spot]), hide: withProposedFlaw(content.hide, spot.outline, kind, grade),
    }));
  }

  #drop(spots, words) {
    this.draft.change(words, (content) => without(content, spots));
  }
}

function without(content, spots) {
  const gone = new Set(spots.map((spot) => JSON.stringify(spot.outline)));
  return { ...content, photo: { ...content.photo, spots: content.photo.spots.filter((spot) => !gone.has(JSON.stringify(spot.outline))) } };
}

/** What a mark looks like, its size in the page's units. */
function spotWords({ outline, darker, words }) {
  if (darker === undefined) return `${words[0].toUpperCase()}${words.slice(1)}`; // kept before the page told it
  const [x0, y0, x1, y1] = bounds(outline);
  return `${darker ? "Darker" : "Lighter"} than the leather about it, ${look.length(x1 - x0)} × ${look.length(y1 - y0)}`;
}

/** How true a photo's measures can be expected to be, where that is not enough. */
function truthOf(photo) {
  if (photo.middles || photo.check || (photo.lens ?? null) !== null) return "";
  return "The lens is not straightened and no distance checked: the area may be 2 to 5 % off. Move marks, and give a known distance or four more marks.";
}
