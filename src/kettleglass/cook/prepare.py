"""What is made ready beside the pot: lye, premix, syrup. Each ends when it is needed, so that it overlaps the steps.

Syrup is cooked and off the stove before the alcohol is opened: two things that nobody does at once.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from kettleglass.cook.adding import Adding
from kettleglass.cook.heat import LyeOfCook
from kettleglass.cook.syrup import SyrupToMake, boil_down_minutes
from kettleglass.recipe.method import ALCOHOL_CODES, CAUTION, LYE_CODES, Caution
from kettleglass.recipe.place import Place

Code = Literal["lye", "premix", "syrup"]
MIX_LYE_MIN = 10.0
MEASURE_PREMIX_MIN = 5.0
DISSOLVE_SYRUP_MIN = 15.0
STRAIN_SYRUP_MIN = 5.0
"""Times of the hand work (common practice, no source)."""
USUAL_SIMMER_W = 800.0
"""Power that reaches a small pan on a stove (assumed, where none is given)."""
HEATER_TO_PAN = 0.65


@dataclass(frozen=True, slots=True)
class WeighLine:
    """One line to weigh, in g to the step of its scale."""

    key: str
    name: str
    grams: float
    step_g: float


@dataclass(frozen=True, slots=True)
class Preparation:
    """Something made ready for a step: from `start_min` to `end_min` on the plan's clock, with its lines and cautions.

    `hands_min` of it are hand work; the rest waits or warms by itself.
    """

    code: Code
    does: str
    for_step: int
    start_min: float
    end_min: float
    hands_min: float
    target_c: float | None
    weigh: tuple[WeighLine, ...]
    look_for: tuple[str, ...]
    cautions: tuple[Caution, ...]

    @property
    def minutes(self) -> float:
        """How long it takes."""
        return self.end_min - self.start_min


@dataclass(frozen=True, slots=True)
class Timing:
    """Minutes of the whole: one thing after another, with what overlaps, and what that saves."""

    one_after_another_min: float
    total_min: float
    saved_min: float


def of_lye(lye: LyeOfCook, for_step: int, starts_min: float, weigh: tuple[WeighLine, ...]) -> Preparation:
    """Mixing the lye and letting it cool to the fats' temperature, done when the step starts."""
    cools = 0.0 if lye.to_fats_min is None else lye.to_fats_min.likely
    mixed = lye.heat
    looks = [
        f"It gets about {_degrees(*mixed.reached_c)} hot by itself and boils at {mixed.boils_at_c:.0f} °C.",
        "It is ready when it is clear and nothing lies on the bottom.",
    ]
    if mixed.crystals_below_c > 0.0:
        looks.append(f"Crystals come out below about {mixed.crystals_below_c:.0f} °C.")
    return Preparation(
        "lye",
        "Stir the alkali into its cold water by spoonfuls; let the lye clear"
        + (f" and cool to {lye.use_c:.0f} °C." if cools > 0.5 else "."),
        for_step, starts_min - MIX_LYE_MIN - cools, starts_min, MIX_LYE_MIN, lye.use_c, weigh, tuple(looks),
        tuple(CAUTION[code] for code in LYE_CODES),
    )  # fmt: skip


def of_premix(found: Adding, for_step: int, starts_min: float, weigh: tuple[WeighLine, ...]) -> Preparation:
    """Measuring and warming the premix in a vented vessel in a water bath, done when the step starts."""
    warmed = found.ways[1]
    bath = None if warmed.warm_premix is None else warmed.warm_premix.minutes
    waits = 0.0 if bath is None else bath.likely
    limit = found.limits.premix
    boils = () if limit is None else (f"It boils at {_degrees(limit.low_c, limit.likely_c, limit.high_c)}.",)
    mix = f"Stir {' and '.join(found.keys)} together. " if len(found.keys) > 1 else ""
    return Preparation(
        "premix",
        f"{mix}Warm it to {warmed.premix_c:.0f} °C in a bath of hot water, off every flame, covered but vented; never"
        " tightly wrapped, never between electric pads. Or leave it cool, and warm the pot again afterwards.",
        for_step, starts_min - MEASURE_PREMIX_MIN - waits, starts_min, MEASURE_PREMIX_MIN, warmed.premix_c, weigh,
        boils, tuple(CAUTION[code] for code in ALCOHOL_CODES if code != "alcohol-adding"),
    )  # fmt: skip


def of_syrup(
    syrup: SyrupToMake, for_step: int, ends_min: float, weigh: tuple[WeighLine, ...], place: Place
) -> Preparation:  # fmt: skip
    """Cooking, boiling down and straining the syrup, done before the alcohol is opened."""
    power = USUAL_SIMMER_W if place.heater_w is None else place.heater_w * HEATER_TO_PAN
    boils = boil_down_minutes(syrup, power) or 0.0
    hands = DISSOLVE_SYRUP_MIN + STRAIN_SYRUP_MIN
    shows = "" if syrup.pan_shows_g is None else f" Pan and syrup then weigh {syrup.pan_shows_g:.0f} g."
    looks = [
        f"Done at {syrup.brix:.1f} °Brix: it boils at {syrup.boils_c:.1f} °C.",
        f"Done, {syrup.cooked_g:.0f} g are left in the pan.{shows}",
        f"{syrup.surplus_g:.0f} g of it stay on pan and strainer.",
    ]
    if syrup.crystals_below_c is not None:
        looks.append(f"Cooler than {syrup.crystals_below_c:.0f} °C it can crystallise: keep it covered and hot.")
    return Preparation(
        "syrup",
        f"Dissolve {syrup.sugar_g:.0f} g of sugar in {syrup.water_g:.0f} g of water, boil off {syrup.boil_off_g:.0f} g,"
        " strain, cover. Stove off before the alcohol is opened.",
        for_step, ends_min - hands - boils, ends_min, hands, syrup.boils_c, weigh, tuple(looks),
        (CAUTION["syrup-hot"],),
    )  # fmt: skip


def timing_of(course_min: float, made: tuple[Preparation, ...]) -> tuple[Timing, float]:
    """The timing, and by how many minutes the first step waits so that everything is ready in time."""
    waits = max([0.0, *(-one.start_min for one in made)])
    total = course_min + waits
    apart = course_min + sum(one.minutes for one in made)
    return Timing(apart, total, max(0.0, apart - total)), waits


def _degrees(low_c: float, likely_c: float, high_c: float) -> str:
    return f"{likely_c:.0f} °C ({low_c:.0f} to {high_c:.0f})"
