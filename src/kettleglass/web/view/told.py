"""Times, temperatures and masses as a person says them, with no-break spaces between figure and unit."""

from __future__ import annotations

import re
from dataclasses import dataclass

from kettleglass.cook.boil import Boils
from kettleglass.science.heat.warming import Band
from kettleglass.units import UnitSystem, format_mass

NBSP = "\N{NO-BREAK SPACE}"
_HOUR_MIN = 60.0
_LONG_MIN = 90.0
_APART = re.compile(r"(?<=\d) (?=(?:°C|°F|°Brix|%|g|kg|min|mL|L)\b|°|%)")


def tied(text: str) -> str:
    """The text with its figures tied to their units, so that no line breaks between them."""
    return _APART.sub(NBSP, text)


def clock(minutes: float) -> str:
    """“45 min”, “2 h 5 min”."""
    whole = round(minutes)
    if whole < _LONG_MIN:
        return f"{whole}{NBSP}min"
    hours, rest = divmod(whole, round(_HOUR_MIN))
    return f"{hours}{NBSP}h {rest}{NBSP}min" if rest else f"{hours}{NBSP}h"


def between(start_min: float, end_min: float) -> str:
    """“29–39 min”; one figure for what takes no time."""
    start, end = round(start_min), round(end_min)
    return f"{start}{NBSP}min" if start == end else f"{start}–{end}{NBSP}min"


def number(value: float) -> str:
    """A whole number with a true minus."""
    shown = f"{value:.0f}"
    return "0" if shown == "-0" else shown.replace("-", "\N{MINUS SIGN}")


def degrees(value_c: float) -> str:
    """“80 °C”; a tenth where the maker gave one."""
    shown = number(value_c) if abs(value_c - round(value_c)) < 0.05 else f"{value_c:.1f}".replace("-", "\N{MINUS SIGN}")
    return f"{shown}{NBSP}°C"


def ends(band: Band) -> str:
    """“81 to 84”, or nothing where both are the same whole number."""
    low, high = number(band.low), number(band.high)
    return "" if low == high else f"{low} to {high}"


def band_of(boils: Boils | None) -> Band | None:
    """A bubble point as a band."""
    return None if boils is None else Band(boils.low_c, boils.likely_c, boils.high_c)


@dataclass(frozen=True, slots=True)
class Weights:
    """Masses in the unit of the page."""

    system: UnitSystem

    def __call__(self, mass_g: float, step_g: float = 1.0) -> str:
        """“66.4 g”, “2 lb 4 oz”."""
        return format_mass(mass_g, step_g, self.system).replace(" ", NBSP)

    def band(self, band: Band) -> str:
        """“42 g (38 to 46)”; nothing in brackets where both ends are shown alike."""
        low, likely, high = (self(value) for value in band)
        if low == high:
            return likely
        return f"{likely} ({low.removesuffix(f'{NBSP}g')} to {high.removesuffix(f'{NBSP}g')})"
