"""A figure with its doubt."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Span:
    """Low, likely, high; the unit stands in the name of the field that holds it."""

    low: float
    likely: float
    high: float

    def plus(self, value: float) -> Span:
        """The same, shifted."""
        return Span(self.low + value, self.likely + value, self.high + value)
