// Small helpers to make elements. Nothing here ever sets markup from text, so nobody's file name becomes a script.

const SVG = "http://www.w3.org/2000/svg";

/** The element with this id. */
export function byId(id) {
  return document.getElementById(id);
}

function fill(element, attributes, children) {
  for (const [name, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false) continue;
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else if (name === "text") element.textContent = value;
    else element.setAttribute(name, value === true ? "" : value);
  }
  element.append(...children.filter((child) => child !== null && child !== undefined));
  return element;
}

/** An HTML element with attributes, listeners (`onclick`), `text` and children. */
export function el(tag, attributes = {}, ...children) {
  return fill(document.createElement(tag), attributes, children);
}

/** The same for SVG. */
export function svg(tag, attributes = {}, ...children) {
  return fill(document.createElementNS(SVG, tag), attributes, children);
}

/** The `d` of a path through points. */
export function pathOf(points, closed = true) {
  if (!points.length) return "";
  const words = points.map(([x, y]) => `${+x.toFixed(3)} ${+y.toFixed(3)}`);
  return `M${words.join("L")}${closed ? "Z" : ""}`;
}

/** Show or hide an element. */
export function show(element, visible) {
  element.hidden = !visible;
}

/** A label with its field under it. */
export function field(words, input, hint = null) {
  return el("label", { class: "field" }, el("span", { text: words }), input, hint && el("small", { text: hint }));
}

/** A select with options [[value, words], …]. */
export function select(options, value, attributes = {}) {
  const box = el("select", attributes, ...options.map(([v, words]) => el("option", { value: v, text: words })));
  box.value = value;
  return box;
}
