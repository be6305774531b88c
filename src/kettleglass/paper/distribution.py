"""Many pots as counts in bins, with the values that bound 9 in 10 of them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from kettleglass.errors import BadInput
from kettleglass.paper.svg import finite

_BINS = 64
_TAIL = 0.002


@dataclass(frozen=True, slots=True)
class Distribution:
    """Counts between rising edges (one edge more than counts) and the 5, 50 and 95 in 100 values, `low` to `high`."""

    edges: tuple[float, ...]
    counts: tuple[float, ...]
    low: float
    middle: float
    high: float

    def __post_init__(self) -> None:
        for value in (*self.edges, *self.counts, self.low, self.middle, self.high):
            finite("distribution", value)
        if len(self.edges) != len(self.counts) + 1 or not self.counts:
            raise BadInput("The bins of a distribution do not fit its edges.", remedy="Give one edge more than counts.")
        if any(b < a for a, b in zip(self.edges, self.edges[1:], strict=False)) or min(self.counts) < 0:
            raise BadInput(
                "The edges of a distribution must rise and its counts be 0 or more.", remedy="Sort the edges first."
            )
        if sum(self.counts) <= 0:
            raise BadInput("A distribution needs at least one pot.", remedy="Draw some pots first.")

    @classmethod
    def of(cls, samples: Iterable[float]) -> Distribution:
        """Counts of the samples themselves (any sequence or array); raises `BadInput` for none or not finite ones."""
        plain = getattr(samples, "tolist", None)
        values = sorted(map(float, plain() if plain else samples))
        if not values:
            raise BadInput("A distribution needs at least one pot.", remedy="Draw some pots first.")
        finite("distribution", math.fsum(values))
        low, high = values[0], values[-1]
        edges = (*(low + (high - low) * n / _BINS for n in range(_BINS)), high)
        return cls(edges, _counted(values, low, high), *(_at(values, share) for share in (0.05, 0.5, 0.95)))

    def share_above(self, value: float) -> float:
        """The share (0-1) of pots above a value, a bin that it cuts taken in proportion."""
        above = 0.0
        for left, right, count in zip(self.edges, self.edges[1:], self.counts, strict=False):
            if right > value:
                above += count * (1.0 if left >= value else (right - value) / (right - left))
        return above / sum(self.counts)

    def bulk(self) -> tuple[float, float]:
        """The ends of what is worth showing: all but two in a thousand pots on either side."""
        spare = _TAIL * sum(self.counts)
        return self._end(spare, range(len(self.counts))), self._end(spare, range(len(self.counts) - 1, -1, -1))

    def _end(self, spare: float, order: Sequence[int]) -> float:
        seen = 0.0
        for n in order:
            seen += self.counts[n]
            if seen > spare:
                return self.edges[n] if order[0] == 0 else self.edges[n + 1]
        return self.edges[order[-1]]

    def curve(self) -> list[tuple[float, float]]:
        """Points (value, height from 0 to 1) of the smoothed outline, on the ground at both ends.

        Heights are counts per width, twice averaged over neighbours (1-2-1): enough to calm the draw, not its shape.
        """
        heights = [
            count / (right - left) if right > left else 0.0
            for left, right, count in zip(self.edges, self.edges[1:], self.counts, strict=False)
        ]
        if max(heights) <= 0:
            return [(self.edges[0], 0.0), (self.edges[0], 1.0), (self.edges[-1], 1.0), (self.edges[-1], 0.0)]
        heights = _calmed(_calmed(heights))
        top = max(heights)
        middles = [(left + right) / 2 for left, right in zip(self.edges, self.edges[1:], strict=False)]
        inner = [(middle, height / top) for middle, height in zip(middles, heights, strict=True)]
        return [(self.edges[0], 0.0), *inner, (self.edges[-1], 0.0)]


def _calmed(heights: list[float]) -> list[float]:
    if len(heights) < 5:
        return heights
    padded = [heights[0], *heights, heights[-1]]
    return [(a + 2 * b + c) / 4 for a, b, c in zip(padded, padded[1:], padded[2:], strict=False)]


def _counted(values: Sequence[float], low: float, high: float) -> tuple[float, ...]:
    counts = [0.0] * _BINS
    per_bin = _BINS / (high - low) if high - low > max(abs(low), abs(high)) * 1e-9 else 0.0
    for value in values:
        counts[min(int((value - low) * per_bin), _BINS - 1)] += 1.0
    return tuple(counts)


def _at(values: Sequence[float], share: float) -> float:
    """The value below which a share of the sorted samples lies, straight between neighbours."""
    place = share * (len(values) - 1)
    below = int(place)
    above = min(below + 1, len(values) - 1)
    return values[below] + (values[above] - values[below]) * (place - below)
