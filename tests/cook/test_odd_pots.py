"""Odd pots, kettles and places: nothing may be silently wrong at the edges, and nothing may stop the page."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kettleglass.cook.preview import Preview, preview
from kettleglass.materials.material import Material
from kettleglass.recipe.place import Place
from kettleglass.recipe.recipe import Kettle, Line, MethodStep, Recipe
from kettleglass.science.fire import airflow_m3_per_h
from tests.goods import DEMO, find

POT = replace(DEMO, kettle=Kettle(inner_diameter_mm=220.0), method=(MethodStep("hold", "syrup", 80.0, 30.0),))
SPIRITS = {
    "mixed": {"ethanol": 0.5, "propan_2_ol": 0.424, "water": 0.076},
    "denatured": {"ethanol": 0.50, "methanol": 0.50},
    "absolute": {"ethanol": 1.0},
    "syrup": {"sucrose": 2.0 / 3.0, "water": 1.0 / 3.0},
}


def odd_find(wanted: Line) -> Material:
    if wanted.material_id in SPIRITS:
        return Material(wanted.material_id, wanted.material_id, "spirit", SPIRITS[wanted.material_id])
    return find(wanted)


def with_spirit(spirit: str, recipe: Recipe = POT) -> Recipe:
    lines = (replace(one, material_id=spirit) if one.key == "spirit" else one for one in recipe.lines)
    return replace(recipe, lines=tuple(lines))


def shown(recipe: Recipe) -> Preview:
    return preview(recipe, odd_find)


# Air ------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("spirit", ["mixed", "denatured"])
@pytest.mark.parametrize("limit", ["lel_10", "lel_25", "exposure"])
def test_every_alcohol_of_a_mixture_is_given_its_own_limit(spirit, limit):
    """Le Chatelier's rule and the additive formula of ACGIH: the flows of all vapours together."""
    air = shown(with_spirit(spirit)).hot.air
    assert air is not None and len(air.release.each_g_min) == 2
    wanted = sum(airflow_m3_per_h(rate, name, limit) for name, rate in air.release.each_g_min.items())
    assert getattr(air, f"{limit}_m3_h") == pytest.approx(wanted)
    assert sum(air.release.each_g_min.values()) == pytest.approx(air.release.likely_g_min)
    as_one = airflow_m3_per_h(air.release.likely_g_min, air.release.species, limit)
    if limit == "exposure" and spirit == "mixed":
        assert air.release.species == "ethanol" and wanted > 1.3 * as_one


def test_a_room_never_holds_more_vapour_than_there_was_alcohol():
    small = replace(
        POT, lines=tuple(replace(one, amount=replace(one.amount, value=0.1 * one.amount.value)) for one in POT.lines)
    )
    air = shown(replace(small, place=Place(room_m3=10.0))).hot.air
    assert air is not None and air.ppm is not None and air.share_of_lel is not None
    moles = sum(grams / {"ethanol": 46.07}[name] for name, grams in air.release.there_g.items())
    assert air.ppm == pytest.approx(1e6 * moles * 0.02406 / 10.0, rel=2e-3)
    assert air.share_of_lel == pytest.approx(air.ppm / 31_000.0, rel=1e-6)


@pytest.mark.parametrize("celsius", [-50.0, 4.9, 110.5, 400.0])
@pytest.mark.parametrize("minutes", [0.0, 30.0])
def test_a_step_beyond_the_model_stops_nothing(celsius, minutes):
    found = shown(replace(POT, method=(MethodStep("hold", "syrup", celsius, minutes),)))
    assert found.hot.air is None


@pytest.mark.parametrize("kettle", [Kettle(inner_diameter_mm=10.0), Kettle(inner_diameter_mm=5000.0)])
@pytest.mark.parametrize("minutes", [0.0, 30.0])
def test_a_kettle_beyond_the_model_stops_nothing(kettle, minutes):
    found = shown(replace(POT, kettle=kettle, method=(MethodStep("hold", "syrup", 80.0, minutes),)))
    assert found.hot.air is None and found.hot.boiling.boils is not None


def test_a_very_high_kettle_is_within_the_model():
    found = shown(replace(POT, kettle=Kettle(inner_diameter_mm=300.0, height_mm=5000.0)))
    assert found.hot.air is not None and not any(leg.unsaid for leg in found.hot.course.legs)
