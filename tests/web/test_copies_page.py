"""Copies of the book on its page: made, taken along, put in place after asking once more; everything as a zip file."""

from __future__ import annotations

import io
import re
import threading
import zipfile
from pathlib import Path

import pytest

from kettleglass.web.guard import HEADERS
from kettleglass.workshop import Notebook, import_book, list_recipes, save_material, save_recipe, utc_now
from tests.web.conftest import recipe_address, words_of

PAGE = "/workshop/safety"


def copies(client) -> list[str]:
    """The pages of the copies in the list, newest first."""
    return re.findall(rf'href="({PAGE}/[^"/]+\.db)"', client.get(PAGE).text)


def save(client, name: str) -> None:
    save_recipe(client.app.state.desk.book(invented=False), None, "text", name, 0)


def shown_names(client) -> list[str]:
    return sorted(recipe.name for recipe in list_recipes(client.app.state.desk.book(invented=False)))


@pytest.fixture
def copied(own):
    """A maker whose workshop went on after a copy was made."""
    save(own, "first")
    assert own.post(PAGE).headers["location"] == f"{PAGE}?said=copied-book"
    save(own, "second")
    return own


def test_every_page_leads_to_the_copies(own):
    for address in ("/", "/shelf", "/sources", PAGE):
        assert f'<a class="act" href="{PAGE}">Copies of the book</a>' in own.get(address).text


def test_a_copy_is_made_and_listed_with_its_size(own, home):
    assert "There is no copy yet." in own.get(PAGE).text
    own.post(PAGE)
    own.post(PAGE)
    page = words_of(own.get(f"{PAGE}?said=copied-book").text)
    assert page.count("made by hand; 41 kB") == 2
    assert "A copy of the whole book was made" in page and str(home / "backups") in page
    assert len(copies(own)) == len(list((home / "backups").iterdir())) == 2


def test_a_copy_can_be_taken_along(copied, tmp_path):
    answer = copied.get(f"{copies(copied)[0]}/file")
    assert answer.headers["content-type"] == "application/vnd.sqlite3"
    assert re.fullmatch(r'attachment; filename="workshop-copy-\w+\.db"', answer.headers["content-disposition"])
    assert all(answer.headers[name] == value for name, value in HEADERS.items())
    (tmp_path / "taken.db").write_bytes(answer.content)
    with Notebook.open(tmp_path / "taken.db", clock=utc_now, who="") as book:
        assert book.check() == ()
        assert [recipe.name for recipe in list_recipes(book)] == ["first"]


def test_putting_a_copy_in_place_asks_once_more_and_puts_the_book_aside(copied):
    address = copies(copied)[0]
    asked = words_of(copied.get(address).text)
    assert "1 entry, 1 change in all" in asked and "put aside as one more copy" in asked
    assert shown_names(copied) == ["first", "second"]
    assert copied.post(address).headers["location"] == f"{PAGE}?said=book-restored"
    assert shown_names(copied) == ["first"]
    assert "second" not in copied.get("/").text
    assert "put aside when a copy took its place" in copied.get(PAGE).text
    aside = next(page for page in copies(copied) if "put-aside" in page)
    copied.post(aside)
    assert shown_names(copied) == ["first", "second"]
    assert len(copies(copied)) == 3


def test_what_was_worked_out_from_the_former_book_is_forgotten(copied):
    """After as many changes the log of another book has come as far, but its shelf is another."""
    desk = copied.app.state.desk
    empty = desk.shelf(invented=False).version
    save_material(desk.book(invented=False), None, {"name": "mine"}, 0)
    assert desk.shelf(invented=False).version != empty
    copied.post(copies(copied)[0])
    save(copied, "third")
    save(copied, "fourth")
    assert desk.book(invented=False).position() == 3
    assert desk.shelf(invented=False).version == empty


def test_the_invented_workshop_has_copies_of_its_own(pages, home):
    recipe_address(pages)
    pages.post(PAGE)
    assert "invented-copy-" in copies(pages)[0]
    address = recipe_address(pages)
    pages.post(address, data={"do": "remove-recipe"})
    pages.post(copies(pages)[0])
    assert recipe_address(pages) == address
    assert not (home / "workshop.db").exists()


def test_everything_is_taken_out_as_one_zip_file(copied, tmp_path, home):
    answer = copied.get("/workshop/everything")
    assert answer.headers["content-type"] == "application/zip"
    assert re.fullmatch(r'attachment; filename="workshop-\d{8}\.zip"', answer.headers["content-disposition"])
    assert all(answer.headers[name] == value for name, value in HEADERS.items())
    names = zipfile.ZipFile(io.BytesIO(answer.content)).namelist()
    assert {"README.txt", "changes.jsonl", "manifest.json"} < set(names)
    (tmp_path / "all.zip").write_bytes(answer.content)
    assert import_book(tmp_path / "all.zip", tmp_path / "new.db", clock=utc_now).entries == 2
    assert sorted(path.name for path in (home / "backups").iterdir()) == [Path(copies(copied)[0]).name]


def test_only_copies_in_the_list_are_given_out(copied, home):
    (home / "settings.toml").write_text("")
    (home / "backups" / "letter.db").write_text("Dear Ada")
    for name in ("letter.db", "..%2Fworkshop.db", "..%2Fsettings.toml", "%2Fetc%2Fpasswd", "workshop.db", "%00"):
        for address in (f"{PAGE}/{name}", f"{PAGE}/{name}/file"):
            assert copied.get(address).status_code in (404, 422), address
        assert copied.post(f"{PAGE}/{name}").status_code in (404, 422)
    assert shown_names(copied) == ["first", "second"]


def test_a_damaged_copy_is_refused_on_both_pages(copied, home):
    path = home / "backups" / Path(copies(copied)[0]).name
    path.write_bytes(path.read_bytes()[:9000])
    for answer in (copied.get(copies(copied)[0]), copied.post(copies(copied)[0])):
        assert answer.status_code == 422
        assert "Choose another copy." in answer.text and "The book is as it was." in words_of(answer.text)
    assert shown_names(copied) == ["first", "second"]
    assert len(copies(copied)) == 1


def test_another_site_can_neither_make_nor_place_a_copy(copied):
    for address in (PAGE, copies(copied)[0]):
        assert copied.post(address, headers={"origin": "http://evil.example"}).status_code == 403
    assert shown_names(copied) == ["first", "second"]
    assert len(copies(copied)) == 1


def test_a_book_that_another_program_has_open_stays(copied, home, monkeypatch):
    monkeypatch.setattr("kettleglass.workshop.engine.WAIT_S", 0.05)
    with Notebook.open(home / "workshop.db", clock=utc_now, who="") as other:
        list_recipes(other)
        answer = copied.post(copies(copied)[0])
    assert answer.status_code == 503
    assert "open in another Kettleglass" in answer.text
    assert shown_names(copied) == ["first", "second"]


def test_pages_that_are_looked_at_meanwhile_do_no_harm(copied):
    stop, odd = threading.Event(), []

    def look() -> None:
        while not stop.is_set():
            answer = copied.get("/")
            if answer.status_code != 200 and "closed" not in answer.text:
                odd.append(answer.text)

    lookers = [threading.Thread(target=look) for _ in range(3)]
    for looker in lookers:
        looker.start()
    try:
        placed = [copied.post(copies(copied)[-1]).status_code for _ in range(5)]
    finally:
        stop.set()
        for looker in lookers:
            looker.join()
    assert odd == []
    assert placed == [303] * 5
    assert shown_names(copied) == ["first"]
    assert copied.app.state.desk.book(invented=False).check() == ()
