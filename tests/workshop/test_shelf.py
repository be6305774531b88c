"""The shelf of a book: own materials and lots as a recipe finds them."""

from __future__ import annotations

import pytest

from kettleglass.errors import UnknownName
from kettleglass.materials.catalogue import load_catalogue
from kettleglass.materials.lots import Like, Lot, Measured, like_material
from kettleglass.recipe.recipe import Amount, Line
from kettleglass.workshop import Notebook, save_material, utc_now
from kettleglass.workshop.shelf import keep_lot, keep_own, stock_of


@pytest.fixture
def book() -> Notebook:
    return Notebook.in_memory(clock=utc_now, who="Ada")


def line(material_id: str, lot_id: str | None = None) -> Line:
    return Line("a", material_id, Amount(100), "fats", lot_id=lot_id)


def test_a_kept_lot_brings_its_certificate(book: Notebook) -> None:
    lot = Lot("", "coconut", "3", figures={"saponification_value": Measured(257.0, 1.0)})
    entry = keep_lot(book, lot, None, 0)
    stock = stock_of(book, load_catalogue())
    figure = stock.find(line("coconut", entry.id)).figures["saponification_value"]
    assert (figure.value, figure.low, figure.high, figure.known) == (257.0, 256.0, 258.0, "maker")
    assert stock.lots[entry.id].label == "lot 3"
    assert stock.find(line("coconut")).figures["saponification_value"].value == 256.5


def test_an_own_material_is_found_by_its_entry(book: Notebook) -> None:
    like = Like("mine", "My pale olive", "olive", traits={"dark": False})
    entry = keep_own(book, like_material(like, load_catalogue()), None, 0)
    stock = stock_of(book, load_catalogue())
    assert stock.find(line(entry.id)).name == "My pale olive"
    assert "dark" not in stock.catalogue.get(entry.id).traits
    assert entry.id in {material.id for material in stock.catalogue.find("pale olive", 5)}


def test_what_cannot_be_read_is_named_and_the_rest_stands(book: Notebook) -> None:
    save_material(book, None, {"name": "broken", "kind": "fat"}, 0)
    keep_lot(book, Lot("", "no such fat", "7"), None, 0)
    good = keep_lot(book, Lot("", "castor", "8"), None, 0)
    stock = stock_of(book, load_catalogue())
    assert [finding.code for finding in stock.unread] == ["shelf-unread"] * 2
    assert set(stock.lots) == {good.id}
    with pytest.raises(UnknownName):
        stock.find(line("castor", "gone"))
