"""Lye water in one field: what people type, and the same water said in every way.

Rule of the house: ratio and strength count the *pure* alkali and *all* the water of the lye, the water that came
with the alkali included. What was typed wins; the other ways are read off the result and follow the fats. An
example of the trade (common practice, no source): 25 % of fats at 1:1.4 is 178.6 g of NaOH per kg of fats, which
is a saponification value of 250.5, as of coconut with about 12 % of stearic acid. With 70 % coconut and 30 %
stearic acid 1:1.4 is about 24.2 % of fats: both cannot be held at once (`saponification_value_for_both`).
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from decimal import Decimal

from kettleglass.errors import Ambiguous, BadInput, Finding, KettleglassError
from kettleglass.recipe.recipe import LyeWater
from kettleglass.science.heat.lye import KOH_SATURATED
from kettleglass.science.saponify import KOH_G_MOL, NAOH_G_MOL
from kettleglass.units import parse_mass, parse_number

STRONGEST_LYE = KOH_SATURATED
"""Saturated KOH at 25 °C (BIS code of safety, potassium hydroxide); NaOH 0.522 (Great Soviet Encyclopedia 1979)."""
LEAST_WATER_PER_ALKALI = 1.0 / STRONGEST_LYE - 1.0
MOST_WATER_PER_ALKALI = 20.0
_SMALLEST_EXPONENT = -9
_NUMBER = r"(?P<{}>[-+−]?[0-9][0-9.,\s]*(?:e[-+]?[0-9]+)?|[.,][0-9]+)"
_PART = r"(?:\s*(?:part|parts|g)?\s*(?:of\s+)?(?:pure\s+)?(?:alkali|lye|naoh|koh|water)?)"
_RATIO = re.compile(
    rf"(?:ratio\s+)?{_NUMBER.format('alkali')}{_PART}\s*(?::|to|/|∶)\s*{_NUMBER.format('water')}{_PART}"
)
_TIMES = re.compile(rf"{_NUMBER.format('water')}\s*(?:times|x|×)(?:\s+the)?(?:\s+(?:alkali|lye|naoh|koh))?")
_OF_FATS = re.compile(
    rf"(?:water\s+)?{_NUMBER.format('percent')}\s*%(?:\s*water)?"
    r"\s*(?:of\s+)?(?:the\s+)?(?:fats?|oils?)(?:\s+weight)?"
)
_STRENGTH = re.compile(
    rf"(?:(?:lye|naoh|koh|alkali)\s+)?(?:strength\s+)?{_NUMBER.format('percent')}\s*%"
    r"(?:\s*(?:strength|(?:lye|naoh|koh|alkali)(?:\s+strength)?))?"
)
_WATER_PERCENT = re.compile(rf"(?:water\s+{_NUMBER.format('percent')}\s*%|{_NUMBER.format('other')}\s*%\s*water)")
_PLAIN_NUMBER = re.compile(r"[-+]?[0-9]+(\.[0-9]+)?([eE][-+]?[0-9]{1,4})?")
_MASS_TAIL = re.compile(r"\s+(?:of\s+)?water$")
_CLEAR = "“1:1.4” (one part alkali to 1.4 parts water), “42 %” (of alkali in the lye), “25 % of fats” or “93 g”"


def parse_lye_water(text: str) -> LyeWater:
    """Lye water from "1:1.4", "1 to 1,4", "42 %", "42 % lye", "25 % of fats" or "93 g".

    A percentage alone is the strength of the lye. Raises `Ambiguous` for a number alone or a percentage of
    water, `BadInput` for what cannot be read or could not be dissolved (see `lye_water_finding`).
    """
    water = read_lye_water(text)
    finding = lye_water_finding(water)
    if finding is not None and finding.level == "danger":
        raise BadInput(finding.text, remedy=finding.advice)
    return water


def read_lye_water(text: str) -> LyeWater:
    """As `parse_lye_water`, whether or not such a lye could be dissolved."""
    said = " ".join(text[:400].lower().replace("percent", "%").split())
    if match := _RATIO.fullmatch(said):
        return LyeWater(_ratio(text, parse_number(match["alkali"]), parse_number(match["water"])), "ratio")
    if match := _TIMES.fullmatch(said):
        return LyeWater(parse_number(match["water"]), "ratio")
    if match := _OF_FATS.fullmatch(said):
        return LyeWater(fraction_of_percent(match["percent"]), "of fats")
    if match := _WATER_PERCENT.fullmatch(said):
        raise _which_percent(text, parse_number(match["percent"] or match["other"]))
    if match := _STRENGTH.fullmatch(said):
        return LyeWater(fraction_of_percent(match["percent"]), "strength")
    if re.fullmatch(_NUMBER.format("number"), said):
        raise _which_number(text, parse_number(said))
    return _mass(text, said)


def fraction_of_percent(number: str) -> float:
    """The share (0-1) that a percentage written without its sign means, free of rounding: "42" is 0.42."""
    plain = number.strip().replace("−", "-")
    exact = Decimal(plain) if _PLAIN_NUMBER.fullmatch(plain) else Decimal(repr(parse_number(number)))
    return float(exact.scaleb(-2))


def _ratio(text: str, alkali: float, water: float) -> float:
    if alkali <= 0.0:
        raise BadInput(
            f"“{_short(text)}” is a lye without alkali.",
            remedy="Write the alkali first, then the water, such as 1:1.4.",
        )
    return water / alkali


def _mass(text: str, said: str) -> LyeWater:
    try:
        return LyeWater(parse_mass(_MASS_TAIL.sub("", said)), "mass")
    except Ambiguous:
        raise
    except KettleglassError as error:
        raise BadInput(f"“{_short(text)}” does not say how much lye water.", remedy=f"Write {_CLEAR}.") from error


def _which_percent(text: str, percent: float) -> Ambiguous:
    choices = [f"{percent:g} % of fats"]
    if 0.0 < percent < 100.0:
        choices.append(f"{100.0 - percent:g} % lye")
    return Ambiguous(_short(text), choices, why="Water can be a share of the fats or of the lye.")


def _which_number(text: str, number: float) -> Ambiguous:
    as_percent = (f"{number:g} %", f"{number:g} % of fats") if number >= 10.0 else (f"1:{number:g}",)
    return Ambiguous(_short(text), (*as_percent, f"{number:g} g"), why="A number alone has no unit.")


def _short(text: str) -> str:
    return text if len(text) <= 40 else f"{text[:40]}…"


def lye_water_finding(water: LyeWater) -> Finding | None:
    """What is to be said of a lye by its ratio or strength alone: danger if it cannot dissolve, caution if very thin.

    Water of fats and grams depend on the recipe and are judged there. None if nothing is to be said.
    """
    if water.by not in ("ratio", "strength"):
        return None
    ratio = water.value if water.by == "ratio" else 1.0 / water.value - 1.0
    said, strength = lye_water_text(water), 100.0 / (1.0 + ratio)
    if ratio < LEAST_WATER_PER_ALKALI:
        turned = f" If you meant water first, write “1:{1.0 / ratio:.4g}”." if ratio > 0.05 else ""
        return Finding(
            "danger", "lye-cannot-dissolve",
            f"{said} is a lye of {strength:.3g} %: cold water holds 52 % of NaOH or 55 % of KOH at most.",
            f"Use at least as much water as alkali (1:1).{turned}", "lye water",
            "Great Soviet Encyclopedia (1979); BIS code of safety, potassium hydroxide",
        )  # fmt: skip
    if ratio > MOST_WATER_PER_ALKALI:
        return Finding(
            "caution", "lye-very-thin", f"{said} is a lye of only {strength:.3g} %.",
            "Saponification will be slow and the base soft; 1:1.4 to 1:3 is usual.", "lye water",
            "common practice, no source",
        )  # fmt: skip
    return None


def lye_water_text(water: LyeWater) -> str:
    """The text that `read_lye_water` turns back into exactly this value, such as "1:1.4" or "25 % of fats"."""
    if water.by == "ratio":
        return f"1:{plain_number(water.value)}"
    if water.by == "mass":
        return f"{plain_number(water.value)} g"
    return f"{percent_of_fraction(water.value)} %" + (" of fats" if water.by == "of fats" else "")


def plain_number(value: float) -> str:
    """The shortest digits that read back as this number, with an exponent only below 1e-9: 1.4, 200, 0.00001."""
    return _plain(Decimal(repr(float(value))))


def percent_of_fraction(fraction: float) -> str:
    """The digits in percent that `fraction_of_percent` reads back as this share."""
    return _plain(Decimal(repr(float(fraction))).scaleb(2))


def _plain(exact: Decimal) -> str:
    if exact and exact.adjusted() < _SMALLEST_EXPONENT:
        return str(exact).lower()
    digits = f"{exact:f}"
    return (digits.rstrip("0").rstrip(".") if "." in digits else digits) or "0"


@dataclass(frozen=True, slots=True)
class LyeWaterSaid:
    """The same lye water in every way; None where there is nothing to divide by.

    `ratio` is water per part of pure alkali, `strength_fraction` alkali in the lye, `of_fats_fraction` water per fats.
    """

    water_g: float
    ratio: float | None
    strength_fraction: float | None
    of_fats_fraction: float | None

    @property
    def phrases(self) -> tuple[str, ...]:
        """Ready to show: "1:1.4", "41.7 %", "24.2 % of fats", "93 g"."""
        ratio = () if self.ratio is None else (f"1:{self.ratio:.3g}",)
        strength = () if self.strength_fraction is None else (f"{100 * self.strength_fraction:.3g} %",)
        fats = () if self.of_fats_fraction is None else (f"{100 * self.of_fats_fraction:.3g} % of fats",)
        return (*ratio, *strength, *fats, f"{self.water_g:.4g} g")


def say_lye_water(alkali_pure_g: float, water_g: float, fats_g: float) -> LyeWaterSaid:
    """The same lye water in all ways, from pure alkali, all water of the lye and fats, each in g and at least 0.

    Raises `BadInput` for a negative or unbounded mass.
    """
    masses_g = {"The pure alkali": alkali_pure_g, "The lye water": water_g, "The mass of the fats": fats_g}
    for name, value in masses_g.items():
        if not (math.isfinite(value) and value >= 0.0):
            raise BadInput(f"{name} is {value:g} g.", remedy="Give a mass of at least 0 g.")
    lye_g = alkali_pure_g + water_g
    return LyeWaterSaid(
        water_g=water_g,
        ratio=water_g / alkali_pure_g if alkali_pure_g > 0.0 else None,
        strength_fraction=alkali_pure_g / lye_g if lye_g > 0.0 else None,
        of_fats_fraction=water_g / fats_g if fats_g > 0.0 else None,
    )


def saponification_value_for_both(ratio: float, of_fats_fraction: float, alkali_g_mol: float = NAOH_G_MOL) -> float:
    """The saponification value (mg KOH/g) at which a ratio and a share of the fats are the same water.

    Holds at superfat 0 %; any other fats get the water of what was typed, and the other figure moves.

    Args:
        ratio: water per part of pure alkali, above 0.
        of_fats_fraction: water per fats, g/g, at least 0.
        alkali_g_mol: molar mass of the alkali, NaOH unless said.
    """
    if not (math.isfinite(ratio) and ratio > 0.0 and of_fats_fraction >= 0.0):
        raise BadInput("The ratio and the share of the fats must be above 0.", remedy="Write them as 1.4 and 0.25.")
    return 1000.0 * of_fats_fraction / ratio / alkali_g_mol * KOH_G_MOL
