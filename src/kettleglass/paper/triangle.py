"""Where a blend of soap, water and solvents stands in a triangle, and how far a cloud of blends reaches."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from kettleglass.errors import BadInput
from kettleglass.paper.svg import finite

Point = tuple[float, float]

_HEIGHT = math.sqrt(3) / 2
_SMALLEST_SCALE = 0.3
_ANGLES = tuple(2 * math.pi * n / 40 for n in range(40))
# Chi-squared with 2 degrees of freedom, 0.90 quantile = -2 ln(0.10): the ellipse that holds 9 in 10 of a normal cloud.
_NINE_IN_TEN = -2 * math.log(0.10)


@dataclass(frozen=True, slots=True)
class Blend:
    """Soap, water and solvents by mass in any one unit (each 0 or more, together more than 0)."""

    soap: float
    water: float
    solvents: float

    def __post_init__(self) -> None:
        parts = (self.soap, self.water, self.solvents)
        if min(finite("blend", part) for part in parts) < 0 or not 0 < sum(parts) < math.inf:
            raise BadInput("A blend on the map needs soap, water and solvents of 0 or more, not all 0.",
                           remedy="Leave it off the map.")  # fmt: skip

    @property
    def shares(self) -> tuple[float, float, float]:
        """The three as fractions of their sum."""
        whole = self.soap + self.water + self.solvents
        return self.soap / whole, self.water / whole, self.solvents / whole


@dataclass(frozen=True, slots=True)
class Triangle:
    """An upright triangle: soap at the top, water left, solvents right; `floors` are the shares at its three sides.

    `left` and `foot` place its lower left corner, `side` is its length, all in px.
    """

    left: float
    foot: float
    side: float
    floors: tuple[float, float, float] = (0.0, 0.0, 0.0)

    @property
    def scale(self) -> float:
        """How much of each share one side spans (1 for the whole triangle)."""
        return 1.0 - sum(self.floors)

    def at(self, blend: Blend) -> Point:
        """Where a blend stands, in px."""
        return self.at_shares(*blend.shares)

    def at_shares(self, soap: float, water: float, solvents: float) -> Point:
        """Where three shares (together 1) stand, in px."""
        up = (soap - self.floors[0]) / self.scale
        right = (solvents - self.floors[2]) / self.scale
        return self.left + (right + up / 2) * self.side, self.foot - up * self.side * _HEIGHT

    def corners(self) -> tuple[Point, Point, Point]:
        """Top, lower left, lower right."""
        top = (self.left + self.side / 2, self.foot - self.side * _HEIGHT)
        return top, (self.left, self.foot), (self.left + self.side, self.foot)


def floors_for(blends: Iterable[Blend]) -> tuple[float, float, float]:
    """The tenths below which no blend falls, so that the map shows what is there and not the empty corners."""
    shares = [blend.shares for blend in blends]
    if not shares:
        return 0.0, 0.0, 0.0
    least = [min(column) for column in zip(*shares, strict=True)]
    floors = [max(math.floor(value * 10 - 0.1), 0) for value in least]
    while sum(floors) > 10 * (1 - _SMALLEST_SCALE) + 1e-9:
        floors[floors.index(max(floors))] -= 1
    return floors[0] / 10, floors[1] / 10, floors[2] / 10


def outline(cloud: Sequence[Point]) -> list[Point]:
    """The ellipse that holds 9 in 10 of a cloud of points, as a polygon; empty when the points do not spread."""
    if len(cloud) < 3:
        return []
    count = len(cloud)
    mx, my = sum(p[0] for p in cloud) / count, sum(p[1] for p in cloud) / count
    xx = sum((p[0] - mx) ** 2 for p in cloud) / (count - 1)
    yy = sum((p[1] - my) ** 2 for p in cloud) / (count - 1)
    xy = sum((p[0] - mx) * (p[1] - my) for p in cloud) / (count - 1)
    middle, reach = (xx + yy) / 2, math.hypot((xx - yy) / 2, xy)
    if middle + reach < 1e-6:
        return []
    long, short = math.sqrt(_NINE_IN_TEN * (middle + reach)), math.sqrt(_NINE_IN_TEN * max(middle - reach, 0.0))
    turn = math.atan2(2 * xy, xx - yy) / 2
    cos, sin = math.cos(turn), math.sin(turn)
    around = ((long * math.cos(angle), short * math.sin(angle)) for angle in _ANGLES)
    return [(mx + a * cos - b * sin, my + a * sin + b * cos) for a, b in around]


def clipped(polygon: list[Point], corners: tuple[Point, Point, Point]) -> list[Point]:
    """The part of a polygon inside a triangle (Sutherland and Hodgman, 1974): cut by one side after another."""
    for n in range(3):
        polygon = _cut(polygon, corners[n], corners[(n + 1) % 3], corners[(n + 2) % 3])
    return polygon


def _cut(polygon: list[Point], a: Point, b: Point, inner: Point) -> list[Point]:
    sign = math.copysign(1.0, _side(a, b, inner))
    kept: list[Point] = []
    for n, end in enumerate(polygon):
        begin = polygon[n - 1]
        from_begin, from_end = sign * _side(a, b, begin), sign * _side(a, b, end)
        if (from_begin >= 0) != (from_end >= 0):
            share = from_begin / (from_begin - from_end)
            kept.append((begin[0] + (end[0] - begin[0]) * share, begin[1] + (end[1] - begin[1]) * share))
        if from_end >= 0:
            kept.append(end)
    return kept


def _side(a: Point, b: Point, p: Point) -> float:
    return (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])
