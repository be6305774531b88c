"""Weights that a scale can show: rounding, batch sizes, and the size at which the alkali falls on a step."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kettleglass.errors import BadInput
from kettleglass.recipe.alkali import resolved_alkali
from kettleglass.recipe.recipe import BatchSize, Kettle, Mould, Recipe, WeighingScale
from kettleglass.recipe.sheet import charge_sheet, cook
from kettleglass.recipe.weigh import Weights, size_offer, weigh
from kettleglass.science.volume import volume_ml
from tests.goods import DEMO, find, line
from tests.recipe.test_solve import recipes


def weighed(recipe: Recipe) -> Weights:
    return weigh(recipe, charge_sheet(recipe, find))


def test_a_1_g_scale_on_500_g_of_fats_can_leave_about_1_percent_free_fat() -> None:
    """Rounding 1 g of some 83 g of lye down: up to 1.2 % of the fats stay free (issue of coarse scales)."""
    worst = max(
        weighed(replace(DEMO, size=BatchSize("fats", 500 + extra), scale=WeighingScale(1.0))).superfat_percent
        for extra in np.linspace(0, 12, 60)
    )
    assert 1.0 < worst < 1.35


@given(recipes(), st.sampled_from([0.01, 0.1, 1.0, 5.0, 28.349523125 / 8]))
def test_alkali_is_never_rounded_up(recipe: Recipe, step: float) -> None:
    shown = weighed(replace(recipe, scale=WeighingScale(1.0, step)))
    needed = resolved_alkali(recipe, shown.sheet, shown.weighed_g)
    lye = [row for row, key in enumerate(shown.sheet.keys) if key in ("soda", "potash")]
    assert np.all(shown.weighed_g[lye] <= needed[lye] + 1.1e-3 * step)
    steps = shown.weighed_g / shown.steps_g
    np.testing.assert_allclose(steps, np.round(steps), atol=1e-5)


@pytest.mark.parametrize(("by", "target"), [("fats", 750.0), ("whole", 2000.0)])
def test_batch_sizes_by_fats_and_whole(by: str, target: float) -> None:
    shown = weighed(replace(DEMO, size=BatchSize(by, target)))  # type: ignore[arg-type]
    reached = shown.exact_g[:3].sum() if by == "fats" else shown.exact_g.sum()
    assert reached == pytest.approx(target, rel=1e-12)


def test_what_i_have_of_one_ingredient() -> None:
    shown = weighed(replace(DEMO, size=BatchSize("line", 93.0, "castor")))
    assert shown.exact_g[2] == pytest.approx(93.0)
    assert shown.factor == pytest.approx(93.0 / 60.0)


def test_a_mould_is_filled_and_a_kettle_keeps_its_head_room() -> None:
    mould = Mould("box", length_mm=200, width_mm=80, height_mm=60)
    assert mould.total_ml == pytest.approx(960.0)
    shown = weighed(replace(DEMO, size=BatchSize("mould"), mould=mould))
    _, likely, _ = volume_ml(shown.sheet.basis, cook(shown.sheet, shown.exact_g))
    assert likely == pytest.approx(960.0, rel=1e-9)
    kettle = Kettle(inner_diameter_mm=200, height_mm=200, head_room=0.4)
    assert kettle.volume_ml == pytest.approx(math.pi * 100**2 * 200 / 1000)
    shown = weighed(replace(DEMO, size=BatchSize("kettle"), kettle=kettle))
    assert volume_ml(shown.sheet.basis, cook(shown.sheet, shown.exact_g))[2] == pytest.approx(0.6 * kettle.volume_ml)


def test_cylinders_and_cavities() -> None:
    assert Mould("cylinder", diameter_mm=75, height_mm=200).total_ml == pytest.approx(883.57, abs=0.01)
    assert Mould("cavities", cavities=12, volume_ml=85).total_ml == pytest.approx(1020.0)


@pytest.mark.parametrize("size", [BatchSize("fats", 0.0), BatchSize("mould"), BatchSize("line", 10.0, "coconut")])
def test_a_size_that_cannot_be_reached_is_refused(size: BatchSize) -> None:
    empty = Recipe("nothing", (line("coconut", 0, "fats"),), size=size)
    with pytest.raises(BadInput, match="cannot be"):
        weighed(empty)


def test_the_offered_size_lets_the_alkali_fall_on_a_step() -> None:
    recipe = replace(DEMO, scale=WeighingScale(1.0, 1.0))
    shown = weighed(recipe)
    offer = size_offer(recipe, shown)
    assert offer is not None
    assert offer.alkali_g == pytest.approx(round(offer.alkali_g))
    assert 0.0 <= offer.superfat_percent < 0.25 < shown.superfat_percent
    again = weighed(replace(recipe, size=BatchSize("fats", offer.fats_g)))
    assert again.superfat_percent == pytest.approx(offer.superfat_percent, abs=0.15)


def test_a_pinch_that_the_scale_cannot_weigh_is_said() -> None:
    recipe = replace(DEMO, lines=(*DEMO.lines, line("citric", 3.0, "finish")))
    assert ("below-scale", "citric") in {(f.code, f.where) for f in weighed(recipe).findings}
