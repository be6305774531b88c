"""The shelf: the catalogue with a search, and what is known of one material."""

from __future__ import annotations

from starlette.responses import Response

from kettleglass.web.asking import Ask, Handler


def front(ask: Ask) -> Response:
    """The catalogue."""
    raise NotImplementedError


PAGES: tuple[tuple[str, str, Handler], ...] = ()
