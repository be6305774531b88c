"""The solvents going in: what is really poured, what it does to the temperature, and two ways to do it.

Rules and trade disagree on how hot the base may be as the alcohol goes in; both are shown, with reason and source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from kettleglass.cook.around import POUR_C, Around, pour_below_c
from kettleglass.cook.boil import Boiling, Boils, Premix
from kettleglass.cook.course import LIKELY, Course, Leg
from kettleglass.cook.warm import Change, bath_change, kettle_j_k, warming_of
from kettleglass.errors import Finding
from kettleglass.recipe.leaving import ALCOHOLS
from kettleglass.recipe.method import entering_at
from kettleglass.recipe.work import Worked
from kettleglass.science.basis import Array
from kettleglass.science.heat.boiling import bubble_point
from kettleglass.science.heat.warming import Band, heat_capacity_j_k, mixed_temperature_c, wetted_area_m2
from kettleglass.science.pot import ROW
from kettleglass.science.volume import volume_ml

PREWARMED_C = 60.0
"""Usual temperature of a premix that is warmed first (common practice, no source)."""
BELOW_BOILING_K = 10.0
"""A premix is warmed to so far below its own bubble point at most (assumed)."""
PREMIX_BATH_C = 70.0
"""Water for warming it, hot from the kettle and off the heat (common practice, no source)."""
HOT_SPOT_K = 3.0
"""What a thermometer and an unstirred spot may be off."""
ALCOHOL_WORDS = {"ethanol": "ethanol", "propan_2_ol": "propan-2-ol", "methanol": "methanol"}


@dataclass(frozen=True, slots=True)
class Practice:
    """What one school says of the base's temperature as alcohol goes in, in °C; None: no limit on that side."""

    kind: Literal["safety", "trade", "old book"]
    says: str
    low_c: float | None
    high_c: float | None
    reason: str
    source: str

    def holds(self, temperature_c: float) -> bool:
        """Whether a temperature keeps to it."""
        return (self.low_c is None or temperature_c >= self.low_c) and (
            self.high_c is None or temperature_c <= self.high_c
        )


PRACTICES = (
    Practice(
        "safety", "Heat off, and the base below about 70 °C, before the alcohol goes in.", None, 70.0,
        "Unmixed alcohol boils at 78.2 °C where it lands, and a hot bottom is hotter than the thermometer says.",
        "common practice, no source; ethanol boils at 78.2 °C (CRC Handbook)",
    ),
    Practice(
        "trade", "The base at 77 to 82 °C (170 to 180 °F) as the premix goes in, held there covered until clear.",
        77.0, 82.0, "A hot paste is thin: it takes the premix up without lumps and clears in half an hour.",
        "common practice, no source",
    ),
    Practice(
        "old book", "Kept at about 71 °C (160 °F) for about an hour until all is dissolved.", None, 71.0,
        "Below the alcohol's boiling point, with more patience.", "Thomssen, Soap-Making Manual (1922)",
    ),
    Practice(
        "old book", "The batch not above 77 °C once spirit is in it and while the syrup goes in.", None, 77.0,
        "Hotter, the spirit boils off.", "Simmons & Appleton, The Handbook of Soap Manufacture (1908)",
    ),
)  # fmt: skip
"""The rules and the trade do not agree; whoever goes by the hotter figures goes by the premix's own bubble point."""


@dataclass(frozen=True, slots=True)
class ThreeLimits:
    """The bubble point of what is poured in, that of the whole pot, and the flash points; None: none, or not known.

    `alcohol_c` is the boiling point of the alcohol alone at this pressure.
    """

    premix: Boils | None
    pot: Boils | None
    flash_c: float | None
    premix_flash_c: float | None
    alcohol: str
    alcohol_c: float


@dataclass(frozen=True, slots=True)
class Way:
    """One way to add: the premix's temperature, the mixed one, the drop, and what warming takes before and after."""

    name: Literal["cool", "warmed"]
    does: str
    premix_c: float
    mixed_c: float
    drop_k: float
    warm_premix: Change | None
    rewarm: Change


@dataclass(frozen=True, slots=True)
class Adding:
    """The solvents going in: the step's temperature, the limits, both ways, what the schools say, what to mind.

    `alcohol_boils` says whether the alcohol unmixed would boil where it lands, `premix_boils` whether the premix does;
    `pour_below_c` is the base's temperature below which it does not, hot spots allowed for (None: not known).
    """

    keys: tuple[str, ...]
    premix_g: float
    base_c: float
    limits: ThreeLimits
    alcohol_boils: bool
    premix_boils: bool
    pour_below_c: float | None
    ways: tuple[Way, Way]
    practices: tuple[Practice, ...]
    findings: tuple[Finding, ...]


def adding(
    worked: Worked, course: Course, boiling: Boiling, around: Around, *, prewarmed_c: float = PREWARMED_C
) -> Adding | None:
    """What happens as the premix goes in; None for a recipe without alcohol.

    `prewarmed_c` is what the premix is warmed to in the second way, 10 K below its bubble point at most.
    """
    premix = boiling.premix
    leg = None if premix is None else leg_of(course, premix)
    if premix is None or leg is None:
        return None
    alcohol, alcohol_c = _alcohol(premix, around)
    limits = ThreeLimits(premix.boils, boiling.boils, boiling.flash_c, premix.flash_c, alcohol, alcohol_c)
    base_c = leg.step.temperature_c or 0.0
    room_c = worked.recipe.place.room_c
    roof = prewarmed_c if premix.boils is None else premix.boils.low_c - BELOW_BOILING_K
    warmed_c = max(room_c, min(prewarmed_c, roof, base_c))
    pour_below = None if premix.boils is None else premix.boils.low_c - HOT_SPOT_K
    boils = premix.boils is not None and base_c >= premix.boils.low_c
    ways = (
        _way(worked, leg, premix, around, name="cool", premix_c=room_c),
        _way(worked, leg, premix, around, name="warmed", premix_c=warmed_c),
    )
    below_c = pour_below_c(_most(premix), around.pressure_pa)
    return Adding(
        premix.keys, float(premix.grams.sum()), base_c, limits, base_c >= alcohol_c, boils, pour_below, ways,
        tuple(_here(one, limits, below_c) for one in PRACTICES), tuple(_findings(limits, base_c, premix, below_c)),
    )  # fmt: skip


def _here(practice: Practice, limits: ThreeLimits, below_c: float) -> Practice:
    """A school's word at the pressure of the place: what is safe at sea level may boil alcohol up a mountain."""
    if practice.kind != "safety" or below_c >= POUR_C:
        return practice
    return replace(
        practice, says=f"Heat off, and the base below about {below_c:g} °C (70 °C at sea level), before the alcohol"
        " goes in.", high_c=below_c,
        reason=f"Unmixed {limits.alcohol} boils at {limits.alcohol_c:.1f} °C here, where it lands, and a hot bottom is"
        " hotter than the thermometer says.",
    )  # fmt: skip


def leg_of(course: Course, premix: Premix) -> Leg | None:
    """The step at which the premix goes in."""
    entering = entering_at(tuple(leg.step for leg in course.legs))
    return next((leg for leg, stages in zip(course.legs, entering, strict=True) if premix.stage in stages), None)


def _alcohol(premix: Premix, around: Around) -> tuple[str, float]:
    """The alcohol there is most of, and its boiling point alone at this pressure."""
    name = _most(premix)
    return ALCOHOL_WORDS[name], bubble_point({name: 1.0}, around.pressure_pa).temperature_c


def _most(premix: Premix) -> str:
    return max(ALCOHOLS, key=lambda one: float(premix.grams[ROW[one]]))


_DOES = {
    "cool": "Heat off, kettle away from the heater. Pour the premix in cool, in a thin stream, stirring under the"
    " half-lifted lid; cover, then warm again.",
    "warmed": "Warm the premix first in a bath of hot water, off every flame, in a vessel that is covered but can"
    " breathe; never tightly wrapped, never between electric pads. Heat off under the base, pour, stir, cover.",
}


def _way(
    worked: Worked, leg: Leg, premix: Premix, around: Around, *, name: Literal["cool", "warmed"], premix_c: float
) -> Way:  # fmt: skip
    basis, base_c = worked.sheet.basis, leg.step.temperature_c or 0.0
    pot = leg.before[:, LIKELY]
    base = np.maximum(pot - premix.grams, 0.0)
    held = float(heat_capacity_j_k(basis, base, _within(base_c))) + kettle_j_k(worked.recipe.kettle)
    brought = float(heat_capacity_j_k(basis, premix.grams, _within(premix_c)))
    mixed_c = mixed_temperature_c(held, base_c, brought, premix_c)
    warm = _warm_premix(worked, premix.grams, premix_c) if name == "warmed" else None
    return Way(
        name, _DOES[name], premix_c, mixed_c, base_c - mixed_c, warm, warming_of(worked, pot, mixed_c, base_c, around)
    )  # fmt: skip


def _within(temperature_c: float) -> float:
    return min(120.0, max(0.0, temperature_c))


def _warm_premix(worked: Worked, grams: Array, to_c: float) -> Change:
    """Warming it in a bath, in a vessel as high as it is wide."""
    from_c = worked.recipe.place.room_c
    if to_c <= from_c:
        return Change(from_c, to_c, Band(0.0, 0.0, 0.0))
    basis = worked.sheet.basis
    capacity = float(heat_capacity_j_k(basis, grams, _within(0.5 * (from_c + to_c))))
    millilitres = volume_ml(basis, grams)[1]
    area = wetted_area_m2(millilitres, 10.0 * (4.0 * millilitres / math.pi) ** (1.0 / 3.0))
    return bath_change(Band(capacity, capacity, capacity), area, from_c, to_c, max(PREMIX_BATH_C, to_c + 5.0))


def _findings(limits: ThreeLimits, base_c: float, premix: Premix, below_c: float) -> Iterator[Finding]:
    alone = len(premix.keys) == 1
    premix_c = None if limits.premix is None else limits.premix.low_c
    if base_c >= limits.alcohol_c and premix_c is not None and premix_c > base_c and not alone:
        yield Finding(
            "caution", "never-unmixed",
            f"{limits.alcohol.capitalize()} alone boils at {limits.alcohol_c:.1f} °C, and the base is at {base_c:g} °C:"
            f" poured in unmixed it boils where it lands. Mixed, {' + '.join(premix.keys)} boil from"
            f" {premix_c:.0f} °C.",
            "Stir them together first, and pour nothing of it unmixed.", "clear", "ethanol boils at 78.2 °C (CRC"
            " Handbook)",
        )  # fmt: skip
    if base_c > below_c:
        here = "" if below_c >= POUR_C else f" Here {limits.alcohol} alone boils at {limits.alcohol_c:.0f} °C already."
        yield Finding(
            "note", "adding-temperature",
            f"Safety practice has the base below about 70 °C as alcohol goes in; the trade adds at 77 to 82 °C. Yours"
            f" is at {base_c:g} °C.{here}",
            f"Let it fall below {below_c:g} °C with the heat off; it is warmed again under the lid.", "clear",
            "common practice, no source, both",
        )  # fmt: skip
