"""Vapour into the room: how fast it leaves the pot once the lid is off, and the fresh air that keeps within limits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from kettleglass.cook.around import Around, area_span
from kettleglass.cook.boil import Boiling, HotStep
from kettleglass.cook.course import LIKELY, opening_of
from kettleglass.errors import OutOfRange
from kettleglass.recipe.leaving import ALCOHOLS
from kettleglass.recipe.work import Worked
from kettleglass.science.fire import LIMITS, Limit, airflow_m3_per_h, room_fraction_of_lel, room_ppm
from kettleglass.science.heat.evaporation import rate_g_per_s
from kettleglass.science.heat.liquid import liquid_of_pot
from kettleglass.science.heat.vapour import COMPONENTS
from kettleglass.science.pot import ROW
from kettleglass.science.volume import volume_ml

MIXING_FACTOR = 3.0
"""Fresh air never mixes perfectly: factors of 3 to 10 are usual (ACGIH, Industrial Ventilation, recalled)."""
ROOM_MINUTES = 30.0
"""How long the lid is taken to be off when a room's own build-up is worked out."""


@dataclass(frozen=True, slots=True)
class Release:
    """Alcohol vapour in g/min while the lid is off: low, likely, high; `species` is the alcohol there is most of.

    `each_g_min` is the likely rate of every alcohol, `there_g` what the pot holds of it: no more than that can leave.
    """

    species: str
    low_g_min: float
    likely_g_min: float
    high_g_min: float
    step_text: str
    each_g_min: Mapping[str, float]
    there_g: Mapping[str, float]
    pressure_pa: float = 101_325.0

    def flow_m3_h(self, limit: Limit) -> float:
        """Fresh air for the likely rate: the flows of all alcohols together, as their limits are shared (Le Chatelier's
        rule for explosive limits, the additive formula of ACGIH for exposure)."""
        return sum(
            airflow_m3_per_h(rate, name, limit, MIXING_FACTOR, pressure_pa=self.pressure_pa)
            for name, rate in self.each_g_min.items()
        )


@dataclass(frozen=True, slots=True)
class RoomAir:
    """Air for one release: flows in m3/h for 10 % and 25 % of the lower explosive limit and for the exposure limit.

    `share_of_lel` and `ppm` are averages of the whole room after half an hour of open pot; None without its size.
    """

    release: Release
    lel_10_m3_h: float
    lel_25_m3_h: float
    exposure_m3_h: float
    share_of_lel: float | None
    ppm: float | None


def room_air(worked: Worked, boiling: Boiling, air: Around) -> RoomAir | None:
    """The air that the most vapour-laden step needs while its lid is off; None without alcohol in a hot pot."""
    found = [_release(worked, step, air) for step in boiling.steps if not step.leg.unsaid]
    releases = [one for one in found if one is not None]
    if not releases:
        return None
    place = worked.recipe.place
    most = max(releases, key=lambda one: one.flow_m3_h("lel_25"))
    flows = [most.flow_m3_h(limit) for limit in LIMITS]
    share = ppm = None
    if place.room_m3 is not None:
        share, ppm = _room(most, place.room_m3, place.airflow_m3_h or 0.0)
    return RoomAir(most, flows[0], flows[1], flows[2], share, ppm)


def _room(release: Release, room_m3: float, airflow_m3_h: float) -> tuple[float, float]:
    """The room after half an hour: share of the explosive limit and ppm, of all alcohols; what is gone has gone."""
    share = ppm = 0.0
    for name, rate in release.each_g_min.items():
        minutes = min(ROOM_MINUTES, release.there_g[name] / rate) if rate > 0.0 else 0.0
        there = (rate, minutes, room_m3, airflow_m3_h)
        pressure_pa = release.pressure_pa
        share += room_fraction_of_lel(*there, species=name, mixing_factor=MIXING_FACTOR, pressure_pa=pressure_pa)
        ppm += room_ppm(*there, species=name, mixing_factor=MIXING_FACTOR, pressure_pa=pressure_pa)
    return share, min(1e6, ppm)


def _release(worked: Worked, step: HotStep, air: Around) -> Release | None:
    """The rate as a step starts, with the lid off; None where the model does not hold for it."""
    basis, pot = worked.sheet.basis, step.leg.before[:, LIKELY]
    liquid = liquid_of_pot(basis, np.repeat(pot[:, None], 3, axis=1))
    small, large = area_span(worked.recipe.kettle)
    learnt = air.learnt.open
    factors = np.array([learnt.low * small, learnt.factor, learnt.high * large])
    try:
        mouth = opening_of(worked.recipe.kettle, volume_ml(basis, pot)[1], covered=False)
        rate = 60.0 * rate_g_per_s(liquid, step.temperature_c, mouth, air.air, factors)
    except OutOfRange:
        return None
    rows = [COMPONENTS.index(name) for name in ALCOHOLS]
    species = ALCOHOLS[int(np.argmax(rate[rows, 1]))]
    low, likely, high = (float(grams) for grams in rate[rows].sum(axis=0))
    each = {name: float(rate[row, 1]) for name, row in zip(ALCOHOLS, rows, strict=True) if rate[row, 1] > 0.0}
    there = {name: float(pot[ROW[name]]) for name in each}
    return Release(species, low, likely, high, step.leg.step.text, each, there, air.pressure_pa)
