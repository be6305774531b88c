"""What stands in a field: text as people write it to the value meant, and the value back to text.

A written value reads back as exactly the same number: digits in full, shares shifted as decimals.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import cast

from kettleglass import units
from kettleglass.errors import Ambiguous, BadInput, UnknownName
from kettleglass.recipe.exchange import surroundings
from kettleglass.recipe.exchange.schema import FieldRule, Kind
from kettleglass.recipe.hardness import parse_hardness
from kettleglass.recipe.lyewater import (
    fraction_of_percent,
    lye_water_text,
    percent_of_fraction,
    plain_number,
    read_lye_water,
)
from kettleglass.recipe.recipe import SOLVE, Amount, By, LyeWater

_PERCENT = re.compile(r"(?P<number>[^%]*[\d½⅓⅔¼¾⅛.,])\s*(?:%|percent|per cent)\s*(?P<of>.*)")
_OF: dict[str, By] = {
    "fats": "% of fats", "fat": "% of fats", "oils": "% of fats", "oil": "% of fats", "oil weight": "% of fats",
    "whole": "% of whole", "whole batch": "% of whole", "batch": "% of whole", "total": "% of whole",
    "soap": "% of soap", "anhydrous soap": "% of soap", "dry soap": "% of soap",
}  # fmt: skip
_TIMES_MIN = {
    "s": 1 / 60, "sec": 1 / 60, "second": 1 / 60, "seconds": 1 / 60, "min": 1.0, "minute": 1.0, "minutes": 1.0,
    "h": 60.0, "hour": 60.0, "hours": 60.0, "d": 1440.0, "day": 1440.0, "days": 1440.0,
}  # fmt: skip
_PART = re.compile(r"\s*([-+−]?[\d.,½¼¾/ ]*[\d½¼¾](?:[eE][-+]?\d+)?)\s*([^\d\s.,½¼¾/+−-]+)\s*(?:and|,)?")


def parse_amount(text: str) -> Amount:
    """An amount from "200 g", "1 lb 4 oz", "150 mL", "35 % of fats", "12 % of whole", "40 % of soap" or "solve".

    Raises `Ambiguous` for a number, a percentage or an ounce alone, `BadInput` for what cannot be read.
    """
    said = " ".join(text[:400].split())
    if said.lower() == "solve":
        return SOLVE
    if match := _PERCENT.fullmatch(said):
        return Amount(units.parse_number(match["number"]), _share_of(said, match["number"].strip(), match["of"]))
    if _is_number(said):
        raise Ambiguous(clipped(said), (f"{said} g", f"{said} % of fats"), why="A number alone has no unit.")
    if UnknownName("amount", said.lower()[:20], ("solve",)).nearest:
        raise BadInput(f"“{clipped(said)}” is not an amount.", remedy="Did you mean “solve”? Or write it as “200 g”.")
    quantity = units.parse_amount(said)
    return Amount(quantity.value, "g" if quantity.kind == "mass" else "mL")


def _share_of(said: str, number: str, of: str) -> By:
    words = of.lower().removeprefix("of ").removeprefix("the ").strip()
    if not words:
        choices = tuple(f"{number} {by}" for by in ("% of fats", "% of whole", "% of soap"))
        raise Ambiguous(said, choices, why="A percentage needs to say of what.")
    if words in _OF:
        return _OF[words]
    error = UnknownName("amount to take a share of", words, _OF)
    near = f"Did you mean “{number} {_OF[error.nearest[0]]}”? " if error.nearest else ""
    raise BadInput(
        f"“{clipped(said)}” takes a share of something unknown.",
        remedy=f"{near}Write % of fats, % of whole or % of soap.",
    )


def amount_text(amount: Amount, unit: str = "g") -> str:
    """The text that `parse_amount` reads back as exactly this amount; in lb and oz if wished and exact."""
    if amount.by == "solve":
        return "solve"
    if amount.by == "g" and unit == "lb oz":
        pounds = _pounds(amount.value)
        if pounds is not None:
            return pounds
    return f"{plain_number(amount.value)} {amount.by}"


def _pounds(mass_g: float) -> str | None:
    eighths = round(8.0 * mass_g / units.OUNCE_G)
    pounds, ounces = eighths // 128, eighths % 128 / 8.0
    said = f"{pounds} lb {plain_number(ounces)} oz" if ounces else f"{pounds} lb"
    return said if pounds and units.parse_mass(said) == mass_g else None


def clipped(text: str) -> str:
    """The text, cut where a sentence could not carry it."""
    return text if len(text) <= 60 else f"{text[:60]}…"


def _is_number(text: str) -> bool:
    return re.fullmatch(r"[-+−]?[\d.,½¼¾/ ]*[\d½¼¾][.,]?", text) is not None


def parse_percent(text: str) -> float:
    """A percentage such as "5 %", in %; raises `BadInput` without the sign."""
    return units.parse_number(_percent_digits(text))


def parse_share(text: str) -> float:
    """A percentage as a share: "35 %" is exactly 0.35."""
    return fraction_of_percent(_percent_digits(text))


def _percent_digits(text: str) -> str:
    said = " ".join(text[:400].split())
    match = _PERCENT.fullmatch(said)
    if match is None or match["of"].lower() not in ("", "naoh"):
        offer = f"{said} %" if _is_number(said) else "5 %"
        raise BadInput(f"“{clipped(said)}” is not a percentage.", remedy=f"Write it with its sign, such as “{offer}”.")
    return match["number"]


def parse_time(text: str) -> float:
    """A time such as "1 h 30 min", in minutes."""
    said, total, place = " ".join(text[:400].split()), 0.0, 0
    while place < len(said) or not said:
        match = _PART.match(said, place)
        if match is None:
            offer = f"{said} min" if _is_number(said) else "1 h 30 min"
            raise BadInput(f"“{clipped(said)}” is not a time.", remedy=f"Write it with its unit, such as “{offer}”.")
        if match[2] not in _TIMES_MIN:
            near = UnknownName("unit", match[2], _TIMES_MIN).nearest
            offer = f"Did you mean “{near[0]}”? " if near else ""
            raise BadInput(f"“{clipped(match[2])}” is not a unit of time.", remedy=f"{offer}Write it as “1 h 30 min”.")
        total, place = total + units.parse_number(match[1]) * _TIMES_MIN[match[2]], match.end()
    return total


def _mass(text: str) -> float:
    return units.parse_mass(text, None)


def _length(text: str) -> float:
    return units.parse_length(text, None)


def _volume(text: str) -> float:
    return units.parse_volume(text, None)


def _text(rule: FieldRule, given: object) -> str:
    if isinstance(given, str):
        return given
    shown = f'{rule.name} = "{rule.example}"'
    if isinstance(given, int | float) and not isinstance(given, bool) and rule.kind not in ("text", "choice"):
        raise BadInput(
            f"“{rule.name}” is a number without a unit.", remedy=f"Write it in quotes with its unit: {shown}."
        )
    raise BadInput(f"“{rule.name}” is not text.", remedy=f"Write it in quotes: {shown}.")


def _choice(rule: FieldRule, given: object) -> str:
    said = given if isinstance(given, str) else ""
    if said in rule.choices:
        return said
    near = UnknownName(rule.name, said[:60], rule.choices).nearest
    offer = f"Did you mean “{near[0]}”? " if near else ""
    choices = ", ".join(f"“{choice}”" for choice in rule.choices)
    wrong = f"“{clipped(said)}” is not a possible {rule.name}." if said else f"“{rule.name}” needs one of its words."
    raise BadInput(wrong, remedy=f"{offer}Write one of {choices}.")


def _whole_number(rule: FieldRule, given: object) -> int:
    if isinstance(given, int) and not isinstance(given, bool) and abs(given) <= 2**63:
        return given
    shown = f"{rule.name} = {rule.example}"
    raise BadInput(f"“{rule.name}” is not a possible whole number.", remedy=f"Write it without quotes: {shown}.")


def _yes_or_no(rule: FieldRule, given: object) -> bool:
    if isinstance(given, bool):
        return given
    name = rule.name
    raise BadInput(f"“{name}” is neither true nor false.", remedy=f"Write {name} = true or {name} = false.")


def _by(parse: Callable[[str], object]) -> Callable[[FieldRule, object], object]:
    return lambda rule, given: parse(_text(rule, given))


def _in(unit: str) -> Callable[[object], object]:
    return lambda value: f"{plain_number(cast(float, value))} {unit}"


def _as_it_is(value: object) -> object:
    return value


READERS: dict[Kind, Callable[[FieldRule, object], object]] = {
    "text": _text, "choice": _choice, "whole number": _whole_number, "yes or no": _yes_or_no,
    "amount": _by(parse_amount), "mass": _by(_mass), "length": _by(_length), "volume": _by(_volume),
    "percent": _by(parse_percent), "share": _by(parse_share), "lye water": _by(read_lye_water),
    "hardness": _by(parse_hardness), "temperature": _by(units.parse_temperature), "time": _by(parse_time),
    "altitude": _by(surroundings.reader_of("an altitude", surroundings.ALTITUDE_M, "540 m")),
    "pressure": _by(surroundings.reader_of("an air pressure", surroundings.PRESSURE_HPA, "1013 hPa")),
    "power": _by(surroundings.reader_of("a power", surroundings.POWER_W, "800 W")),
    "room": _by(surroundings.reader_of("the size of a room", surroundings.ROOM_M3, "40 m3")),
    "airflow": _by(surroundings.reader_of("a flow of air", surroundings.AIRFLOW_M3_H, "120 m3/h")),
}  # fmt: skip
"""What makes a value of what stands in a field; raises `BadInput` with what to write instead."""
WRITERS: dict[Kind, Callable[[object], object]] = {
    "text": _as_it_is, "choice": _as_it_is, "whole number": _as_it_is, "yes or no": _as_it_is,
    "amount": lambda value: amount_text(cast(Amount, value)),
    "mass": _in("g"), "length": _in("mm"), "volume": _in("mL"), "percent": _in("%"),
    "share": lambda value: f"{percent_of_fraction(cast(float, value))} %",
    "lye water": lambda value: lye_water_text(cast(LyeWater, value)), "hardness": _in("mg/L"),
    "temperature": _in("°C"), "time": _in("min"), "altitude": _in("m"), "pressure": _in("hPa"), "power": _in("W"),
    "room": _in("m3"), "airflow": _in("m3/h"),
}  # fmt: skip
"""What stands in the file for a value; reads back as exactly that value."""
