"""The first page in a real browser: it opens, brings its own typeface, asks nobody else, and anyone can use it."""

from __future__ import annotations

import pytest

from tests.browser.chromium import DESKTOP, PHONE


@pytest.mark.parametrize("viewport", [DESKTOP, PHONE], ids=["desktop", "phone"])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_first_page_is_accessible_and_fits_the_width(open_page, accessibility_faults, viewport, scheme):
    page = open_page("/", viewport=viewport, color_scheme=scheme)
    assert "Kettleglass" in page.title()
    assert accessibility_faults(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= viewport["width"]


def test_typeface_comes_from_this_machine(open_page):
    page = open_page("/")
    page.evaluate("document.fonts.load('16px Inter', '→ ≤ 0')")
    assert page.evaluate("[...document.fonts].filter(f => f.family.includes('Inter')).map(f => f.status)") == ["loaded"]


def test_a_page_that_asks_elsewhere_is_noticed(browser, live_server):
    from tests.browser.chromium import watch

    faults: list[str] = []
    page = browser.new_page()
    watch(page, live_server, faults)
    page.goto("about:blank")
    page.evaluate("document.body.appendChild(new Image()).src = 'http://192.0.2.1/pixel.png'; null")
    page.evaluate("console.error('seen'); null")
    page.wait_for_timeout(50)
    page.close()
    assert any("asked elsewhere: http://192.0.2.1/pixel.png" in fault for fault in faults)
    assert any("seen" in fault for fault in faults)
