"""Syrup for a recipe: cooked, boiled down, strained, and checked by weight or by its °Brix before it goes in.

°Brix is sucrose in % of the mass. What stays on pan and strainer has the strength of the syrup, so it costs syrup but
changes none of the figures.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from kettleglass.cook.around import Around
from kettleglass.errors import BadInput, Finding, OutOfRange
from kettleglass.recipe.work import Worked
from kettleglass.science.heat.syrup import syrup_boiling_c
from kettleglass.science.syrup import SOLUBILITY_SOURCE, sucrose_saturation_temperature_c

WEAKEST_BRIX, STRONGEST_BRIX = 10.0, 85.0
FILM_SHARE, LEAST_FILM_G = 0.03, 10.0
"""What stays on pan and strainer: 3 % of the syrup, 10 g at least (common practice, no source)."""
SPARE_WATER = 0.25
"""Water taken beyond what the syrup keeps, as a share of that, so that the sugar dissolves before it boils down."""
LATENT_J_G = 2257.0
"""Heat that boils off a gram of water at 100 °C (IAPWS)."""
_LEAST_DISSOLVED_BRIX = 64.447
"""A syrup weaker than this stays clear down to 0 °C (`kettleglass.science.syrup`)."""
DIFFERS_BRIX = 1.5
"""Weights and refractometer further apart than this contradict each other (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class SyrupToMake:
    """A syrup to cook: take `sugar_g` and `water_g`, boil off `boil_off_g`, until `cooked_g` are in the pan.

    `pan_shows_g` is pan and syrup together when done (None without the weight of the empty pan); `surplus_g` stays on
    pan and strainer. It starts to boil at `starts_c` and is done at `boils_c`; cooler than `crystals_below_c` it can
    crystallise (None: not above 0 °C).
    """

    wanted_g: float
    brix: float
    sugar_g: float
    water_g: float
    boil_off_g: float
    cooked_g: float
    surplus_g: float
    starts_c: float
    boils_c: float
    pan_shows_g: float | None
    crystals_below_c: float | None
    findings: tuple[Finding, ...] = ()


def syrup_to_make(
    wanted_g: float,
    brix: float,
    *,
    sugar_per_water: float | None = None,
    loss_g: float | None = None,
    tare_g: float | None = None,
    pressure_pa: float = 101_325.0,
    step_g: float = 1.0,
) -> SyrupToMake:
    """What to take for `wanted_g` of strained syrup of that °Brix, and how to know when it is done.

    Args:
        wanted_g: strained syrup in g, above 0.
        brix: % of sucrose by mass, 10 to 85.
        sugar_per_water: sugar to water at the start by mass; None: a quarter more water than the syrup keeps.
        loss_g: what stays on pan and strainer; None: 3 %, 10 g at least.
        tare_g: the empty pan, if it stands on a scale.
        pressure_pa: of the air.
        step_g: of the scale; sugar is rounded up to it, water too.

    Raises `OutOfRange` (°Brix, pressure) and `BadInput` (masses and ratios not above 0).
    """
    if not WEAKEST_BRIX <= brix <= STRONGEST_BRIX:
        raise OutOfRange("The strength of the syrup", brix, WEAKEST_BRIX, STRONGEST_BRIX, unit="°Brix")
    _masses(wanted_g, step_g, loss_g, tare_g)
    share = brix / 100.0
    surplus = max(LEAST_FILM_G, FILM_SHARE * wanted_g) if loss_g is None else loss_g
    sugar = _up((wanted_g + surplus) * share, step_g)
    cooked = sugar / share
    kept = cooked - sugar
    water, findings = _water(sugar, kept, sugar_per_water)
    water = _up(water, step_g)
    return SyrupToMake(
        wanted_g=wanted_g, brix=brix, sugar_g=sugar, water_g=water, boil_off_g=max(0.0, water - kept), cooked_g=cooked,
        surplus_g=cooked - wanted_g,
        starts_c=syrup_boiling_c(100.0 * sugar / (sugar + max(water, kept)), pressure_pa),
        boils_c=syrup_boiling_c(brix, pressure_pa),
        pan_shows_g=None if tare_g is None else tare_g + cooked,
        crystals_below_c=_crystals_c(share), findings=findings,
    )  # fmt: skip


def _masses(wanted_g: float, step_g: float, loss_g: float | None, tare_g: float | None) -> None:
    for name, value in (("The syrup wanted", wanted_g), ("The scale's step", step_g)):
        if not (math.isfinite(value) and 0.0 < value < 1e9):
            raise BadInput(f"{name} is {value:g} g.", remedy="Give a mass above 0 g.")
    for name, given in (("The loss on pan and strainer", loss_g), ("The empty pan", tare_g)):
        if given is not None and not (math.isfinite(given) and 0.0 <= given < 1e9):
            raise BadInput(f"{name} is {given:g} g.", remedy="Give a mass of 0 g or more, or leave it out.")


def _up(mass_g: float, step_g: float) -> float:
    return math.ceil(mass_g / step_g - 1e-9) * step_g


def _water(sugar_g: float, kept_g: float, sugar_per_water: float | None) -> tuple[float, tuple[Finding, ...]]:
    """Water to take; never less than what the syrup keeps."""
    if sugar_per_water is None:
        return kept_g * (1.0 + SPARE_WATER), ()
    if not (math.isfinite(sugar_per_water) and sugar_per_water > 0.0):
        raise BadInput(f"Sugar to water is {sugar_per_water:g}.", remedy="Give a ratio above 0, such as 2.")
    asked = sugar_g / sugar_per_water
    if asked >= kept_g * (1.0 - 1e-9):
        return asked, ()
    return kept_g, (
        Finding(
            "note", "syrup-starts-too-strong",
            f"Begun at {sugar_per_water:g} parts of sugar to one of water, the syrup is stronger than it is to be.",
            f"Take {kept_g:.0f} g of water, cover it, and boil nothing off.", "syrup",
        ),
    )  # fmt: skip


def _crystals_c(share: float) -> float | None:
    if 100.0 * share <= _LEAST_DISSOLVED_BRIX:
        return None
    return sucrose_saturation_temperature_c(min(share, 0.8265))


def syrup_of(worked: Worked, around: Around, *, tare_g: float | None = None) -> SyrupToMake | None:
    """The syrup that the syrup stage of a recipe asks for; None without sugar and water there, or for a stiff paste.

    Sugar and water may stand in one line or in several.
    """
    sugar, water = worked.grams_added("syrup", "sucrose"), worked.grams_added("syrup", "water")
    if sugar <= 0.0 or water <= 0.0:
        return None
    brix = 100.0 * sugar / (sugar + water)
    if not WEAKEST_BRIX <= brix <= STRONGEST_BRIX:
        return None
    scale = worked.recipe.scale
    return syrup_to_make(
        sugar + water, brix, tare_g=tare_g, pressure_pa=around.pressure_pa, step_g=scale.step_g
    )  # fmt: skip


def boil_down_minutes(to_make: SyrupToMake, power_w: float | None) -> float | None:
    """Minutes of boiling off at a power that really reaches the pan, in W; None where it is not known."""
    return to_make.boil_off_g * LATENT_J_G / power_w / 60.0 if power_w else None


@dataclass(frozen=True, slots=True)
class SyrupMade:
    """A syrup as it turned out: `syrup_g` in the pan at `brix`; `use_g` of it bring the sugar of the plan.

    `water_more_g` is the water that comes with it beyond the plan (negative: less). All None where the entries cannot
    be so; then `findings` say why, and the entries are kept.
    """

    syrup_g: float | None
    brix: float | None
    use_g: float | None
    water_more_g: float | None
    findings: tuple[Finding, ...]


def syrup_made(
    to_make: SyrupToMake,
    *,
    planned_sugar_g: float | None = None,
    before_g: float | None = None,
    now_g: float | None = None,
    tare_g: float | None = None,
    brix: float | None = None,
    strained_g: float | None = None,
    step_g: float = 1.0,
) -> SyrupMade:
    """How much of a cooked syrup to use, from two weights of the pan, from one and its tare, or from its °Brix.

    Args:
        to_make: what was taken, as `syrup_to_make` gave it.
        planned_sugar_g: sugar that the recipe wants; None: that of the syrup planned.
        before_g: pan with sugar and water, as it went on the stove.
        now_g: pan with the syrup.
        tare_g: the empty pan; with it `now_g` alone will do.
        brix: a refractometer's or hydrometer's reading; it goes before the weights.
        strained_g: what is left after straining, to see whether it is enough.
        step_g: of the scale.

    Impossible entries are answered with findings. Raises `BadInput` where nothing to go by is given.
    """
    by_weight, faults = _by_weight(to_make, before_g, now_g, tare_g, step_g)
    if brix is None and by_weight is None and not faults:
        raise BadInput(
            "There is nothing to go by.",
            remedy="Give the pan's weight before and after, its weight and its tare, or the °Brix.",
        )
    if brix is not None and not 0.0 < brix < 100.0:
        faults.append(_odd("brix-odd", f"{brix:g} °Brix is not possible.", "°Brix is sugar in %, such as 66.7."))
        brix = None
    found = by_weight if brix is None else to_make.sugar_g / brix * 100.0
    if found is None or any(fault.level == "danger" for fault in faults):
        return SyrupMade(None, None, None, None, tuple(faults))
    strength = 100.0 * to_make.sugar_g / found
    sugar = to_make.wanted_g * to_make.brix / 100.0 if planned_sugar_g is None else planned_sugar_g
    use = sugar / strength * 100.0
    more = (use - sugar) - sugar * (100.0 / to_make.brix - 1.0)
    faults += _doubts(to_make, by_weight, found, strength)
    faults += _short(use, found if strained_g is None else strained_g, step_g)
    return SyrupMade(found, strength, use, more, tuple(faults))


def _by_weight(
    to_make: SyrupToMake, before_g: float | None, now_g: float | None, tare_g: float | None, step_g: float
) -> tuple[float | None, list[Finding]]:
    """Syrup in the pan by the scale, and what cannot be so."""
    taken = to_make.sugar_g + to_make.water_g
    if now_g is None:
        return None, []
    if tare_g is not None:
        syrup = now_g - tare_g
    elif before_g is not None:
        syrup = taken - (before_g - now_g)
    else:
        return None, []
    if not math.isfinite(syrup):
        return None, [_odd("weight-odd", "That weight is not a number.", "Give what the scale shows, in g.")]
    if syrup > taken + 2.0 * step_g:
        return None, [
            _odd("syrup-gained", f"The pan gained {syrup - taken:.0f} g, which boiling down cannot do.",
                 "Was water added, was the spoon left in, or is a digit wrong?")
        ]  # fmt: skip
    if syrup <= to_make.sugar_g:
        return None, [
            _odd("syrup-lost-too-much", f"More has left than the {to_make.water_g:.0f} g of water that there was.",
                 "Was some poured off or spilt, or the pan weighed without its lid? Weigh again.")
        ]  # fmt: skip
    return syrup, []


def _odd(code: str, text: str, advice: str) -> Finding:
    return Finding("caution", code, text, advice, "syrup")


def _doubts(to_make: SyrupToMake, by_weight: float | None, found: float, strength: float) -> list[Finding]:
    """Weights against °Brix, and a syrup too strong to stay clear."""
    out = []
    weighed = None if by_weight is None else 100.0 * to_make.sugar_g / by_weight
    if weighed is not None and abs(weighed - strength) > DIFFERS_BRIX:
        out.append(
            Finding(
                "caution",
                "syrup-disagrees",
                f"By weight the syrup has {weighed:.1f} °Brix, by the reading {strength:.1f}.",
                "Cool the drop to 20 °C and read it again; the reading is used.",
                "syrup",
            )
        )
    if found > to_make.sugar_g + to_make.water_g:
        out.append(_odd("syrup-weaker-than-begun", f"{strength:.1f} °Brix is weaker than what was begun with.",
                        "Was water added? Boil it down further."))  # fmt: skip
    if strength > STRONGEST_BRIX:
        out.append(
            Finding(
                "caution",
                "syrup-too-strong",
                f"A syrup of {strength:.0f} °Brix is stronger than a hot one can hold without crystals.",
                "Stir in hot water down to the planned strength, and weigh again.",
                "syrup",
                SOLUBILITY_SOURCE,
            )
        )
    return out


def _short(use_g: float, there_g: float, step_g: float) -> list[Finding]:
    if use_g <= there_g + step_g:
        return []
    return [
        Finding(
            "caution", "syrup-short", f"{use_g:.0f} g would be needed, and there are {there_g:.0f} g.",
            f"Use all of it and {use_g - there_g:.0f} g less than planned, or cook a little more.", "syrup",
        )
    ]  # fmt: skip
