// Talking to our own server, and to nobody else.

/** A problem the server told in one line. */
export class Problem extends Error {
  constructor(status, text, field = "") {
    super(text);
    this.status = status;
    this.field = field;
  }
}

async function call(method, path, body, headers = {}, keepalive = false) {
  let answer;
  try {
    answer = await fetch(path, { method, body, keepalive, headers: { "X-Hideplan": "page", ...headers } });
  } catch {
    throw new Problem(0, "hideplan does not answer; is it still running in its window? Your work is kept in this tab.");
  }
  if (answer.ok) return answer.status === 204 ? null : answer.json();
  let told = {};
  try {
    told = await answer.json();
  } catch {
    told = { problem: `hideplan answered ${answer.status}` };
  }
  throw new Problem(answer.status, told.problem || `hideplan answered ${answer.status}`, told.field);
}

/** GET as JSON. */
export const get = (path) => call("GET", path);

/** Send JSON with a method; with `last`, also while the page is being left. */
export const send = (method, path, data, last = false) =>
  call(method, path, JSON.stringify(data), { "Content-Type": "application/json" }, last);

/** DELETE. */
export const remove = (path) => call("DELETE", path);

/** Send a file's bytes with its name. */
export const upload = (path, file) =>
  call("POST", path, file, { "Content-Type": "application/octet-stream", "X-File-Name": encodeURIComponent(file.name) });

/** Have the browser keep what an address of ours answers. */
export function keepFile(path) {
  const link = document.createElement("a");
  link.href = path;
  link.download = "";
  document.body.append(link);
  link.click();
  link.remove();
}
