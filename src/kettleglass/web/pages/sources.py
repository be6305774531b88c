"""The bibliography: every book, paper and standard that a figure comes from."""

from __future__ import annotations

from starlette.responses import Response

from kettleglass.materials.bibliography import bibliography
from kettleglass.web.asking import Ask


def show(ask: Ask) -> Response:
    """All sources, by their short names."""
    sources = sorted(bibliography().values(), key=lambda source: source.short.casefold())
    return ask.page("sources/page.html", {"sources": sources})
