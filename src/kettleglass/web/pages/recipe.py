"""The page of one recipe: shown, kept while one types, and everything its buttons do."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from starlette.responses import HTMLResponse, Response

from kettleglass.errors import BadInput, Finding, KettleglassError
from kettleglass.recipe.compare import compare
from kettleglass.recipe.exchange import write_recipe
from kettleglass.recipe.method import usual_steps
from kettleglass.recipe.place import DRAUGHTS, HEATINGS
from kettleglass.recipe.recipe import LIMITS, LOOKS, METALS, PURPOSES, SIZES, STAGES, Recipe, Stage
from kettleglass.web import rendering
from kettleglass.web.asking import Ask, go
from kettleglass.web.at_work import Sitting, Unreadable, as_sent, keep_typed, sit_down, try_face, with_typed
from kettleglass.web.forms import FormRead, Typed, edited, read_form, step_ids
from kettleglass.web.forms.editing import GROUP_KEYS, NewLine, with_line
from kettleglass.web.forms.reading import unused_key
from kettleglass.web.pages import recipe_verbs, titration
from kettleglass.web.shelf import Shelf
from kettleglass.web.view import bench
from kettleglass.web.view.asked import Asker, slug
from kettleglass.web.view.face import LEGEND, Face

STATES = (("added", "As added"), ("cooked", "After reaction"), ("finished", "Finished"))
SIZE_WORDS = {
    "as written": "as written", "fats": "so much fat", "whole": "so much in the pot", "line": "what I have of one",
    "mould": "fill the mould", "kettle": "fill the kettle",
}  # fmt: skip
DRAUGHT_WORDS = {
    "calm": "calm: a closed room", "usual": "usual: people move about", "draughty": "draughty: a window open",
    "fan": "a fan blows over it",
}  # fmt: skip
_FIELDS_OF_FINDING = {
    "alkali": "alkali.superfat", "superfat": "alkali.superfat", "lye water": "alkali.lye_water",
    "kettle": "kettle.metal", "measured": "recipe.measured_free_alkali", "water": "recipe.water_hardness",
    "place": "place.room", "losses": "losses.alcohol",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class View:
    """What the page shows at one moment: the sitting, the fields, what they mean, and what comes of it."""

    sitting: Sitting
    typed: Typed
    read: FormRead
    shelf: Shelf
    face: Face | None
    trouble: KettleglassError | None
    differs: bool


def view_of(ask: Ask, sitting: Sitting, shelf: Shelf, whole: Typed, read: FormRead) -> View:
    """The page for what stands in the fields, worked out."""
    differs = read.recipe != sitting.recipe or bool(read.faults)
    remarks: tuple[Finding, ...] = () if differs else sitting.remarks
    face, trouble = try_face(ask, read.recipe, shelf, remarks)
    also_wrong = titration.faults(whole, composition_of(face))
    return View(sitting, whole, replace(read, faults={**read.faults, **also_wrong}), shelf, face, trouble, differs)


def composition_of(face: Face | None) -> Mapping[str, float]:
    """What is in the pot after reaction, in g by species; nothing when it cannot be worked out."""
    return {} if face is None else face.worked.sheet.basis.as_dict(face.worked.cooked)


def show(ask: Ask) -> Response:
    """The page, as saved or as it was last typed at; a text that cannot be read is shown as text."""
    try:
        sitting = sit_down(ask.book, ask.path("id"))
    except Unreadable:
        return go(f"/recipes/{ask.path('id')}/text")
    shown = view_of(ask, sitting, ask.desk.shelf(invented=ask.invented), *with_typed(sitting, {}))
    return ask.page("recipe/page.html", page_values(ask, shown))


def live(ask: Ask) -> Response:
    """What changes on the page while one types; what stands in the fields is kept first."""
    book, recipe_id = ask.book, ask.path("id")
    with book.transaction():
        sitting, shelf = as_sent(sit_down(book, recipe_id), ask.typed), ask.desk.shelf(invented=ask.invented)
        typed, read = with_typed(sitting, ask.typed)
        if ask.desk.is_newest(book, recipe_id, _moment(ask.typed)):
            keep_typed(book, sitting, typed, read)
    shown = view_of(ask, sitting, shelf, typed, read)
    return HTMLResponse(rendering.rendered("recipe/live.html", live_values(ask, shown)))


def _moment(typed: Mapping[str, str]) -> int:
    said = typed.get("ui.typed", "")
    return int(said) if said.isascii() and said.isdigit() and len(said) < 20 else 0


def live_values(ask: Ask, shown: View) -> dict[str, object]:
    """What the refreshed parts need."""
    typed = shown.typed
    opened = frozenset(f"{ask.query('open')} {typed.get('ui.open', '')}".split())
    groups = bench.groups(typed, shown.read, shown.face, _goods(shown.shelf))
    state = typed.get("ui.state", "cooked")
    return {
        "saved": shown.sitting.saved, "typed": typed, "faults": shown.read.faults, "face": shown.face,
        "trouble": shown.trouble, "differs": shown.differs, "groups": groups, "legend": LEGEND, "states": STATES,
        "state": state if state in dict(STATES) else "cooked", "limits_choices": LIMITS,
        "opened": opened, "asker": Asker(shown.read.recipe.scale.unit, opened), "beside": _beside(ask, shown),
        "widths": _widths(typed, "ui.width"), "glass_widths": _widths(typed, "ui.glass"),
        "fields_of": _fields_of(groups, shown.read), "size_said": _size_said(shown.read.recipe),
    }  # fmt: skip


def page_values(ask: Ask, shown: View) -> dict[str, object]:
    """What the whole page needs."""
    values = live_values(ask, shown)
    typed, faults = shown.typed, shown.read.faults
    found_by = {key: ask.query(f"q.{key}") for key in GROUP_KEYS}
    rows = [row for group in values["groups"] for row in group.rows]  # type: ignore[attr-defined]
    alkalis = sum(typed.get(f"line.{r.id}.stage") == "lye" and r.fill == "salt" for r in rows)
    return values | {
        "started_from": shown.sitting.started_from, "focus": ask.query("focus"), "finding": ask.query("find"),
        "found_by": found_by, "offered": {key: shown.shelf.offered(key, found_by[key]) for key in GROUP_KEYS},
        "purposes": PURPOSES, "looks": LOOKS, "metals": METALS, "draughts": DRAUGHTS,
        "draught_words": DRAUGHT_WORDS, "heatings": HEATINGS, "altitude_said": f"{ask.desk.settings.altitude_m:g} m",
        "stages": STAGES, "sizes": SIZES,
        "size_words": SIZE_WORDS, "stage_words": bench.STAGE_WORDS, "steps": step_ids(typed), "alkalis": alkalis,
        "given_as": titration.GIVEN_AS, "trap": titration.trap(typed),
        "water_placed": any(row.takes_water for row in rows), "opens": _opens(faults, ask.query("focus")),
    }  # fmt: skip


def _opens(faults: Mapping[str, object], focus: str) -> Callable[..., bool]:
    """Whether a folded group must be open: something in it is wrong, or is where the maker goes on."""
    return lambda *starts: focus.startswith(starts) or any(name.startswith(starts) for name in faults)


def _goods(shelf: Shelf) -> bench.Goods:
    return bench.Goods(shelf.material, shelf.lots_of)


def _beside(ask: Ask, shown: View) -> object:
    """What differs from the saved version, when something does."""
    if not shown.differs or shown.face is None or shown.read.recipe == shown.sitting.recipe:
        return None
    before, _ = try_face(ask, shown.sitting.recipe, shown.shelf, shown.sitting.remarks)
    if before is None:
        return None
    return compare((before.worked, before.readings), (shown.face.worked, shown.face.readings))


def _widths(typed: Mapping[str, str], name: str) -> tuple[str, ...]:
    """Which of the two widths of a figure to draw: the one that the browser shows, both when it did not say."""
    said = typed.get(name, "")
    return (said,) if said in ("wide", "narrow") else ("wide", "narrow")


def _fields_of(groups: tuple[bench.Group, ...], read: FormRead) -> dict[str, str]:
    """Where on the page the thing that a finding names can be changed."""
    keys = read.line_keys
    rows = {keys[row.id]: f"{row.field}.amount" for group in groups for row in group.rows
            if row.id in keys and not row.takes_water}  # fmt: skip
    return {**_FIELDS_OF_FINDING, **rows}


def _size_said(recipe: Recipe) -> str:
    return "" if recipe.size.by == "as written" else SIZE_WORDS[recipe.size.by]


def offers(ask: Ask) -> Response:
    """What the search in a group of lines offers."""
    group = ask.query("group")
    shelf = ask.desk.shelf(invented=ask.invented)
    if group not in GROUP_KEYS:
        raise BadInput("There is no such group of lines.", remedy="Load the page anew.")
    found = shelf.offered(group, ask.query(f"ui.find.{group}"))
    return HTMLResponse(rendering.rendered("recipe/offers.html", {"offers": found, "group_key": group}))


def act(ask: Ask) -> Response:
    """What a button of the page does. Whatever it is, what was typed is kept first."""
    book, recipe_id = ask.book, ask.path("id")
    sitting = as_sent(sit_down(book, recipe_id), ask.typed)
    shelf = ask.desk.shelf(invented=ask.invented)
    typed, read = with_typed(sitting, ask.typed)
    keep_typed(book, sitting, typed, read)
    do = ask.typed.get("do", "update")
    verb, _, rest = do.partition(":")
    address = f"/recipes/{recipe_id}"
    if do in recipe_verbs.VERBS:
        return recipe_verbs.VERBS[do](recipe_verbs.Turn(ask, sitting, read))
    if verb == "update":
        return go(address)
    if verb == "open":
        return go(f"{address}#{rest}", open=rest)
    if verb == "find":
        return go(f"{address}#add-{rest}", **{"find": rest, f"q.{rest}": typed.get(f"ui.find.{rest}", "")})
    changed, focus = _edit(ask, typed, read, shelf)
    keep_typed(book, sitting, changed, read_form(changed, read.good, sitting.recipe))
    return go(f"{address}#{focus}" if focus else address, **({"focus": focus} if focus else {}))


def _edit(ask: Ask, typed: Typed, read: FormRead, shelf: Shelf) -> tuple[Typed, str]:
    """The fields after the button that was pressed, and where the maker goes on."""
    do = ask.typed["do"]
    verb, _, rest = do.partition(":")
    if verb == "add":
        group, _, material_id = rest.partition(":")
        return _added(typed, shelf, (group, material_id))
    if verb == "size":
        return {**typed, "size.by": "fats", "size.mass": f"{rest} g"}, "size.mass"
    if verb == "titrate":
        pot = composition_of(try_face(ask, read.recipe, shelf)[0])
        wrong = next(iter(titration.faults(typed, pot)), "recipe.measured_free_alkali")
        return titration.worked_out(typed, pot), wrong
    edit = edited(typed, do, lambda: usual_steps(_lines_of(read.recipe)))
    return edit.typed, edit.focus


def _lines_of(recipe: Recipe) -> dict[Stage, tuple[str, ...]]:
    stages = dict.fromkeys(line.stage for line in recipe.lines)
    return {stage: tuple(line.key for line in recipe.lines if line.stage == stage) for stage in stages}


def _added(typed: Typed, shelf: Shelf, what: tuple[str, str]) -> tuple[Typed, str]:
    group, material_id = what
    if group not in GROUP_KEYS:
        raise BadInput("This button does not fit the recipe as it is now.", remedy="Load the page anew.")
    material = shelf.catalogue.get(material_id)
    taken = [typed[name] for name in typed if name.startswith("line.") and name.endswith(".key")]
    key = unused_key(material.name.partition(",")[0].partition("(")[0].strip().lower() or material.id, taken)
    edit = with_line(typed, NewLine(material_id, key, shelf.stage_in(group, material)))
    return edit.typed, edit.focus


def file_of(ask: Ask) -> Response:
    """The recipe as a file, as it is typed just now."""
    sitting = sit_down(ask.book, ask.path("id"))
    _, read = with_typed(sitting, {})
    name = slug(read.recipe.name)[:60]
    return Response(
        write_recipe(read.recipe), media_type="application/toml; charset=utf-8",
        headers={"content-disposition": f'attachment; filename="{name}.toml"'},
    )  # fmt: skip
