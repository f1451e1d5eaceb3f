// A drawing that came in: which of its lines is the outline, which are flaws, holes, zones, the backbone.

import { upload } from "../shell/api.js";
import { el, field, pathOf, select, svg } from "../drawing/element.js";
import { area, bounds } from "../pure/geometry.js";
import { look } from "../shell/look.js";
import { ask } from "../shell/notice.js";
import { blank } from "./start_hide.js";

const ROLES = [["", "leave out"], ["outline", "the outline"], ["hole", "a hole"], ["flaw", "a flaw"], ["zone", "a weaker zone"], ["backbone", "the backbone"]];
const WORDS = { flaw: /flaw|fault|scar|hole|defect|brand/i, zone: /zone|belly|neck|shank|flank|grade/i, backbone: /back ?bone|spine|grain/i };
const UNITS = [["", "as the file says"], ["mm", "mm"], ["cm", "cm"], ["in", "in"]];
const COLOURS = { outline: "#6b431f", hole: "#5d564a", flaw: "#a2331d", zone: "#3d5a80", backbone: "#1f4a44", "": "#b6ac99" };
const MOST_ROWS = 60;

/** Bring in a drawing; the answer is a hide, or null where the person turned back. */
export async function choosePaths(file) {
  const read = await readIn(file);
  if (!read) return null;
  const shapes = read.shapes.map((shape) => ({ ...shape, size: shape.closed ? area(shape.points) : 0 })).sort((a, b) => b.size - a.size);
  const roles = guesses(shapes);
  const picture = el("div", {});
  const redraw = () => picture.replaceChildren(drawn(shapes, roles));
  const rows = shapes.slice(0, MOST_ROWS).map((shape, i) => {
    const box = bounds(shape.points);
    const role = select(ROLES.filter(([name]) => (shape.closed ? name !== "backbone" : name === "backbone" || name === "")), roles[i], { "aria-label": `What ${shape.name} is` });
    role.addEventListener("change", () => {
      roles[i] = role.value;
      redraw();
    });
    return el("tr", {}, el("td", { text: shape.name }), el("td", { text: `${look.length(box[2] - box[0])} × ${look.length(box[3] - box[1])}` }), el("td", {}, role));
  });
  redraw();
  const parts = [
    el("p", { text: "Say what each line is. The largest closed line was taken for the outline." }),
    ...read.findings.slice(0, 3).map((text) => el("p", { class: "note", text })),
    picture, el("table", { class: "form", "aria-label": "Lines of the drawing" }, el("tbody", {}, ...rows)),
  ];
  while (await ask("The drawing's lines", parts, [["take", "Take them"], ["", "Back"]]) === "take") {
    if (roles.filter((role) => role === "outline").length === 1) return hideOf(file, shapes, roles);
    parts[0].textContent = "Just one line must be the outline.";
  }
  return null;
}

async function readIn(file) {
  let units = "";
  for (;;) {
    const read = await upload(`/api/read/drawing${units && `?units=${units}`}`, file).catch((problem) => ({ problem }));
    if (!read.problem) return read;
    if (units || !/unit/i.test(read.problem.message)) throw read.problem;
    const unit = select(UNITS.slice(1), "mm");
    if (await ask("In which unit is it drawn?", [el("p", { text: read.problem.message }), field("Unit of the drawing", unit)], [["go", "Read it"], ["", "Back"]]) !== "go") return null;
    units = unit.value;
  }
}

function guesses(shapes) {
  let outline = false;
  return shapes.map((shape) => {
    const named = Object.keys(WORDS).find((role) => WORDS[role].test(shape.name));
    if (!shape.closed) return named === "backbone" ? "backbone" : "";
    if (!outline && !["flaw", "zone"].includes(named)) {
      outline = true;
      return "outline";
    }
    return named && named !== "backbone" ? named : "flaw";
  });
}

function hideOf(file, shapes, roles) {
  const of = (role) => shapes.filter((_, i) => roles[i] === role);
  const line = of("backbone")[0]?.points;
  return {
    ...blank(file.name.replace(/\.\w+$/, "")), cut: "hide",
    outline: of("outline")[0].points,
    holes: of("hole").map((shape) => shape.points),
    flaws: of("flaw").map((shape) => ({ kind: "flaw", outline: shape.points, grade: "none", clearance: 0 })),
    zones: of("zone").map((shape) => ({ name: "zone", outline: shape.points, grade: "C" })),
    backbone: line ? [line[0], line[line.length - 1]] : null,
  };
}

function drawn(shapes, roles) {
  const box = bounds(shapes.flatMap((shape) => shape.points));
  const [wide, high] = [box[2] - box[0] || 1, box[3] - box[1] || 1];
  const paths = shapes.map((shape, i) => svg("path", {
    d: pathOf(shape.points, shape.closed), fill: roles[i] === "outline" ? "#dcb384" : roles[i] && shape.closed ? `${COLOURS[roles[i]]}44` : "none",
    stroke: COLOURS[roles[i]], "stroke-width": 2, "vector-effect": "non-scaling-stroke",
  }));
  return svg("svg", { viewBox: `${box[0] - wide * 0.02} ${-box[3] - high * 0.02} ${wide * 1.04} ${high * 1.04}`, class: "small-drawing", role: "img", "aria-label": "The drawing" },
    svg("g", { transform: "scale(1 -1)" }, ...paths));
}
