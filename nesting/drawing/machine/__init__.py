"""Layouts as files that a machine cuts by: pieces only, in millimetres, every line in the order it is cut.

Terms. *Path*: straight edges and true arcs, one after the other. *Contour*: what is cut of one piece: its outline, its
openings, its punch holes. *Operation*: all that is done in one go, on one layer. *Shared line*: an edge that two pieces
have in common, cut once. *Trail*: edges cut without lifting the tool. *Kerf*: the width that the tool takes away.
*Registration marks*: crosses at known places of the hide, by which the machine is set to it.

The way: `contours` (pieces as they lie) → `operations` (what is cut, in which order; `shared` and `trails` serve it) →
`dxf_file`, `svg_file`, `plot_file`. `dies` writes one file a pattern.
"""
