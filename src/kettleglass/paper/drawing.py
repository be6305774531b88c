"""What every figure hands over: the picture, the sentence that says it, and the table behind it."""

from __future__ import annotations

from dataclasses import dataclass

from kettleglass.errors import BadInput
from kettleglass.paper.svg import Markup


@dataclass(frozen=True, slots=True)
class Table:
    """The figures behind a drawing, for “As a table”: a caption, one header a column, rows of text."""

    caption: str
    headers: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]

    def __post_init__(self) -> None:
        if any(len(row) != len(self.headers) for row in self.rows):
            raise BadInput(f"A row of the table “{self.caption}” does not fit its headers.",
                           remedy="Report this: it is a fault of ours.")  # fmt: skip


@dataclass(frozen=True, slots=True)
class Drawing:
    """One figure: `svg` to show or print, `summary` to read aloud, `table` for who would rather read."""

    svg: Markup
    summary: str
    table: Table
