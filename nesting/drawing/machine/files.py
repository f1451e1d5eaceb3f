"""Everything that is written for a machine, by the ending of the file's name."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from hides.errors import InputError
from nesting.drawing.machine.dies import die_files
from nesting.drawing.machine.dxf_file import job_dxf
from nesting.drawing.machine.job import MachineJob, job_of
from nesting.drawing.machine.plot_file import job_plot
from nesting.drawing.machine.svg_file import job_svg
from nesting.model.layout import HideLayout, Layout

WRITERS: dict[str, Callable[[MachineJob], str | bytes]] = {".dxf": job_dxf, ".svg": job_svg, ".plt": job_plot}


def machine_files(
    layout: Layout, each: HideLayout, path: str, tool: str, kerf: float = 0.0, once: bool = True
) -> dict[str, str | bytes]:
    """Paths and contents for one hide: the file itself, and for a press a file for every pattern beside it.

    A press cuts every piece whole with its die, so that shared lines stay in every outline. Raises InputError for a
    kerf that does not suit the layout, and for an ending that names no kind of file.
    """
    job = job_of(layout, each, kerf, once and tool != "press")
    found: dict[str, str | bytes] = {path: writer_for(path)(job)}
    if tool == "press":
        ending = ".svg" if Path(path).suffix.lower() == ".svg" else ".dxf"
        for name, content in die_files(layout, ending).items():
            found[str(Path(path).with_name(f"{Path(path).stem}-{name}{ending}"))] = content
    return found


def writer_for(path: str) -> Callable[[MachineJob], str | bytes]:
    """What writes a file of this name; InputError where the ending is none of ours."""
    ending = Path(path).suffix.lower()
    if ending not in WRITERS:
        known = ", ".join(WRITERS)
        problem = f"the ending “{ending}” names no kind of machine file"
        raise InputError(problem, where="--machine", field=path, remedy=f"use {known}")
    return WRITERS[ending]
