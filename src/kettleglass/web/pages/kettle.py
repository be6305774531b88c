"""What is typed on the plan page while one cooks: the kettle before and now, the syrup, and weighings that are kept."""

from __future__ import annotations

from starlette.responses import HTMLResponse, Response

from kettleglass.web import rendering
from kettleglass.web.asking import Ask, go
from kettleglass.web.pages.plan import (
    Table,
    answer_values,
    keep_typed_on_plan,
    kept_alike,
    syrup_values,
    table_of,
    weighed_now,
)
from kettleglass.web.pages.weighed import BACK, SYRUP, Weighing, syrup_in
from kettleglass.web.view.face import Face
from kettleglass.workshop.kettles import keep_kettle_weighing, remove_kettle_weighing


def back(ask: Ask) -> Response:
    """What to add back; with the button that says so, the weighing is kept too. What was typed is kept first."""
    keep_typed_on_plan(ask, BACK)
    table = table_of(ask)
    if table.face is None:
        return _back_to(table, "main", "")
    weighing = weighed_now(ask, table, table.face)
    if ask.partial:
        values = {"table": table, "weighing": weighing, **answer_values(table, weighing)}
        return HTMLResponse(rendering.rendered("plan/back_live.html", values))
    said = _kept(ask, table.face, weighing) if ask.typed.get("do") == "keep" else ""
    return _back_to(table, "back", said)


def _kept(ask: Ask, face: Face, weighing: Weighing) -> str:
    """Keep the weighing; the word for what came of it."""
    one = weighing.weighing
    if one is None:
        return "weighing-unread"
    if kept_alike(ask, face, one) is not None:
        return "kept-already"
    keep_kettle_weighing(ask.book, one)
    return "kept-weighing" if weighing.told is not None and weighing.told.times is not None else "kept-unlearnt"


def _back_to(table: Table, place: str, said: str) -> Response:
    """The page again, at the place where the maker was."""
    return go(f"/recipes/{table.shown.saved.id}/plan#{place}", said, **table.shown.asked)


def syrup(ask: Ask) -> Response:
    """How much of the cooked syrup to use. What was typed is kept first."""
    keep_typed_on_plan(ask, SYRUP)
    table = table_of(ask)
    if table.face is None or not ask.partial:
        return _back_to(table, "syrup", "")
    found = syrup_in(table.typed, table.face.worked, table.face.shown.hot)
    return HTMLResponse(rendering.rendered("plan/syrup_live.html", syrup_values(table, found)))


def forget(ask: Ask) -> Response:
    """Take a kept weighing out of what is learnt from; its history stays in the book."""
    table = table_of(ask)
    remove_kettle_weighing(ask.book, ask.typed.get("weighing", ""))
    return _back_to(table, "kettle", "weighing-gone")
