// A comparison in a table, two charts and words.

import { el, svg } from "../drawing/element.js";
import { look } from "../shell/look.js";
import { showShare, writeThickness } from "../pure/units.js";

const PARTS = [["leather", "#a8703c"], ["fasteners", "#3d5a80"], ["materials", "#9bb86a"], ["labour", "#3f7f6f"], ["overhead", "#b9ae9b"]];
const FILES = { pdf: "Keep as PDF", csv: "As a table (CSV)", json: "As data (JSON)" };

/** The elements of a comparison. `keep(kind)` downloads a file. */
export function comparisonElements({ comparison, files }, keep) {
  const { leathers, cheapest, currency } = comparison;
  const costed = leathers.filter((leather) => leather.cost);
  return [
    el("section", { class: "paper", "aria-label": "The comparison" },
      el("p", { class: "big", text: comparison.stopped ? "Stopped: these figures are unfinished" : cheapest ? `Cheapest: ${comparison.cheapest_for_batch ?? cheapest}` : "No product was laid on any leather" }),
      ...comparison.reasons.map((text) => el("p", { text: look.said(text) })),
      el("div", { class: "wide" }, table(leathers, comparison)),
      el("div", { class: "row" }, ...files.sort().reverse().map((kind, i) => el("button", { type: "button", class: i ? "" : "main", "data-file": `comparison.${kind}`, text: FILES[kind], onclick: () => keep(kind) })))),
    costed.length ? el("section", { class: "paper", "aria-label": "Charts" },
      el("h3", { text: `Cost of one product, ${currency}` }), costChart(costed, currency), legend(),
      el("h3", { text: "What of each hide ends up in products, and their mean" }), yieldChart(costed)) : null,
    el("section", { class: "paper", "aria-label": "More" }, el("h3", { text: "To know" }),
      ...[...comparison.break_even, ...comparison.remarks, ...comparison.warnings, ...comparison.meaning, ...comparison.cautions].map((text) => el("p", { class: "note", text: look.said(text) }))),
  ].filter(Boolean);
}

function mean(values) {
  return values.reduce((sum, value) => sum + value, 0) / Math.max(1, values.length);
}

const money = (value) => (value === null || value === undefined ? "–" : value.toFixed(2));

/** "4.00–5.50" of a range that the seeds gave; "" where it is one figure, or none. */
function seeds(range, digits = 2) {
  const told = (range || []).map((value) => value.toFixed(digits));
  return told.length && told[0] !== told[1] ? `${told[0]}–${told[1]} by the seed` : "";
}

/** Rows of leathers. A cell is its figure, and beneath it how far that shifts and what no search can beat. */
function table(leathers, { currency, batch, cheapest }) {
  const spread = (values) => (new Set(values).size > 1 ? `${mean(values).toFixed(1)} (${Math.min(...values)} to ${Math.max(...values)})` : `${values[0]}`);
  const columns = [
    ["Leather", (l) => [`${l.name}${l.estimate ? " (estimate)" : ""}`]],
    ["Thickness", (l) => [writeThickness(l.thickness_mm, look.chosen.thickness)]],
    ["Products a hide", (l) => [spread(l.products_per_hide), seeds(l.over_seeds.products_per_hide, 1), `at most ${spread(l.at_most)}`]],
    ["Ends up in products", (l) => [showShare(mean(l.yield), 0)]],
    [`One of ${batch}, hides bought whole, ${currency}`, (l) => [money(l.batch?.total), seeds(l.over_seeds.batch_total), l.least_batch ? `no less than ${money(l.least_batch.total)}` : ""]],
    [`Hides for ${batch}`, (l) => [l.batch?.hides ?? "–", l.hides.length > 1 && l.chance !== null ? `enough in ${(100 * l.chance).toFixed(0)} of 100` : ""]],
    [`Leather in one, ${currency}`, (l) => [money(l.leather_charged), money(l.leather_charged) === money(l.leather_cost) ? "" : `${money(l.leather_cost)}, offcuts not counted`]],
    [`All costs of one, ${currency}`, (l) => [money(l.cost?.total), seeds(l.over_seeds.total)]],
    ["Level at a price of", (l) => (l.name === cheapest ? ["–"] : [money(l.break_even), seeds(l.over_seeds.break_even)])],
    ["Weight, g", (l) => [l.weight_g === null ? "–" : l.weight_g.toFixed(0)]],
    ["Fasteners", (l) => [l.fasteners.map((f) => `${f.number ? `${f.number} × ` : ""}${f.fastener}${f.size ? ` ${f.size}` : ""}`).join(", ") || "–"]],
  ];
  const cell = ([first, ...more]) => el("td", {}, String(first), ...more.filter(Boolean).map((text) => el("small", { text })));
  return el("table", { "aria-label": "The leathers side by side" },
    el("thead", {}, el("tr", {}, ...columns.map(([words]) => el("th", { scope: "col", text: words })))),
    el("tbody", {}, ...leathers.map((leather) => el("tr", {}, ...columns.map(([, read]) => cell(read(leather)))))));
}

function costChart(leathers, currency) {
  const most = Math.max(...leathers.map((leather) => leather.cost.total));
  const row = 34, left = 190, wide = 420;
  const bars = leathers.flatMap((leather, i) => {
    let x = left;
    const parts = PARTS.map(([name, colour]) => {
      const width = (wide * leather.cost[name]) / most;
      const bar = svg("rect", { x, y: i * row + 6, width, height: 22, fill: colour }, svg("title", { text: `${name} ${leather.cost[name].toFixed(2)} ${currency}` }));
      x += width;
      return bar;
    });
    return [label(leather.name, i * row + 22), ...parts, svg("text", { x: x + 8, y: i * row + 22, class: "chart-text", text: leather.cost.total.toFixed(2) })];
  });
  const words = leathers.map((leather) => `${leather.name} ${leather.cost.total.toFixed(2)}`).join("; ");
  return svg("svg", { viewBox: `0 0 700 ${leathers.length * row + 8}`, class: "chart", role: "img", "aria-label": `Cost of one product in ${currency}: ${words}` }, ...bars);
}

function yieldChart(leathers) {
  const row = 34, left = 190, wide = 420;
  const x = (share) => left + wide * share;
  const height = leathers.length * row;
  const grid = [0, 0.25, 0.5, 0.75, 1].flatMap((share) => [
    svg("line", { x1: x(share), x2: x(share), y1: 0, y2: height, stroke: "#d6cdbc" }),
    svg("text", { x: x(share), y: height + 18, class: "chart-text middle", text: showShare(share, 0) }),
  ]);
  const rows = leathers.flatMap((leather, i) => {
    const y = i * row + 17;
    const [low, high, middle] = [Math.min(...leather.yield), Math.max(...leather.yield), mean(leather.yield)];
    return [label(leather.name, y + 5), svg("line", { x1: x(low), x2: x(high), y1: y, y2: y, stroke: "#5d564a", "stroke-width": 2 }),
      ...leather.yield.map((value) => svg("circle", { cx: x(value), cy: y, r: 4.5, fill: "#fffdf8", stroke: "#5d564a", "stroke-width": 1.6 })),
      svg("rect", { x: x(middle) - 3, y: y - 9, width: 6, height: 18, fill: "#1f4a44" })];
  });
  const words = leathers.map((leather) => `${leather.name} ${showShare(mean(leather.yield), 0)}`).join("; ");
  return svg("svg", { viewBox: `0 0 700 ${height + 26}`, class: "chart", role: "img", "aria-label": `What ends up in products, on the mean: ${words}` }, ...grid, ...rows);
}

function label(text, y) {
  return svg("text", { x: 182, y, class: "chart-text end", text: text.length > 26 ? `${text.slice(0, 25)}…` : text });
}

function legend() {
  return el("p", { class: "note legend" }, ...PARTS.flatMap(([name, colour]) => [
    svg("svg", { class: "swatch", viewBox: "0 0 10 10", "aria-hidden": "true" }, svg("rect", { width: 10, height: 10, fill: colour })), `${name}  `]));
}
