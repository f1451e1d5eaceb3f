// The rings of a hide, addressed by a choice {kind, index}: outline, hole, flaw, zone, backbone. Pure functions.

/** The points of the chosen shape, or []. */
export function ringOf(hide, choice) {
  if (!choice) return [];
  if (choice.kind === "outline") return hide.outline || [];
  if (choice.kind === "backbone") return hide.backbone || [];
  if (choice.kind === "hole") return hide.holes?.[choice.index] || [];
  return listOf(hide, choice.kind)[choice.index]?.outline || [];
}

/** The hide with other points for the chosen shape. */
export function withRing(hide, choice, ring) {
  const put = (list, value) => list.map((old, i) => (i === choice.index ? value(old) : old));
  switch (choice.kind) {
    case "outline": return { ...hide, outline: ring };
    case "backbone": return { ...hide, backbone: ring };
    case "hole": return { ...hide, holes: put(hide.holes, () => ring) };
    case "flaw": return { ...hide, flaws: put(hide.flaws, (flaw) => ({ ...flaw, outline: ring })) };
    default: return { ...hide, zones: put(hide.zones, (zone) => ({ ...zone, outline: ring })) };
  }
}

/** The hide with another flaw; the clearance and grade of the last one are taken over. */
export function withFlaw(hide, outline) {
  const last = hide.flaws?.at(-1) || { kind: "hole", grade: "none", clearance: "3 mm" };
  return { ...hide, flaws: [...(hide.flaws || []), { kind: last.kind, outline, grade: last.grade, clearance: last.clearance ?? "" }] };
}

/** The hide with a flaw that was proposed and taken; the clearance of the last one is taken over. */
export function withProposedFlaw(hide, outline, kind, grade) {
  const clearance = hide.flaws?.at(-1)?.clearance ?? "3 mm";
  return { ...hide, flaws: [...(hide.flaws || []), { kind, outline, grade, clearance }] };
}

/** A ring with some of its points moved by the same way. */
export function withManyMoved(ring, many, [dx, dy]) {
  const chosen = new Set(many);
  return ring.map(([x, y], i) => (chosen.has(i) ? [x + dx, y + dy] : [x, y]));
}

/** A ring without some of its points; itself where fewer than three would be left. */
export function withoutMany(ring, many) {
  const chosen = new Set(many);
  const left = ring.filter((_, i) => !chosen.has(i));
  return left.length < 3 ? ring : left;
}

/** The hide with another zone. */
export function withZone(hide, outline) {
  return { ...hide, zones: [...(hide.zones || []), { name: "belly", outline, grade: "C" }] };
}

/** The hide with some fields of one flaw or zone replaced. */
export function withFields(hide, { kind, index }, fields) {
  const name = kind === "flaw" ? "flaws" : "zones";
  return { ...hide, [name]: hide[name].map((old, i) => (i === index ? { ...old, ...fields } : old)) };
}

/** The hide without the chosen shape. */
export function withoutShape(hide, { kind, index }) {
  const drop = (list) => list.filter((_, i) => i !== index);
  switch (kind) {
    case "outline": return { ...hide, outline: [] };
    case "backbone": return { ...hide, backbone: null };
    case "hole": return { ...hide, holes: drop(hide.holes) };
    case "flaw": return { ...hide, flaws: drop(hide.flaws) };
    default: return { ...hide, zones: drop(hide.zones) };
  }
}

/** Every shape there is, smallest kind first, so that a tap finds the flaw and not the hide under it. */
export function choices(hide) {
  const all = (kind, list) => (list || []).map((_, index) => ({ kind, index }));
  return [
    ...all("flaw", hide.flaws), ...all("hole", hide.holes), ...all("zone", hide.zones),
    ...(hide.outline?.length ? [{ kind: "outline", index: 0 }] : []),
  ];
}

/** Whether two choices mean the same shape. */
export function sameShape(one, other) {
  return Boolean(one && other && one.kind === other.kind && (one.index || 0) === (other.index || 0));
}

/** Words for a shape. */
export function nameOf(hide, choice) {
  if (choice.kind === "flaw") return `flaw ${choice.index + 1}, ${hide.flaws[choice.index]?.kind || "unnamed"}`;
  if (choice.kind === "zone") return `zone ${choice.index + 1}, ${hide.zones[choice.index]?.name || "unnamed"}`;
  if (choice.kind === "hole") return `hole ${choice.index + 1}`;
  return choice.kind;
}

/** A round ring that fills the box between two corners: sixteen points. */
export function oval([x0, y0], [x1, y1]) {
  const cx = (x0 + x1) / 2, cy = (y0 + y1) / 2, rx = Math.abs(x1 - x0) / 2, ry = Math.abs(y1 - y0) / 2;
  return Array.from({ length: 16 }, (_, i) => {
    const angle = (i * Math.PI) / 8;
    return [cx + rx * Math.cos(angle), cy + ry * Math.sin(angle)];
  });
}

function listOf(hide, kind) {
  return (kind === "flaw" ? hide.flaws : hide.zones) || [];
}
