"""The cook against time: how warm the pot is, what of it is alcohol and water, where it boils and where it flashes.

Within a step the pot is held at one temperature; between two steps it jumps as things go in, so both ends are points.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kettleglass.cook.around import Around
from kettleglass.cook.boil import TRACE
from kettleglass.cook.course import HIGH, LIKELY, LOW, Course, Leg, column
from kettleglass.errors import OutOfRange
from kettleglass.recipe.leaving import ALCOHOLS
from kettleglass.recipe.work import Worked
from kettleglass.science.basis import Array
from kettleglass.science.fire import flash_of
from kettleglass.science.heat.boiling import boiling_band
from kettleglass.science.heat.liquid import liquid_of_pot
from kettleglass.science.heat.vapour import COMPONENTS
from kettleglass.science.heat.warming import Band
from kettleglass.science.pot import ROW

MOST_POINTS = 7
"""Points of one step."""
_COMPONENT_ROWS = np.array([ROW[name] for name in COMPONENTS], dtype=np.intp)
_ALCOHOL_ROWS = [ROW[name] for name in ALCOHOLS]


@dataclass(frozen=True, slots=True)
class TrailPoint:
    """One moment: minutes from the first thing begun, the step, its temperature, shares of the pot in %.

    `boils_c` and `flash_c` are None without alcohol in the pot, or where the model does not hold.
    """

    minute: float
    step: int
    temperature_c: float
    covered: bool
    alcohol_percent: Band
    water_percent: float
    boils_c: Band | None
    flash_c: float | None


def trail_of(worked: Worked, course: Course, around: Around, *, waits_min: float = 0.0) -> tuple[TrailPoint, ...]:
    """The course as points in the order of time; `waits_min` is how long the first step waits."""
    legs = [(number, leg, *_pots(leg)) for number, leg in enumerate(course.legs, 1)]
    if not legs:
        return ()
    pots = np.concatenate([likely for *_, likely, _ in legs], axis=1)
    limits = _limits(worked, pots, around)
    out: list[TrailPoint] = []
    for number, leg, minutes, likely, alcohol in legs:
        for place, minute in enumerate(minutes):
            boils_c, flash_c = limits[len(out)]
            out.append(
                TrailPoint(
                    float(minute) + waits_min,
                    number,
                    leg.step.temperature_c or 0.0,
                    leg.step.covered,
                    Band(*(float(value) for value in alcohol[:, place])),
                    _percent(likely[:, place], [ROW["water"]]),
                    boils_c,
                    flash_c,
                )
            )
    return tuple(out)


def _percent(pot: Array, rows: list[int]) -> float:
    whole = float(pot.sum())
    return 100.0 * float(pot[rows].sum()) / whole if whole > 0.0 else 0.0


def _pots(leg: Leg) -> tuple[Array, Array, Array]:
    """Minutes (T,), the likely pots (S, T) along a step, and the alcohol in % (3, T): low, likely, high."""
    here = np.unique(np.linspace(0, len(leg.trail_min) - 1, MOST_POINTS).astype(int))
    since = leg.trail_min[here]
    likely = np.repeat(leg.before[:, [LIKELY]], len(here), axis=1)
    likely[_COMPONENT_ROWS] = leg.trail_g[here].T
    gone = since / leg.minutes if leg.minutes > 0.0 else np.zeros(len(here))
    alcohol = np.zeros((3, len(here)))
    for end, rate in enumerate((HIGH, LIKELY, LOW)):
        at = column("method", rate)
        ends = [_percent(pot[:, at], _ALCOHOL_ROWS) for pot in (leg.before, leg.after)]
        alcohol[end] = ends[0] + (ends[1] - ends[0]) * gone
    alcohol[1] = [_percent(likely[:, place], _ALCOHOL_ROWS) for place in range(len(here))]
    alcohol[0], alcohol[2] = np.minimum(alcohol[0], alcohol[1]), np.maximum(alcohol[2], alcohol[1])
    return leg.start_min + since, likely, alcohol


Limits = tuple[Band | None, float | None]


def _limits(worked: Worked, pots: Array, around: Around) -> list[Limits]:
    """Bubble and flash points of pots (S, T); None for those without alcohol, or beyond what the model holds for."""
    out: list[Limits] = [(None, None)] * pots.shape[1]
    wet = np.flatnonzero(pots[_ALCOHOL_ROWS].sum(axis=0) > TRACE * np.maximum(pots.sum(axis=0), 1e-9))
    for row, found in zip(wet, _wet_limits(worked, pots[:, wet], around), strict=True):
        out[row] = found
    return out


def _wet_limits(worked: Worked, pots: Array, around: Around) -> list[Limits]:
    """All at once; where one of them is out of range, by halves until that one is alone."""
    count = pots.shape[1]
    if count == 0:
        return []
    basis = worked.sheet.basis
    try:
        bands = np.stack(boiling_band(basis, pots, around.pressure_pa), axis=1)
        flashes = np.atleast_1d(flash_of(liquid_of_pot(basis, pots)))
    except OutOfRange:
        if count == 1:
            return [(None, None)]
        half = count // 2
        return _wet_limits(worked, pots[:, :half], around) + _wet_limits(worked, pots[:, half:], around)
    return [
        (Band(*(float(value) for value in band)), None if np.isnan(point) else float(point))
        for band, point in zip(bands, flashes, strict=True)
    ]
