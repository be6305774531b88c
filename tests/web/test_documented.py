"""Every page and every way to enter something is documented, and nothing else is."""

from __future__ import annotations

import re
from pathlib import Path

from kettleglass.web.app import PAGES
from kettleglass.web.forms.makers import HOWS

TEXT = (Path(__file__).parents[2] / "docs" / "web.md").read_text(encoding="utf-8")


def test_every_page_is_documented_and_every_documented_page_exists():
    documented = {address.partition("?")[0] for address in re.findall(r"`(?:GET |POST )?(/[^` ]*)`", TEXT)}
    assert documented == {path for _, path, _ in PAGES}


def test_every_way_to_enter_something_is_documented():
    assert all(f"`{key}`" in TEXT for key in HOWS)
