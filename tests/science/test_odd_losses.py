"""Losses at the edges: around boiling, and weighings that are wrong without being impossible."""

from __future__ import annotations

import numpy as np
import pytest

from kettleglass.science.heat.draught import LossCurve, Weighed, learn, loss_curve
from kettleglass.science.heat.evaporation import Opening, evaporate
from kettleglass.science.heat.liquid import Liquid
from kettleglass.science.heat.vapour import MOLAR_MASS_G_MOL

GRAMS = np.array([1159.7, 599.73, 0.0, 0.0, 599.54, 0.0])
LIQUID = Liquid(GRAMS / MOLAR_MASS_G_MOL, np.asarray(2.9))


def curve(minutes: float = 30.0, celsius: float = 80.0, *, covered: bool = False) -> LossCurve:
    return loss_curve(GRAMS, LIQUID, minutes, celsius, Opening(0.24, covered=covered))


def lost(grams: float, kettle: LossCurve | None = None, *, covered: bool = False) -> Weighed:
    return Weighed(4000.0, 4000.0 - grams, 1.0, kettle or curve(covered=covered), covered=covered)


def test_hotter_loses_more_through_the_boiling_point_too():
    """The correction for much vapour stops growing there, and a time step may not jump over that."""
    losses = [
        float(evaporate(GRAMS, LIQUID, 30.0, celsius, Opening(0.24, covered=False)).lost_g[1])
        for celsius in np.arange(85.0, 89.0, 0.1)
    ]
    assert min(np.diff(losses)) > 0.0


@pytest.mark.parametrize(("minutes", "celsius", "grams"), [(0.0, 80.0, 50.0), (0.01, 20.0, 900.0)])
def test_what_no_draught_takes_in_that_time_is_said_and_not_learnt_from(minutes, celsius, grams):
    found = learn([lost(grams, curve(minutes, celsius))])
    assert [one.code for one in found.findings] == ["kettle-lost-too-fast"] and found.weighings == 0


@pytest.mark.parametrize(
    ("grams", "covered", "code"),
    [
        (0.0, False, ["kettle-far-off"]), (1500.0, False, ["kettle-far-off"]), (320.0, False, []), (160.0, False, []),
        (640.0, False, []), (0.0, True, []), (10.0, True, []), (300.0, True, ["kettle-far-off"]),
    ],
)  # fmt: skip
def test_a_weighing_far_from_all_that_is_held_is_said_and_counts(grams, covered, code):
    found = learn([lost(grams, covered=covered)], covered=covered)
    assert [one.code for one in found.findings] == code and found.weighings == 1


def test_one_wrong_entry_among_three_widens_the_band_and_is_said():
    right, wrong = learn([lost(390.0)] * 3), learn([lost(390.0), lost(390.0), lost(1500.0)])
    assert wrong.high / wrong.low > 3.0 * right.high / right.low
    assert [one.where for one in wrong.findings] == ["weighing 3"]
