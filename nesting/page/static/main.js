// The page: which screen is shown, and how the parts reach one another.

import { get, keepFile, send, upload } from "./shell/api.js";
import { awaitFiles } from "./shell/arrivals.js";
import { Bench } from "./hide/bench.js";
import { CompareTab } from "./compare/compare.js";
import { Cutting } from "./cutting/cutting.js";
import { Desk } from "./shell/desk.js";
import { Draft } from "./shell/draft.js";
import { byId, show } from "./drawing/element.js";
import { floorMap, floorOf } from "./pure/lens.js";
import { redoWords, undoWords } from "./pure/history.js";
import { look } from "./shell/look.js";
import { Marks } from "./hide/marks.js";
import { movedPhoto } from "./hide/mend.js";
import { ask, say, trying } from "./shell/notice.js";
import { showKeys, wireQuestionMark } from "./shell/keys.js";
import { listen } from "./shell/pulse.js";
import { OrderTab } from "./order/order.js";
import { Plan } from "./plan/plan.js";
import { Projector } from "./cutting/projector.js";
import { ProductTab } from "./product/product.js";
import { Side } from "./hide/side.js";
import { Start } from "./hide/start.js";
import { StockTab } from "./stock/stock.js";

const draft = new Draft();
const acts = { open, begin, desk: () => desk, marks: openMarks, plan: () => showTab("plan"), propose, save: saveHide, download: downloadHide, arrived: () => tabs[tab].shown() };
const start = new Start(acts);
const bench = new Bench(draft);
const side = new Side(byId("side"), bench, acts);
const marks = new Marks({
  use: (photo) => (pattern ? usePattern(photo) : useMarks(photo)), keep: keepMarks,
  back: () => (pattern ? leavePattern() : showScreen("bench")), say: (text) => say(text, true),
});
const plan = new Plan(draft, { table: (name) => showTable(name), product: (file) => product.begin({ file }) });
const tables = { cutting: new Cutting(byId("cutting"), { leave: leaveTable }), projector: new Projector(byId("projector"), { leave: leaveTable }) };
const desk = new Desk();
const product = new ProductTab({ lay: layProduct, moved: () => showTab("product"), photo: openPattern });
const tabs = {
  hide: { shown: () => screen === "bench" && bench.refresh() },
  product,
  plan: { shown: () => plan.shown() },
  stock: new StockTab(byId("panel-stock"), { plan: planOn }),
  order: new OrderTab(byId("panel-order"), desk),
  compare: new CompareTab(byId("panel-compare"), desk),
};
let screen = "start";
let tab = "hide";
let table = "";
let waiting = null;
let focused = false; // whether anything had the focus when the screen began to change
let pattern = null;

bench.onHide = (hide, choice) => side.update(hide, choice);

async function open(id) {
  await trying(async () => {
    await draft.open(id);
    showScreen("bench");
  });
}

/** Put something new on the bench. */
async function begin(content) {
  await draft.create({ plan: waiting && { project: waiting }, photo: null, ...content });
  waiting = null;
  showScreen("bench");
}

async function planOn(hide) {
  await begin({ hide });
  showTab("plan");
}

/** At the table: a screen of its own over the plan. */
async function showTable(name) {
  const asked = tab === "plan" && plan.result ? await plan.settled() : null, run = draft.aside.run;
  const result = asked || (run && (await get(`/api/runs/${run}`).catch(() => null)));
  if (!result?.layout) return say("Lay out the pieces first.", true);
  table = name;
  byId(`panel-${tab}`).hidden = true;
  document.body.dataset.table = name;
  for (const each of Object.keys(tables)) show(byId(each), each === name);
  const opened = await tables[name].open(result, draft.content.photo?.marks ? draft.content.photo.size : null);
  if (!opened) return leaveTable();
  return address();
}

function leaveTable() {
  tables[table]?.close();
  table = "";
  delete document.body.dataset.table;
  for (const each of Object.keys(tables)) show(byId(each), false);
  showTab("plan");
  byId("tab-plan").focus();
}

/** The draft that undo and redo go by: the product's on its bench, else the hide's. */
function current() {
  return tab === "product" ? product.draft : draft;
}

/** A product that was kept goes to the plan; without a hide on the bench one is chosen first. */
function layProduct(file) {
  if (!draft.id) {
    waiting = file;
    showScreen("start");
    return say(`Choose the hide that ${file} is to be laid on.`);
  }
  draft.change("Choose the project", (content) => ({ ...content, plan: { ...content.plan, project: file } }));
  return showTab("plan");
}

/** A photo of a paper pattern: its marks are set as a hide's are, then `done` gets the outline. */
async function openPattern(file, done) {
  say("Reading the photo …");
  const photo = await trying(() => upload("/api/photos", file));
  if (!photo) return;
  pattern = done;
  marks.open(photo, "mm");
  showScreen("marks");
  marks.surface.fit();
  say("Put the four marks on the corners of a rectangle on the mat, and type its size.");
}

async function usePattern(photo) {
  say("Looking for the pattern in the photo …");
  const told = await trying(() => send("POST", `/api/photos/${photo.id}/outline`, floorOf(photo)));
  if (!told) return;
  const done = pattern;
  leavePattern();
  await done(told.outline);
  say(`Found with ${told.outline.length} corners; correct them by eye and by their numbers.`);
}

function leavePattern() {
  pattern = null;
  showScreen(draft.id ? "bench" : "start");
  showTab("product");
}

function showScreen(name) {
  focused ||= document.activeElement !== document.body;
  screen = name;
  for (const id of ["start", "bench", "marks"]) show(byId(id), id === name);
  byId("tab-plan").disabled = !draft.id;
  if (name === "start") start.show();
  showTab("hide");
}

function showTab(name) {
  focused ||= document.activeElement !== document.body;
  tab = name;
  for (const key of Object.keys(tabs)) {
    const button = byId(`tab-${key}`);
    button.setAttribute("aria-selected", String(key === name));
    button.tabIndex = key === name ? 0 : -1;
    show(byId(`panel-${key}`), key === name);
  }
  tabs[name].shown();
  savedWords();
  buttons();
  address();
  keepFocus();
}

/** Where the focus goes when what had it is gone from the screen: to the drawing or the heading of the new one. */
function keepFocus() {
  const { activeElement: now } = document;
  const lost = !now || now === document.body || !now.getClientRects().length;
  const had = focused;
  focused = false;
  if (!had || !lost) return;
  const place = { hide: `#${screen} h2, #${screen} svg.surface`, plan: "#plan-surface svg.surface" }[tab] || `#panel-${tab}`;
  document.querySelector(place)?.focus({ preventScroll: true });
}

function address() {
  const beside = !["hide", "plan"].includes(tab);
  const id = beside || screen !== "start" || tab === "plan" ? draft.id || "-" : "";
  const own = tab === "product" && product.draft.id ? `/${product.draft.id}` : "";
  const at = id && `#${id}/${table || (tab === "hide" ? screen : tab)}${own}`;
  if (location.hash !== at || location.search) history.replaceState(null, "", location.pathname + at);
}

function openMarks() {
  marks.open(draft.content.photo, look.chosen.length, draft.content.marking);
  showScreen("marks");
  marks.surface.fit();
}

/** Marks as they stand on their screen, not yet used: a step like any other, kept with the work. */
function keepMarks(words, marking, kind) {
  if (!pattern) draft.change(words, (content) => ({ ...content, marking }), kind);
}

/** Marks were set: what is drawn already moves with them. */
function useMarks(photo) {
  const before = draft.content.photo;
  draft.change("Set the marks", (content) => ({
    ...content, marking: null, photo: before.marks ? movedPhoto(photo, mover(before, photo)) : photo, hide: moved(content.hide, before, photo),
  }));
  showScreen("bench");
  if (!draft.content.hide.outline.length) propose();
}

function mover(before, after) {
  const back = floorMap(before), on = floorMap(after);
  return (ring) => ring.map((point) => on.toMm(back.toPixels(point)));
}

function moved(hide, before, after) {
  if (!before.marks || !hide.outline?.length) return hide;
  const move = mover(before, after);
  const all = (list) => (list || []).map((item) => ({ ...item, outline: move(item.outline) }));
  return {
    ...hide, outline: move(hide.outline), backbone: hide.backbone && move(hide.backbone), holes: (hide.holes || []).map(move),
    flaws: all(hide.flaws), zones: all(hide.zones),
  };
}

async function showFlat() {
  const { photo } = draft.content;
  const key = photo?.marks ? JSON.stringify([photo.id, floorOf(photo)]) : "";
  if (key === showFlat.key) return;
  showFlat.key = key;
  bench.showFlat(null); // never the photo as other marks lay it, under an outline that has moved
  if (!key) return null;
  const flat = await trying(() => send("POST", `/api/photos/${photo.id}/flat`, floorOf(photo)));
  if (showFlat.key === key) bench.showFlat(flat);
  return null;
}

async function propose() {
  const { photo } = draft.content;
  if (!photo?.marks) return openMarks();
  say("Looking for the hide in the photo …");
  const told = await trying(() => send("POST", `/api/photos/${photo.id}/outline`, floorOf(photo)));
  if (!told) return null;
  bench.mend.take(told.outline, told.doubts);
  draft.change("Take the proposed outline", (content) => ({
    ...content, photo: { ...content.photo, strokes: [], seen: [] }, hide: { ...content.hide, outline: told.outline },
  }));
  bench.choose({ kind: "outline", index: 0, point: null });
  bench.use("adjust");
  const remarks = told.remarks.map((remark) => look.said(`${remark[0].toUpperCase()}${remark.slice(1)}.`)).join(" ");
  const doubts = told.doubts.length ? ` Look at what is in doubt: ${told.doubts.length === 1 ? "one stretch is" : `${told.doubts.length} stretches are`} listed beside.` : "";
  say(`Proposed with ${told.outline.length} points; correct it by eye, then Plan the cutting. ${remarks}${doubts}`, told.remarks.length > 0);
  return null;
}

async function saveHide(replace = false) {
  const { hide, photo } = draft.content;
  const name = `${(hide.name || "hide").replace(/[^\p{L}\p{N} ._()-]+/gu, "-").slice(0, 60)}.json`;
  try {
    const kept = await send("POST", "/api/hides", { hide, file: name, replace, photo: photo?.marks ? photo : null });
    say(`Saved as ${kept.file} in the folder.`);
  } catch (problem) {
    if (problem.status !== 409) return say(problem.message, true);
    const answer = await ask("Replace the file?", `“${name}” is in the folder already.`, [["yes", "Replace it"], ["", "Leave it"]]);
    if (answer === "yes") await saveHide(true);
  }
  return null;
}

async function downloadHide() {
  await draft.flush();
  const told = await trying(() => send("POST", "/api/hides/check", { hide: draft.content.hide }));
  if (told) keepFile(`/api/drafts/${draft.id}/hide.json`);
}

function buttons() {
  const { id: held, history: steps } = current();
  const has = held !== null && (["plan", "product"].includes(tab) || (tab === "hide" && screen !== "start"));
  for (const [id, words] of [["undo", has && undoWords(steps)], ["redo", has && redoWords(steps)]]) {
    byId(id).disabled = !words;
    byId(id).title = words ? `${id === "undo" ? "Take back" : "Bring again"}: ${words}` : "";
  }
  show(byId("to-start"), has);
  byId("to-start").textContent = tab === "product" ? "All products" : "All hides";
  for (const id of ["undo", "redo", "saved"]) show(byId(id), has);
}

function savedWords() {
  const words = { kept: "All kept", waiting: "Keeping …", saving: "Keeping …", unkept: "Not kept yet", conflict: "Changed elsewhere" };
  const { state, stateWords } = current();
  byId("saved").textContent = words[state] || "";
  byId("saved").classList.toggle("problem", ["unkept", "conflict"].includes(state));
  if (state === "unkept" && stateWords) say(stateWords, true);
}

async function conflict(draft, reopen) {
  if (draft.state !== "conflict" || conflict.asking) return;
  conflict.asking = true;
  const answer = await ask("Another tab was faster", "This work was changed in another tab while it was changed here. Choose which to go on with.", [
    ["own", "Keep mine as a second draft"], ["theirs", "Take the other tab's"]]);
  conflict.asking = false;
  if (answer === "theirs") {
    sessionStorage.removeItem(`draft-${draft.id}`);
    await reopen(draft.id);
  } else await trying(() => draft.keepAsOwn());
  address();
}

function wireKeys() {
  addEventListener("keydown", (event) => {
    if (!(event.ctrlKey || event.metaKey) || byId("question").open || byId("undo").hidden) return;
    const key = event.key.toLowerCase();
    if (event.target.id === "product-text" && key !== "s") return;
    const held = current();
    if (key === "z" && !event.shiftKey) held.id && held.undo();
    else if (key === "y" || (key === "z" && event.shiftKey)) held.id && held.redo();
    else if (key === "s") held.id && (tab === "product" ? product.keep() : saveHide());
    else return;
    event.preventDefault();
  });
}

function wireTabs() {
  const names = Object.keys(tabs);
  names.forEach((name, i) => {
    const button = byId(`tab-${name}`);
    button.addEventListener("click", () => showTab(name));
    button.addEventListener("keydown", (event) => {
      const step = { ArrowRight: 1, ArrowLeft: names.length - 1 }[event.key];
      if (!step) return;
      const next = names[(i + step) % names.length];
      if (!byId(`tab-${next}`).disabled) {
        showTab(next);
        byId(`tab-${next}`).focus();
      }
    });
  });
}

draft.addEventListener("opened", () => {
  bench.opened();
  showFlat.key = undefined;
  plan.opened();
});
draft.addEventListener("change", () => {
  showFlat();
  bench.refresh();
  if (screen === "marks" && tab === "hide") marks.follow(draft.content.photo, draft.content.marking);
  if (tab === "plan") plan.refresh();
  buttons();
});
draft.addEventListener("aside", () => tab === "plan" && plan.refresh());
for (const [each, reopen] of [[draft, open], [product.draft, (id) => product.open(id)]]) {
  each.addEventListener("followed", () => say("Taken over from the other tab."));
  each.addEventListener("state", () => {
    savedWords();
    conflict(each, reopen);
  });
}
product.draft.addEventListener("change", buttons);
byId("keys").addEventListener("click", showKeys);
byId("look").addEventListener("click", () => look.ask());
look.addEventListener("change", () => {
  if (["stock", "order", "compare"].includes(tab)) tabs[tab].shown();
  if (!byId("start").hidden) start.show();
  if (!draft.id) return;
  bench.refresh();
  if (tab === "plan") plan.refresh();
});
byId("undo").addEventListener("click", () => current().undo());
byId("redo").addEventListener("click", () => current().redo());
byId("to-start").addEventListener("click", async () => {
  if (tab === "product") return product.leave();
  await draft.flush();
  return showScreen("start");
});
wireKeys();
wireQuestionMark();
wireTabs();
listen(() => [draft, product.draft].forEach((each) => each.id && each.flush()));
awaitFiles((file) => trying(() => start.take(file)));
savedWords();

await desk.load();
look.open(desk);
const [wanted, place, own] = location.hash.slice(1).split("/");
if (/^[0-9a-f]{12}$/.test(wanted)) await trying(() => draft.open(wanted));
if (!draft.id) showScreen("start");
else if (place === "marks" && draft.content.photo) openMarks();
else showScreen("bench");
if (place === "product" && /^[0-9a-f]{12}$/.test(own)) await product.open(own);
else if (place in tabs && (place !== "plan" || draft.id)) showTab(place);
if (place in tables && draft.id) {
  showTab("plan");
  await showTable(place);
}
document.body.dataset.ready = "yes";
