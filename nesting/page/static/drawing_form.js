// A drawing that came in: which of its closed lines is the outline, which are flaws, holes, zones.

import { upload } from "./api.js";

/** Send a drawing; the answer is a hide, or null where the person turned back. */
export async function choosePaths(file) {
  const read = await upload("/api/read/drawing", file);
  return read.hide;
}
