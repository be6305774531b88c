"""The shelf: the catalogue with a search, the maker's own things, and what is known of one material."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from starlette.responses import HTMLResponse, Response

from kettleglass.materials import Figure, Material
from kettleglass.materials.catalogue import load_catalogue
from kettleglass.materials.goods import evidence
from kettleglass.materials.lots import Lot
from kettleglass.materials.words import figure_label, parts_in_words
from kettleglass.web import rendering
from kettleglass.web.asking import Ask
from kettleglass.web.forms.makers import HOWS
from kettleglass.web.shelf import Shelf
from kettleglass.web.view.asked import KNOWN_WORDS
from kettleglass.web.view.sentences import shown_name

MOST_FOUND = 60
KIND_WORDS: Mapping[str, str] = {
    "fat": "Fats, butters, waxes", "fatty acid": "Fatty acids", "alkali": "Alkalis", "amine": "Amines",
    "water": "Water", "spirit": "Spirits", "polyol": "Glycerol and glycols", "sugar": "Sugars and syrups",
    "mixture": "Mixtures",
    "acid": "Acids", "salt": "Salts", "chelator": "Chelators", "whitener": "Whiteners", "fragrance": "Scents",
    "dye": "Dyes and pigments", "made": "Made or bought whole",
}  # fmt: skip
_WANTED = ("saponification_value", "purity", "strength", "iodine_value", "flash_point_c")


@dataclass(frozen=True, slots=True)
class Listed:
    """One material in the list: the figure that matters most, and how it is known."""

    material: Material
    name: str
    figure: str
    known: str
    source: str


def listed(material: Material) -> Listed:
    """The material as a row."""
    name = next((one for one in _WANTED if one in material.figures), "")
    figure = material.figures.get(name)
    text = "" if figure is None else f"{figure_label(name)} {figure_text(figure)}"
    known, source = ("", "") if figure is None else (figure.known, figure.source)
    return Listed(material, shown_name(material.name) if material.kind != "dye" else material.name, text, known, source)


def figure_text(figure: Figure) -> str:
    """Value and range of a figure as a person reads it."""
    scale, unit = (100.0, "%") if figure.unit == "g/g" else (1.0, figure.unit)
    value, low, high = (f"{scale * x:.5g}" for x in (figure.value, figure.low, figure.high))
    return f"{value} {unit}".strip() if low == high else f"{value} ({low} to {high}) {unit}".strip()


def front(ask: Ask) -> Response:
    """The catalogue by kind, or what a search finds; the maker's own things first."""
    shelf = ask.desk.shelf(invented=ask.invented)
    own = {entry.id for entry in _own_ids(shelf)}
    values = _found(shelf, ask.query("q")) | {
        "own": [listed(material) for material in shelf.catalogue if material.id in own],
        "lots": [_lot_row(shelf, lot) for lot in shelf.stock.lots.values()], "unread": shelf.stock.unread,
        "hows": HOWS.values(),
    }  # fmt: skip
    return ask.page("shelf/list.html", values)


def found(ask: Ask) -> Response:
    """The part of the list that a search changes."""
    shelf = ask.desk.shelf(invented=ask.invented)
    return HTMLResponse(rendering.rendered("shelf/found.html", _found(shelf, ask.query("q"))))


def _own_ids(shelf: Shelf) -> list[Material]:
    return [material for material in shelf.catalogue if material.id not in load_catalogue()]


def _lot_row(shelf: Shelf, lot: Lot) -> tuple[Lot, str]:
    return lot, shown_name(shelf.stock.lot_materials[lot.id].name)


def _found(shelf: Shelf, wanted: str) -> dict[str, object]:
    if not wanted.strip():
        groups = [(KIND_WORDS.get(kind, kind), [listed(one) for one in same])
                  for kind, same in shelf.catalogue.by_kind().items()]  # fmt: skip
        return {"wanted": "", "groups": groups, "spoken": None, "asked": None}
    spoken, asked = shelf.spoken(wanted)
    rows = [listed(one) for one in shelf.catalogue.find(wanted, MOST_FOUND)]
    return {"wanted": wanted, "groups": [("", rows)] if rows else [], "spoken": spoken, "asked": asked}


def one(ask: Ask) -> Response:
    """What is known of one material or lot, with every figure's source and how it is known."""
    shelf = ask.desk.shelf(invented=ask.invented)
    wanted = ask.path("id")
    lot = shelf.stock.lots.get(wanted)
    material = shelf.stock.lot_materials[wanted] if lot is not None else shelf.catalogue.get(wanted)
    own = lot is not None or material.id in {entry.id for entry in _own_ids(shelf)}
    rows = () if own else evidence(material.id)
    return ask.page("shelf/one.html", {
        "material": material, "name": shown_name(material.name), "kind_words": KIND_WORDS, "wanted": wanted,
        "figures": [(figure_label(name), figure, figure_text(figure)) for name, figure in material.figures.items()],
        "parts": parts_in_words(material), "doubts": material.doubts,
        "known_words": KNOWN_WORDS, "evidence": rows, "lot": lot, "own": own,
        "lots": shelf.lots_of(material.id), "figure_text": figure_text,
    })  # fmt: skip
