"""Proven upper bounds on complete products. Knows the `Problem` only and shares nothing with the search."""
