"""A copy is made, taken along and put in place in a real browser; also without scripts, on a phone, in the dark."""

from __future__ import annotations

import pytest

from tests.browser.chromium import DESKTOP, PHONE


@pytest.mark.parametrize(
    ("viewport", "scheme", "scripts"), [(DESKTOP, "light", True), (PHONE, "dark", True), (PHONE, "light", False)]
)
def test_a_copy_is_made_and_put_in_place(open_page, accessibility_faults, viewport, scheme, scripts):
    page = open_page("/", viewport=viewport, color_scheme=scheme, java_script_enabled=scripts)

    def is_well() -> None:
        if scripts:
            assert accessibility_faults(page) == []
            assert page.evaluate("document.documentElement.scrollWidth") <= viewport["width"]

    page.get_by_role("link", name="Copies of the book").click()
    page.get_by_role("button", name="Make a copy now").click()
    assert "A copy of the whole book was made" in page.inner_text(".flash")
    is_well()
    with page.expect_download() as taken:
        page.get_by_role("link", name="Download the copy").click()
    assert taken.value.suggested_filename.startswith("invented-copy-")
    with page.expect_download() as everything:
        page.get_by_role("link", name="Take everything out as open files").click()
    assert everything.value.suggested_filename.endswith(".zip")
    page.get_by_role("link", name="Put this copy in place").click()
    is_well()
    page.get_by_role("button", name="Put this copy in place").click()
    assert "The copy is in place." in page.inner_text(".flash")
    assert page.get_by_text("put aside when a copy took its place").count() == 1
    is_well()
