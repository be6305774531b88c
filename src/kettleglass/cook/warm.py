"""Warming and cooling of the pot: how long, with the heater or water bath of the place. Bands: low, likely, high."""

from __future__ import annotations

import math
from dataclasses import dataclass

from kettleglass.cook.around import Around
from kettleglass.cook.course import LIKELY, Course
from kettleglass.recipe.recipe import Kettle
from kettleglass.recipe.work import Worked
from kettleglass.science.basis import Array, Basis
from kettleglass.science.heat.steam import boiling_water_c
from kettleglass.science.heat.warming import (
    Band,
    bath_minutes,
    cooling_minutes,
    heat_capacity_j_k,
    loss_w_k,
    pot_area_m2,
    vessel_j_k,
    warming_minutes,
    wetted_area_m2,
)
from kettleglass.science.volume import volume_ml

KETTLE_G_M2 = 6000.0
"""Steel of a kettle that nobody has weighed: a pot of 22 cm weighs about 1 kg (assumed)."""
MELTING_J_G = Band(100.0, 150.0, 200.0)
"""What melting takes for each gram of saturated chains: tristearin some 200, coconut oil 105 (handbooks, recalled)."""
HEATER_SHARE = Band(0.5, 0.65, 0.8)
"""Part of a heater's power that reaches the pot (common practice, no source)."""
BATH_C = 95.0
"""A water bath just below boiling."""


def kettle_j_k(kettle: Kettle) -> float:
    """Heat capacity of the kettle in J/K, weighed or else by its size."""
    radius_m, height_m = kettle.diameter_mm / 2000.0, kettle.height_mm / 1000.0
    usual_g = KETTLE_G_M2 * math.pi * radius_m * (radius_m + 2.0 * height_m)
    return vessel_j_k(usual_g if kettle.mass_g is None else kettle.mass_g, kettle.metal)


@dataclass(frozen=True, slots=True)
class Change:
    """Minutes from one temperature to another; None with the reason where it cannot be said or reached."""

    from_c: float
    to_c: float
    minutes: Band | None
    why: str = ""


def warm_up(worked: Worked, course: Course, around: Around) -> Change | None:
    """Warming what is in the pot first from the room's temperature, melting included; None for an empty course."""
    leg = next((leg for leg in course.legs if float(leg.before[:, LIKELY].sum()) > 0.0), None)
    if leg is None or leg.step.temperature_c is None:
        return None
    return warming_of(worked, leg.before[:, LIKELY], worked.recipe.place.room_c, leg.step.temperature_c, around)


def warming_of(worked: Worked, pot: Array, from_c: float, to_c: float, around: Around) -> Change:
    """Warming a pot (S,) in the recipe's kettle with the water bath or heater of its place."""
    place, kettle, basis = worked.recipe.place, worked.recipe.kettle, worked.sheet.basis
    if to_c <= from_c:
        return Change(from_c, to_c, Band(0.0, 0.0, 0.0))
    capacities = warm_j_k(basis, pot, kettle, from_c, to_c)
    millilitres = volume_ml(basis, pot)[1]
    if place.heating == "water bath":
        return bath_change(capacities, wetted_area_m2(millilitres, kettle.diameter_mm), from_c, to_c, _bath_c(around))
    if place.heater_w is None:
        return Change(from_c, to_c, None, "The heater's power is not given.")
    loss = loss_w_k(pot_area_m2(millilitres, kettle.diameter_mm))
    fast, likely, slow = (
        warming_minutes(j_k, from_c, to_c, place.heater_w * share, room_c=place.room_c, loss_w_k=w_k)
        for j_k, share, w_k in zip(capacities, reversed(HEATER_SHARE), loss, strict=True)
    )
    if fast is None or likely is None or slow is None:
        return Change(from_c, to_c, None, f"A heater of {place.heater_w:g} W may not get it there.")
    return Change(from_c, to_c, Band(fast, likely, slow))


def _bath_c(around: Around) -> float:
    return min(BATH_C, boiling_water_c(around.pressure_pa) - 3.0)


def warm_j_k(basis: Basis, pot: Array, kettle: Kettle, from_c: float, to_c: float) -> Band:
    """Heat for each kelvin of warming a pot with its kettle, melting spread over the way, in J/K."""
    middle = min(120.0, max(0.0, 0.5 * (from_c + to_c)))
    still = float(heat_capacity_j_k(basis, pot, middle)) + kettle_j_k(kettle)
    solid = sum(
        float(pot[basis.index[f"{form}.{acid}"]]) for acid in basis.acids for form in ("acyl", "acid")
        if ":0" in acid and int(acid.split(":")[0]) >= 12
    ) if from_c < 40.0 < to_c else 0.0  # fmt: skip
    return Band(*(still + solid * joules / (to_c - from_c) for joules in MELTING_J_G))


def bath_change(capacities: Band, area_m2: float, from_c: float, to_c: float, bath_c: float) -> Change:
    """Warming in a water bath held at `bath_c`; `capacities` are with the vessel, in J/K."""
    fast, likely, slow = (bath_minutes(j_k, from_c, to_c, bath_c, area_m2) for j_k in capacities)
    if fast is None or likely is None or slow is None:
        return Change(from_c, to_c, None, f"A water bath of {bath_c:.0f} °C does not bring it to {to_c:.0f} °C.")
    return Change(from_c, to_c, Band(fast.low, likely.likely, slow.high))


def cool_down(worked: Worked, course: Course) -> Change | None:
    """Cooling from the step before the last to the temperature of the last, the pour; None where it does not cool."""
    if len(course.legs) < 2:
        return None
    before, last = course.legs[-2], course.legs[-1]
    from_c, to_c = before.step.temperature_c, last.step.temperature_c
    if from_c is None or to_c is None or to_c >= from_c:
        return None
    basis, kettle, pot = worked.sheet.basis, worked.recipe.kettle, last.before[:, LIKELY]
    if float(pot.sum()) <= 0.0:
        return None
    capacity = float(heat_capacity_j_k(basis, pot, min(120.0, max(0.0, from_c)))) + kettle_j_k(kettle)
    area = pot_area_m2(volume_ml(basis, pot)[1], kettle.diameter_mm)
    minutes = cooling_minutes(capacity, from_c, to_c, worked.recipe.place.room_c, area)
    why = "" if minutes is not None else "The room is warmer than that."
    return Change(from_c, to_c, minutes, why)
