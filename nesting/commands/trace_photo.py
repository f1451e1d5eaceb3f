"""`hideplan trace photo`: from a photo and four marks to a hide file."""

from __future__ import annotations

import argparse
import json
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

from hides.errors import InputError
from hides.hide import CUTS, Hide
from hides.hide_file import hide_from_data, hide_to_data, write_hide
from hides.photo import (
    Box,
    DistanceCheck,
    Homography,
    Lens,
    Photo,
    Proposal,
    check_distance,
    doubtful,
    draw_grid,
    draw_outline,
    jpeg_of,
    laid_flat,
    open_photo,
    propose_outline,
)
from hides.photo.lens import MOST
from hides.units import AREA_UNITS, length, read_number
from hides.whole_file import write_whole

Pair = tuple[float, float]
UNKNOWN_LENS = (
    "the lens is not known: a phone's wide lens may take or add 2 to 5 % of the area; four more marks, one amid each "
    "side of the rectangle, bring it within about 0.5 %"
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `hideplan trace photo`."""
    parser.add_argument("image", metavar="IMAGE", help="JPEG, PNG, WebP or TIFF, up to 50 megapixels")
    parser.add_argument(
        "--marks",
        nargs="+",
        metavar="X,Y",
        help="corners of a measured rectangle round the hide, in pixels of the upright photo; four more amid its sides "
        "straighten what the lens bends",
    )
    parser.add_argument(
        "--size",
        nargs=2,
        metavar=("W", "H"),
        help="its width (left to right in the photo) and height: “2200 mm” “6 ft”",
    )
    parser.add_argument(
        "--lens",
        type=float,
        metavar="BEND",
        help="with four marks: what eight marks found on a photo taken alike (same camera, zoom and size)",
    )
    parser.add_argument(
        "--check",
        nargs=3,
        action="append",
        metavar=("X,Y", "X,Y", "LENGTH"),
        help="a measured distance, to test the scale",
    )
    parser.add_argument(
        "--tolerance", default="2 mm", metavar="LENGTH", help="how far the outline may leave the found edge [2 mm]"
    )
    parser.add_argument("--name", help="the hide's name [the photo's]")
    parser.add_argument("--cut", default="hide", metavar="CUT", help=f"{', '.join(CUTS)} [hide]")
    parser.add_argument("--grade", help="the hide's grade, A to D [A]")
    parser.add_argument("--thickness", metavar="RANGE", help="“10-11 oz” or “4.0-4.4 mm”")
    parser.add_argument("--area", help="the area the supplier marked: “22 3/4 sq ft”")
    parser.add_argument("--price", help="“9.50 USD per sq ft”")
    parser.add_argument("--backbone", nargs=2, metavar="X,Y", help="two points of the backbone in the photo")
    parser.add_argument("--out", metavar="FILE", help="the hide file to write")
    parser.add_argument(
        "--flat", metavar="FILE.jpg", help="the photo laid flat, beside the hide file, to be seen under layouts"
    )
    parser.add_argument("--picture", metavar="FILE.png", help="the photo with the outline drawn over it, to look at")
    parser.add_argument("--json", action="store_true", help="print the result as JSON")


def run(options: argparse.Namespace) -> int:
    """Trace the photo; say what was found, write what was asked for."""
    photo = open_photo(options.image)
    _check_picture_name(options.picture)
    _check_flat_name(options.flat, options.out)
    if options.marks is None or options.size is None:
        raise _without_marks(photo, options)
    homography = Homography.from_marks(
        [_place(mark, "--marks") for mark in options.marks], _size(options.size), within=photo.size
    )
    homography = _with_lens(homography, options.lens, photo)
    checks = [_checked(homography, *check) for check in options.check or []]
    proposal = propose_outline(photo, homography, tolerance=_length(options.tolerance, "--tolerance"))
    flat, box = laid_flat(photo.image, homography, photo.size) if options.flat else (None, None)
    hide = hide_from_data(_hide_data(options, homography, proposal, box), options.image)
    if options.picture:
        write_whole(options.picture, draw_outline(photo, homography, proposal.ring))
    if flat:
        write_whole(options.flat, jpeg_of(flat))
    if options.out:
        write_hide(options.out, hide)
    lines = _words(options, hide, proposal, checks, _lens_words(homography.lens, photo))
    print("\n".join(lines), file=sys.stderr if options.json else sys.stdout)
    if options.json:
        print(json.dumps(_result(hide, proposal, checks, homography.lens), ensure_ascii=False, indent=1))
    return 0


def _with_lens(homography: Homography, bend: float | None, photo: Photo) -> Homography:
    """The floor with the lens that an option tells."""
    if bend is None:
        return homography
    if homography.lens is not None or not abs(bend) <= MOST:
        problem = "eight marks tell the lens themselves" if homography.lens else f"{bend:g} is no bend of a lens"
        raise InputError(problem, field="--lens", remedy="give four marks and the bend that eight marks found before")
    return replace(homography, lens=Lens(bend, photo.size))


def _lens_words(lens: Lens | None, photo: Photo) -> list[str]:
    """What is known of the lens, what follows for the area, and how to use it again."""
    camera = photo.camera
    told = [f"taken with {camera.words}"] if camera else []
    if camera and camera.ultra_wide:
        told.append("so wide a lens bends most: better take the photo from higher up with a longer one")
    if lens is None:
        return [*told, UNKNOWN_LENS]
    moved = f"a corner of the picture moves by about {abs(lens.k):.1%} of its distance"
    again = f"for a photo taken alike (camera, zoom, size) four marks and --lens {lens.k:g} do"
    return [*told, f"the lens is straightened: {moved}; {again}"]


def _words(
    options: argparse.Namespace, hide: Hide, proposal: Proposal, checks: list[DistanceCheck], lens: list[str]
) -> list[str]:
    area = (
        f"{_area(proposal.area)} found, {len(proposal.ring)} points, within {proposal.tolerance:g} mm of the edge seen"
    )
    lines = [f"{hide.name}: {area}"]
    if hide.area is not None:
        lines.append(f"marked {_area(hide.area)}: the outline has {proposal.area / hide.area - 1:+.1%}")
    lines += [check.words for check in checks]
    if not checks:
        lines.append("scale not checked: give --check with a measured distance across the hide")
    lines += lens
    lines += [f"look: {remark}" for remark in (*proposal.remarks, *doubtful(proposal.doubts))]
    lines.append("The outline is a proposal: look at it before you cut, and correct it on the page where it is off.")
    if options.picture:
        lines.append(f"picture with the outline: {options.picture}")
    if options.flat:
        lines.append(f"photo laid flat: {options.flat}")
    lines.append(f"hide file: {options.out}" if options.out else "nothing kept: give --out FILE to write the hide file")
    return lines


def _result(hide: Hide, proposal: Proposal, checks: list[DistanceCheck], lens: Lens | None) -> dict[str, Any]:
    return {
        "lens": None if lens is None else lens.k,
        "hide": hide_to_data(hide),
        "area": proposal.area,
        "points": len(proposal.ring),
        "tolerance": proposal.tolerance,
        "confidence": proposal.confidence,
        "remarks": list(proposal.remarks),
        "doubts": [{"why": one.why, "length": one.length, "line": list(one.line)} for one in proposal.doubts],
        "checks": [{"tape": one.tape, "photo": one.photo, "off": one.off, "good": one.good} for one in checks],
    }


def _hide_data(
    options: argparse.Namespace, homography: Homography, proposal: Proposal, box: Box | None
) -> dict[str, Any]:
    """The hide as its file would have it, so that one reader checks every field."""
    data: dict[str, Any] = {
        "format": "hideplan-hide-1",
        "name": options.name or Path(options.image).stem,
        "units": "mm",
        "cut": options.cut,
        "outline": [[round(x, 2), round(y, 2)] for x, y in proposal.ring],
    }
    if box:
        data["photo"] = {"file": Path(options.flat).name, "box": list(box)}
    given = {"grade": options.grade, "thickness": options.thickness, "area": options.area}
    data |= {name: value for name, value in given.items() if value is not None}
    if options.price is not None:
        data["price"] = _price(options.price)
    if options.backbone is not None:
        places = [_place(one, "--backbone") for one in options.backbone]
        data["backbone"] = [[round(x, 2), round(y, 2)] for x, y in homography.to_mm(places).tolist()]
    return data


def _price(text: str) -> dict[str, Any]:
    """“9.50 USD per sq ft” as the hide file's table."""
    try:
        number, rest = read_number(text)
        currency, unit = rest.replace("/", " per ").split(" per ", 1)
    except (InputError, ValueError) as error:
        problem = f"“{text}” is no price of leather"
        raise InputError(problem, field="--price", remedy="write “9.50 USD per sq ft”") from error
    return {"per_area": number, "unit": unit.strip(), "currency": currency.strip()}


def _without_marks(photo: Photo, options: argparse.Namespace) -> InputError:
    grid = "add --picture FILE.png for a copy with a grid to read them from"
    if options.picture and options.marks is None:
        write_whole(options.picture, draw_grid(photo))
        grid = f"read them from the grid in {options.picture}, just written"
    width, height = photo.size
    if options.marks is None:
        return InputError(
            f"missing; the upright photo is {width} × {height} pixels",
            where=options.image,
            field="--marks",
            remedy="give x,y in pixels from the top left of the four corners of a measured rectangle round the hide: "
            f"{grid}, or click them on “hideplan page”",
        )
    remedy = "give the width and height of the marked rectangle: --size “2200 mm” “1800 mm”"
    return InputError("missing", where=options.image, field="--size", remedy=remedy)


def _checked(homography: Homography, first: str, second: str, tape: str) -> DistanceCheck:
    places = _place(first, "--check"), _place(second, "--check")
    return check_distance(homography, *places, _length(tape, "--check"))


def _size(texts: list[str]) -> Pair:
    width, height = (_length(text, "--size") for text in texts)
    return width, height


def _length(text: str, field: str) -> float:
    """A length with its unit; a bare number is millimetres."""
    try:
        return length(float(text)) if _bare(text) else length(text)
    except InputError as error:
        raise error.within(field=field) from error


def _bare(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def _place(text: str, field: str) -> Pair:
    try:
        x, y = (float(part) for part in text.split(","))
    except ValueError as error:
        problem = f"“{text}” is no place in the photo"
        raise InputError(problem, field=field, remedy="write x,y in pixels without a space: 412,380") from error
    return x, y


def _check_picture_name(name: str | None) -> None:
    if name is not None and Path(name).suffix.lower() != ".png":
        raise InputError(f"“{name}” does not end in .png", field="--picture", remedy="the picture is a PNG")


def _check_flat_name(name: str | None, out: str | None) -> None:
    """A picture that the hide file can name lies beside it."""
    if name is None:
        return
    if Path(name).suffix.lower() not in (".jpg", ".jpeg"):
        raise InputError(f"“{name}” does not end in .jpg", field="--flat", remedy="the picture is a JPEG")
    if out is None:
        raise InputError("belongs to a hide file", field="--flat", remedy="add --out FILE")
    if Path(name).resolve().parent != Path(out).resolve().parent:
        raise InputError("lies in another folder than --out", field="--flat", remedy="write both into one folder")


def _area(mm2: float) -> str:
    return f"{mm2 / 1e6:.3f} m² ({mm2 / AREA_UNITS['sq ft']:.2f} sq ft)"
