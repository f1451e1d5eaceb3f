"""Pieces laid one after the other: bottom-left fill, sequence search, lattices, spares."""
