"""The verbs of recipes, drafts, materials and lots, as the doors call them."""

from __future__ import annotations

from datetime import timedelta

import pytest

from kettleglass import workshop
from kettleglass.errors import BadInput
from kettleglass.workshop import (
    NoSuchEntry,
    Notebook,
    Stale,
    clear_draft,
    copy_recipe,
    draft_history,
    keep_draft,
    list_drafts,
    list_lots,
    list_materials,
    list_recipes,
    load_lot,
    load_material,
    load_recipe,
    lot_history,
    material_history,
    recipe_history,
    remove_lot,
    remove_material,
    remove_recipe,
    rename_recipe,
    restore_recipe,
    save_lot,
    save_material,
    save_recipe,
    take_draft,
    undo_lot,
    undo_material,
)

TOML = 'schema = 1\nname = "Läuter"\r\n# a remark,   kept with its blanks \n\n'


def test_a_recipe_keeps_its_text_to_the_last_blank(book: Notebook) -> None:
    saved = save_recipe(book, None, TOML, "Läuter", 0)
    assert load_recipe(book, saved.id) == saved
    assert (saved.text, saved.name, saved.version, saved.removed) == (TOML, "Läuter", 1, False)


@pytest.mark.parametrize("text", ["", "broken = [", "\x00\x01", "not toml at all\n\ufeff", "[[[["])
def test_broken_text_is_kept_too(book: Notebook, text: str) -> None:
    assert load_recipe(book, save_recipe(book, None, text, "n", 0).id).text == text


def test_a_recipe_can_be_put_under_a_given_id(book: Notebook) -> None:
    assert save_recipe(book, "from-elsewhere", TOML, "n", 0).id == "from-elsewhere"
    with pytest.raises(Stale):
        save_recipe(book, "from-elsewhere", "other", "n", 0)


def test_saving_an_unknown_recipe_at_a_version_is_refused(book: Notebook) -> None:
    with pytest.raises(NoSuchEntry):
        save_recipe(book, "unknown", TOML, "n", 3)


def test_renaming_leaves_the_text_or_takes_the_one_that_carries_the_name(book: Notebook) -> None:
    saved = save_recipe(book, None, TOML, "old", 0)
    assert rename_recipe(book, saved.id, "new").text == TOML
    renamed = rename_recipe(book, saved.id, "newer", text='name = "newer"', expected_version=2)
    assert (renamed.name, renamed.text, renamed.version) == ("newer", 'name = "newer"', 3)


def test_a_copy_is_its_own_recipe_and_says_where_it_came_from(book: Notebook) -> None:
    saved = save_recipe(book, None, TOML, "one", 0)
    copied = copy_recipe(book, saved.id, "two")
    save_recipe(book, copied.id, "changed", "two", 1)
    assert load_recipe(book, saved.id).text == TOML
    origins = [change.content["copied_from"] for change in recipe_history(book, copied.id)]
    assert origins == [{"id": saved.id, "version": 1}] * 2


def test_a_removed_recipe_is_listed_apart_and_restored(book: Notebook) -> None:
    saved = save_recipe(book, None, TOML, "one", 0)
    removed = remove_recipe(book, saved.id, 1)
    assert (removed.removed, removed.text, list_recipes(book)) == (True, TOML, ())
    assert [one.name for one in list_recipes(book, removed=True)] == ["one"]
    assert restore_recipe(book, saved.id, expected_version=2).version == 3
    assert [one.version for one in list_recipes(book)] == [3]


def test_an_earlier_version_is_looked_at_and_restored(book: Notebook) -> None:
    saved = save_recipe(book, None, "1", "one", 0)
    save_recipe(book, saved.id, "2", "two", 1)
    remove_recipe(book, saved.id)
    assert (load_recipe(book, saved.id, 1).text, load_recipe(book, saved.id, 2).name) == ("1", "two")
    gone = load_recipe(book, saved.id, 3)
    assert (gone.text, gone.removed, gone.version) == ("2", True, 3)
    assert restore_recipe(book, saved.id, 1).text == "1"
    with pytest.raises(NoSuchEntry):
        load_recipe(book, saved.id, 9)


def test_the_history_tells_who_did_what(book: Notebook) -> None:
    saved = save_recipe(book, None, "1", "one", 0)
    rename_recipe(book.signed_by("Bea"), saved.id, "uno")
    remove_recipe(book, saved.id)
    assert [(c.who, c.verb) for c in recipe_history(book, saved.id)] == [
        ("Ada", "save"),
        ("Bea", "rename"),
        ("Ada", "remove"),
    ]


def test_a_draft_is_what_was_typed_last_and_taking_it_keeps_it(book: Notebook) -> None:
    assert take_draft(book, "page-1") is None
    keep_draft(book, "page-1", '{"fats": "coc')
    keep_draft(book, "page-1", '{"fats": "coconut"}')
    for _ in range(2):
        draft = take_draft(book, "page-1")
        assert draft is not None
        assert (draft.form, draft.key, draft.who) == ('{"fats": "coconut"}', "page-1", "Ada")


def test_twenty_states_of_each_draft_are_kept(book: Notebook, clock) -> None:
    for number in range(50):
        clock.jump(timedelta(minutes=1))
        keep_draft(book, "a", str(number))
        keep_draft(book, "b", f"b{number // 10}")
    assert [draft.form for draft in draft_history(book, "a")] == [str(n) for n in range(30, 50)]
    assert [draft.form for draft in draft_history(book, "b")] == [f"b{n}" for n in range(5)]


def test_a_cleared_draft_is_gone_from_the_list_but_not_from_its_history(book: Notebook) -> None:
    keep_draft(book, "a", "typed")
    keep_draft(book, "b", "other")
    assert [draft.key for draft in list_drafts(book)] == ["b", "a"]
    clear_draft(book, "a")
    clear_draft(book, "a")
    assert take_draft(book, "a") is None
    assert [draft.key for draft in list_drafts(book)] == ["b"]
    assert [draft.form for draft in draft_history(book, "a")] == ["typed"]
    keep_draft(book, "a", "typed")
    assert [draft.key for draft in list_drafts(book)] == ["a", "b"]


def test_long_cleared_drafts_are_forgotten_and_open_ones_never(book: Notebook, clock) -> None:
    keep_draft(book, "open", "typed")
    keep_draft(book, "done", "typed")
    clear_draft(book, "done")
    clock.jump(timedelta(days=29))
    keep_draft(book, "x", "typed")
    clear_draft(book, "x")
    assert draft_history(book, "done") != ()
    clock.jump(timedelta(days=2))
    keep_draft(book, "y", "typed")
    clear_draft(book, "y")
    assert draft_history(book, "done") == ()
    assert take_draft(book, "open") is not None


@pytest.mark.parametrize("form", ["", "\x00", "\ud83e", "🧼" * 300_000, '{"half": '])
def test_a_draft_keeps_whatever_was_typed(book: Notebook, form: str) -> None:
    keep_draft(book, "a", form)
    draft = take_draft(book, "a")
    assert draft is not None
    assert draft.form == form


@pytest.mark.parametrize("key", ["", "k" * 201, "line\nbreak", "\x00"])
def test_a_draft_needs_a_key(book: Notebook, key: str) -> None:
    with pytest.raises(BadInput):
        keep_draft(book, key, "{}")


def test_materials_are_documents_with_a_past(book: Notebook) -> None:
    made = save_material(book, None, {"name": "Spirit", "strength": "95 % vol"}, 0)
    better = save_material(book, made.id, {"name": "Spirit", "strength": "96 % vol"}, made.version)
    assert load_material(book, made.id) == better
    assert [one.content["strength"] for one in list_materials(book)] == ["96 % vol"]
    with pytest.raises(Stale):
        save_material(book, made.id, {"name": "Spirit"}, made.version)
    assert undo_material(book, made.id).content["strength"] == "95 % vol"
    assert remove_material(book, made.id, 3).removed
    assert list_materials(book) == ()
    assert [one.id for one in list_materials(book, removed=True)] == [made.id]
    assert [change.verb for change in material_history(book, made.id)] == ["save", "save", "undo", "remove"]


def test_lots_belong_to_a_material(book: Notebook) -> None:
    first = save_lot(book, None, {"name": "drum 1", "material_id": "ethanol"}, 0)
    second = save_lot(book, None, {"name": "drum 2", "material_id": "glycerol"}, 0)
    assert [lot.id for lot in list_lots(book)] == [second.id, first.id]
    assert [lot.id for lot in list_lots(book, "ethanol")] == [first.id]
    with pytest.raises(BadInput, match="lot of"):
        save_lot(book, None, {"name": "of what"}, 0)
    changed = save_lot(book, first.id, {"name": "drum 1, opened", "material_id": "ethanol"}, 1)
    assert load_lot(book, first.id) == changed
    assert undo_lot(book, first.id, 2).name == "drum 1"
    assert remove_lot(book, first.id).removed
    assert len(lot_history(book, first.id)) == 4
    assert list_lots(book, "ethanol") == ()


def test_a_material_and_a_recipe_may_share_an_id(book: Notebook) -> None:
    save_material(book, "one", {"name": "material"}, 0)
    save_recipe(book, "one", "recipe", "recipe", 0)
    assert load_material(book, "one").name == "material"
    assert load_recipe(book, "one").name == "recipe"


def test_the_room_offers_every_name_it_lists() -> None:
    assert set(workshop.__all__) == set(workshop._FILE_OF)
    assert all(getattr(workshop, name) is not None for name in workshop.__all__)
    assert set(workshop.__all__) <= set(dir(workshop))
    with pytest.raises(AttributeError):
        _ = workshop.no_such_verb
