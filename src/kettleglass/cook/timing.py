"""How fast a pot of this size warms and cools, and how hot its own reaction makes it: heat that goes with the size.

A pot's heat grows with its mass, its surface only with the two-thirds power: ten kilograms keep what a pound loses.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from kettleglass.cook.around import Around
from kettleglass.cook.boil import Boils
from kettleglass.cook.course import Course
from kettleglass.cook.warm import Change, kettle_j_k, warming_of
from kettleglass.errors import BadInput, OutOfRange
from kettleglass.recipe.leaving import ALCOHOLS
from kettleglass.recipe.method import HOLD_C
from kettleglass.recipe.recipe import Kettle, Stage
from kettleglass.recipe.work import Worked
from kettleglass.science import pot as pots
from kettleglass.science.basis import Array, Basis
from kettleglass.science.heat.boiling import MODEL_K, boiling_of
from kettleglass.science.heat.liquid import Treatment, liquid_of_pot
from kettleglass.science.heat.reaction import rise_k, step_heat_j
from kettleglass.science.heat.vapour import HIGHEST_C
from kettleglass.science.heat.warming import (
    COLDEST_C,
    HOTTEST_C,
    Band,
    cooling_minutes,
    heat_capacity_j_k,
    loss_w_k,
    pot_area_m2,
    temperature_after_c,
)
from kettleglass.science.pot import ROW
from kettleglass.science.volume import volume_ml

SPARE_K = 3.0
"""What a kitchen thermometer and an unstirred spot may be off (common practice, no source)."""
TREATMENTS: tuple[Treatment, ...] = ("low", "central", "high")
_LEAST_J, _SOME_ALCOHOL, _LIQUID_C = 1.0, 0.01, 35.0


@dataclass(frozen=True, slots=True)
class Exotherm:
    """The heat that fats and free fatty acids set free with the lye.

    `adiabatic_k` is the rise of the contents if no heat left, whatever the size; `reached_c` counts what kettle and
    room take meanwhile, from `start_c` on with the heater off, and ends where it boils. `boils` is the bubble point of
    what stands in the pot by then. With alcohol in it (`quick`) the reaction takes minutes, not an hour.
    """

    heat_kj: Band
    adiabatic_k: Band
    start_c: float
    reached_c: Band
    minutes: float
    boils: Boils | None
    quick: bool

    @property
    def may_boil(self) -> bool:
        """Whether the high end of the heat brings the pot to the low end of its bubble point."""
        return self.boils is not None and self.reached_c.high >= self.boils.low_c

    @property
    def start_at_most_c(self) -> float | None:
        """Where to begin so that not even the high end boils, with 3 K to spare; None where it boils is not known."""
        return None if self.boils is None else self.boils.low_c - self.adiabatic_k.high - SPARE_K

    @property
    def cooler(self) -> str:
        """How to begin so that it does not boil, in words; fats are solid below about 35 °C."""
        at_most_c = self.start_at_most_c
        if at_most_c is None or at_most_c < _LIQUID_C:
            return "No start that keeps the fats liquid is cool enough to take all of the lye at once"
        return f"Begin at {at_most_c:.0f} °C at most"


@dataclass(frozen=True, slots=True)
class Pace:
    """Warming and cooling, each with its minutes or why they cannot be said; None where there is nothing to warm.

    `melt`: the fats, from the room to their own step; `warm`: the whole pot, from the room to its hold; `cool`: from
    there to the pour, without a fan.
    """

    melt: Change | None
    warm: Change | None
    cool: Change | None


def exotherm(worked: Worked, course: Course, air: Around) -> Exotherm | None:
    """The heat of the stage in which fats meet the lye; None where nothing reacts there."""
    sheet, kettle = worked.sheet, worked.recipe.kettle
    charge = _charged(worked, "fats", "lye")
    heat = step_heat_j(sheet.basis, charge)
    if heat.high < _LEAST_J:
        return None
    pot = pots.react(sheet.basis, charge)
    start_c = held_c(course, "lye")
    contents = _contents_j_k(sheet.basis, pot, start_c)
    quick = float(pot[[ROW[name] for name in ALCOHOLS]].sum()) > _SOME_ALCOHOL * float(pot.sum())
    minutes = sum(leg.minutes for leg in course.legs if leg.step.stage in (("lye",) if quick else ("lye", "paste")))
    loss = loss_w_k(pot_area_m2(volume_ml(sheet.basis, pot)[1], kettle.diameter_mm))
    held, room_c = contents + kettle_j_k(kettle), worked.recipe.place.room_c
    boils = boils_of(sheet.basis, pot, air.pressure_pa)
    roof_c = math.inf if boils is None else boils.high_c
    ends = zip(heat, (loss.high, loss.likely, loss.low), strict=True)
    reached = [_reached_c((joules, held, w_k), start_c, minutes, room_c) for joules, w_k in ends]
    return Exotherm(
        heat_kj=Band(*(joules / 1000.0 for joules in heat)),
        adiabatic_k=rise_k(heat, contents),
        start_c=start_c,
        reached_c=Band(*(min(roof_c, end_c) for end_c in reached)),
        minutes=minutes,
        boils=boils,
        quick=quick,
    )


def _reached_c(end: tuple[float, float, float], start_c: float, minutes: float, room_c: float) -> float:
    """The warmest moment of a heat spread evenly over some minutes, never below the start; `end` is the heat in J, what
    a kelvin takes in J, and what the room takes in W for each kelvin."""
    heat_j, held_j_k, w_k = end
    if minutes <= 0.0:
        return start_c + heat_j / held_j_k
    power_w = heat_j / (60.0 * minutes)
    return max(start_c, temperature_after_c(held_j_k, start_c, minutes, power_w=power_w, room_c=room_c, loss_w_k=w_k))


def boils_of(basis: Basis, pot: Array, pressure_pa: float) -> Boils | None:
    """The bubble point of a pot (S,); None where nothing evaporates. Ends beyond the model's reach stand at it."""
    ends = [_boils_c(basis, pot, treatment, pressure_pa) for treatment in TREATMENTS]
    known = [end for end in ends if end is not None]
    if len(known) < len(ends):
        return None
    return Boils(min(known) - MODEL_K, known[1], min(HIGHEST_C, max(known) + MODEL_K))


def _boils_c(basis: Basis, pot: Array, treatment: Treatment, pressure_pa: float) -> float | None:
    try:
        return float(boiling_of(liquid_of_pot(basis, pot, treatment), pressure_pa).temperature_c)
    except OutOfRange:
        return HIGHEST_C
    except BadInput:
        return None


def pace(worked: Worked, course: Course, air: Around) -> Pace:
    """How long fats, pot and pour take in this kettle, with the heat at hand."""
    hold_c, pour_c = held_c(course, "clear", "syrup", "paste"), held_c(course, "finish", lowest=True)
    room_c, fats, pot = worked.recipe.place.room_c, _charged(worked, "fats"), worked.cooked
    return Pace(
        melt=warming_of(worked, fats, room_c, held_c(course, "fats"), air) if fats.any() else None,
        warm=warming_of(worked, pot, room_c, hold_c, air) if pot.any() else None,
        cool=_cooling(worked.sheet.basis, pot, worked.recipe.kettle, (hold_c, pour_c, room_c)) if pot.any() else None,
    )


def _cooling(basis: Basis, pot: Array, kettle: Kettle, way: tuple[float, float, float]) -> Change:
    """Cooling contents and kettle; `way` is from, to, and the room, in °C."""
    from_c, to_c, room_c = way
    held = _contents_j_k(basis, pot, from_c) + kettle_j_k(kettle)
    area = pot_area_m2(volume_ml(basis, pot)[1], kettle.diameter_mm)
    minutes = cooling_minutes(held, from_c, to_c, room_c, area)
    return Change(from_c, to_c, minutes, "" if minutes is not None else "The room is too warm for that.")


def _charged(worked: Worked, *stages: Stage) -> Array:
    """What the lines of some stages bring, unreacted, (S,) in g."""
    here = np.array([line.stage in stages for line in worked.sheet.lines], dtype=bool)
    return np.asarray(worked.sheet.compositions @ np.where(here, worked.weights.weighed_g, 0.0))


def _contents_j_k(basis: Basis, pot: Array, temperature_c: float) -> float:
    return float(heat_capacity_j_k(basis, pot, min(HOTTEST_C, max(COLDEST_C, temperature_c))))


def held_c(course: Course, *stages: Stage, lowest: bool = False) -> float:
    """The highest (or lowest) temperature of the steps of these stages; that of the usual hold where there is none."""
    held = [leg.step.temperature_c for leg in course.legs if leg.step.stage in stages]
    known = [value for value in held if value is not None]
    return (min(known) if lowest else max(known)) if known else HOLD_C
