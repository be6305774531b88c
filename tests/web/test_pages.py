"""Every page answers, writes nothing when only looked at, and sends the headers that keep strangers out."""

from __future__ import annotations

import re

import pytest

from kettleglass.web.app import PAGES
from kettleglass.web.guard import HEADERS, MOST_BYTES
from kettleglass.workshop import backup_book, list_drafts, list_recipes, recipe_history
from tests.web.conftest import client_for, recipe_address


def addresses(pages) -> list[str]:
    """One real address for every page that can be looked at."""
    recipe = recipe_address(pages).rsplit("/", 1)[1]
    copy = backup_book(pages.app.state.desk.book(invented=True)).path.name
    made = {
        "/recipes/{id}": f"/recipes/{recipe}",
        "/workshop/safety/{name}": f"/workshop/safety/{copy}",
        "/workshop/safety/{name}/file": f"/workshop/safety/{copy}/file",
        "/shelf/{id}": "/shelf/coconut",
        "/shelf/enter/{how}": "/shelf/enter/lot?of=castor",
        "/api/catalogue/{id}": "/api/catalogue/coconut",
    }
    found = []
    for method, path, _ in PAGES:
        if method == "GET" and path != "/reports/{name}":
            found.append(made.get(path, path.replace("{id}", recipe)))
    return found


def test_every_page_answers_and_says_what_it_is(pages):
    for address in addresses(pages):
        answer = pages.get(address, params={"group": "fats"} if address.endswith("/offers") else None)
        assert answer.status_code == 200, address
        if (
            answer.headers["content-type"].startswith("text/html")
            and "/offers" not in address
            and "/found" not in address
        ):
            assert "<title>" in answer.text and "· Kettleglass</title>" in answer.text, address
            assert answer.text.count("<h1") == 1, address


def test_looking_at_pages_changes_nothing(pages):
    book = pages.app.state.desk.book(invented=True)
    recipes = list_recipes(book)
    before = {recipe.id: recipe_history(book, recipe.id) for recipe in recipes}
    for address in addresses(pages):
        pages.get(address)
        pages.head(address)
    assert list_recipes(book) == recipes
    assert {recipe.id: recipe_history(book, recipe.id) for recipe in recipes} == before
    assert list_drafts(book) == ()


def test_every_answer_carries_the_headers(pages):
    for address in ("/", "/nowhere", "/static/favicon.svg", "/api/catalogue?q=lye"):
        answer = pages.get(address)
        for name, value in HEADERS.items():
            if name != "cache-control":
                assert answer.headers[name] == value, (address, name)
    assert "unsafe" not in HEADERS["content-security-policy"]


def test_no_page_holds_inline_scripts_or_styles(pages):
    for address in addresses(pages):
        page = pages.get(address).text
        assert not re.search(r"<script(?![^>]*\bsrc=)", page), address
        assert not re.search(r"<style|\sstyle=|\son[a-z]+=\"", page), address


def test_built_files_with_a_stamp_may_be_kept_for_good(pages):
    stamped = re.search(r"/static/app\.css\?v=\w+", pages.get("/").text)
    assert "immutable" in pages.get(stamped[0]).headers["cache-control"]
    assert pages.get("/static/app.css").headers["cache-control"] == "no-cache"
    assert pages.get("/").headers["cache-control"] == "no-store"


@pytest.mark.parametrize("headers", [
    {"origin": "http://evil.example"},
    {"origin": "null"},
    {"sec-fetch-site": "cross-site"},
    {"sec-fetch-site": "same-site"},
    {"origin": "http://127.0.0.1:9999"},
])  # fmt: skip
def test_what_another_site_sends_is_refused(pages, headers):
    address = recipe_address(pages)
    answer = pages.post(address, data={"do": "remove-recipe"}, headers=headers)
    assert answer.status_code == 403
    assert "another site" in answer.text
    assert recipe_address(pages) == address


def test_what_this_site_sends_is_accepted(pages):
    headers = {"origin": "http://127.0.0.1", "sec-fetch-site": "same-origin"}
    assert pages.post(recipe_address(pages), data={"do": "update"}, headers=headers).status_code == 303


def test_too_much_at_once_is_refused(pages):
    answer = pages.post("/recipes", content=b"x" * (MOST_BYTES + 1), headers={"content-type": "text/plain"})
    assert answer.status_code == 413
    assert "smaller file" in answer.text
    lying = pages.post("/recipes", content=b"x", headers={"content-length": "nonsense", "content-type": "text/plain"})
    assert lying.status_code in (400, 413)


def test_too_many_fields_are_refused(pages):
    answer = pages.post(recipe_address(pages) + "/live", data={f"line.{n}.amount": "1 g" for n in range(7000)})
    assert answer.status_code == 413


def test_unknown_addresses_and_ways_of_asking_have_pages_of_ours(pages):
    missing = pages.get("/nowhere")
    assert (missing.status_code, "There is no page at this address." in missing.text) == (404, True)
    wrong = pages.delete("/sources")
    assert (wrong.status_code, "cannot be used like this" in wrong.text) == (405, True)
    assert "GET" in wrong.headers["allow"]
    gone = pages.get("/recipes/00000000000")
    assert gone.status_code == 404
    assert "Go back to the list" in gone.text


def test_an_unknown_host_is_refused(pages):
    assert pages.get("/", headers={"host": "kettleglass.evil.example"}).status_code == 400


def test_light_or_dark_is_written_into_the_page(home):
    with client_for(home, theme="dark") as dark:
        assert '<html lang="en" data-theme="dark">' in dark.get("/").text
    with client_for(home, theme="<script>") as odd:
        assert '<html lang="en">' in odd.get("/").text


def test_all_sources_are_on_the_page(pages):
    from kettleglass.materials.bibliography import bibliography

    page = pages.get("/sources").text
    assert all(f'id="{key}"' in page for key in bibliography())
