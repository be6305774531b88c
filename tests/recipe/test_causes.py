"""Where the doubt and the water come from, and how full the kettle gets: the parts add up to the whole."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from kettleglass.recipe.readings import readings_of
from kettleglass.recipe.recipe import Kettle, Mould, Recipe
from kettleglass.recipe.work import work_out
from tests.goods import DEMO, find


@pytest.fixture(scope="module")
def worked():
    return work_out(replace(DEMO, kettle=Kettle("pot", inner_diameter_mm=160.0, height_mm=180.0)), find)


def test_the_water_of_the_lines_adds_up(worked):
    readings = readings_of(worked)
    parts = [one.value for key, one in readings.items() if key.startswith("water.of.")]
    assert math.fsum(parts) == pytest.approx(readings["water.added"].value, abs=0.2)
    # by hand: 165 g of syrup 2:1 bring 55 g; 150 g of spirit at 92.4 % by mass bring 11.4 g
    assert readings["water.of.syrup"].value == pytest.approx(55.0)
    assert readings["water.of.spirit"].value == pytest.approx(11.4)
    assert readings["water.of_lye"].value == pytest.approx(readings["lye.water"].value)


def test_the_causes_come_largest_first_and_are_at_most_the_whole(worked):
    shares = [one.value for key, one in readings_of(worked).items() if key.startswith("blame.")]
    assert shares == sorted(shares, reverse=True)
    assert 90.0 < math.fsum(shares) <= 100.0 + 1e-9
    assert readings_of(worked)["blame.0"].label == "saponification value of coconut"


def test_how_full_the_kettle_gets(worked):
    readings = readings_of(worked)
    # a cylinder of 160 x 180 mm holds 3.619 L
    brim_l = math.pi / 4 * 1.6**2 * 1.8
    assert readings["kettle.fill"].value == pytest.approx(100.0 * readings["pot.volume"].high / brim_l)
    assert "3.62 L" in readings["kettle.fill"].working
    assert "mould.fills" not in readings


def test_how_often_the_base_fills_the_mould():
    readings = readings_of(work_out(replace(DEMO, mould=Mould("cavities", cavities=4, volume_ml=100.0)), find))
    fills = readings["mould.fills"]
    assert fills.value == pytest.approx(readings["pot.volume"].value / 0.4)
    assert fills.low < fills.value < fills.high


def test_an_empty_recipe_has_none_of_them():
    keys = readings_of(work_out(Recipe("empty"), find))
    assert not any(key.startswith(("water.", "blame.", "kettle.", "mould.")) for key in keys)
