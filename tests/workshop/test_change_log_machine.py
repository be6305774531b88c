"""Random sequences of verbs against the plainest possible model: a list of states and a finger on one of them."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import Bundle, RuleBasedStateMachine, initialize, invariant, rule

from kettleglass.workshop import Notebook, NothingToUndo, Stale, replay
from kettleglass.workshop import recipes as verbs

TEXTS = st.text(alphabet=st.characters(), max_size=12)
NAMES = st.sampled_from(["klar", "Klär", "", "透明", "x" * 50])


class Modelled:
    """States in order, the finger on the present one, and how many changes there were."""

    def __init__(self, state: tuple[str, str]) -> None:
        self.states: list[tuple[str, str] | None] = [state]
        self.finger, self.changes, self.last = 0, 1, state

    @property
    def state(self) -> tuple[str, str] | None:
        return self.states[self.finger]

    def become(self, state: tuple[str, str] | None) -> None:
        if state != self.state:
            self.states[self.finger + 1 :] = [state]
            self.move(1)

    def move(self, by: int) -> None:
        self.finger, self.changes = self.finger + by, self.changes + 1
        self.last = self.state or self.last


class BookMachine(RuleBasedStateMachine):
    ids = Bundle("ids")

    @initialize()
    def open(self) -> None:
        self.book = Notebook.in_memory(clock=lambda: datetime.now(UTC), who="Ada")
        self.model: dict[str, Modelled] = {}
        self.past: dict[str, tuple] = {}

    @rule(target=ids, name=NAMES, text=TEXTS)
    def make(self, name: str, text: str) -> str:
        made = verbs.save_recipe(self.book, None, text, name, 0)
        self.model[made.id] = Modelled((name, text))
        return made.id

    @rule(target=ids, origin=ids, name=NAMES)
    def copy(self, origin: str, name: str) -> str:
        made = verbs.copy_recipe(self.book, origin, name)
        self.model[made.id] = Modelled((name, self.model[origin].last[1]))
        return made.id

    @rule(recipe=ids, name=NAMES, text=TEXTS)
    def save(self, recipe: str, name: str, text: str) -> None:
        verbs.save_recipe(self.book, recipe, text, name, self.model[recipe].changes)
        self.model[recipe].become((name, text))

    @rule(recipe=ids, text=TEXTS, behind=st.integers(1, 3))
    def save_from_an_old_page(self, recipe: str, text: str, behind: int) -> None:
        model = self.model[recipe]
        expected = max(model.changes - behind, 0)
        if model.state == ("old page", text):
            return
        with pytest.raises(Stale) as refused:
            verbs.save_recipe(self.book, recipe, text, "old page", expected)
        assert refused.value.given is not None
        assert refused.value.given["text"] == text
        assert refused.value.current_version == model.changes

    @rule(recipe=ids, name=NAMES)
    def rename(self, recipe: str, name: str) -> None:
        verbs.rename_recipe(self.book, recipe, name)
        self.model[recipe].become((name, self.model[recipe].last[1]))

    @rule(recipe=ids)
    def remove(self, recipe: str) -> None:
        verbs.remove_recipe(self.book, recipe)
        self.model[recipe].become(None)

    @rule(recipe=ids)
    def restore(self, recipe: str) -> None:
        verbs.restore_recipe(self.book, recipe)
        self.model[recipe].become(self.model[recipe].last)

    @rule(recipe=ids)
    def undo(self, recipe: str) -> None:
        if self.model[recipe].finger == 0:
            with pytest.raises(NothingToUndo):
                verbs.undo_recipe(self.book, recipe)
        else:
            verbs.undo_recipe(self.book, recipe)
            self.model[recipe].move(-1)

    @rule(recipe=ids)
    def redo(self, recipe: str) -> None:
        if self.model[recipe].finger == len(self.model[recipe].states) - 1:
            with pytest.raises(NothingToUndo):
                verbs.redo_recipe(self.book, recipe)
        else:
            verbs.redo_recipe(self.book, recipe)
            self.model[recipe].move(1)

    @rule(recipe=ids)
    def fail_half_way(self, recipe: str) -> None:
        with pytest.raises(ZeroDivisionError), self.book.transaction():
            verbs.save_recipe(self.book, recipe, "never kept", "never kept", None)
            verbs.save_recipe(self.book, None, "never kept", "never kept", None)
            raise ZeroDivisionError

    @invariant()
    def lists_and_states_are_as_modelled(self) -> None:
        present = {recipe.id: recipe.name for recipe in verbs.list_recipes(self.book)}
        assert present == {key: model.state[0] for key, model in self.model.items() if model.state}
        for key, model in self.model.items():
            kept = verbs.load_recipe(self.book, key)
            assert (kept.name, kept.text) == model.last
            assert (kept.version, kept.removed) == (model.changes, model.state is None)

    @invariant()
    def history_only_grows_and_makes_the_derived_table(self) -> None:
        for key in self.model:
            log = verbs.recipe_history(self.book, key)
            assert log[: len(self.past.get(key, ()))] == self.past.get(key, ())
            self.past[key] = log
        with self.book.reading() as view:
            assert sorted(replay.derived(view), key=lambda state: state.id) == list(replay.replayed(view))
        assert self.book.check() == ()

    def teardown(self) -> None:
        self.book.close()


TestBookMachine = BookMachine.TestCase
TestBookMachine.settings = settings(max_examples=40, stateful_step_count=25, deadline=None)
