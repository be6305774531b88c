"""Everything that is published of a material, the figures that count and those that stand back, with their sources."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from kettleglass.materials.bibliography import source_of
from kettleglass.materials.figure import Known
from kettleglass.materials.goods.fats import acid_shares, chosen_row, density_row
from kettleglass.materials.tables import Row, known_of, number, table_by


@dataclass(frozen=True, slots=True)
class Evidence:
    """One published row, in the unit of its source; `counts` says whether the catalogue uses it."""

    quantity: str
    typical: float | None
    low: float | None
    high: float | None
    unit: str
    conditions: str
    source: str
    source_key: str
    known: Known
    counts: bool


_Limits = tuple[float | None, float | None, float | None]


def _limits(row: Row, typical: str, low: str, high: str) -> _Limits:
    return number(row, typical), number(row, low), number(row, high)


def evidence(material_id: str) -> tuple[Evidence, ...]:
    """All rows of the tables on a material of the catalogue, in their order; empty for the maker's own."""
    return (*_properties(material_id), *_acids(material_id), *_parts(material_id), *_figures(material_id))


def _properties(material_id: str) -> Iterator[Evidence]:
    density = density_row(material_id)
    for row in table_by("fat_properties", "fat").get(material_id, ()):
        chosen = density if row["property"] == "relative_density" else chosen_row(material_id, row["property"])
        limits = _limits(row, "typical", "min", "max")
        yield _evidence(row, row["property"], limits, row["unit"], row["conditions"], counts=row is chosen)


def _acids(material_id: str) -> Iterator[Evidence]:
    used = {(share.acid, share.source, share.known) for share in acid_shares(material_id)}
    for row in table_by("fat_fatty_acids", "fat").get(material_id, ()):
        limits = _limits(row, "typical_pct", "min_pct", "max_pct")
        source = source_of(row["source_key"]).named(row["detail"])
        counts = (row["fatty_acid"], source, row["known"]) in used
        yield _evidence(row, row["fatty_acid"], limits, "% of the acids", "", counts=counts)


def _parts(material_id: str) -> Iterator[Evidence]:
    for row in table_by("goods_parts", "good").get(material_id, ()):
        if row["percent"] != "rest":
            limits = _limits(row, "percent", "low", "high")
            yield _evidence(row, row["part"], limits, row["unit"], row["note"], counts=True)


def _figures(material_id: str) -> Iterator[Evidence]:
    for row in table_by("goods_figures", "good").get(material_id, ()):
        limits = _limits(row, "value", "low", "high")
        yield _evidence(row, row["figure"], limits, row["unit"], row["note"], counts=True)


def _evidence(
    row: Row, quantity: str, limits: _Limits, unit: str, conditions: str, *, counts: bool
) -> Evidence:  # fmt: skip
    source = source_of(row["source_key"])
    typical, low, high = limits
    return Evidence(
        quantity.replace("_", " "), typical, low, high, unit, conditions, source.named(row["detail"]), source.key,
        known_of(row), counts,
    )  # fmt: skip
