"""The browser for the checks: one that is on the machine, else Debian's Chromium."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

from environment import Missing, install_package

VARIABLE = "KETTLEGLASS_CHROMIUM"
NAMES = ("chromium", "chromium-browser", "google-chrome-stable", "google-chrome", "chrome", "msedge")
ELSEWHERE = (
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
    "C:/Program Files/Google/Chrome/Application/chrome.exe",
    "C:/Program Files (x86)/Microsoft/Edge/Application/msedge.exe",
)


def find_or_install() -> str:
    """The path of a Chromium; as root on Debian it is installed if there is none.

    Raises Missing if there is none and it cannot be installed from here.
    """
    named = os.environ.get(VARIABLE)
    if named and not Path(named).exists():
        raise Missing(f"{VARIABLE} is {named}, but there is no such file. Name a Chromium or Chrome, or unset it.")
    found = named or find()
    if found is None:
        install_package("chromium", "Chromium, for the checks in a real browser,")
        found = find()
    if found is None:
        raise Missing(f"No Chromium was found after it was installed. Name it, as in: {VARIABLE}=/path ./check")
    return found


def find() -> str | None:
    """The path of a Chromium that is on this machine, or None."""
    on_path = (shutil.which(name) for name in NAMES)
    elsewhere = (path for path in ELSEWHERE if Path(path).exists())
    return next((path for path in (*on_path, *elsewhere) if path), None)
