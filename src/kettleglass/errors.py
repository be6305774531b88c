"""The exception family, and `Finding`: a remark on the maker's own data.

An error says what is wrong, why, and what to do about it, in one ready sentence. Faults that sit in
the maker's recipe are not raised but returned as findings, so that nothing typed is ever refused.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Literal

Level = Literal["danger", "caution", "note"]
LEVELS: tuple[Level, ...] = ("danger", "caution", "note")


class KettleglassError(Exception):
    """Base of all errors that Kettleglass raises on purpose."""

    def __init__(self, what: str, *, why: str = "", remedy: str = "") -> None:
        self.what, self.why, self.remedy = what, why, remedy
        super().__init__(self.sentence)

    @property
    def sentence(self) -> str:
        """What, why and what to do, as one text for a person."""
        return " ".join(part for part in (self.what, self.why, self.remedy) if part)

    def __str__(self) -> str:
        return self.sentence


class BadInput(KettleglassError, ValueError):
    """Something that was given cannot be used as it stands."""


class OutOfRange(BadInput):
    """A value lies outside the range in which a formula or table is valid; infinite: beyond it, not known how far."""

    def __init__(
        self, quantity: str, value: float, low: float, high: float, *, unit: str = "",
        source: str = "", remedy: str = "",
    ) -> None:  # fmt: skip
        self.quantity, self.value, self.low, self.high = quantity, value, low, high
        self.unit, self.source = unit, source
        spaced = f" {unit}" if unit else ""
        said = f"is {value:g}{spaced}, outside"
        if math.isinf(value):
            said = "lies above" if value > 0.0 else "lies below"
        super().__init__(
            f"{quantity} {said} {low:g} to {high:g}{spaced}.",
            why=f"That is the range of {source}." if source else "",
            remedy=remedy or f"Give a value between {low:g} and {high:g}{spaced}.",
        )


class Ambiguous(BadInput):
    """What was typed can be read in more than one way; `choices` holds the clear ways to say it."""

    def __init__(self, text: str, choices: Iterable[str], *, why: str) -> None:
        self.text, self.choices = text, tuple(choices)
        offers = " or ".join(f"“{choice}”" for choice in self.choices)
        super().__init__(f"“{text}” can mean more than one thing.", why=why, remedy=f"Write {offers}.")


_FEW = 12


class UnknownName(KettleglassError, KeyError):
    """A name that is not in a table; `nearest` holds the closest known names."""

    def __init__(self, kind: str, name: str, known: Iterable[str]) -> None:
        self.kind, self.name = kind, name
        names = list(known)
        self.nearest = tuple(get_close_matches(name, names, n=3, cutoff=0.5))
        offers = ", ".join(f"“{near}”" for near in self.nearest)
        few = f"Use one of: {', '.join(names)}." if 0 < len(names) <= _FEW else "Search the catalogue for it."
        super().__init__(
            f"There is no {kind} called “{name}”.",
            remedy=f"Did you mean {offers}?" if offers else few,
        )


class Unwelcome(KettleglassError):
    """A calculation that must not be made: the formula does not hold for this material."""


@dataclass(frozen=True, slots=True)
class Finding:
    """A remark on the maker's data: what is so, then what to do; `where` names a line or a field."""

    level: Level
    code: str
    text: str
    advice: str = ""
    where: str = ""
    source: str = ""

    def __post_init__(self) -> None:
        if self.level not in LEVELS:
            raise BadInput(
                f"A finding cannot have the level {self.level!r}.", remedy="Use one of: danger, caution, note."
            )


def most_serious_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings ordered by level, otherwise in the order in which they were given."""
    return tuple(sorted(findings, key=lambda finding: LEVELS.index(finding.level)))
