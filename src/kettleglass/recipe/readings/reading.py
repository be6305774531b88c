"""A reading: a number shown to a person, with its band, its working, its inputs and its sources."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from kettleglass.errors import BadInput
from kettleglass.materials.figure import KNOWN, Known

Pair = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Reading:
    """One number that can be asked: `working` says in words and figures how `value` came about.

    `value` is None when it cannot be said; then `working` says why. `low` and `high` are its band, and `band_says` of
    what (9 in 10 pots, unless something else); `inputs` what went in, `sources` where that is from, `known` the least
    well known of them.
    """

    key: str
    label: str
    value: float | None
    unit: str
    working: str
    low: float | None = None
    high: float | None = None
    inputs: tuple[Pair, ...] = ()
    sources: tuple[str, ...] = ()
    known: Known = "derived"
    decimals: int = 1
    band_says: str = "Nine in ten pots"

    def __post_init__(self) -> None:
        if self.value is not None and not math.isfinite(self.value):
            raise BadInput(f"The reading “{self.key}” is not a number.", remedy="Report this: it is a fault of ours.")

    @property
    def text(self) -> str:
        """The value as shown, without its unit; a dash when it cannot be said."""
        return number_text(self.value, self.decimals)

    @property
    def band_text(self) -> str:
        """The band as shown, with its unit, or nothing."""
        if self.low is None or self.high is None:
            return ""
        return f"{number_text(self.low, self.decimals)} to {number_text(self.high, self.decimals)} {self.unit}".strip()

    @property
    def provisional(self) -> bool:
        """Whether it rests on a figure that nobody has seen in its source."""
        return self.known in ("memory", "assumed")

    def as_dict(self) -> dict[str, object]:
        """Full precision, for JSON, with the unit in the keys (`value_g`, `low_percent` ...)."""
        unit = unit_key(self.unit)
        return {
            "key": self.key,
            "label": self.label,
            f"value_{unit}": self.value,
            f"low_{unit}": self.low,
            f"high_{unit}": self.high,
            "unit": self.unit,
            "working": self.working,
            "inputs": [list(pair) for pair in self.inputs],
            "sources": list(self.sources),
            "known": self.known,
        }


_UNIT_KEYS = {"%": "percent", "% NaOH": "percent_naoh", "% of fats": "percent_of_fats", ": 1": "ratio", "L": "l",
               "°C": "c", "m3/h": "m3_per_h", "g/min": "g_per_min"}  # fmt: skip


def unit_key(unit: str) -> str:
    """How a unit is written within a key of JSON."""
    return _UNIT_KEYS.get(unit, unit.lower().replace(" ", "_"))


def number_text(value: float | None, decimals: int) -> str:
    """A number as people read it: fixed decimals, a true minus sign, never “-0”."""
    if value is None:
        return "–"
    text = f"{value:.{decimals}f}"
    if float(text) == 0.0:
        text = text.lstrip("-")
    return text.replace("-", "\N{MINUS SIGN}")


def least_known(known: Iterable[Known]) -> Known:
    """The least well known of several, ``derived`` when there are none."""
    ranks = [KNOWN.index(k) for k in known]
    return KNOWN[max(ranks)] if ranks else "derived"
