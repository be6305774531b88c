"""Solving amounts and alkali: by hand, and by laws that hold for every recipe."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kettleglass.errors import BadInput
from kettleglass.recipe.recipe import SOLVE, AlkaliPlan, Amount, BatchSize, LyeWater, Recipe
from kettleglass.recipe.sheet import charge_sheet, cook, cook_ledger
from kettleglass.recipe.solve import Solved, solve
from kettleglass.recipe.weigh import superfat_percent
from kettleglass.science import pot as pots
from kettleglass.science.pot import ROW
from tests.goods import DEMO, find, line


def solved(recipe: Recipe) -> Solved:
    return solve(recipe, charge_sheet(recipe, find))


def grams(recipe: Recipe) -> dict[str, float]:
    found = solved(recipe)
    return dict(zip(found.sheet.keys, found.masses_g.tolist(), strict=True))


def test_the_demo_takes_66_47_g_of_flakes() -> None:
    """By hand: 200 x 256.5 + 140 x 209.5 + 60 x 179 = 91 370 mg KOH; x 39.997 / 56.105 = 65.14 g; / 0.98."""
    found = grams(DEMO)
    assert found["soda"] == pytest.approx(66.47, abs=0.005)
    assert found["water"] + 0.02 * found["soda"] == pytest.approx(1.4 * 0.98 * found["soda"], rel=1e-9)


@pytest.mark.parametrize("percent", [-3.0, -0.5, 0.0, 1.0, 5.0, 20.0])
def test_the_superfat_asked_for_is_the_one_that_comes_out(percent: float) -> None:
    recipe = replace(DEMO, alkali=AlkaliPlan(percent))
    found = solved(recipe)
    assert superfat_percent(found.sheet, found.masses_g) == pytest.approx(percent, abs=1e-9)


def test_lye_water_at_25_percent_of_the_fats_and_1_to_1_4() -> None:
    """Common practice, no source: both together mean 178.6 g NaOH per kg of fats, saponification value 250.5."""
    fats = (line("coconut", 876.0, "fats"), line("stearic", 124.0, "fats"))
    recipe = Recipe(
        "trade",
        (*fats, line("soda", SOLVE, "lye"), line("water", SOLVE, "lye")),
        alkali=AlkaliPlan(water=LyeWater(0.25, "of fats")),
    )
    found = solved(recipe)
    assert found.pure_alkali_g == pytest.approx(178.6, abs=0.15)
    assert found.lye_water_g / found.pure_alkali_g == pytest.approx(1.4, abs=0.002)


def test_at_70_to_30_the_same_ratio_gives_24_2_percent_of_the_fats() -> None:
    """The ratio that was typed wins, and the share of the fats follows (common practice, no source)."""
    recipe = Recipe(
        "trade",
        (
            line("coconut", 700, "fats"),
            line("stearic", 300, "fats"),
            line("soda", SOLVE, "lye"),
            line("water", SOLVE, "lye"),
        ),
    )
    assert solved(recipe).lye_water_g == pytest.approx(242.0, abs=0.5)


def test_two_alkalis_share_by_mole_or_by_mass() -> None:
    lines = (*DEMO.lines[:3], line("soda", SOLVE, "lye", 0.75), line("potash", SOLVE, "lye", 0.25), DEMO.lines[4])
    found = solved(replace(DEMO, lines=lines))
    pot = cook(found.sheet, found.masses_g)
    sodium, potassium = (pot[ROW[name]] * found.sheet.basis.mol_per_g[ROW[name]] for name in ("sodium", "potassium"))
    assert potassium / (sodium + potassium) == pytest.approx(0.25, rel=1e-9)
    by_mass = grams(replace(DEMO, lines=lines, alkali=AlkaliPlan(share_by="mass")))
    assert by_mass["potash"] / (by_mass["soda"] + by_mass["potash"]) == pytest.approx(0.25, rel=1e-9)


def test_a_stock_solution_counts_its_water_and_refuses_a_stronger_lye() -> None:
    lines = (*DEMO.lines[:3], line("soda_50", SOLVE, "lye"), DEMO.lines[4])
    found = solved(replace(DEMO, lines=lines))
    alkali, water = found.masses_g[3], found.masses_g[4]
    assert water + 0.5 * alkali == pytest.approx(1.4 * 0.5 * alkali, rel=1e-9)
    strong = solved(replace(DEMO, lines=lines, alkali=AlkaliPlan(water=LyeWater(0.6, "strength"))))
    assert strong.masses_g[4] == 0.0
    assert [finding.code for finding in strong.findings] == ["lye-stronger-than-stock"]


def test_citric_acid_asks_for_three_soda_a_mole() -> None:
    sour = replace(DEMO, lines=(*DEMO.lines, line("citric", 19.2123, "finish")))
    more = grams(sour)["soda"] - grams(DEMO)["soda"]
    assert more == pytest.approx(0.3 * 39.9968 / 0.98, rel=1e-4)
    found = solved(sour)
    assert float(pots.alkali_balance_mol(found.sheet.basis, cook(found.sheet, found.masses_g))) == pytest.approx(
        0, abs=1e-9
    )


def test_stearic_acid_and_amine_after_the_paste_need_no_more_lye() -> None:
    """0.1 mol each: the lye stays that of the paste, and the pot ends neutral with the amine as its soap."""
    acid = 1.0 / (209.5 / 56105.3) * 0.1
    late = (line("stearic/late", acid, "clear"), line("amine", 14.919, "clear"))
    recipe = replace(DEMO, lines=(*DEMO.lines, *late))
    found = solved(recipe)
    assert found.masses_g[3] == pytest.approx(grams(DEMO)["soda"], rel=1e-6)
    pot = cook(found.sheet, found.masses_g)
    assert float(pots.alkali_balance_mol(found.sheet.basis, pot)) == pytest.approx(0.0, abs=1e-8)
    assert pot[ROW["triethanolammonium"]] == pytest.approx(15.02, abs=0.01)


def test_amounts_by_share_volume_whole_and_soap() -> None:
    lines = (
        line("coconut", Amount(60, "% of fats"), "fats"),
        line("castor", Amount(40, "% of fats"), "fats"),
        line("soda", SOLVE, "lye"),
        line("water", SOLVE, "lye"),
        line("spirit", Amount(100, "mL"), "clear"),
        line("glycerol", Amount(12, "% of whole"), "clear"),
        line("syrup", Amount(30, "% of soap"), "syrup"),
    )
    recipe = Recipe("relative", lines, size=BatchSize("fats", 400))
    found = solved(recipe)
    masses = dict(zip(found.sheet.keys, found.masses_g, strict=True))
    assert (masses["coconut"], masses["castor"]) == pytest.approx((240.0, 160.0))
    assert masses["spirit"] == pytest.approx(81.2)
    assert masses["glycerol"] == pytest.approx(0.12 * found.masses_g.sum(), rel=1e-9)
    pot = cook(found.sheet, found.masses_g)
    soap = pot[found.sheet.basis.soap].sum() + pot[ROW["sodium"]]
    assert masses["syrup"] == pytest.approx(0.30 * soap, rel=1e-9)


def test_percentages_of_the_whole_that_leave_no_room_are_refused() -> None:
    lines = (
        line("coconut", 100, "fats"),
        line("spirit", Amount(60, "% of whole"), "clear"),
        line("syrup", Amount(45, "% of whole"), "syrup"),
    )
    with pytest.raises(BadInput, match="add up to 105"):
        solved(Recipe("too much", lines))


def test_a_volume_without_a_density_is_refused() -> None:
    with pytest.raises(BadInput, match="density is not known"):
        solved(Recipe("by volume", (line("glycerol", Amount(10, "mL"), "clear"),)))


masses = st.floats(1.0, 2000.0)


@st.composite
def recipes(draw: st.DrawFn) -> Recipe:
    """A possible recipe: some fats, one or two alkalis, acid, amine and solvents at any stage."""
    fats = [
        line(key, draw(masses), "fats")
        for key in draw(st.sets(st.sampled_from(["coconut", "palm", "castor", "stearic"]), min_size=1))
    ]
    lye = [line("soda", SOLVE, "lye")] + (
        [line("potash", SOLVE, "lye", draw(st.floats(0.1, 0.9)))] if draw(st.booleans()) else []
    )
    later = (
        [line("citric", draw(st.floats(0.1, 30.0)), draw(st.sampled_from(["clear", "finish"])))]
        if draw(st.booleans())
        else []
    )
    if draw(st.booleans()):
        later += [
            line("stearic/late", draw(st.floats(1.0, 100.0)), "clear"),
            line("amine", draw(st.floats(1.0, 100.0)), "clear"),
        ]
    solvents = [line("spirit", draw(masses), "clear"), line("syrup", draw(masses), "syrup")]
    plan = AlkaliPlan(draw(st.floats(-5.0, 20.0)), water=LyeWater(draw(st.floats(1.1, 3.0))))
    return Recipe("any", (*fats, *lye, line("water", SOLVE, "lye"), *later, *solvents), alkali=plan)


@given(recipes())
def test_mass_charge_and_ledger_close_for_every_recipe(recipe: Recipe) -> None:
    found = solved(recipe)
    pot = cook(found.sheet, found.masses_g)
    assert pot.sum() == pytest.approx(found.masses_g.sum(), rel=1e-12)
    assert float(pots.charge_balance_mol(found.sheet.basis, pot)) == pytest.approx(0.0, abs=1e-9)
    np.testing.assert_allclose(cook_ledger(found.sheet, found.masses_g).sum(axis=1), pot, rtol=1e-9, atol=1e-7)


@given(recipes(), st.floats(0.1, 10.0))
def test_scaling_scales_everything(recipe: Recipe, factor: float) -> None:
    bigger = replace(
        recipe,
        lines=tuple(
            line if line.amount.by == "solve" else replace(line, amount=Amount(line.amount.value * factor))
            for line in recipe.lines
        ),
    )
    np.testing.assert_allclose(solved(bigger).masses_g, factor * solved(recipe).masses_g, rtol=1e-7, atol=1e-7)


@given(recipes(), st.randoms(use_true_random=False))
def test_the_order_of_lines_does_not_matter(recipe: Recipe, random: object) -> None:
    shuffled = list(recipe.lines)
    random.shuffle(shuffled)  # type: ignore[attr-defined]
    other = grams(replace(recipe, lines=tuple(shuffled)))
    for key, mass in grams(recipe).items():
        assert other[key] == pytest.approx(mass, rel=1e-9, abs=1e-9)
