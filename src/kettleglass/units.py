"""Numbers and units as people write them, read once at the doors: grams, millilitres, °C, millimetres, shares.

Inside, everything is a plain float in one unit. What can be read in two ways is asked (`Ambiguous`), never guessed:
"1,500", "8 oz" where a volume would do, "8 fl oz" (US or UK), a number without a unit. A point is always a decimal
point; a comma with exactly three digits after it could part thousands, so it is asked.

Sizes of units: NIST Handbook 44 (2024), appendix C; imperial: UK Units of Measurement Regulations 1995.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from difflib import get_close_matches
from fractions import Fraction
from typing import Literal, TypeVar

from kettleglass.errors import Ambiguous, BadInput

Region = Literal["US", "UK"]
UnitSystem = Literal["g", "kg", "lb_oz"]
Meaning = TypeVar("Meaning")

OUNCE_G = 28.349523125
POUND_G = 453.59237
_LONGEST = 1000


def _spelled(names: Mapping[str, Meaning]) -> dict[str, Meaning]:
    return {name: size for spellings, size in names.items() for name in spellings.split("|")}


MASS_G = _spelled({
    "mg|milligram|milligrams": 0.001,
    "g|gram|grams|gramme|grammes|gm|gms": 1.0,
    "kg|kilo|kilos|kilogram|kilograms|kgs": 1000.0,
    "oz|ounce|ounces|ozs|oz av|oz wt|wt oz|oz weight|oz by weight|ounces by weight|oz mass|dry oz": OUNCE_G,
    "lb|lbs|pound|pounds|#": POUND_G,
})  # fmt: skip
"""Grams per unit of mass; an ounce here is the avoirdupois ounce."""
VOLUME_ML = _spelled({
    "ml|millilitre|millilitres|milliliter|milliliters|cc|ccm|cm³": 1.0,
    "cl|centilitre|centilitres|centiliter|centiliters": 10.0,
    "dl|decilitre|decilitres|deciliter|deciliters": 100.0,
    "l|litre|litres|liter|liters|ltr": 1000.0,
})  # fmt: skip
LOCAL_VOLUME_ML: dict[str, dict[str, float]] = {
    "fl oz": {"US": 29.5735295625, "UK": 28.4130625}, "pint": {"US": 473.176473, "UK": 568.26125},
    "quart": {"US": 946.352946, "UK": 1136.5225}, "gallon": {"US": 3785.411784, "UK": 4546.09},
    "cup": {"US": 236.5882365, "metric": 250.0}, "tbsp": {"US": 14.78676478125, "metric": 15.0},
    "tsp": {"US": 4.92892159375, "metric": 5.0},
}  # fmt: skip
"""Millilitres of the measures that differ from country to country; spoons and cups are metric in Britain today."""
_LOCAL_NAMES = _spelled({
    "fl oz|floz|fluid ounce|fluid ounces|fl ounce|fl ounces|fluid oz|liquid oz": "fl oz",
    "pint|pints|pt|pts": "pint", "quart|quarts|qt|qts": "quart", "gallon|gallons|gal|gals": "gallon",
    "cup|cups": "cup", "tbsp|tbsps|tbs|tablespoon|tablespoons": "tbsp", "tsp|tsps|teaspoon|teaspoons": "tsp",
})  # fmt: skip
_PLACES = {"us": "US", "american": "US", "uk": "UK", "imperial": "UK", "imp": "UK", "british": "UK", "metric": "metric"}
LENGTH_MM = _spelled({
    "mm|millimetre|millimetres|millimeter|millimeters": 1.0,
    "cm|centimetre|centimetres|centimeter|centimeters": 10.0,
    "m|metre|metres|meter|meters": 1000.0,
    'in|inch|inches|"|″|”|\'\'': 25.4,
    "ft|foot|feet|'|′|’": 304.8,
})  # fmt: skip

_VULGAR = {"½": 1 / 2, "⅓": 1 / 3, "⅔": 2 / 3, "¼": 1 / 4, "¾": 3 / 4, "⅛": 1 / 8, "⅜": 3 / 8, "⅝": 5 / 8, "⅞": 7 / 8}
_FRACTION = "".join(_VULGAR)
_INSIDE = rf"[0-9.,\s/{_FRACTION}]|'(?=[0-9]{{3}})|(?<=[0-9.])[eE][-+]?[0-9]|(?<=[0-9])-(?=[0-9]+/)"
_NUMBER = rf"[-+]?\s*[0-9.,{_FRACTION}](?:{_INSIDE})*"
_PIECE = re.compile(rf"\s*({_NUMBER})([^0-9.,+{_FRACTION}-]*)")
_ONE_NUMBER = re.compile(rf"\s*({_NUMBER})\s*(.*)", re.DOTALL)
_PLAIN = re.compile(r"[0-9]+(?:\.[0-9]*)?(?:[eE][-+]?[0-9]+)?|\.[0-9]+(?:[eE][-+]?[0-9]+)?")
_WITH_FRACTION = re.compile(r"(?:([0-9]+)(?:\s+|-))?([0-9]+)\s*/\s*([0-9]+)")
_WITH_VULGAR = re.compile(rf"([0-9]*)\s*([{_FRACTION}])")
_GROUPED = (
    (re.compile(r"[0-9]{1,3}(?: [0-9]{3})+(?:[.,][0-9]+)?"), " "),
    (re.compile(r"[0-9]{1,3}(?:'[0-9]{3})+(?:[.,][0-9]+)?"), "'"),
    (re.compile(r"[0-9]{1,3}(?:,[0-9]{3})+\.[0-9]+|[0-9]{1,3}(?:,[0-9]{3}){2,}"), ","),
    (re.compile(r"[0-9]{1,3}(?:\.[0-9]{3})+,[0-9]+|[0-9]{1,3}(?:\.[0-9]{3}){2,}"), "."),
)
_UNCLEAR = re.compile(r"([1-9][0-9]{0,2}),([0-9]{3})")


def _shown(text: str) -> str:
    return text if len(text) <= 60 else f"{text[:60]}…"


def _tidy(text: str) -> str:
    """One spelling for signs, fraction bars and spaces; raises `BadInput` for what is far too long."""
    if len(text) > _LONGEST:
        raise BadInput(f"“{_shown(text)}” is too long to be a quantity.", remedy="Write one number with its unit.")
    return " ".join(text.translate(str.maketrans("−–⁄∕’º", "--//'°")).split())


def _readings(said: str) -> tuple[float, ...]:
    """Every number that a tidy text without a sign can mean: none, one or two."""
    if _PLAIN.fullmatch(said):
        return (float(said),)
    if match := _WITH_FRACTION.fullmatch(said):
        below = float(match[3])
        return (float(match[1] or 0) + float(match[2]) / below,) if below else ()
    if match := _WITH_VULGAR.fullmatch(said):
        return (float(match[1] or 0) + _VULGAR[match[2]],)
    if match := _UNCLEAR.fullmatch(said):
        return float(f"{match[1]}.{match[2]}"), float(match[1] + match[2])
    for pattern, mark in _GROUPED:
        if pattern.fullmatch(said):
            return (float(said.replace(mark, "").replace(",", ".")),)
    return (float(said.replace(",", ".")),) if re.fullmatch(r"[0-9]*,[0-9]+|[0-9]+,", said) else ()


def parse_number(text: str, *, at_least: float | None = None, at_most: float | None = None) -> float:
    """The number that a text means: "12", "1,5", "1 1/2", "½", "1 500", "1,234.5", "-2".

    Limits are refused when crossed, and settle an unclear comma where only one reading lies within them. Raises
    `BadInput` for what is no finite number, `Ambiguous` for a comma that may part thousands ("1,500").
    """
    low, high = -math.inf if at_least is None else at_least, math.inf if at_most is None else at_most
    return _number_in(text, text, low, high)


def _number_in(text: str, number: str, low: float = 0.0, high: float = math.inf) -> float:
    """The number of a quantity within limits; what is wrong or asked is said of the whole text."""
    said = _tidy(number)
    sign = -1.0 if said.startswith("-") else 1.0
    found = [sign * value for value in _readings(said[1:].strip() if said[:1] in ("-", "+") else said)]
    if not found or not all(math.isfinite(value) for value in found):
        raise BadInput(f"“{_shown(number)}” is not a number.", remedy="Write digits, such as “12”, “1.5” or “1 1/2”.")
    possible = [value for value in found if low <= value <= high]
    if len(possible) == 2:
        choices = [_tidy(text).replace(said, _plain(value), 1) for value in possible]
        raise Ambiguous(_shown(text), choices, why="The comma may be a decimal comma or part thousands.")
    if not possible:
        limit = f"less than {_plain(low)}" if found[0] < low else f"more than {_plain(high)}"
        raise BadInput(f"“{_shown(text)}” is {limit}.", why="That is not possible here.", remedy="Check the number.")
    return possible[0]


def _plain(value: float) -> str:
    """The shortest decimal text of a float, without an exponent."""
    said = format(Decimal(repr(float(value))), "f")
    return said.rstrip("0").rstrip(".") if "." in said else said


def _pieces(text: str, what: str, example: str) -> Iterator[tuple[str, str]]:
    """Number and unit of each part of "2 lb 4 oz"; raises `BadInput` where the text does not go like that."""
    said = re.sub(r"(?<=[A-Za-z])\.", "", _tidy(text)).replace("cm3", "cm³")
    said = re.sub(r"(?<=[A-Za-z\"'#])\s*(?:,|\+|&|\band\b)\s*(?=[0-9½¼¾⅛.])", " ", said)
    place = 0
    while place < len(said):
        match = _PIECE.match(said, place)
        if match is None:
            raise BadInput(f"“{_shown(text)}” cannot be read as a {what}.", remedy=f"Write it as “{example}”.")
        yield match[1], " ".join(match[2].lower().split())
        place = match.end()
    if place == 0:
        raise BadInput(f"No {what} is given.", remedy=f"Write it as “{example}”.")


def _total(text: str, what: str, example: str, size: Callable[[str, str], float]) -> float:
    """Sum of the parts, larger units first; `size` gives the size of a unit, from number and unit."""
    total, last = 0.0, math.inf
    pieces = list(_pieces(text, what, example))
    for number, unit in pieces:
        if not unit and len(pieces) > 1:
            raise BadInput(f"In “{_shown(text)}” the {number.strip()} has no unit.", remedy=f"Write it as “{example}”.")
        per_unit = size(number.strip(), unit)
        if per_unit >= last:
            raise BadInput(f"“{_shown(text)}” does not go from larger to smaller units.", remedy=f"Write “{example}”.")
        total, last = total + _number_in(text, number) * per_unit, per_unit
    if not math.isfinite(total):
        raise BadInput(f"“{_shown(text)}” is not a possible {what}.", remedy=f"Write it as “{example}”.")
    return total


def _default(text: str, number: str, default_unit: str | None, offered: tuple[str, str]) -> str:
    if default_unit:
        return default_unit.lower()
    raise Ambiguous(_shown(text), [f"{number} {unit}" for unit in offered], why="A number alone has no unit.")


def _unknown_unit(text: str, unit: str, what: str, example: str, known: Mapping[str, object]) -> BadInput:
    near = get_close_matches(unit, list(known), n=1, cutoff=0.5)
    offer = f"Did you mean “{near[0]}”? " if near else ""
    return BadInput(
        f"“{_shown(unit)}” in “{_shown(text)}” is not a unit of {what}.", remedy=f"{offer}Write it as “{example}”."
    )


def parse_mass(text: str, default_unit: str | None = "g") -> float:
    """Mass in grams from "500", "1,5 kg", "2 lb 4 oz", "1 1/2 lb" or "8 oz" (avoirdupois, since a mass is asked for).

    `default_unit` goes with a number alone; None asks (`Ambiguous`). Raises `BadInput` for what is no mass, a volume
    and anything below 0 included.
    """
    what, example = "mass", "500 g”, “1.5 kg” or “2 lb 4 oz"

    def size(number: str, unit: str) -> float:
        unit = unit or _default(text, number, default_unit, ("g", "oz"))
        if unit in MASS_G:
            return MASS_G[unit]
        if unit in VOLUME_ML or _local(unit) is not None:
            raise BadInput(
                f"“{_shown(text)}” is a volume, and a mass is asked for.",
                why="How much a volume weighs depends on the material.",
                remedy=f"Weigh it, and write “{example}”.",
            )
        raise _unknown_unit(text, unit, what, example, MASS_G)

    return _total(text, what, example, size)


def _local(unit: str) -> tuple[str | None, str] | None:
    """Country and measure of "us fl oz" or "pint"; None where it is no such measure."""
    words = unit.split(" ", 1)
    place = _PLACES.get(words[0]) if len(words) == 2 else None
    name = _LOCAL_NAMES.get(words[1] if place else unit)
    return None if name is None else (place, name)


def _volume_unit_ml(text: str, number: str, unit: str, region: Region | None) -> float | None:
    """Millilitres of a unit of volume, None if it is none; asks for the country where it matters."""
    if unit in VOLUME_ML:
        return VOLUME_ML[unit]
    found = _local(unit)
    if found is None:
        return None
    place, name = found
    sizes = LOCAL_VOLUME_ML[name]
    for candidate in (place,) if place else (region, "metric" if region == "UK" else None):
        if candidate in sizes:
            return sizes[candidate]
    choices = [f"{number} {country} {name}" for country in sizes]
    spread = 100.0 * (max(sizes.values()) / min(sizes.values()) - 1.0)
    raise Ambiguous(_shown(text), choices, why=f"This measure differs by {spread:.0f} % from country to country.")


def parse_volume(text: str, default_unit: str | None = "ml", region: Region | None = None) -> float:
    """Volume in mL from "500", "0.5 l", "2 US gallons", "8 UK fl oz" or, with a region, "8 fl oz" and "2 tbsp".

    Raises `Ambiguous` for measures that differ between countries unless `region` is given, and for "oz", which is
    usually a weight; `BadInput` for what is no volume.
    """
    what, example = "volume", "500 ml”, “1.5 l” or “8 US fl oz"

    def size(number: str, unit: str) -> float:
        unit = unit or _default(text, number, default_unit, ("ml", "l"))
        ml = _volume_unit_ml(text, number, unit, region)
        if ml is not None:
            return ml
        if unit in ("oz", "ounce", "ounces"):
            raise Ambiguous(
                _shown(text), (f"{number} US fl oz", f"{number} UK fl oz"), why="An ounce alone is usually a weight."
            )
        if unit in MASS_G:
            raise BadInput(
                f"“{_shown(text)}” is a mass, and a volume is asked for.", remedy=f"Write it as “{example}”."
            )
        raise _unknown_unit(text, unit, what, example, {**VOLUME_ML, **_LOCAL_NAMES})

    return _total(text, what, example, size)


@dataclass(frozen=True, slots=True)
class Quantity:
    """A mass in grams or a volume in millilitres."""

    kind: Literal["mass", "volume"]
    value: float


def parse_amount(text: str, region: Region | None = None) -> Quantity:
    """Mass in g or volume in mL, whichever the unit says; "8 oz" and a number alone are asked (`Ambiguous`).

    In "2 lb 4 oz" the ounce follows pounds and is a weight. Raises `BadInput` for what is neither.
    """
    what, example = "mass or volume", "500 g”, “500 ml” or “2 lb 4 oz"
    number, unit = next(_pieces(text, what, example))
    number = number.strip()
    unit = unit or _default(text, number, None, ("g", "ml"))
    if unit in ("oz", "ounce", "ounces", "ozs"):
        fluid = [f"{number} {place} fl oz" for place in ((region,) if region else ("US", "UK"))]
        raise Ambiguous(_shown(text), (f"{number} oz weight", *fluid), why="An ounce can be a weight or a volume.")
    if unit in MASS_G:
        return Quantity("mass", parse_mass(text))
    if unit in VOLUME_ML or _local(unit) is not None:
        return Quantity("volume", parse_volume(text, region=region))
    raise _unknown_unit(text, unit, what, example, {**MASS_G, **VOLUME_ML, **_LOCAL_NAMES})


_SCALES: dict[str, Callable[[float], float]] = {
    "c": lambda degrees: degrees, "celsius": lambda degrees: degrees, "centigrade": lambda degrees: degrees,
    "f": lambda degrees: (degrees - 32.0) / 1.8, "fahrenheit": lambda degrees: (degrees - 32.0) / 1.8,
    "k": lambda kelvin: kelvin - 273.15, "kelvin": lambda kelvin: kelvin - 273.15,
}  # fmt: skip


def parse_temperature(text: str, default_unit: str | None = None) -> float:
    """Temperature in °C from "170 °F", "77 C", "77 degrees Celsius" or "350 K".

    A number alone is asked (`Ambiguous`) unless `default_unit` ("C" or "F") is given. Raises `BadInput` for what is
    no temperature or lies below absolute zero.
    """
    said = _tidy(text)
    match = _ONE_NUMBER.fullmatch(said)
    unit = re.sub(r"^(?:°|degrees?|deg\.?)\s*", "", match[2].lower()).rstrip(".") if match else "?"
    if match and not unit and default_unit is None:
        choices = [f"{match[1].strip()} {degrees}" for degrees in ("°C", "°F")]
        raise Ambiguous(_shown(text), choices, why="A number alone does not say which degrees.")
    scale = _SCALES.get(unit or (default_unit or "").lower().lstrip("°"))
    if match is None or scale is None:
        raise BadInput(f"“{_shown(text)}” is not a temperature.", remedy="Write it as “77 °C” or “170 °F”.")
    degrees_c = scale(_number_in(said, match[1], -math.inf))
    if not -273.15 - 1e-9 <= degrees_c < math.inf:
        raise BadInput(f"“{_shown(text)}” is colder than anything can be.", remedy="Check the number and °C or °F.")
    return degrees_c


def parse_length(text: str, default_unit: str | None = "mm") -> float:
    """Length in mm from "220 mm", "22 cm", '3 1/2"' or "1 ft 2 in".

    `default_unit` goes with a number alone; None asks (`Ambiguous`). Raises `BadInput`.
    """
    what, example = "length", "220 mm”, “22 cm” or “3 1/2 in"

    def size(number: str, unit: str) -> float:
        unit = unit or _default(text, number, default_unit, ("mm", "in"))
        if unit not in LENGTH_MM:
            raise _unknown_unit(text, unit, what, example, LENGTH_MM)
        return LENGTH_MM[unit]

    return _total(text, what, example, size)


def parse_percent(text: str, *, at_least_percent: float = 0.0, at_most_percent: float = 100.0) -> float:
    """Share (0.35) from "35 %", "35", "35 percent" or "5 ‰"; free of rounding: "92.4 %" is exactly 0.924.

    Raises `BadInput` outside the limits and for what is no percentage. An unclear comma is settled by the limits.
    """
    match = _ONE_NUMBER.fullmatch(_tidy(text))
    unit = match[2].lower().rstrip(".") if match else "?"
    if match is None or unit not in ("", "%", "percent", "per cent", "pct", "‰"):
        raise BadInput(f"“{_shown(text)}” is not a percentage.", remedy="Write it as “35 %”.")
    places, scale = (3, 10.0) if unit == "‰" else (2, 1.0)
    number = _number_in(text, match[1], at_least_percent * scale, at_most_percent * scale)
    return float(Decimal(repr(number)).scaleb(-places))


def format_number(value: float, significant: int = 3) -> str:
    """The number to so many significant digits, never with an exponent: 0.0665, 12.0, 1230.

    Raises `BadInput` for nan and infinity.
    """
    if not math.isfinite(value):
        raise BadInput("There is no number to show.", remedy="Give a finite number.")
    return format(Decimal(f"{value:#.{significant}g}"), "f").rstrip(".") if value else "0"


def _decimals(step: float) -> int:
    """Digits after the point that a step needs, or that come as near to it as anyone can weigh."""
    exponent = Decimal(f"{step:.6g}").normalize().as_tuple().exponent
    digits = -int(exponent) if isinstance(exponent, int) else 0
    return max(0, digits if digits <= 4 else math.ceil(-math.log10(step)))


def format_mass(mass_g: float, step_g: float, system: UnitSystem = "g") -> str:
    """The mass rounded to the step of a scale: "1234.5 g", "1.235 kg" or "2 lb 4 1/8 oz".

    Arguments in grams, step above 0. A step of 1/2 to 1/32 oz is written as a fraction of an ounce, others as
    decimals. `parse_mass` reads the text back. Raises `BadInput` for a step that is not above 0 or no number.
    """
    if not (math.isfinite(mass_g) and math.isfinite(step_g) and step_g > 0.0):
        raise BadInput("A mass can be shown only to a step above 0.", remedy="Give the step of the scale, such as 1 g.")
    steps = round(mass_g / step_g)
    if system != "lb_oz":
        unit_g = MASS_G[system]
        return f"{steps * step_g / unit_g:.{_decimals(step_g / unit_g)}f} {system}"
    said = _pounds_and_ounces(abs(steps), step_g / OUNCE_G)
    return f"-{said}" if steps < 0 else said


def _pounds_and_ounces(steps: int, step_oz: float) -> str:
    step = Fraction(step_oz).limit_denominator(32)
    if abs(float(step) - step_oz) > 1e-6 * step_oz or step.denominator & (step.denominator - 1):
        decimals = _decimals(step_oz)
        hundredths = round(steps * step_oz * 10**decimals)
        pounds, rest = divmod(hundredths, 16 * 10**decimals)
        ounces = f"{rest / 10**decimals:.{decimals}f}" if rest else ""
    else:
        pounds, left = divmod(steps * step, 16)
        whole, part = divmod(left, 1)
        ounces = " ".join([str(whole)] * bool(whole) + [f"{part.numerator}/{part.denominator}"] * bool(part))
    parts = [f"{pounds} lb"] * bool(pounds) + [f"{ounces} oz"] * bool(ounces)
    return " ".join(parts) or "0 oz"
