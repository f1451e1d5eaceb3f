"""Overlapping pieces pulled apart: guided local search on depth maps, then linear programmes."""
