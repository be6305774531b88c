"""The list of recipes, new ones, and the versions and text of each."""

from __future__ import annotations

from dataclasses import replace

from starlette.responses import Response

from kettleglass.errors import BadInput
from kettleglass.recipe.compare import compare
from kettleglass.recipe.exchange import read_recipe, write_recipe
from kettleglass.recipe.recipe import LOOKS, PURPOSES, Recipe, WeighingScale
from kettleglass.recipe.starts import STARTS, starting_recipe
from kettleglass.web.asking import Ask, go
from kettleglass.web.at_work import kind_of, try_face, what_differs
from kettleglass.workshop import (
    Listed,
    clear_draft,
    draft_history,
    keep_draft,
    list_drafts,
    list_recipes,
    load_recipe,
    matching,
    recipe_history,
    restore_recipe,
    save_recipe,
)

MOST_SHOWN = 100
FROM_SEARCH = 12
"""From so many recipes on, the list offers a search."""


def front(ask: Ask) -> Response:
    """The recipes of the workshop, last changed first."""
    removed, wanted = ask.query("removed") == "1", ask.query("q")
    book = ask.book
    recipes = list_recipes(book, removed=removed)
    drafts = {draft.key for draft in list_drafts(book)}
    found = _found(recipes, wanted)
    with book.reading():
        kinds = {one.id: kind_of(load_recipe(book, one.id).text) for one in found[:MOST_SHOWN]}
    any_removed = bool(list_recipes(book, removed=True))
    return ask.page("recipes/list.html", {
        "recipes": found[:MOST_SHOWN], "more": len(found) - MOST_SHOWN, "drafts": drafts, "wanted": wanted,
        "kinds": kinds,
        "removed": removed, "any_removed": any_removed, "searched": len(recipes) >= FROM_SEARCH,
        "nothing": not recipes and not removed, **_new_choices(),
    })  # fmt: skip


def _found(recipes: tuple[Listed, ...], wanted: str) -> tuple[Listed, ...]:
    return tuple(matching(recipes, wanted[:200])) if wanted.strip() else recipes


def _new_choices() -> dict[str, object]:
    return {"purposes": PURPOSES, "looks": LOOKS, "starts": STARTS}


def new(ask: Ask) -> Response:
    """Where a new recipe begins: what it is for, how it shall look, and from what."""
    return ask.page("recipes/new.html", {**_new_choices(), "text": "", "findings": ()})


def begin(ask: Ask) -> Response:
    """A new recipe from a usual start, from nothing, or from a text that was pasted or sent as a file."""
    text = ask.typed.get("text", "").strip() or ask.typed.get("file", "").strip()
    if ask.typed.get("from") == "text" or text:
        return _from_text(ask, text)
    purpose, look = ask.typed.get("purpose", PURPOSES[1]), ask.typed.get("look", LOOKS[0])
    recipe = _as_set(ask, starting_recipe(purpose, look, blank=ask.typed.get("from") == "blank"))
    name = ask.typed.get("name", "").strip()[:200]
    return _kept(ask, replace(recipe, name=name) if name else recipe)


def _as_set(ask: Ask, recipe: Recipe) -> Recipe:
    """The recipe with the scale and seed of the settings; lye goes to 0.1 g where the scale is coarser."""
    settings = ask.desk.settings
    scale = WeighingScale(settings.scale_step_g, min(0.1, settings.scale_step_g))
    return replace(recipe, scale=scale, certainty=replace(recipe.certainty, seed=settings.seed))


def _from_text(ask: Ask, text: str) -> Response:
    read = read_recipe(text)
    if read.recipe is None:
        values = {**_new_choices(), "text": text, "findings": read.findings}
        return ask.page("recipes/new.html", values, status=422)
    saved = save_recipe(ask.book, None, text, read.recipe.name, 0)
    return go(f"/recipes/{saved.id}")


def _kept(ask: Ask, recipe: Recipe) -> Response:
    saved = save_recipe(ask.book, None, write_recipe(recipe), recipe.name, 0)
    return go(f"/recipes/{saved.id}")


def versions(ask: Ask) -> Response:
    """Every version of a recipe, and what was typed and put aside."""
    recipe_id = ask.path("id")
    saved = load_recipe(ask.book, recipe_id)
    history = tuple(reversed(recipe_history(ask.book, recipe_id)))
    drafts = reversed(draft_history(ask.book, recipe_id))
    aside = [(draft, what_differs(saved, draft.form)) for draft in drafts]
    return ask.page("recipes/versions.html", {"saved": saved, "history": history, "aside": aside})


def go_back(ask: Ask) -> Response:
    """The recipe as it was at a version, or as it was last; or a draft that was put aside, back in the fields."""
    recipe_id, said = ask.path("id"), ask.typed.get("version", "")
    if ask.typed.get("draft"):
        return _bring_back(ask, recipe_id, ask.typed["draft"])
    version = int(said) if said.isascii() and said.isdigit() and len(said) < 10 else None
    restore_recipe(ask.book, recipe_id, version)
    clear_draft(ask.book, recipe_id)
    return go(f"/recipes/{recipe_id}", "restored")


def _bring_back(ask: Ask, recipe_id: str, number: str) -> Response:
    for draft in draft_history(ask.book, recipe_id):
        if str(draft.number) == number:
            keep_draft(ask.book, recipe_id, draft.form)
            return go(f"/recipes/{recipe_id}", "restored")
    raise BadInput("What was put aside is no longer kept.", remedy="Look among the versions.")


def text_of(ask: Ask) -> Response:
    """The saved text of a recipe, to read or to put right."""
    saved = load_recipe(ask.book, ask.path("id"))
    findings = read_recipe(saved.text).findings
    return ask.page("recipes/text.html", {"saved": saved, "text": saved.text, "findings": findings})


def compared(ask: Ask) -> Response:
    """Two recipes, or two versions, side by side: what changed, and what it does."""
    recipes = list_recipes(ask.book)
    first, second = (_side(ask, ask.query(name)) for name in ("a", "b"))
    both, trouble = None, None
    if first is not None and second is not None:
        shelf = ask.desk.shelf(invented=ask.invented)
        (one, trouble), (other, also) = (try_face(ask, side[1], shelf) for side in (first, second))
        trouble = trouble or also
        if one is not None and other is not None:
            both = compare((one.worked, one.readings), (other.worked, other.readings))
    return ask.page("compare/page.html", {
        "a": ask.query("a"), "b": ask.query("b"), "first": first, "second": second, "both": both, "trouble": trouble,
        "choices": _choices(ask, recipes),
    })  # fmt: skip


def _choices(ask: Ask, recipes: tuple[Listed, ...]) -> list[tuple[str, str]]:
    """What can be put side by side: each recipe as it is, and the earlier versions of the one asked about."""
    found = [(recipe.id, recipe.name) for recipe in recipes]
    for asked in dict.fromkeys(ask.query(name).partition("@")[0] for name in ("a", "b")):
        if asked in {recipe.id for recipe in recipes}:
            name = next(recipe.name for recipe in recipes if recipe.id == asked)
            versions_of = [change for change in recipe_history(ask.book, asked) if change.body is not None]
            found += [(f"{asked}@{c.version}", f"{name}, version {c.version}") for c in reversed(versions_of)][:50]
    return found


def _side(ask: Ask, asked: str) -> tuple[str, Recipe] | None:
    """Name and recipe of one side, given as an id or as id@version."""
    if not asked:
        return None
    recipe_id, _, version = asked.partition("@")
    number = int(version) if version.isascii() and version.isdigit() and len(version) < 10 else None
    saved = load_recipe(ask.book, recipe_id, number)
    read = read_recipe(saved.text)
    if read.recipe is None:
        raise BadInput(f"The text of “{saved.name}” cannot be read.", remedy="Put it right in the text itself.")
    return (f"{saved.name}, version {saved.version}", read.recipe)
