"""Rectangles on rectangular leather: the skyline search, then CP-SAT."""
