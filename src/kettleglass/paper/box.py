"""Rectangles: where something stands, and whether two things are in each other's way."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle by its four sides, in px; y runs downwards."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        """From left to right."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """From top to bottom."""
        return self.bottom - self.top

    def touches(self, other: Box, gap: float = 0.0) -> bool:
        """Whether the two come closer than `gap`."""
        return (
            self.left < other.right + gap and other.left < self.right + gap
            and self.top < other.bottom + gap and other.top < self.bottom + gap
        )  # fmt: skip

    def within(self, outer: Box) -> bool:
        """Whether it lies wholly inside another."""
        return (
            self.left >= outer.left and self.right <= outer.right
            and self.top >= outer.top and self.bottom <= outer.bottom
        )  # fmt: skip

    def cut_by(self, begin: tuple[float, float], end: tuple[float, float]) -> bool:
        """Whether a straight line passes through it (Liang and Barsky, 1984: the share of the line that is inside)."""
        dx, dy = end[0] - begin[0], end[1] - begin[1]
        enters, leaves = 0.0, 1.0
        for step, room in (
            (-dx, begin[0] - self.left), (dx, self.right - begin[0]),
            (-dy, begin[1] - self.top), (dy, self.bottom - begin[1]),
        ):  # fmt: skip
            if step == 0:
                if room < 0:
                    return False
            elif step < 0:
                enters = max(enters, room / step)
            else:
                leaves = min(leaves, room / step)
        return enters <= leaves
