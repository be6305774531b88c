"""Other sizes and other ways of a recipe: worked out when asked, as a part of the plan page or as a page."""

from __future__ import annotations

import re

import pytest

from tests.web.conftest import fields_of, recipe_address, words_of
from tests.web.planning import FOUR_KILO, HTMX, plan_of, said, value_in


def test_other_sizes_stand_side_by_side_when_asked(pages):
    address = recipe_address(pages)
    part = pages.get(f"{address}/plan/sizes", headers=HTMX).text
    text = said(part)
    assert "<html" not in part and "The whole pot 500 g 10 kg" in text
    # loss goes with the surface, so ten kilos lose a smaller share; spirit by scaling: 150 g in 931 g
    lost = re.search(r"alcohol lost (\d+) % \d+ to \d+ (\d+) %", text)
    assert int(lost[1]) > 2 * int(lost[2])
    spirit = re.search(r"Ethanol 95 % vol (\d+) g by scaling (\d+) g (\d+) g by scaling (\d+) g", text)
    little, little_scaled, much, much_scaled = map(int, spirit.groups())
    assert little_scaled == pytest.approx(500.0 * 150.0 / 931.0, abs=1.0)
    assert much_scaled == pytest.approx(10_000.0 * 150.0 / 931.0, abs=3.0)
    assert little > little_scaled and much < much_scaled
    assert "it can rise over the rim" in text and "the lye by portions" in text


STATED = "The recipe states its own losses; they count at its own size, and other sizes are scaled from them."


def test_losses_that_the_recipe_states_are_said_to_count_at_its_own_size(pages):
    address = recipe_address(pages)
    assert STATED in said(pages.get(f"{address}/plan/sizes", headers=HTMX).text)
    pages.post(f"{address}/live", data=fields_of(pages.get(address).text) | {"losses.alcohol": "", "losses.water": ""})
    page = said(pages.get(f"{address}/plan/sizes", headers=HTMX).text)
    assert "The kettle grows with the batch." in page and STATED not in page


def test_heat_beyond_the_reach_of_the_model_is_more_and_not_a_figure(pages):
    page = said(pages.get(f"{recipe_address(pages, FOUR_KILO)}/plan/sizes", headers=HTMX).text)
    assert "gets hot by its own reaction over 110 °C over 110 °C" in page
    assert "heats itself from 80 to more than 110 °C with the heater off" in page


def test_sizes_without_a_script_are_a_page_of_their_own_with_the_fault_beside_the_field(pages):
    address = recipe_address(pages)
    page = pages.get(f"{address}/plan/sizes", params={"a": "huge", "b": "2 kg"}).text
    assert value_in(page, "a") == "huge" and value_in(page, "b") == "2 kg"
    text = said(page)
    assert "“huge” cannot be read as a mass" in text and "The whole pot 2 kg" in text
    assert f'href="{address}/plan#sizes"' in page
    too_much = said(pages.get(f"{address}/plan/sizes", params={"a": "900 000 kg", "b": "2 kg"}).text)
    assert "cannot be cooked" in too_much


def test_other_ways_at_equal_grams_of_alcohol(pages):
    address = recipe_address(pages)
    part = pages.get(f"{address}/plan/ways", headers=HTMX).text
    text = said(part)
    assert "<html" not in part and "As written: paste first" in text and "150 g ethanol 95 % vol" in text
    # 150 g of 92.4 % by mass are 138.6 g of alcohol: as much in 222 g of 62.4 % (70 % vol, OIML R 22)
    assert "222 g ethanol 70 % vol" in text and "72 g more water" in text
    assert "Alcohol with the lye: With alcohol in it, fats and lye react within minutes" in text
    assert "Never methylated or hardware-store spirit" in text and "published windows judged otherwise" in text
    whole = pages.get(f"{address}/plan/ways").text
    assert "Back to the plan" in words_of(whole) and "<html" in whole
    assert "There is no alcohol in this recipe" in said(
        pages.get(f"{recipe_address(pages, 'Opaque white base')}/plan/ways").text
    )


def test_an_earlier_version_keeps_its_sizes_and_ways(pages):
    page = plan_of(pages, version="1")
    assert '/plan/ways?version=1"' in page and '<input type="hidden" name="version" value="1">' in page
