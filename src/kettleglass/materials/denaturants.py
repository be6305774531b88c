"""What is put into alcohol so that nobody drinks it, and whether soap can be made with it: a table, by name or CAS."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import cast

from kettleglass.errors import BadInput, Finding, Level
from kettleglass.materials.figure import Known
from kettleglass.materials.substances import salt
from kettleglass.materials.tables import Row, known_of, number, read_table, words

_CAS = re.compile(r"\b(\d{2,7})-(\d{2})-(\d)\b")
_PLAIN_WORDS = re.compile(r"\b(anhydrous|absolute|pure|purified|usp|nf|bp|ep|grade|cas|no|number|min|max)\b")
_UNDECLARED = re.compile(
    r"\b(denatured|denat|methylated|meths|stove fuel|fuel alcohol|alcohol fuel|bioethanol fuel|solvent alcohol|"
    r"surgical spirits?|hardware(?: store)?)\b"
)


@dataclass(frozen=True, slots=True)
class Denaturant:
    """A part of a bought alcohol: its species in g/g, and the mass fraction above which it spoils soap.

    `remark` is the level of what is said below that limit, empty for nothing. `density_g_ml` holds at 20 °C.
    """

    name: str
    names: tuple[str, ...]
    cas: tuple[str, ...]
    species: Mapping[str, float]
    density_g_ml: float | None
    unsuitable_above: float | None
    remark: str
    reason: str
    advice: str
    source: str
    known: Known

    def unsuitable(self, fraction: float) -> bool:
        """Whether so much of it (g/g) spoils the alcohol for soap."""
        return self.unsuitable_above is not None and fraction > self.unsuitable_above

    def finding(self, fraction: float, said: str) -> Finding | None:
        """What to mind when up to `fraction` (g/g) of it may be there; `said` is how much, in words."""
        spoils = self.unsuitable(fraction)
        if not fraction > 0.0 or not (spoils or self.remark):
            return None
        level = cast(Level, "danger" if spoils else self.remark)
        code = {"danger": "component-unsuitable", "caution": "component-minded", "note": "component-harmless"}[level]
        text = f"{self.name[0].upper()}{self.name[1:]}, {said}. {self.reason}."
        return Finding(level, code, text, self.advice, where=self.name, source=self.source)


def _species(cell: str) -> dict[str, float]:
    """Species of "0.5 sodium+hydroxide; 0.5 water"."""
    out: dict[str, float] = {}
    for part in words(cell):
        share, ids = part.split(" ", 1)
        for species_id, mass in salt(*ids.split("+")).items() if "+" in ids else ((ids, 1.0),):
            out[species_id] = out.get(species_id, 0.0) + float(share) * mass
    return out


@cache
def spirit_sources() -> Mapping[str, str]:
    """Short names of the sources of these tables, by key."""
    return {row["key"]: row["short"] for table in ("sources", "sources_spirits") for row in read_table(table)}


def source_text(row: Row) -> str:
    """How the source of a row is named beside a figure."""
    return ", ".join(filter(None, (spirit_sources()[row["source_key"]], row["detail"])))


def _denaturant(row: Row) -> Denaturant:
    limit = number(row, "unsuitable_above_percent")
    return Denaturant(
        name=row["name"],
        names=(row["name"].lower(), *words(row["aliases"])),
        cas=words(row["cas"]),
        species=_species(row["parts"]),
        density_g_ml=number(row, "density_g_ml"),
        unsuitable_above=None if limit is None else limit / 100.0,
        remark=row["remark"],
        reason=row["reason"],
        advice=row["advice"],
        source=source_text(row),
        known=known_of(row),
    )


@cache
def denaturants() -> Mapping[str, Denaturant]:
    """Every known part of bought alcohol by its name, water and the alcohols themselves included."""
    return {row["name"]: _denaturant(row) for row in read_table("denaturants")}


@cache
def _index() -> Mapping[str, Denaturant]:
    return {key: entry for entry in denaturants().values() for key in (*entry.names, *entry.cas)}


def cas_number(text: str) -> str | None:
    """The CAS number in a text, None if there is none; raises `BadInput` when its check digit is wrong.

    The check digit is the sum of the other digits, each times its place from the right, modulo 10 (CAS).
    """
    match = _CAS.search(text)
    if match is None:
        return None
    digits = reversed(match[1] + match[2])
    if sum(place * int(digit) for place, digit in enumerate(digits, 1)) % 10 != int(match[3]):
        raise BadInput(
            f"{match[0]} is not a CAS number: its last digit does not fit the others.",
            remedy="Compare it with the data sheet; a digit is mistyped.",
        )
    return match[0]


def find_denaturant(text: str) -> Denaturant | None:
    """The part of an alcohol that a name or CAS number on a data sheet means, None where it is not in the table.

    Raises `BadInput` for a mistyped CAS number.
    """
    cas = cas_number(text)
    if cas is not None and cas in _index():
        return _index()[cas]
    said = _CAS.sub(" ", text.lower())
    inside = re.findall(r"\(([^)]*)\)", said)
    for name in (said, re.sub(r"\([^)]*\)", " ", said), *inside, said.split(",")[0]):
        for tried in (name, _PLAIN_WORDS.sub(" ", name)):
            found = _index().get(" ".join(tried.split()).strip(" ,;:-()[]."))
            if found is not None:
                return found
    return None


def undeclared_spirit(text: str) -> Finding | None:
    """What to mind of "denatured alcohol", "meths" or stove fuel: nobody says what is in it. None for other names."""
    if cas_number(text) is not None or not _UNDECLARED.search(" ".join(re.sub(r"[^a-z ]", " ", text.lower()).split())):
        return None
    return Finding(
        "danger",
        "spirit-undeclared",
        f"“{text[:60]}” does not say what it was denatured with. Hardware-store alcohol is fuel of undeclared make-up, "
        "often largely methanol, which blinds and is taken up through skin and lung.",
        "Do not make soap with it. Get its data sheet and enter it line by line, or buy SDA 40-B, SDA 3-C or "
        "undenatured spirit.",
        where=text[:60],
        source="make-up from memory; 16 CFR 1700.14(a)(8) on methanol",
    )
