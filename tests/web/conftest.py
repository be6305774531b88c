"""The pages without a browser: the invented workshop, and a maker's own empty one."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from kettleglass.settings import Settings
from kettleglass.web.app import create_app


def client_for(home: Path, **cookies: str) -> TestClient:
    """A client of the pages for the workshop in `home`; its app may be entered as a context."""
    client = TestClient(
        create_app(Settings(home=home)),
        base_url="http://127.0.0.1",
        raise_server_exceptions=False,
        follow_redirects=False,
        cookies=cookies,
    )
    client.headers["user-agent"] = "tests"
    return client


@pytest.fixture
def pages(home: Path) -> Iterator[TestClient]:
    """A visitor in the invented workshop."""
    with client_for(home) as client:
        yield client


@pytest.fixture
def own(home: Path) -> Iterator[TestClient]:
    """A maker in their own, empty workshop."""
    with client_for(home) as client:
        client.post("/workshop", data={"which": "own"})
        yield client


def recipe_address(client: TestClient, name: str = "Demo clear base") -> str:
    """The page of a recipe in the list, by its name."""
    found = re.search(rf'href="(/recipes/\w+)"><b>{re.escape(name)}</b>', client.get("/").text)
    assert found, f"“{name}” is not in the list"
    return found[1]


def fields_of(html: str) -> dict[str, str]:
    """What stands in the fields of the recipe form, as a browser would send it."""
    form = html[html.index('<form class="recipe"') : html.index("</form>", html.index('<form class="recipe"'))]
    fields: dict[str, str] = {}
    for tag in re.finditer(r"<(input|textarea|select)\b([^>]*)>", form):
        kind, attributes = tag[1], tag[2]
        name = re.search(r'name="([^"]*)"', attributes)
        if name is None:
            continue
        if kind == "input":
            if 'type="radio"' in attributes and " checked" not in attributes:
                continue
            value = re.search(r'value="([^"]*)"', attributes)
            fields[name[1]] = unescape(value[1]) if value else ""
        else:
            end = form.index(f"</{kind}>", tag.end())
            inside = form[tag.end() : end]
            fields[name[1]] = unescape(inside) if kind == "textarea" else _chosen(inside)
    return fields


def _chosen(options: str) -> str:
    """The value of the option that is selected, else of the first."""
    found = re.search(r"<option([^>]*) selected>([^<]*)", options) or re.search(r"<option([^>]*)>([^<]*)", options)
    assert found
    value = re.search(r'value="([^"]*)"', found[1])
    return unescape(value[1] if value else found[2])


def words_of(html: str) -> str:
    """The text of a page without its marks, spaces told once."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", html)).split())
