"""When the command opens a browser, and when it leaves that to the person."""

from __future__ import annotations

import webbrowser

import pytest
from click.testing import CliRunner

from kettleglass.cli.app import has_screen
from kettleglass.cli.main import main
from kettleglass.web import serve


@pytest.mark.parametrize(
    ("platform", "environment", "expected"),
    [
        ("linux", {}, False),
        ("linux", {"DISPLAY": ""}, False),
        ("linux", {"DISPLAY": ":0"}, True),
        ("linux", {"WAYLAND_DISPLAY": "wayland-0"}, True),
        ("darwin", {}, True),
        ("win32", {}, True),
    ],
)
def test_a_browser_needs_a_screen(platform, environment, expected):
    assert has_screen(environment, platform) is expected


@pytest.mark.parametrize(("arguments", "opened"), [([], True), (["--no-browser"], False)])
def test_the_browser_is_sent_to_the_address_that_is_told(monkeypatch, arguments, opened):
    sent: list[str] = []
    monkeypatch.setenv("DISPLAY", ":0")
    monkeypatch.setattr(webbrowser, "open", sent.append)
    monkeypatch.setattr(serve, "serve", lambda settings, door: None)
    done = CliRunner().invoke(main, ["app", "--port", "0", *arguments])
    assert done.exit_code == 0
    told = done.output.split()[3]
    assert sent == ([told] if opened else [])
