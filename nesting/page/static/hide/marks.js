// The photo as it was taken, with the four marks of the measured rectangle and, if wanted, a check distance.

import { byId, el, field, pathOf, select, svg } from "../drawing/element.js";
import { distance, isConvexQuad, nearestVertex } from "../pure/geometry.js";
import { floorMap } from "../pure/lens.js";
import { Loupe } from "../drawing/loupe.js";
import { Surface } from "../drawing/surface.js";
import { lengthMm, showLength, showShare } from "../pure/units.js";
import { wireZoomers } from "../drawing/zoomers.js";

const CORNERS = ["1", "2", "3", "4"], SIDES = ["1–2", "2–3", "3–4", "4–1"], CHECK = ["A", "B"];
const OFF = 0.01;
const MOST_BEND = 0.29;
const HINT = "Drag the four marks onto the corners of the rectangle you laid out round the hide. Type its width and depth, then Use these marks.";
const LENS_HINT = "Drag marks 1 to 4 onto the corners of the rectangle, and one more onto each side, about half way. Type its width and depth, then Use these marks.";

export class Marks {
  constructor(acts) {
    this.acts = acts;
    this.surface = new Surface(byId("marks-surface"), { flip: false, label: "The photo. N and P choose a mark, arrows move it, plus, minus and 0 zoom." });
    this.loupe = new Loupe(byId("marks-loupe"));
    this.image = svg("image", { preserveAspectRatio: "none" });
    this.lines = svg("path", { class: "mark-line", "vector-effect": "non-scaling-stroke" });
    this.checkLine = svg("path", { class: "mark-line", "vector-effect": "non-scaling-stroke" });
    this.surface.world.append(this.image, this.lines, this.checkLine);
    this.dots = svg("g");
    this.surface.overlay.append(this.dots);
    this.surface.onView = () => this.#draw();
    this.surface.tool = this.#tool();
    this.chosen = 0;
    wireZoomers(this.surface);
    this.#side(byId("marks-side"));
  }

  /** Show a photo {id, width, height, marks, size, check} and let its marks be set. */
  open(photo, unit, marking = null) {
    this.photo = photo;
    this.href = `/api/photos/${photo.id}/preview.jpg`;
    const { width, height } = photo;
    this.image.setAttribute("href", this.href);
    this.image.setAttribute("width", width);
    this.image.setAttribute("height", height);
    this.shownUnit = unit;
    this.#take(marking || this.#asUsed(photo, unit));
    this.surface.forget();
    this.surface.span([0, 0, width, height], photo.id);
    this.#draw();
  }

  /** An undone or redone step, or another tab's. */
  follow(photo, marking) {
    if (marking === this.kept) return;
    this.photo = photo;
    this.#take(marking || this.#asUsed(photo, this.shownUnit));
  }

  /** The marks as they were used last, or where they begin; the check distance is led to unless the lens is known. */
  #asUsed(photo, unit) {
    const shown = (mm) => (mm ? showLength(mm, unit) : "");
    return {
      corners: photo.marks || begun(photo),
      middles: photo.middles || [], ends: photo.check?.points || (photo.marks || photo.middles ? [] : this.#anywhere(photo)), unit,
      known: (photo.lens ?? null) !== null || (!photo.marks && (photo.known ?? null) !== null),
      wide: shown(photo.size?.[0]), high: shown(photo.size?.[1]), told: shown(photo.check?.length),
    };
  }

  #anywhere({ width, height }) {
    return [[width * 0.35, height * 0.5], [width * 0.65, height * 0.5]];
  }

  #take(marking) {
    this.kept = marking;
    [this.corners, this.middles, this.ends] = [marking.corners, marking.middles, marking.ends];
    this.withCheck.checked = this.ends.length > 0;
    this.withLens.checked = this.middles.length > 0;
    this.withKnown.checked = Boolean(marking.known) && !this.withLens.checked;
    this.knownField.hidden = (this.photo.known ?? null) === null;
    this.checkField.hidden = !this.withCheck.checked;
    for (const [input, value] of [[this.wide, marking.wide], [this.high, marking.high], [this.checkLength, marking.told], [this.unit, marking.unit]]) {
      if (document.activeElement !== input || input.value === "") input.value = value;
    }
    this.chosen = Math.min(this.chosen, this.points.length - 1);
    this.#draw();
    this.#check();
  }

  /** Keep the screen as it is as a step of the work. */
  #keep(words, kind = null) {
    this.kept = {
      corners: this.corners, middles: this.middles, ends: this.ends, known: this.withKnown.checked, unit: this.unit.value,
      wide: this.wide.value, high: this.high.value, told: this.checkLength.value,
    };
    this.acts.keep(words, this.kept, kind);
  }

  #side(host) {
    this.unit = select([["mm", "mm"], ["cm", "cm"], ["in", "in"]], "mm");
    this.wide = el("input", { id: "mark-width", inputmode: "decimal", placeholder: "2400 mm" });
    this.high = el("input", { id: "mark-height", inputmode: "decimal", placeholder: "1500 mm" });
    this.withCheck = el("input", { type: "checkbox", id: "with-check" });
    this.checkLength = el("input", { id: "check-length", inputmode: "decimal", placeholder: "1000 mm" });
    this.checkField = el("div", { class: "side-part" },
      el("p", { class: "note", text: "Put A and B on the ends of something measured, as long as can be: the hide itself, a board, a tape." }), field("Its true length", this.checkLength));
    this.checkWords = el("p", { class: "note", role: "status" });
    this.withLens = el("input", { type: "checkbox", id: "with-lens" });
    this.withKnown = el("input", { type: "checkbox", id: "with-known-lens" });
    this.knownField = el("label", { class: "check", hidden: true }, this.withKnown, el("span", { text: "Straighten it as found before for this camera" }));
    this.lensWords = el("p", { class: "note", role: "status" });
    const use = el("button", { type: "button", class: "main", id: "use-marks", text: "Use these marks", onclick: () => this.#use() });
    host.replaceChildren(
      el("section", {}, el("h3", { text: "Four marks" }), sketch(),
        el("p", { class: "note", text: "Lay out a rectangle round the hide with a tape: four coins or corners of tape. The wider it is, the truer the measure." }),
        el("div", { class: "three" }, field("Width, 1 to 2", this.wide), field("Depth, 2 to 3", this.high), field("Unit", this.unit))),
      el("section", {}, el("label", { class: "check" }, this.withLens, el("span", { text: "Straighten the lens by four more marks" })), this.knownField, this.lensWords),
      el("section", {}, el("label", { class: "check" }, this.withCheck, el("span", { text: "Check with a known distance" })),
        this.checkField, this.checkWords),
      el("section", { class: "go-on" }, use, el("button", { type: "button", text: "Back", id: "leave-marks", onclick: () => this.acts.back() })));
    this.withCheck.addEventListener("change", () => {
      this.#checkToggled();
      this.#keep(this.withCheck.checked ? "Check a distance" : "Leave the check distance out");
    });
    this.withLens.addEventListener("change", () => {
      if (this.withLens.checked && !this.checkLength.value.trim()) this.withCheck.checked = false;
      if (this.withLens.checked) this.withKnown.checked = false;
      this.#checkToggled();
      this.#keep(this.withLens.checked ? "Straighten the lens" : "Leave the lens as it is");
    });
    this.withKnown.addEventListener("change", () => {
      if (this.withKnown.checked) this.withLens.checked = false;
      this.#lensToggled();
      this.#keep(this.withKnown.checked ? "Straighten the lens as found before" : "Leave the lens as it is");
    });
    for (const input of [this.wide, this.high, this.checkLength, this.unit]) {
      input.addEventListener("input", () => {
        this.#check();
        this.#keep("Type a size", `mark-${input.id || "unit"}`);
      });
    }
  }

  #checkToggled() {
    const on = this.withCheck.checked;
    this.checkField.hidden = !on;
    if (on && !this.ends.length) this.ends = this.#anywhere(this.photo);
    if (!on) this.ends = [];
    this.#lensToggled();
  }

  /** Four more marks, one amid each side, or none. */
  #lensToggled() {
    const amid = (a, b) => [Math.round((a[0] + b[0]) / 2), Math.round((a[1] + b[1]) / 2)];
    if (!this.withLens.checked) this.middles = [];
    else if (!this.middles.length) this.middles = this.corners.map((corner, i) => amid(corner, this.corners[(i + 1) % 4]));
    this.chosen = Math.min(this.chosen, this.points.length - 1);
    this.#draw();
    this.#check();
  }

  /** All marks in their order: corners, those amid the sides, the ends of the check distance. */
  get points() {
    return [...this.corners, ...this.middles, ...this.ends];
  }

  set points(all) {
    const amid = this.middles.length;
    [this.corners, this.middles, this.ends] = [all.slice(0, 4), all.slice(4, 4 + amid), all.slice(4 + amid)];
  }

  get #names() {
    return [...CORNERS, ...(this.middles.length ? SIDES : []), ...CHECK];
  }

  /** The photo as it is marked now. */
  #marked(size) {
    return { ...this.photo, marks: this.corners, middles: this.middles.length ? this.middles : null, lens: this.withKnown.checked ? this.photo.known : null, size };
  }

  get #size() {
    return [lengthMm(this.wide.value, this.unit.value), lengthMm(this.high.value, this.unit.value)];
  }

  /** Tell how the check distance comes out. */
  #check() {
    const [width, height] = this.#size;
    const told = lengthMm(this.checkLength.value, this.unit.value);
    this.#tellLens(width, height);
    this.checkWords.textContent = "";
    if (!this.withCheck.checked || !width || !height || !told) return;
    const map = floorMap(this.#marked([width, height]));
    if (!map) return;
    const measured = distance(map.toMm(this.ends[0]), map.toMm(this.ends[1]));
    const off = measured / told - 1;
    const words = `The photo gives ${showLength(measured, this.unit.value)}: ${showShare(Math.abs(off))} off.`;
    this.checkWords.textContent = Math.abs(off) > OFF
      ? `${words} More than 1 % is too much: look at the marks and the tape, or take the photo from higher up.`
      : `${words} That is good.`;
  }

  #tellLens(width, height) {
    const known = this.withKnown.checked;
    byId("marks-hint").textContent = this.middles.length ? LENS_HINT : HINT;
    this.lensWords.textContent = cameraWords(this.photo) + (this.middles.length
      ? "Put the four more marks on the sides, about half way: on the tape or the floor's straight edge."
      : known ? "Eight marks on a photo taken alike have told how its lens bends; that is used here. Expect the area within about 1 %."
        : "A phone's wide lens may take or add 2 to 5 % of the area. Four more marks, one amid each side, bring it within about 0.5 %.")
      + (this.photo.alike && !known ? " What they find is kept for the next photo taken alike." : "");
    if (!(this.middles.length || known) || !width || !height) return;
    const bend = Math.abs(floorMap(this.#marked([width, height]))?.lens.k ?? 0);
    this.lensWords.textContent += bend > MOST_BEND ? " The lens would bend too much: look at the marks amid the sides."
      : ` The lens bends the picture's corners by ${showShare(bend)}.`;
  }

  #use() {
    const [width, height] = this.#size;
    const marks = this.corners;
    const told = lengthMm(this.checkLength.value, this.unit.value);
    const checked = this.withCheck.checked && this.checkLength.value.trim() !== "";
    const lengths = [[this.wide, width, "rectangle's width", "2400 mm"], [this.high, height, "rectangle's depth", "1500 mm"]];
    if (checked) lengths.push([this.checkLength, told, "true length from A to B", "1000 mm"]);
    const wrong = lengths.find(([, mm]) => !(mm > 0));
    if (wrong) {
      const [input, , name, like] = wrong, typed = input.value.trim();
      input.focus();
      return this.acts.say(`${typed ? `“${typed.slice(0, 40)}” is no length. ` : ""}Give the ${name}, for example ${like}.`);
    }
    if (!isConvexQuad(marks)) return this.acts.say("The four marks must go round in order: 1 top left, 2 top right, 3 bottom right, 4 bottom left.");
    if (JSON.stringify(marks) === JSON.stringify(begun(this.photo))) {
      return this.acts.say("The marks lie where the page put them: drag 1 to 4 onto the corners of your rectangle.");
    }
    const check = checked ? { points: this.ends, length: told } : null;
    return this.acts.use({ ...this.#marked([width, height]), check });
  }

  #tool() {
    let moving = null;
    const places = () => this.points.map((point) => this.surface.toScreen(point));
    return {
      press: (place) => {
        const found = nearestVertex(places(), place.screen);
        moving = found && found.distance <= (place.touch ? 34 : 22) ? found.index : null;
        if (moving === null) return false;
        this.chosen = moving;
        this.#draw();
        this.#showLoupe(place.screen);
        return true;
      },
      drag: (place) => {
        this.points = this.points.map((old, i) => (i === moving ? this.#clamped(place.world) : old));
        this.#draw();
        this.#showLoupe(place.screen);
        this.#check();
      },
      release: () => {
        this.loupe.hide();
        this.#keep("Move a mark");
      },
      tap: () => this.loupe.hide(),
      cancel: () => {
        this.loupe.hide();
        this.#take(this.kept);
      },
      key: (event) => this.#key(event),
    };
  }

  #key(event) {
    const step = (event.shiftKey ? 20 : 1) * Math.max(1, this.photo.width / 2000);
    const arrows = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, -step], ArrowDown: [0, step] };
    const count = this.points.length;
    if (event.key === "n") this.chosen = (this.chosen + 1) % count;
    else if (event.key === "p") this.chosen = (this.chosen + count - 1) % count;
    else if (event.key in arrows) {
      const [dx, dy] = arrows[event.key];
      this.points = this.points.map(([x, y], i) => (i === this.chosen ? this.#clamped([x + dx, y + dy]) : [x, y]));
      this.#check();
      this.#keep("Move a mark", `mark-${this.chosen}`);
    } else return false;
    this.#draw();
    this.#showLoupe(this.surface.toScreen(this.points[this.chosen]));
    return true;
  }

  #clamped([x, y]) {
    return [Math.min(this.photo.width, Math.max(0, x)), Math.min(this.photo.height, Math.max(0, y))];
  }

  #showLoupe(screen) {
    const { width, height } = this.photo;
    this.loupe.show({
      href: this.href, box: [0, 0, width, height], flip: false, at: this.points[this.chosen],
      radius: Math.min(24 * this.surface.pixel, width / 24), screen, width: this.surface.size.width,
    });
  }

  #draw() {
    if (!this.corners) return;
    const round = this.middles.length ? this.corners.flatMap((corner, i) => [corner, this.middles[i]]) : this.corners;
    this.lines.setAttribute("d", pathOf(round));
    this.checkLine.setAttribute("d", pathOf(this.ends, false));
    this.dots.replaceChildren(...this.points.flatMap((point, i) => {
      const [x, y] = this.surface.toScreen(point);
      return [
        svg("circle", { class: i === this.chosen ? "mark chosen" : "mark", cx: x, cy: y, r: 13 }),
        svg("circle", { class: "mark-dot", cx: x, cy: y, r: 2 }),
        svg("text", { class: "mark-name", x: x + 16, y: y - 12, text: this.#names[i] }),
      ];
    }));
  }
}

/** Where the corners' marks lie before anybody moves them. */
function begun({ width, height }) {
  return [[0.1, 0.1], [0.9, 0.1], [0.9, 0.9], [0.1, 0.9]].map(([x, y]) => [Math.round(width * x), Math.round(height * y)]);
}

/** What the photo's own data say of its camera. */
function cameraWords({ camera, wide }) {
  if (!camera) return "";
  return `Taken with ${camera}. ${wide ? "So wide a lens bends most: better take the photo from higher up with a longer one. " : ""}`;
}

function sketch() {
  const parts = [
    svg("rect", { x: 14, y: 12, width: 152, height: 76, fill: "none", stroke: "#8d8372", "stroke-dasharray": "4 3" }),
    svg("path", { d: "M40 24q30 8 60-2t44 10q8 20-4 40-50 10-96 2-14-26-4-50z", fill: "#dcb384", stroke: "#6b431f" }),
  ];
  const corners = [[14, 12, "1"], [166, 12, "2"], [166, 88, "3"], [14, 88, "4"]];
  for (const [x, y, name] of corners) {
    parts.push(svg("circle", { cx: x, cy: y, r: 9, fill: "#1f4a44" }), svg("text", { class: "label", x, y, text: name }));
  }
  const picture = svg("svg", { viewBox: "0 0 180 100", width: "180", role: "img", "aria-label": "A hide inside a rectangle with corners 1 top left, 2 top right, 3 bottom right, 4 bottom left" }, ...parts);
  return picture;
}
