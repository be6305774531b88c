"""In the pot, on the recipe page: live, with every number open to be asked, and the fields it hangs on."""

from __future__ import annotations

import pytest

from tests.web.conftest import fields_of, recipe_address, words_of


def live(pages, name: str, **typed: str) -> str:
    address = recipe_address(pages, name)
    fields = fields_of(pages.get(address).text) | {key.replace("__", "."): said for key, said in typed.items()}
    return words_of(pages.post(f"{address}/live", data=fields).text)


FOUR_KILO = "Four-kilo pot, to check by hand"


@pytest.mark.parametrize("said", [
    # worked by hand in docs/hot-pot.md: it boils at 86.05 °C and is held at 80 °C
    "Held at 80 °C it stays 6.0 °C below boiling at sea level.",
    "0.9 % with the lid always on, 34 % always off",  # 205 g of 599.7 g
    "The pot boils at 86.0 °C with everything in",
    "its vapour catches fire from 26 °C on",
    "Always open 205 g 34 %, 18 to 61 %",
    "7.6 g/min of vapour comes into the room",
    "Fresh air of 92 m3/h keeps its average below a quarter of what can burn, 711 m3/h below",  # 91.8 and 711
    "half an hour brings your room to 13 % of what can burn",  # 12.8 % in 30 m3
    "Within a metre of the open pot it can burn whatever the average says.",
])  # fmt: skip
def test_the_page_shows_what_the_hand_found(pages, said):
    assert said in live(pages, FOUR_KILO)


def test_it_follows_the_altitude_as_one_types(pages):
    assert "stays" in live(pages, FOUR_KILO, place__altitude="500 m")
    high = live(pages, FOUR_KILO, place__altitude="8200 ft")
    assert "Held at 80 °C it boils" in high and "The pot boils at 80 °C" in high
    assert "750 hPa by the barometer" in live(pages, FOUR_KILO, place__pressure="750 hPa")


def test_a_field_that_cannot_be_read_says_so_and_the_last_counts(pages):
    said = live(pages, FOUR_KILO, place__altitude="high up")
    assert "“high up” is not an altitude" in said and "6.0 °C below boiling" in said
    assert "Air over the pot" in words_of(pages.get(recipe_address(pages, FOUR_KILO)).text)


def test_a_pot_without_alcohol_says_so(pages):
    said = live(pages, "Opaque white base")
    assert "In the pot" in said


def test_every_number_of_it_opens_its_working(pages):
    address = recipe_address(pages, FOUR_KILO)
    fields = fields_of(pages.get(address).text)
    keys = ("hot2-pot-boil", "hot-pot-margin", "loss-loss-alcohol-open", "air-air-exposure", "lye2-lye-reached")
    fields["ui.open"] = " ".join(f"why-{key}" for key in keys)
    page = pages.post(f"{address}/live", data=fields).text
    for key in keys:
        assert f'id="why-{key}"' in page
    words = words_of(page)
    assert "Likely between: 85.0 to 88.9 °C." in words and "Renon & Prausnitz 1968" in words
    assert "Mackay & Matsugu 1973" in words


def test_the_plan_is_one_click_away(pages):
    address = recipe_address(pages, FOUR_KILO)
    assert f'href="{address}/plan"' in pages.get(address).text


def test_what_nobody_measured_is_not_called_the_kettle_of_the_maker(pages):
    found = live(pages, "Demo clear base", kettle__inner_diameter="")
    assert "of a kettle of 22 cm (6.8 L; yours is not measured)" in found  # pi / 4 x 22^2 x 18 cm3


def test_the_waters_are_all_in_the_unit_of_the_maker(pages):
    said = live(pages, "Demo clear base", scale__unit="lb oz")
    assert "sugar syrup 2:1 1.9 oz" in said and "sugar syrup 2:1 55 g" not in said  # 55 g / 28.35
