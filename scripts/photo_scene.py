"""Photographs of a hide that is known, for measuring how well one is traced: eight views of an invented workshop floor.

Each has perspective, a phone's lens (k1 of the usual radial polynomial), light from one side, a shadow, sensor noise,
curled edges, and what lies about on a floor: a tape measure, a shoe, a rug's border. Nothing of it is a real place.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw
from scipy import ndimage
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

Floats = NDArray[np.float64]
SIZE = (2600.0, 1900.0)
"""The measured rectangle round the hide, mm."""
CORNERS = ((0.0, 1900.0), (2600.0, 1900.0), (2600.0, 0.0), (0.0, 0.0))
MIDDLES = ((1300.0, 1900.0), (2600.0, 950.0), (1300.0, 0.0), (0.0, 950.0))
FLOORS = ("boards", "tiles", "carpet", "concrete", "dark boards", "checks")
LEATHERS = ((0.50, 0.31, 0.18), (0.66, 0.50, 0.34), (0.26, 0.17, 0.12), (0.12, 0.12, 0.13), (0.55, 0.22, 0.14))
"""Tan, natural, dark brown, black, ox-blood."""


@dataclass(frozen=True)
class View:
    """One photograph: the floor, where the camera stands, its lens (k1), what lies about, what the leather is like.

    `tape` runs across a bay of the hide; `alike` makes a part of the hide as the floor is; `curl` lifts the edge, mm;
    `shadow` is how dark the hide's shadow is, `cast` how dark one that falls across floor and hide.
    """

    name: str
    floor: str
    stands: tuple[float, float, float] = (1240.0, 60.0, 2600.0)
    looks_at: tuple[float, float, float] = (1300.0, 860.0, 0.0)
    k1: float = -0.08
    k2: float = 0.0
    leather: tuple[float, float, float] = (0.50, 0.31, 0.18)
    tape: bool = False
    alike: bool = False
    shoe: bool = False
    curl: float = 0.0
    shadow: float = 0.25
    cast: float = 0.0
    focal: float = 0.80
    seed: int = 1


VIEWS = (
    View("boards", "boards", leather=(0.42, 0.24, 0.13), k1=-0.05, seed=1),
    View("boards-alike", "boards", leather=(0.42, 0.24, 0.13), alike=True, k1=-0.10, seed=2),
    View("tiles-tape", "tiles", tape=True, k1=-0.08, seed=3),
    View("carpet", "carpet", leather=(0.56, 0.38, 0.22), curl=8, k1=-0.12, seed=4),
    View("carpet-tape", "carpet", tape=True, cast=0.35, k1=-0.06, seed=5),
    View("concrete-curl", "concrete", curl=10, shadow=0.45, k1=-0.15, seed=6),
    View("concrete-shoe", "concrete", shoe=True, tape=True, cast=0.4, k1=0.04, seed=7),
    View("boards-tape", "boards", leather=(0.38, 0.22, 0.14), tape=True, shoe=True, curl=6, k1=-0.09, seed=8),
)


@dataclass(frozen=True)
class Camera:
    """A camera with a lens: floor mm (z up) to pixels and, by iteration, back to the floor."""

    view: View
    size: tuple[int, int]
    _turn: Floats = field(init=False, repr=False)

    def __post_init__(self) -> None:
        forward = np.subtract(self.view.looks_at, self.view.stands)
        forward = forward / np.linalg.norm(forward)
        right = np.cross(forward, [0, 0, 1])
        right = right / np.linalg.norm(right)
        object.__setattr__(self, "_turn", np.array([right, np.cross(forward, right), forward]))

    def sees(self, points: object) -> Floats:
        """Places (n × 2 on the floor, or n × 3) as photo pixels."""
        array = np.asarray(points, float)
        if array.shape[-1] == 2:
            array = np.concatenate([array, np.zeros((*array.shape[:-1], 1))], axis=-1)
        seen = (array - self.view.stands) @ self._turn.T
        flat = seen[..., :2] / seen[..., 2:]
        flat = flat * self._bend((flat**2).sum(axis=-1, keepdims=True))
        return np.asarray(flat * self.view.focal * self.size[0] + np.array(self.size) / 2)

    def floor(self, pixels: object) -> Floats:
        """Photo pixels as places on the floor, mm."""
        bent = (np.asarray(pixels, float) - np.array(self.size) / 2) / (self.view.focal * self.size[0])
        flat = bent
        for _ in range(12):
            flat = bent / self._bend((flat**2).sum(axis=-1, keepdims=True))
        rays = np.concatenate([flat, np.ones((*flat.shape[:-1], 1))], axis=-1) @ self._turn
        far = -self.view.stands[2] / np.minimum(rays[..., 2:], -1e-3)
        return np.asarray(np.array(self.view.stands[:2]) + far * rays[..., :2])

    def _bend(self, r2: Floats) -> Floats:
        return np.asarray(1 + self.view.k1 * r2 + self.view.k2 * r2**2)


def further(count: int, seed: int) -> tuple[View, ...]:
    """Views that nobody chose: floor, leather, light, lens, place of the camera and what lies about drawn by a seed."""
    return tuple(
        _drawn_by_lot(np.random.default_rng([seed, number]), f"lot-{seed}-{number}") for number in range(count)
    )


def _drawn_by_lot(rng: np.random.Generator, name: str) -> View:
    while True:
        view = View(
            name, FLOORS[int(rng.integers(len(FLOORS)))],
            stands=(float(rng.uniform(900, 1700)), float(rng.uniform(-200, 500)), float(rng.uniform(2300, 3200))),
            looks_at=(float(rng.uniform(1200, 1400)), float(rng.uniform(800, 950)), 0.0),
            k1=float(rng.uniform(-0.14, 0.05)), k2=float(rng.uniform(-0.02, 0.02)),
            leather=LEATHERS[int(rng.integers(len(LEATHERS)))], tape=bool(rng.random() < 0.5),
            alike=bool(rng.random() < 0.25), shoe=bool(rng.random() < 0.35),
            curl=float(rng.choice([0, 0, 5, 10])), shadow=float(rng.uniform(0.15, 0.5)),
            cast=float(rng.choice([0, 0, 0.3, 0.4])),
            focal=float(rng.uniform(0.70, 0.84)), seed=int(rng.integers(9, 10**6)),
        )  # fmt: skip
        seen = Camera(view, (4000, 3000)).sees((*CORNERS, *MIDDLES))
        if ((seen > 20) & (seen < (3980, 2980))).all():
            return view


def true_hide(seed: int) -> Polygon:
    """A hide of about 2.6 m² with shanks, a neck, two bays and a wavy edge, mm; another one for every seed."""
    rng = np.random.default_rng(seed)
    turn = np.linspace(0, 2 * np.pi, 1440, endpoint=False)
    lean, deep = rng.uniform(-0.15, 0.15, 4), rng.uniform(0.9, 1.1, 4)
    radius = 1 + 0.08 * deep[0] * np.cos(2 * turn + lean[0]) + 0.10 * deep[1] * np.cos(4 * turn + 0.5 + lean[1])
    radius += 0.035 * deep[2] * np.sin(5 * turn + lean[2]) + 0.008 * np.sin(29 * turn + 9 * lean[3])
    for where, wide in ((1.45 + lean[1], 0.10), (4.6 + lean[2], 0.13)):  # a bay above and one below
        radius -= 0.30 * np.exp(-(((turn - where + np.pi) % (2 * np.pi) - np.pi) ** 2) / wide**2 / 2)
    return Polygon(np.c_[1300 + 980 * radius * np.cos(turn), 950 + 700 * radius * np.sin(turn)])


def photograph(view: View, width: int = 4000) -> tuple[Image.Image, Camera, Polygon]:
    """The photo (4 : 3; 4000 across is 12 megapixels), its camera, and the hide as it would lie flat, mm."""
    camera = Camera(view, (width, width * 3 // 4))
    hide = true_hide(view.seed)
    rng = np.random.default_rng(100 + view.seed)
    columns, rows = np.meshgrid(np.arange(camera.size[0]) + 0.5, np.arange(camera.size[1]) + 0.5)
    places = camera.floor(np.stack([columns, rows], axis=-1)).astype(np.float32)
    picture = floor_colours(view.floor, places, rng)
    share = _drawn(camera.sees(_lifted(hide, view)), camera.size)
    scale = width / 4000
    shade = ndimage.gaussian_filter(np.roll(share, (int(14 * scale), int(-10 * scale)), (0, 1)), 12 * scale)
    picture *= (1 - view.shadow * shade)[..., None]
    picture = _mixed(picture, _skin(view, hide, places, rng), share)
    for shape, colour in _lying_about(view, hide):
        covered = _drawn(camera.sees(np.asarray(shape.exterior.coords)), camera.size)
        picture = _mixed(picture, np.broadcast_to(np.array(colour, np.float32), picture.shape), covered)
    picture *= _light(view, places)[..., None]
    blur = 1.2 * scale
    picture = ndimage.gaussian_filter(picture, (blur, blur, 0))
    picture += rng.normal(scale=0.018, size=picture.shape).astype(np.float32)
    return Image.fromarray((picture.clip(0, 1) * 255).round().astype(np.uint8)), camera, hide


def floor_colours(floor: str, places: NDArray[np.float32], rng: np.random.Generator) -> NDArray[np.float32]:
    """The floor's colour at places (rows × columns × 2, mm), before the light."""
    x, y = places[..., 0], places[..., 1]
    if floor in ("boards", "dark boards"):
        board = np.floor((y + 900) / 130).astype(int)
        tone = np.random.default_rng(4).uniform(-0.07, 0.07, 400)[board % 400]
        value = tone + 0.022 * np.sin(y / 3.1 + 5 * np.sin(x / 260 + board)) - 0.3 * (np.mod(y + 900, 130) < 3)
        light = np.array([0.70, 0.56, 0.38] if floor == "boards" else [0.38, 0.29, 0.22])
        return (light + value[..., None]).astype(np.float32)
    if floor == "checks":
        dark = (np.floor(x / 200) + np.floor(y / 200)) % 2 > 0.5
        value = np.where(dark, 0.24, 0.74) + _cloud(x.shape, rng, 6) * 0.03
        return np.stack([value, value, value * 0.97], axis=-1).astype(np.float32)
    if floor == "tiles":
        joint = (np.mod(x, 300) < 5) | (np.mod(y, 300) < 5)
        tone = np.random.default_rng(5).uniform(-0.04, 0.04, 4096)
        tile = (np.floor(x / 300).astype(int) * 64 + np.floor(y / 300).astype(int)) % 4096
        value = np.where(joint, 0.42, 0.68 + tone[tile])
        return np.stack([value, value * 0.98, value * 0.94], axis=-1).astype(np.float32)
    cloud = _cloud(x.shape, rng, 9) * (0.10 if floor == "carpet" else 0.05)
    if floor == "carpet":
        tuft = _cloud(x.shape, rng, 1.2) * 0.07 + cloud
        stripe = 0.05 * (np.mod(x + y, 420) < 60)
        return np.stack([0.30 + tuft + stripe, 0.33 + tuft, 0.42 + tuft], axis=-1).astype(np.float32)
    return np.stack([0.55 + cloud, 0.55 + cloud, 0.53 + cloud], axis=-1).astype(np.float32)


def _cloud(shape: tuple[int, ...], rng: np.random.Generator, blur: float) -> NDArray[np.float32]:
    noise = ndimage.gaussian_filter(rng.normal(size=shape).astype(np.float32), blur)
    return np.asarray(noise / noise.std(), np.float32)


def _lifted(hide: Polygon, view: View) -> Floats:
    """The outline with its edge curled up in three stretches: n × 3, mm."""
    ring = np.asarray(hide.exterior.coords)
    along = np.linspace(0, 2 * np.pi, len(ring))
    return np.c_[ring, view.curl * np.maximum(0, np.sin(3 * along + view.seed)) ** 2]


def _skin(view: View, hide: Polygon, places: NDArray[np.float32], rng: np.random.Generator) -> NDArray[np.float32]:
    """The leather's colour: mottled, with veins, three scars, and a part as the floor is where the view says so."""
    x, y = places[..., 0], places[..., 1]
    tone = 1 + 0.05 * _cloud(x.shape, rng, 14) + 0.03 * np.sin(x / 190 + 2 * np.sin(y / 230))
    skin = np.array(view.leather, np.float32) * tone[..., None].astype(np.float32)
    for cx, cy, rx, ry, value in flaws(view):
        inside = ((x - cx) / rx) ** 2 + ((y - cy) / ry) ** 2 < 1
        skin = np.where(inside[..., None], skin * np.float32(value), skin)
    if view.alike:
        tip = np.asarray(hide.exterior.coords)[200]  # one shank
        near = np.clip((330 - np.hypot(x - tip[0], y - tip[1])) / 60, 0, 1)[..., None]
        floor = np.array([0.66, 0.52, 0.35], np.float32) * (1 + 0.04 * _cloud(x.shape, rng, 4))[..., None]
        skin = skin * (1 - near) + floor * near
    return np.asarray(skin, np.float32)


def flaws(view: View) -> tuple[tuple[float, float, float, float, float], ...]:
    """The marks on the leather: ellipses (x, y, half width, half height; mm) and by what the colour is multiplied."""
    rng = np.random.default_rng(view.seed)
    dx, dy = rng.uniform(-60, 60, 2)
    return (
        (1000 + dx, 800 + dy, 14, 14, 0.35), (1500 + dx, 1050 - dy, 60, 7, 1.55), (1250 - dx, 600 + dy, 28, 34, 0.62),
    )  # fmt: skip


def _lying_about(view: View, hide: Polygon) -> list[tuple[Polygon, tuple[float, float, float]]]:
    things: list[tuple[Polygon, tuple[float, float, float]]] = []
    ring = np.asarray(hide.exterior.coords)
    if view.tape:
        # The bay above: the tape lies across its mouth and on over the hide's edge.
        left, right = ring[230], ring[430]
        along = (left - right) / np.hypot(*(left - right))
        things.append((_band(right - 90 * along, left + 420 * along, 26), (0.86, 0.74, 0.16)))
    if view.shoe:
        x, y = ring[720]
        shape = np.linspace(0, 2 * np.pi, 60)
        things.append((Polygon(np.c_[x - 20 + 140 * np.cos(shape), y + 55 * np.sin(shape)]), (0.16, 0.15, 0.15)))
    return things


def _band(a: Floats, b: Floats, width: float) -> Polygon:
    along = (b - a) / np.hypot(*(b - a))
    away = np.array([-along[1], along[0]]) * width / 2
    return Polygon([a + away, b + away, b - away, a - away])


def _light(view: View, places: NDArray[np.float32]) -> NDArray[np.float32]:
    x, y = places[..., 0], places[..., 1]
    light = 0.78 + 0.24 * np.cos((x - 700) / 1900) * np.cos((y - 1500) / 2100)
    if view.cast:
        light = light * (1 - view.cast / (1 + np.exp(np.clip((x + 0.4 * y - 1100) / 25, -50, 50))))
    return np.asarray(light, np.float32)


def _mixed(under: NDArray[np.float32], over: NDArray[np.float32], share: NDArray[np.float32]) -> NDArray[np.float32]:
    return np.asarray(under + share[..., None] * (over - under), np.float32)


def _drawn(points: Floats, size: tuple[int, int]) -> NDArray[np.float32]:
    """The share of each pixel that a polygon covers."""
    mask = Image.new("L", (3 * size[0], 3 * size[1]))
    ImageDraw.Draw(mask).polygon([(3 * float(u) - 0.5, 3 * float(v) - 0.5) for u, v in points], fill=255)
    return np.asarray(mask.reduce(3), np.float32) / np.float32(255)


def visible(hide: Polygon, view: View) -> BaseGeometry:
    """What of the hide can be seen: without what things lie on (a maker judges by eye what runs on under a tape)."""
    seen: BaseGeometry = hide
    for shape, _ in _lying_about(view, hide):
        seen = seen.difference(shape)
    return seen
