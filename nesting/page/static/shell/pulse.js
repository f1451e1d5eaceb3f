// Whether the program behind the page is there: asked every few seconds, said when it is gone and when it is back.

import { byId, show } from "../drawing/element.js";
import { say } from "./notice.js";

const EVERY = 4000;
let away = false;

async function beat(back) {
  if (document.hidden) return;
  const there = await fetch("/static/mark.svg", { method: "HEAD", cache: "no-store" }).then(() => true).catch(() => false);
  if (there === !away) return;
  away = !there;
  show(byId("away"), away);
  if (away) return;
  say("hideplan answers again.");
  back();
}

/** Begin to listen; `back()` is called whenever the program answers again. */
export function listen(back) {
  setInterval(() => beat(back), EVERY);
  for (const name of ["online", "offline", "focus"]) addEventListener(name, () => beat(back));
  document.addEventListener("visibilitychange", () => beat(back));
}
