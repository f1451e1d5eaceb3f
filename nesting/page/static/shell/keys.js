// The list of keys, on a question mark.

import { el } from "../drawing/element.js";
import { ask } from "./notice.js";

const KEYS = [
  ["Everywhere", [["?", "this list"], ["Ctrl-Z, Ctrl-Y", "undo, redo"], ["Ctrl-S", "save the hide to the folder"], ["← →", "on the tabs: the one before, the next"]]],
  ["On a drawing", [["+ − 0", "larger, smaller, all of it"], ["arrows", "shift it"]]],
  ["Hide", [["V O F Z B", "choose a tool"], ["G", "lasso round several points"], ["L X S", "paint leather, paint not leather, snap a stretch"], ["[ ]", "a narrower brush, a wider one"], ["N P", "next point, the one before (Shift: both); while drawing the cross goes there"], ["arrows", "move the point or the cross (Shift: finer with the cross)"], ["D", "while drawing: the cross to the next place in doubt"], ["Delete", "take the point out"], ["Space", "set a point, a corner of the loop, a place of the stroke"], ["Enter", "close the shape or the loop, paint"], ["Escape", "leave off"]]],
  ["Product, on the drawing", [["N P", "choose the next corner or hole, the one before"], ["arrows", "move it (Shift: ten steps)"], ["E", "choose the next edge"], ["Delete", "take out what is chosen"], ["Enter", "while an outline is drawn: put a corner; while holes are picked: take this one"], ["Backspace", "while an outline is drawn: take back the last corner"], ["Escape", "let go"]]],
  ["Product, in its fields", [["Enter", "in “next hole”, “corner”, “a new length” or “a new choice”: put it in, and on to the next"], ["Tab", "to the next field; a new thing is gone into at its first"]]],
  ["Plan, on the drawing", [["N P", "choose the next piece, the one before"], ["arrows", "move it 1 mm (Shift: 10 mm)"], ["R, Shift-R", "turn it"], ["L", "lock or unlock it"], ["C", "it is cut, or not after all"], ["G", "its leather is gone: spoilt or taken"], ["F", "draw a flaw found at the bench"], ["T", "draw leather that is taken"], ["Escape", "choose none, leave off"]]],
  ["At the cutting table", [["Space", "cut, and on to the next"], ["← →", "before, next"], ["Backspace", "not cut after all"], ["W", "the whole hide, or one piece"]]],
  ["Projector", [["1 2 3 4", "choose a corner"], ["arrows", "move it (Shift: ten steps)"], ["M , .", "shift the layout; turn it"], ["L N P Space", "one piece lit; next, before; cut"], ["T", "test square"], ["H, Escape", "hide the panel; back"]]],
];

export const showKeys = () => ask("Keys", [el("div", { class: "keys" }, ...KEYS.map(([title, rows]) =>
  el("section", {}, el("h3", { text: title }), el("dl", {}, ...rows.flatMap(([key, words]) => [el("dt", {}, el("kbd", { text: key })), el("dd", { text: words })])))))], [["done", "Done"]]);

/** A question mark typed outside a field shows the list. */
export function wireQuestionMark() {
  addEventListener("keydown", (event) => {
    if (event.key !== "?" || event.ctrlKey || event.metaKey || event.target.closest?.("input, textarea, select, dialog")) return;
    event.preventDefault();
    showKeys();
  });
}
