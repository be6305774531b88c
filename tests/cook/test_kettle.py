"""What single weighings say, and all of them together: found again where they were made from a known loss."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kettleglass.cook.around import Learnt
from kettleglass.cook.kettle import taught_by, told_by
from kettleglass.cook.preview import cooked_out
from kettleglass.cook.weighed import KettleWeighing, learnt_from, weighing_of
from kettleglass.recipe.leaving import ALCOHOLS
from kettleglass.recipe.recipe import Kettle, Losses, MethodStep
from kettleglass.science.heat.draught import COVERED_PRIOR, Draught
from tests.goods import DEMO, find

STEP = MethodStep("hold", "syrup", 78.0, 20.0, covered=False)
OPEN = replace(
    DEMO, kettle=Kettle("tall", inner_diameter_mm=240.0, height_mm=200.0), losses=Losses(), method=(STEP,)
)  # fmt: skip
COVERED = replace(OPEN, method=(replace(STEP, covered=True, minutes=240.0),))


def weighed(recipe, lost_g, **said) -> KettleWeighing:
    worked, hot = cooked_out(recipe, find, random_pots=False)
    return weighing_of(worked, hot.course, hot.around, (2400.0, 2400.0 - lost_g), **said)


def reckoned_g(recipe, factor: float) -> float:
    """What the kettle loses when it is so many times as quick as the model, the lid as in the recipe."""
    sure = Draught(factor, factor, factor, 1, 0.1)
    _, hot = cooked_out(recipe, find, random_pots=False, learnt=Learnt(sure, sure))
    return hot.course.lost_g(*ALCOHOLS, "water")


@pytest.mark.parametrize("factor", [0.6, 1.0, 1.7])
def test_an_open_kettle_says_by_how_much_it_differs(factor):
    told = told_by(weighed(OPEN, reckoned_g(OPEN, factor)))
    assert told.finding is None
    assert told.times.likely == pytest.approx(factor, rel=0.02)
    assert told.times.low < told.times.likely < told.times.high


def test_a_lid_is_told_against_the_usual_lid():
    """A lid that leaks as the usual one does is told as once the usual, though the model of a slit says half of it."""
    told = told_by(weighed(COVERED, reckoned_g(COVERED, COVERED_PRIOR.factor)))
    assert told.times.likely == pytest.approx(1.0, rel=0.05)


def test_a_loss_that_the_scale_hardly_shows_says_little():
    told = told_by(weighed(OPEN, 1.0))
    assert told.times.low == 0.0 and told.times.high > 2.0 * told.times.likely
    assert told_by(weighed(OPEN, 0.0)).times.likely == 0.0


@pytest.mark.parametrize(("lost_g", "code"), [(-20.0, "kettle-gained"), (2000.0, "kettle-lost-too-much")])
def test_what_cannot_be_says_nothing_but_why(lost_g, code):
    told = told_by(weighed(OPEN, lost_g))
    assert told.times is None and told.finding.code == code


def test_a_pot_hotter_than_the_model_holds_for_says_so_and_spoils_no_other():
    beyond, sound = weighed(OPEN, 50.0, temperature_c=150.0), weighed(OPEN, 50.0)
    told = told_by(beyond)
    assert told.times is None and told.finding.code == "weighing-beyond"
    assert "150" in told.finding.text
    assert learnt_from([beyond, sound]) == learnt_from([sound])


def test_together_they_are_told_against_what_was_held_before():
    """Half to twice before anything is weighed (formulas for an open pot differ by that), then about what was found."""
    still, lid = taught_by(Learnt())
    assert (still.before, still.weighings) == (still.now, 0) and not still.covered and lid.covered
    assert [still.before.low, still.before.likely, still.before.high] == pytest.approx([0.5, 1.0, 2.0], rel=0.02)
    assert [lid.before.low, lid.before.likely, lid.before.high] == pytest.approx([0.2, 1.0, 5.0], rel=0.05)
    lost = reckoned_g(OPEN, 1.4)
    now, untouched = taught_by(learnt_from([weighed(OPEN, round(lost * stray)) for stray in (1.0, 1.06, 0.95)]))
    assert now.weighings == 3 and now.now.likely == pytest.approx(1.4, rel=0.06)
    assert now.now.low > now.before.low and now.now.high / now.now.low < now.before.high / now.before.low
    assert untouched.now == untouched.before
