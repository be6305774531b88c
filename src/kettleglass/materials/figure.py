"""A figure that knows its range, its source and how it is known."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from kettleglass.errors import BadInput

Known = Literal["read", "derived", "memory", "maker", "assumed"]
"""read: seen in the source; derived: computed from read figures; memory: recalled, provisional; maker: the
maker's own or a certificate; assumed: nobody stated it."""
KNOWN: tuple[Known, ...] = ("maker", "read", "derived", "memory", "assumed")
"""Best known first."""
Shape = Literal["rectangular", "triangular", "normal"]
SHAPES: tuple[Shape, ...] = ("rectangular", "triangular", "normal")


@dataclass(frozen=True, slots=True)
class Figure:
    """One published or measured figure with its limits, in the unit named.

    `shape` says how the true value is spread: rectangular between the limits (nothing but limits known),
    triangular (limits, likeliest in the middle), or normal (the limits hold 95 %). `source` is what a person
    reads beside it, `source_key` leads to the full citation in the bibliography.
    """

    value: float
    low: float
    high: float
    unit: str
    source: str
    known: Known
    shape: Shape = "rectangular"
    note: str = ""
    source_key: str = ""

    def __post_init__(self) -> None:
        if not all(math.isfinite(x) for x in (self.value, self.low, self.high)):
            raise BadInput("A figure has to be a number.", remedy="Give value, low and high as plain numbers.")
        if not self.low <= self.value <= self.high:
            raise BadInput(
                f"The figure {self.value:g} {self.unit} lies outside its own range {self.low:g} to {self.high:g}.",
                why="The value, or one of its limits, is mistyped.",
                remedy="Give low ≤ value ≤ high.",
            )
        if self.shape not in SHAPES or self.known not in KNOWN:
            raise BadInput(
                f"The figure is marked {self.shape!r}, {self.known!r}.",
                remedy=f"Use one of {', '.join(SHAPES)} and one of {', '.join(KNOWN)}.",
            )

    @property
    def provisional(self) -> bool:
        """Whether nobody has seen it in its source."""
        return self.known in ("memory", "assumed")

    @property
    def z_nominal(self) -> float:
        """Where in its range the value sits: -1 at the low end, 0 in the middle, 1 at the high end."""
        half = 0.5 * (self.high - self.low)
        return 0.0 if half == 0.0 else (self.value - 0.5 * (self.low + self.high)) / half


def exact(value: float, unit: str, source: str, known: Known = "read") -> Figure:
    """A figure without doubt worth carrying."""
    return Figure(value, value, value, unit, source, known)
