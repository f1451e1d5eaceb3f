// What the page has to say: a line at the foot that goes by itself, and questions that wait for an answer.

import { byId, el } from "../drawing/element.js";

let timer = 0;

/** Say something. A problem stays until it is put away. */
export function say(text, isProblem = false) {
  const box = byId("notice");
  clearTimeout(timer);
  box.replaceChildren(
    el("span", { text }),
    el("button", { type: "button", class: "quiet", text: "Put away", onclick: () => (box.hidden = true) }),
  );
  box.classList.toggle("problem", isProblem);
  box.hidden = false;
  if (!isProblem) timer = setTimeout(() => (box.hidden = true), 6000);
}

/** Put away what was said, unless it is a problem. */
export function hush() {
  const box = byId("notice");
  if (!box.classList.contains("problem")) box.hidden = true;
}

/** Put away what was said, a problem too: what it was about is under way now. */
export function putAway() {
  byId("notice").hidden = true;
}

/** Do something; say what went wrong if it does. The answer is what it gives, or null. */
export async function trying(doing) {
  try {
    return await doing();
  } catch (error) {
    if (error.name !== "AbortError") say(error.message, true);
    if (!error.status && error.name !== "AbortError") console.error(error);
    return null;
  }
}

/** Ask; the answer is the chosen value, or null when put away. */
export function ask(title, body, choices) {
  const box = byId("question");
  return new Promise((resolve) => {
    const answer = (value) => {
      box.onclose = null;
      box.close();
      resolve(value);
    };
    const buttons = choices.map(([value, words], i) =>
      el("button", { type: "button", class: i === 0 ? "main" : "", text: words, onclick: () => answer(value) }));
    const parts = typeof body === "string" ? [el("p", { text: body })] : body;
    box.replaceChildren(el("h2", { id: "question-title", text: title }), ...parts, el("div", { class: "row end" }, ...buttons.reverse()));
    box.onclose = () => resolve(null);
    box.showModal();
  });
}
