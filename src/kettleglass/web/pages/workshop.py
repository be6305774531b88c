"""Which workshop is looked at: the invented one, or the maker's own."""

from __future__ import annotations

from starlette.responses import Response

from kettleglass.web.asking import WORKSHOP, Ask, go

YEAR_S = 31_536_000


def choose(ask: Ask) -> Response:
    """Begin one's own workshop, go back to it, or look at the invented one."""
    which = "own" if ask.typed.get("which") == "own" else "invented"
    begun = which == "own" and not ask.desk.own_begun
    ask.desk.book(invented=which == "invented")
    return into(go("/", "begun" if begun else ""), which)


def into(answer: Response, which: str) -> Response:
    """The answer, after which that workshop is looked at."""
    answer.set_cookie(WORKSHOP, which, max_age=YEAR_S, httponly=True, samesite="lax")
    return answer
