"""Rows, lattices and Minkowski sums, which both `interlock` and `search` stand on."""
