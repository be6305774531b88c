"""Every book, paper and standard that a figure comes from, written out once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from kettleglass.errors import BadInput, UnknownName
from kettleglass.materials.tables import number, read_table, table_names

HISTORIC_BEFORE = 1950
"""Compilations older than this rank last: oils were often mixtures, and the methods were not yet agreed."""


@dataclass(frozen=True, slots=True)
class Source:
    """A book, paper, standard or other origin. `short` is how it is named beside a figure; `year` when it appeared."""

    key: str
    short: str
    citation: str
    year: int | None = None

    @property
    def historic(self) -> bool:
        """Whether it is from before 1950."""
        return self.year is not None and self.year < HISTORIC_BEFORE

    def named(self, detail: str = "") -> str:
        """The short name with the place in it, such as a table."""
        return f"{self.short}, {detail}" if detail else self.short


@cache
def bibliography() -> Mapping[str, Source]:
    """All sources by their key: the table ``sources``, and tables such as ``sources_spirits`` beside it.

    Raises `BadInput` for a key that stands in two places.
    """
    entries: dict[str, Source] = {}
    for table in table_names():
        if table == "sources" or table.startswith("sources_"):
            for row in read_table(table):
                year, key = number(row, "year"), row["key"]
                if key in entries:
                    raise BadInput(f"The source “{key}” is written out twice.", remedy="Keep one of the two rows.")
                entries[key] = Source(key, row["short"], row["citation"], None if year is None else int(year))
    return entries


def source_of(key: str) -> Source:
    """The source of a key; raises `UnknownName`, which offers the nearest keys."""
    try:
        return bibliography()[key]
    except KeyError:
        raise UnknownName("source", key, bibliography()) from None
