// Draws a hide on a surface: photo, leather, zones, flaws, backbone in the world; handles and marks on top.

import { pathOf, svg } from "./element.js";
import { groundImage } from "./ground.js";
import { bounds, labelPlace, thin } from "../pure/geometry.js";
import { choices, ringOf, sameShape } from "../pure/shapes.js";
import { mmOf } from "../pure/units.js";
import { Pen } from "./pen.js";

const HANDLE_GAP = 15;
const STYLE = { outline: "leather", hole: "hole", flaw: "flaw", zone: "zone-area" };

/** The parts of a hide as SVG elements, for the bench and for the plan alike; `clipped` shows zones only on the leather. */
export function hideParts(hide, chosen = null, clipped = false) {
  const order = ["outline", "hole", "zone", "flaw"];
  const parts = [];
  for (const kind of order) {
    for (const choice of choices(hide).filter((c) => c.kind === kind)) {
      if (kind === "outline") parts.push(svg("path", { class: "casing", d: pathOf(ringOf(hide, choice)) }));
      parts.push(...clearance(hide, choice), shape(hide, choice, chosen));
    }
    if (kind === "outline" && mmOf(hide.edge) > 0) parts.push(...edgeStrip(hide));
  }
  if (clipped) clipZones(hide, parts);
  if (hide.backbone) parts.push(shape(hide, { kind: "backbone", index: 0 }, chosen));
  return parts;
}

function shape(hide, choice, chosen) {
  const line = choice.kind === "backbone";
  const mild = choice.kind === "flaw" && hide.flaws[choice.index].grade !== "none" ? " mild" : "";
  const strong = sameShape(choice, chosen) ? " chosen-ring" : "";
  return svg("path", {
    class: (line ? "backbone" : STYLE[choice.kind]) + mild + strong,
    d: pathOf(ringOf(hide, choice), !line),
    "data-shape": `${choice.kind}-${choice.index}`,
  });
}

function clearance(hide, choice) {
  const wide = choice.kind === "flaw" ? mmOf(hide.flaws[choice.index].clearance) : 0;
  return wide > 0 ? [svg("path", { class: "clearance", d: pathOf(ringOf(hide, choice)), "stroke-width": 2 * wide })] : [];
}

let clips = 0;

function clipOf(hide) {
  const id = `inside-${++clips}`;
  return [id, svg("clipPath", { id }, svg("path", { d: pathOf(hide.outline) }))];
}

function clipZones(hide, parts) {
  const [id, clip] = clipOf(hide);
  parts.unshift(clip);
  for (const part of parts) if (part.classList.contains("zone-area")) part.setAttribute("clip-path", `url(#${id})`);
}

// The strip kept clear along the edge: a line twice as wide, of which the outline lets only the inner half be seen.
function edgeStrip(hide) {
  const [id, clip] = clipOf(hide);
  return [
    clip,
    svg("path", { class: "edge-strip", d: pathOf(hide.outline), "stroke-width": 2 * mmOf(hide.edge), "clip-path": `url(#${id})` }),
  ];
}

export class BenchDrawing {
  constructor(surface) {
    this.surface = surface;
    this.photo = svg("g");
    this.shapes = svg("g");
    this.labels = svg("g");
    this.handles = svg("g");
    this.faults = svg("g");
    surface.overlay.append(this.labels, this.faults, this.handles);
    this.pen = new Pen(surface);
    surface.world.append(this.photo, this.shapes, this.pen.world);
  }

  /** The flattened photo under everything: {href, box: [x0, y0, x1, y1], strength 0 to 1}, or null. */
  drawPhoto(photo) {
    this.surface.host.classList.toggle("over-photo", Boolean(photo) && photo.strength > 0.25);
    if (!photo) return this.photo.replaceChildren();
    const image = groundImage(photo, photo.strength, this.photo.firstChild);
    if (!image.parentNode) this.photo.replaceChildren(image);
  }

  draw(hide, choice) {
    this.shapes.replaceChildren(...hideParts(hide, choice));
    this.hide = hide;
    this.drawOverlay(hide, choice);
  }

  /** Only the chosen shape has moved: cheap enough for every frame of a drag. */
  drawLive(hide, choice) {
    const ring = ringOf(hide, choice);
    const line = choice.kind === "backbone";
    const path = this.shapes.querySelector(`[data-shape="${choice.kind}-${choice.index || 0}"]`);
    path?.setAttribute("d", pathOf(ring, !line));
    if (choice.kind === "outline") this.shapes.querySelector(".casing")?.setAttribute("d", pathOf(ring));
    this.hide = hide;
    this.drawOverlay(hide, choice);
  }

  drawOverlay(hide, choice, faults = this.lastFaults || []) {
    this.lastFaults = faults;
    this.#drawHandles(ringOf(hide, choice), choice);
    this.#drawLabels(hide);
    this.faults.replaceChildren(...faults.filter((f) => f.at).map((fault) => this.#ringAt(fault.at)));
  }

  #drawHandles(ring, choice) {
    const places = ring.map((point) => this.surface.toScreen(point));
    const always = choice?.many || (choice?.point !== null && choice?.point !== undefined ? [choice.point] : []);
    const strong = new Set(always);
    const shown = choice ? thin(places, HANDLE_GAP, always) : [];
    this.shown = shown;
    const dots = [...this.handles.children];
    shown.forEach((index, i) => {
      const dot = dots[i] || this.handles.appendChild(svg("circle"));
      const chosen = strong.has(index);
      dot.setAttribute("class", chosen ? "handle chosen" : "handle");
      dot.setAttribute("r", chosen ? 7.5 : 5.5);
      dot.setAttribute("cx", places[index][0]);
      dot.setAttribute("cy", places[index][1]);
    });
    dots.slice(shown.length).forEach((dot) => dot.remove());
  }

  #drawLabels(hide) {
    const discs = (list, kind) => (list || []).flatMap((item, index) => (item.outline.length < 3 ? [] : this.#label(item.outline, kind, index)));
    this.labels.replaceChildren(...discs(hide.zones, "zone"), ...discs(hide.flaws, "flaw"));
  }

  #label(ring, kind, index) {
    const [x, y] = this.surface.toScreen(labelPlace(ring));
    return [
      svg("circle", { class: `label-disc of-${kind}`, cx: x, cy: y, r: 10 }),
      svg("text", { class: "label", x, y, text: String(index + 1) }),
    ];
  }

  #ringAt(at) {
    const [cx, cy] = this.surface.toScreen(at);
    return svg("circle", { class: "crossing", cx, cy, r: 13 });
  }

  /** Where a tap would put a point on the chosen line, or nothing. */
  drawGhost(point) {
    this.ghost?.remove();
    this.ghost = null;
    if (!point) return;
    const [cx, cy] = this.surface.toScreen(point);
    this.ghost = svg("circle", { class: "handle ghost", cx, cy, r: 5.5 });
    this.handles.after(this.ghost);
  }

  /** The ring being clicked round: points so far, and where the pointer is. */
  drawPending(...line) {
    this.pen.drawPending(...line);
  }

  /** The keyboard's cross, at a screen place; null hides it. */
  drawCursor(place) {
    this.pen.drawCursor(place);
  }
}

/** The box that holds a hide and, where there is one, its photo. */
export function boxOf(hide, photoBox = null) {
  const corners = photoBox && !hide.outline?.length ? [[photoBox[0], photoBox[1]], [photoBox[2], photoBox[3]]] : [];
  return bounds([...(hide.outline || []), ...corners, ...(hide.backbone || [])]) || [0, 0, 2000, 1200];
}
