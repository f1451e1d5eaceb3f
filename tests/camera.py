"""A camera for tests: photographs a known hide on a known floor, with perspective, blur, noise and uneven light."""

from __future__ import annotations

import io
from dataclasses import dataclass

import numpy as np
from PIL import Image, ImageDraw
from scipy import ndimage
from shapely.geometry import Polygon

SIZE = (2200.0, 1800.0)
CORNERS = np.array([[0, 1800], [2200, 1800], [2200, 0], [0, 0]], float)


def known_hide() -> Polygon:
    """A rounded shape with a neck, shanks and a wavy edge, about 2 m², inside the rectangle of `SIZE`."""
    turn = np.linspace(0, 2 * np.pi, 720, endpoint=False)
    radius = (
        1 + 0.10 * np.cos(2 * turn) + 0.09 * np.cos(4 * turn + 0.4) + 0.05 * np.sin(5 * turn) + 0.01 * np.sin(31 * turn)
    )
    return Polygon(np.c_[1100 + 830 * radius * np.cos(turn), 900 + 690 * radius * np.sin(turn)])


@dataclass(frozen=True)
class Camera:
    """A pinhole camera over the floor: where it stands and what it looks at (mm, z up), its picture's size."""

    stands: tuple[float, float, float] = (900.0, -700.0, 2600.0)
    looks_at: tuple[float, float, float] = (1100.0, 860.0, 0.0)
    size: tuple[int, int] = (1280, 960)
    focal: float = 0.95

    def matrix(self) -> np.ndarray:
        """The 3 × 3 matrix from floor millimetres to photo pixels (y down)."""
        forward = np.subtract(self.looks_at, self.stands)
        forward = forward / np.linalg.norm(forward)
        right = np.cross(forward, [0, 0, 1])
        right = right / np.linalg.norm(right)
        down = np.cross(forward, right)
        turn = np.array([right, down, forward])
        shift = -turn @ np.array(self.stands)
        width, height = self.size
        lens = np.array([[self.focal * width, 0, width / 2], [0, self.focal * width, height / 2], [0, 0, 1]])
        return lens @ np.c_[turn[:, 0], turn[:, 1], shift]

    def sees(self, points: np.ndarray) -> np.ndarray:
        """Floor points as photo pixels."""
        moved = np.c_[points, np.ones(len(points))] @ self.matrix().T
        return moved[:, :2] / moved[:, 2:]


def plain_concrete(x: np.ndarray, y: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    cloud = ndimage.gaussian_filter(rng.normal(size=x.shape), 12) * 0.5
    return np.stack([0.52 + cloud, 0.52 + cloud, 0.50 + cloud], axis=-1)


def wood_boards(x: np.ndarray, y: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    board = np.floor(y / 140).astype(int)
    tone = np.random.default_rng(4).uniform(-0.06, 0.06, 400)[board % 400]
    grain = 0.02 * np.sin(y / 3 + 5 * np.sin(x / 260 + board))
    gap = np.where(np.mod(y, 140) < 3, -0.35, 0)
    value = tone + grain + gap
    return np.stack([0.74 + value, 0.62 + value, 0.45 + value], axis=-1)


def checkered_tiles(x: np.ndarray, y: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    dark = (np.floor(x / 200) + np.floor(y / 200)) % 2
    joint = (np.mod(x, 200) < 4) | (np.mod(y, 200) < 4)
    value = np.where(joint, 0.5, np.where(dark > 0, 0.18, 0.85))
    return np.stack([value, value, value * 0.97], axis=-1)


FLOORS = {"concrete": plain_concrete, "boards": wood_boards, "tiles": checkered_tiles}


def photograph(
    hide: Polygon | None,
    floor: str,
    camera: Camera,
    *,
    leather: tuple[float, float, float] = (0.50, 0.30, 0.17),
    noise: float = 0.02,
    blur: float = 1.0,
    shadow: float = 0.15,
) -> Image.Image:
    """A photo of the hide on the floor: a light that falls off, a soft shadow, blur, sensor noise."""
    rng = np.random.default_rng(7)
    width, height = camera.size
    columns, rows = np.meshgrid(np.arange(2 * width) / 2 + 0.25, np.arange(2 * height) / 2 + 0.25)
    inverse = np.linalg.inv(camera.matrix())
    moved = np.stack([columns, rows, np.ones_like(rows)]).reshape(3, -1)
    x, y = ((inverse[:2] @ moved) / (inverse[2] @ moved)).reshape(2, *rows.shape)
    colour = FLOORS[floor](x, y, rng).astype(np.float32)
    if hide is not None:
        share = _drawn(camera.sees(np.asarray(hide.exterior.coords)), (width, height))
        shade = 1 - shadow * (ndimage.gaussian_filter(share, 6) > 0.02)
        mottle = 1 + 0.6 * ndimage.gaussian_filter(rng.normal(size=x.shape).astype(np.float32), 8)
        skin = np.array(leather, np.float32) * mottle[..., None]
        colour = share[..., None] * skin + (1 - share[..., None]) * colour * shade[..., None]
    light = (0.75 + 0.25 * np.cos((x - 600) / 1500) * np.cos((y - 1300) / 1800)).astype(np.float32)
    picture = (colour * light[..., None]).clip(0, 1).reshape(height, 2, width, 2, 3).mean(axis=(1, 3))
    picture = ndimage.gaussian_filter(picture, (blur, blur, 0)) + rng.normal(scale=noise, size=(height, width, 3))
    return Image.fromarray((picture.clip(0, 1) * 255).round().astype(np.uint8))


def _drawn(points: np.ndarray, size: tuple[int, int]) -> np.ndarray:
    """The share of each half pixel that the polygon covers, from a drawing four times as fine as the photo."""
    mask = Image.new("L", (4 * size[0], 4 * size[1]))
    ImageDraw.Draw(mask).polygon([(4 * u - 0.5, 4 * v - 0.5) for u, v in points], fill=255)
    return np.asarray(mask.reduce(2), np.float32) / 255


def as_bytes(image: Image.Image, kind: str = "JPEG", **more: object) -> bytes:
    """The picture as a file's bytes."""
    out = io.BytesIO()
    image.save(out, kind, **({"quality": 90} | more if kind == "JPEG" else more))
    return out.getvalue()
