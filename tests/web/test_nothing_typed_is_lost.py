"""What was typed outlives the buttons: saving with a line not filled in, and putting aside before typing on."""

from __future__ import annotations

import json
import re
from html import unescape

from kettleglass.materials.catalogue import load_catalogue
from kettleglass.web.forms.makers import lot_of, typed_of_lot
from kettleglass.workshop import keep_draft, load_recipe, take_draft
from tests.web.conftest import fields_of, recipe_address, words_of
from tests.web.test_recipe_page import book_of, live, page_of, pressed
from tests.web.test_shelf_pages import kept


def test_saving_with_an_amount_not_filled_in_keeps_the_line_and_its_note(pages):
    address = recipe_address(pages)
    before = load_recipe(book_of(pages), address.rsplit("/", 1)[1])
    pressed(pages, address, "add:fats:palm")
    page = pressed(pages, address, "save", line__9__note="from the market")
    fields = fields_of(page)
    assert (fields["line.9.material"], fields["line.9.note"]) == ("palm", "from the market")
    assert "Not saved as a version yet" in page
    assert 'data-for="line.9.amount"' in page
    assert load_recipe(book_of(pages), before.id) == before
    assert "Saved as a new version." in pressed(pages, address, "save", line__9__amount="50 g")
    assert fields_of(page_of(pages, address))["line.9.note"] == "from the market"


def test_what_was_put_aside_comes_back_after_much_more_typing(pages):
    address = recipe_address(pages)
    live(pages, address, line__1__amount="250 g")
    pressed(pages, address, "drop", line__1__amount="250 g")
    draft = live_state(pages, address)
    for end in range(1, 46):
        keep_draft(book_of(pages), address.rsplit("/", 1)[1], json.dumps({**draft, "note": "x" * end}))
    assert "coconut 250 g" in page_of(pages, f"{address}/versions")


def live_state(client, address: str) -> dict[str, object]:
    """What is kept of the page after a letter more is typed."""
    live(client, address, recipe__note="x")
    return json.loads(take_draft(book_of(client), address.rsplit("/", 1)[1]).form)


def changed(client, entry: str) -> dict[str, str]:
    """The fields of an entry that “Change it” opens."""
    form = client.get(client.post(f"/shelf/{entry}", data={"do": "change"}).headers["location"]).text
    return {name: unescape(said) for name, said in re.findall(r'<input[^>]* name="([^"]+)" value="([^"]*)"', form)}


def keep_again(client, how: str, fields: dict[str, str]) -> int:
    return client.post(f"/shelf/enter/{how}", data={**fields, "do": "keep"}).status_code


def test_a_lot_whose_change_was_taken_back_opens_as_it_stands_and_can_be_kept(pages):
    lot = kept(pages, "lot", base="castor oil", supplier_lot="A", figure__saponification_value="180 ± 1")
    assert keep_again(pages, "lot", changed(pages, lot) | {"figure.saponification_value": "181 ± 1"}) == 303
    pages.post(f"/shelf/{lot}", data={"do": "undo"})
    fields = changed(pages, lot)
    assert fields["figure.saponification_value"] == "180 ± 1"
    assert keep_again(pages, "lot", fields | {"supplier_lot": "B"}) == 303
    assert "lot B" in words_of(pages.get(f"/shelf/{lot}").text)


def test_a_material_whose_change_was_taken_back_opens_as_it_stands_and_can_be_kept(pages):
    own = kept(pages, "like", name="Market palm", base="palm", figure__saponification_value="199 ± 1")
    assert keep_again(pages, "like", changed(pages, own) | {"figure.saponification_value": "201 ± 1"}) == 303
    pages.post(f"/shelf/{own}", data={"do": "undo"})
    fields = changed(pages, own)
    assert fields["figure.saponification_value"] == "199 ± 1"
    assert keep_again(pages, "like", fields) == 303


def test_the_fields_of_a_lot_read_back_as_the_lot():
    typed = {
        "base": "Coconut oil", "supplier_lot": "C", "supplier": "S", "note": "n", "pale": "no", "opened": "2026-01-02",
        "figure.saponification_value": "257.5 ± 0.5", "figure.unsaponifiable_fraction": "0.4",
        "acids": "12:0 48\n14:0 18",
    }  # fmt: skip
    lot = lot_of(typed, load_catalogue(), "lot1")
    assert lot.figures
    assert lot.acids
    assert lot_of(typed_of_lot(lot, load_catalogue()), load_catalogue(), "lot1") == lot


def test_an_older_page_never_overwrites_a_newer_save(pages):
    """Tab A saves and types on; tab B still shows the version before, and its save must not pass in silence."""
    address = recipe_address(pages)
    old = fields_of(pages.get(address).text)
    pages.post(address, data={**old, "alkali.superfat": "5 %", "do": "save"})
    newer = fields_of(pages.get(address).text)
    pages.post(f"{address}/live", data={**newer, "alkali.superfat": "4 %", "ui.typed": "2"})
    answered = pages.post(address, data={**old, "alkali.superfat": "6 %", "do": "save"})
    assert answered.status_code == 409
    assert "5 %" in answered.text
    assert "6 %" in answered.text
