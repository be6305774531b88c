"""A report file for when our own code fails: what was typed, where it failed, which version. Nothing about the person.

Needs no database library, since the database may be what failed.
"""

from __future__ import annotations

import os
import platform
import re
import secrets
import sys
import traceback
from collections.abc import Mapping
from datetime import UTC, datetime
from pathlib import Path

from kettleglass import __version__
from kettleglass.errors import KettleglassError

_PACKAGE = Path(__file__).resolve().parents[1]
_SECRET = re.compile(r"pass|secret|token|cookie|pairing|authori[sz]ation", re.IGNORECASE)
_INTRO = """Kettleglass report file

Kettleglass failed; this is what its makers need to find out why. Below stands what was typed on the
page, so read it before you hand it on. Your name and folders were left out.
"""


def write_report(
    home: str | os.PathLike[str], error: BaseException, given: Mapping[str, object] | str, *, where: str, now: datetime
) -> Path:
    """The path of the report, a text file in `reports` under the home folder.

    `given` is what was typed (a form or a text) and is kept in full, pass phrases apart; `where` names
    the page or command. Raises `KettleglassError` when the folder cannot be written.
    """
    stamp = now.astimezone(UTC)
    path = Path(home) / "reports" / f"report-{stamp:%Y%m%dT%H%M%SZ}-{secrets.token_hex(3)}.txt"
    text = report_text(error, given, where=where, now=stamp, home=Path(home))
    beside = path.with_suffix(".part")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        beside.write_text(text, encoding="utf-8", errors="backslashreplace")
        beside.replace(path)
    except OSError as failure:
        raise KettleglassError(
            "The report file could not be written.", why=f"{failure.strerror}.", remedy="Copy your text from the page."
        ) from failure
    return path


def report_text(
    error: BaseException, given: Mapping[str, object] | str, *, where: str, now: datetime, home: Path
) -> str:
    """The report as text, without folders of the person and without host or user names."""
    frames = "".join(traceback.format_exception(error))
    system = f"Kettleglass {__version__}, Python {platform.python_version()}, {platform.system()} {platform.machine()}"
    parts = (
        _INTRO, f"When: {now:%Y-%m-%d %H:%M:%S} UTC", f"Where: {where}", f"With: {system}", "",
        "What failed", "-----------", _without_folders(frames, home), "What was typed", "--------------", _typed(given),
    )  # fmt: skip
    return "\n".join(parts) + "\n"


def _typed(given: Mapping[str, object] | str) -> str:
    if isinstance(given, str):
        return given
    return "\n".join(f"{field}:\n{_indented(field, value)}" for field, value in given.items())


def _indented(field: str, value: object) -> str:
    text = "(left out)" if _SECRET.search(field) else str(value)
    return "\n".join(f"    {line}" for line in text.split("\n"))


def _without_folders(text: str, home: Path) -> str:
    """Long paths first, so that a folder inside another is named by the nearest."""
    folders = {
        str(_PACKAGE): "kettleglass", str(home.absolute()): "(home folder)", str(home.resolve()): "(home folder)",
        sys.prefix: "(python)", sys.base_prefix: "(python)", str(Path.home()): "~", str(Path.cwd()): ".",
    }  # fmt: skip
    for folder in sorted(folders, key=len, reverse=True):
        if len(folder) > 1:
            text = text.replace(folder, folders[folder])
    return text
