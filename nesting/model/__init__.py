"""The immutable values everything speaks of: product, want, problem, layout, settings. Reads and writes nothing."""
