// Draws one piece at scale with its measures and handles, or all pieces of the product side by side.

import { pathOf, svg } from "../drawing/element.js";
import { isPlain, told } from "../pure/sizes.js";

const GAP = 24;
const CAPTION = 118;
const RULE = 26;

/** The box of one piece as it is drawn. */
export function pieceBox(made) {
  const points = made.flatMap((piece) => [...piece.outline, ...piece.holes.map((hole) => hole.at)]);
  const xs = points.map((point) => point[0]), ys = points.map((point) => point[1]);
  return points.length ? [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)] : [0, 0, 100, 100];
}

/** The parts of one made piece in its own frame. */
export function pieceParts(made, { ghost = false } = {}) {
  const d = [made.outline, ...made.cutouts].map((ring) => pathOf(ring)).join("");
  if (ghost) return [svg("path", { class: "former", d })];
  return [
    svg("path", { class: "cut-piece", d, "fill-rule": "evenodd" }),
    ...made.covered.map((part) => svg("path", { class: "covered-part", d: pathOf(part.outline) })),
    ...(made.finished ? [svg("path", { class: "inner-line finished", d: pathOf(made.finished) })] : []),
    ...made.lines.map((line) => svg("path", { class: `inner-line ${line.kind}`, d: pathOf(line.points, false) }, svg("title", { text: line.name || line.kind }))),
    ...made.holes.map((hole) => svg("circle", { class: "punch", cx: hole.at[0], cy: hole.at[1], r: hole.diameter / 2 }, svg("title", { text: hole.group || "hole" }))),
  ];
}

export class PieceDrawing {
  constructor(surface) {
    this.surface = surface;
    this.parts = svg("g");
    this.edges = svg("g");
    this.former = svg("g");
    surface.world.append(this.parts, this.edges, this.former);
    this.measures = svg("g");
    this.marks = svg("g");
    this.dots = svg("g");
    surface.overlay.append(this.measures, this.marks, this.dots);
  }

  /** One piece: {piece, units, chosen handle index, run of chosen edges, off, picked, former, pending}. */
  draw(state) {
    this.state = state;
    const { piece, former, run } = state;
    const [made] = piece?.made || [];
    const bare = made || !piece?.edges.length ? [] : [svg("path", { class: "former", d: pathOf(piece.edges.flatMap((each) => each.points.slice(0, -1))) })];
    this.parts.replaceChildren(...(made ? pieceParts(made) : bare), ...(state.pending?.length ? [svg("path", { class: "pending", d: pathOf(state.pending, false) })] : []));
    this.former.replaceChildren(...(former?.made[0] ? pieceParts(former.made[0], { ghost: true }) : []));
    const named = (piece?.edges || []).filter((each) => run?.includes(each.name));
    this.edges.replaceChildren(...named.map((each) => svg("path", { class: "chosen-edge", d: pathOf(each.points, false) })));
    this.view();
  }

  /** All pieces: [{made, name, count, x, y, index}], and the one that is chosen. */
  drawAll(placed, units, chosen) {
    this.state = { placed, units, chosen };
    this.former.replaceChildren();
    this.edges.replaceChildren();
    this.parts.replaceChildren(...placed.map((each) => svg("g", { transform: `translate(${each.x} ${each.y})`, "data-piece": each.index, class: each.index === chosen ? "lit" : null }, ...pieceParts(each.made))));
    this.view();
  }

  /** What keeps its size on the screen, for the view as it is. */
  view() {
    const { state } = this;
    if (!state) return;
    if (state.placed) {
      this.dots.replaceChildren();
      this.marks.replaceChildren();
      this.measures.replaceChildren(...state.placed.flatMap((each) => this.#caption(each)));
      return;
    }
    const [made] = state.piece?.made || [];
    this.measures.replaceChildren(...(made ? this.#rules(made) : []), ...(made ? this.#edgeWords() : []));
    this.dots.replaceChildren(...(state.piece?.handles || []).map((handle, i) => this.#dot(handle, i)), ...(state.pending || []).map((point) => this.#pendingDot(point)));
    this.marks.replaceChildren(...(state.off || []).flatMap((off) => this.#off(off)), ...(state.picked || []).map((spot) => this.#ring(spot, "picked")));
  }

  #caption({ made, x, y, name, count }) {
    const [x0, y0, x1] = pieceBox([made]);
    const [sx, sy] = this.surface.toScreen([x + (x0 + x1) / 2, y + y0]);
    const words = `${told(made.size[0], this.state.units)} × ${told(made.size[1], this.state.units)}`;
    return [
      svg("text", { class: "measure strong", x: sx, y: sy + 16, text: `${name}${count > 1 ? ` × ${count}` : ""}` }),
      svg("text", { class: "measure", x: sx, y: sy + 31, text: words }),
    ];
  }

  #rules(made) {
    const [x0, y0, x1, y1] = pieceBox([{ ...made, holes: [] }]);
    const { units } = this.state;
    const [a, b, c] = [[x0, y0], [x1, y0], [x1, y1]].map((point) => this.surface.toScreen(point));
    return [
      svg("path", { class: "rule", d: `M${a[0]} ${a[1] + RULE}H${b[0]}M${a[0]} ${a[1] + RULE - 5}v10M${b[0]} ${b[1] + RULE - 5}v10` }),
      svg("text", { class: "measure strong", x: (a[0] + b[0]) / 2, y: a[1] + RULE + 15, text: told(x1 - x0, units) }),
      svg("path", { class: "rule", d: `M${b[0] + RULE} ${b[1]}V${c[1]}M${b[0] + RULE - 5} ${b[1]}h10M${c[0] + RULE - 5} ${c[1]}h10` }),
      svg("text", { class: "measure strong start", x: b[0] + RULE + 8, y: (b[1] + c[1]) / 2, text: told(y1 - y0, units) }),
    ];
  }

  #edgeWords() {
    const { piece, run, units } = this.state;
    const named = piece.edges.filter((each) => run?.includes(each.name));
    if (!named.length) return [];
    const points = named[Math.floor((named.length - 1) / 2)].points;
    const middle = points[Math.floor((points.length - 1) / 2)], next = points[Math.floor((points.length - 1) / 2) + 1] || middle;
    const [x, y] = this.surface.toScreen([(middle[0] + next[0]) / 2, (middle[1] + next[1]) / 2]);
    const long = named.reduce((sum, each) => sum + each.length, 0);
    return [svg("text", { class: "measure edge-name", x, y: y - 10, text: `${run.join(", ")}: ${told(long, units)}` })];
  }

  #dot(handle, index) {
    const [x, y] = this.surface.toScreen(handle.at);
    const chosen = this.state.handle === index;
    const fixed = [handle.x, handle.y].every((path, axis) => path === null || !isPlain(handle.values[axis]));
    const names = ["handle", handle.kind, chosen && "chosen", fixed && "ghost"].filter(Boolean).join(" ");
    if (handle.kind === "corner" || handle.kind === "side" || handle.kind === "end" || handle.kind === "rim") {
      const r = chosen ? 7 : 5.5;
      return svg("rect", { class: names, x: x - r, y: y - r, width: 2 * r, height: 2 * r });
    }
    return svg("circle", { class: names, cx: x, cy: y, r: chosen ? 7.5 : 4.5 });
  }

  #pendingDot(point) {
    const [x, y] = this.surface.toScreen(point);
    return svg("circle", { class: "handle first", cx: x, cy: y, r: 5 });
  }

  #ring(spot, name) {
    const [x, y] = this.surface.toScreen(spot);
    return svg("circle", { class: name, cx: x, cy: y, r: 12 });
  }

  #off(off) {
    const [x, y] = this.surface.toScreen(off.at);
    return [this.#ring(off.at, "off-hole"), svg("text", { class: "measure off-words", x, y: y - 17, text: off.words })];
  }
}

/** All pieces side by side at one scale, in rows that suit a window of this size (pixels), with room for their words. */
export function placedPieces(pieces, { width, height }) {
  const boxes = pieces.flatMap((piece) => piece.made.slice(0, 2).map((made) => ({ index: piece.index, made, name: made.name, count: made.count, box: pieceBox([made]) })));
  const sizes = boxes.map(({ box }) => [box[2] - box[0], box[3] - box[1]]);
  const longest = Math.max(1, ...sizes.flat());
  let best = null;
  // the rows that can be shown largest are tried from one row to one piece a row
  for (let wide = longest; wide <= longest * 12; wide *= 1.15) {
    const made = shelved(boxes, sizes, wide, { width, height });
    if (!best || made.scale > best.scale) best = made;
  }
  return best?.placed || [];
}

function shelved(boxes, sizes, wide, { width, height }) {
  let scale = width / wide;
  for (let turn = 0; turn < 3; turn++) {
    const words = CAPTION / scale, under = 44 / scale, gap = GAP / scale;
    let x = 0, y = 0, row = 0, across = 1;
    const placed = boxes.map((each, i) => {
      const cell = Math.max(sizes[i][0], words);
      if (x > 0 && x + cell > wide) [x, y, row] = [0, y - row - under, 0];
      const place = { ...each, x: x + (cell - sizes[i][0]) / 2 - each.box[0], y: y - sizes[i][1] - each.box[1] };
      x += cell + gap;
      across = Math.max(across, x);
      row = Math.max(row, sizes[i][1]);
      return place;
    });
    const fits = Math.min(width / across, height / Math.max(1, row + under - y));
    if (turn === 2) return { placed, scale: Math.min(scale, fits) };
    scale = Math.min(scale, fits);
  }
  return null;
}
