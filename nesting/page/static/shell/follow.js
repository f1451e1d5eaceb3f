// Following a search: the server tells its progress as events; when the line drops, it is taken up again.

import { get, send } from "./api.js";

/** Follow a run until it ends. `told(state)` hears each change. Gives a function that stops listening. */
export function follow(id, told) {
  const source = new EventSource(`/api/runs/${id}/events`);
  source.addEventListener("state", (event) => {
    const state = JSON.parse(event.data);
    if (!["working", "stopping"].includes(state.state)) source.close();
    told(state);
  });
  source.addEventListener("error", async () => {
    if (source.readyState !== EventSource.CLOSED) return;
    const state = await get(`/api/runs/${id}`).catch(() => null);
    if (state) told(state);
  });
  return () => source.close();
}

/** Stop a run; it keeps the best so far. */
export const stop = (id) => send("POST", `/api/runs/${id}/stop`, {});
