"""The course of the cook: the pot at the start and end of every step, and what has left it by then.

Every step runs in nine ways at once, one column each: with its lid as the method says, always covered, always open;
each with the low, likely and high rate of loss. What leaves is alcohol and water; glycerol, sugar and soap stay.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from kettleglass.cook.around import Around, area_span
from kettleglass.errors import OutOfRange
from kettleglass.recipe.leaving import ALCOHOLS
from kettleglass.recipe.method import USUAL, usual_steps
from kettleglass.recipe.recipe import STAGES, Kettle, Losses, MethodStep, Recipe, Stage
from kettleglass.recipe.sheet import Sheet, cook
from kettleglass.science.basis import Array, Basis
from kettleglass.science.heat.evaporation import Evaporation, Opening, evaporate
from kettleglass.science.heat.liquid import liquid_of_pot
from kettleglass.science.heat.vapour import COMPONENTS
from kettleglass.science.heat.warming import Band
from kettleglass.science.pot import ROW
from kettleglass.science.volume import volume_ml

WAYS = ("method", "covered", "open")
"""The lid: as the method says, always on, always off."""
LOW, LIKELY, HIGH = range(3)
VOLATILE = ("water", *ALCOHOLS)
_ROWS = np.array([ROW[name] for name in COMPONENTS], dtype=np.intp)


def column(way: str, rate: int = LIKELY) -> int:
    """The column of a way of covering and a rate of loss."""
    return 3 * WAYS.index(way) + rate


@dataclass(frozen=True, eq=False)
class Leg:
    """One step of the course: `before` and `after` are pots (S, 9) in g, after what goes in at this step.

    `step` has its temperature and minutes filled in; `assumed` names those that the maker did not give. `trail_min`
    (T,) and `trail_g` (T, C) follow the likely way of the method. `boils` says whether the pot would boil; `unsaid` why
    nothing can be said of what leaves, so that nothing is counted.
    """

    step: MethodStep
    assumed: tuple[str, ...]
    start_min: float
    before: Array
    after: Array
    trail_min: Array
    trail_g: Array
    boils: bool
    unsaid: str = ""

    @property
    def minutes(self) -> float:
        """How long it takes."""
        return self.step.minutes or 0.0

    @property
    def end_min(self) -> float:
        """When it ends, in minutes from the start of the cook."""
        return self.start_min + self.minutes

    def lost_g(self, way: str = "method", rate: int = LIKELY) -> Array:
        """What leaves during the step, (S,) in g."""
        at = column(way, rate)
        return np.asarray(self.before[:, at] - self.after[:, at])

    def lost_of_g(self, *species_ids: str, way: str = "method", rate: int = LIKELY) -> float:
        """Grams of these species that leave during the step."""
        return float(self.lost_g(way, rate)[[ROW[name] for name in species_ids]].sum())


@dataclass(frozen=True, eq=False)
class Course:
    """All steps in order; `charged` is the whole pot (S,) as if nothing left, `finished` (S, 9) what is left of it."""

    legs: tuple[Leg, ...]
    charged: Array
    finished: Array

    def charged_g(self, *species_ids: str) -> float:
        """Grams of these species that go in."""
        return float(self.charged[[ROW[name] for name in species_ids]].sum())

    def lost_g(self, *species_ids: str, way: str = "method", rate: int = LIKELY) -> float:
        """Grams of these species that leave by the end."""
        rows = [ROW[name] for name in species_ids]
        return float((self.charged[rows] - self.finished[rows, column(way, rate)]).sum())

    def lost_band_g(self, *species_ids: str, way: str = "method") -> Band:
        """The same with its band; what leaves early can spare what leaves late, so any rate may lose the least."""
        low, likely, high = (self.lost_g(*species_ids, way=way, rate=rate) for rate in (LOW, LIKELY, HIGH))
        return Band(min(low, likely, high), likely, max(low, likely, high))

    def share_lost(self, *species_ids: str, way: str = "method", rate: int = LIKELY) -> float:
        """The same as a share of what was charged, 0 to 1."""
        there = self.charged_g(*species_ids)
        return min(1.0, self.lost_g(*species_ids, way=way, rate=rate) / there) if there > 0.0 else 0.0

    @property
    def losses(self) -> Losses:
        """The likely losses of the method as a recipe states them."""
        return Losses(self.share_lost(*ALCOHOLS), self.share_lost("water"))

    @property
    def minutes(self) -> float:
        """How long all steps take, one after another."""
        return self.legs[-1].end_min if self.legs else 0.0


def course_of(recipe: Recipe, sheet: Sheet, masses_g: Array, air: Around) -> Course:
    """Follow the pot through the steps of the method (the usual ones where the maker wrote none).

    `masses_g` (L,) are the grams of the lines. What a step does not say (time, temperature) is that of the usual step
    of its stage. A stage without a step of its own is stirred in at the next step.
    """
    wanted = _steps(recipe, sheet)
    stage_pots = _stage_pots(sheet, masses_g)
    charged = stage_pots[STAGES[-1]]
    lost = np.zeros((len(charged), 3 * len(WAYS)))
    walk = _Walk(recipe.kettle, sheet.basis, air)
    legs: list[Leg] = []
    start = 0.0
    for row, (step, assumed) in enumerate(wanted):
        stage = STAGES[-1] if row == len(wanted) - 1 else _reached(wanted, row)
        leg = walk.leg(step, assumed, start, stage_pots[stage][:, None] - lost)
        lost += leg.before - leg.after
        legs.append(leg)
        start = leg.end_min
    return Course(tuple(legs), charged, charged[:, None] - lost)


def _steps(recipe: Recipe, sheet: Sheet) -> list[tuple[MethodStep, tuple[str, ...]]]:
    lines_of: dict[Stage, tuple[str, ...]] = {}
    for line in sheet.lines:
        lines_of[line.stage] = (*lines_of.get(line.stage, ()), line.key)
    return [_filled(step) for step in recipe.method or usual_steps(lines_of)]


def _filled(step: MethodStep) -> tuple[MethodStep, tuple[str, ...]]:
    """A step with its time and temperature, and which of them were not said."""
    usual = max(USUAL[step.stage], key=lambda one: one.covered == step.covered)
    assumed = tuple(
        name for name, value in (("time", step.minutes), ("temperature", step.temperature_c)) if value is None
    )
    return replace(
        step,
        minutes=usual.minutes if step.minutes is None else step.minutes,
        temperature_c=usual.temperature_c if step.temperature_c is None else step.temperature_c,
    ), assumed


def _reached(wanted: list[tuple[MethodStep, tuple[str, ...]]], row: int) -> Stage:
    """The furthest stage of which everything is in the pot at a step."""
    return max((step.stage for step, _ in wanted[: row + 1]), key=STAGES.index)


def _stage_pots(sheet: Sheet, masses_g: Array) -> dict[Stage, Array]:
    """The pot (S,) in g with everything up to each stage in it, reacted."""
    out: dict[Stage, Array] = {}
    pot = sheet.basis.zeros()
    for stage in STAGES:
        if any(line.stage == stage for line in sheet.lines):
            upto = STAGES[: STAGES.index(stage) + 1]
            there = np.array([line.stage in upto for line in sheet.lines], dtype=bool)
            pot = cook(sheet, np.where(there, masses_g, 0.0))
        out[stage] = pot
    return out


@dataclass(frozen=True, slots=True, eq=False)
class _Walk:
    """What stays the same from step to step."""

    kettle: Kettle
    basis: Basis
    around: Around

    def leg(self, step: MethodStep, assumed: tuple[str, ...], start_min: float, before: Array) -> Leg:
        """One step run in all ways at once."""
        after, boils = before.copy(), False
        trail_min, trail_g = np.array([0.0, step.minutes or 0.0]), np.repeat(before[_ROWS, LIKELY][None], 2, axis=0)
        covered = np.repeat([step.covered, True, False], 3)
        volatile = float(sum(before[ROW[name]].max() for name in VOLATILE))
        if not step.minutes or volatile <= 1e-6 * max(1.0, float(before[:, 0].sum())):
            return Leg(step, assumed, start_min, before, after, trail_min, trail_g, boils)
        try:
            gone = self._evaporated(step, before, covered)
        except OutOfRange as error:
            return Leg(step, assumed, start_min, before, after, trail_min, trail_g, boils, error.what)
        after[_ROWS] = gone.left_g
        boils = bool(np.any(gone.boils[: len(WAYS)]))
        return Leg(step, assumed, start_min, before, after, gone.minutes, gone.trail_g[:, :, LIKELY], boils)

    def _evaporated(self, step: MethodStep, pots: Array, covered: NDArray[np.bool_]) -> Evaporation:
        """What leaves (S, 9) pots of which some are covered."""
        filled_ml = volume_ml(self.basis, pots[:, LIKELY])[1]
        lid, bare = (opening_of(self.kettle, filled_ml, covered=yes) for yes in (True, False))
        learnt, (small, large) = self.around.learnt, area_span(self.kettle)
        under_lid = (learnt.covered.low, learnt.covered.factor, learnt.covered.high)
        in_the_open = (learnt.open.low * small, learnt.open.factor, learnt.open.high * large)
        return evaporate(
            pots[_ROWS],
            liquid_of_pot(self.basis, pots),
            step.minutes or 0.0,
            step.temperature_c or 0.0,
            [lid if one else bare for one in covered],
            self.around.air,
            factor=np.where(covered, np.tile(under_lid, len(WAYS)), np.tile(in_the_open, len(WAYS))),
        )


def opening_of(kettle: Kettle, contents_ml: float, *, covered: bool) -> Opening:
    """The kettle's mouth, with the head space above its contents (of a very high kettle its upper two metres)."""
    height_m = kettle.height_mm / 1000.0
    filled = min(1.0, contents_ml / kettle.volume_ml)
    above_m = min(2.0, max(0.01, height_m * (1.0 - filled)))
    return Opening(kettle.diameter_mm / 1000.0, covered=covered, headspace_m=above_m)
