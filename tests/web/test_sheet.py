"""The weigh sheet: the weights of the page to the step of the scale, and what whoever weighs has to know."""

from __future__ import annotations

import re

from kettleglass.workshop import load_recipe, save_recipe
from tests.web.conftest import recipe_address, words_of


def weights(html: str) -> dict[str, str]:
    """Name and weight of every row."""
    rows = re.findall(r'<th scope="row">(.*?)</th><td class="weight">(.*?)</td>', html, re.DOTALL)
    return {words_of(name): words_of(mass) for name, mass in rows}


def test_the_sheet_holds_the_weights_and_the_cautions(pages):
    sheet = pages.get(f"{recipe_address(pages)}/sheet").text
    found = weights(sheet)
    assert found["Coconut oil"] == "200 g"
    assert found["Sodium hydroxide, flakes"] == "66.4 g"
    assert found["In the pot"] == "931 g"
    text = words_of(sheet)
    assert "Lye causes severe burns to skin and eyes." in text
    assert "Alcohol vapour catches fire" in text
    assert "Local codes and licensed practice come first." in text
    assert "Version 1 of" in text
    assert "Invented recipe of an invented workshop." in text
    assert sheet.count('class="tick"') == len(found) - 1


def test_what_is_set_aside_is_said_not_to_be_in_the_pot(pages):
    sheet = pages.get(f"{recipe_address(pages)}/sheet").text
    aside = next(name for name in weights(sheet) if name.startswith("Set aside"))
    assert "not part of the pot above" in aside


def test_pounds_and_ounces_on_request(pages):
    address = recipe_address(pages)
    found = weights(pages.get(f"{address}/sheet", params={"unit": "lb oz"}).text)
    assert found["Coconut oil"] == "7.05 oz"
    assert found["In the pot"] == "2 lb 0.84 oz"
    assert "In grams" in pages.get(f"{address}/sheet", params={"unit": "lb oz"}).text


def test_a_sheet_of_what_is_typed_says_that_it_is_not_saved(pages):
    address = recipe_address(pages)
    pages.post(f"{address}/live", data={"alkali.superfat": "3 %"})
    text = words_of(pages.get(f"{address}/sheet").text)
    assert "not saved as a version yet" in text
    answer = pages.post(address, data={"alkali.superfat": "3 percent of it", "do": "sheet"})
    assert answer.headers["location"] == f"{address}/sheet"
    assert "alkali.superfat cannot be read" in words_of(pages.get(f"{address}/sheet").text)


def test_an_earlier_version_can_be_printed(pages):
    address = recipe_address(pages)
    book, recipe_id = pages.app.state.desk.book(invented=True), address.rsplit("/", 1)[1]
    saved = load_recipe(book, recipe_id)
    save_recipe(book, recipe_id, saved.text.replace('"200 g"', '"300 g"'), saved.name, 1)
    assert weights(pages.get(f"{address}/sheet").text)["Coconut oil"] == "300 g"
    assert weights(pages.get(f"{address}/sheet", params={"version": 1}).text)["Coconut oil"] == "200 g"
    assert pages.get(f"{address}/sheet", params={"version": 9}).status_code == 404


def test_three_clicks_from_the_front_page(pages):
    front = pages.get("/").text
    recipe = re.search(r'href="(/recipes/\w+)"><b>Demo clear base', front)[1]
    page = pages.get(recipe).text
    assert 'name="do" value="sheet">Weigh sheet</button>' in page
    sheet = pages.get(pages.post(recipe, data={"do": "sheet"}).headers["location"]).text
    assert "data-print" in sheet
