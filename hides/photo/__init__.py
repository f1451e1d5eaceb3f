"""From a photograph of a hide on the floor to an outline in millimetres.

Terms. *Mark*: a point on the floor that shows in the photo; four of them are the corners of a measured rectangle
round the hide. *Photo pixels*: pixels of the upright picture (turned as its EXIF says) at full size, x to the right and
y down from the top left corner, the first pixel reaching from 0 to 1. *Plan*: the floor seen straight from above in
millimetres, x to the right and y up, the rectangle's lower left corner at (0, 0).

>>> photo = open_photo("side.jpg")                                              # doctest: +SKIP
>>> homography = Homography.from_marks(marks, (2200, 1800), within=photo.size)  # doctest: +SKIP
>>> proposal = propose_outline(photo, homography, tolerance=2.0)                # doctest: +SKIP
>>> proposal.ring, proposal.confidence, proposal.remarks                        # doctest: +SKIP
"""

from hides.photo.camera import PhotoCamera
from hides.photo.distance import DistanceCheck, check_distance
from hides.photo.flat.brush import Stroke, follow
from hides.photo.flat.doubts import Doubt, confidence_left, doubtful, doubts_of
from hides.photo.flat.laying import box_seen, jpeg_of, laid_flat, read_flat
from hides.photo.flat.picture import Box, FlatPicture
from hides.photo.flat.spots import Spot, spots_of
from hides.photo.flat.stretch import snapped, with_stretch
from hides.photo.homography import Homography
from hides.photo.lens import Lens
from hides.photo.overlay import draw_grid, draw_outline
from hides.photo.photo import MOST_BYTES, MOST_PIXELS, Photo, open_photo
from hides.photo.proposal import Proposal, propose_outline

__all__ = [
    "MOST_BYTES",
    "MOST_PIXELS",
    "Box",
    "DistanceCheck",
    "Doubt",
    "FlatPicture",
    "Homography",
    "Lens",
    "Photo",
    "PhotoCamera",
    "Proposal",
    "Spot",
    "Stroke",
    "box_seen",
    "check_distance",
    "confidence_left",
    "doubtful",
    "doubts_of",
    "draw_grid",
    "draw_outline",
    "follow",
    "jpeg_of",
    "laid_flat",
    "open_photo",
    "propose_outline",
    "read_flat",
    "snapped",
    "spots_of",
    "with_stretch",
]
