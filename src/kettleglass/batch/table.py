"""Weight logs as CSV: read with the tolerance that spreadsheets need, every row that cannot be read said and kept.

Columns `day,weight_g` or `date,weight_g`, in any order; `remark` and `broke` may follow. Comma, semicolon or tab
between them; a decimal comma where it can mean nothing else. Without a line of heads, day or date and weight are the
first two.
"""

from __future__ import annotations

import csv
import io
import math
import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from kettleglass.batch.weights import MOST_DAYS, Weighing, WeightLog
from kettleglass.errors import BadInput, Finding
from kettleglass.units import parse_mass, parse_number

HEADS = {
    "day": "day", "days": "day", "d": "day", "date": "date", "weight_g": "weight", "weight": "weight",
    "grams": "weight", "g": "weight", "weight (g)": "weight", "weight [g]": "weight", "mass_g": "weight",
    "mass": "weight", "remark": "remark", "remarks": "remark", "note": "remark", "notes": "remark",
    "broke": "broke", "broken": "broke",
}  # fmt: skip
YES = frozenset({"yes", "y", "x", "1", "true", "broke"})
NO = frozenset({"", "no", "n", "0", "false", "-"})
MOST_CHARACTERS = 5_000_000
_DAY_FIRST, _MONTH_FIRST = ("%d/%m/%Y", "%d-%m-%Y"), ("%m/%d/%Y", "%m-%d-%Y")
_PLAIN_DATES = ("%Y-%m-%d", "%Y/%m/%d", "%Y.%m.%d", "%d.%m.%Y")


@dataclass(frozen=True, slots=True)
class UnreadRow:
    """A row that could not be read: its line in the file, from 1, and what stands there."""

    line: int
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ReadWeights:
    """Weighings that were read, sorted by day, the date of day 0 where there are dates; what was not read, with why.

    A row is either a weighing or unread; blank lines are neither.
    """

    weighings: tuple[Weighing, ...]
    first_date: date | None
    unread: tuple[UnreadRow, ...]
    findings: tuple[Finding, ...]

    def log(self, step_g: float = 1.0, pieces: int = 1) -> WeightLog:
        """The weight log of what was read. Raises `BadInput` for an impossible scale or number of pieces."""
        return WeightLog(self.weighings, step_g, pieces, self.first_date)


@dataclass(frozen=True, slots=True)
class _Row:
    line: int
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Entry:
    """What a row says; `day` counts from year 1 where there are dates."""

    row: _Row
    day: float
    grams: float
    remark: str
    broke: bool


def read_weights(content: bytes | str) -> ReadWeights:
    """The weighings of a CSV file; a row that cannot be read becomes a finding, and is kept in `unread`.

    Raises `BadInput` where nothing in the file can be a weight log: no text, no rows, heads without a weight.
    """
    text = _text(content)
    delimiter = _delimiter(text)
    rows = _rows(text, delimiter)
    if not rows:
        raise BadInput("There are no weighings in this file.", remedy="Write “day,weight_g”, then a line a weighing.")
    columns, rows = _columns(rows)
    decimal_comma = delimiter != ","
    to_day, dated = _days(columns, rows, decimal_comma=decimal_comma)
    entries: list[_Entry] = []
    unread, findings = [], []
    for row in rows:
        try:
            entries.append(_entry(row, columns, to_day, decimal_comma=decimal_comma))
        except BadInput as error:
            unread.append(UnreadRow(row.line, row.cells))
            findings.append(_not_read(row, error))
    first = _day_0([entry.day for entry in entries]) if dated else 0
    weighings = []
    for entry in entries:
        try:
            weighings.append(Weighing(entry.day - first, entry.grams, entry.remark, entry.broke))
        except BadInput as error:
            unread.append(UnreadRow(entry.row.line, entry.row.cells))
            findings.append(_not_read(entry.row, error))
    weighings.sort(key=lambda one: one.day)
    return ReadWeights(tuple(weighings), date.fromordinal(first) if first else None, tuple(unread), tuple(findings))


def _day_0(days: Sequence[float]) -> int:
    """The first date, but for slips that lie lifetimes before the middle one."""
    if not days:
        return 0
    middle = sorted(days)[len(days) // 2]
    return math.floor(min(day for day in days if abs(day - middle) <= MOST_DAYS))


def _not_read(row: _Row, error: BadInput) -> Finding:
    text = f"Line {row.line} was not read: {error.what}"
    return Finding("caution", "row-unread", text, error.remedy, f"line {row.line}")


def write_weights(log: WeightLog, unread: Iterable[UnreadRow] = ()) -> str:
    """The log as CSV (comma, decimal point), with dates where they are known; unread rows follow as they stood."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["day" if log.first_date is None else "date", "weight_g", "remark", "broke"])
    for one in log.weighings:
        writer.writerow([_day_cell(log, one.day), repr(one.weight_g), one.remark, "yes" if one.broke else ""])
    for row in unread:
        writer.writerow(row.cells)
    return out.getvalue()


def _day_cell(log: WeightLog, day: float) -> str:
    if log.first_date is None:
        return repr(day)
    whole = int(day // 1.0)
    found = date.fromordinal(log.first_date.toordinal() + whole)
    minutes = round((day - whole) * 1440)
    return found.isoformat() if minutes == 0 else f"{found.isoformat()} {minutes // 60 % 24:02d}:{minutes % 60:02d}"


def _text(content: bytes | str) -> str:
    if isinstance(content, str):
        text = content
    else:
        try:
            text = content.decode("utf-16" if content[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig")
        except UnicodeDecodeError:
            text = content.decode("cp1252", errors="replace")
    if len(text) > MOST_CHARACTERS or "\0" in text:
        raise BadInput("This is no weight log.", remedy="Give a CSV file with the columns day,weight_g.")
    return text.removeprefix("\ufeff")


def _delimiter(text: str) -> str:
    """What stands between the cells: semicolon or tab where every line with numbers has one, else a comma."""
    lines = [line for line in text.splitlines() if line.strip()][:200]
    for mark in (";", "\t"):
        if lines and sum(mark in line for line in lines) > 0.5 * len(lines):
            return mark
    return ","


def _rows(text: str, delimiter: str) -> list[_Row]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, skipinitialspace=True)
    rows: list[_Row] = []
    try:
        for cells in reader:
            tidy = tuple(cell.strip() for cell in cells)
            if any(tidy) and not tidy[0].startswith("#"):
                rows.append(_Row(reader.line_num, tidy))
    except csv.Error as error:
        raise BadInput("This file cannot be read as CSV.", why=f"{error}.", remedy="Save it as CSV again.") from error
    return rows


def _columns(rows: list[_Row]) -> tuple[dict[str, int], list[_Row]]:
    """Which column is which, and the rows below the heads."""
    known = [HEADS.get(cell.strip("\"' ").casefold()) for cell in rows[0].cells]
    if not any(known):
        if any(character.isdigit() for character in "".join(rows[0].cells)):
            return {"when": 0, "weight": 1, "remark": 2, "broke": 3}, rows
        raise _no_heads(rows[0])
    columns = {name: known.index(name) for name in ("day", "date", "weight", "remark", "broke") if name in known}
    if "weight" not in columns or not ({"day", "date"} & set(columns)):
        raise _no_heads(rows[0])
    return columns | {"when": columns.get("date", columns.get("day", 0))}, rows[1:]


def _no_heads(row: _Row) -> BadInput:
    return BadInput(
        f"The heads “{', '.join(row.cells)[:80]}” name no day and weight.",
        remedy="Call the columns day (or date) and weight_g.",
    )


def _days(columns: dict[str, int], rows: Sequence[_Row], *, decimal_comma: bool) -> tuple[Callable[[str], float], bool]:
    """How the first column is read, as a day or, where most of it is dates, as the ordinal of a date."""
    cells = [row.cells[columns["when"]] for row in rows if len(row.cells) > columns["when"]]
    dated = "date" in columns or ("day" not in columns and any(re.search(r"\d[-/.]\d+[-/.]\d", cell) for cell in cells))
    if not dated:
        return lambda cell: _number(cell, "day", decimal_comma=decimal_comma), False
    orders = [order for order in (_DAY_FIRST, _MONTH_FIRST) if all(_fits(cell, order) for cell in cells)]
    formats = (*_PLAIN_DATES, *(orders[0] if len(orders) == 1 else ()))
    return lambda cell: _ordinal(cell, formats), True


def _fits(cell: str, order: tuple[str, ...]) -> bool:
    """Whether a cell can be read in an order of day and month; other cells do not matter."""
    unclear = re.match(r"(\d{1,2}[/-]\d{1,2}[/-]\d{4})", cell)
    return unclear is None or _as_date(unclear[1], order) is not None


def _as_date(text: str, formats: Iterable[str]) -> date | None:
    for one in formats:
        try:
            return datetime.strptime(text, one).date()  # noqa: DTZ007 - a date on a log has no zone
        except ValueError:
            continue
    return None


def _ordinal(cell: str, formats: tuple[str, ...]) -> float:
    """Days since year 1 of a date, with its time of day where one follows."""
    match = re.fullmatch(r"(\S+?)(?:[T ]+(\d{1,2}):(\d{2})(?::\d{2}(?:\.\d+)?)?Z?)?", cell)
    found = _as_date(match[1], formats) if match else None
    if match is None or found is None:
        raise BadInput(f"“{cell[:40]}” is not a date that can be read one way.", remedy="Write it as 2026-03-05.")
    hours = (int(match[2]) * 60 + int(match[3])) / 1440.0 if match[2] else 0.0
    if hours >= 1.0:
        raise BadInput(f"“{cell[:40]}” has no time of day.", remedy="Write it as 2026-03-05 14:30.")
    return found.toordinal() + hours


def _entry(row: _Row, columns: dict[str, int], to_day: Callable[[str], float], *, decimal_comma: bool) -> _Entry:
    most = max(columns.values())
    if len(row.cells) > most + 1 and any(row.cells[most + 1 :]) and "remark" not in columns:
        raise BadInput(
            f"it has {len(row.cells)} cells where {most + 1} are meant.",
            remedy="Write a decimal point, or put a semicolon between the cells.",
        )
    day, weight, remark, broke = (_cell(row, columns, name) for name in ("when", "weight", "remark", "broke"))
    if not day or not weight:
        raise BadInput(f"the {'weight' if day else 'day'} is missing.", remedy="Give a day and a weight.")
    said = broke.casefold()
    if said not in YES | NO:
        raise BadInput(f"“{broke[:40]}” under “broke” is neither yes nor no.", remedy="Write yes or leave it empty.")
    return _Entry(row, to_day(day), _grams(weight, decimal_comma=decimal_comma), remark, said in YES)


def _cell(row: _Row, columns: dict[str, int], name: str) -> str:
    place = columns.get(name)
    return row.cells[place] if place is not None and place < len(row.cells) else ""


def _grams(cell: str, *, decimal_comma: bool) -> float:
    if re.search(r"[a-zA-Z]", cell):
        return parse_mass(_point(cell, decimal_comma=decimal_comma))
    found = _number(cell, "weight", decimal_comma=decimal_comma)
    if found <= 0.0:
        raise BadInput(f"the weight {cell[:40]} is not above zero.", remedy="Give what the scale showed.")
    return found


def _number(cell: str, what: str, *, decimal_comma: bool) -> float:
    try:
        return parse_number(_point(cell, decimal_comma=decimal_comma))
    except BadInput as error:
        raise BadInput(f"the {what} “{cell[:40]}” is not one number.", remedy=error.remedy) from error


def _point(cell: str, *, decimal_comma: bool) -> str:
    """A decimal comma as a point, where the comma parts nothing else: between semicolons or tabs, and alone."""
    return cell.replace(",", ".") if decimal_comma and cell.count(",") == 1 and "." not in cell else cell
