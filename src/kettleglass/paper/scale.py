"""The house scale: one baseline with three lengths of division, figures under the longest only."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from kettleglass.errors import BadInput
from kettleglass.paper.letters import text_width_px
from kettleglass.paper.svg import Markup, finite, join, number, path, text
from kettleglass.paper.theme import Theme

MINOR_PX, MIDDLE_PX, MAJOR_PX = 4.0, 7.0, 11.0
_CLOSEST_PX = 3.6
_LABEL_GAP_PX = 12.0
_LINE_PX = 22.0
_PARTS = {1: (10, 5, 2, 1), 2: (10, 4, 2, 1), 5: (10, 5, 1)}


@dataclass(frozen=True, slots=True)
class Axis:
    """A straight scale from `low` at `start_px` to `high` at `end_px`; `parts` divisions between two majors."""

    low: float
    high: float
    start_px: float
    end_px: float
    major: float
    parts: int

    def px(self, value: float) -> float:
        """Where a value stands, in px; values beyond the scale stand beyond it."""
        share = (finite("value", value) - self.low) / (self.high - self.low)
        return self.start_px + share * (self.end_px - self.start_px)

    def held_px(self, value: float) -> float:
        """Where a value stands, held at the end of the scale when it lies beyond."""
        return self.px(min(max(value, self.low), self.high))

    def divisions(self) -> Iterator[tuple[float, float]]:
        """Each division as (value, length in px), from low to high."""
        minor = self.major / self.parts
        half = self.parts // 2 if self.parts % 2 == 0 and self.parts > 2 else 0
        for count in range(math.ceil(self.low / minor - 1e-6), math.floor(self.high / minor + 1e-6) + 1):
            kind = count % self.parts
            yield count * minor, MAJOR_PX if kind == 0 else MIDDLE_PX if half and kind == half else MINOR_PX

    def majors(self) -> tuple[float, ...]:
        """The values that carry a figure."""
        return tuple(value for value, length in self.divisions() if length == MAJOR_PX)

    def across(self, y: float, theme: Theme, *, upward: bool = False) -> Markup:
        """The baseline at y with its divisions, lying."""
        return _across(self, y, theme.tick, -1 if upward else 1)

    def upright(self, x: float, theme: Theme) -> Markup:
        """The baseline at x with its divisions to the left, standing."""
        return _upright(self, x, theme.tick)

    def figures_across(self, y: float, theme: Theme, *, signed: bool = False) -> Markup:
        """The figures of the majors with their foot at y, kept within the ends of the scale."""
        return _figures(self, y, theme.quiet, signed=signed)


@lru_cache(maxsize=256)
def _across(scale: Axis, y: float, stroke: str, sign: int) -> Markup:
    """Kept from one figure to the next: while someone types, most scales stay as they are."""
    marks = "".join(f"M{number(scale.px(v))} {number(y)}v{number(sign * size)}" for v, size in scale.divisions())
    base = f"M{number(scale.start_px)} {number(y)}H{number(scale.end_px)}"
    return path(base + marks, stroke=stroke, shape_rendering="crispEdges")


@lru_cache(maxsize=64)
def _upright(scale: Axis, x: float, stroke: str) -> Markup:
    marks = "".join(f"M{number(x)} {number(scale.px(v))}h{number(-size)}" for v, size in scale.divisions())
    base = f"M{number(x)} {number(scale.start_px)}V{number(scale.end_px)}"
    return path(base + marks, stroke=stroke, shape_rendering="crispEdges")


@lru_cache(maxsize=256)
def _figures(scale: Axis, y: float, fill: str, *, signed: bool) -> Markup:
    return join(_figure(scale, value, y, fill, signed=signed) for value in scale.majors())


def _figure(scale: Axis, value: float, y: float, fill: str, *, signed: bool) -> Markup:
    content = tick_text(value, scale.major, signed=signed)
    half = text_width_px(content) / 2
    at = scale.px(value)
    if at - half < scale.start_px - 0.5:
        return text(scale.start_px, y, content, fill=fill)
    if at + half > scale.end_px + 0.5:
        return text(scale.end_px, y, content, fill=fill, anchor="end")
    return text(at, y, content, fill=fill, anchor="middle")


def tick_text(value: float, step: float, *, signed: bool = False) -> str:
    """A figure of the scale with just the decimals its step needs; a true minus, and a plus when asked for."""
    decimals = min(max(0, -math.floor(math.log10(step) + 1e-9)), 12)
    shown = f"{value:.{decimals}f}" if abs(value) < 1e7 else f"{value:.6g}"
    if float(shown) == 0.0:
        return "0"
    return ("+" if signed and value > 0 else "") + shown.replace("-", "\N{MINUS SIGN}")


def span(low: float, high: float) -> tuple[float, float]:
    """Two ends far enough apart to be a scale, in order; raises `BadInput` when they cannot be ends."""
    low, high = sorted((finite("end", low), finite("end", high)))
    size = max(abs(low), abs(high))
    if not math.isfinite(high - low):
        raise BadInput("The ends of a scale lie too far apart.", remedy="Leave the odd value out.")
    if high - low < max(size * 1e-9, 1e-12):
        room = size * 0.05 or 0.5
        return low - room, high + room
    return low, high


@lru_cache(maxsize=512)
def axis(
    low: float, high: float, *, start_px: float, end_px: float, upright: bool = False, signed: bool = False,
    rounded: bool = True,
) -> Axis:  # fmt: skip
    """A scale from low to high with nice majors (1, 2 or 5 times a power of ten) whose figures have room.

    `rounded` moves the ends out to whole divisions; `upright` reserves the height of a figure, not its width.
    Raises `BadInput` when an end is not finite.
    """
    low, high = span(low, high)
    room = abs(end_px - start_px)
    per_px = (high - low) / max(room, 1.0)
    mantissa, major = next(
        (mantissa, mantissa * 10.0**power)
        for mantissa, power in _steps(per_px * _LINE_PX)
        if mantissa * 10.0**power / per_px
        >= (_LINE_PX if upright else _figure_room(low, high, mantissa * 10.0**power, signed=signed))
    )
    parts = next((n for n in _PARTS[mantissa] if major / per_px / n >= _CLOSEST_PX), 1)
    if rounded:
        minor = major / parts
        low, high = math.floor(low / minor + 1e-6) * minor, math.ceil(high / minor - 1e-6) * minor
    return Axis(low, high, start_px, end_px, major, parts)


def _steps(smallest: float) -> Iterator[tuple[int, int]]:
    power = math.floor(math.log10(smallest))
    while power < 305:
        yield from ((mantissa, power) for mantissa in (1, 2, 5))
        power += 1


def _figure_room(low: float, high: float, major: float, *, signed: bool) -> float:
    """How far apart, in px, lying majors must stand for their figures to be read, also where an end figure moves in."""
    ends = (math.trunc(end / major) * major for end in (low, high))
    widest = max(text_width_px(tick_text(end, major, signed=signed)) for end in ends)
    return max(widest + _LABEL_GAP_PX, 1.5 * widest + 4)


def whole_top(value: float) -> float:
    """The next round number at or above a positive value: 1, 1.2, 1.5, 2, 2.5, 3, 4, 5, 6, 8 times a power of ten."""
    if finite("top", value) <= 0:
        return 1.0
    power = 10.0 ** math.floor(math.log10(value))
    return next(
        step * power for step in (1, 1.2, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 12) if step * power >= value * (1 - 1e-9)
    )
