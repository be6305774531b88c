"""The course of a cook: laws of what leaves, step by step, and what is taken where the method says nothing."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kettleglass.cook.around import Around, Learnt, around
from kettleglass.cook.course import HIGH, LIKELY, LOW, WAYS, Course, column, course_of
from kettleglass.cook.preview import cooked_out
from kettleglass.recipe.leaving import ALCOHOLS
from kettleglass.recipe.method import USUAL
from kettleglass.recipe.place import DRAUGHTS, Place
from kettleglass.recipe.recipe import STAGES, Kettle, Losses, MethodStep, Recipe
from kettleglass.recipe.work import work_out
from kettleglass.science.heat.draught import Draught
from kettleglass.science.pot import ROW
from tests.goods import DEMO, find

MEASURED = replace(DEMO, kettle=Kettle(inner_diameter_mm=200.0, height_mm=180.0))
steps = st.builds(
    MethodStep, text=st.just("a step"), stage=st.sampled_from(STAGES), temperature_c=st.none() | st.floats(20.0, 84.0),
    minutes=st.none() | st.floats(0.0, 120.0), covered=st.booleans(),
)  # fmt: skip


def course(recipe: Recipe, air: Around | None = None) -> Course:
    worked = work_out(recipe, find, random_pots=False)
    return course_of(worked.recipe, worked.sheet, worked.weights.weighed_g, air or around(recipe.place))


def alcohol_lost(recipe: Recipe, way: str = "method") -> float:
    return course(recipe).lost_g(*ALCOHOLS, way=way)


@settings(max_examples=25)
@given(method=st.lists(steps, min_size=1, max_size=6), draught=st.sampled_from(DRAUGHTS))
def test_mass_is_kept_in_every_step_and_only_volatiles_leave(method, draught):
    found = course(replace(MEASURED, method=tuple(method), place=Place(draught=draught)))
    lost = np.zeros_like(found.finished)
    stays = [row for name, row in ROW.items() if name not in (*ALCOHOLS, "water", "propylene_glycol")]
    for leg in found.legs:
        gone = leg.before - leg.after
        assert np.all(gone >= -1e-9) and np.all(leg.after[[ROW[name] for name in (*ALCOHOLS, "water")]] >= -1e-9)
        assert np.all(np.abs(gone[stays]) < 1e-12)
        lost += gone
    assert np.allclose(found.charged[:, None], found.finished + lost, atol=1e-9)
    for kind in (ALCOHOLS, ("water",)):
        for rate in (LOW, LIKELY, HIGH):
            covered, by_method, opened = (found.lost_g(*kind, way=w, rate=rate) for w in ("covered", "method", "open"))
            assert covered <= by_method + 0.05 and by_method <= opened + 0.05


@settings(max_examples=20)
@given(method=st.lists(steps, min_size=1, max_size=4))
def test_the_low_rate_loses_least_and_the_high_rate_most(method):
    found = course(replace(MEASURED, method=tuple(method)))
    for way in WAYS:
        low, likely, high = (found.lost_g(*ALCOHOLS, "water", way=way, rate=rate) for rate in (LOW, LIKELY, HIGH))
        assert low <= likely + 1e-6 and likely <= high + 1e-6


def test_more_leaves_when_hotter_longer_wider_and_in_a_draught():
    hold = MethodStep("hold", "syrup", 75.0, 20.0, covered=False)
    base = replace(MEASURED, method=(hold,))
    assert alcohol_lost(replace(base, method=(replace(hold, temperature_c=80.0),))) > alcohol_lost(base)
    assert alcohol_lost(replace(base, method=(replace(hold, minutes=40.0),))) > alcohol_lost(base)
    assert alcohol_lost(replace(base, kettle=Kettle(inner_diameter_mm=260.0))) > alcohol_lost(base)
    assert alcohol_lost(replace(base, place=Place(draught="fan"))) > alcohol_lost(base)
    assert alcohol_lost(replace(base, method=(replace(hold, covered=True),))) < 0.2 * alcohol_lost(base)


def test_the_steps_follow_each_other_and_the_pot_ends_whole():
    found = course(MEASURED)
    assert [leg.start_min for leg in found.legs[1:]] == [leg.end_min for leg in found.legs[:-1]]
    assert found.minutes == sum(leg.minutes for leg in found.legs) > 60.0
    worked = work_out(MEASURED, find, random_pots=False)
    assert np.allclose(found.charged, worked.cooked)
    for first, second in zip(found.legs[:-1], found.legs[1:], strict=True):
        assert np.all(second.before[ROW["glycerol"]] >= first.after[ROW["glycerol"]] - 1e-9)


def test_a_step_that_says_nothing_is_the_usual_one_of_its_stage():
    found = course(replace(MEASURED, method=(MethodStep("hold", "clear"),)))
    step = found.legs[0].step
    usual = next(one for one in USUAL["clear"] if one.covered)
    assert (step.minutes, step.temperature_c) == (usual.minutes, usual.temperature_c)
    assert found.legs[0].assumed == ("time", "temperature")
    assert course(MEASURED).legs[0].assumed == ()


def test_a_stage_without_a_step_is_in_the_pot_at_the_last():
    found = course(replace(MEASURED, method=(MethodStep("melt", "fats", 80.0, 10.0),)))
    assert found.legs[0].before[ROW["ethanol"], 0] == pytest.approx(found.charged[ROW["ethanol"]])


def test_what_a_place_taught_narrows_the_band():
    taught = Learnt(Draught(1.3, 1.1, 1.5, 6, 0.1), Draught(1.0, 0.8, 1.2, 6, 0.2))
    before, after = course(MEASURED), course(MEASURED, around(MEASURED.place, learnt=taught))
    spread = [f.lost_g(*ALCOHOLS, rate=HIGH) - f.lost_g(*ALCOHOLS, rate=LOW) for f in (before, after)]
    assert spread[1] < 0.5 * spread[0]
    assert after.lost_g(*ALCOHOLS, way="open") > before.lost_g(*ALCOHOLS, way="open")


def test_a_kettle_that_nobody_measured_spans_small_and_large_ones():
    """16 and 30 cm against 22 cm: the open surface goes with the square."""
    unknown = course(replace(DEMO, kettle=Kettle()))
    known = course(replace(DEMO, kettle=Kettle(inner_diameter_mm=220.0)))
    assert unknown.lost_g(*ALCOHOLS) == pytest.approx(known.lost_g(*ALCOHOLS), rel=1e-3)
    assert unknown.lost_g(*ALCOHOLS, rate=LOW) < known.lost_g(*ALCOHOLS, rate=LOW)
    assert unknown.lost_g(*ALCOHOLS, rate=HIGH) > known.lost_g(*ALCOHOLS, rate=HIGH)


def test_losses_left_open_are_those_of_the_steps():
    worked, hot = cooked_out(replace(MEASURED, losses=Losses()), find, random_pots=False)
    assert worked.losses == hot.course.losses
    finished = sum(float(worked.finished[ROW[name]]) for name in ALCOHOLS)
    charged = sum(float(worked.cooked[ROW[name]]) for name in ALCOHOLS)
    assert finished == pytest.approx(charged - hot.course.lost_g(*ALCOHOLS))
    stated, _ = cooked_out(replace(MEASURED, losses=Losses(0.1, None)), find, random_pots=False)
    assert stated.losses == Losses(0.1, hot.course.losses.water)


def test_a_step_beyond_the_model_is_said_and_not_counted():
    found = course(replace(MEASURED, method=(MethodStep("far too hot", "syrup", 150.0, 30.0),)))
    assert "110" in found.legs[0].unsaid or "150" in found.legs[0].unsaid
    assert found.lost_g(*ALCOHOLS, "water") == 0.0


def test_columns_are_ways_by_rates():
    assert [column(way, rate) for way in WAYS for rate in (LOW, LIKELY, HIGH)] == list(range(9))


def test_an_empty_recipe_has_a_course_without_steps():
    found = course(Recipe("empty"))
    assert found.legs == () and found.minutes == 0.0 and found.losses == Losses(0.0, 0.0)
