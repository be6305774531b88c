"""The forecast of a drying piece: what it finds, what misleads it and what must not; lost pieces and readiness."""

from __future__ import annotations

import math

import numpy as np
import pytest
from evidence.drying import FAMILIES, bar, coverage, declared, readiness, weighed
from hypothesis import given, settings
from hypothesis import strategies as st

from kettleglass.errors import BadInput
from kettleglass.science.basis import Array
from kettleglass.science.draws import stream
from kettleglass.science.drying import (
    SETTLED,
    WRAP,
    LossPrior,
    Scale,
    as_it_is_now,
    chances,
    forecast,
    holds_from,
    judged,
    lost_piece,
    wrapped,
)
from kettleglass.science.drying.laws import page
from kettleglass.science.drying.linear import Beliefs, fit
from kettleglass.science.drying.readiness import Chances, earlier, first_plan, next_plan

FINE, COARSE = Scale(0.1), Scale(1.0)


def bar_g(days: Array, *, start: float = 100.0, loss: float = 12.0, tau: float = 9.0, noise: float = 0.06) -> Array:
    """A bar by Page's law with exponent 0.8, read to 0.1 g."""
    rng = stream(1, "a bar")
    true = start - loss * (1.0 - page(days, tau, 0.8))
    return np.round(true + noise * rng.standard_normal(len(days)), 1)


DAYS = np.arange(0.0, 43.0, 3.0)
BAR = bar_g(DAYS)


def test_the_regression_is_that_of_the_textbook() -> None:
    """One shape, by the normal equations of Bayesian regression written out in matrices."""
    left, y, sd = page(DAYS, 9.0, 0.8), BAR, 0.15
    beliefs = Beliefs(101.0, 50.0, 9.0, 6.0)
    found = fit(left[None, :], y, np.full(len(y), sd**-2), beliefs)
    x = np.column_stack([np.ones_like(left), left - 1.0])
    prior = np.diag(beliefs.precision)
    cov = np.linalg.inv(prior + x.T @ x / sd**2)
    mean = cov @ (prior @ beliefs.mean + x.T @ y / sd**2)
    assert found.mean_g[0] == pytest.approx(mean)
    assert (found.var_start[0], found.cov[0], found.var_loss[0]) == pytest.approx((cov[0, 0], cov[0, 1], cov[1, 1]))


def test_marginal_likelihoods_compare_as_the_normal_of_all_readings_does() -> None:
    """ln N(y; X m, X C X' + v) for two shapes: their difference is ours."""
    y, v = BAR, 0.02
    beliefs = Beliefs(100.0, 50.0, 10.0, 6.0)
    shapes = np.stack([page(DAYS, 9.0, 0.8), page(DAYS, 12.0, 1.1)])
    ours = fit(shapes, y, np.full(len(y), 1.0 / v), beliefs).log_likelihood
    logs = []
    for left in shapes:
        x = np.column_stack([np.ones_like(left), left - 1.0])
        cov = x @ np.diag(1.0 / beliefs.precision) @ x.T + v * np.eye(len(y))
        res = y - x @ beliefs.mean
        logs.append(-0.5 * (np.linalg.slogdet(cov)[1] + res @ np.linalg.solve(cov, res)))
    assert ours[0] - ours[1] == pytest.approx(logs[0] - logs[1], rel=1e-6)


def test_a_bar_is_forecast_better_the_longer_it_is_weighed() -> None:
    widths = []
    for count in (4, 6, 9, 15):
        found = forecast(DAYS[:count], BAR[:count], FINE).plateau_g
        assert found.low < 88.0 < found.high
        widths.append(found.high - found.low)
    assert widths == sorted(widths, reverse=True) and widths[-1] < 1.2


def test_the_same_seed_gives_the_same_figures_and_another_nearly() -> None:
    one, same, other = (forecast(DAYS, BAR, FINE, seed=seed).plateau_g for seed in (1, 1, 2))
    assert one == same != other
    assert other == pytest.approx(one, abs=0.1)


@given(st.floats(0.2, 20.0))
@settings(max_examples=20)
def test_a_bar_ten_times_as_heavy_on_a_scale_ten_times_as_coarse(times) -> None:
    one = forecast(DAYS, BAR, FINE).plateau_g
    many = forecast(DAYS, times * BAR, Scale(0.1 * times, 0.05 * times)).plateau_g
    assert many == pytest.approx(tuple(times * value for value in one), rel=2e-3)


@given(st.lists(st.floats(40.0, 200.0), min_size=2, max_size=12), st.sampled_from((0.1, 1.0)))
@settings(max_examples=60)
def test_whatever_is_weighed_bands_are_bands(readings, step_g) -> None:
    days = 2.0 * np.arange(len(readings))
    made = forecast(days, readings, Scale(step_g))
    for found in (made.plateau_g, holds_from(made, WRAP), holds_from(made, SETTLED)):
        assert -math.inf < found.low <= found.likely <= found.high < math.inf
    assert (made.loss_g > 0.0).all() and sum(made.law_chance.values()) == pytest.approx(1.0)
    falls = made.weight_draws_g(np.array([0.0, 5.0, 50.0, 500.0]))
    assert (np.diff(falls, axis=1) <= 1e-9).all()
    sure = chances(made)
    assert 0.0 <= sure.wrap <= 1.0 and 0.0 <= sure.settled <= 1.0


@given(st.integers(2, 14), st.sampled_from((-8.0, -2.0, 2.0, 8.0, 90.0, 900.0)))
@settings(max_examples=40)
def test_one_misread_hardly_moves_the_plateau(place, off_g) -> None:
    readings = BAR.copy()
    readings[place] += off_g
    made = forecast(DAYS, readings, FINE)
    assert made.odd == (place,)
    assert made.plateau_g.likely == pytest.approx(88.0, abs=0.6)


def test_two_weighings_already_give_a_wide_band() -> None:
    found = forecast([0.0, 3.0], [100.0, 96.5], FINE).plateau_g
    assert found.high - found.low > 5.0 and found.high < 96.5


def test_equal_weights_are_a_piece_that_is_dry() -> None:
    made = forecast(DAYS, np.full(len(DAYS), 100.0), FINE)
    assert made.plateau_g.likely == pytest.approx(100.0, abs=0.2)
    assert chances(made).wrap > 0.9


def test_a_piece_that_only_gains_has_nothing_left_to_lose() -> None:
    made = forecast(DAYS, 100.0 + 0.4 * DAYS, FINE)
    assert made.still_to_lose_g(made.today).max() < 12.0 and (made.loss_g > 0.0).all()


def test_slower_than_can_be_seen_is_noticed() -> None:
    days = np.arange(0.0, 100.0, 5.0)
    crawling = 100.0 - 0.05 * days
    assert forecast(days, np.round(crawling, 1), FINE, LossPrior(0.3, 0.06)).slow_chance > 0.25
    assert forecast(DAYS, BAR, FINE).slow_chance < 0.01


def test_a_recipe_narrows_an_early_forecast() -> None:
    early = slice(0, 4)
    free, known = (forecast(DAYS[early], BAR[early], FINE, prior).plateau_g for prior in (None, LossPrior(0.12, 0.018)))
    assert known.high - known.low < 0.6 * (free.high - free.low)
    assert known.likely == pytest.approx(88.0, abs=0.6)


def test_exact_rounding_moves_the_band_only_where_the_scale_repeats_well() -> None:
    """A scale of 1 g that repeats to 0.02 g: the steps say more than their variance."""
    steps = np.round(BAR)
    plain, exact = (forecast(DAYS, steps, Scale(1.0, 0.02), exact_rounding=way).plateau_g for way in (False, True))
    assert exact.likely != plain.likely and exact.high - exact.low <= 1.05 * (plain.high - plain.low)
    plain, exact = (forecast(DAYS, BAR, FINE, exact_rounding=way).plateau_g for way in (False, True))
    assert exact == pytest.approx(plain, abs=0.05)


@pytest.mark.parametrize(
    ("days", "weights"),
    [([0.0], [100.0]), ([0.0, 1.0], [100.0, 0.0]), ([1.0, 0.0], [100.0, 99.0]), ([0.0, math.nan], [100.0, 99.0])],
)
def test_what_is_no_log_is_refused(days, weights) -> None:
    with pytest.raises(BadInput):
        forecast(days, weights, FINE)


@pytest.mark.parametrize(
    "wrong", [lambda: Scale(0.0), lambda: Scale(1.0, -1.0), lambda: LossPrior(0.0), lambda: LossPrior(0.1, 0.0)]
)
def test_impossible_scales_and_priors_are_refused(wrong) -> None:
    with pytest.raises(BadInput):
        wrong()


def test_the_variance_of_a_weighing() -> None:
    """d²/12 for rounding (GUM F.2.2.1): 0.029 g for a step of 0.1 g, 0.29 g for 1 g."""
    assert math.sqrt(Scale(0.1, 0.0).variance_g2(0.0)) == pytest.approx(0.0289, abs=1e-4)
    assert math.sqrt(Scale(1.0, 0.0).variance_g2(0.0)) == pytest.approx(0.289, abs=1e-3)
    assert (FINE.repeat_sd_g, COARSE.repeat_sd_g, Scale(5.0).repeat_sd_g) == pytest.approx((0.05, 0.3, 1.5))


@pytest.mark.parametrize("lost_g", [1.0, 2.0, 5.0])
def test_a_lost_piece_is_found_and_its_size(lost_g) -> None:
    chipped = BAR.copy()
    chipped[7:] -= lost_g
    found = lost_piece(DAYS, chipped, FINE)
    assert found is not None and (found.after_day, found.before_day) == (18.0, 21.0)
    assert found.lost_g == pytest.approx(lost_g, abs=0.35)
    now = forecast(DAYS, as_it_is_now(chipped, [found]), FINE).plateau_g
    assert now.likely == pytest.approx(88.0 - lost_g, abs=0.4)


def test_an_ordinary_bar_a_misread_and_a_short_log_are_no_lost_piece() -> None:
    assert lost_piece(DAYS, BAR, FINE) is None
    misread = BAR.copy()
    misread[7] -= 5.0
    assert lost_piece(DAYS, misread, FINE) is None
    assert lost_piece([0.0, 1.0, 2.0, 3.0], [100.0, 98.0, 90.0, 89.0], FINE) is None


def test_a_loss_that_the_maker_saw_needs_no_later_readings() -> None:
    chipped = BAR[:8].copy()
    chipped[7] -= 3.0
    assert lost_piece(DAYS[:8], chipped, FINE) is None
    found = lost_piece(DAYS[:8], chipped, FINE, known=7)
    assert found is not None and found.lost_g == pytest.approx(3.0, abs=0.6)


@pytest.mark.parametrize(
    ("count", "span", "now", "before", "expected"),
    [
        (6, 10.0, Chances(0.95, 0.95), Chances(0.91, 0.90), (True, True)),
        (6, 10.0, Chances(0.80, 0.95), Chances(0.70, 0.92), (False, True)),
        (6, 10.0, Chances(0.99, 0.99), Chances(0.50, 0.89), (False, False)),
        (5, 10.0, Chances(0.99, 0.99), Chances(0.99, 0.99), (False, False)),
        (6, 9.9, Chances(0.99, 0.99), Chances(0.99, 0.99), (False, False)),
        (9, 20.0, Chances(0.99, 0.99), None, (False, False)),
    ],
)
def test_the_stopping_rule(count, span, now, before, expected) -> None:
    assert judged(count, span, now, before) == expected


def test_the_weighing_before_is_at_least_two_days_older() -> None:
    assert earlier(np.array([0.0, 3.0, 6.0, 6.5, 7.9])) == 1
    assert earlier(np.array([0.0, 1.0])) is None


def test_when_to_weigh_next() -> None:
    assert first_plan(np.array([0.0])).days == (3.0, 5.0, 7.0)
    assert first_plan(np.array([0.0, 1.0, 2.0, 3.0])).days == (7.0,)
    made = forecast(DAYS[:6], BAR[:6], FINE)
    plan = next_plan(made, chances(made))
    assert plan.more >= 2 and all(2.0 <= b - a <= 7.0 for a, b in zip((15.0, *plan.days), plan.days, strict=False))


def test_the_day_from_which_a_rule_holds_is_where_it_begins_to_hold() -> None:
    made = forecast(DAYS, BAR, FINE)
    day = holds_from(made, WRAP).likely
    limit = 0.003 * made.plateau_draws_g
    assert (made.loses_g(day, 14.0) < limit).mean() == pytest.approx(0.5, abs=0.05)
    assert (made.loses_g(day + 20.0, 14.0) < limit).mean() > 0.9


def test_a_wrapped_weight_holds_or_not() -> None:
    days = [0.0, 3.0, 7.0, 10.0, 14.0]
    holds = wrapped(days, [500.0, 499.9, 500.0, 499.9, 499.9], FINE)
    assert holds.holds and holds.next_14_days_g.low < 0.0 < holds.next_14_days_g.high
    leaks = wrapped(days, [500.0, 498.9, 497.4, 496.5, 495.1], FINE)
    assert not leaks.holds and leaks.next_14_days_g.likely == pytest.approx(14 * 4.9 / 14, rel=0.05)
    assert not wrapped(days[:2], [500.0, 500.0], FINE).holds
    misread = wrapped(days, [500.0, 499.9, 540.0, 499.9, 499.9], FINE)
    assert misread.odd == (2,) and misread.holds


@pytest.mark.parametrize("step_g", [0.1, 1.0])
def test_a_sample_of_the_long_proof(step_g) -> None:
    """40 invented bars: bands that hold on days 14 to 28; 10 followed until they are called ready."""
    for held in coverage(step_g, 3, 40, (14.0, 21.0, 28.0)):
        assert held.inside >= 0.85
    for said in readiness(step_g, 3, 10):
        assert said.declared >= 9 and said.early <= 1 and said.worst_left < 0.015


@pytest.mark.parametrize("family", FAMILIES)
def test_invented_bars_lose_what_they_should(family) -> None:
    one = bar(family, stream(1, family))
    left = one.left_by_day
    assert left[0] == pytest.approx(1.0, abs=2e-3) and (np.diff(left) <= 0.0).all() and left[-1] < 1e-3
    assert 14.0 <= float(np.argmax(left < 0.05)) <= 57.0
    seen = weighed(one, 0.1, stream(1, "weighed"))
    assert set(declared(seen, 0.1, 1)) <= {"A", "B"}
