"""A recipe that is being typed at: the saved version under it, what stands in the fields, and the draft kept of it."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

from kettleglass.errors import BadInput, Finding, KettleglassError
from kettleglass.recipe.exchange import ReadResult, read_recipe, write_recipe
from kettleglass.recipe.preview import preview
from kettleglass.recipe.recipe import Recipe
from kettleglass.web.asking import Ask
from kettleglass.web.forms import FormRead, Typed, read_form, typed_of
from kettleglass.web.forms.fields import PAGE_ONLY
from kettleglass.web.shelf import Shelf
from kettleglass.web.view.face import Face
from kettleglass.workshop import Notebook, SavedRecipe, keep_draft, load_recipe, take_draft


@dataclass(frozen=True, slots=True)
class Sitting:
    """What a page of a recipe starts from.

    `started_from` is the version that the typing began at (it may be behind `saved.version`), `typed` what stands in
    the fields, `good` the last readable text of each; `drafted` says whether anything was typed since.
    """

    saved: SavedRecipe
    recipe: Recipe
    started_from: int
    typed: Typed
    good: Typed
    drafted: bool
    remarks: tuple[Finding, ...]


class Unreadable(KettleglassError):
    """The text of a saved recipe cannot be read, so there are no fields to show; `read` says why."""

    def __init__(self, saved: SavedRecipe, read: ReadResult) -> None:
        self.saved, self.read = saved, read
        super().__init__("The text of this recipe cannot be read.", remedy="Put it right in the text itself.")


def sit_down(book: Notebook, recipe_id: str) -> Sitting:
    """The recipe with its draft, if there is one. Raises `NoSuchEntry`, and `Unreadable` for a broken text."""
    saved = load_recipe(book, recipe_id)
    read = read_recipe(saved.text)
    if read.recipe is None:
        raise Unreadable(saved, read)
    as_saved = typed_of(read.recipe)
    kept = take_draft(book, recipe_id)
    draft = _draft(kept.form) if kept is not None else None
    if draft is None:
        return Sitting(saved, read.recipe, saved.version, as_saved, as_saved, False, read.findings)
    version, typed, good = draft
    return Sitting(saved, read.recipe, version, typed, good, True, ())


def _draft(text: str) -> tuple[int, Typed, Typed] | None:
    try:
        kept: Any = json.loads(text)
        typed, good = ({str(name): str(said) for name, said in kept[part].items()} for part in ("typed", "good"))
        return int(kept["version"]), typed, good
    except (ValueError, KeyError, TypeError, AttributeError):
        return None


def with_typed(sitting: Sitting, typed: Typed) -> tuple[Typed, FormRead]:
    """The fields with what was sent (a field that was not sent keeps what it had), and what they mean."""
    rows = ("line.", "method.", "order.")
    sent_rows = any(name.startswith(rows) for name in typed)
    before = {name: said for name, said in sitting.typed.items() if not (sent_rows and name.startswith(rows))}
    whole = {**before, **typed}
    return whole, read_form(whole, sitting.good, sitting.recipe)


def keep_typed(book: Notebook, sitting: Sitting, typed: Typed, read: FormRead) -> bool:
    """Keep what stands in the fields as a draft; whether there is anything that the saved version has not."""
    differs = read.recipe != sitting.recipe or bool(read.faults)
    if differs or sitting.drafted:
        kept = {name: said for name, said in typed.items() if not name.startswith(PAGE_ONLY)}
        form = {"version": sitting.started_from, "typed": kept, "good": dict(read.good)}
        keep_draft(book, sitting.saved.id, json.dumps(form, ensure_ascii=False))
    return differs


def face_of(ask: Ask, recipe: Recipe, shelf: Shelf, remarks: tuple[Finding, ...] = ()) -> Face:
    """The recipe worked out, or as remembered. Raises `BadInput` when what is asked cannot be solved."""
    key = ("face", ask.invented, shelf.version, write_recipe(recipe), remarks)
    return ask.desk.worked.get(key, lambda: Face(preview(recipe, shelf.find, remarks=remarks)))


def try_face(
    ask: Ask, recipe: Recipe, shelf: Shelf, remarks: tuple[Finding, ...] = ()
) -> tuple[Face | None, BadInput | None]:
    """The recipe worked out, or why it cannot be."""
    try:
        return face_of(ask, recipe, shelf, remarks), None
    except BadInput as error:
        return None, error
