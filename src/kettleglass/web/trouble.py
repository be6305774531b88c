"""Pages for when something cannot be done, or failed: what, why, what to do; what was typed stays on the page."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from kettleglass.errors import BadInput, KettleglassError, UnknownName
from kettleglass.web import rendering
from kettleglass.web.guard import ForeignRequest, TooMuch
from kettleglass.workshop import NoSuchEntry, NothingToUndo, Stale, StoreTrouble, report_text, utc_now, write_report

STATUS: tuple[tuple[type[KettleglassError], int], ...] = (
    (ForeignRequest, 403), (TooMuch, 413), (NoSuchEntry, 404), (UnknownName, 404), (Stale, 409),
    (NothingToUndo, 409), (StoreTrouble, 503), (BadInput, 422), (KettleglassError, 400),
)  # fmt: skip
"""Which status a refusal has; the first class that fits counts."""
REPORT_PATH = "/reports/{name}"
_THEMES = ("light", "dark")


def status_of(error: KettleglassError) -> int:
    """The status with which an error raised on purpose is answered."""
    return next(status for kind, status in STATUS if isinstance(error, kind))


def refused(request: Request, error: KettleglassError, typed: Mapping[str, str]) -> Response:
    """The answer to what cannot be done as asked."""
    status = status_of(error)
    if _wants_json(request):
        said = {"what": error.what, "why": error.why, "remedy": error.remedy}
        return JSONResponse({"error": said}, status)
    return _shown(request, status, what=error.what, why=error.why, remedy=error.remedy, kept=_kept(typed))


def failed(request: Request, error: BaseException, given: Mapping[str, str] | bytes) -> Response:
    """The answer when our own code failed: what was typed, and a report file for whoever can mend it."""
    typed = given.decode("utf-8", "replace") if isinstance(given, bytes) else dict(given)
    where = f"{request.method} {request.url.path}"
    home: Path = request.app.state.desk.settings.home
    try:
        report = write_report(home, error, typed, where=where, now=utc_now()).name
        text = ""
    except KettleglassError:
        report, text = "", report_text(error, typed, where=where, now=utc_now(), home=home)
    if _wants_json(request):
        return JSONResponse({"error": {"what": OURS, "report": report or text}}, 500)
    kept = typed if isinstance(typed, str) else _kept(typed)
    return _shown(request, 500, what=OURS, why=NOTHING_LOST, remedy=TRY, kept=kept, report=report, report_said=text)


OURS = "Kettleglass failed here. The fault is ours, not yours."
NOTHING_LOST = "What you typed is below, and what was saved before is untouched."
TRY = "Go back and try once more. If it happens again, hand the report file to whoever looks after Kettleglass."


async def unknown_address(request: Request, error: Exception) -> Response:
    """The answer to an address or a way of asking that does not exist here."""
    status = error.status_code if isinstance(error, HTTPException) else 404
    what, remedy = _SAID.get(status, (f"This cannot be answered (status {status}).", "Go back to your recipes."))
    if _wants_json(request):
        return JSONResponse({"error": {"what": what, "why": "", "remedy": remedy}}, status)
    headers = dict(error.headers or {}) if isinstance(error, HTTPException) else {}
    shown = _shown(request, status, what=what, why="", remedy=remedy)
    shown.headers.update(headers)
    return shown


_SAID = {
    400: ("What was sent cannot be read.", "Go back, load the page anew and send it once more."),
    404: ("There is no page at this address.", "Go to your recipes, or look for a material."),
    405: ("This address cannot be used like this.", "Open the page itself and press the button there."),
}


async def last_resort(request: Request, error: Exception) -> Response:
    """The answer when even the frame around the pages failed."""
    return failed(request, error, b"")


def _wants_json(request: Request) -> bool:
    return request.url.path.startswith("/api/")


def _kept(typed: Mapping[str, str]) -> str:
    """What was typed, one field a paragraph; empty fields are left out."""
    return "\n".join(f"{name}: {text}" for name, text in typed.items() if text.strip() and not name.startswith("ui."))


def _shown(request: Request, status: int, **said: str) -> Response:
    values = {"why": "", "remedy": "", "kept": "", "report": "", "report_said": "", **said}
    if request.headers.get("hx-request") == "true":
        return rendering.page("trouble/part.html", values, status)
    theme = request.cookies.get("theme")
    frame = {"theme": theme if theme in _THEMES else "", "here": request.url.path, "status": status}
    return rendering.page("trouble/page.html", {**frame, **values}, status)
