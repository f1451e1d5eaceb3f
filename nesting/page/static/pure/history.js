// Undo and redo over whole, never altered contents. Every step carries the words that name it.

/** A history that begins with `content`. */
export function begin(content, most = 200) {
  return { past: [], now: { content, words: "" }, future: [], most };
}

/** The history after a change. Two changes of the same `kind` in a row (typing in one field) make one step. */
export function changed(history, content, words, kind = null) {
  const merges = kind !== null && history.now.kind === kind && history.past.length > 0;
  const past = merges ? history.past : [...history.past, history.now].slice(-history.most);
  return { ...history, past, now: { content, words, kind }, future: [] };
}

/** The history one step back; itself where there is none. */
export function undone(history) {
  if (!history.past.length) return history;
  const past = history.past.slice(0, -1);
  return { ...history, past, now: { ...history.past[history.past.length - 1], kind: null }, future: [history.now, ...history.future] };
}

/** The history one step forward; itself where there is none. */
export function redone(history) {
  if (!history.future.length) return history;
  const [now, ...future] = history.future;
  return { ...history, past: [...history.past, history.now], now: { ...now, kind: null }, future };
}

/** The words for the step that undo would take back, or null. */
export function undoWords(history) {
  return history.past.length ? history.now.words : null;
}

/** The words for the step that redo would bring again, or null. */
export function redoWords(history) {
  return history.future.length ? history.future[0].words : null;
}
