"""What the tests of the plan page share: the page of a recipe, its words, its blocks and its fields."""

from __future__ import annotations

import re
from html import unescape

from kettleglass.web.view.told import NBSP
from tests.web.conftest import recipe_address, words_of

FOUR_KILO = "Four-kilo pot, to check by hand"
HTMX = {"hx-request": "true"}


def plan_of(client, name: str = "Demo clear base", **query: str) -> str:
    return client.get(f"{recipe_address(client, name)}/plan", params=query).text


def said(html: str) -> str:
    return words_of(html).replace(NBSP, " ")


def blocks(html: str) -> dict[str, str]:
    """The words of each block by its id, in the order of the page."""
    found = re.findall(r'<li class="stop[^"]*" id="([^"]+)">(.*?)</li>\s*(?=<li class="stop|</ol>)', html, re.DOTALL)
    return {anchor: said(inside) for anchor, inside in found}


def value_in(html: str, name: str) -> str:
    found = re.search(rf'<input id="{re.escape(name)}"[^>]* value="([^"]*)"', html)
    assert found, name
    return unescape(found[1])


def book(client):
    return client.app.state.desk.book(invented=True)
