"""A file for every pattern, for the maker of dies: after ASTM D6673-10 as DXF (one block a piece, layers by number)."""

from __future__ import annotations

from nesting.drawing.dxf import fixed_dates, written
from nesting.drawing.machine.contours import pattern_contour
from nesting.drawing.machine.dxf_file import add_shape, new_document
from nesting.drawing.machine.job import MachineJob
from nesting.drawing.machine.operations import REGISTRATION, Operation, ToolLayer, operations
from nesting.drawing.machine.path import Path
from nesting.drawing.machine.svg_file import job_svg
from nesting.drawing.mark_points import grain_line, is_circle
from nesting.drawing.names import codes
from nesting.model.layout import Layout
from nesting.model.product import Piece

GRAIN = ToolLayer("7", "grain", "#7a6f66")
WORDS = ToolLayer("15", "words", "#7a6f66")
LETTERS = 5.0
PLAIN = Operation(REGISTRATION, ())


def die_files(layout: Layout, ending: str) -> dict[str, str]:
    """The content of one file (.dxf or .svg) for every kind of piece, by a name for it: `B-back-panel`."""
    code_of = codes(layout.products)
    found = {}
    for product in layout.products:
        for piece in product.pieces:
            name = f"{code_of[product.name, piece.name]}-{_plain(piece.name)}"
            job = pattern_job(piece)
            found[name] = _block_dxf(job, piece) if ending == ".dxf" else job_svg(job)
    return found


def pattern_job(piece: Piece) -> MachineJob:
    """One pattern in its own frame, its grain line upright: what is cut, and the grain line."""
    cut = operations([pattern_contour(piece)], once=False)
    if is_circle(piece.outline):
        return MachineJob(piece.name, PLAIN, cut)
    return MachineJob(piece.name, PLAIN, (*cut, Operation(GRAIN, (Path(grain_line(piece), (0.0,), False),))))


def _block_dxf(job: MachineJob, piece: Piece) -> str:
    with fixed_dates():
        layers = [operation.layer for operation in job.operations]
        document = new_document([*layers, WORDS], job.box)
        block = document.blocks.new(_plain(piece.name))
        for operation in job.operations:
            for shape in operation.shapes:
                add_shape(block, shape, operation.layer.name)
        words = f"{piece.name}, {piece.count} in one product"
        at = job.box[0], job.box[1] - 2 * LETTERS
        block.add_text(words, height=LETTERS, dxfattribs={"layer": WORDS.name, "insert": at})
        document.modelspace().add_blockref(block.name, (0, 0))
        return written(document)


def _plain(name: str) -> str:
    """A piece's name as part of a file's name and as that of a block."""
    return "".join(letter if letter.isalnum() or letter in "_." else "-" for letter in name).strip(".-") or "piece"
