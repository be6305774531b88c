"""The verbs of saved recipes. A recipe is kept as its text, exactly as typed or written, with its name."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from kettleglass.workshop import changes
from kettleglass.workshop.changes import Change, Latest, Listed, Transaction
from kettleglass.workshop.notebook import Notebook

KIND = "recipe"


@dataclass(frozen=True, slots=True)
class SavedRecipe:
    """A recipe as it is in the book; a removed one shows the last text it had."""

    id: str
    version: int
    name: str
    text: str
    updated_at: datetime
    removed: bool


def save_recipe(
    notebook: Notebook, recipe_id: str | None, text: str, name: str, expected_version: int | None
) -> SavedRecipe:
    """The recipe as now kept; `recipe_id` None makes a new one.

    The text is kept whatever it says, broken or not. `expected_version` is the version the writer
    started from (0 for a new one, None to write over whatever is there). Raises `Stale`.
    """
    with notebook.transaction() as tx:
        if recipe_id is None:
            return _put(tx, tx.new_id(), "save", {"text": text, "name": name}, 0)
        kept = _kept_content(tx, recipe_id)
        return _put(tx, recipe_id, "save", {**kept, "text": text, "name": name}, expected_version)


def load_recipe(notebook: Notebook, recipe_id: str, version: int | None = None) -> SavedRecipe:
    """A recipe as it is now, or as it was at a version. Raises `NoSuchEntry`."""
    with notebook.reading() as view:
        if version is None:
            return _saved(changes.latest(view, KIND, recipe_id))
        change = changes.as_of(view, KIND, recipe_id, version)
        if change.body is None:
            change = _before_removal(changes.history(view, KIND, recipe_id), change)
    name, text = _name_and_text(change.content or {})
    return SavedRecipe(recipe_id, version, name, text, change.at, change.version != version)


def list_recipes(notebook: Notebook, *, removed: bool = False) -> tuple[Listed, ...]:
    """Name, version and last change of the recipes, last changed first; with `removed`, the removed ones."""
    with notebook.reading() as view:
        return changes.names(view, KIND, removed=removed)


def rename_recipe(
    notebook: Notebook, recipe_id: str, name: str, *, text: str | None = None, expected_version: int | None = None
) -> SavedRecipe:
    """The recipe under its new name; its text stays unless one that carries the new name is given."""
    with notebook.transaction() as tx:
        kept = changes.latest(tx, KIND, recipe_id).content
        new = {**kept, "name": name, "text": kept["text"] if text is None else text}
        return _put(tx, recipe_id, "rename", new, expected_version)


def copy_recipe(notebook: Notebook, recipe_id: str, name: str, *, text: str | None = None) -> SavedRecipe:
    """A new recipe with the text of another; the book notes which version of which it came from."""
    with notebook.transaction() as tx:
        origin = changes.latest(tx, KIND, recipe_id)
        came_from = {"id": origin.id, "version": origin.version}
        body = {"text": origin.content["text"] if text is None else text, "name": name, "copied_from": came_from}
        return _put(tx, tx.new_id(), "copy", body, 0)


def remove_recipe(notebook: Notebook, recipe_id: str, expected_version: int | None = None) -> SavedRecipe:
    """The recipe, now out of the list; `restore_recipe` brings it back, its history stays."""
    with notebook.transaction() as tx:
        changes.append(tx, KIND, recipe_id, "remove", None, expected_version=expected_version)
        return _saved(changes.latest(tx, KIND, recipe_id))


def restore_recipe(
    notebook: Notebook, recipe_id: str, version: int | None = None, *, expected_version: int | None = None
) -> SavedRecipe:
    """The recipe, back in the list: as it was last, or as it was at a version."""
    with notebook.transaction() as tx:
        content = changes.latest(tx, KIND, recipe_id).content
        if version is not None:
            content = changes.as_of(tx, KIND, recipe_id, version).content or content
        return _put(tx, recipe_id, "restore", content, expected_version)


def recipe_history(notebook: Notebook, recipe_id: str) -> tuple[Change, ...]:
    """Every change of a recipe, oldest first: who, when, what. Raises `NoSuchEntry`."""
    with notebook.reading() as view:
        return changes.history(view, KIND, recipe_id)


def undo_recipe(notebook: Notebook, recipe_id: str, expected_version: int | None = None) -> SavedRecipe:
    """The recipe one step further back. Raises `NothingToUndo` at its first version."""
    with notebook.transaction() as tx:
        changes.undo(tx, KIND, recipe_id, expected_version=expected_version)
        return _saved(changes.latest(tx, KIND, recipe_id))


def redo_recipe(notebook: Notebook, recipe_id: str, expected_version: int | None = None) -> SavedRecipe:
    """The recipe with the last undone step done again. Raises `NothingToUndo` when there is none."""
    with notebook.transaction() as tx:
        changes.redo(tx, KIND, recipe_id, expected_version=expected_version)
        return _saved(changes.latest(tx, KIND, recipe_id))


def _put(tx: Transaction, recipe_id: str, verb: str, body: dict[str, object], expected: int | None) -> SavedRecipe:
    change = changes.append(tx, KIND, recipe_id, verb, body, expected_version=expected)
    name, text = _name_and_text(body)
    return SavedRecipe(recipe_id, change.version, name, text, change.at, False)


def _kept_content(tx: Transaction, recipe_id: str) -> dict[str, object]:
    known = changes.find(tx, KIND, recipe_id)
    return known.content if known is not None else {}


def _before_removal(versions: tuple[Change, ...], removal: Change) -> Change:
    return [change for change in versions if change.version < removal.version and change.body is not None][-1]


def _saved(entry: Latest) -> SavedRecipe:
    name, text = _name_and_text(entry.content)
    return SavedRecipe(entry.id, entry.version, name, text, entry.updated_at, entry.removed)


def _name_and_text(content: Mapping[str, object]) -> tuple[str, str]:
    return str(content.get("name", "")), str(content.get("text", ""))
