"""When our own code fails: the input stays on the page, a report file is offered, and what was saved is untouched."""

from __future__ import annotations

import re
from html import unescape

import pytest

from kettleglass.workshop import load_recipe
from tests.web.conftest import fields_of, recipe_address


class OursError(Exception):
    """A fault that nobody foresaw."""


@pytest.fixture
def failing(monkeypatch):
    def fail(*_args, **_kwargs):
        raise OursError("the wheel came off")

    def break_(name: str) -> None:
        monkeypatch.setattr(name, fail)

    return break_


def test_a_failing_page_keeps_the_input_and_offers_a_report(pages, failing, home):
    address = recipe_address(pages)
    fields = fields_of(pages.get(address).text) | {"line.1.amount": "123 g <b>", "recipe.note": "über\nzwei Zeilen"}
    failing("kettleglass.web.at_work.preview")
    answer = pages.post(f"{address}/live", data=fields, headers={"hx-request": "true"})
    assert answer.status_code == 500
    assert "<html" not in answer.text
    assert "Kettleglass failed here. The fault is ours, not yours." in answer.text
    assert "line.1.amount: 123 g &lt;b&gt;" in answer.text
    assert "zwei Zeilen" in answer.text
    report = re.search(r'href="(/reports/[^"]+)"', answer.text)[1]
    text = pages.get(report).text
    assert "OursError: the wheel came off" in text
    assert "123 g <b>" in text
    assert str(home) not in text
    assert (home / "reports" / report.rsplit("/", 1)[1]).read_text(encoding="utf-8") == text


def test_what_was_typed_is_kept_before_anything_is_worked_out(pages, failing, monkeypatch):
    address = recipe_address(pages)
    fields = fields_of(pages.get(address).text)
    failing("kettleglass.web.at_work.preview")
    assert pages.post(f"{address}/live", data={**fields, "line.1.amount": "123 g"}).status_code == 500
    monkeypatch.undo()
    assert fields_of(pages.get(address).text)["line.1.amount"] == "123 g"


def test_a_whole_page_that_fails_is_a_page_of_ours(pages, failing):
    address = recipe_address(pages)
    before = load_recipe(pages.app.state.desk.book(invented=True), address.rsplit("/", 1)[1])
    failing("kettleglass.web.pages.recipe_verbs.write_recipe")
    fields = fields_of(pages.get(address).text)
    answer = pages.post(address, data={**fields, "line.1.amount": "55 g", "do": "save"})
    assert answer.status_code == 500
    assert "<h1>Kettleglass failed here." in answer.text
    assert "line.1.amount: 55 g" in unescape(answer.text)
    assert "Go to your recipes" in answer.text
    assert answer.headers["content-security-policy"]
    assert load_recipe(pages.app.state.desk.book(invented=True), before.id) == before


def test_without_a_place_for_the_report_it_stands_on_the_page(pages, failing, home):
    (home / "reports").write_text("in the way", encoding="utf-8")
    failing("kettleglass.web.pages.recipes.list_recipes")
    answer = pages.get("/")
    assert answer.status_code == 500
    assert "The report file could not be written" in answer.text
    assert "OursError: the wheel came off" in answer.text


def test_only_reports_are_handed_out(pages, home):
    (home / "reports").mkdir()
    (home / "reports" / "secret.txt").write_text("x", encoding="utf-8")
    for name in ("secret.txt", "..%2Fworkshop.db", "report-20260101T000000Z-abcdef.txt"):
        assert pages.get(f"/reports/{name}").status_code == 404


def test_a_book_that_cannot_be_opened_is_said_and_left_alone(home):
    from tests.web.conftest import client_for

    home.mkdir(exist_ok=True)
    (home / "workshop.db").write_bytes(b"this is no book, but somebody's letters" * 200)
    client = client_for(home)
    answer = client.get("/")
    assert answer.status_code in (400, 503)
    assert "Kettleglass failed" not in answer.text
    assert (home / "workshop.db").read_bytes().startswith(b"this is no book")
