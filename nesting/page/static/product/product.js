// The product bench: a product's pieces drawn, typed, punched and joined; its project file beside it, either side to edit.

import { keepFile, send, upload } from "../shell/api.js";
import { Draft } from "../shell/draft.js";
import { byId, el, pathOf, show, svg } from "../drawing/element.js";
import { Surface } from "../drawing/surface.js";
import { wireZoomers } from "../drawing/zoomers.js";
import { millimetres, pathWords, told as measure, written } from "../pure/sizes.js";
import { stepEnd, typedStep } from "../pure/typed_way.js";
import { look } from "../shell/look.js";
import { ask, say, trying } from "../shell/notice.js";
import { edgeRun } from "../pure/edges.js";
import { acrossPoints } from "./across.js";
import { redraw, showProblem, unused } from "./controls.js";
import { cornersElements } from "./corners_form.js";
import { FEATURES, namesOf, newFeature } from "./features.js";
import { beginningElements, jointElements } from "./joints_form.js";
import { makingElements } from "./making_form.js";
import { PieceDrawing, pieceBox, placedPieces } from "./piece_drawing.js";
import { liesLike, pieceElements } from "./piece_form.js";
import { fixedFields, handleEdits, PieceTool } from "./piece_tool.js";
import { ProductStart } from "./product_start.js";
import { openRows, sewnTo } from "./sewing.js";
import { newShape } from "./shape_form.js";

const SHAPES = [["rectangle", "Rectangle"], ["strap", "Strap"], ["circle", "Circle"], ["polygon", "Corners"], ["path", "Path data"]];
const ADDED = [["holes", "Hole"], ["rows", "Row of holes"], ["slots", "Slot"], ["buckle_slots", "Buckle slot"], ["belt_holes", "Belt holes"], ["notches", "Notch"], ["lines", "Fold", "fold"], ["lines", "Crease", "crease"], ["lines", "Stitch line", "stitch"], ["lines", "Skive", "skive"], ["lines", "Mark", "mark"], ["allowances", "Allowance"], ["covered", "Covered part"]];
const HINT = "Drag a corner or a hole; tap an edge to choose it. Keys: N, P, arrows, E for edges, Delete.";
const KEYS = "Keys: N and P choose the next and the previous corner or hole, arrows move it, E chooses the next edge, Shift and E one more, Delete takes out what is chosen, Escape lets go; plus, minus and 0 zoom.";
const VIEWS = ["piece", "joints", "making"];
const WAIT = 350;

export class ProductTab {
  /** `acts.lay(file)` goes to the plan with a project file; `acts.moved()` hears when another product is on the bench;
   * `acts.photo(file, done)` has the outline of a paper pattern found in a photo, mm. */
  constructor(acts) {
    this.acts = acts;
    this.draft = new Draft("/api/products");
    this.start = new ProductStart(byId("product-start"), { begin: (body) => this.begin(body), open: (id) => this.open(id) });
    this.surface = new Surface(byId("product-surface"), { label: `The piece at scale. ${KEYS}` });
    this.drawing = new PieceDrawing(this.surface);
    this.surface.tool = new PieceTool(this);
    this.surface.onView = () => this.drawing.view();
    wireZoomers(this.surface);
    Object.assign(this, { told: null, index: 0, handle: null, run: [], edgeBefore: null, picking: null, pending: null, view: "piece", all: false, t: 3, leather: "", chosen: {}, queue: Promise.resolve() });
    this.#build();
    this.draft.addEventListener("opened", () => this.#opened());
    this.draft.addEventListener("change", () => this.#changed());
  }

  // what is on the bench

  get units() {
    return this.told?.units || "mm";
  }

  get piece() {
    return this.told?.pieces?.[this.index] || null;
  }

  get text() {
    return this.draft.content.text;
  }

  /** The first of the edges that are chosen. */
  get edge() {
    return this.run[0] || null;
  }

  set edge(name) {
    this.run = name ? [name] : [];
  }

  async shown() {
    show(byId("product-start"), !this.draft.id);
    show(byId("product-bench"), Boolean(this.draft.id));
    if (!this.draft.id) await this.start.show();
    else if (this.told) this.refresh();
  }

  async begin(body) {
    const made = await trying(() => send("POST", "/api/products", body));
    if (made) await this.open(made.id);
  }

  async open(id) {
    if (this.draft.id) await this.draft.flush();
    const done = await trying(async () => {
      await this.draft.open(id);
      return true;
    });
    if (done) await this.shown();
    this.acts.moved();
  }

  /** Back to what else can be worked on. */
  async leave() {
    await this.draft.flush();
    this.draft.id = null;
    this.told = null;
    await this.shown();
    this.acts.moved();
  }

  #opened() {
    Object.assign(this, { index: 0, handle: null, edge: null, picking: null, pending: null, all: false, former: null, told: null, readText: null, chosen: {}, leather: "" });
    this.surface.forget();
    this.hint(HINT);
  }

  /** The draft changed: by a step of ours, by undo, by another tab. */
  #changed() {
    if (!this.draft.id || this.readText === this.text) return;
    this.#read();
  }

  // reading and changing

  get #asked() {
    return { t: this.t, leather: this.leather, chosen: this.chosen, file: this.draft.content.file };
  }

  /** Have the server say what the text says; only the latest answer counts. */
  async #read() {
    const { text } = this;
    this.readText = text;
    const turn = (this.turn = (this.turn || 0) + 1);
    const told = await trying(() => send("POST", "/api/products/read", { text, ...this.#asked }));
    if (told && turn === this.turn) this.#take(told);
  }

  #take(told) {
    this.liveTold = null;
    if (told.unreadable) this.unreadable = told.problem;
    else {
      this.unreadable = null;
      this.told = told;
      this.index = Math.max(0, Math.min(this.index, told.pieces.length - 1));
      if (this.handle !== null && !this.piece?.handles[this.handle]) this.handle = null;
      if (!this.run.every((name) => this.piece?.edges.some((edge) => edge.name === name))) this.edge = null;
    }
    this.refresh();
  }

  /** One step: changes in the text, made by the server so that all else in it stays. Steps follow one another; `edits` may
   * be a function of what the product says once the steps before are made.
   */
  edit(words, edits, kind = null) {
    this.queue = this.queue.then(() => this.#edit(words, edits, kind));
    return this.queue;
  }

  async #edit(words, asked, kind) {
    const edits = typeof asked === "function" ? asked(this.told) : asked;
    if (!edits?.length) return null;
    let told = null, text = null, seenAs = "";
    // what is typed into the text meanwhile is never written over: the change is made again in the newer text
    while (text !== this.text) {
      text = this.text;
      seenAs = JSON.stringify(this.#asked);
      told = await trying(() => send("POST", "/api/products/change", { text, edits, ...this.#asked }));
      if (!told) return this.dropLive();
    }
    this.turn = (this.turn || 0) + 1;
    this.readText = told.text;
    this.#land(edits, told.told);
    this.draft.change(words, (content) => ({ ...content, text: told.text }), kind);
    this.#take(told.told);
    if (seenAs !== JSON.stringify(this.#asked)) this.#read();  // the slider moved, or another variant was asked for, meanwhile
    return this.#enter(edits);
  }

  /** A piece that was just put in is the one on the bench. */
  #land(edits, told) {
    const more = edits.find((each) => each.op === "add" && each.path.length === 1 && each.path[0] === "piece");
    if (!more) return;
    this.index = told.pieces.length - 1;
    Object.assign(this, { handle: null, edge: null, all: false, view: "piece" });
    this.surface.forget();
  }

  /** What was just put in by its button is gone into at its first field or edge, for hands that are at the keys anyway. */
  #enter(edits) {
    const [more] = edits.filter((each) => each.op === "add");
    if (more?.path.length === 1 && more.path[0] === "piece") {
      byId("piece-name")?.focus();
      byId("piece-name")?.select();
      return;
    }
    if (!more || edits.length > 1 || matchMedia("(pointer: coarse)").matches) return;
    if (document.activeElement?.matches?.("#product-form input, #product-surface *")) return;
    const held = more.path[0] === "piece" ? this.told?.pieces[more.path[1]]?.table[more.path[2]] : this.told?.tables[more.path[0]];
    if (!held || more.path.length !== (more.path[0] === "piece" ? 3 : 1)) return;
    const key = pathWords([...more.path, held.length - 1]);
    const own = [...byId("product-form").querySelectorAll("[data-key]")].filter((each) => each.dataset.key.startsWith(`${key}.`) && !each.disabled);
    const first = (this.edge ? null : own.find((each) => each.dataset.key.startsWith(`${key}.edge=`))) || own.find((each) => each.matches("input:not([type=checkbox])"));
    first?.focus({ preventScroll: true });
    first?.select?.();
  }

  /** The middle of a drag: shown, not yet a step. */
  live(edits) {
    this.wanted = edits;
    if (this.asking || !edits.length) return;
    this.asking = (async () => {
      while (this.wanted) {
        const now = this.wanted;
        this.wanted = null;
        const told = await send("POST", "/api/products/change", { text: this.text, edits: now, ...this.#asked }).catch(() => null);
        if (told && this.asking) {
          this.liveTold = told.told;
          this.#draw();
        }
      }
      this.asking = null;
    })();
  }

  dropLive() {
    this.wanted = null;
    this.asking = null;
    this.liveTold = null;
    this.refresh();
  }

  movedTo(handle, to) {
    const edits = handleEdits(handle, to, this.units, ["piece", this.index]);
    const fixed = fixedFields(handle);
    if (fixed.length) this.hint(`A sum stays as it is: ${fixed.join(", ")}. Change it in its field.`);
    return edits.length ? edits : null;
  }

  // choosing

  choosePiece(index) {
    Object.assign(this, { index, handle: null, edge: null, all: false, view: "piece" });
    this.surface.forget();
    this.refresh();
    this.hint(HINT);
  }

  chooseHandle(index) {
    this.handle = index;
    if (this.view !== "piece" && this.picking === null) this.view = "piece";
    this.refresh();
    const feature = this.#chosenFeature;
    if (feature) byId("product-form").querySelector(`[data-feature="${feature[0]}-${feature[1]}"]`)?.scrollIntoView({ block: "nearest" });
    const handle = index === null ? null : this.piece?.handles[index];
    this.hint(handle ? `${handle.kind} at ${measure(handle.at[0], this.units)}, ${measure(handle.at[1], this.units)}: drag it or move it with the arrows.` : HINT);
  }

  /** One edge, or those from the first that is chosen on to it. */
  chooseEdge(name, on = false) {
    const from = on && name ? this.edge : null;
    if (name !== this.edge) this.edgeBefore = this.edge;
    if (from && from !== name) this.run = edgeRun(this.#edgeNames, from, name);
    else this.edge = name;
    this.handle = null;
    this.refresh();
    const words = this.run.length > 1 ? `Edges ${this.run.map((each) => `“${each}”`).join(", ")} are chosen` : `Edge “${name}” is chosen`;
    this.hint(name ? `${words}: rows, lines, notches and allowances go along ${this.run.length > 1 ? "them" : "it"}. Shift and a tap, or two taps, on another takes in the edges between.` : HINT);
  }

  /** An edge that is tapped twice: those from the one that was chosen before on to it. */
  edgeTwice(name) {
    if (!name || !this.edgeBefore || this.edgeBefore === name) return;
    this.edge = this.edgeBefore;
    this.chooseEdge(name, true);
  }

  get #edgeNames() {
    return namesOf(this.piece?.edges || []);
  }

  nextEdge(on = false) {
    const names = this.#edgeNames;
    const last = this.run[this.run.length - 1];
    const next = names[(names.indexOf(last) + 1) % names.length];
    if (!names.length) return true;
    if (!on || !last) this.chooseEdge(next);
    else if (!this.run.includes(next)) {
      this.run = [...this.run, next];
      this.refresh();
      this.hint(`Edges ${this.run.map((each) => `“${each}”`).join(", ")} are chosen.`);
    }
    return true;
  }

  get #chosenFeature() {
    const handle = this.handle === null ? null : this.piece?.handles[this.handle];
    const path = handle && (handle.y || handle.x);
    return path && path[0] in FEATURES ? path : null;
  }

  deleteHandle() {
    const handle = this.piece?.handles[this.handle];
    const path = handle && (handle.y || handle.x);
    if (!path) return;
    const base = ["piece", this.index];
    if (path[0] in FEATURES) {
      this.handle = null;
      this.edit("Take it out", [{ op: "take", path: [...base, path[0], path[1]] }]);
    } else if (path.includes("smooth") && path.length > 5 && handle.corner && this.piece.table.shape.polygon[path[2]].smooth.length > 1) {
      this.handle = null;
      this.edit("Take out a point", [{ op: "take", path: [...base, ...path.slice(0, 5)] }]);
    } else if (path[1] === "polygon" && this.piece.table.shape.polygon.length > 3) {
      this.handle = null;
      this.edit("Take out a corner", [{ op: "take", path: [...base, ...path.slice(0, 3)] }]);
    } else this.hint("This one the piece needs.");
  }

  // drawing a new outline corner by corner

  beginDrawing() {
    Object.assign(this, { pending: [], pendingTold: [], cross: null, all: false, handle: null, edge: null });
    this.refresh();
    this.hint("Tap the corners one after another; tap the first again to close. With keys: arrows move the mark, Enter puts a corner, Backspace takes the last, Escape ends.");
    this.surface.root.focus({ preventScroll: true });
    if (!this.piece) this.surface.fit([-20, -20, 260, 200]);
    this.moveCross([0, 0]);
  }

  moveCross(point) {
    this.cross = point;
    this.#draw();
    this.hint(`Mark at ${measure(point[0], this.units)}, ${measure(point[1], this.units)}; ${this.pending.length} corners so far. Enter puts one.`);
  }

  putPoint(point, reach, told = null) {
    const [first] = this.pending;
    this.cross = point;
    if (first && this.pending.length > 2 && Math.hypot(point[0] - first[0], point[1] - first[1]) <= reach) return this.close();
    this.pending = [...this.pending, point];
    this.pendingTold[this.pending.length - 1] = told;
    if (told) this.#seePending();
    this.#draw();
    this.#form();
    return this.hint(`${this.pending.length} corners; tap the first again to close.`);
  }

  /** A corner that is typed; one that is a sum lies where the one before does until the outline is closed. */
  putTyped(text) {
    const told = typedStep(text, this.units, this.#lastCorner);
    if (!told) return this.hint(`“${text}” is no corner: type two lengths with a comma between, as 120, 0 or 120, 0 round 8.`);
    if (!this.pending.length && !Array.isArray(told) && !told.at) return this.hint("Begin with a corner that no arc or curve leads to: two lengths with a comma between.");
    const before = this.pending[this.pending.length - 1] || [0, 0];
    return this.putPoint(stepEnd(told).map((value, axis) => millimetres(value, this.units) ?? before[axis]), -1, told);
  }

  /** The last corner as the file writes it. */
  get #lastCorner() {
    const i = this.pending.length - 1;
    if (i < 0) return null;
    return this.pendingTold[i] ? stepEnd(this.pendingTold[i]) : this.pending[i].map((value) => written(value, this.units, 0));
  }

  /** Typed corners may lie anywhere: all of them stay in sight. */
  #seePending() {
    const box = [0, 1].flatMap((side) => [0, 1].map((axis) => Math[side ? "max" : "min"](...this.pending.map((point) => point[axis]))));
    const [left, low] = this.surface.toScreen([box[0], box[1]]), [right, high] = this.surface.toScreen([box[2], box[3]]);
    const { width, height } = this.surface.size;
    if (left >= 0 && right <= width && high >= 0 && low <= height) return;
    const room = Math.max(box[2] - box[0], box[3] - box[1], 40) * 0.15;
    this.surface.fit([box[0] - room, box[1] - room, box[2] + room, box[3] + room]);
  }

  takePoint() {
    this.pending = this.pending.slice(0, -1);
    this.#draw();
    this.#form();
  }

  dropPending() {
    this.pending = null;
    this.refresh();
    this.hint(HINT);
  }

  close() {
    if (this.pending.length < 3 && !this.pendingTold.some((told) => told && !Array.isArray(told) && !told.at)) return this.hint("An outline has three corners or more, or a curve between two.");
    const points = this.pending.map((point, i) => this.pendingTold[i] || point.map((value) => written(value, this.units, 0)));
    this.pending = null;
    return this.#addPiece({ polygon: points });
  }

  // new things

  #addPiece(shape) {
    const names = (this.told?.pieces || []).map((piece) => piece.name);
    let name = "piece 1";
    for (let i = 2; names.includes(name); i++) name = `piece ${i}`;
    const before = this.told?.pieces.at(-1);
    const lies = before ? liesLike(before.table) : {};
    return this.edit("Add a piece", [{ op: "add", path: ["piece"], value: { name, shape, ...lies } }]).then(() => {
      if (Object.keys(lies).length) this.hint(`The new piece lies as “${before.name}” does, by grade and direction, until you change it.`);
    });
  }

  /** Pieces that come together, each under its own name or the next that is free. */
  #addPieces(pieces) {
    const names = (this.told?.pieces || []).map((piece) => piece.name);
    const edits = pieces.map(({ name, shape }) => {
      let free = name;
      for (let i = 2; names.includes(free); i++) free = `${name} ${i}`;
      names.push(free);
      return { op: "add", path: ["piece"], value: { name: free, shape } };
    });
    return this.edit("Add pieces", edits);
  }

  #addShape(kind) {
    if (kind === "polygon") return this.beginDrawing();
    return this.#addPiece(newShape(kind, (mm) => written(mm, this.units, 0)));
  }

  async #addFeature(kind, line = null) {
    const [made] = this.piece?.made || [];
    if (!made) return this.hint(this.piece ? "Mend this piece first: the field with the fault is marked." : "Choose a piece first.");
    const chosen = this.#chosenFeature;
    const named = kind === "rows" && chosen?.[0] === "lines" ? this.piece.table.lines[chosen[1]].name : null;
    const place = { data: this.piece.table, base: ["piece", this.index] };
    if (kind === "belt_holes" && this.piece.table.belt_holes) return this.hint("This piece has its belt holes already.");
    await this.edit(`Add a ${FEATURES[kind]?.one || "row of belt holes"}`, newFeature(place, kind, { made, line, named, run: this.run, edges: this.#edgeNames, units: this.units, tables: this.told.pieces.map((each) => each.table) }));
    const number = (this.piece?.table[kind]?.length || 1) - 1;
    const index = (this.piece?.handles || []).findIndex(({ x, y }) => (y || x)?.[0] === kind && (kind === "belt_holes" || (y || x)[1] === number));
    if (index >= 0) this.chooseHandle(index);
    byId("product-form").querySelector(`[data-feature="${kind}-${number}"]`)?.scrollIntoView({ block: "nearest" });
    return null;
  }

  /** A line that crosses the piece at a length that may be a sum: what it comes to is asked first, then where it leaves the piece. */
  async across(path, axis, value) {
    const { piece, units } = this;
    const to = ["piece", this.index, ...path];
    const ends = (at) => [{ op: "put", path: to, value: acrossPoints(piece, axis, value, at, units) }];
    const tried = await send("POST", "/api/products/change", { text: this.text, edits: ends(null), ...this.#asked }).catch(() => null);
    const spot = tried?.told.pieces?.[piece.index]?.handles.find(({ x }) => x && pathWords(x).startsWith(`${pathWords(path)}[0]`));
    return this.edit("Draw it across", ends(spot ? spot.at[axis] : null));
  }

  /** A row of holes that is sewn to a row of another piece, and the seam. */
  async #sew(key) {
    const made = sewnTo(this, key);
    if (!made) return;
    await this.edit("Sew it on", made.edits);
    this.hint(made.words);
    const fields = byId("product-form").querySelector(`[data-feature="rows-${(this.piece.table.rows?.length || 1) - 1}"]`);
    fields?.scrollIntoView({ block: "nearest" });
    if (!matchMedia("(pointer: coarse)").matches) fields?.querySelector("input[data-field$=group]")?.focus({ preventScroll: true });
  }

  #sewing() {
    const box = byId("product-sew");
    const rows = this.piece ? openRows(this) : [];
    const options = [["", "Sew to …"], ...rows.map((each) => [each.key, `${each.side.piece}: ${each.side.holes} (${each.number})`])];
    box.replaceChildren(...options.map(([value, text]) => el("option", { value, text })));
    box.disabled = !rows.length;
  }

  async #addPhoto(input) {
    const [file] = input.files;
    input.value = "";
    if (file) await this.acts.photo(file, (outline) => this.#traced(outline));
  }

  /** An outline from a photo, with the corner of its box in (0, 0), to a tenth of a millimetre. */
  #traced(outline) {
    const [x0, y0] = [0, 1].map((axis) => Math.min(...outline.map((point) => point[axis])));
    const at = (mm) => written(Math.round(mm * 10) / 10, this.units, 0);
    return this.#addPiece({ polygon: outline.map(([x, y]) => [at(x - x0), at(y - y0)]) });
  }

  async #addDrawing(input) {
    const [file] = input.files;
    input.value = "";
    if (!file) return;
    const kept = await trying(() => upload("/api/products/drawings", file));
    if (!kept) return;
    if (!kept.parts) await this.#addPiece({ drawing: kept.file });
    else await this.#addPieces(kept.parts.map((block) => ({ name: block, shape: { drawing: kept.file, block } })));
  }

  // joints

  get groups() {
    return (this.told?.pieces || []).flatMap((piece) => piece.made.flatMap((made) => {
      const counts = new Map();
      for (const hole of made.holes) if (hole.group) counts.set(hole.group, (counts.get(hole.group) || 0) + 1);
      return [...counts].map(([group, number]) => ({ piece: made.name, group, number }));
    }));
  }

  /** Holes of the joint that is being picked are tapped on the drawing. */
  pick(joint) {
    this.picking = joint;
    this.refresh();
    this.hint(joint === null ? HINT : "Tap a hole of each piece, from the front to the back; the strip above changes the piece. With keys: N to the hole, Enter takes it.");
  }

  async pickHole(handle) {
    const path = handle.y || handle.x;
    const joint = this.told.tables.joint?.[this.picking];
    const item = path[0] === "belt_holes" ? this.piece.table.belt_holes : this.piece.table[path[0]]?.[path[1]];
    if (!joint || !["holes", "rows", "belt_holes"].includes(path[0])) return this.hint("That is no hole; tap a hole or a row of holes.");
    const base = ["piece", this.index, path[0], ...(path[0] === "belt_holes" ? [] : [path[1]])];
    const group = item.group || joint.name;
    const edits = item.group ? [] : [{ op: "put", path: [...base, "group"], value: group }];
    const piece = this.piece.made[0]?.name || this.piece.name;
    const has = (joint.layers || []).some((layer) => layer.piece === piece && (layer.holes === group || layer.holes?.includes?.(group)));
    if (!has) edits.push({ op: "add", path: ["joint", this.picking, "layers"], value: { piece, holes: group } });
    return this.edit("Pick a hole", edits);
  }

  // drawing

  hint(text) {
    byId("product-hint").textContent = text;
  }

  refresh() {
    if (!this.draft.id) return;
    this.#draw();
    this.#strip();
    this.#form();
    this.#showText();
    this.#head();
    this.#sewing();
  }

  #draw() {
    const seen = this.liveTold && !this.liveTold.unreadable ? this.liveTold : this.told;
    if (!seen) return;
    byId("product-surface").classList.toggle("drawing", Boolean(this.pending));
    if (this.all) {
      this.placed = placedPieces(seen.pieces, this.surface.size);
      this.drawing.drawAll(this.placed, seen.units, this.index);
      const boxes = this.placed.map(({ x, y, box }) => [box[0] + x, box[1] + y, box[2] + x, box[3] + y]);
      if (boxes.length) this.surface.span([Math.min(...boxes.map((b) => b[0])), Math.min(...boxes.map((b) => b[1])) - 10, Math.max(...boxes.map((b) => b[2])), Math.max(...boxes.map((b) => b[3]))], `all ${boxes.length}`);
      return;
    }
    const piece = this.pending ? null : seen.pieces[this.index];
    const names = (piece?.made || []).map((made) => made.name);
    const off = (seen.off || []).filter((each) => each.piece === names[0]).map((each) => ({ at: each.at, words: `${each.joint}: ${measure(each.off, this.units)} off` }));
    const former = this.former?.pieces.find((each) => each.name === piece?.name);
    const pending = this.pending && [...this.pending, ...(this.cross ? [this.cross] : [])];
    this.drawing.draw({ piece, units: seen.units, handle: this.handle, run: this.run, off: [...off, ...this.#unlike(seen, piece)], picked: this.#picked(piece), former, pending });
    if (piece?.made.length) {
      const [x0, y0, x1, y1] = pieceBox(piece.made.slice(0, 1));
      const room = Math.max(x1 - x0, y1 - y0) * 0.12;
      const box = [x0, y0 - room, x1 + room, y1];
      if (!this.liveTold && !this.#inSight(box)) this.surface.forget();
      this.surface.span(box, `${this.draft.id} ${this.index}`);
    }
  }

  /** Whether a piece can be seen whole and is not small; a view that was moved by hand stays as it is. */
  #inSight([x0, y0, x1, y1]) {
    if (this.surface.touched) return true;
    const [left, low] = this.surface.toScreen([x0, y0]), [right, high] = this.surface.toScreen([x1, y1]);
    const { width, height } = this.surface.size;
    const small = right - left < width / 4 && low - high < height / 4;
    return !small && left >= 0 && right <= width && high >= 0 && low <= height;
  }

  /** Holes of a joint whose layers have not as many are shown where they are. */
  #unlike(seen, piece) {
    if (seen.problem?.kind !== "joint" || !piece?.made.length) return [];
    const joint = (seen.tables.joint || []).find((each) => each.name === seen.problem.name);
    const groups = (joint?.layers || []).filter((layer) => layer.piece === piece.made[0].name).flatMap((layer) => layer.holes || layer.ends || []);
    const [first] = piece.made[0].holes.filter((hole) => groups.includes(hole.group));
    return first ? [{ at: first.at, words: `${joint.name}: ${seen.problem.problem}` }] : [];
  }

  #picked(piece) {
    const joint = this.picking === null ? null : this.told.tables.joint?.[this.picking];
    if (!joint || !piece?.made.length) return [];
    const groups = (joint.layers || []).filter((layer) => layer.piece === piece.made[0].name).flatMap((layer) => layer.holes || layer.ends || []);
    return piece.made[0].holes.filter((hole) => groups.includes(hole.group)).map((hole) => hole.at);
  }

  openPlaced(world) {
    const found = this.placed.find(({ x, y, box }) => world[0] >= box[0] + x && world[0] <= box[2] + x && world[1] >= box[1] + y && world[1] <= box[3] + y);
    if (found) this.choosePiece(found.index);
  }

  #strip() {
    const pieces = this.told?.pieces || [];
    const cards = pieces.map((piece) => {
      const [made] = piece.made;
      const [x0, y0, x1, y1] = made ? pieceBox([made]) : [0, 0, 10, 10];
      const picture = svg("svg", { viewBox: `${x0} ${-y1} ${x1 - x0} ${y1 - y0}`, "aria-hidden": "true" }, made && svg("path", { class: "cut-piece", d: pathOf(made.outline), transform: "scale(1 -1)" }));
      const words = `${piece.name || "unnamed"}${made && made.count > 1 ? ` × ${made.count}` : ""}`;
      return el("button", { type: "button", class: piece.problem ? "piece-card wrong" : "piece-card", "aria-pressed": String(!this.all && piece.index === this.index), "data-key": `card-${piece.index}`, onclick: () => this.choosePiece(piece.index) },
        picture, el("span", { text: words }), piece.problem ? el("span", { class: "out-of-sight", text: "has a fault" }) : null);
    });
    const all = el("button", { type: "button", class: "piece-card", id: "product-all", "aria-pressed": String(this.all), "data-key": "card-all", text: "All pieces", disabled: !pieces.length, onclick: () => {
      this.all = !this.all;
      this.surface.forget();
      this.refresh();
    } });
    redraw(byId("product-strip"), [...cards, all]);
  }

  #form() {
    const host = byId("product-form");
    for (const name of VIEWS) byId(`product-view-${name}`).setAttribute("aria-pressed", String(this.view === name));
    if (this.unreadable) return redraw(host, [el("p", { class: "problem-line", text: `${this.unreadable.line}. Mend it in the text, or undo.` })]);
    const c = { edit: (words, edits, kind) => this.edit(words, edits, kind), told: this.told, units: this.units };
    if (this.pending) return redraw(host, cornersElements(this));
    if (this.view === "joints") return redraw(host, jointElements({ ...c, groups: this.groups, pick: (joint) => this.pick(joint), picking: this.picking }));
    if (this.view === "making") return redraw(host, makingElements(c));
    if (!this.piece) return redraw(host, [el("p", { class: "note", text: "No piece yet. Choose a shape above the drawing: a rectangle, a strap, a circle, or corners of your own. What its sums are to use can be named first." }), ...beginningElements(c)]);
    const chosen = this.handle === null ? null : this.piece.handles[this.handle];
    redraw(host, pieceElements({ ...c, across: (...line) => this.across(...line), piece: this.piece, corner: chosen?.corner || null, chosen, feature: this.#chosenFeature }));
    if (this.piece.problem) showProblem(host, this.piece.problem);
    return null;
  }

  #head() {
    const { content } = this.draft;
    const name = byId("product-name");
    if (document.activeElement !== name) name.value = this.told?.name ?? "";
    byId("product-units").value = this.units;
    byId("product-file-words").textContent = content.file ? `${content.file}${content.text === content.kept ? ", as kept" : ", changed since it was kept"}` : "not kept as a file yet";
    byId("product-keep").disabled = Boolean(content.file) && content.text === content.kept;
    const before = this.#before;
    byId("product-compare").disabled = !before;
    byId("product-t-words").textContent = measure(this.t, this.units === "in" ? "mm" : this.units);
    const problem = this.unreadable || this.told?.problem;
    const words = problem?.line || (this.told?.findings || []).join("\n");
    const line = byId("product-fault");
    if (line.textContent !== words) line.textContent = words;
    line.classList.toggle("estimate", Boolean(!problem && words));
    line.classList.toggle("problem-line", Boolean(problem));
    show(line, Boolean(words));
    this.#leatherChoice();
    this.#variantChoices();
  }

  #leatherChoice() {
    const host = byId("product-leather");
    const names = (this.told?.leathers || []).map((leather) => leather.name);
    show(host.parentElement, names.length > 0);
    const options = [["", "all leathers"], ...names.map((name) => [name, name])];
    if (host.dataset.names !== names.join("\n")) {
      host.dataset.names = names.join("\n");
      host.replaceChildren(...options.map(([value, words]) => el("option", { value, text: words })));
      host.value = names.includes(this.leather) ? this.leather : "";
    }
  }

  #variantChoices() {
    const host = byId("product-choices");
    const tables = this.told?.tables.choices || {};
    // where one is chosen out of its range they are as they were, to choose again
    if (this.told?.choices?.length || !Object.keys(tables).length) this.choicesShown = this.told?.choices || [];
    const fields = (this.choicesShown || []).filter(({ name }) => tables[name]).map((choice) => {
      const table = tables[choice.name];
      const values = choice.kind === "word" ? choice.words : choice.kind === "flag" ? ["yes", "no"] : null;
      const input = values ? el("select", { "data-key": `choice-${choice.name}` }, ...values.map((word) => el("option", { value: word, text: word })))
        : el("input", { "data-key": `choice-${choice.name}`, placeholder: `${table.from} to ${table.to}` });
      input.value = choice.told;
      input.addEventListener("change", () => {
        const value = choice.kind === "flag" ? input.value === "yes" : choice.kind === "number" ? Number(input.value) : input.value;
        this.chosen = { ...this.chosen, [choice.name]: value };
        this.#read();
      });
      return el("label", { class: "field" }, el("span", { text: choice.name }), input);
    });
    redraw(host, fields);
    show(host, fields.length > 0);
  }

  // the text

  #showText() {
    const box = byId("product-text");
    if (box.value === this.text) return;
    const held = document.activeElement === box ? [box.selectionStart, box.selectionEnd] : null;
    const { scrollTop } = box;
    box.value = this.text;
    if (held) box.setSelectionRange(...held);
    box.scrollTop = scrollTop;
  }

  #typed() {
    const text = byId("product-text").value;
    clearTimeout(this.textTimer);
    this.readText = text;
    this.draft.change("Edit the text", (content) => ({ ...content, text }), "text");
    this.textTimer = setTimeout(() => this.#read(), WAIT);
  }

  #toggleText() {
    const open = byId("product-text-side").hidden;
    show(byId("product-text-side"), open);
    byId("product-bench").classList.toggle("with-text", open);
    byId("product-text-toggle").setAttribute("aria-pressed", String(open));
    if (open) this.#showText();
  }

  // files

  get #before() {
    const { content } = this.draft;
    return content.text !== content.kept ? content.kept : content.before;
  }

  async keep(ask_name = false) {
    await this.queue;
    const { content } = this.draft;
    let file = content.file;
    if (!file || ask_name) file = await this.#askName(ask_name);
    if (!file) return null;
    return this.#keepAs(file, file === content.file);
  }

  async #askName(other) {
    const stem = (this.told?.name || "product").toLowerCase().replace(/[^\p{L}\p{N}]+/gu, "-").replace(/^-|-$/g, "");
    const input = el("input", { value: `${stem || "product"}.toml`, id: "product-file-name", maxlength: 70 });
    const answer = await ask(other ? "Keep under another name" : "Keep as a project file", [el("div", { class: "stack" }, el("label", { class: "field" }, el("span", { text: "Name of the file in the folder" }), input))], [["keep", "Keep it"], ["", "Back"]]);
    const name = input.value.trim();
    return answer === "keep" && name ? (name.endsWith(".toml") ? name : `${name}.toml`) : null;
  }

  async #keepAs(file, replace) {
    const { text } = this;
    try {
      const kept = await send("POST", "/api/products/keep", { text, file, replace });
      const { content } = this.draft;
      const before = content.kept && content.kept !== text ? content.kept : content.before;
      this.readText = text;
      this.draft.amend({ file: kept.file, kept: text, before });
      this.refresh();
      say(`Kept as ${kept.file} in the folder.`);
      return kept.file;
    } catch (problem) {
      if (problem.status !== 409) {
        say(problem.message, true);
        return null;
      }
      const answer = await ask("Replace the file?", `“${file}” is in the folder already.`, [["yes", "Replace it"], ["", "Leave it"]]);
      return answer === "yes" ? this.#keepAs(file, true) : null;
    }
  }

  async #lay() {
    const { content } = this.draft;
    const file = content.file && content.text === content.kept ? content.file : await this.keep();
    if (file) this.acts.lay(file);
  }

  async #pattern() {
    await this.queue;
    await this.draft.flush();
    const told = await trying(() => send("POST", "/api/products/read", { text: this.text, ...this.#asked }));
    if (told?.problem) return say(told.problem.line, true);
    if (told) keepFile(`/api/products/${this.draft.id}/pattern.pdf${look.query()}&t=${this.t}mm`);
    return null;
  }

  async #compare() {
    if (this.former) {
      this.former = null;
      byId("product-compare").setAttribute("aria-pressed", "false");
      return this.refresh();
    }
    const told = await trying(() => send("POST", "/api/products/compare", { text: this.text, before: this.#before, ...this.#asked }));
    if (!told) return null;
    this.former = told.before.unreadable ? null : told.before;
    byId("product-compare").setAttribute("aria-pressed", String(Boolean(this.former)));
    this.refresh();
    const rows = told.differences.map((each) => el("tr", {}, el("td", { text: [each.place, each.field].filter(Boolean).join(": ") }), el("td", { text: each.before || "—" }), el("td", { text: each.after || "—" })));
    const table = rows.length ? el("div", { class: "wide" }, el("table", { "aria-label": "What differs" }, el("thead", {}, el("tr", {}, ...["Field", "Before", "Now"].map((words) => el("th", { scope: "col", text: words })))), el("tbody", {}, ...rows))) : el("p", { text: "Nothing differs but comments and order." });
    return ask("Compared with the last version", [el("p", { class: "note", text: "The former outline is drawn dashed on each piece until Compare is pressed again." }), table], [["", "Go on"]]);
  }

  // the bench's furniture

  #build() {
    const drawing = el("input", { type: "file", accept: ".dxf,.svg", hidden: true, id: "product-drawing", "aria-label": "A drawing that becomes a piece" });
    drawing.addEventListener("change", () => this.#addDrawing(drawing));
    const photo = el("input", { type: "file", accept: "image/jpeg,image/png,image/webp,image/tiff", hidden: true, id: "product-photo", "aria-label": "A photo of a paper pattern" });
    photo.addEventListener("change", () => this.#addPhoto(photo));
    byId("product-tools").replaceChildren(
      el("span", { class: "tool-group", role: "group", "aria-label": "New piece" }, el("span", { class: "tool-words", text: "New piece" }),
        ...SHAPES.map(([kind, words]) => el("button", { type: "button", "data-shape-kind": kind, text: words, onclick: () => this.#addShape(kind) })),
        el("button", { type: "button", text: "Drawing", "aria-label": "From a drawing, DXF or SVG", onclick: () => drawing.click() }), drawing,
        el("button", { type: "button", text: "Photo", "aria-label": "From a photo of a paper pattern", onclick: () => photo.click() }), photo),
      el("span", { class: "tool-group", role: "group", "aria-label": "On this piece" }, el("span", { class: "tool-words", text: "On it" }),
        ...ADDED.map(([kind, words, line]) => el("button", { type: "button", "data-feature-kind": kind, "data-line-kind": line, text: words, onclick: () => this.#addFeature(kind, line) })),
        el("select", { id: "product-sew", "aria-label": "Sew this piece to a row of another, along the edges that are chosen", onchange: (event) => event.target.value && this.#sew(event.target.value) })));
    for (const name of VIEWS) byId(`product-view-${name}`).addEventListener("click", () => this.#turnTo(name));
    byId("product-name").addEventListener("change", (event) => event.target.value.trim() && this.edit("Name the product", [{ op: "put", path: ["name"], value: event.target.value.trim() }]));
    byId("product-units").addEventListener("change", (event) => this.#setUnits(event.target));
    byId("product-t").addEventListener("input", (event) => {
      this.t = Number(event.target.value);
      byId("product-t-words").textContent = measure(this.t, "mm");
      this.#slide();
    });
    byId("product-leather").addEventListener("change", (event) => {
      this.leather = event.target.value;
      this.#read();
    });
    byId("product-text").addEventListener("input", () => this.#typed());
    byId("product-text-toggle").addEventListener("click", () => this.#toggleText());
    byId("product-keep").addEventListener("click", () => this.keep());
    byId("product-keep-as").addEventListener("click", () => this.keep(true));
    byId("product-lay").addEventListener("click", () => this.#lay());
    byId("product-pattern").addEventListener("click", () => this.#pattern());
    byId("product-compare").addEventListener("click", () => this.#compare());
  }

  #turnTo(name) {
    this.view = name;
    if (name !== "joints") this.picking = null;
    this.refresh();
  }

  /** The slider moves faster than answers come: the last place asked for wins. */
  async #slide() {
    if (this.sliding) return;
    this.sliding = true;
    for (let shown = null; shown !== this.t;) {
      shown = this.t;
      await this.#read();
    }
    this.sliding = false;
  }

  async #setUnits(box) {
    const answer = this.told?.pieces.length ? await ask("Other units?", "Plain numbers in the file will mean the new unit; lengths with their own unit stay as long as they are.", [["yes", "Change the units"], ["", "Leave them"]]) : "yes";
    if (answer === "yes") this.edit("Change the units", [{ op: "put", path: ["units"], value: box.value }]);
    else box.value = this.units;
  }
}
