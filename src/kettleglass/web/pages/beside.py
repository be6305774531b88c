"""Other sizes and other ways of a recipe, worked out only when they are asked for."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from starlette.responses import HTMLResponse, Response

from kettleglass.cook.scale_up import Scaled, scale_up
from kettleglass.cook.variants import Variant, variants
from kettleglass.errors import KettleglassError
from kettleglass.web import rendering
from kettleglass.web.as_of import AsOf, as_of
from kettleglass.web.asking import Ask, go
from kettleglass.web.at_work import Unreadable
from kettleglass.web.pages.weighed import Fields, mass_in
from kettleglass.web.view import beside
from kettleglass.web.view.told import Weights

DEFAULT_SIZES = {"a": "500 g", "b": "10 kg"}
Found = TypeVar("Found")


def sizes(ask: Ask) -> Response:
    """The recipe at two sizes side by side: what the size changes, and the charge that finishes alike."""
    try:
        shown = as_of(ask)
    except Unreadable:
        return go(f"/recipes/{ask.path('id')}/text")
    typed = {name: ask.query(name) or usual for name, usual in DEFAULT_SIZES.items()}
    fields = Fields(typed)
    read = {typed[name]: fields.one(name, mass_in("g")) for name in typed}
    wanted = {said: size_g for said, size_g in read.items() if size_g is not None}
    found, trouble = _worked(lambda: _sizes(ask, shown, tuple(wanted.values())) if wanted else ())
    return _answer(ask, shown, "sizes", {
        "typed": typed, "size_faults": fields.faults, "trouble": trouble, "sizes": tuple(wanted),
        "rows": tuple(beside.size_rows(found or (), Weights(shown.system))),
        "findings": beside.size_findings(found or ()),
    })  # fmt: skip


def _sizes(ask: Ask, shown: AsOf, sizes_g: tuple[float, ...]) -> tuple[Scaled, ...]:
    shelf = ask.desk.shelf(invented=ask.invented)
    learnt = ask.desk.learnt(shown.recipe, invented=ask.invented)
    altitude_m = ask.desk.settings.altitude_m
    return scale_up(shown.recipe, shelf.find, sizes_g, altitude_m=altitude_m, learnt=learnt)


def ways(ask: Ask) -> Response:
    """The recipe by the other route, and with other spirits at equal grams of alcohol."""
    try:
        shown = as_of(ask)
    except Unreadable:
        return go(f"/recipes/{ask.path('id')}/text")
    found, trouble = _worked(lambda: _ways(ask, shown))
    return _answer(ask, shown, "ways", {
        "trouble": trouble, "rows": beside.way_rows(found or (), Weights(shown.system)),
        "findings": beside.way_findings(found or ()), "cautions": beside.way_cautions(found or ()),
    })  # fmt: skip


def _ways(ask: Ask, shown: AsOf) -> tuple[Variant, ...]:
    shelf = ask.desk.shelf(invented=ask.invented)
    learnt = ask.desk.learnt(shown.recipe, invented=ask.invented)
    return variants(shown.recipe, shelf.find, altitude_m=ask.desk.settings.altitude_m, learnt=learnt)


def _worked(make: Callable[[], Found]) -> tuple[Found | None, KettleglassError | None]:
    """What comes of it, or why it cannot be worked out."""
    try:
        return make(), None
    except KettleglassError as error:
        return None, error


def _answer(ask: Ask, shown: AsOf, what: str, values: dict[str, object]) -> Response:
    """The part of the plan page, or a page of its own where a whole one is wanted."""
    whole = {"shown": shown, "saved": shown.saved, "recipe": shown.recipe, "as_of": shown.said, "what": what, **values}
    if ask.partial:
        return HTMLResponse(rendering.rendered(f"plan/{what}_live.html", whole))
    return ask.page("plan/beside.html", whole)
