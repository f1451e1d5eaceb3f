"""Rows, lattices and Minkowski sums, on which the search stands too, and what a piece takes on endless leather."""
