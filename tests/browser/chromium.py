"""A real Chromium for the tests. In it every page keeps to this: no script errors, nothing fetched elsewhere."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator

import pytest
from axe_playwright_python.sync_playwright import Axe
from chromium import VARIABLE, find  # in tools/
from playwright.sync_api import Browser, ConsoleMessage, Page, Request, Route, sync_playwright

ARGUMENTS = (
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
PHONE = {"width": 390, "height": 844}
DESKTOP = {"width": 1280, "height": 900}


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """One Chromium for all tests of a process. `./check` installs one if there is none."""
    executable = os.environ.get(VARIABLE) or find()
    assert executable, f"There is no Chromium: run ./check, which installs one, or set {VARIABLE}."
    as_root = ["--no-sandbox"] if hasattr(os, "geteuid") and os.geteuid() == 0 else []
    with sync_playwright() as playwright:
        launched = playwright.chromium.launch(executable_path=executable, args=[*ARGUMENTS, *as_root])
        yield launched
        launched.close()


@pytest.fixture
def open_page(browser: Browser, live_server: str) -> Iterator[Callable[..., Page]]:
    """Opens a path of the pages in a context of its own; at the end nothing may have gone wrong in any of them.

    Keyword arguments go to Playwright's `new_context`, for instance ``viewport=PHONE`` or ``color_scheme="dark"``.
    """
    contexts, faults = [], []

    def opener(path: str = "/", **kwargs: object) -> Page:
        context = browser.new_context(base_url=live_server, **{"viewport": DESKTOP, **kwargs})
        context.set_default_timeout(10_000)
        contexts.append(context)
        page = context.new_page()
        watch(page, live_server, faults)
        page.goto(path)
        return page

    yield opener
    for context in contexts:
        context.close()
    assert faults == []


def watch(page: Page, home_address: str, faults: list[str]) -> None:
    """Collect script errors, failed requests and requests to other machines; the latter are stopped."""

    def on_console(message: ConsoleMessage) -> None:
        if message.type in {"error", "warning"}:
            faults.append(f"console {message.type}: {message.text}")

    def on_request(route: Route, request: Request) -> None:
        if request.url.startswith((home_address, "data:", "blob:")):
            route.fallback()
        else:
            faults.append(f"asked elsewhere: {request.url}")
            route.abort()

    page.on("console", on_console)
    page.on("pageerror", lambda error: faults.append(f"script error: {error}"))
    page.route("**/*", on_request)


@pytest.fixture
def accessibility_faults() -> Callable[[Page], list[str]]:
    """Tells what axe finds wrong with a page, one line a fault; an empty list is what a test wants."""
    axe = Axe()

    def faults(page: Page) -> list[str]:
        found = axe.run(page).response["violations"]
        return [f"{fault['id']}: {fault['help']} at {node['target']}" for fault in found for node in fault["nodes"]]

    return faults
