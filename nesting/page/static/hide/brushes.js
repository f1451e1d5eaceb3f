// The tools that work on the flat photo: two brushes, a stretch that snaps to the edge, and a lasso for several points.

import { pointInRing } from "../pure/geometry.js";
import { ringOf } from "../pure/shapes.js";

const WIDTHS = [3, 5, 8, 12, 18, 26, 38];
const REACH = { fine: 10, touch: 20 };

/** A brush: what is painted is leather, or is not. Its width keeps on the screen: nearer in, it is finer on the hide. */
export function brushTool(bench, leather) {
  let line = [];
  const words = leather ? "leather" : "what is not leather: floor, tape, shadow";
  const radius = () => WIDTHS[bench.brush ?? 3] * bench.surface.pixel;
  const draw = () => bench.mend.drawWet(line.length ? { line, radius: radius(), leather } : null);
  const add = (place) => {
    const last = line.at(-1);
    if (last && Math.hypot(last[0] - place.world[0], last[1] - place.world[1]) < radius() / 4) return;
    line = [...line, place.world];
    draw();
  };
  const clear = () => {
    line = [];
    draw();
  };
  const paint = () => {
    const stroke = { leather, line, radius: radius() };
    clear();
    if (stroke.line.length) bench.mend.paint(stroke);
  };
  const key = (event) => {
    if (event.key === "Enter") paint();
    else if (event.key === "Escape") clear();
    else if (event.key === "[" || event.key === "]") bench.setBrush((bench.brush ?? 3) + (event.key === "]" ? 1 : -1));
    else if (event.key === "Backspace") {
      line = line.slice(0, -1);
      draw();
    } else return bench.cross.key(event, add);
    return true;
  };
  return {
    hint: `Paint ${words}; the edge follows. [ and ] make the brush narrower and wider, zoom in for fine work. By keys: arrows, Space for each place, Enter paints.`,
    drawing: true,
    press(place) {
      line = [];
      add(place);
      return true;
    },
    drag: add,
    release: paint,
    tap: paint,
    cancel: clear,
    key,
    view: draw,
    end() {
      clear();
      bench.cross.hide();
    },
  };
}

/** Press on the edge at both ends of a stretch; the line between snaps to it. It goes on from the last place. */
export function stretchTool(bench) {
  let from = null;
  const clear = () => {
    from = null;
    bench.drawing.drawPending([]);
  };
  const set = (place) => {
    if (!bench.hide.outline?.length) return bench.hint("There is no outline yet: propose one, paint it, or click round it.");
    if (!from) {
      from = place.world;
      bench.drawing.drawPending([from]);
      return bench.hint("Now press on the edge at the other end of the stretch. Escape begins anew.");
    }
    const ends = [from, place.world];
    from = place.world;
    bench.drawing.drawPending([from]);
    bench.mend.stretch(ends, (place.touch ? REACH.touch : REACH.fine) * bench.surface.pixel);
    return bench.hint("Press further along for the next stretch, or Escape.");
  };
  return {
    hint: "Press on the edge at both ends of a stretch: the line between snaps to the strongest edge near it.",
    drawing: true,
    tap: set,
    hover: (place) => from && bench.drawing.drawPending([from], place.world),
    cancel: clear,
    key(event) {
      if (event.key === "Escape") clear();
      else return bench.cross.key(event, set);
      return true;
    },
    view: () => from && bench.drawing.drawPending([from]),
    end() {
      clear();
      bench.cross.hide();
    },
  };
}

/** Draw round points of the chosen shape, or press round them, to choose them all. */
export function lassoTool(bench) {
  let loop = [];
  let drawn = false;
  const draw = () => bench.drawing.drawPending(drawn ? [] : loop, null, loop.length > 2);
  const clear = () => {
    loop = [];
    drawn = false;
    draw();
  };
  const close = () => {
    if (loop.length < 3) return bench.hint("A loop needs at least three corners.");
    const choice = bench.choice?.kind && bench.choice.kind !== "backbone" ? bench.choice : { kind: "outline", index: 0 };
    const many = ringOf(bench.hide, choice).flatMap((point, i) => (pointInRing(point, loop) ? [i] : []));
    clear();
    if (!many.length) return bench.hint("No point lies in the loop.");
    bench.use("adjust");
    bench.chooseMany(choice, many);
    return bench.hint(`${many.length === 1 ? "1 point" : `${many.length} points`} chosen: drag one of them, move them with the arrows, or delete them.`);
  };
  const corner = (place) => {
    const first = loop.length > 2 && bench.surface.toScreen(loop[0]);
    if (first && Math.hypot(first[0] - place.screen[0], first[1] - place.screen[1]) <= (place.touch ? REACH.touch : REACH.fine)) return close();
    loop = [...loop, place.world];
    draw();
    return bench.hint(loop.length < 3 ? "Go on round the points." : `${loop.length} corners. Press the first one again, or Enter, to close the loop.`);
  };
  return {
    hint: "Draw a loop round points of the chosen shape, or press at its corners. They are then moved or deleted together. By keys: arrows, Space at each corner, Enter closes.",
    drawing: true,
    press: () => true,
    drag(place) {
      if (!drawn) loop = [];
      drawn = true;
      loop = [...loop, place.world];
      bench.drawing.drawPending(loop, null, true);
    },
    release: close,
    tap: corner,
    cancel: clear,
    key(event) {
      if (event.key === "Enter") close();
      else if (event.key === "Escape") clear();
      else if (event.key === "Backspace") {
        loop = loop.slice(0, -1);
        draw();
      } else return bench.cross.key(event, corner);
      return true;
    },
    view: draw,
    end() {
      clear();
      bench.cross.hide();
    },
  };
}
