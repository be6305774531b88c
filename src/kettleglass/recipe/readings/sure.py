"""Readings of how sure the alkali is, and what a measurement says to add."""

from __future__ import annotations

from collections.abc import Iterator

from kettleglass.recipe.readings.reading import Reading, number_text
from kettleglass.recipe.readings.weights import fat_inputs, step_decimals
from kettleglass.recipe.trim import measured_trim, trim_acid_g
from kettleglass.recipe.work import Worked
from kettleglass.science.saponify import NAOH_G_MOL

GUIDE = "JCGM 101:2008 (random draws); JCGM 100:2008 (first-order budget)"


def chance_text(chance: float) -> str:
    """A chance as printed: whole per cent between 1 and 99, else “< 1” or “> 99”."""
    percent = 100.0 * chance
    return "< 1" if percent < 1.0 else "> 99" if percent > 99.0 else f"{percent:.0f}"


def sure_readings(worked: Worked) -> Iterator[Reading]:
    """Chance of free alkali, its band, its spread both ways, the superfat that cures it, the trim to set aside."""
    sure = worked.sure
    if sure is None:
        return
    _, inputs, sources, known = fat_inputs(worked)
    limits = worked.recipe.certainty.limits
    base = (
        f"{len(sure.samples)} random pots (seed {sure.seed}) of these weights; every figure is drawn within its"
        f" {limits}, every weighing within half a step of the scale."
    )
    yield Reading(
        "sure.chance",
        "chance of free alkali",
        100.0 * sure.chance_free_alkali,
        "%",
        f"{base} More than {sure.limit_percent:g} % NaOH was left in {chance_text(sure.chance_free_alkali)} of 100;"
        f" Monte Carlo error {100 * sure.chance_error:.1f} points.",
        inputs=inputs,
        sources=(*sources, GUIDE),
        known=known,
        decimals=0,
    )
    yield Reading(
        "sure.free_alkali",
        "free alkali less free fat",
        sure.median,
        "% NaOH",
        f"{base} Above 0 is free alkali, below 0 unsaponified fat; the band holds 9 pots in 10.",
        sure.low,
        sure.high,
        inputs,
        (*sources, GUIDE),
        known,
        2,
    )
    agree = "agree" if sure.first_order_agrees else "do not agree, so only the random pots count"
    yield Reading(
        "sure.spread",
        "standard uncertainty",
        sure.spread,
        "% NaOH",
        f"Random pots give {sure.spread:.3f}, the first-order budget {sure.first_order_spread:.3f}; they {agree}.",
        sources=(GUIDE,),
        decimals=3,
    )
    if sure.cure_superfat_percent is not None:
        target = 100 * worked.recipe.certainty.target_chance
        yield Reading(
            "sure.cure",
            "superfat that would be safe",
            max(0.0, sure.cure_superfat_percent),
            "%",
            f"At this superfat the same random pots keep more than {sure.limit_percent:g} % in {target:g} of 100.",
            sources=(GUIDE,),
        )
    yield Reading(
        "sure.trim",
        "stearic acid to set aside",
        trim_acid_g(worked, sure),
        "g",
        f"{max(0.0, sure.high):.2f} % NaOH (95 pots in 100 have less) of {float(worked.finished.sum()):.0f} g is"
        f" {sure.trim_mol(float(worked.finished.sum())) * NAOH_G_MOL:.2f} g NaOH; each gram takes 284.5 ÷ 40.0 g of"
        " stearic acid.",
        sources=(GUIDE,),
    )


def measured_readings(worked: Worked) -> Iterator[Reading]:
    """What a measured free alkali (signed, % NaOH) asks for: grams of the fatty acid or of the lye at hand."""
    measured, trim = worked.recipe.measured_free_alkali_percent, measured_trim(worked)
    if measured is None or trim is None:
        return
    total_g, dose = float(worked.finished.sum()), trim.dose
    yield Reading(
        "measured.acid" if dose.kind == "fatty acid" else "measured.lye",
        f"{trim.name} to cook in",
        dose.mass_g,
        "g",
        f"{number_text(measured, 3)} % of {total_g:.0f} g is {number_text(measured / 100 * total_g, 2)} g NaOH"
        f" ({NAOH_G_MOL:.2f} g/mol); {trim.name} has {1000 * trim.mol_per_g:.3f} mmol a gram: {dose.exact_g:.2f} g,"
        f" rounded down so that it never overshoots. That leaves {number_text(dose.left_percent, 3)} %.",
        known="maker",
        decimals=step_decimals(worked.recipe.scale.lye_g),
    )
