// The tools of the bench. A tool is an object with some of: press (true takes the drag), drag, release, cancel, tap,
// twice, hover, leave, key, end. Each gets places {screen, world, touch}. They change the draft only through `bench`.

import { nearestEdge, nearestVertex, pointInRing, withInserted, withMoved, without } from "../pure/geometry.js";
import { choices, oval, ringOf, withFlaw, withManyMoved, withRing, withZone } from "../pure/shapes.js";
import { brushTool, lassoTool, stretchTool } from "./brushes.js";

const REACH = { fine: 12, touch: 26 };
const reach = (place) => (place.touch ? REACH.touch : REACH.fine);

/** Choose shapes; move, put in and take out their points. */
export function adjustTool(bench) {
  let moving = null;

  const onScreen = (choice) => ringOf(bench.hide, choice).map((point) => bench.surface.toScreen(point));
  const vertexAt = (place) => {
    const found = bench.choice && nearestVertex(onScreen(bench.choice), place.screen);
    return found && found.distance <= reach(place) ? found.index : null;
  };
  const edgeAt = (place) => {
    if (!bench.choice || bench.choice.kind === "backbone") return null;
    const found = nearestEdge(onScreen(bench.choice), place.screen);
    return found && found.distance <= reach(place) * 0.75 ? { index: found.index, at: bench.surface.toWorld(found.at) } : null;
  };
  const insert = (edge) => {
    const { choice } = bench;
    bench.commit("Put in a point", withRing(bench.hide, choice, withInserted(ringOf(bench.hide, choice), edge.index, edge.at)));
    bench.choose({ ...choice, point: edge.index + 1, many: null });
  };

  return {
    hint: "Drag a point to move it. Press on the line to put one in. Delete takes the chosen one out. With Shift several are chosen. Drag elsewhere to pan.",
    press(place) {
      const index = vertexAt(place);
      if (index !== null && place.shift) {
        moving = { toggled: index };
        return true;
      }
      if (index !== null && bench.choice.many?.includes(index)) {
        moving = { choice: bench.choice, many: bench.choice.many, ring: ringOf(bench.hide, bench.choice), from: place.world };
        return true;
      }
      if (index !== null) {
        bench.choose({ ...bench.choice, point: index, many: null });
        moving = { choice: bench.choice, index };
        return true;
      }
      const edge = place.touch ? null : edgeAt(place);
      if (!edge) return false;
      moving = { choice: { ...bench.choice, point: edge.index + 1 }, edge };
      return true;
    },
    drag(place) {
      if (moving.toggled !== undefined) return;
      if (moving.many) {
        const [fx, fy] = moving.from;
        const moved = withManyMoved(moving.ring, moving.many, [place.world[0] - fx, place.world[1] - fy]);
        bench.live(withRing(bench.hide, moving.choice, moved), place);
        return;
      }
      if (moving.edge) {
        insert(moving.edge);
        moving = { choice: bench.choice, index: bench.choice.point };
      }
      const ring = withMoved(ringOf(bench.hide, moving.choice), moving.index, place.world);
      bench.live(withRing(bench.hide, moving.choice, ring), place);
    },
    release() {
      bench.commitLive(moving?.many ? `Move ${moving.many.length} points` : "Move a point");
      moving = null;
    },
    cancel() {
      bench.dropLive();
      moving = null;
    },
    tap(place) {
      const toggled = moving?.toggled;
      moving = null;
      if (toggled !== undefined) return bench.toggle(toggled);
      if (vertexAt(place) !== null) return bench.choose({ ...bench.choice, point: vertexAt(place), many: null });
      const edge = edgeAt(place);
      if (edge) return insert(edge);
      const hit = choices(bench.hide).find((choice) => pointInRing(place.world, ringOf(bench.hide, choice)));
      const bone = nearestBone(bench, place);
      return bench.choose(bone && hit?.kind !== "flaw" ? { kind: "backbone", index: 0, point: null } : hit ? { ...hit, point: null } : null);
    },
    hover(place) {
      const edge = vertexAt(place) === null ? edgeAt(place) : null;
      bench.drawing.drawGhost(edge?.at);
    },
    leave() {
      bench.drawing.drawGhost(null);
    },
    key: (event) => adjustKey(bench, event),
    end() {
      bench.drawing.drawGhost(null);
    },
  };
}

function nearestBone(bench, place) {
  const bone = (bench.hide.backbone || []).map((point) => bench.surface.toScreen(point));
  const found = bone.length ? nearestEdge(bone, place.screen, false) : null;
  return found && found.distance <= reach(place) * 0.75;
}

function adjustKey(bench, event) {
  const { choice } = bench;
  const ring = ringOf(bench.hide, choice);
  if (!ring.length) return false;
  const step = event.shiftKey ? 10 : 1;
  const arrows = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, step], ArrowDown: [0, -step] };
  const at = choice.point;
  const chosen = at !== null && at !== undefined;
  if (event.key in arrows && choice.many?.length) {
    const moved = withManyMoved(ring, choice.many, arrows[event.key]);
    bench.commit(`Move ${choice.many.length} points`, withRing(bench.hide, choice, moved), `nudge-${choice.many.join("-")}`);
  } else if (event.key in arrows && chosen) {
    const [dx, dy] = arrows[event.key];
    const moved = withMoved(ring, at, [ring[at][0] + dx, ring[at][1] + dy]);
    bench.commit("Move a point", withRing(bench.hide, choice, moved), `nudge-${choice.kind}-${choice.index}-${at}`);
  } else if (["n", "p", "N", "P"].includes(event.key)) {
    const next = chosen ? at + (event.key.toLowerCase() === "n" ? 1 : ring.length - 1) : 0;
    if (event.shiftKey && chosen) bench.chooseMany(choice, [...(choice.many || [at]), next % ring.length], next % ring.length);
    else bench.choose({ ...choice, point: next % ring.length, many: null });
    bench.keepInSight(ring[next % ring.length]);
  } else if (event.key === "i" && chosen && choice.kind !== "backbone") {
    const [a, b] = [ring[at], ring[(at + 1) % ring.length]];
    bench.commit("Put in a point", withRing(bench.hide, choice, withInserted(ring, at, [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2])));
    bench.choose({ ...choice, point: at + 1, many: null });
  } else if (event.key === "Delete" || event.key === "Backspace") bench.deleteChosen();
  else if (event.key === "Escape") bench.choose(null);
  else return false;
  return true;
}

/** Take out the chosen point, or the whole shape where no point is chosen. Gives [words, ring] or null. */
export function ringWithoutChosen(hide, choice) {
  const ring = ringOf(hide, choice);
  if (choice.point === null || choice.point === undefined || choice.kind === "backbone") return null;
  return ring.length > 3 ? without(ring, choice.point) : null;
}

/** Click round a shape. `finish(points)` gets its ring; with `ovals`, a drag draws a round one. */
export function ringTool(bench, { hint, ovals, finish }) {
  let points = [];
  let corner = null;
  const redraw = (tip) => bench.drawing.drawPending(points, tip, points.length > 2);
  const clear = () => {
    points = [];
    corner = null;
    bench.drawing.drawPending([]);
  };
  const complete = () => {
    const ring = points;
    if (ring.length < 3) return bench.hint("A shape needs at least three points.");
    clear();
    return finish(ring);
  };
  const add = (place) => {
    const [first, last] = [points[0], points.at(-1)].map((p) => p && bench.surface.toScreen(p));
    const near = (p, limit) => p && Math.hypot(p[0] - place.screen[0], p[1] - place.screen[1]) <= limit;
    if (points.length > 2 && near(first, reach(place))) return complete();
    if (near(last, 3)) return null;
    points = [...points, place.world];
    redraw();
    return bench.hint(points.length < 3 ? `${points.length === 1 ? "1 point" : "2 points"} of three or more. ${hint}` : `${points.length} points. Press the first one again, or Enter, to close.`);
  };
  return {
    hint,
    drawing: true,
    press(place) {
      corner = ovals && !points.length ? place.world : null;
      return Boolean(corner);
    },
    drag(place) {
      bench.drawing.drawPending(oval(corner, place.world), null, true);
    },
    release(place) {
      points = oval(corner, place.world);
      complete();
    },
    cancel: clear,
    tap: add,
    twice: () => points.length > 2 && complete(),
    hover: (place) => points.length && redraw(place.world),
    key(event) {
      if (event.key === "Enter") complete();
      else if (event.key === "Escape") {
        clear();
        bench.hint(hint);
      }
      else if (event.key === "Backspace" && points.length) {
        points = points.slice(0, -1);
        redraw();
      } else return bench.cross.key(event, add);
      return true;
    },
    view: () => redraw(),
    end() {
      clear();
      bench.cross.hide();
    },
  };
}

/** Two points: the direction of least stretch. */
export function backboneTool(bench) {
  let from = null;
  const set = (to) => {
    if (Math.hypot(to[0] - from[0], to[1] - from[1]) < 5) return;
    const hide = { ...bench.hide, backbone: [from, to] };
    from = null;
    bench.drawing.drawPending([]);
    bench.commit("Draw the backbone", hide);
    bench.choose({ kind: "backbone", index: 0, point: null });
    bench.use("adjust");
  };
  const tap = (place) => {
    if (from) return set(place.world);
    from = place.world;
    return bench.drawing.drawPending([from]);
  };
  return {
    hint: "Draw the line of the backbone, from tail to neck: drag along it, or press at both ends.",
    drawing: true,
    press(place) {
      if (!from) from = place.world;
      return true;
    },
    drag: (place) => bench.drawing.drawPending([from], place.world),
    release: (place) => set(place.world),
    tap: (place) => (from && Math.hypot(from[0] - place.world[0], from[1] - place.world[1]) > 5 ? set(place.world) : bench.drawing.drawPending([from])),
    hover: (place) => from && bench.drawing.drawPending([from], place.world),
    cancel() {
      from = null;
      bench.drawing.drawPending([]);
    },
    key(event) {
      if (event.key === "Escape") this.cancel();
      else return bench.cross.key(event, tap);
      return true;
    },
    end() {
      this.cancel();
      bench.cross.hide();
    },
  };
}

/** The tools by name. */
export function makeTools(bench) {
  return {
    adjust: adjustTool(bench),
    outline: ringTool(bench, {
      hint: "Click round the edge of the hide. Drag to pan.",
      ovals: false,
      finish(ring) {
        bench.commit("Draw the outline", { ...bench.hide, outline: ring });
        bench.choose({ kind: "outline", index: 0, point: null });
        bench.use("adjust");
      },
    }),
    flaw: ringTool(bench, {
      hint: "Drag for a round flaw, or click round its edge.",
      ovals: true,
      finish(ring) {
        bench.commit("Draw a flaw", withFlaw(bench.hide, ring));
        bench.choose({ kind: "flaw", index: bench.hide.flaws.length - 1, point: null });
        bench.hint("Say what it is in the list on the right. The next flaw can be drawn at once.");
      },
    }),
    zone: ringTool(bench, {
      hint: "Click round a weaker part: belly, flank, neck. It may reach beyond the edge.",
      ovals: true,
      finish(ring) {
        bench.commit("Draw a weaker zone", withZone(bench.hide, ring));
        bench.choose({ kind: "zone", index: bench.hide.zones.length - 1, point: null });
        bench.use("adjust");
      },
    }),
    backbone: backboneTool(bench),
    leather: brushTool(bench, true),
    floor: brushTool(bench, false),
    stretch: stretchTool(bench),
    lasso: lassoTool(bench),
  };
}
