"""``kettleglass app``: the pages, on this machine only, and the browser that shows them."""

from __future__ import annotations

import os
import sys
import webbrowser
from collections.abc import Mapping
from threading import Thread

import click

from kettleglass.settings import load_settings


@click.command()
@click.option("--port", type=int, help="Port on this machine; 0 takes a free one.")
@click.option("--no-browser", is_flag=True, help="Only serve the pages; open no browser.")
def app(port: int | None, no_browser: bool) -> None:
    """Open the workbench in the browser."""
    from kettleglass.web.serve import address, listen, serve

    settings = load_settings(flags={"port": port})
    with listen(settings.port) as door:
        click.echo(f"Kettleglass is at {address(door)} (Ctrl+C ends it)")
        if not no_browser and has_screen(os.environ, sys.platform):
            # The door is open already: the browser waits there until the first page is ready.
            Thread(target=webbrowser.open, args=(address(door),), daemon=True).start()
        serve(settings, door)


def has_screen(environment: Mapping[str, str], platform: str) -> bool:
    """Whether a browser window can open: without a screen, text browsers would take the terminal instead."""
    return platform in {"win32", "darwin"} or bool(environment.get("DISPLAY") or environment.get("WAYLAND_DISPLAY"))
