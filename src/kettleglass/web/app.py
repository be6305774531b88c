"""The web application: which address shows which page."""

from __future__ import annotations

from pathlib import Path

from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.middleware.trustedhost import TrustedHostMiddleware
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from kettleglass import __version__
from kettleglass.settings import Settings

STATIC = Path(__file__).parent / "static"
HOSTS = ("127.0.0.1", "localhost")
"""Names under which a browser may ask: another name that leads here is a trick, and is refused."""

PAGE = f"""<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Kettleglass</title>
<link rel="icon" href="/static/favicon.svg" type="image/svg+xml">
<link rel="stylesheet" href="/static/fonts.css">
</head>
<body style="font-family: Inter, system-ui, sans-serif; color-scheme: light dark">
<main>
<h1>Kettleglass</h1>
<p>The workbench for making clear, re-meltable soap bases from scratch. Version {__version__}.</p>
</main>
</body>
</html>
"""


def create_app(settings: Settings) -> Starlette:
    """The application for the workshop in `settings.home`."""
    app = Starlette(
        routes=[
            Route("/", first_page, name="today"),
            Mount("/static", StaticFiles(directory=STATIC), name="static"),
        ],
        middleware=[Middleware(TrustedHostMiddleware, allowed_hosts=list(HOSTS))],
    )
    app.state.settings = settings
    return app


async def first_page(_request: Request) -> Response:
    """What stands at the front door."""
    return HTMLResponse(PAGE)
