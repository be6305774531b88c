"""Kettle weighings: what is kept of them, and how three of them narrow the band of the next cook."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kettleglass.cook.around import Learnt, around
from kettleglass.cook.course import HIGH, LOW
from kettleglass.cook.preview import cooked_out
from kettleglass.cook.weighed import KettleWeighing, learnt_from, weighing_from_dict, weighing_of
from kettleglass.errors import BadInput
from kettleglass.recipe.leaving import ALCOHOLS
from kettleglass.recipe.recipe import Kettle, Losses, MethodStep, Recipe
from tests.goods import DEMO, find

OPEN = replace(
    DEMO, kettle=Kettle("tall", inner_diameter_mm=240.0, height_mm=200.0), losses=Losses(),
    method=(MethodStep("hold", "syrup", 78.0, 20.0, covered=False),),
)  # fmt: skip


def weighed(recipe: Recipe, lost_g: float, **said: object) -> KettleWeighing:
    worked, hot = cooked_out(recipe, find, random_pots=False)
    return weighing_of(worked, hot.course, hot.around, (2400.0, 2400.0 - lost_g), **said)  # type: ignore[arg-type]


def reckoned_g(factor: float) -> float:
    """What the open kettle loses in this step at a factor, alcohol and water."""
    from kettleglass.science.heat.draught import Draught

    learnt = Learnt(Draught(factor, factor, factor, 1, 0.1))
    _, hot = cooked_out(OPEN, find, random_pots=False, learnt=learnt)
    return hot.course.lost_g(*ALCOHOLS, "water")


def test_three_weighings_narrow_the_band_about_what_they_say():
    """The band before spans a factor of two either way; a kettle that is 1.4 times as quick has to be found."""
    lost = reckoned_g(1.4)
    learnt = learnt_from([weighed(OPEN, round(lost * stray)) for stray in (1.0, 1.06, 0.95)])
    before = Learnt()
    assert before.open.high / before.open.low == pytest.approx(4.0, abs=0.05)
    assert learnt.open.factor == pytest.approx(1.4, rel=0.06)
    assert learnt.open.low < 1.4 < learnt.open.high
    assert learnt.open.high / learnt.open.low < 2.3
    assert learnt.covered == before.covered
    _, hot = cooked_out(OPEN, find, random_pots=False, learnt=learnt)
    _, usual = cooked_out(OPEN, find, random_pots=False)
    spans = [h.course.lost_g(*ALCOHOLS, rate=HIGH) - h.course.lost_g(*ALCOHOLS, rate=LOW) for h in (hot, usual)]
    assert spans[0] < 0.75 * spans[1]


def test_weighings_that_contradict_each_other_narrow_less():
    lost = reckoned_g(1.0)
    agreeing = learnt_from([weighed(OPEN, round(lost))] * 3).open
    scattered = learnt_from([weighed(OPEN, round(lost * stray)) for stray in (0.6, 1.0, 1.6)]).open
    assert scattered.high / scattered.low > agreeing.high / agreeing.low


def test_impossible_weighings_are_kept_but_not_learnt_from():
    odd = [weighed(OPEN, -40.0), weighed(OPEN, 1500.0)]
    learnt = learnt_from(odd)
    assert learnt.open.weighings == 0 and learnt.open.factor == Learnt().open.factor
    assert {finding.code for finding in learnt.open.findings} == {"kettle-gained", "kettle-lost-too-much"}


def test_open_and_covered_are_learnt_apart():
    covered = weighed(replace(OPEN, method=(replace(OPEN.method[0], covered=True),)), 6.0)
    learnt = learnt_from([covered])
    assert learnt.open.weighings == 0 and learnt.covered.weighings == 1


def test_what_the_maker_said_goes_before_what_the_step_says():
    said = weighed(OPEN, 50.0, minutes=12.0, temperature_c=76.0, covered=True, said="lid askew")
    assert (said.minutes, said.temperature_c, said.covered, said.said) == (12.0, 76.0, True, "lid askew")
    usual = weighed(OPEN, 50.0)
    assert (usual.minutes, usual.temperature_c, usual.covered) == (20.0, 78.0, False)
    assert (usual.kettle, usual.place, usual.lost_g) == ("tall", "workshop", 50.0)


def test_a_weighing_comes_back_from_its_document_as_it_was():
    before = weighed(OPEN, 50.0, said="Öl")
    after = weighing_from_dict(json.loads(json.dumps(before.as_dict())))
    assert after == before
    assert learnt_from([after]) == learnt_from([before])


@given(
    content=st.dictionaries(
        st.sampled_from(["kettle", "grams", "covered", "before_g", "minutes", "x"]),
        st.none() | st.text(max_size=5) | st.floats() | st.lists(st.floats(), max_size=7),
        max_size=6,
    )
)
def test_a_document_that_is_none_is_refused(content):
    with pytest.raises(BadInput):
        weighing_from_dict(content)


@pytest.mark.parametrize("weights", [(0.0, 10.0), (float("nan"), 1.0), (10.0, -3.0)])
def test_weights_that_are_none_are_refused(weights):
    worked, hot = cooked_out(OPEN, find, random_pots=False)
    with pytest.raises(BadInput, match="2184 g"):
        weighing_of(worked, hot.course, around(OPEN.place), weights)
