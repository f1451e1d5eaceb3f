"""Polygons only: convex parts, usable regions. Knows no pieces, no search."""
