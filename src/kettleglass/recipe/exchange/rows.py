"""On which line of a recipe text each field stands, so that a remark can point at it."""

from __future__ import annotations

import re

_HEADING = re.compile(r"""[ \t]*(\[\[?)[ \t]*["']?([^\]"'.]+?)["']?[ \t]*\]""")
_ENTRY = re.compile(r"""[ \t]*["']?([^\s"'=.\[\]#]{1,80})["']?[ \t]*[=.]""")


def rows_of(text: str) -> dict[tuple[str, int, str], int]:
    """Line numbers from 1 by section, which of several (from 0), and field; the field "" is the heading itself.

    A plain scan: inline tables are not followed, and lines of a long text that look like fields may be taken for
    them, but the first of each name is the one that counts.
    """
    rows: dict[tuple[str, int, str], int] = {}
    times: dict[str, int] = {}
    section, index = "", 0
    for number, row in enumerate(text.split("\n"), start=1):
        if heading := _HEADING.match(row):
            section = heading[2]
            index = times.get(section, 0) if heading[1] == "[[" else 0
            times[section] = index + 1
            rows.setdefault((section, index, ""), number)
        elif entry := _ENTRY.match(row):
            key = (section, index, entry[1]) if section else (entry[1], 0, "")
            rows.setdefault(key, number)
    return rows
