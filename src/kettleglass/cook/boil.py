"""How near the pot comes to boiling and to its flash point, step by step; and the liquid that is poured in."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kettleglass.cook.around import Around
from kettleglass.cook.course import LIKELY, Course, Leg
from kettleglass.errors import OutOfRange
from kettleglass.recipe.leaving import ALCOHOLS
from kettleglass.recipe.recipe import STAGES, Stage
from kettleglass.recipe.work import Worked
from kettleglass.science.basis import Array, Basis
from kettleglass.science.fire import flash_of
from kettleglass.science.heat.boiling import boiling_band
from kettleglass.science.heat.liquid import liquid_of_pot
from kettleglass.science.pot import ROW

TRACE = 0.005
"""Share of alcohol below which a pot is not called hot alcohol."""


@dataclass(frozen=True, slots=True)
class Boils:
    """A bubble point in °C with its band."""

    low_c: float
    likely_c: float
    high_c: float

    def margin_k(self, temperature_c: float) -> float:
        """How far below its likely bubble point a temperature lies."""
        return self.likely_c - temperature_c


@dataclass(frozen=True, eq=False)
class HotStep:
    """A step with alcohol in the pot: its leg, the bubble point and flash point as it starts (flash None: none)."""

    leg: Leg
    boils: Boils
    flash_c: float | None

    @property
    def temperature_c(self) -> float:
        """What is held to."""
        return self.leg.step.temperature_c or 0.0

    @property
    def margin_k(self) -> float:
        """How far below boiling it is held."""
        return self.boils.margin_k(self.temperature_c)


@dataclass(frozen=True, slots=True, eq=False)
class Premix:
    """The liquid poured in together: line keys, grams of each species (S,), and its own bubble and flash point."""

    keys: tuple[str, ...]
    stage: Stage
    grams: Array
    boils: Boils | None
    flash_c: float | None


@dataclass(frozen=True, eq=False)
class Boiling:
    """The whole pot's bubble and flash point with everything in, the steps with alcohol, and the premix.

    `boils` is None for a pot with nothing that evaporates, or where the model does not hold; then `why` says so.
    """

    boils: Boils | None
    flash_c: float | None
    steps: tuple[HotStep, ...]
    premix: Premix | None
    why: str = ""

    @property
    def tightest(self) -> HotStep | None:
        """The step that comes nearest to boiling."""
        return min(self.steps, key=lambda step: step.margin_k, default=None)

    @property
    def hold_c(self) -> tuple[float, float] | None:
        """The lowest and highest temperature held with alcohol in the pot."""
        held = [step.temperature_c for step in self.steps]
        return (min(held), max(held)) if held else None


def boiling(worked: Worked, course: Course, air: Around) -> Boiling:
    """The bubble and flash points of a cook, at the pressure of its place."""
    basis = worked.sheet.basis
    hot = [leg for leg in course.legs if _alcohol_share(leg.before[:, LIKELY]) > TRACE]
    pots = np.column_stack([worked.cooked, *(leg.before[:, LIKELY] for leg in hot)])
    premix = _premix(worked, air)
    why = ""
    try:
        bands = _bands(basis, pots, air.pressure_pa)
    except OutOfRange as error:
        bands, why = _each_band(basis, pots, air.pressure_pa), f"{error.what} {error.why}".strip()
    flashes = _flashes(basis, pots)
    steps = tuple(
        HotStep(leg, boils, flash) for leg, boils, flash in zip(hot, bands[1:], flashes[1:], strict=True) if boils
    )
    return Boiling(bands[0], flashes[0], steps, premix, why if bands[0] is None else "")


def _alcohol_share(pot: Array) -> float:
    total = float(pot.sum())
    return float(sum(pot[ROW[name]] for name in ALCOHOLS)) / total if total > 0.0 else 0.0


def _bands(basis: Basis, pots: Array, pressure_pa: float) -> list[Boils | None]:
    wet = pots[[ROW[name] for name in ("water", *ALCOHOLS)]].sum(axis=0) > 1e-3 * np.maximum(pots.sum(axis=0), 1e-9)
    out: list[Boils | None] = [None] * pots.shape[1]
    if wet.any():
        low, likely, high = boiling_band(basis, pots[:, wet], pressure_pa)
        for place, row in enumerate(np.flatnonzero(wet)):
            out[row] = Boils(float(low[place]), float(likely[place]), float(high[place]))
    return out


def _each_band(basis: Basis, pots: Array, pressure_pa: float) -> list[Boils | None]:
    """The same for pots of which some are beyond the model; those have none."""
    out: list[Boils | None] = []
    for row in range(pots.shape[1]):
        try:
            out += _bands(basis, pots[:, row : row + 1], pressure_pa)
        except OutOfRange:
            out.append(None)
    return out


def _flashes(basis: Basis, pots: Array) -> list[float | None]:
    found = np.atleast_1d(flash_of(liquid_of_pot(basis, pots)))
    return [None if np.isnan(value) else float(value) for value in found]


def _premix(worked: Worked, air: Around) -> Premix | None:
    """What goes in with the alcohol: the liquids of the stage that brings most of it."""
    sheet, masses = worked.sheet, worked.weights.weighed_g
    alcohol = sum((sheet.species(name) * masses for name in ALCOHOLS), start=np.zeros(len(masses)))
    if float(alcohol.sum()) <= 0.0:
        return None
    stage = max(STAGES, key=lambda one: sum(alcohol[row] for row, line in enumerate(sheet.lines) if line.stage == one))
    solvents = (*ALCOHOLS, "glycerol", "propylene_glycol", "dipropylene_glycol", "water")
    liquid = sum((sheet.species(name) for name in solvents), start=np.zeros(len(masses)))
    rows = [
        row for row, line in enumerate(sheet.lines)
        if line.stage == stage and masses[row] > 0.0 and (alcohol[row] > 0.0 or (stage != "lye" and liquid[row] > 0.5))
    ]  # fmt: skip
    grams = np.asarray(sheet.compositions[:, rows] @ masses[rows])
    pot = grams[:, None]
    try:
        boils, flash_c = _bands(sheet.basis, pot, air.pressure_pa)[0], _flashes(sheet.basis, pot)[0]
    except OutOfRange:
        boils, flash_c = None, None
    return Premix(tuple(sheet.keys[row] for row in rows), stage, grams, boils, flash_c)
