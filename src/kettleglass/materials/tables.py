"""Reads and checks the package's tables: the only files that are read below the workshop.

A table is UTF-8 text in `data/`, commas between cells, its first row the names of the columns. Numbers stand in the
units of their source; whoever builds a material converts them.
"""

from __future__ import annotations

import csv
import hashlib
import math
from collections.abc import Iterable, Mapping
from functools import cache
from importlib.resources import files

from kettleglass.errors import BadInput, UnknownName
from kettleglass.materials.figure import KNOWN, Known

Row = Mapping[str, str]
"""One row: column name to text, blanks at both ends taken off."""


@cache
def _contents() -> dict[str, bytes]:
    folder = files("kettleglass.materials").joinpath("data")
    names = sorted(entry.name for entry in folder.iterdir() if entry.name.endswith(".csv"))
    return {name.removesuffix(".csv"): folder.joinpath(name).read_bytes() for name in names}


def table_names() -> tuple[str, ...]:
    """The names of the tables, without ``.csv``, in order of the alphabet."""
    return tuple(_contents())


@cache
def tables_version() -> str:
    """Twelve hexadecimal digits that change whenever any table changes (SHA-256 over names and bytes)."""
    digest = hashlib.sha256()
    for name, content in _contents().items():
        digest.update(f"{name}:{len(content)}:".encode() + content)
    return digest.hexdigest()[:12]


@cache
def read_table(name: str) -> tuple[Row, ...]:
    """The rows of a table in order, every cell as text.

    Raises `UnknownName` when there is no such table, `BadInput` for a row with too many or too few cells.
    """
    if name not in _contents():
        raise UnknownName("table", name, _contents())
    lines = csv.reader(_contents()[name].decode("utf-8").splitlines(), strict=True)
    columns = tuple(next(lines))
    rows = []
    for cells in lines:
        if len(cells) != len(columns):
            raise BadInput(
                f"A row of the table “{name}” has {len(cells)} cells where there are {len(columns)} columns.",
                why=f"It begins “{', '.join(cells[:3])}”.",
                remedy="Put cells that hold commas in quotation marks.",
            )
        rows.append(dict(zip(columns, map(str.strip, cells), strict=True)))
    return tuple(rows)


@cache
def table_by(name: str, column: str) -> Mapping[str, tuple[Row, ...]]:
    """The rows of a table grouped by what stands in a column, in order; same errors as `read_table`."""
    grouped: dict[str, list[Row]] = {}
    for row in read_table(name):
        grouped.setdefault(row[column], []).append(row)
    return {key: tuple(rows) for key, rows in grouped.items()}


def number(row: Row, column: str) -> float | None:
    """The number in a cell, None where the cell is empty; raises `BadInput` for anything else."""
    text = row[column]
    if not text:
        return None
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise BadInput(
            f"“{text}” in the column “{column}” is not a number.",
            why=f"The row is {', '.join(list(row.values())[:3])}.",
            remedy="Write a plain number with a point, or leave the cell empty.",
        )
    return value


def known_of(row: Row) -> Known:
    """How the figures of a row are known; raises `BadInput` for a word that is not one of `KNOWN`."""
    if row["known"] not in KNOWN:
        raise BadInput(f"A row is marked “{row['known']}”.", remedy=f"Use one of {', '.join(KNOWN)}.")
    return row["known"]


def words(text: str, separator: str = ";") -> tuple[str, ...]:
    """The parts of a cell that holds several, such as ``read; memory``; empty parts are left out."""
    return tuple(part.strip() for part in text.split(separator) if part.strip())


def only(rows: Iterable[Row], column: str, value: str) -> tuple[Row, ...]:
    """The rows that hold this value in that column."""
    return tuple(row for row in rows if row[column] == value)
