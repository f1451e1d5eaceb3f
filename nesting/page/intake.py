"""What comes in is bounded before it is looked at: bytes, JSON depth and numbers, file names."""

from __future__ import annotations

import json
import math
import re
from typing import Any
from urllib.parse import unquote

from starlette.requests import Request

from hides.fields import whole_number
from nesting.page.errors import Refusal

MEGABYTE = 1 << 20
FILE_BYTES = 10 * MEGABYTE
JSON_BYTES = 8 * MEGABYTE
JSON_DEPTH = 30
NAME = re.compile(r"[\w][\w .()+,'&#-]{0,79}")
"""File names the page takes: letters, digits and a few signs, never a separator, never a leading dot."""
DEVICES = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)(\..*)?", re.IGNORECASE)


async def read_bytes(request: Request, limit: int) -> bytes:
    """The request's body, never more than `limit` bytes of it."""
    told = request.headers.get("content-length", "0")
    if told.isdigit() and (whole_number(told) or 0) > limit:
        raise _too_large(limit)
    parts, size = [], 0
    async for part in request.stream():
        size += len(part)
        if size > limit:
            raise _too_large(limit)
        parts.append(part)
    return b"".join(parts)


async def read_json(request: Request) -> dict[str, Any]:
    """The request's body as a JSON object of bounded size and depth, with finite numbers only."""
    return parse_json(await read_bytes(request, JSON_BYTES))


def parse_json(body: bytes) -> dict[str, Any]:
    """A JSON object, else Refusal."""
    try:
        data = json.loads(body, parse_constant=_no_constant, parse_float=_finite)
    except (ValueError, RecursionError) as error:
        raise Refusal(400, f"this is no JSON that can be read ({_short(error)})") from error
    if not isinstance(data, dict):
        raise Refusal(400, "a JSON object was expected")
    if rb"\u" in body and not _encodable(data):
        raise Refusal(400, "the JSON holds half a character (a lone surrogate)")
    if _deeper(data, JSON_DEPTH):
        raise Refusal(400, f"the JSON is nested more than {JSON_DEPTH} deep")
    return data


def file_name(request: Request, *endings: str) -> str:
    """The name of an uploaded file (header `x-file-name`, percent-encoded), with one of the endings."""
    return plain_name(unquote(request.headers.get("x-file-name", "")), *endings)


def plain_name(name: str, *endings: str) -> str:
    """A name that can only mean a file right in the folder, with one of `endings`; else Refusal."""
    told = " ".join(name.split()).strip()
    if not NAME.fullmatch(told) or ".." in told or told.endswith(".") or DEVICES.fullmatch(told):
        raise Refusal(400, f"“{told[:60]}” cannot be a file's name here; use letters, digits, spaces and dashes")
    if endings and not told.lower().endswith(endings):
        raise Refusal(415, f"“{told}” is not a file of the kind expected here ({', '.join(endings)})")
    return told


def _too_large(limit: int) -> Refusal:
    return Refusal(413, f"the file is too large: {limit // MEGABYTE} MB is the most that is taken here")


def _no_constant(name: str) -> float:
    raise ValueError(f"{name} is not a finite number")


def _finite(text: str) -> float:
    number = float(text)
    if not math.isfinite(number):
        raise ValueError(f"{text[:40]} is too large a number")
    return number


def _encodable(data: Any) -> bool:
    try:
        json.dumps(data, ensure_ascii=False).encode()
    except (UnicodeEncodeError, RecursionError):
        return False
    return True


def _short(error: Exception) -> str:
    return "nested too deep" if isinstance(error, RecursionError) else str(error)[:100]


def _deeper(value: Any, depth: int) -> bool:
    if not isinstance(value, (dict, list)):
        return False
    if depth == 0:
        return True
    return any(_deeper(item, depth - 1) for item in (value.values() if isinstance(value, dict) else value))
