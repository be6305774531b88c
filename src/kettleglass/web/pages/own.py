"""Entering a material or lot of one's own: the form, its verdict while one types, and keeping it."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass

from starlette.exceptions import HTTPException
from starlette.responses import HTMLResponse, Response

from kettleglass.errors import KettleglassError, UnknownName
from kettleglass.materials import Material
from kettleglass.materials.catalogue import Catalogue
from kettleglass.materials.documents import material_as_dict
from kettleglass.materials.lots import lot_from_dict
from kettleglass.materials.substances import SUBSTANCES
from kettleglass.materials.words import figure_label, parts_in_words
from kettleglass.science.species import PLAIN
from kettleglass.web import rendering
from kettleglass.web.asking import Ask, Typed, go
from kettleglass.web.forms.makers import (
    BUILDS,
    HOWS,
    KINDS,
    STIRRED,
    How,
    adjustable,
    base_of,
    figure_words,
    lot_of,
    typed_of_lot,
)
from kettleglass.web.forms.own import MOST_ROWS, AtField, Entry, Made
from kettleglass.web.pages.shelf import KIND_WORDS, figure_text
from kettleglass.web.view.sentences import shown_name
from kettleglass.workshop import (
    NoSuchEntry,
    clear_draft,
    draft_history,
    keep_draft,
    load_lot,
    load_material,
    remove_lot,
    remove_material,
    take_draft,
    undo_lot,
    undo_material,
)
from kettleglass.workshop.changes import Latest
from kettleglass.workshop.shelf import keep_lot, keep_own

LEAST_ROWS, SPARE_ROWS = 3, 2
COMPOUNDS = ("sodium_hydroxide", "potassium_hydroxide", "sodium_carbonate", "sodium_chloride", "sodium_lactate")
NEW = "new"
_BEFORE = ("entry", "version", "do", "what", "kind", "build", "how")
"""Fields that have something in them before anybody has typed."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What the fields came to: a material, or what stands in the way and at which field."""

    made: Made | None
    trouble: KettleglassError | None

    @property
    def at(self) -> str:
        """The field that is to blame, if one is."""
        return self.trouble.field if isinstance(self.trouble, AtField) else ""


def outcome_of(how: How, typed: Mapping[str, str], catalogue: Catalogue, entry_id: str) -> Outcome:
    """The material of the fields, or why there is none."""
    try:
        return Outcome(how.make(Entry(typed, catalogue, entry_id)), None)
    except KettleglassError as error:
        return Outcome(None, error)


def _how(ask: Ask) -> How:
    how = HOWS.get(ask.path("how"))
    if how is None:
        raise HTTPException(404)
    return how


def form(ask: Ask) -> Response:
    """The form of one way, with what was typed in it before."""
    how, entry_id = _how(ask), ask.query("id", NEW)
    typed = _typed_before(ask, how, entry_id) or {"base": ask.query("of"), "entry": entry_id}
    return _page(ask, how, typed)


def _typed_before(ask: Ask, how: How, entry_id: str) -> Typed:
    draft = take_draft(ask.book, _key(how, entry_id))
    return {} if draft is None else {str(name): str(said) for name, said in json.loads(draft.form).items()}


def _key(how: How, entry_id: str) -> str:
    return f"shelf/{how.key}/{entry_id}"[:200]


def _page(ask: Ask, how: How, typed: Mapping[str, str], status: int = 200) -> Response:
    shelf = ask.desk.shelf(invented=ask.invented)
    values = _verdict(how, typed, shelf.catalogue) | {
        "how": how, "typed": typed, "builds": tuple(BUILDS), "stirred": STIRRED, "kinds": KINDS,
        "rows": _row_numbers(typed), "substances": [one.name for one in SUBSTANCES], "goods": shelf.catalogue,
        "species": (*(one.id for one in PLAIN), *COMPOUNDS), "figures": _figures(typed, shelf.catalogue),
        "entry_version": typed.get("version", ""), "entry": typed.get("entry", NEW),
    }  # fmt: skip
    return ask.page("shelf/form.html", values, status=status)


def _row_numbers(typed: Mapping[str, str]) -> range:
    """So many rows as are filled, and a few more."""
    used = [int(name.rpartition(".")[2]) for name, said in typed.items()
            if said.strip() and name.partition(".")[0] in ("material", "mass", "substance", "share", "part", "percent")
            and name.rpartition(".")[2].isdigit()]  # fmt: skip
    return range(min(MOST_ROWS, max(LEAST_ROWS, max(used, default=-1) + 1 + SPARE_ROWS)))


def _figures(typed: Mapping[str, str], catalogue: Catalogue) -> list[tuple[str, tuple[str, str, str]]]:
    """The figures that can be typed over those of the base material, with what the catalogue says."""
    try:
        base = base_of(typed, catalogue)
    except KettleglassError:
        return []
    return [(name, figure_words(base, name)) for name in adjustable(base)]


def _verdict(how: How, typed: Mapping[str, str], catalogue: Catalogue) -> dict[str, object]:
    found = outcome_of(how, typed, catalogue, NEW)
    material = found.made.material if found.made is not None else None
    return {
        "untouched": not any(said.strip() for name, said in typed.items() if name not in _BEFORE),
        "made": found.made, "trouble": found.trouble, "at": found.at, "kind_words": KIND_WORDS,
        "name": "" if material is None else shown_name(material.name),
        "parts": () if material is None else parts_in_words(material)[:12],
        "figures_made": () if material is None else _figure_rows(material),
    }  # fmt: skip


def _figure_rows(material: Material) -> list[tuple[str, str, str]]:
    shown = dict(material.figures)
    if material.density_g_ml is not None:
        shown["density"] = material.density_g_ml
    return [(figure_label(name), figure_text(one), one.known) for name, one in shown.items()]


def check(ask: Ask) -> Response:
    """The verdict on what stands in the fields just now, which are kept first."""
    how = _how(ask)
    _keep_typed(ask, how)
    catalogue = ask.desk.shelf(invented=ask.invented).catalogue
    return HTMLResponse(rendering.rendered("shelf/verdict.html", _verdict(how, ask.typed, catalogue)))


def _keep_typed(ask: Ask, how: How) -> None:
    kept = {name: said for name, said in ask.typed.items() if name != "do"}
    keep_draft(ask.book, _key(how, ask.typed.get("entry", NEW)), json.dumps(kept, ensure_ascii=False))


def keep(ask: Ask) -> Response:
    """Keep the material or lot, or show the form again with what stands in the way."""
    how = _how(ask)
    _keep_typed(ask, how)
    if ask.typed.get("do", "keep") != "keep":
        return _page(ask, how, ask.typed)
    catalogue = ask.desk.shelf(invented=ask.invented).catalogue
    is_new = ask.typed.get("entry", NEW) == NEW
    entry_id = ask.book.new_id() if is_new else ask.typed["entry"]
    found = outcome_of(how, ask.typed, catalogue, entry_id)
    if found.made is None:
        return _page(ask, how, ask.typed, 422)
    expected = 0 if is_new else _version(ask.typed)
    if how.key == "lot":
        kept = keep_lot(ask.book, lot_of(ask.typed, catalogue, entry_id), entry_id, expected)
    else:
        kept = keep_own(ask.book, found.made.material, entry_id, expected)
    _remember(ask, how, entry_id, kept.version)
    return go(f"/shelf/{entry_id}", "kept-material")


def _version(typed: Mapping[str, str]) -> int | None:
    said = typed.get("version", "")
    return int(said) if said.isascii() and said.isdigit() and len(said) < 10 else None


def _remember(ask: Ask, how: How, entry_id: str, version: int) -> None:
    """What was typed goes with the entry, so that its form can be opened again; the form for a new one is empty."""
    kept = {name: said for name, said in ask.typed.items() if name != "do"}
    kept |= {"entry": entry_id, "version": str(version), "how": how.key}
    with ask.book.transaction():
        keep_draft(ask.book, _key(how, entry_id), json.dumps(kept, ensure_ascii=False))
        keep_draft(ask.book, f"shelf/how/{entry_id}", json.dumps({"how": how.key}))
        if ask.typed.get("entry", NEW) == NEW:
            clear_draft(ask.book, _key(how, NEW))


def change(ask: Ask) -> Response:
    """Open the form of an entry again, remove it, or take back its last change."""
    entry_id, do = ask.path("id"), ask.typed.get("do", "")
    is_lot = entry_id in ask.desk.shelf(invented=ask.invented).stock.lots or _is_lot(ask, entry_id)
    if do == "remove":
        (remove_lot if is_lot else remove_material)(ask.book, entry_id)
        return go("/shelf", "removed")
    if do == "undo":
        (undo_lot if is_lot else undo_material)(ask.book, entry_id)
        return go(f"/shelf/{entry_id}", "undone")
    draft = take_draft(ask.book, f"shelf/how/{entry_id}")
    if draft is None:
        raise UnknownName("form of", entry_id, ())
    how = HOWS[json.loads(draft.form)["how"]]
    _bring_up_to_date(ask, how, (load_lot if is_lot else load_material)(ask.book, entry_id))
    return go(f"/shelf/enter/{how.key}", id=entry_id)


def _bring_up_to_date(ask: Ask, how: How, entry: Latest) -> None:
    """What is typed for an entry that the book has moved on from gives way to what stands in the book now."""
    key, version = _key(how, entry.id), str(entry.version)
    if _typed_before(ask, how, entry.id).get("version") != version:
        typed = _typed_as_in_book(ask, how, entry) | {"entry": entry.id, "version": version, "how": how.key}
        keep_draft(ask.book, key, json.dumps(typed, ensure_ascii=False))


def _typed_as_in_book(ask: Ask, how: How, entry: Latest) -> Typed:
    """The fields as once typed for just this content; else a lot in plain figures, another as it was typed last."""
    catalogue = ask.desk.shelf(invented=ask.invented).catalogue
    for draft in reversed(draft_history(ask.book, _key(how, entry.id))):
        typed = {str(name): str(said) for name, said in json.loads(draft.form).items()}
        if _content(how, typed, catalogue, entry.id) == entry.content:
            return typed
    if how.key == "lot":
        document = {name: said for name, said in entry.content.items() if name != "name"}
        return typed_of_lot(lot_from_dict(document), catalogue)
    return _typed_before(ask, how, entry.id)


def _content(how: How, typed: Typed, catalogue: Catalogue, entry_id: str) -> object:
    """What the book would say of these fields; None when they come to nothing."""
    try:
        if how.key == "lot":
            lot = lot_of(typed, catalogue, entry_id)
            return json.loads(json.dumps(lot.as_dict() | {"name": lot.label}))
        return json.loads(json.dumps(material_as_dict(how.make(Entry(typed, catalogue, entry_id)).material)))
    except KettleglassError:
        return None


def _is_lot(ask: Ask, entry_id: str) -> bool:
    try:
        load_lot(ask.book, entry_id)
    except NoSuchEntry:
        load_material(ask.book, entry_id)
        return False
    return True
