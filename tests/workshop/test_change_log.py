"""The change log: it only grows, tells the truth about every version, and loses nothing to anybody."""

from __future__ import annotations

from datetime import timedelta
from itertools import pairwise

import pytest
from sqlalchemy import delete, text, update
from sqlalchemy.exc import IntegrityError

from kettleglass.errors import BadInput, KettleglassError
from kettleglass.workshop import Ids, Listed, NoSuchEntry, Notebook, NothingToUndo, Stale, changes, matching, replay
from kettleglass.workshop.changes import body_text, folded, sha_of
from kettleglass.workshop.tables import CHANGE, ENTITY


def put(book: Notebook, entity_id: str, content: dict | None, expected: int | None = None, verb: str = "save"):
    with book.transaction() as tx:
        return changes.append(tx, "thing", entity_id, verb, content, expected_version=expected)


def past(book: Notebook, entity_id: str) -> tuple[changes.Change, ...]:
    with book.reading() as view:
        return changes.history(view, "thing", entity_id)


def now(book: Notebook, entity_id: str) -> changes.Latest:
    with book.reading() as view:
        return changes.latest(view, "thing", entity_id)


def step(book: Notebook, verb: str, entity_id: str, **how: int) -> changes.Change:
    with book.transaction() as tx:
        return getattr(changes, verb)(tx, "thing", entity_id, **how)


def test_a_change_says_who_when_what_and_which_version(book: Notebook) -> None:
    first = put(book, "a", {"name": "Alpha", "n": 1}, 0)
    second = put(book.signed_by("Bea"), "a", {"name": "Alpha", "n": 2}, 1, verb="weigh")
    assert (first.version, first.who, first.verb, first.undo_of) == (1, "Ada", "save", None)
    assert (second.version, second.who, second.verb) == (2, "Bea", "weigh")
    assert second.at > first.at
    assert past(book, "a") == (first, second)
    assert first.content == {"name": "Alpha", "n": 1}
    assert now(book, "a").content == {"name": "Alpha", "n": 2}


def test_checksum_is_sha_256() -> None:
    """FIPS 180-4, the published example for the message "abc"."""
    assert sha_of("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


def test_stale_write_loses_nothing(book: Notebook) -> None:
    put(book, "a", {"name": "begun"}, 0)
    put(book.signed_by("Bea"), "a", {"name": "hers"}, 1)
    with pytest.raises(Stale) as refused:
        put(book, "a", {"name": "mine"}, 1)
    stale = refused.value
    assert stale.seen is not None
    assert stale.latest is not None
    assert (stale.expected_version, stale.current_version) == (1, 2)
    assert (stale.seen.content, stale.latest.content, stale.given) == (
        {"name": "begun"},
        {"name": "hers"},
        {"name": "mine"},
    )
    assert "by Bea" in stale.sentence
    assert len(past(book, "a")) == 2
    assert put(book, "a", {"name": "mine"}, stale.current_version).version == 3


@pytest.mark.parametrize("expected", [0, 1, 3, 99])
def test_any_version_but_the_current_one_is_stale(book: Notebook, expected: int) -> None:
    put(book, "a", {"name": "1"}, 0)
    put(book, "a", {"name": "2"}, 1)
    with pytest.raises(Stale):
        put(book, "a", {"name": "3"}, expected)
    with pytest.raises(Stale):
        put(book, "a", None, expected, verb="remove")
    with pytest.raises(Stale):
        step(book, "undo", "a", expected_version=expected)


def test_the_same_request_sent_twice_counts_once(book: Notebook) -> None:
    put(book, "a", {"name": "1"}, 0)
    sent = put(book, "a", {"name": "2"}, 1)
    assert put(book, "a", {"name": "2"}, 1) == sent
    removed = put(book, "a", None, 2, verb="remove")
    assert put(book, "a", None, 2, verb="remove") == removed
    assert len(past(book, "a")) == 3


def test_what_is_not_there_cannot_be_changed(book: Notebook) -> None:
    for act in (
        lambda: put(book, "a", {"name": ""}, 4),
        lambda: put(book, "a", None, None),
        lambda: step(book, "undo", "a"),
        lambda: step(book, "redo", "a"),
        lambda: past(book, "a"),
        lambda: now(book, "a"),
    ):
        with pytest.raises(NoSuchEntry):
            act()
    put(book, "a", {"name": ""}, 0)
    with book.reading() as view, pytest.raises(NoSuchEntry, match="version 2"):
        changes.as_of(view, "thing", "a", 2)


def test_undo_and_redo_walk_the_whole_way_and_only_add(book: Notebook) -> None:
    for number in range(1, 5):
        put(book, "a", {"name": str(number)}, number - 1)
    seen = [past(book, "a")]
    for expected in ("3", "2", "1"):
        assert step(book, "undo", "a").content == {"name": expected}
        seen.append(past(book, "a"))
    with pytest.raises(NothingToUndo):
        step(book, "undo", "a")
    for expected in ("2", "3", "4"):
        assert step(book, "redo", "a").content == {"name": expected}
        seen.append(past(book, "a"))
    with pytest.raises(NothingToUndo):
        step(book, "redo", "a")
    assert [len(log) for log in seen] == list(range(4, 11))
    assert all(later[: len(log)] == log for log, later in pairwise(seen))


def test_undo_notes_what_it_undid(book: Notebook) -> None:
    put(book, "a", {"name": "1"}, 0)
    second = put(book, "a", {"name": "2"}, 1)
    undone = step(book, "undo", "a")
    redone = step(book, "redo", "a")
    assert (undone.undo_of, redone.undo_of) == (second.id, undone.id)


def test_a_new_change_ends_redo_but_not_undo(book: Notebook) -> None:
    put(book, "a", {"name": "1"}, 0)
    put(book, "a", {"name": "2"}, 1)
    step(book, "undo", "a")
    put(book, "a", {"name": "other"}, 3)
    with pytest.raises(NothingToUndo):
        step(book, "redo", "a")
    assert step(book, "undo", "a").content == {"name": "1"}


def test_a_removed_entry_keeps_its_past_and_comes_back(book: Notebook) -> None:
    put(book, "a", {"name": "1"}, 0)
    gone = put(book, "a", None, 1, verb="remove")
    assert (gone.body, gone.sha, gone.content) == (None, None, None)
    with book.reading() as view:
        assert changes.names(view, "thing") == ()
        assert [entry.name for entry in changes.names(view, "thing", removed=True)] == ["1"]
    assert now(book, "a").removed
    assert step(book, "undo", "a").content == {"name": "1"}
    assert not now(book, "a").removed


def test_every_version_can_be_looked_at(book: Notebook) -> None:
    for number in range(1, 6):
        put(book, "a", {"name": str(number)}, number - 1)
    with book.reading() as view:
        assert [changes.as_of(view, "thing", "a", n).content for n in range(1, 6)] == [
            {"name": str(n)} for n in range(1, 6)
        ]


@pytest.mark.parametrize("rewriting", [update(CHANGE).values(who="nobody"), delete(CHANGE)])
def test_the_database_itself_refuses_to_rewrite_the_log(book: Notebook, rewriting) -> None:
    put(book, "a", {"name": "1"}, 0)
    with pytest.raises(IntegrityError, match="change only grows"), book.transaction() as tx:
        tx.connection.execute(rewriting)
    assert past(book, "a")[0].who == "Ada"


def test_a_transaction_is_kept_as_a_whole_or_not_at_all(book: Notebook) -> None:
    with pytest.raises(ZeroDivisionError), book.transaction() as tx:
        changes.append(tx, "thing", "a", "save", {"name": "1"}, expected_version=0)
        changes.append(tx, "thing", "b", "save", {"name": "1"}, expected_version=0)
        raise ZeroDivisionError
    with book.reading() as view:
        assert changes.names(view) == ()


def test_a_transaction_inside_another_is_a_part_of_it(book: Notebook) -> None:
    with book.transaction():
        put(book, "kept", {"name": "1"}, 0)
        with pytest.raises(ZeroDivisionError), book.transaction() as inner:
            changes.append(inner, "thing", "dropped", "save", {"name": "1"}, expected_version=0)
            raise ZeroDivisionError
        assert now(book, "kept").name == "1"
    with book.reading() as view:
        assert [entry.id for entry in changes.names(view)] == ["kept"]
    with pytest.raises(ZeroDivisionError), book.transaction():
        put(book, "never", {"name": "1"}, 0)
        raise ZeroDivisionError
    with pytest.raises(NoSuchEntry):
        now(book, "never")


def test_no_transaction_inside_a_look(book: Notebook) -> None:
    with book.reading(), pytest.raises(KettleglassError, match="only reading"), book.transaction():
        pass


def test_a_closed_book_says_so(book: Notebook, clock) -> None:
    other = Notebook.in_memory(clock=clock, who="Ada")
    other.close()
    other.close()
    for act in (lambda: put(other, "a", {}, 0), lambda: now(other, "a"), other.check, lambda: other.backup("never.db")):
        with pytest.raises(KettleglassError, match="closed"):
            act()


@pytest.mark.parametrize(
    "name",
    ["Läuterseife № 1", "透明な石けん", "صابون شفّاف", "🧼🫧", "e\u0301 and é", "a\u202eb", "tab\tand\nline", "", " "],
)
def test_any_name_survives(book: Notebook, name: str) -> None:
    put(book, "a", {"name": name, "text": name * 3}, 0)
    assert now(book, "a").name == name
    assert now(book, "a").content == {"name": name, "text": name * 3}


@pytest.mark.parametrize("odd", ["nul\x00byte", "half \ud83e pair"])
def test_what_a_text_column_refuses_is_kept_in_the_body(book: Notebook, odd: str) -> None:
    put(book, "a", {"name": odd}, 0)
    assert now(book, "a").content == {"name": odd}
    assert now(book, "a").name == odd.replace("\x00", "\ufffd").replace("\ud83e", "\ufffd")


def test_a_megabyte_comes_back_the_same(book: Notebook) -> None:
    big = "".join(chr(32 + (7 * n) % 5000) for n in range(1_000_000))
    put(book, "a", {"name": "big", "text": big}, 0)
    put(book, "a", {"name": "big", "text": big[::-1]}, 1)
    assert step(book, "undo", "a").content == {"name": "big", "text": big}


def test_numbers_come_back_exactly(book: Notebook) -> None:
    content = {
        "name": "n",
        "values": [0.1, 1e-300, 66.47, -0.0, 2**60, 1.7976931348623157e308],
        "none": None,
        "yes": True,
    }
    put(book, "a", content, 0)
    assert now(book, "a").content == content


@pytest.mark.parametrize("content", [{"x": float("nan")}, {"x": float("inf")}, {"x": object()}, {"x": {1, 2}}])
def test_what_is_not_json_is_refused(book: Notebook, content: dict) -> None:
    with pytest.raises(BadInput, match="JSON"):
        put(book, "a", content, 0)


@pytest.mark.parametrize(("kind", "entity_id", "verb"), [
    ("Thing", "a", "save"), ("thing", "", "save"), ("thing", "a/b", "save"), ("thing", "a b", "save"),
    ("thing", "ä", "save"), ("thing", "a" * 101, "save"), ("thing", "a", "Save!"), ("thing", "a", "undo"),
    ("thing", "a", "redo"),
])  # fmt: skip
def test_names_that_cannot_stand_in_an_address_are_refused(
    book: Notebook, kind: str, entity_id: str, verb: str
) -> None:
    with pytest.raises(BadInput), book.transaction() as tx:
        changes.append(tx, kind, entity_id, verb, {"name": ""}, expected_version=0)


def test_equal_content_is_one_text_whatever_the_order() -> None:
    assert body_text({"b": 1, "a": [1, 2]}) == body_text({"a": [1, 2], "b": 1}) == '{"a":[1,2],"b":1}'


def test_lists_show_the_last_changed_first_even_when_the_clock_jumps_back(book: Notebook, clock) -> None:
    for entity_id in ("a", "b", "c"):
        put(book, entity_id, {"name": entity_id}, 0)
        clock.jump(timedelta(hours=-1))
    put(book, "b", {"name": "b again"}, 1)
    with book.reading() as view:
        assert [entry.id for entry in changes.names(view, "thing")] == ["b", "c", "a"]
        assert [entry.id for entry in changes.all_latest(view, "thing")] == ["b", "c", "a"]
        assert changes.names(view, "other") == ()


def test_search_minds_neither_case_nor_accents(book: Notebook) -> None:
    for entity_id, name in (("a", "Kókos & Ricinus"), ("b", "STRASSE klar"), ("c", "ﬁne base")):
        put(book, entity_id, {"name": name}, 0)
    with book.reading() as view:
        entries = changes.names(view)
    for typed, found in (("kokos", "a"), ("RICINUS ko", "a"), ("straße", "b"), ("fine", "c"), ("nothing", None)):
        assert [entry.id for entry in matching(entries, typed)] == ([found] if found else [])
    assert len(matching(entries, "  ")) == 3
    assert folded("Ångström") == "angstrom"
    assert isinstance(entries[0], Listed)


def test_ids_are_short_sortable_and_unlike_even_when_the_clock_jumps_back(clock) -> None:
    make = Ids(clock)
    made = []
    for number in range(3000):
        if number % 500 == 499:
            clock.jump(timedelta(days=-3))
        made.append(make())
    assert made == sorted(made)
    assert len(set(made)) == 3000
    assert all(len(one) == 11 and one.isalnum() and one.isascii() and one == one.lower() for one in made)


def test_a_clock_without_a_zone_is_refused(clock) -> None:
    with (
        Notebook.in_memory(clock=lambda: clock().replace(tzinfo=None), who="Ada") as book,
        pytest.raises(BadInput, match="without its zone"),
    ):
        put(book, "a", {"name": ""}, 0)


def test_the_derived_table_can_be_made_anew_from_the_log(book: Notebook) -> None:
    for number in range(40):
        put(book, f"e{number % 7}", {"name": f"{number}"}, None)
    put(book, "e3", None, None, verb="remove")
    step(book, "undo", "e5")
    with book.reading() as view:
        before = sorted(replay.derived(view), key=lambda state: state.id)
        assert before == list(replay.replayed(view))
    with book.transaction() as tx:
        tx.connection.execute(update(ENTITY).values(name="wrong", version=1))
        tx.connection.execute(delete(ENTITY).where(ENTITY.c.id == "e1"))
    codes = [finding.code for finding in book.check()]
    assert codes == ["book-stale"] * 7
    with book.transaction() as tx:
        assert replay.rebuild(tx) == 7
    with book.reading() as view:
        assert sorted(replay.derived(view), key=lambda state: state.id) == before


def test_check_finds_a_tampered_body_and_a_gap(open_book) -> None:
    book = open_book()
    for number in range(3):
        put(book, "a", {"name": str(number)}, number)
    put(book, "b", {"name": "b"}, 0)
    with book.transaction() as tx:
        for trigger in ("change_no_update", "change_no_delete"):
            tx.connection.execute(text(f"DROP TRIGGER {trigger}"))
        tx.connection.execute(update(CHANGE).where(CHANGE.c.entity_id == "b").values(body='{"name":"forged"}'))
    assert [(f.level, f.code, f.where) for f in book.check()] == [("danger", "book-body", "thing/b/1")]
    with book.transaction() as tx:
        tx.connection.execute(update(CHANGE).where(CHANGE.c.entity_id == "b").values(body='{"name":"b"}'))
        tx.connection.execute(delete(CHANGE).where(CHANGE.c.entity_id == "a", CHANGE.c.version == 2))
        tx.connection.execute(
            text("INSERT INTO entity SELECT 'thing', 'ghost', 1, 1, 'x', '{}', updated_at, 0 FROM entity LIMIT 1")
        )
    assert [finding.code for finding in book.check()] == ["book-gap", "book-unmade"]
