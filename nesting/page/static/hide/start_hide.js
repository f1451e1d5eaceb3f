// A hide with nothing on it yet.

export function blank(name) {
  return { name, cut: "side", grade: "A", outline: [], backbone: null, flaws: [], zones: [], holes: [] };
}
