// node scripts/page_times.mjs: how long the page's pure parts take, in milliseconds. For people to read; no test asks.
import * as faults from "../nesting/page/static/pure/faults.js";
import * as geometry from "../nesting/page/static/pure/geometry.js";

const circle = (n, r, x = 0, y = 0) =>
  Array.from({ length: n }, (_, i) => [x + r * Math.cos((2 * Math.PI * i) / n), y + r * Math.sin((2 * Math.PI * i) / n)]);

function timed(words, times, work) {
  const began = performance.now();
  for (let i = 0; i < times; i++) work();
  console.log(`${words}: ${((performance.now() - began) / times).toFixed(1)} ms`);
}

const ring = circle(250, 900).map(([x, y], i) => [x * (1 + 0.05 * Math.sin(i)), y]);
timed("crossings of 250 points", 20, () => geometry.crossings(ring));
const flaws = Array.from({ length: 200 }, (_, i) => ({ kind: "hole", outline: circle(12, 4, -400 + 4 * i, 30 * (i % 9)) }));
timed("faults of 5,000 points and 200 flaws", 3, () =>
  faults.faultsOf({ outline: circle(5000, 900), flaws, zones: [], holes: [] }));
