"""What is said of the hot pot: readings with their bands, what to mind, and the same as plain data."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from hypothesis import given, settings

from kettleglass.cook.answers import air_dict, back_dict, boil_dict, loss_dict
from kettleglass.cook.back import add_back
from kettleglass.cook.preview import Preview, preview
from kettleglass.errors import Finding, KettleglassError
from kettleglass.materials.catalogue import load_catalogue
from kettleglass.recipe.place import Place
from kettleglass.recipe.recipe import Kettle, Losses, MethodStep, Recipe
from kettleglass.recipe.work import finder
from tests.goods import DEMO, find
from tests.recipe.recipes import recipes

MEASURED = replace(DEMO, kettle=Kettle(inner_diameter_mm=200.0, height_mm=180.0), losses=Losses())


def codes(recipe: Recipe) -> dict[str, Finding]:
    return {one.code: one for one in preview(recipe, find).findings}


def held(temperature_c: float, *, covered: bool = True, minutes: float = 30.0) -> Recipe:
    return replace(MEASURED, method=(MethodStep("hold", "syrup", temperature_c, minutes, covered),))


NEUTRAL = tuple(one for one in DEMO.lines if one.key != "glycerol")
SPOKEN: dict[str, Recipe] = {
    "pot-boils": held(88.0),
    "pot-near-boiling": held(82.0),
    "premix-boils": replace(held(80.0), lines=NEUTRAL),
    "alcohol-lost": held(80.0, covered=False),
    "loss-differs": replace(held(80.0, covered=False), losses=Losses(0.01, 0.0)),
    "room-air": replace(held(80.0), place=Place(room_m3=10.0)),
    "kettle-unmeasured": replace(MEASURED, kettle=Kettle()),
    "steps-unsaid": replace(MEASURED, method=(MethodStep("hold", "syrup"),)),
    "loss-unsaid": held(140.0),
}


@pytest.mark.parametrize("code", SPOKEN)
def test_it_is_said(code: str) -> None:
    finding = codes(SPOKEN[code])[code]
    assert finding.text.endswith((".", "?")) and finding.advice, "what is so, then what to do"


@pytest.mark.parametrize("code", SPOKEN)
def test_it_is_not_said_of_a_pot_held_cool_and_covered(code: str) -> None:
    assert code not in codes(held(70.0))


def test_the_pot_boils_sooner_at_altitude() -> None:
    assert "pot-boils" not in codes(held(81.0))
    assert codes(replace(held(81.0), place=Place(altitude_m=2500.0)))["pot-boils"].level == "danger"
    low_glass = replace(held(81.0), place=Place(altitude_m=0.0, pressure_hpa=750.0))
    assert "750 hPa by the barometer" in codes(low_glass)["pot-boils"].text


def test_every_reading_says_its_band_and_its_source() -> None:
    shown = preview(MEASURED, find)
    hot = {key: one for key, one in shown.readings.items() if one.band_says == "Likely between"}
    assert {"pot.boil", "pot.margin", "premix.boil", "pot.flash", "loss.alcohol.method", "loss.alcohol.covered",
            "loss.alcohol.open.percent", "loss.water.open", "air.release", "air.lel_25", "air.exposure",
            "lye.reached"} <= set(hot)  # fmt: skip
    for one in hot.values():
        assert one.sources or one.known == "assumed"
        if one.value is not None and one.low is not None and one.high is not None:
            assert one.low <= one.value <= one.high
    assert hot["loss.alcohol.covered"].value < hot["loss.alcohol.open"].value  # type: ignore[operator]


def test_the_air_of_the_room_follows_its_size() -> None:
    def share(room_m3: float) -> float:
        air = preview(replace(MEASURED, place=Place(room_m3=room_m3)), find).hot.air
        assert air is not None and air.share_of_lel is not None
        return air.share_of_lel

    assert share(20.0) == pytest.approx(2.0 * share(40.0))
    aired = preview(replace(MEASURED, place=Place(room_m3=20.0, airflow_m3_h=500.0)), find).hot.air
    assert aired is not None and aired.share_of_lel is not None and aired.share_of_lel < share(20.0)


def test_a_pot_without_alcohol_or_without_anything() -> None:
    plain = preview(replace(MEASURED, lines=DEMO.lines[:5]), find)
    assert plain.hot.air is None and plain.hot.boiling.premix is None and "loss.alcohol.open" not in plain.readings
    assert plain.hot.lye is not None
    empty = preview(Recipe("empty"), find)
    assert empty.hot.boiling.boils is None and empty.hot.course.legs == ()
    for data in (boil_dict(empty), loss_dict(empty), air_dict(empty)):
        assert json.dumps(data, allow_nan=False)


def test_the_data_are_those_of_the_hot_pot() -> None:
    shown = preview(MEASURED, find)
    boil, loss, air = boil_dict(shown), loss_dict(shown), air_dict(shown)
    assert boil["pot"]["boils_low_c"] < boil["pot"]["boils_c"] < boil["pot"]["boils_high_c"]
    assert boil["premix"]["lines"] == ["spirit", "glycerol"]
    assert [step["held_c"] for step in boil["steps"]] == [72.0, 80.0, 80.0, 77.0, 72.0]
    alcohol = loss["losses"]["method"]["alcohol"]
    assert alcohol["low_g"] < alcohol["likely_g"] < alcohol["high_g"]
    assert sum(step["alcohol_g"] for step in loss["steps"]) == pytest.approx(alcohol["likely_g"])
    assert loss["counted_alcohol_fraction"] == pytest.approx(alcohol["likely_fraction"])
    assert air["air"]["airflow_lel_10_m3_h"] == pytest.approx(2.5 * air["air"]["airflow_lel_25_m3_h"])
    found = back_dict(add_back(shown.worked, shown.hot.course, shown.hot.around, 2184.0, 2131.0))
    assert found["lost_g"] == 53.0 and json.dumps(found, allow_nan=False)


@settings(max_examples=60, deadline=None)
@given(recipe=recipes())
def test_any_recipe_is_answered(recipe: Recipe) -> None:
    shown = _tried(recipe)
    if shown is not None:
        for data in (boil_dict(shown), loss_dict(shown), air_dict(shown)):
            assert json.dumps(data, allow_nan=False)


def _tried(recipe: Recipe) -> Preview | None:
    goods = [replace(one, material_id=key) for one, key in zip(recipe.lines, _GOODS, strict=False)]
    certain = replace(recipe.certainty, draws=100)
    try:
        return preview(replace(recipe, lines=tuple(goods), certainty=certain), find)
    except KettleglassError:
        return None


_GOODS = ("coconut", "soda", "water", "spirit", "glycerol", "syrup", "stearic", "castor", "palm", "citric")


def test_propan_2_ol_counts_as_alcohol() -> None:
    """Its explosive limit is lower (2.0 % against 3.1 %, IEC 60079-20-1), so it takes more air for as much vapour."""
    recipe = replace(MEASURED, lines=tuple(replace(one, material_id=_CATALOGUE[one.key]) for one in DEMO.lines))
    ethanol = preview(recipe, finder(load_catalogue().get, {})).hot.air
    swapped = {**_CATALOGUE, "spirit": "propan_2_ol_91_vol"}
    lines = tuple(replace(one, material_id=swapped[one.key]) for one in DEMO.lines)
    propanol = preview(replace(recipe, lines=lines), finder(load_catalogue().get, {})).hot.air
    assert ethanol is not None and propanol is not None
    assert (ethanol.release.species, propanol.release.species) == ("ethanol", "propan_2_ol")
    per_gram = [air.lel_25_m3_h / air.release.likely_g_min for air in (ethanol, propanol)]
    assert per_gram[1] / per_gram[0] == pytest.approx((46.069 / 60.096) * (0.031 / 0.020), rel=1e-3)


_CATALOGUE = {
    "coconut": "coconut", "stearic": "stearic_acid_triple_pressed", "castor": "castor",
    "soda": "sodium_hydroxide_flakes", "water": "water", "spirit": "ethanol_95_vol", "glycerol": "glycerol",
    "syrup": "syrup_2_1",
}  # fmt: skip


def test_the_air_of_a_high_place_is_more() -> None:
    def exposure(pressure_hpa: float) -> float:
        place = Place(pressure_hpa=pressure_hpa)
        air = preview(replace(held(70.0), place=place), find).hot.air
        assert air is not None
        return air.exposure_m3_h / air.release.likely_g_min

    assert exposure(835.0) / exposure(1013.25) == pytest.approx(1013.25 / 835.0)
