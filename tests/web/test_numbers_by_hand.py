"""The numbers of the demo base on its page, each worked out by hand from the published figures.

The plain arithmetic stands in docs/hand-calculation.md (recipe 1); here its results are rounded as the page shows
them. Scales of 0.01 g, so that nothing but the last digit is rounded.
"""

from __future__ import annotations

import pytest

from tests.web.conftest import fields_of, recipe_address, words_of

FINE = {"scale.step": "0.01 g", "scale.lye_step": "0.01 g", "losses.alcohol": "0 %", "losses.water": "0 %"}


@pytest.fixture
def refreshed(pages) -> str:
    address = recipe_address(pages)
    fields = fields_of(pages.get(address).text) | FINE | {"ui.open": "why-line-4-weigh-lye why-line-5-weigh-lye-water"}
    return words_of(pages.post(f"{address}/live", data=fields).text)


@pytest.mark.parametrize("said", [
    # 200 x 256.5 + 140 x 209.5 + 60 x 179 mg KOH = 91.370 g; / 56.1053 x 39.9968 = 65.1365 g NaOH; / 0.98 = 66.4659 g
    "The fats take up 91.370 g as KOH, which is 65.14 g NaOH.",
    "65.14 ÷ 0.980 = 66.47 g.",
    "Sodium hydroxide, flakes 66.46 g",  # rounded down to the step
    # 1.4 x 65.1365 = 91.1911 g, less 0.015 x 66.4659 = 0.9970 g in the flakes
    "1.4 × 65.14 g = 91.2 g.",
    "so 90.2 g is left to add",
    "also a lye of 41.7 %",  # 1 / 2.4
    "22.8 % of fats",  # 91.19 / 400
    "in the pot 932 g",  # 931.66
    # of 931.66 g: water 167.31, ethanol 138.61, glycerol 93.62, sugar 110.00
    "water 167 g 18.0 %",
    "ethanol 139 g 14.9 %",
    "glycerol 93.6 g 10.0 %",
    "sugar 110 g 11.8 %",
    # water as added: 90.19 + 1.00 (flakes) + 11.39 (spirit) + 55.00 (syrup) + 0.30 (glycerol) = 157.88
    "The lye brings 91 g of the 158 g of water; sugar syrup 2:1 55 g and ethanol 95 % vol 11 g.",
])  # fmt: skip
def test_the_page_shows_what_the_hand_found(refreshed, said):
    assert said in refreshed
