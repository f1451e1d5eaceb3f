// What pointer and keys do on the drawing of a piece: take hold of corners and holes, choose edges, draw a new outline.

import { isPlain, nudge, snapped, written } from "../pure/sizes.js";

const REACH = { mouse: 11, touch: 24 };

export class PieceTool {
  /** `bench` holds the state: piece, units, handle, surface, and the acts that change them. */
  constructor(bench) {
    this.bench = bench;
  }

  press(place) {
    if (this.bench.pending || this.bench.all) return false;
    const index = this.#near(place);
    if (index === null) return false;
    this.bench.chooseHandle(index);
    this.held = { index, moved: false };
    return true;
  }

  drag(place) {
    const edits = this.#moved(this.held.index, place.world);
    if (!edits) return;
    this.held.moved = true;
    this.bench.live(edits);
  }

  release(place) {
    const edits = this.#moved(this.held.index, place.world);
    this.held = null;
    if (edits) this.bench.edit("Move it", edits);
    else this.bench.dropLive();
  }

  cancel() {
    this.held = null;
    this.bench.dropLive();
  }

  tap(place) {
    const { bench } = this;
    if (bench.pending) return bench.putPoint(place.world.map((value) => snapped(value, bench.units)), REACH[place.touch ? "touch" : "mouse"] * bench.surface.pixel);
    if (bench.all) return bench.openPlaced(place.world);
    const index = this.#near(place);
    if (bench.picking !== null && index !== null) return bench.pickHole(bench.piece.handles[index]);
    if (index !== null) return bench.chooseHandle(index);
    return bench.chooseEdge(this.#edgeAt(place), place.shift);
  }

  twice(place) {
    const { bench } = this;
    if (!bench.pending && !bench.all && bench.picking === null && this.#near(place) === null) bench.edgeTwice(this.#edgeAt(place));
  }

  key(event) {
    const { bench } = this;
    const moves = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
    if (bench.pending) return this.#pendingKey(event, moves);
    if (event.key.toLowerCase() === "n" || event.key.toLowerCase() === "p") return this.#next(event.key.toLowerCase() === "n" ? 1 : -1);
    if (event.key.toLowerCase() === "e") return bench.nextEdge(event.shiftKey);
    if (event.key === "Escape") return bench.chooseEdge(null) ?? true;
    if (bench.handle === null || !bench.piece) return false;
    if (event.key in moves) return this.#nudged(moves[event.key], event);
    if (event.key === "Delete" || event.key === "Backspace") return bench.deleteHandle() ?? true;
    if (event.key === "Enter" && bench.picking !== null) return bench.pickHole(bench.piece.handles[bench.handle]) ?? true;
    return false;
  }

  #pendingKey(event, moves) {
    const { bench } = this;
    const cross = bench.cross || [0, 0];
    if (event.key === "Escape") return bench.dropPending() ?? true;
    if (event.key === "Enter") return bench.putPoint(cross, 0.5) ?? true;
    if (event.key === "Backspace") return bench.takePoint() ?? true;
    if (!(event.key in moves)) return false;
    const step = nudge(bench.units, { shift: event.shiftKey }) * (event.shiftKey ? 1 : 10);
    bench.moveCross([cross[0] + moves[event.key][0] * step, cross[1] + moves[event.key][1] * step]);
    return true;
  }

  #next(step) {
    const { bench } = this;
    const count = bench.piece?.handles.length || 0;
    if (!count) return true;
    bench.chooseHandle(((bench.handle ?? (step > 0 ? -1 : 0)) + step + count) % count);
    return true;
  }

  /** Keys may come faster than answers: each step goes on from where the last one led. */
  #nudged([dx, dy], event) {
    const { bench } = this;
    const handle = bench.piece.handles[bench.handle];
    const key = `${bench.index} ${bench.handle}`;
    const from = this.goal?.key === key ? this.goal.at : handle.at;
    const step = nudge(bench.units, { shift: event.shiftKey });
    const to = [from[0] + dx * step, from[1] + dy * step];
    const edits = bench.movedTo({ ...handle, at: from }, to);
    if (!edits?.length) return true;
    const goal = (this.goal = { key, at: to });
    bench.edit("Move it", edits, `nudge-${key}`).then(() => this.goal === goal && (this.goal = null));
    return true;
  }

  #moved(index, world) {
    const { bench } = this;
    const handle = bench.piece.handles[index];
    const to = world.map((value) => snapped(value, bench.units, false));
    return bench.movedTo(handle, to);
  }

  #near(place) {
    const { bench } = this;
    const reach = REACH[place.touch ? "touch" : "mouse"];
    let best = null, least = reach;
    (bench.piece?.handles || []).forEach((handle, i) => {
      const [x, y] = bench.surface.toScreen(handle.at);
      const far = Math.hypot(x - place.screen[0], y - place.screen[1]) - (i === bench.handle ? 2 : 0);
      if (far < least) [best, least] = [i, far];
    });
    return best;
  }

  #edgeAt(place) {
    const reach = REACH[place.touch ? "touch" : "mouse"] * this.bench.surface.pixel;
    let best = null, least = reach;
    for (const edge of this.bench.piece?.edges || []) {
      for (let i = 1; i < edge.points.length; i++) {
        const far = distance(place.world, edge.points[i - 1], edge.points[i]);
        if (far < least) [best, least] = [edge.name, far];
      }
    }
    return best;
  }
}

function distance([x, y], [ax, ay], [bx, by]) {
  const [dx, dy] = [bx - ax, by - ay];
  const along = Math.max(0, Math.min(1, ((x - ax) * dx + (y - ay) * dy) / (dx * dx + dy * dy || 1)));
  return Math.hypot(x - ax - along * dx, y - ay - along * dy);
}

/** The edits that bring a handle somewhere (mm); a coordinate whose field is a sum stays. `base` is the piece's path. */
export function handleEdits(handle, to, units, base) {
  const edits = [];
  [handle.x, handle.y].forEach((path, axis) => {
    if (!path || Math.abs(to[axis] - handle.at[axis]) < 1e-6 || !isPlain(handle.values[axis])) return;
    edits.push({ op: "put", path: [...base, ...path], value: written(to[axis] * handle.scale, units, handle.values[axis]) });
  });
  return edits;
}

/** The fields of a handle that are sums, which cannot be moved by hand. */
export function fixedFields(handle) {
  return handle.fields.filter((field, axis) => field && !isPlain(handle.values[axis])).map((field, i) => `${field} (${handle.values.filter((value) => !isPlain(value) && value !== null)[i]})`);
}
