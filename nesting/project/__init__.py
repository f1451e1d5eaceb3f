"""TOML project files, measures and drawn outlines become a `Product`."""
