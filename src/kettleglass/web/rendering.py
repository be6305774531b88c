"""Templates to pages: one environment, strict about names, safe about text."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from functools import lru_cache
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from starlette.responses import HTMLResponse

from kettleglass import __version__
from kettleglass.recipe.compare import LineChange
from kettleglass.recipe.readings import number_text
from kettleglass.web.view.sentences import shown_name
from kettleglass.workshop import size_said

HERE = Path(__file__).parent
STATIC = HERE / "static"
VERBS = {
    "save": "saved", "rename": "renamed", "copy": "copied", "restore": "brought back", "undo": "taken back",
    "redo": "done again", "remove": "removed",
}  # fmt: skip
"""What happened to a version, in words."""
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


@lru_cache(maxsize=1)
def environment() -> Environment:
    """The templates of the pages; a name that is not given is a fault, not an empty space."""
    made = Environment(
        loader=FileSystemLoader(HERE / "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
    made.globals |= {
        "static": static_address,
        "version": __version__,
        "verbs": VERBS,
        "difference": difference,
        "zip": zip,
    }
    made.filters |= {"number": number_text, "moment": moment, "shown": shown_name, "size": size_said}
    return made


@lru_cache(maxsize=32)
def static_address(name: str) -> str:
    """The address of a built file, with a stamp that changes with it, so that a browser may keep it."""
    try:
        kept = (STATIC / name).stat()
    except OSError:
        return f"/static/{name}"
    return f"/static/{name}?v={kept.st_mtime_ns ^ kept.st_size:x}"


def moment(at: datetime) -> str:
    """A moment on the clock of this machine: “25 Nov 2026, 14:02”."""
    local = at.astimezone()
    return f"{local.day} {_MONTHS[local.month - 1]} {local.year}, {local:%H:%M}"


def difference(change: LineChange) -> str:
    """How much more or less there is now, with its sign; a word where one side has none."""
    if change.before is None or change.after is None:
        return "new" if change.before is None else "left out"
    more = change.after - change.before
    return f"{'+' if more > 0 else ''}{number_text(more, change.decimals)} {change.unit}".strip()


def rendered(template: str, values: Mapping[str, object]) -> str:
    """The text of a template with these values."""
    return environment().get_template(template).render(values)


def page(template: str, values: Mapping[str, object], status: int = 200) -> HTMLResponse:
    """An answer made of a template with these values."""
    return HTMLResponse(rendered(template, values), status)
