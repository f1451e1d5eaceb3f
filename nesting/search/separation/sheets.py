"""Depth maps drawn one after the other into one array: of no-fit polygons, and of inner-fit regions."""

from __future__ import annotations

import numpy as np
import shapely
from shapely.geometry import MultiPoint, Polygon
from shapely.geometry.base import BaseGeometry

from nesting.geometry.convex import polygons
from nesting.search.arrays.inner_fits import Rotation
from nesting.search.arrays.touching_positions import NoFit
from nesting.search.separation.map_kernel import FAR, raster, raster_deepest

GROWN = 1.2
"""How much more room than it takes there is for maps when it runs out."""

STRIDE = 2
"""A coarse map takes every so many nodes."""

NO_AREA = 1e-3
"""An inner-fit region of less (mm²) is drawn as its corners."""


SHEETS = ("values", "start", "size", "origin", "box", "coarse", "unit", "coarse_start", "coarse_size")


def after(first: dict[str, np.ndarray], then: dict[str, np.ndarray]) -> dict[str, np.ndarray]:
    """Maps one after the other; the first ones are used up, for they may be large."""
    shift = {"start": len(first["values"]), "coarse_start": len(first["coarse"])}
    return {
        name: np.concatenate([first.pop(name), then[name] + shift[name] if name in shift else then[name]])
        for name in SHEETS
    }


def inner_fit(v: Rotation) -> BaseGeometry:
    """The inner-fit region of a rotation; where it has no area, a speck at each of its corners."""
    f = v.empty
    region: BaseGeometry = Polygon(f.hull) if len(f.hull) >= 3 else Polygon()
    rings = [Polygon(f.ring[f.at[k] : f.at[k + 1]]) for k in range(int(f.size[0]))]
    if rings:
        region = region.difference(shapely.union_all(rings))
    return region if region.area > NO_AREA else MultiPoint(f.points[: int(f.size[1])]).buffer(0.05, quad_segs=1)


class Sheets:
    """Gathers maps."""

    def __init__(self, step: float) -> None:
        self.step = step
        self.room, self.start = np.zeros(0, dtype=np.float32), [0]
        self.shape: list[tuple[int, ...]] = []
        self.origin: list[tuple[float, float]] = []

    def add(self, region: BaseGeometry, sign: float) -> int:
        """The map of a region: depth inside it (sign 1), or how far outside it (sign −1); its number."""
        rings = [ring for polygon in polygons(region) for ring in (polygon.exterior, *polygon.interiors)]
        if not rings:
            return self._keep(
                np.full((STRIDE + 1, STRIDE + 1), FAR if sign < 0 else -FAR, dtype=np.float32), (0.0, 0.0)
            )
        points = [np.asarray(ring.coords)[:, :2] for ring in rings]
        edges = np.ascontiguousarray(np.concatenate([np.column_stack([p[:-1], p[1:]]) for p in points]))
        x0, y0, x1, y1 = region.bounds
        margin = self.step * (1.0 if sign > 0 else 2.0)
        x0, y0 = x0 - margin, y0 - margin
        wide, high = (self._nodes(last - start + margin) for start, last in ((x0, x1), (y0, y1)))
        out = np.zeros(wide * high, dtype=np.float32)
        raster(edges, x0, y0, self.step, wide, high, sign, out)
        return self._keep(out.reshape(high, wide), (x0, y0))

    def deepest(self, no_fit: NoFit, angle: float) -> int:
        """The map of convex polygons, turned by an angle: the depth in the one a node lies deepest in; its number."""
        c, s = np.cos(angle), np.sin(angle)
        turn = np.array([[c, s], [-s, c]])
        ring, norm = no_fit.ring @ turn, no_fit.norm @ turn
        x0, y0 = ring.min(axis=0) - self.step
        wide, high = (self._nodes(float(length) + 2 * self.step) for length in np.ptp(ring, axis=0))
        out = np.full(wide * high, -2 * self.step, dtype=np.float32)
        raster_deepest(ring, norm, no_fit.at, x0, y0, self.step, wide, high, out)
        return self._keep(out.reshape(high, wide), (x0, y0))

    def _nodes(self, length: float) -> int:
        """Nodes along a length: whole strides and one."""
        return -(-int(np.ceil(length / self.step)) // STRIDE) * STRIDE + 1

    def turned(self, index: int) -> int:
        """The map of the second about the first: the same by half a turn."""
        values = self._values(index)
        far = [o + (n - 1) * self.step for o, n in zip(self.origin[index], values.shape[::-1], strict=True)]
        return self._keep(np.ascontiguousarray(values[::-1, ::-1]), (-far[0], -far[1]))

    def turned_quarters(self, index: int, quarters: int) -> int:
        """A map turned by so many quarter turns; the same one for none."""
        values, (x, y) = self._values(index), self.origin[index]
        for _ in range(quarters):
            x, y = -(y + (len(values) - 1) * self.step), x
            values = values.T[:, ::-1]
        return self._keep(np.ascontiguousarray(values), (x, y)) if quarters else index

    def _keep(self, values: np.ndarray, origin: tuple[float, float]) -> int:
        first, last = self.start[-1], self.start[-1] + values.size
        if last > len(self.room):
            self.room.resize(int(GROWN * last), refcheck=False)  # no view of it is kept
        self.room[first:last] = values.ravel()
        self.start.append(last)
        self.shape.append(values.shape)
        self.origin.append(origin)
        return len(self.shape) - 1

    def _values(self, index: int) -> np.ndarray:
        return self.room[self.start[index] : self.start[index + 1]].reshape(self.shape[index])

    def fine(self) -> dict[str, np.ndarray]:
        """All maps, one after the other."""
        return {
            "values": self.room[: self.start[-1]],
            "start": np.array(self.start[:-1], dtype=np.int64),
            "size": np.array([shape[::-1] for shape in self.shape], dtype=np.int64).reshape(-1, 2),
            "origin": np.array(self.origin, dtype=np.float64).reshape(-1, 2),
        }

    def arrays(self) -> dict[str, np.ndarray]:
        """The same with the coarse ones."""
        many, fine = range(len(self.shape)), self.fine()
        size, origin = fine["size"], fine["origin"]
        coarse_size = size // STRIDE + 1
        ends = np.concatenate([[0], np.cumsum(STRIDE**2 * coarse_size.prod(axis=1))]).astype(np.int64)
        unit, coarse = np.zeros(len(many)), np.zeros(ends[-1], dtype=np.uint8)
        for n in many:
            values = self._values(n)
            unit[n] = max(float(values.max()), 1e-9) / 255
            coarse[ends[n] : ends[n + 1]] = _strided(values / unit[n])
        return fine | {
            "box": np.concatenate([origin, origin + (size - 1) * self.step], axis=1),
            "coarse": coarse,
            "unit": unit,
            "coarse_start": ends[:-1],
            "coarse_size": coarse_size,
        }


def _strided(values: np.ndarray) -> np.ndarray:
    """Every STRIDE-th node, from each node of the first square of STRIDE by STRIDE on, rounded up; 0 beyond."""
    rows, columns = (-(-n // STRIDE) * STRIDE for n in values.shape)
    whole = np.zeros((rows, columns), dtype=np.uint8)
    whole[: values.shape[0], : values.shape[1]] = np.minimum(np.ceil(np.maximum(values, 0.0)), 255.0)
    return np.concatenate([whole[r::STRIDE, c::STRIDE].ravel() for r in range(STRIDE) for c in range(STRIDE)])
