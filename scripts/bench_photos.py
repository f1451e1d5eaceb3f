"""How well hides are traced from photographs, and how many gestures it takes until one is worth keeping.

`python -m scripts.bench_photos [--only NAME] [--width PIXELS] [--keep FOLDER] [--lot SEED]` makes the photographs of
`scripts.photo_scene`, traces each with eight marks (where the camera saw them, to a pixel), and then mends as a maker
would who sees where the outline is wrong: each time the largest place that is, by a stroke of a brush along its middle,
or where it is thin by a stretch (undone where it does not help; then the brush), until the area is within 0.5 % and the
edge within 4 mm on average, or 20 times. The photograph is laid flat by the same code as on the page. A line of JSON a
photograph. `--lot` makes eight others whose floor, leather, light, lens and litter are drawn by a seed.
"""

from __future__ import annotations

import argparse
import io
import json
import time
from pathlib import Path

import numpy as np
import shapely
from shapely.geometry import LineString, Point, Polygon
from shapely.ops import nearest_points

from hides.errors import InputError
from hides.photo import (
    FlatPicture,
    Homography,
    Stroke,
    follow,
    laid_flat,
    open_photo,
    propose_outline,
    snapped,
    with_stretch,
)
from scripts.photo_scene import CORNERS, MIDDLES, SIZE, VIEWS, View, further, photograph

AREA, EDGE = 0.005, 4.0
MOST = 20
THIN, WITHIN = 12.0, 8.0
"""A wrong place thinner than this, mm, is mended by a stretch; how far its ends may move to find the edge."""
RADIUS = 12.0
"""Half the brush's width on the page when the whole hide is in sight, mm; it is taken narrower in narrow places."""


def main() -> None:
    """A line for every photograph."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--only", help="only the photograph of this name")
    parser.add_argument("--width", type=int, default=4000, help="pixels across; 4000 is 12 megapixels [4000]")
    parser.add_argument("--keep", type=Path, help="keep the photographs in this folder")
    parser.add_argument("--lot", type=int, metavar="SEED", help="eight photographs drawn by this seed instead")
    options = parser.parse_args()
    for view in VIEWS if options.lot is None else further(8, options.lot):
        if options.only in (None, view.name):
            print(json.dumps({"photo": view.name} | measured(view, options.width, options.keep)), flush=True)


def measured(view: View, width: int, keep: Path | None = None) -> dict[str, object]:
    """One photograph's figures."""
    image, camera, hide = photograph(view, width)
    rng = np.random.default_rng(view.seed)
    marks = [(camera.sees(one) + rng.normal(scale=0.7, size=2)).tolist() for one in (*CORNERS, *MIDDLES)]
    stream = io.BytesIO()
    image.save(stream, "JPEG", quality=92)
    if keep:
        keep.mkdir(parents=True, exist_ok=True)
        (keep / f"{view.name}.jpg").write_bytes(stream.getvalue())
    photo = open_photo(stream.getvalue(), view.name)
    floor = Homography.from_marks(marks, SIZE, within=photo.size)
    told: dict[str, object] = {}
    try:
        proposal = propose_outline(photo, floor)
        outline = Polygon(proposal.ring)
        told |= {"confidence": proposal.confidence}
    except InputError as error:
        return {"nothing": str(error)}
    laid, box = laid_flat(photo.image, floor, photo.size)
    flat = FlatPicture(np.asarray(laid), box)
    told |= {"area": _area(outline, hide), "edge": _edge(outline, hide)}
    return told | painted(flat, outline, hide)


def painted(flat: FlatPicture, outline: Polygon, hide: Polygon) -> dict[str, object]:
    """The gestures until the outline is worth keeping."""
    strokes: list[Stroke] = []
    kinds: list[str] = []
    longest, refused = 0.0, False
    while not _good(outline, hide) and len(kinds) < MOST:
        leather, worst = _worst(outline, hide)
        started = time.process_time()
        thin = 2 * worst.area / worst.length < THIN and worst.length > 8 * THIN
        if thin and kinds[-1:] != ["stretch"]:
            kinds.append("stretch")
            outline = min(outline, _stretched(flat, outline, hide, worst), key=lambda one: _edge(one, hide))
        else:
            stroke = stroke_through(leather, worst)
            strokes.append(_reaching(stroke, outline) if refused else stroke)
            kinds.append("leather" if leather else "not leather")
            try:
                outline = follow(flat, outline, strokes)
                refused = False
            except InputError:
                strokes.pop()  # what a maker would undo; the gesture is counted
                refused = leather
        longest = max(longest, time.process_time() - started)
    return {
        "gestures": len(kinds), "kinds": kinds, "good": _good(outline, hide), "area after": _area(outline, hide),
        "edge after": _edge(outline, hide), "slowest CPU s": round(longest, 3),
    }  # fmt: skip


def _worst(outline: Polygon, hide: Polygon) -> tuple[bool, Polygon]:
    """What strikes the eye first, and whether it is leather."""
    places = [
        (leather, part)
        for leather, wrong in ((True, hide.difference(outline)), (False, outline.difference(hide)))
        for part in shapely.get_parts(wrong)
        if isinstance(part, Polygon)
    ]
    return max(places, key=lambda place: _weight(place[1]))


def stroke_through(leather: bool, worst: Polygon) -> Stroke:
    """Along the middle of a place, as wide as fits."""
    radius = RADIUS
    while (core := worst.buffer(-1.3 * radius)).is_empty and radius > 1.5:
        radius *= 0.75
    cores = [] if core.is_empty else list(shapely.get_parts(core))
    middle = max(cores, key=lambda part: float(part.area), default=worst.representative_point())
    return Stroke(leather, _along(middle), radius)


def _reaching(stroke: Stroke, outline: Polygon) -> Stroke:
    """The stroke painted on until it reaches the hide, as the page asks where it does not join."""
    first, last = (Point(stroke.line[end]) for end in (0, -1))
    line = stroke.line if outline.distance(last) <= outline.distance(first) else stroke.line[::-1]
    within = outline.buffer(-2 * stroke.radius)
    return Stroke(stroke.leather, (*line, nearest_points(within, Point(line[-1]))[0].coords[0]), stroke.radius)


def _stretched(flat: FlatPicture, outline: Polygon, hide: Polygon, worst: Polygon) -> Polygon:
    """Two presses on the hide's edge, at both ends of a thin place beside it."""
    edge = hide.exterior
    along = np.sort([edge.project(Point(place)) for place in worst.exterior.coords])
    gaps = np.diff(np.append(along, along[0] + edge.length))
    cut = int(np.argmax(gaps))  # the stretch is what lies between two ends of the longest gap, round the other way
    ends = [edge.interpolate(along[(cut + 1) % len(along)] - 8), edge.interpolate(along[cut] + 8)]
    first, last = ((float(end.x), float(end.y)) for end in ends)
    try:
        return with_stretch(outline, snapped(flat, first, last, WITHIN))
    except InputError:
        return outline


def _weight(place: Polygon) -> float:
    """What strikes the eye first: large and thick, rather than a hair's breadth along the whole edge."""
    return float(place.area * min(1.0, 2 * place.area / place.length / 6))


def _along(core: Polygon | Point) -> tuple[tuple[float, float], ...]:
    """A line through the middle of a shape, from one end to the other."""
    if isinstance(core, Point) or core.area == 0:
        x, y = core.centroid.coords[0]
        return ((x, y),)
    box = np.asarray(core.minimum_rotated_rectangle.exterior.coords)
    sides = np.linalg.norm(np.diff(box[:3], axis=0), axis=1)
    a, b, c, d = box[:4] if sides[0] >= sides[1] else box[[1, 2, 3, 0]]
    line = []
    for share in np.linspace(0.04, 0.96, 15):
        across = LineString([a + share * (b - a), d + share * (c - d)]).intersection(core)
        longest = max(shapely.get_parts(across), key=lambda part: part.length, default=None)
        if longest is not None and not longest.is_empty:
            line.append(longest.centroid.coords[0])
    return tuple((float(x), float(y)) for x, y in line) or (core.representative_point().coords[0],)


def _good(outline: Polygon, hide: Polygon) -> bool:
    return abs(outline.area / hide.area - 1) <= AREA and _edge(outline, hide) <= EDGE


def _area(outline: Polygon, hide: Polygon) -> float:
    """By how much the area is off, per cent."""
    return round(100 * float(outline.area / hide.area - 1), 2)


def _edge(outline: Polygon, hide: Polygon) -> float:
    """The mean distance between the two edges, each measured from the other, mm."""
    means = []
    for one, other in ((outline, hide), (hide, outline)):
        ring = one.exterior
        places = shapely.line_interpolate_point(ring, np.arange(0, ring.length, 5))
        means.append(float(shapely.distance(other.exterior, places).mean()))
    return round(max(means), 2)


if __name__ == "__main__":
    main()
