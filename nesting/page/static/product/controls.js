// Fields of the product bench. Each shows what stands at a path of the project and asks for a change of just that.
// A `place` is {edit(words, edits), data, base, problem}: the table the paths begin in, and where it stands.

import { el, select } from "../drawing/element.js";
import { at, pathWords, shown } from "../pure/sizes.js";

/** A change of one field. */
export const put = (place, path, value, typed = false) => ({ op: "put", path: [...place.base, ...path], value, typed });
export const add = (place, path, value) => ({ op: "add", path: [...place.base, ...path], value });
export const take = (place, path) => ({ op: "take", path: [...place.base, ...path] });

/** A labelled field for a length, a sum, a number (`typed`) or a text. Emptied, it goes, unless it is needed. */
export function sizeField(place, words, path, { typed = true, needed = false, hint = "", list = null } = {}) {
  const key = pathWords([...place.base, ...path]);
  const value = at(place.data, path);
  const input = el("input", {
    value: shown(value), "data-key": key, "data-field": pathWords(path), placeholder: hint, list, autocomplete: "off", spellcheck: "false",
    onchange: () => {
      const told = input.value.trim();
      if (told === shown(value)) return;
      if (told) place.edit(`Set ${words}`, [put(place, path, told, typed)]);
      else if (value !== undefined && !needed) place.edit(`Clear ${words}`, [take(place, path)]);
      else input.value = shown(value);
    },
  });
  return el("label", { class: "field" }, el("span", { text: words }), input);
}

/** One of some words. The first is what holds where the field is not there. */
export function choiceField(place, words, path, options, { clears = true } = {}) {
  const value = at(place.data, path);
  const box = select(options, shown(value) || options[0][0], { "aria-label": words, "data-key": pathWords([...place.base, ...path]), "data-field": pathWords(path) });
  box.addEventListener("change", () => {
    if (clears && box.value === options[0][0]) return value !== undefined && place.edit(`Set ${words}`, [take(place, path)]);
    return place.edit(`Set ${words}`, [put(place, path, box.value)]);
  });
  return el("label", { class: "field" }, el("span", { text: words }), box);
}

/** Large buttons of which one is pressed; `path` gives what is pressed, `set(value)` the edits. */
export function toggles(place, words, path, options, pressed, set = (value) => [put(place, path, value)]) {
  const key = pathWords([...place.base, ...path]);
  return el("fieldset", { class: "toggles", "data-field": pathWords(path) }, el("legend", { text: words }),
    el("div", { class: "row" }, ...options.map(([value, name]) => el("button", {
      type: "button", "aria-pressed": String(value === pressed), "data-key": `${key}=${value}`, text: name,
      onclick: () => value !== pressed && place.edit(`Set ${words}`, set(value)),
    }))));
}

/** Yes or no. */
export function flagField(place, words, path, usual = false) {
  const value = at(place.data, path) ?? usual;
  const box = el("input", {
    type: "checkbox", checked: value === true, "data-key": pathWords([...place.base, ...path]), "data-field": pathWords(path),
    onchange: () => place.edit(`Set ${words}`, [box.checked === usual && at(place.data, path) !== undefined ? take(place, path) : put(place, path, box.checked)]),
  });
  return el("label", { class: "check" }, box, el("span", { text: words }));
}

/** A name like `base` that is not among `names`. */
export function unused(base, names) {
  for (let i = 1; ; i++) if (!names.includes(i === 1 ? base : `${base} ${i}`)) return i === 1 ? base : `${base} ${i}`;
}

/** A button that asks for changes. */
export function changeButton(place, words, says, edits, attributes = {}) {
  return el("button", { type: "button", text: words, "data-key": `${pathWords(place.base)}/${says}/${words}`, ...attributes, onclick: () => place.edit(says, typeof edits === "function" ? edits() : edits) });
}

/** Put the line that says what is wrong under the field it concerns, or first of all. */
export function showProblem(host, problem) {
  const line = el("p", { class: "problem-line", id: "product-problem", text: [problem.problem, problem.remedy].filter(Boolean).join("; ") });
  const fits = [...host.querySelectorAll("[data-field]")].filter(({ dataset: { field } }) =>
    problem.field === field || problem.field.startsWith(`${field}.`) || problem.field.startsWith(`${field}[`));
  const [best] = fits.sort((a, b) => b.dataset.field.length - a.dataset.field.length);
  if (!best) return host.prepend(line);
  best.classList.add("wrong");
  if (best.matches("input, select")) {
    best.setAttribute("aria-invalid", "true");
    best.setAttribute("aria-describedby", "product-problem");
  }
  for (let outer = best.closest("details"); outer; outer = outer.parentElement?.closest("details")) outer.open = true;
  return (best.closest("label") || best).after(line);
}

/** Draw a host anew, and give focus, half-typed text and what was open back. */
export function redraw(host, elements) {
  const active = host.contains(document.activeElement) ? document.activeElement : null;
  const held = active && { key: active.dataset.key, value: active.value, from: active.defaultValue, start: selection(active) };
  const opened = openedOf(host);
  const { scrollTop } = host;
  host.replaceChildren(...elements);
  for (const each of host.querySelectorAll("details[data-key]")) {
    if (opened.has(each.dataset.key)) each.open = opened.get(each.dataset.key);
  }
  host.scrollTop = scrollTop;
  const again = held?.key && [...host.querySelectorAll("[data-key]")].find((each) => each.dataset.key === held.key);
  if (!again) return;
  again.focus({ preventScroll: true });
  if (again.matches("input:not([type=checkbox])") && held.value !== held.from) again.value = held.value;
  if (held.start) again.setSelectionRange?.(...held.start);
}

const KEPT_OPEN = new WeakMap();

/** What was open or shut when it was last seen in a host, also where another view stood there since. */
function openedOf(host) {
  if (!KEPT_OPEN.has(host)) KEPT_OPEN.set(host, new Map());
  const kept = KEPT_OPEN.get(host);
  for (const each of host.querySelectorAll("details[data-key]")) kept.set(each.dataset.key, each.open);
  return kept;
}

function selection(input) {
  try {
    return input.selectionStart === null || input.selectionStart === undefined ? null : [input.selectionStart, input.selectionEnd];
  } catch {
    return null;
  }
}
