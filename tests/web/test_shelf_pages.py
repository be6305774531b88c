"""The shelf: found with slips, what is known of a material and from where, and the maker's own lots and materials."""

from __future__ import annotations

import re

import pytest

from kettleglass.materials.catalogue import load_catalogue
from tests.web.conftest import fields_of, recipe_address, words_of


def kept(client, how: str, **fields: str) -> str:
    """The id of what was entered."""
    sent = {name.replace("__", "."): text for name, text in fields.items()}
    answer = client.post(f"/shelf/enter/{how}", data={**sent, "do": "keep"})
    assert answer.status_code == 303, words_of(answer.text)
    return re.match(r"/shelf/(\w+)\?said=kept-material", answer.headers["location"])[1]


def verdict(client, how: str, **fields: str) -> str:
    sent = {name.replace("__", "."): text for name, text in fields.items()}
    answer = client.post(f"/shelf/enter/{how}/check", data=sent)
    assert answer.status_code == 200
    return words_of(answer.text)


def test_a_material_is_found_with_a_slip_of_the_pen(pages):
    found = words_of(pages.get("/shelf", params={"q": "cocunut oyl"}).text)
    assert "Coconut oil" in found
    assert "Nothing is called like that" in pages.get("/shelf/found", params={"q": "zzzzz"}).text


def test_all_of_the_catalogue_is_listed(pages):
    page = pages.get("/shelf").text
    assert page.count('<tr><th scope="row">') == len(load_catalogue())


def test_a_strength_is_understood_or_asked(pages):
    assert "as you say it" in words_of(pages.get("/shelf", params={"q": "92.4 % mass ethanol"}).text)
    asked = words_of(pages.get("/shelf", params={"q": "190 proof"}).text)
    assert "Write “190 US proof” or “190 UK proof”." in asked
    assert pages.get("/shelf/91 % isopropanol").status_code == 200


@pytest.mark.parametrize("material", list(load_catalogue()), ids=lambda material: material.id)
def test_every_material_shows_its_figures_with_source_and_how_known(pages, material):
    page = pages.get(f"/shelf/{material.id}")
    assert page.status_code == 200
    for figure in material.figures.values():
        assert f'data-known="{figure.known}"' in page.text
    text = words_of(page.text)
    assert all(remark.text in text for remark in material.remarks)
    if material.figures:
        assert "Figures that count" in text


def test_a_lot_narrows_the_doubt_of_the_recipe_it_is_used_in(pages):
    lot = kept(pages, "lot", base="coconut", supplier_lot="C-3", figure__saponification_value="257 ± 1")
    page = words_of(pages.get(f"/shelf/{lot}").text)
    assert "Coconut oil, lot C-3" in page
    assert "257 (256 to 258) mg KOH/g" in page
    address = recipe_address(pages)
    fields = fields_of(pages.get(address).text)
    before = chance(pages.get(address).text)
    answer = pages.post(f"{address}/live", data={**fields, "line.1.lot": lot})
    assert "C-3" in answer.text
    assert chance(answer.text) != before
    assert "256–258 mg KOH/g" in pages.get(address).text


def chance(html: str) -> str:
    return words_of(re.search(r'aria-controls="why-key-sure-chance"[^>]*>(.*?)</button>', html)[1])


def test_a_lot_can_be_changed_undone_and_removed(pages):
    lot = kept(pages, "lot", base="castor oil", supplier_lot="A", figure__saponification_value="180 ± 1")
    form = pages.get(pages.post(f"/shelf/{lot}", data={"do": "change"}).headers["location"]).text
    assert 'value="180 ± 1"' in form
    version = re.search(r'name="version" value="(\d+)"', form)[1]
    answer = pages.post(
        "/shelf/enter/lot",
        data={
            "entry": lot,
            "version": version,
            "base": "castor oil",
            "supplier_lot": "A",
            "figure.saponification_value": "181 ± 1",
            "do": "keep",
        },
    )
    assert answer.status_code == 303
    assert "181 (180 to 182)" in pages.get(f"/shelf/{lot}").text
    pages.post(f"/shelf/{lot}", data={"do": "undo"})
    assert "180 (179 to 181)" in pages.get(f"/shelf/{lot}").text
    stale = pages.post(
        "/shelf/enter/lot", data={"entry": lot, "version": "1", "base": "castor oil", "supplier_lot": "B", "do": "keep"}
    )
    assert stale.status_code == 409
    assert "supplier_lot: B" in stale.text
    pages.post(f"/shelf/{lot}", data={"do": "remove"})
    assert pages.get(f"/shelf/{lot}").status_code == 404


def test_same_as_another_but(pages):
    own = kept(
        pages,
        "like",
        name="Market palm",
        base="palm",
        figure__saponification_value="197-201",
        pale="no",
        aliases="red palm",
    )
    assert "199 (197 to 201) mg KOH/g" in words_of(pages.get(f"/shelf/{own}").text)
    assert "Market palm" in pages.get("/shelf", params={"q": "red palm"}).text


def test_a_data_sheet_names_what_spoils_soap(pages):
    bad = verdict(
        pages,
        "sheet",
        name="Bottle",
        substance__0="ethanol",
        share__0="80-95 %",
        substance__1="67-56-1",
        share__1="< 5 %",
    )
    assert "Methanol, up to 5 %." in bad
    assert "Do not cook with it." in bad
    good = verdict(
        pages, "sheet", name="Bottle", substance__0="64-17-5", share__0="94 %", substance__1="water", share__1="balance"
    )
    assert "Nothing named spoils soap" in good
    own = kept(
        pages,
        "sheet",
        name="Blind bottle",
        substance__0="ethanol",
        share__0="90 %",
        substance__1="methanol",
        share__1="10 %",
    )
    address = recipe_address(pages)
    fields = fields_of(pages.get(address).text)
    refreshed = words_of(pages.post(f"{address}/live", data={**fields, "line.6.material": own}).text)
    assert "There is methanol in this pot" in refreshed


def test_a_strength_becomes_a_material(pages):
    assert "92.42 % by mass of ethanol" in verdict(pages, "strength", text="190 US proof")
    assert "can mean more than one thing" in verdict(pages, "strength", text="190 proof")
    kept(pages, "strength", text="2 parts sugar to 1 part water", name="House syrup")
    assert "House syrup" in pages.get("/shelf").text


def test_stock_lye_premix_and_dye_stock(pages):
    lye = verdict(
        pages,
        "stirred",
        name="Lye",
        kind="stock lye",
        material__0="sodium_hydroxide_flakes",
        mass__0="500 g",
        material__1="water",
        mass__1="500 g",
    )
    assert "49 (48.5 to 49.5) %" in lye
    strong = verdict(
        pages,
        "stirred",
        name="Lye",
        kind="stock lye",
        material__0="sodium_hydroxide_flakes",
        mass__0="900 g",
        material__1="water",
        mass__1="100 g",
    )
    assert "what cold water dissolves" in strong
    own = kept(
        pages,
        "stirred",
        name="Premix",
        kind="premix",
        material__0="ethanol_95_vol",
        mass__0="150 g",
        material__1="glycerol",
        mass__1="60 g",
    )
    text = words_of(pages.get(f"/shelf/{own}").text)
    assert "ethanol 66.01" in text
    assert "How much glycerol" in verdict(pages, "stirred", name="x", material__0="glycerol")


def test_a_bought_paste_always_asks_sodium_or_potassium(pages):
    known = {
        "name": "Paste",
        "material__0": "coconut oil",
        "mass__0": "70 g",
        "material__1": "castor oil",
        "mass__1": "30 g",
    }
    assert "Write “sodium” or “potassium”." in verdict(pages, "paste", **known)
    text = verdict(pages, "paste", **known, alkali="sodium")
    assert "oven solids were not stated" in text
    assert "Dry 10 g in the oven" in text
    assert "oven solids were not stated" not in verdict(pages, "paste", **known, alkali="sodium", solids="62 ± 1")


def test_a_fat_and_a_mixture_of_ones_own(pages):
    text = verdict(pages, "fat", name="Ucuuba", acids="lauric 15\n14:0 70\noleic 7", build="oil, butter or fat")
    assert "Saponification value" in text
    assert "does not name an acid" in verdict(pages, "fat", name="x", acids="???")
    kept(
        pages,
        "mixture",
        name="Solvent",
        kind="polyol",
        part__0="glycerol",
        percent__0="60 ± 1",
        part__1="water",
        percent__1="40",
    )
    assert "can be 100 % at most" in verdict(pages, "mixture", name="x", part__0="glycerol", percent__0="140")


def test_what_was_typed_is_kept_until_it_is_put_on_the_shelf(pages):
    verdict(pages, "sheet", name="Half done", substance__0="ethanol")
    assert 'name="name" value="Half done"' in pages.get("/shelf/enter/sheet").text
    kept(pages, "sheet", name="Half done", substance__0="ethanol", share__0="95 %")
    assert 'name="name" value=""' in pages.get("/shelf/enter/sheet").text


def test_a_finished_base_becomes_a_material(pages):
    address = recipe_address(pages)
    answer = pages.post(address, data={"do": "shelve"})
    own = re.match(r"/shelf/(\w+)", answer.headers["location"])[1]
    text = words_of(pages.get(f"/shelf/{own}").text)
    assert "Made here from the recipe “Demo clear base”." in text
    other = recipe_address(pages, "Opaque white base")
    page = pages.get(pages.post(other, data={"do": f"add:finish:{own}"}).headers["location"].partition("#")[0]).text
    assert "Demo clear base" in page


def test_more_rows_when_they_are_used_up(pages):
    page = pages.post("/shelf/enter/sheet", data={"do": "rows", "substance.2": "water", "share.2": "5 %"}).text
    assert 'name="substance.4"' in page


def test_an_unknown_way_to_enter_is_a_missing_page(pages):
    assert pages.get("/shelf/enter/magic").status_code == 404
