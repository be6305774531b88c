"""What the buttons of the recipe page do to the book: save, undo, copy, remove and the like."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from starlette.responses import Response

from kettleglass.errors import KettleglassError
from kettleglass.recipe.exchange import read_recipe, write_recipe
from kettleglass.recipe.recipe import Recipe
from kettleglass.recipe.shelved import base_as_material
from kettleglass.web.asking import Ask, go
from kettleglass.web.at_work import Sitting, face_of
from kettleglass.web.forms import FormRead
from kettleglass.web.forms.fields import NUMBERED
from kettleglass.web.pages.workshop import into
from kettleglass.workshop import (
    NothingToUndo,
    SavedRecipe,
    Stale,
    clear_draft,
    copy_recipe,
    keep_draft,
    redo_recipe,
    remove_recipe,
    save_recipe,
    undo_recipe,
)
from kettleglass.workshop.shelf import keep_own


@dataclass(frozen=True, slots=True)
class Turn:
    """A button that was pressed: the request, the recipe under it, and what its fields mean (already kept)."""

    ask: Ask
    sitting: Sitting
    read: FormRead

    @property
    def id(self) -> str:
        """The id of the recipe."""
        return self.sitting.saved.id

    @property
    def address(self) -> str:
        """The page of the recipe."""
        return f"/recipes/{self.id}"


Verb = Callable[[Turn], Response]


def save(turn: Turn) -> Response:
    """A new version; refused with both texts when somebody saved meanwhile, kept as typed while something is amiss."""
    wrong = [name for name, fault in turn.read.faults.items() if not fault.waiting]
    if wrong:
        return go(f"{turn.address}#{wrong[0]}", "unreadable", focus=wrong[0])
    unfilled = [name for name in turn.read.faults if NUMBERED.fullmatch(name)]
    if unfilled:
        return go(f"{turn.address}#{unfilled[0]}", "unfilled", focus=unfilled[0])
    recipe, started_from = turn.read.recipe, turn.sitting.started_from
    if recipe == turn.sitting.recipe and started_from == turn.sitting.saved.version:
        clear_draft(turn.ask.book, turn.id)
        return go(turn.address, "same")
    try:
        save_recipe(turn.ask.book, turn.id, write_recipe(recipe), recipe.name, started_from)
    except Stale as error:
        return stale(turn.ask, recipe, error)
    clear_draft(turn.ask.book, turn.id)
    return go(turn.address, "saved")


def stale(ask: Ask, recipe: Recipe, error: Stale) -> Response:
    """The page with both texts when the book has moved on; nothing is lost."""
    theirs = error.latest.content if error.latest is not None else None
    values = {
        "error": error, "recipe_id": error.entity_id, "mine": write_recipe(recipe), "name": recipe.name,
        "theirs": str((theirs or {}).get("text", "")), "current": error.current_version, "removed": theirs is None,
    }  # fmt: skip
    return ask.page("recipe/stale.html", values, status=409)


def undo(turn: Turn) -> Response:
    """Take back what is not saved, else the last version."""
    if turn.sitting.drafted or turn.read.recipe != turn.sitting.recipe or turn.read.faults:
        return drop(turn)
    return _step(turn, undo_recipe, ("undone", "nothing-to-undo"))


def redo(turn: Turn) -> Response:
    """Do again what was taken back last."""
    return _step(turn, redo_recipe, ("redone", "nothing-to-redo"))


def _step(turn: Turn, step: Callable[..., SavedRecipe], said: tuple[str, str]) -> Response:
    try:
        step(turn.ask.book, turn.id)
    except NothingToUndo:
        return go(turn.address, said[1])
    clear_draft(turn.ask.book, turn.id)
    return go(turn.address, said[0])


def drop(turn: Turn) -> Response:
    """Put aside what is not saved; it can be brought back from the versions page."""
    clear_draft(turn.ask.book, turn.id)
    return go(turn.address, "dropped")


def copy(turn: Turn) -> Response:
    """A recipe of its own with what is typed now."""
    recipe = replace(turn.read.recipe, name=f"{turn.read.recipe.name[:190]} (copy)")
    kept = copy_recipe(turn.ask.book, turn.id, recipe.name, text=write_recipe(recipe))
    return go(f"/recipes/{kept.id}", "copied")


def take(turn: Turn) -> Response:
    """A copy of an invented recipe in the maker's own workshop, no longer marked as invented."""
    own = replace(turn.read.recipe, invented=False)
    kept = save_recipe(turn.ask.desk.book(invented=False), None, write_recipe(own), own.name, 0)
    return into(go(f"/recipes/{kept.id}", "copied"), "own")


def remove(turn: Turn) -> Response:
    """Out of the list; what was typed and every version stay in the book."""
    remove_recipe(turn.ask.book, turn.id)
    return go("/", "removed")


def sheet(turn: Turn) -> Response:
    """On to the weigh sheet of what is typed."""
    return go(f"{turn.address}/sheet")


def shelve(turn: Turn) -> Response:
    """The finished base as a material on the shelf, to be used in other recipes."""
    ask = turn.ask
    face = face_of(ask, turn.read.recipe, ask.desk.shelf(invented=ask.invented))
    entry_id = ask.book.new_id()
    keep_own(ask.book, base_as_material(face.worked, entry_id, turn.read.recipe.name), entry_id, 0)
    return go(f"/shelf/{entry_id}", "kept-material")


VERBS: Mapping[str, Verb] = {
    "save": save, "undo": undo, "redo": redo, "drop": drop, "copy": copy, "take": take, "remove-recipe": remove,
    "sheet": sheet, "shelve": shelve,
}  # fmt: skip
"""What can follow ``do``, besides the orders that change fields."""


def save_text(ask: Ask) -> Response:
    """Save a recipe given as text, from the stale page or the text page. It is kept whatever it says."""
    recipe_id, text = ask.path("id"), ask.typed.get("text", "")
    read = read_recipe(text)
    said = ask.typed.get("version", "")
    expected = int(said) if said.isascii() and said.isdigit() and len(said) < 10 else None
    name = read.recipe.name if read.recipe is not None else ask.typed.get("name", "") or "Recipe that cannot be read"
    try:
        save_recipe(ask.book, recipe_id, text, name, expected)
    except Stale as error:
        if read.recipe is not None:
            return stale(ask, read.recipe, error)
        keep_draft(ask.book, f"text/{recipe_id}", text)
        raise KettleglassError(error.what, why=error.why, remedy=error.remedy) from error
    clear_draft(ask.book, recipe_id)
    return go(f"/recipes/{recipe_id}", "saved")
