"""The maker's own materials and lots, as fields of a form: the typed becomes a material, or a sentence at a field."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import TypeVar

from kettleglass.errors import BadInput, Finding, KettleglassError
from kettleglass.materials import Material
from kettleglass.materials.catalogue import Catalogue
from kettleglass.materials.lots import Measured
from kettleglass.materials.tables import read_table
from kettleglass.science.species import fatty_acid
from kettleglass.units import parse_mass, parse_number, parse_percent

MOST_ROWS = 24
_PLUS_MINUS = re.compile(r"\s*(?:±|\+/-|\+-|\+/−)\s*")
_SPAN = re.compile(r"(?P<low>[\d.,]+)\s*(?:-|–|to)\s*(?P<high>[\d.,]+)")
_ACID_LINE = re.compile(r"(?P<name>.*\S)\s*[:=\s]\s*(?P<share>[\d.,]+)\s*%?")
Typed = Mapping[str, str]
Value = TypeVar("Value")


class AtField(KettleglassError):
    """What stands in one field cannot be used; `field` is its name."""

    def __init__(self, field: str, error: KettleglassError) -> None:
        self.field = field
        super().__init__(error.what, why=error.why, remedy=error.remedy)


@dataclass(frozen=True, slots=True)
class Made:
    """A material that was entered, and what to mind about it."""

    material: Material
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class Entry:
    """What was entered: the fields, the catalogue to look in, and the id that the material is to have."""

    typed: Typed
    catalogue: Catalogue
    id: str


Make = Callable[[Entry], Made]
"""Makes a material of the fields; raises `KettleglassError`, `AtField` where one field is to blame."""


def read_field(typed: Typed, field: str, read: Callable[[str], Value]) -> Value:
    """What a field means; raises `AtField`."""
    try:
        return read(typed.get(field, ""))
    except KettleglassError as error:
        raise AtField(field, error) from error


def named(typed: Typed, field: str = "name") -> str:
    """A name; raises `AtField` when nothing stands there."""
    text = " ".join(typed.get(field, "").split())[:200]
    if not text:
        raise AtField(field, BadInput("It has no name yet.", remedy="Say what you call it."))
    return text


def aliases(typed: Typed) -> tuple[str, ...]:
    """Other names, parted by commas."""
    return tuple(one.strip()[:100] for one in typed.get("aliases", "").split(",") if one.strip())[:20]


def measured(text: str) -> Measured | None:
    """What a certificate says: "257", "257 ± 1", "256–258" (the middle ± half), with or without %; None for nothing."""
    said = text.strip().removesuffix("%").strip()
    if not said:
        return None
    unit = "%" if text.strip().endswith("%") else ""
    span = _SPAN.fullmatch(said)
    if span is not None:
        low, high = parse_number(span["low"], at_least=0.0), parse_number(span["high"], at_least=0.0)
        if high < low:
            raise BadInput(f"“{said}” runs from high to low.", remedy=f"Write {span['high']}–{span['low']}.")
        return Measured(0.5 * (low + high), 0.5 * (high - low), unit)
    value, *rest = _PLUS_MINUS.split(said, maxsplit=1)
    plus_minus = parse_number(rest[0].removesuffix("%").strip(), at_least=0.0) if rest else None
    return Measured(parse_number(value.removesuffix("%").strip(), at_least=0.0), plus_minus, unit)


def percent(text: str) -> float | None:
    """A share in %, None for nothing."""
    return 100.0 * parse_percent(text) if text.strip() else None


def yes_no(text: str) -> bool | None:
    """Yes, no, or not known."""
    return {"yes": True, "no": False}.get(text.strip())


def day(text: str) -> date | None:
    """A date, None for nothing."""
    try:
        return date.fromisoformat(text.strip()) if text.strip() else None
    except ValueError:
        raise BadInput(f"“{text.strip()[:30]}” is not a date.", remedy="Write it as 2026-11-25.") from None


def acids(text: str) -> dict[str, float]:
    """Fatty acids in % by mass of the acids, one a line: "12:0 48" or "lauric 48"."""
    found: dict[str, float] = {}
    for line in filter(str.strip, text.splitlines()[:80]):
        match = _ACID_LINE.fullmatch(line.strip())
        if match is None:
            raise BadInput(f"“{line.strip()[:40]}” does not name an acid and its share.", remedy="Write “12:0 48”.")
        found[_acid_id(match["name"])] = parse_number(match["share"], at_least=0.0, at_most=100.0)
    return found


def _acid_id(said: str) -> str:
    name = said.strip().rstrip(":").lower().removesuffix("acid").strip()
    for row in read_table("fatty_acids"):
        if name in (row["fatty_acid"].lower(), row["common_name"].lower().removesuffix("acid").strip()):
            return row["fatty_acid"]
    return fatty_acid(said.strip()).id


def material_named(catalogue: Catalogue, text: str) -> Material:
    """The material that a text names: by id, by its whole name, or as a strength; raises `UnknownName`, `Ambiguous`."""
    said = " ".join(text.split())[:200]
    if not said:
        raise BadInput("No material is named.", remedy="Choose one of the list.")
    for material in catalogue.find(said, 5):
        if said.lower() in (material.id.lower(), material.name.lower(), *(one.lower() for one in material.aliases)):
            return material
    return catalogue.get(said)


def rows(typed: Typed, first: str, second: str) -> Iterator[tuple[int, str, str]]:
    """Pairs of fields that stand side by side (``first.0``, ``second.0`` and on); empty rows are skipped."""
    for place in range(MOST_ROWS):
        one, other = typed.get(f"{first}.{place}", "").strip(), typed.get(f"{second}.{place}", "").strip()
        if one or other:
            yield place, one, other


def weighed_rows(typed: Typed, catalogue: Catalogue) -> list[tuple[Material, float]]:
    """Materials with their masses in g; raises `AtField`."""
    found = []
    for place, _, mass in rows(typed, "material", "mass"):
        material = read_field(typed, f"material.{place}", lambda text: material_named(catalogue, text))
        if not mass:
            raise AtField(f"mass.{place}", BadInput(f"How much {material.name}?", remedy="Write “500 g”, for example."))
        found.append((material, read_field(typed, f"mass.{place}", parse_mass)))
    return found
