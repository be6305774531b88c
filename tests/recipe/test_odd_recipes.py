"""Odd recipes: what cannot be meant is refused or said, and no weight is silently wrong."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kettleglass.errors import BadInput, Finding
from kettleglass.materials import Material
from kettleglass.materials.catalogue import load_catalogue
from kettleglass.recipe.check import what_to_mind
from kettleglass.recipe.check.alkali import pots_said
from kettleglass.recipe.readings import readings_of
from kettleglass.recipe.recipe import SOLVE, AlkaliPlan, Amount, BatchSize, Certainty, Line, Losses, LyeWater, Recipe
from kettleglass.recipe.recipe import WeighingScale as Scales
from kettleglass.recipe.shelved import base_as_material
from kettleglass.recipe.work import Worked, work_out
from tests.goods import DEMO, find, line

CATALOGUE = load_catalogue()


def bought(wanted: Line) -> Material:
    return CATALOGUE.get(wanted.material_id)


def work(*lines: Line, recipe: Recipe | None = None) -> Worked:
    base = recipe or Recipe("odd", scale=Scales(0.01))
    return work_out(replace(base, lines=lines), bought)


def grams(worked: Worked) -> dict[str, float]:
    return dict(zip(worked.sheet.keys, worked.weights.exact_g.tolist(), strict=True))


def codes(worked: Worked) -> dict[str, Finding]:
    return {finding.code: finding for finding in what_to_mind(worked)}


def put(material: str, amount: float | Amount, stage: str, share: float | None = None) -> Line:
    wanted = amount if isinstance(amount, Amount) else Amount(amount)
    return Line(material, material, wanted, stage, share=share)  # type: ignore[arg-type]


COCONUT = put("coconut", 100, "fats")
SODA, WATER = put("sodium_hydroxide_flakes", SOLVE, "lye"), put("water", SOLVE, "lye")


def test_only_alkali_and_lye_water_can_be_left_to_be_solved() -> None:
    worked = work(COCONUT, SODA, WATER, put("glycerol", SOLVE, "clear"))
    assert grams(worked)["glycerol"] == 0.0
    assert grams(worked)["water"] == pytest.approx(grams(work(COCONUT, SODA, WATER))["water"])
    assert codes(worked)["solve-what"].where == "glycerol"


@pytest.mark.parametrize(
    "runaway",
    [
        put("stearic_acid_triple_pressed", Amount(120, "% of soap"), "fats"),
        put("citric_acid", Amount(60, "% of whole"), "finish"),
    ],
)
def test_shares_that_drive_each_other_up_are_refused(runaway: Line) -> None:
    with pytest.raises(BadInput, match="drive each other up without end"):
        work(COCONUT, SODA, WATER, runaway)


def test_a_base_that_is_melted_again_is_not_called_unsaponified() -> None:
    made = base_as_material(work_out(replace(DEMO, alkali=AlkaliPlan(2.0)), find), "made", "yesterday's base")
    worked = work_out(Recipe("re-melt", (line("made", 500, "fats"),)), lambda _: made)
    assert worked.weights.superfat_percent == pytest.approx(2.0, abs=0.02)
    assert "no-lye" not in codes(worked)


def test_sugar_that_may_turn_into_acid_is_not_counted_on() -> None:
    plain, sweet = work(COCONUT, SODA, WATER), work(COCONUT, SODA, WATER, put("honey", 30, "syrup"))
    assert plain.sure is not None and sweet.sure is not None
    assert sweet.sure.chance_free_alkali > 0.75 * plain.sure.chance_free_alkali
    assert any("brown" in finding.text for finding in codes(sweet).values())


def test_fixed_lye_that_is_too_much_alone_is_said_and_not_cured_by_superfat() -> None:
    worked = work(
        COCONUT, put("sodium_hydroxide_flakes", 30, "lye"), put("potassium_hydroxide_flakes", SOLVE, "lye"), WATER
    )
    assert worked.sure is not None and worked.sure.cure_superfat_percent is None
    assert codes(worked)["lye-in-excess"].level == "danger"
    assert "superfat" not in codes(worked)["free-alkali-chance"].advice


def test_lye_with_a_fixed_mass_is_rounded_down_too() -> None:
    coarse = Recipe("odd", scale=Scales(1, 1))
    worked = work(COCONUT, put("sodium_hydroxide_flakes", 18.66, "lye"), WATER, recipe=coarse)
    assert dict(zip(worked.sheet.keys, worked.weights.weighed_g, strict=True))["sodium_hydroxide_flakes"] == 18.0


def test_the_lye_scale_may_be_finer_than_a_whole_number() -> None:
    worked = work(COCONUT, SODA, WATER, recipe=Recipe("odd", scale=Scales(1, 0.1)))
    assert worked.weights.steps_g.tolist() == [1.0, 0.1, 1.0]


def test_the_paste_may_hold_lye_for_an_acid_that_comes_later() -> None:
    worked = work(COCONUT, SODA, WATER, put("citric_acid", 4, "finish"))
    said = codes(worked)["paste-not-neutral"]
    assert "free lye" in said.text and "citric acid" in said.text
    assert "paste-not-neutral" not in codes(work(COCONUT, SODA, WATER))


def test_a_little_less_superfat_with_amine_is_a_little_more_lye() -> None:
    lines = (COCONUT, SODA, WATER, put("stearic_acid_triple_pressed", 30, "paste"), put("triethanolamine", 20, "paste"))
    at = [
        grams(work(*lines, recipe=Recipe("odd", alkali=AlkaliPlan(s), scale=Scales(0.01))))[SODA.key]
        for s in (0.0, -0.2)
    ]
    assert 0.0 < at[1] - at[0] < 0.1
    assert "amine-idle" in codes(work(COCONUT, SODA, WATER, put("triethanolamine", 20, "fats")))


def test_a_fat_outside_of_where_its_figures_agree_is_named() -> None:
    agree = Recipe("odd", certainty=Certainty(limits="where limits and fatty acids agree"))
    worked = work(put("almond", 100, "fats"), SODA, WATER, recipe=agree)
    assert "almond" in codes(worked)["nominal-outside-agreeing"].text
    assert "nominal-outside-agreeing" not in codes(work(put("almond", 100, "fats"), SODA, WATER))


def test_percent_of_fats_is_of_the_fats_of_the_first_stage_however_they_are_given() -> None:
    lines = (
        COCONUT,
        SODA,
        WATER,
        put("stearic_acid_triple_pressed", 10, "paste"),
        put("glycerol", Amount(10, "% of fats"), "clear"),
    )
    assert grams(work(*lines))["glycerol"] == pytest.approx(10.0)
    whole = work(
        put("palm", Amount(20, "% of whole"), "fats"),
        COCONUT,
        SODA,
        WATER,
        recipe=Recipe("odd", alkali=AlkaliPlan(water=LyeWater(0.25, "of fats"))),
    )
    fats = grams(whole)["palm"] + 100.0
    assert whole.weights.solved.lye_water_g == pytest.approx(0.25 * fats, rel=1e-9)
    assert readings_of(whole)["fats"].value == pytest.approx(fats, abs=0.6)


def test_everything_in_percent_of_the_whole_is_taken_as_parts() -> None:
    worked = work(
        put("coconut", Amount(40, "% of whole"), "fats"),
        SODA,
        WATER,
        recipe=Recipe("odd", size=BatchSize("whole", 2000)),
    )
    assert worked.weights.exact_g.sum() == pytest.approx(2000.0)
    assert "whole-shares-only" in codes(worked)


def test_losses_make_free_alkali_stronger() -> None:
    wet, dry = (
        work(COCONUT, SODA, WATER, recipe=Recipe("odd", losses=losses)) for losses in (Losses(), Losses(0, 0.8))
    )
    assert wet.sure is not None and dry.sure is not None
    assert dry.sure.chance_free_alkali > wet.sure.chance_free_alkali
    gone = work(put("ethanol_absolute", 100, "clear"), recipe=Recipe("odd", losses=Losses(1, 1)))
    assert readings_of(gone)["pot.yield"].value == pytest.approx(0.0, abs=1e-9)


def test_a_stock_alone_that_is_weaker_than_asked_is_said() -> None:
    worked = work(COCONUT, put("sodium_hydroxide_32", SOLVE, "lye"))
    assert "lye-stronger-than-stock" in codes(worked)


def test_one_to_one_is_not_called_less_water_than_alkali() -> None:
    worked = work(
        COCONUT, SODA, WATER, recipe=Recipe("odd", alkali=AlkaliPlan(water=LyeWater(1.0)), scale=Scales(1, 0.1))
    )
    assert "water-under-lye" not in codes(worked)


def test_a_batch_too_small_for_the_scale_says_so() -> None:
    worked = work(put("coconut", 3, "fats"), SODA, WATER, recipe=Recipe("odd", scale=Scales(1)))
    assert "lye-below-scale" in codes(worked) and "no-lye" not in codes(worked)


def test_lye_without_fat_is_dangerous() -> None:
    worked = work(put("sodium_hydroxide_flakes", 40, "lye"), put("water", 60, "lye"))
    assert codes(worked)["lye-without-fat"].level == "danger"


def test_a_chelator_in_the_recipe_holds_the_hardness() -> None:
    hard = Recipe("odd", water_hardness_mg_l=300)
    assert "hard-water" in codes(work(COCONUT, SODA, WATER, recipe=hard))
    assert "hard-water" not in codes(work(COCONUT, SODA, WATER, put("tetrasodium_edta", 2, "finish"), recipe=hard))


def test_alkali_shares_that_do_not_add_up_are_said() -> None:
    worked = work(
        COCONUT,
        put("sodium_hydroxide_flakes", SOLVE, "lye", 0.6),
        put("potassium_hydroxide_flakes", SOLVE, "lye", 0.6),
        WATER,
    )
    assert "alkali-shares" in codes(worked)


def test_wax_alcohols_cloud_a_clear_base() -> None:
    assert "unsaponifiable-clouds" in codes(work(COCONUT, put("jojoba", 20, "fats"), SODA, WATER))


def test_a_spirit_with_lye_in_it_takes_its_part_of_the_lye() -> None:
    plain, spirit = work(COCONUT, SODA, WATER), work(COCONUT, SODA, WATER, put("sda_36", 100, "clear"))
    assert grams(spirit)[SODA.key] < grams(plain)[SODA.key] - 0.5
    assert "take that much less" not in " ".join(f.advice for f in codes(spirit).values())


@pytest.mark.parametrize(
    ("chance", "said"),
    [
        (0.0036, "4 pots in 1000"),
        (0.001, "1 pot in 1000"),
        (0.04, "4 pots in 100"),
        (0.1, "One pot in ten"),
        (0.31, "Three pots in ten"),
        (1.0, "Ten pots in ten"),
    ],
)
def test_chances_in_words(chance: float, said: str) -> None:
    assert pots_said(chance) == said
