"""A job as HPGL/2, as plotters and many knife cutters read it; written by ezdxf from the job's DXF.

Its origin is the lower left corner of all that is drawn; one unit is 1/40 mm, and figures have two decimals.
"""

from __future__ import annotations

import io

import ezdxf.filemanagement
from ezdxf.addons.drawing import layout
from ezdxf.addons.drawing.frontend import Frontend
from ezdxf.addons.drawing.hpgl2 import PlotterBackend
from ezdxf.addons.drawing.properties import RenderContext

from nesting.drawing.machine.dxf_file import job_dxf
from nesting.drawing.machine.job import MachineJob


def job_plot(job: MachineJob) -> bytes:
    """The job as HPGL/2; the same job gives the same bytes."""
    document = ezdxf.filemanagement.read(io.StringIO(job_dxf(job)))
    backend = PlotterBackend()
    Frontend(RenderContext(document), backend).draw_layout(document.modelspace())
    page = layout.Page(0, 0, layout.Units.mm)
    return backend.high_quality(page, layout.Settings(fit_page=False, scale=1))
