"""Which states of what is being typed are kept: never fewer than are needed to bring it back."""

from __future__ import annotations

from datetime import timedelta
from itertools import pairwise

from kettleglass.workshop import Notebook, clear_draft, draft_history, keep_draft, take_draft
from kettleglass.workshop.drafts import KEPT_STATES


def typed(book: Notebook, clock, text: str, seconds: float) -> None:
    """The text as it comes in, letter by letter, that many seconds apart, and the one of the clock."""
    for end in range(1, len(text) + 1):
        clock.jump(timedelta(seconds=seconds))
        keep_draft(book, "page", text[:end])


def forms(book: Notebook) -> list[str]:
    return [draft.form for draft in draft_history(book, "page")]


def test_what_was_put_aside_outlives_much_more_typing(book: Notebook, clock) -> None:
    typed(book, clock, "a long note", 60.0)
    clear_draft(book, "page")
    typed(book, clock, "x" * 3 * KEPT_STATES, 60.0)
    assert "a long note" in forms(book)
    assert take_draft(book, "page").form == "x" * 3 * KEPT_STATES


def test_of_letters_typed_in_one_burst_the_first_and_the_latest_are_kept(book: Notebook, clock) -> None:
    typed(book, clock, "cocoa", 0.0)
    assert forms(book) == ["c", "cocoa"]
    clock.jump(timedelta(minutes=1))
    keep_draft(book, "page", "palm")
    assert forms(book) == ["c", "cocoa", "palm"]


def test_a_long_burst_leaves_a_state_now_and_then(book: Notebook, clock) -> None:
    typed(book, clock, "x" * 30, 0.0)
    lengths = [len(form) for form in forms(book)]
    assert lengths[0] == 1
    assert lengths[-1] == 30
    assert max(later - earlier for earlier, later in pairwise(lengths)) <= 6


def test_a_burst_ends_where_it_was_put_aside(book: Notebook, clock) -> None:
    typed(book, clock, "ab", 0.0)
    clear_draft(book, "page")
    typed(book, clock, "cde", 0.0)
    assert forms(book) == ["a", "ab", "c", "cde"]


def test_numbers_of_states_grow_through_a_burst(book: Notebook) -> None:
    numbers = [keep_draft(book, "page", str(n)).number for n in range(10)]
    assert numbers == sorted(set(numbers))


def test_what_was_put_aside_last_is_kept_in_a_book_much_put_aside(book: Notebook, clock) -> None:
    for number in range(3 * KEPT_STATES):
        clock.jump(timedelta(minutes=1))
        keep_draft(book, "page", str(number))
        clear_draft(book, "page")
    assert forms(book) == [str(number) for number in range(2 * KEPT_STATES, 3 * KEPT_STATES)]
