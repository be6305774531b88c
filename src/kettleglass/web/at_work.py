"""A recipe that is being typed at: the saved version under it, what stands in the fields, and the draft kept of it."""

from __future__ import annotations

import json
from dataclasses import dataclass, fields, replace
from functools import lru_cache
from operator import attrgetter
from typing import Any

from kettleglass.cook.preview import preview
from kettleglass.errors import Finding, KettleglassError
from kettleglass.recipe.exchange import ReadResult, read_recipe
from kettleglass.recipe.recipe import Recipe
from kettleglass.web.asking import Ask
from kettleglass.web.forms import FormRead, Typed, read_form, typed_of
from kettleglass.web.forms.fields import PAGE_ONLY
from kettleglass.web.shelf import Shelf
from kettleglass.web.view.face import Face
from kettleglass.workshop import Notebook, SavedRecipe, keep_draft, load_recipe, take_draft

MOST_KEPT_DRAWS = 50_000
"""Recipes with more random pots are worked out anew each time, since the pots of many would fill the memory."""


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


@lru_cache(maxsize=256)
def _as_saved(text: str) -> tuple[ReadResult, Typed]:
    """What a saved text means, and what stands in the fields for it; kept, since a page asks at every keystroke."""
    read = read_recipe(text)
    return read, {} if read.recipe is None else typed_of(read.recipe)


def kind_of(saved_text: str) -> str:
    """What a saved recipe is for and how it shall look, in a few words; nothing when its text cannot be read."""
    recipe = _as_saved(saved_text)[0].recipe
    return "" if recipe is None else f"{recipe.purpose[:1].upper()}{recipe.purpose[1:]}, {recipe.look}"


def sit_down(book: Notebook, recipe_id: str) -> Sitting:
    """The recipe with its draft, if there is one. Raises `NoSuchEntry`, and `Unreadable` for a broken text."""
    with book.reading():
        saved, kept = load_recipe(book, recipe_id), take_draft(book, recipe_id)
    read, as_saved = _as_saved(saved.text)
    if read.recipe is None:
        raise Unreadable(saved, read)
    draft = _draft(kept.form) if kept is not None else None
    if draft is None:
        return Sitting(saved, read.recipe, saved.version, as_saved, as_saved, False, read.findings)
    version, typed, good = draft
    return Sitting(saved, read.recipe, version, typed, good, True, ())


def _draft(text: str) -> tuple[int, Typed, Typed] | None:
    try:
        kept: Any = json.loads(text)
        typed, other = ({str(name): str(said) for name, said in kept[part].items()} for part in ("typed", "good"))
        never = set(kept["never"])
        return int(kept["version"]), typed, {name: said for name, said in typed.items() if name not in never} | other
    except (ValueError, KeyError, TypeError, AttributeError):
        return None


def what_differs(saved: SavedRecipe, form: str, most: int = 3) -> str:
    """What a kept draft says differently from the saved version, in a few words."""
    draft = _draft(form)
    if draft is None:
        return "what stood in the fields then"
    _, typed, _ = draft
    before = _as_saved(saved.text)[1]
    changed = [
        f"{_spoken(name, typed)} {said.strip()[:40] or 'left empty'}"
        for name, said in typed.items()
        if said != before.get(name, _FROM_THE_START.get(name, ""))
        and name not in _NOT_TYPED
        and name.rpartition(".")[2] not in ("key", "material", "line", "method", "stage")
    ]
    if not changed:
        return "other lines" if typed.get("order.line") != before.get("order.line") else "nothing that differs"
    more = f" and {len(changed) - most} more" if len(changed) > most else ""
    return f"{'; '.join(changed[:most])}{more}"


def _spoken(name: str, typed: Typed) -> str:
    """A field as a person names it: a line by its key, anything else by its last word."""
    start, _, last = name.rpartition(".")
    return typed.get(f"{start}.key") or last.replace("_", " ")


def with_typed(sitting: Sitting, typed: Typed) -> tuple[Typed, FormRead]:
    """The fields with what was sent (a field that was not sent keeps what it had), and what they mean."""
    rows = ("line.", "method.", "order.")
    sent_rows = any(name.startswith(rows) for name in typed)
    before = {name: said for name, said in sitting.typed.items() if not (sent_rows and name.startswith(rows))}
    whole = {**before, **typed}
    return whole, read_form(whole, sitting.good, sitting.recipe)


def keep_typed(book: Notebook, sitting: Sitting, typed: Typed, read: FormRead) -> None:
    """Keep what stands in the fields as a draft, when it is anything else than what stood there before."""
    kept = {name: said for name, said in typed.items() if not name.startswith(PAGE_ONLY) and name not in _NOT_TYPED}
    before = sitting.typed
    if not sitting.drafted and all(
        before.get(name, _FROM_THE_START.get(name, "")) == said for name, said in kept.items()
    ):
        return
    good = {name: said for name, said in read.good.items() if typed.get(name) != said}
    never = [name for name in typed if name not in read.good]
    form = {"version": sitting.started_from, "typed": kept, "good": good, "never": never}
    keep_draft(book, sitting.saved.id, json.dumps(form, ensure_ascii=False))


_NOT_TYPED = ("version", "do")
_FROM_THE_START = {"titration.titrant": "acid", "titration.given_as": "NaOH"}
"""What stands in fields that belong to no recipe before anybody has touched them."""


def as_sent(sitting: Sitting, typed: Typed) -> Sitting:
    """The sitting as the page that sent these fields began it: a page names the version that it was made from."""
    said = typed.get("version", "")
    if not (said.isascii() and said.isdigit() and len(said) < 10):
        return sitting
    return replace(sitting, started_from=min(int(said), sitting.started_from, sitting.saved.version))


def _key_of(recipe: Recipe) -> tuple[object, ...]:
    """Stands for a recipe where something that can be compared quickly is needed."""
    return tuple(
        repr(value) if name == "extras" else value for name, value in zip(_NAMES, _values(recipe), strict=True)
    )


_NAMES = tuple(field.name for field in fields(Recipe))
_values = attrgetter(*_NAMES)


def face_of(ask: Ask, recipe: Recipe, shelf: Shelf, remarks: tuple[Finding, ...] = (), *, without: str = "") -> Face:
    """The recipe worked out, or as remembered; `without` is the id of a kettle weighing that shall not count.

    Raises `BadInput` when what is asked cannot be solved.
    """
    learnt = ask.desk.learnt(recipe, invented=ask.invented, without=without)

    def made() -> Face:
        altitude_m = ask.desk.settings.altitude_m
        return Face(preview(recipe, shelf.find, remarks=remarks, altitude_m=altitude_m, learnt=learnt))

    if recipe.certainty.draws > MOST_KEPT_DRAWS:
        return made()
    return ask.desk.worked.get(("face", ask.invented, shelf.version, learnt, _key_of(recipe), remarks), made)


def try_face(
    ask: Ask, recipe: Recipe, shelf: Shelf, remarks: tuple[Finding, ...] = ()
) -> tuple[Face | None, KettleglassError | None]:
    """The recipe worked out, or why it cannot be."""
    try:
        return face_of(ask, recipe, shelf, remarks), None
    except KettleglassError as error:
        return None, error
