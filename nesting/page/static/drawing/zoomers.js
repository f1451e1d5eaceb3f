// The three zoom buttons at a surface's corner.

export function wireZoomers(surface) {
  const acts = { in: () => surface.zoom(1.4), out: () => surface.zoom(1 / 1.4), all: () => surface.fit() };
  for (const button of surface.host.querySelectorAll("[data-zoom]")) {
    button.addEventListener("click", acts[button.dataset.zoom]);
  }
}
