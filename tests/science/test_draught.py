"""What weighed kettles teach: the band narrows as it should and covers what it claims; the impossible is kept out."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kettleglass.errors import BadInput
from kettleglass.science.draws import NORMAL_95, stream
from kettleglass.science.heat.draught import (
    COVERED,
    COVERED_PRIOR,
    OPEN,
    OPEN_PRIOR,
    Draught,
    LossCurve,
    Prior,
    Weighed,
    impossible_loss,
    learn,
    loss_curve,
)
from kettleglass.science.heat.evaporation import Opening, evaporate
from kettleglass.science.heat.vapour import COMPONENTS

POT = np.zeros(len(COMPONENTS))
POT[[COMPONENTS.index(name) for name in ("water", "ethanol", "glycerol")]] = 1160.0, 600.0, 600.0
INERT_MOL = 2.8
FULL_G = 5200.0
"""Kettle and pot together."""


@cache
def curve(minutes: float = 30.0, *, covered: bool = False) -> LossCurve:
    return loss_curve(POT, INERT_MOL, minutes, 80.0, Opening(0.24, covered=covered))


def weighed(factor: float, *, step_g: float = 1.0, covered: bool = False, minutes: float = 30.0) -> Weighed:
    """A kettle that lost what a factor says, read off a scale."""
    here = curve(minutes, covered=covered)
    after = round((FULL_G - float(here.loss_g(factor))) / step_g) * step_g
    return Weighed(FULL_G, after, step_g, here, covered)


def lost(mass_g: float, *, covered: bool = False, step_g: float = 1.0) -> Weighed:
    return Weighed(FULL_G, FULL_G - mass_g, step_g, curve(covered=covered), covered)


def width(draught: Draught) -> float:
    return math.log(draught.high / draught.low)


def test_before_anything_is_weighed() -> None:
    """Open: formulas differ by a factor of two either way; covered: from 1 to 28 g for the pot of 2.8 g."""
    assert (OPEN_PRIOR.factor, OPEN_PRIOR.low, OPEN_PRIOR.high, OPEN_PRIOR.weighings) == (1.0, 0.5, 2.0, 0)
    assert (COVERED_PRIOR.factor, COVERED_PRIOR.low, COVERED_PRIOR.high) == (2.0, 0.4, 10.0)
    assert learn([]) == OPEN_PRIOR and learn([], covered=True) == COVERED_PRIOR


@pytest.mark.parametrize("covered", [False, True])
def test_the_curve_is_what_is_reckoned_for_each_factor(covered: bool) -> None:
    mouth = Opening(0.24, covered=covered)
    for factor in (0.3, 0.77, 1.0, 2.3, 6.0):
        by_itself = evaporate(POT, INERT_MOL, 30.0, 80.0, mouth, factor=factor).lost_g.sum()
        assert curve(covered=covered).loss_g(factor) == pytest.approx(by_itself, rel=0.003)
    assert curve(covered=covered).volatile_g == 1760.0, "glycerol cannot leave"


def test_three_weighings_that_agree_narrow_the_band() -> None:
    bands = [learn([weighed(1.4)] * count) for count in (0, 1, 2, 3, 6)]
    widths = [width(band) for band in bands]
    assert widths == sorted(widths, reverse=True)
    assert widths[3] < 0.5 * widths[0], "from 4 times to less than 2 times"
    for band, count in zip(bands[3:], (3, 6), strict=True):
        assert band.low < 1.4 < band.high and band.factor == pytest.approx(1.4, rel=0.03) and band.weighings == count
        assert band.scatter < OPEN.scatter


def test_weighings_that_disagree_narrow_it_less() -> None:
    agreeing, odd = learn([weighed(1.2)] * 3), learn([weighed(factor) for factor in (0.7, 1.2, 2.0)])
    assert width(odd) > 1.4 * width(agreeing)
    assert odd.scatter > OPEN.scatter > agreeing.scatter


def test_one_weighing_is_weighed_against_what_was_held() -> None:
    """Normal with known scatter: the mean lies at K ln 1.6 with K = spread² / (spread² + scatter²), by the textbook."""
    sharp = Prior(1.0, 2.0, 0.15)
    share = sharp.kettle_spread**2 / (sharp.kettle_spread**2 + sharp.scatter**2)
    assert math.log(learn([weighed(1.6)]).factor) == pytest.approx(share * math.log(1.6), rel=0.03)


@pytest.mark.parametrize("factors", [(1.6,), (0.7, 0.8), (0.8, 1.3, 2.1), (1.25, 1.3, 1.4, 1.35, 1.2, 1.3)])
def test_the_grid_finds_what_weighted_draws_find(factors: tuple[float, ...]) -> None:
    """The same rule of Bayes by another way: draws from what was held, weighted by the exact lognormal likelihood."""
    rng, count = stream(1, "weighted"), 400_000
    scatter = OPEN.scatter * np.exp(rng.normal(size=count) * math.log(2.0) / NORMAL_95)
    kettle = rng.normal(size=count) * OPEN.kettle_spread
    log_weight = sum(-0.5 * ((math.log(f) - kettle) / scatter) ** 2 - np.log(scatter) for f in factors)
    following = kettle + scatter * rng.normal(size=count)
    order = np.argsort(following)
    share = np.cumsum(np.exp(log_weight - np.max(log_weight))[order])
    wanted = np.exp(np.interp((0.025, 0.5, 0.975), share / share[-1], following[order]))
    band = learn([weighed(f, step_g=0.01) for f in factors])
    assert (band.low, band.factor, band.high) == pytest.approx(tuple(wanted), rel=0.02)


def test_a_covered_kettle_on_a_coarse_scale_says_little() -> None:
    """2.8 to 5.6 g lost: a scale of 0.1 g sees it, one of 1 g nearly, one of 5 g hardly, one of 20 g not at all."""
    widths = [
        width(learn([weighed(2.0, step_g=step_g, covered=True)] * 3, covered=True)) for step_g in (0.1, 1.0, 5.0, 20.0)
    ]
    assert widths == sorted(widths)
    before = width(COVERED_PRIOR)
    assert widths[0] < 0.45 * before
    assert widths[2] > 0.5 * before
    nothing_seen = learn([lost(0.0, covered=True, step_g=20.0)] * 3, covered=True)
    assert width(nothing_seen) > 0.75 * before and nothing_seen.factor < COVERED_PRIOR.factor


def test_open_and_covered_are_learnt_apart() -> None:
    both = [weighed(1.5), weighed(6.0, covered=True), weighed(1.5)]
    assert learn(both) == learn([weighed(1.5)] * 2)
    assert learn(both, covered=True) == learn([weighed(6.0, covered=True)], covered=True)
    assert learn([weighed(1.5)], covered=True) == COVERED_PRIOR


@given(st.lists(st.floats(0.4, 3.0), min_size=2, max_size=5), st.randoms(use_true_random=False))
def test_the_order_of_the_weighings_does_not_matter(several, shuffler) -> None:
    again = list(several)
    shuffler.shuffle(again)
    one, other = learn([weighed(f) for f in several]), learn([weighed(f) for f in again])
    assert (one.factor, one.low, one.high) == pytest.approx((other.factor, other.low, other.high), rel=1e-9)


@given(st.lists(st.floats(-2.0, 1700.0), min_size=1, max_size=4), st.booleans())
def test_whatever_was_weighed_the_answer_is_a_band(several, covered) -> None:
    band = learn([lost(mass_g, covered=covered) for mass_g in several], covered=covered)
    assert 0.0 < band.low < band.factor < band.high < math.inf
    assert band.weighings + sum(one.level == "caution" for one in band.findings) == len(several)


@given(st.floats(0.3, 3.0), st.floats(1.05, 2.0), st.integers(1, 4))
def test_more_lost_means_a_greater_factor(factor, more, count) -> None:
    assert learn([weighed(factor * more)] * count).factor > learn([weighed(factor)] * count).factor


def test_a_kettle_that_gained_weight_is_said_and_not_learnt_from() -> None:
    band, without = learn([weighed(1.4), lost(-30.0), weighed(1.4)]), learn([weighed(1.4)] * 2)
    assert [(f.level, f.code, f.where) for f in band.findings] == [("caution", "kettle-gained", "weighing 2")]
    assert "30 g" in band.findings[0].text
    assert (band.factor, band.low, band.high) == (without.factor, without.low, without.high)


def test_a_gain_within_the_steps_of_the_scale_is_an_ordinary_reading() -> None:
    assert not learn([lost(-1.0, covered=True)], covered=True).findings


def test_a_loss_of_more_than_can_leave_is_said_and_not_learnt_from() -> None:
    band = learn([lost(1900.0)])
    assert [f.code for f in band.findings] == ["kettle-lost-too-much"]
    assert "1760 g" in band.findings[0].text and (band.factor, band.weighings) == (1.0, 0)


def test_a_covered_kettle_that_lost_more_than_an_open_one_is_said_and_not_learnt_from() -> None:
    band = learn([lost(900.0, covered=True)], covered=True)
    assert [f.code for f in band.findings] == ["kettle-lost-as-if-open"] and band.factor == COVERED.factor


@pytest.mark.parametrize(
    ("lost_g", "code"), [(-2.1, "kettle-gained"), (-2.0, None), (102.0, None), (102.1, "kettle-lost-too-much")]
)
def test_impossible_begins_two_steps_beyond_what_can_be(lost_g: float, code: str | None) -> None:
    found = impossible_loss(lost_g, 100.0, 1.0)
    assert (found.code if found else None) == code


@pytest.mark.parametrize(
    ("before_g", "after_g", "step_g"), [(math.nan, 1.0, 1.0), (1.0, 0.0, 1.0), (1.0, math.inf, 1.0), (2.0, 1.0, 0.0)]
)
def test_what_is_no_weight_is_refused(before_g: float, after_g: float, step_g: float) -> None:
    with pytest.raises(BadInput):
        Weighed(before_g, after_g, step_g, curve())


@pytest.mark.parametrize("covered", [False, True])
def test_the_band_holds_nineteen_of_twenty_next_kettles(covered: bool) -> None:
    """300 invented kettles (seeded), their factor and scatter drawn from what is held, read on a scale of 1 g.

    With 300, chance alone moves the share by 1.3 % (one standard deviation); the long proof has thousands.
    """
    prior, rng, count = (COVERED, stream(3, "covered"), 300) if covered else (OPEN, stream(3, "open"), 300)
    inside = {0: 0, 1: 0, 3: 0}
    for _ in range(count):
        scatter = prior.scatter * math.exp(rng.normal() * math.log(2.0) / NORMAL_95)
        logs = math.log(prior.factor) + rng.normal() * prior.kettle_spread + scatter * rng.normal(size=4)
        losses = curve(covered=covered).loss_g(np.exp(logs[:3]))
        readings = np.round(FULL_G - losses + rng.normal(size=3) * 0.5 * math.sqrt(2.0))
        for number in inside:
            seen = [Weighed(FULL_G, float(after), 1.0, curve(covered=covered), covered) for after in readings[:number]]
            band = learn(seen, covered=covered)
            inside[number] += band.low <= math.exp(logs[3]) <= band.high
    for number, times in inside.items():
        assert 0.915 <= times / count <= 0.985, number
