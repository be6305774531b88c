"""Quantities of the place of the cook, as people write them: altitude, pressure, power, room and flow of air."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping

from kettleglass import units
from kettleglass.errors import BadInput, UnknownName

_FOOT_M3 = 0.3048**3
ALTITUDE_M = {"m": 1.0, "metre": 1.0, "metres": 1.0, "km": 1000.0, "ft": 0.3048, "feet": 0.3048, "foot": 0.3048}
PRESSURE_HPA = {
    "hpa": 1.0, "mbar": 1.0, "mb": 1.0, "kpa": 10.0, "pa": 0.01, "bar": 1000.0, "mmhg": 1.33322387, "torr": 1.33322368,
    "inhg": 33.863886, "in hg": 33.863886,
}  # fmt: skip
POWER_W = {"w": 1.0, "watt": 1.0, "watts": 1.0, "kw": 1000.0}
ROOM_M3 = {"m3": 1.0, "m³": 1.0, "cubic metres": 1.0, "ft3": _FOOT_M3, "ft³": _FOOT_M3, "cu ft": _FOOT_M3,
           "cubic feet": _FOOT_M3}  # fmt: skip
AIRFLOW_M3_H = {"m3/h": 1.0, "m³/h": 1.0, "cfm": 60.0 * _FOOT_M3, "l/s": 3.6}
"""Sizes of units: NIST Special Publication 811 (2008), appendix B."""
_QUANTITY = re.compile(r"\s*(?P<number>[-+−]?[\d.,½¼¾/ ]*[\d½¼¾](?:[eE][-+]?\d+)?)\s*(?P<unit>[^\d\s.,½¼¾].*?)\s*")


def reader_of(what: str, sizes: Mapping[str, float], example: str) -> Callable[[str], float]:
    """What reads such a quantity; it raises `BadInput` for anything without a number and one of the units."""

    def read(text: str) -> float:
        said = " ".join(text[:400].split())
        match = _QUANTITY.fullmatch(said)
        unit = match["unit"].lower() if match else ""
        if match and unit in sizes:
            return units.parse_number(match["number"]) * sizes[unit]
        near = UnknownName("unit", unit, sizes).nearest if unit else ()
        offer = f"Did you mean “{near[0]}”? " if near else ""
        shown = said if len(said) <= 60 else f"{said[:60]}…"
        raise BadInput(f"“{shown}” is not {what}.", remedy=f"{offer}Write it with its unit, such as “{example}”.")

    return read
