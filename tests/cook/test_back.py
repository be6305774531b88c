"""Adding back: what two weights of the kettle say, and what they cannot say."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kettleglass.cook.back import AddBack, add_back, step_now
from kettleglass.cook.course import LIKELY
from kettleglass.cook.preview import cooked_out
from kettleglass.errors import BadInput
from kettleglass.recipe.leaving import ALCOHOLS
from kettleglass.recipe.recipe import Kettle, Losses, MethodStep, Recipe, WeighingScale
from kettleglass.science.pot import ROW
from tests.goods import DEMO, find, line

HOLD = (MethodStep("hold", "syrup", 80.0, 30.0),)
POT = replace(DEMO, kettle=Kettle(inner_diameter_mm=200.0, height_mm=180.0), losses=Losses(0.0, 0.0), method=HOLD)


def back(recipe: Recipe, before_g: float, now_g: float, step: int | None = None) -> AddBack:
    worked, hot = cooked_out(recipe, find, random_pots=False)
    return add_back(worked, hot.course, hot.around, before_g, now_g, step=step)


def codes(found: AddBack) -> list[str]:
    return [one.code for one in found.findings]


def test_fifty_three_grams_come_back_as_spirit_and_water():
    """2184 g, now 2131 g: the vapour over this pot is about two thirds alcohol by mass (7.6 and 3.9 g/min)."""
    found = back(POT, 2184.0, 2131.0)
    assert found.lost_g == 53.0
    assert found.alcohol_g.likely + found.water_g.likely == pytest.approx(53.0)
    assert 0.58 < found.alcohol_g.likely / 53.0 < 0.76
    assert found.spirit_g == pytest.approx(found.alcohol_g.likely / 0.924, abs=1.0)
    brought = found.spirit_g * 0.076
    assert found.plain_water_g == pytest.approx(found.water_g.likely - brought, abs=1.0)
    assert codes(found) == ["back-with-care"] and "off the heat" in found.findings[0].advice


@given(lost=st.floats(3.0, 120.0))
def test_what_goes_back_is_never_more_than_what_left(lost):
    found = back(POT, 2000.0, 2000.0 - lost)
    step = POT.scale.step_g
    assert found.spirit_g + found.plain_water_g <= lost + 2.0 * step
    assert found.alcohol_g.low <= found.alcohol_g.likely <= found.alcohol_g.high <= lost + 1e-9
    assert found.water_g.low >= -1e-9


def test_with_what_was_added_the_pot_is_as_planned():
    worked, hot = cooked_out(POT, find, random_pots=False)
    leg = step_now(hot.course)
    found = add_back(worked, hot.course, hot.around, 2000.0, 1940.0)
    spirit = find(line("spirit", 1, "clear")).composition
    alcohol = -found.alcohol_g.likely + found.spirit_g * spirit["ethanol"]
    water = -found.water_g.likely + found.spirit_g * spirit["water"] + found.plain_water_g
    assert alcohol == pytest.approx(0.0, abs=0.5) and water == pytest.approx(0.0, abs=1.1)
    assert float(leg.before[ROW["ethanol"], LIKELY]) > 100.0


def test_what_the_recipe_counts_with_is_left_to_leave():
    counted = back(replace(POT, losses=Losses(0.25, 0.1)), 2184.0, 2131.0)
    assert counted.planned_alcohol_g == pytest.approx(0.25 * 138.6, abs=0.5)
    assert counted.spirit_g < back(POT, 2184.0, 2131.0).spirit_g
    enough = back(replace(POT, losses=Losses(0.5, 0.5)), 2184.0, 2131.0)
    assert not enough.needed and "nothing-needed" in codes(enough)


def test_a_loss_that_the_scale_cannot_show_needs_nothing():
    found = back(replace(POT, scale=WeighingScale(5.0)), 2184.0, 2180.0)
    assert not found.needed and codes(found) == ["nothing-lost"]


def test_impossible_weights_are_said_and_change_nothing():
    gained, vanished = back(POT, 2131.0, 2184.0), back(POT, 2184.0, 1200.0)
    assert codes(gained) == ["kettle-gained"] and codes(vanished) == ["kettle-lost-too-much"]
    assert not gained.needed and not vanished.needed
    assert (gained.lost_g, vanished.lost_g) == (-53.0, 984.0)


def test_never_more_goes_in_than_fits_below_the_head_room():
    tight = replace(POT, kettle=Kettle(inner_diameter_mm=120.0, height_mm=120.0, head_room=0.3))
    found = back(tight, 2184.0, 2100.0)
    assert "back-does-not-fit" in codes(found)
    assert 1.25 * found.spirit_g + 1.03 * found.plain_water_g <= found.room_ml + 2.0


def test_a_kettle_too_heavy_to_lift_gets_another_way():
    found = back(POT, 18_000.0, 17_950.0)
    assert "kettle-heavy" in codes(found)
    assert "sample" in found.findings[-1].advice and "scale under it" in found.findings[-1].advice


def test_a_pot_without_alcohol_gets_water_back():
    plain = replace(POT, lines=tuple(one for one in POT.lines if one.key != "spirit"))
    found = back(plain, 2000.0, 1970.0)
    assert found.spirit_g == 0.0 and found.plain_water_g == pytest.approx(30.0, abs=2.0)


@pytest.mark.parametrize("weights", [(0.0, 5.0), (float("nan"), 5.0), (5.0, float("inf")), (5.0, -1.0)])
def test_weights_that_are_none_are_refused(weights):
    with pytest.raises(BadInput, match="2184 g"):
        back(POT, *weights)


def test_a_step_that_there_is_not_is_refused():
    with pytest.raises(BadInput, match="from 1 to 1"):
        back(POT, 2000.0, 1990.0, step=2)
    with pytest.raises(BadInput, match="no steps"):
        back(Recipe("empty"), 2000.0, 1990.0)


def test_the_step_asked_for_is_the_one_that_is_answered():
    whole = replace(POT, method=())
    assert back(whole, 2000.0, 1980.0, step=5).step.startswith("Cover and hold")
    assert back(whole, 2000.0, 1980.0).step.startswith("Cover and hold")
    alcohol = back(whole, 2000.0, 1980.0, step=3)
    assert alcohol.alcohol_g.likely == 0.0 and sum(1 for _ in ALCOHOLS) == 3


def test_a_kettle_lighter_than_what_is_in_it_is_asked_about():
    found = back(POT, 100.0, 47.0)
    assert codes(found) == ["kettle-too-light"] and not found.needed
    assert "946" in found.findings[0].text or "g that should be in the kettle" in found.findings[0].text
