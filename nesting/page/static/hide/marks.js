// The photo as it was taken, with the four marks of the measured rectangle and, if wanted, a check distance.

import { byId, el, field, pathOf, select, svg } from "../drawing/element.js";
import { carried, distance, homography, isConvexQuad, nearestVertex } from "../pure/geometry.js";
import { Loupe } from "../drawing/loupe.js";
import { Surface } from "../drawing/surface.js";
import { lengthMm, showLength, showShare } from "../pure/units.js";
import { wireZoomers } from "../drawing/zoomers.js";

const NAMES = ["1", "2", "3", "4", "A", "B"];
const OFF = 0.01;

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
  open(photo, unit) {
    this.photo = photo;
    this.href = `/api/photos/${photo.id}/preview.jpg`;
    const { width, height } = photo;
    const inset = (x, y) => [Math.round(width * x), Math.round(height * y)];
    this.points = [...(photo.marks || [inset(0.1, 0.1), inset(0.9, 0.1), inset(0.9, 0.9), inset(0.1, 0.9)]),
      ...(photo.check?.points || [])];
    this.image.setAttribute("href", this.href);
    this.image.setAttribute("width", width);
    this.image.setAttribute("height", height);
    this.unit.value = unit;
    const shown = (mm) => (mm ? showLength(mm, unit) : "");
    this.wide.value = shown(photo.size?.[0]);
    this.high.value = shown(photo.size?.[1]);
    this.checkLength.value = shown(photo.check?.length);
    this.withCheck.checked = Boolean(photo.check);
    this.#checkToggled();
    this.surface.forget();
    this.surface.span([0, 0, width, height], photo.id);
    this.#draw();
  }

  #side(host) {
    this.unit = select([["mm", "mm"], ["cm", "cm"], ["in", "in"]], "mm");
    this.wide = el("input", { id: "mark-width", inputmode: "decimal", placeholder: "2400 mm" });
    this.high = el("input", { id: "mark-height", inputmode: "decimal", placeholder: "1500 mm" });
    this.withCheck = el("input", { type: "checkbox", id: "with-check" });
    this.checkLength = el("input", { id: "check-length", inputmode: "decimal", placeholder: "1000 mm" });
    this.checkField = field("Its true length", this.checkLength);
    this.checkWords = el("p", { class: "note", role: "status" });
    const use = el("button", { type: "button", class: "main", id: "use-marks", text: "Use these marks", onclick: () => this.#use() });
    host.replaceChildren(
      el("section", {}, el("h3", { text: "Four marks" }), sketch(),
        el("p", { class: "note", text: "Lay out a rectangle round the hide with a tape: four coins or corners of tape. The wider it is, the truer the measure." }),
        el("div", { class: "three" }, field("Width, 1 to 2", this.wide), field("Depth, 2 to 3", this.high), field("Unit", this.unit))),
      el("section", {}, el("label", { class: "check" }, this.withCheck, el("span", { text: "Check with a known distance" })), this.checkField, this.checkWords),
      el("section", {}, use, el("button", { type: "button", text: "Back", id: "leave-marks", onclick: () => this.acts.back() })));
    this.withCheck.addEventListener("change", () => this.#checkToggled());
    for (const input of [this.wide, this.high, this.checkLength, this.unit]) input.addEventListener("input", () => this.#check());
  }

  #checkToggled() {
    const on = this.withCheck.checked;
    this.checkField.hidden = !on;
    if (on && this.points.length === 4) {
      const { width, height } = this.photo;
      this.points = [...this.points, [width * 0.35, height * 0.5], [width * 0.65, height * 0.5]];
    }
    if (!on) this.points = this.points.slice(0, 4);
    this.chosen = Math.min(this.chosen, this.points.length - 1);
    this.#draw();
    this.#check();
  }

  get #size() {
    return [lengthMm(this.wide.value, this.unit.value), lengthMm(this.high.value, this.unit.value)];
  }

  /** Tell how the check distance comes out. */
  #check() {
    const [width, height] = this.#size;
    const told = lengthMm(this.checkLength.value, this.unit.value);
    this.checkWords.textContent = "";
    if (!this.withCheck.checked || !width || !height || !told) return;
    const map = homography(this.points.slice(0, 4), [[0, height], [width, height], [width, 0], [0, 0]]);
    if (!map) return;
    const measured = distance(carried(map, this.points[4]), carried(map, this.points[5]));
    const off = measured / told - 1;
    const words = `The photo gives ${showLength(measured, this.unit.value)}: ${showShare(Math.abs(off))} off.`;
    this.checkWords.textContent = Math.abs(off) > OFF
      ? `${words} More than 1 % is too much: look at the marks and the tape, or take the photo from higher up.`
      : `${words} That is good.`;
  }

  #use() {
    const [width, height] = this.#size;
    const marks = this.points.slice(0, 4);
    if (!(width > 0) || !(height > 0)) return this.acts.say("Give the rectangle's width and depth, for example 2400 mm and 1500 mm.");
    if (!isConvexQuad(marks)) return this.acts.say("The four marks must go round in order: 1 top left, 2 top right, 3 bottom right, 4 bottom left.");
    const told = lengthMm(this.checkLength.value, this.unit.value);
    const check = this.withCheck.checked && told ? { points: this.points.slice(4), length: told } : null;
    return this.acts.use({ ...this.photo, marks, size: [width, height], check });
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
      release: () => this.loupe.hide(),
      tap: () => this.loupe.hide(),
      cancel: () => this.loupe.hide(),
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
    if (!this.points) return;
    this.lines.setAttribute("d", pathOf(this.points.slice(0, 4)));
    this.checkLine.setAttribute("d", pathOf(this.points.slice(4), false));
    this.dots.replaceChildren(...this.points.flatMap((point, i) => {
      const [x, y] = this.surface.toScreen(point);
      return [
        svg("circle", { class: i === this.chosen ? "mark chosen" : "mark", cx: x, cy: y, r: 13 }),
        svg("circle", { class: "mark-dot", cx: x, cy: y, r: 2 }),
        svg("text", { class: "mark-name", x: x + 16, y: y - 12, text: NAMES[i] }),
      ];
    }));
  }
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
