"""Kettle weighings in the book: kept, listed by kettle and place, removed without being erased, old ones readable."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kettleglass.cook.weighed import KettleWeighing
from kettleglass.workshop import NoSuchEntry, Notebook
from kettleglass.workshop.changes import append, history
from kettleglass.workshop.kettles import (
    KETTLE_WEIGHING,
    keep_kettle_weighing,
    kettle_weighings,
    kettles_version,
    remove_kettle_weighing,
)

ONE = KettleWeighing(
    kettle="tall steel kettle", place="back room", covered=False, before_g=2184.0, after_g=2131.0, step_g=1.0,
    minutes=30.0, temperature_c=80.0, grams=(1159.7, 599.7, 0.0, 0.0, 599.5, 0.0), inert_mol=2.95, diameter_m=0.24,
    headspace_m=0.1, air_m_s=0.3, room_c=20.0, pressure_pa=101_325.0, said="lid off",
)  # fmt: skip


def test_what_is_kept_comes_back(book: Notebook) -> None:
    kept = keep_kettle_weighing(book, ONE)
    found = kettle_weighings(book)
    assert [one.weighing for one in found.kept] == [ONE] and found.unread == ()
    assert found.kept[0].entry.id == kept.entry.id


def test_kettle_and_place_are_found_by_their_names_without_case(book: Notebook) -> None:
    keep_kettle_weighing(book, ONE)
    keep_kettle_weighing(book, replace(ONE, kettle="small pot"))
    keep_kettle_weighing(book, replace(ONE, place="kitchen"))
    found = kettle_weighings(book)
    assert len(found.of(" Tall  steel KETTLE ", "back room")) == 1
    assert found.of("tall steel kettle", "attic") == ()


def test_oldest_first_and_an_impossible_one_like_any_other(book: Notebook) -> None:
    for after in (2150.0, 2140.0, 2300.0):
        keep_kettle_weighing(book, replace(ONE, after_g=after))
    assert [one.weighing.after_g for one in kettle_weighings(book).kept] == [2150.0, 2140.0, 2300.0]


def test_a_removed_one_is_out_of_the_list_and_in_the_history(book: Notebook) -> None:
    kept = keep_kettle_weighing(book, ONE)
    remove_kettle_weighing(book, kept.entry.id)
    assert kettle_weighings(book).kept == ()
    with book.reading() as view:
        assert [change.verb for change in history(view, KETTLE_WEIGHING, kept.entry.id)] == ["save", "remove"]
    with pytest.raises(NoSuchEntry):
        remove_kettle_weighing(book, "no-such-weighing")


def test_the_version_changes_with_every_weighing(book: Notebook) -> None:
    seen = [kettles_version(book)]
    kept = keep_kettle_weighing(book, ONE)
    seen.append(kettles_version(book))
    remove_kettle_weighing(book, kept.entry.id)
    seen.append(kettles_version(book))
    assert seen[0] == "" and len({*seen}) == 2 and seen[2] == ""


def test_one_that_cannot_be_read_is_named_and_the_rest_stands(book: Notebook) -> None:
    keep_kettle_weighing(book, ONE)
    with book.transaction() as tx:
        append(tx, KETTLE_WEIGHING, "broken", "save", {"name": "broken one", "kettle": 1}, expected_version=0)
    found = kettle_weighings(book)
    assert len(found.kept) == 1
    assert [finding.code for finding in found.unread] == ["weighing-unread"] and "broken one" in found.unread[0].text
