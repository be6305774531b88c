"""The weight log of a piece, or of several that are always weighed together."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from kettleglass.errors import BadInput
from kettleglass.science.basis import Array

MOST_DAYS = 20_000.0


@dataclass(frozen=True, slots=True)
class Weighing:
    """What the scale showed in g on a day; `broke` when something had broken off since the weighing before."""

    day: float
    weight_g: float
    remark: str = ""
    broke: bool = False

    def __post_init__(self) -> None:
        if not (math.isfinite(self.day) and abs(self.day) <= MOST_DAYS):
            raise BadInput(f"The day {self.day:g} is no day of a weight log.", remedy="Count days from the pouring.")
        if not (math.isfinite(self.weight_g) and self.weight_g > 0.0):
            raise BadInput(f"The weight is {self.weight_g:g} g.", remedy="Give what the scale showed, such as 96.4 g.")


def finest_step_g(weights_g: Sequence[float]) -> float:
    """The largest of 1, 0.1, 0.01 and 0.001 g of which all weights are multiples; 0.001 g where none is."""
    for step in (1.0, 0.1, 0.01):
        if all(abs(weight / step - round(weight / step)) < 1e-6 * max(1.0, weight / step) for weight in weights_g):
            return step
    return 0.001


@dataclass(frozen=True, slots=True)
class WeightLog:
    """Weighings of the same pieces on a scale of one step (g), sorted by day.

    `first_date` is the date of day 0, where dates are known. `wrapped` pieces (base stock, wrapped when cool) are asked
    whether their weight holds, not when they are dry. `whole` when the maker says that nothing broke off.
    """

    weighings: tuple[Weighing, ...]
    step_g: float = 1.0
    pieces: int = 1
    first_date: date | None = None
    wrapped: bool = False
    whole: bool = False

    def __post_init__(self) -> None:
        if not (math.isfinite(self.step_g) and self.step_g > 0.0):
            raise BadInput(f"The step of the scale is {self.step_g:g} g.", remedy="Give its step, as in 0.1 g.")
        if self.pieces < 1:
            raise BadInput(f"{self.pieces} pieces cannot be weighed.", remedy="Say how many lie on the scale together.")
        object.__setattr__(self, "weighings", tuple(sorted(self.weighings, key=lambda one: one.day)))

    @property
    def days(self) -> Array:
        """(T,): as entered, not from the first weighing."""
        return np.array([one.day for one in self.weighings], dtype=np.float64)

    @property
    def weights_g(self) -> Array:
        """(T,): what the scale showed, of all pieces together."""
        return np.array([one.weight_g for one in self.weighings], dtype=np.float64)

    @property
    def finest_step_g(self) -> float:
        """The power of ten in g, from 0.001 to 1, of which all readings are multiples: a scale shows no finer."""
        return finest_step_g([one.weight_g for one in self.weighings])

    def when(self, day: float) -> str:
        """A day in words: its date where dates are known, else its number."""
        found = self.date_of(day)
        return f"day {day:.0f}" if found is None else f"{found.day} {found:%B %Y}"

    def date_of(self, day: float) -> date | None:
        """The date of a day, where dates are known and the calendar reaches so far."""
        if self.first_date is None:
            return None
        try:
            return self.first_date + timedelta(days=round(day))
        except OverflowError:
            return None

    def whens(self, days: Sequence[float]) -> str:
        """Several days in words: “day 5, day 7 and day 9”."""
        said = [self.when(day) for day in days]
        return " and ".join([", ".join(said[:-1]), said[-1]] if len(said) > 1 else said)
