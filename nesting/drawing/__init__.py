"""Layouts as drawings: one scene of simple shapes, drawn by several back ends (PDF, PNG, SVG, DXF).

`scene` holds the shapes, `look` says how each layer is inked, `hide_scene` draws a hide with its pieces; the sheets
(`cut_sheet`, `pattern`) arrange scenes on pages; `canvas`, `svg` and `dxf` turn pages or scenes into files.
"""
