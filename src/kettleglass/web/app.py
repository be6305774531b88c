"""The web application: which address shows which page."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.middleware.trustedhost import TrustedHostMiddleware
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Mount, Route
from starlette.staticfiles import StaticFiles
from starlette.types import Scope

from kettleglass.settings import Settings
from kettleglass.web import api, trouble
from kettleglass.web.asking import Endpoint, Handler, answering
from kettleglass.web.desk import Desk
from kettleglass.web.guard import WithHeaders
from kettleglass.web.pages import (
    beside,
    copies,
    kettle,
    own,
    plan,
    recipe,
    recipe_verbs,
    recipes,
    reports,
    sheet,
    shelf,
    sources,
    workshop,
)
from kettleglass.web.rendering import STATIC
from kettleglass.workshop import Clock, utc_now

HOSTS = ("127.0.0.1", "localhost")
"""Names under which a browser may ask: another name that leads here is a trick, and is refused."""

PAGES: tuple[tuple[str, str, Handler], ...] = (
    ("GET", "/", recipes.front),
    ("GET", "/recipes/new", recipes.new),
    ("POST", "/recipes", recipes.begin),
    ("GET", "/recipes/{id}", recipe.show),
    ("POST", "/recipes/{id}", recipe.act),
    ("POST", "/recipes/{id}/live", recipe.live),
    ("GET", "/recipes/{id}/offers", recipe.offers),
    ("GET", "/recipes/{id}/sheet", sheet.show),
    ("GET", "/recipes/{id}/plan", plan.show),
    ("POST", "/recipes/{id}/plan/back", kettle.back),
    ("POST", "/recipes/{id}/plan/syrup", kettle.syrup),
    ("POST", "/recipes/{id}/plan/kettle", kettle.forget),
    ("GET", "/recipes/{id}/plan/sizes", beside.sizes),
    ("GET", "/recipes/{id}/plan/ways", beside.ways),
    ("GET", "/recipes/{id}/versions", recipes.versions),
    ("POST", "/recipes/{id}/versions", recipes.go_back),
    ("GET", "/recipes/{id}/text", recipes.text_of),
    ("POST", "/recipes/{id}/text", recipe_verbs.save_text),
    ("GET", "/recipes/{id}/file", recipe.file_of),
    ("GET", "/compare", recipes.compared),
    ("GET", "/sources", sources.show),
    ("POST", "/workshop", workshop.choose),
    ("GET", "/workshop/safety", copies.show),
    ("POST", "/workshop/safety", copies.make),
    ("GET", "/workshop/safety/{name}", copies.ask_once_more),
    ("POST", "/workshop/safety/{name}", copies.put_in_place),
    ("GET", "/workshop/safety/{name}/file", copies.file_of),
    ("GET", "/workshop/everything", copies.everything),
    ("GET", "/reports/{name}", reports.file_of),
    ("POST", "/api/preview", api.preview_of),
    ("POST", "/api/plan", api.plan_of),
    ("GET", "/api/catalogue", api.catalogue),
    ("GET", "/api/catalogue/{id}", api.material),
    ("GET", "/shelf", shelf.front),
    ("GET", "/shelf/found", shelf.found),
    ("GET", "/shelf/enter/{how}", own.form),
    ("POST", "/shelf/enter/{how}", own.keep),
    ("POST", "/shelf/enter/{how}/check", own.check),
    ("GET", "/shelf/{id}", shelf.one),
    ("POST", "/shelf/{id}", own.change),
)
"""Every page: how it is asked, at which address, and who answers. Nothing asked by GET changes anything."""


class BuiltFiles(StaticFiles):
    """What the browser loads; an address with a stamp never changes, so it may be kept for good."""

    async def get_response(self, path: str, scope: Scope) -> Response:
        """One file."""
        answer = await super().get_response(path, scope)
        stamped = b"v=" in scope.get("query_string", b"")
        answer.headers["cache-control"] = "public, max-age=31536000, immutable" if stamped else "no-cache"
        return answer


def create_app(settings: Settings, *, clock: Clock = utc_now) -> Starlette:
    """The application for the workshop in `settings.home`."""
    desk = Desk(settings, clock=clock)

    @asynccontextmanager
    async def open_house(_: Starlette) -> AsyncIterator[None]:
        await run_in_threadpool(desk.warm_up)
        try:
            yield
        finally:
            desk.close()

    app = Starlette(
        routes=[*_routes(), Mount("/static", BuiltFiles(directory=STATIC, check_dir=False), name="static")],
        middleware=[
            Middleware(WithHeaders),
            Middleware(TrustedHostMiddleware, allowed_hosts=list(HOSTS), www_redirect=False),
        ],
        exception_handlers={HTTPException: trouble.unknown_address, Exception: trouble.last_resort},
        lifespan=open_house,
    )
    app.state.settings, app.state.desk = settings, desk
    return app


def _routes() -> list[BaseRoute]:
    """One route an address, with all its methods, so that a wrong method is refused and not a missing page."""
    methods: dict[str, dict[str, Handler]] = {}
    for method, path, handler in PAGES:
        methods.setdefault(path, {})[method] = handler
    return [Route(path, _by_method(handlers), methods=list(handlers)) for path, handlers in methods.items()]


def _by_method(handlers: dict[str, Handler]) -> Endpoint:
    endpoints = {method: answering(handler) for method, handler in handlers.items()}
    if "GET" in endpoints:
        endpoints["HEAD"] = endpoints["GET"]

    async def endpoint(request: Request) -> Response:
        return await endpoints[request.method](request)

    return endpoint
