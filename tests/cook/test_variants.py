"""The same base another way: with the lye or after it, with another spirit, at equal grams of pure alcohol."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kettleglass.cook.swapping import in_grams
from kettleglass.cook.variants import SPIRITS, Variant, moved, variants
from kettleglass.errors import BadInput, UnknownName
from kettleglass.materials.catalogue import load_catalogue
from kettleglass.recipe.place import Place
from kettleglass.recipe.recipe import Amount, BatchSize, Kettle, Line, LyeWater, MethodStep, Recipe
from kettleglass.recipe.starts import starting_recipe
from kettleglass.recipe.work import finder

FIND = finder(load_catalogue().get, {})
CLEAR = replace(starting_recipe("bar", "crystal clear"), kettle=Kettle("pot", inner_diameter_mm=140.0, height_mm=150.0))
WEAK = "ethanol 70 % vol"


def all_of(recipe: Recipe = CLEAR, **asked) -> dict[str, Variant]:
    return {one.name: one for one in variants(recipe, FIND, **asked)}


def with_spirit(spirit: str, recipe: Recipe = CLEAR, **asked) -> tuple[Variant, Variant]:
    """The recipe as written, and with that spirit."""
    found = variants(recipe, FIND, spirits=(spirit,), **asked)
    return found[0], found[-1]


def codes(variant: Variant) -> dict[str, str]:
    return {one.code: one.level for one in variant.findings}


def grams(variant: Variant) -> dict[str, float]:
    sheet = variant.worked.sheet
    return dict(zip(sheet.keys, variant.worked.weights.exact_g.tolist(), strict=True))


# Equal grams of alcohol ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("spirit", "mass_percent"),
    [
        ("ethanol_95_vol", 92.41),
        ("ethanol_96_vol", 93.84),
        (WEAK, 62.39),
        ("ethanol 80 % vol", 73.48),
        ("propan_2_ol_70_vol", 62.8),
    ],
)
def test_the_line_goes_with_the_strength_by_mass(spirit, mass_percent):
    """Ethanol: OIML R 22 (1975), % vol to % mass at 20 °C, recalled: 95 % vol is 92.4 %. Propan-2-ol of 70 % vol: from
    densities of 0.785 and 0.877 g/mL (handbooks, recalled)."""
    absolute = replace(CLEAR, lines=tuple(_with(one, "ethanol_absolute") for one in CLEAR.lines))
    written, other = with_spirit(spirit, absolute)
    (before,), (after,) = written.spirits, other.spirits
    assert 100.0 * before.alcohol_g / after.grams == pytest.approx(
        mass_percent, abs=0.15 if "propan" in spirit else 0.02
    )


def test_alcohol_stays_equal_and_only_the_spirit_changes():
    found = all_of()
    assert len(found) == 1 + len(SPIRITS)
    written = found["as written"]
    assert written.as_written and not any(one.as_written for one in found.values() if one is not written)
    for one in found.values():
        assert one.spirits[0].alcohol_g == pytest.approx(written.spirits[0].alcohol_g)
        alcohol = one.worked.grams("ethanol", "propan_2_ol")
        assert alcohol == pytest.approx(written.worked.grams("ethanol"), abs=1e-3)
        for key, mass in grams(one).items():
            if key != "spirit":
                assert mass == pytest.approx(grams(written)[key], abs=1e-3)
        assert one.worked.total_g == pytest.approx(written.worked.total_g + one.extra_water_g, abs=2e-3)
        assert one.water_off_g == 0.0


def test_as_written_is_the_recipe_itself():
    written, plain = all_of()["as written"], in_grams(CLEAR, FIND)[1]
    assert written.worked.total_g == pytest.approx(plain.total_g, abs=1e-3)
    assert grams(written) == pytest.approx(dict(zip(plain.sheet.keys, plain.weights.exact_g.tolist(), strict=True)))
    assert written.moved == () and written.recipe.scale == CLEAR.scale
    assert written.extra_water_g == 0.0


@pytest.mark.parametrize(
    "changed",
    [
        {"size": BatchSize("whole", 10_000.0)},
        {"alkali": replace(CLEAR.alkali, water=LyeWater(0.42, "strength"))},
        {"alkali": replace(CLEAR.alkali, water=LyeWater(90.0, "mass")), "size": BatchSize("whole", 3000.0)},
    ],
)
def test_the_lye_stays_as_it_was_however_it_is_given(changed):
    recipe = replace(CLEAR, **changed)
    plain = in_grams(recipe, FIND)[1]
    wanted = dict(zip(plain.sheet.keys, plain.weights.exact_g.tolist(), strict=True))
    for one in all_of(recipe).values():
        assert {key: grams(one)[key] for key in ("lye", "lye water")} == pytest.approx(
            {key: wanted[key] for key in ("lye", "lye water")}, rel=1e-6
        )


# What a spirit does -------------------------------------------------------------------------------------------------


def test_a_weaker_spirit_brings_water_and_thins_the_alcohol():
    written, weak = with_spirit(WEAK)
    assert weak.extra_water_g == pytest.approx(weak.spirits[0].water_g - written.spirits[0].water_g)
    assert weak.extra_water_g > 60.0
    assert weak.loss.method_g.likely < written.loss.method_g.likely
    assert weak.flash_c is not None and written.flash_c is not None and weak.flash_c > written.flash_c
    assert codes(weak)["spirit-water"] == "note"
    left = {one.window.id: one.what for one in weak.moved}
    assert left["thomssen-water"] == "into" and left["gerart-water"] == "out of"


def test_water_that_is_not_there_is_shown_and_kept_only_where_asked():
    written, weak = with_spirit("propan_2_ol_91_vol", keep_water=True)
    assert weak.water_off_g == pytest.approx(weak.extra_water_g)
    assert weak.worked.total_g == pytest.approx(written.worked.total_g, abs=2e-3)
    assert weak.worked.grams("water") == pytest.approx(written.worked.grams("water"), abs=2e-3)
    assert grams(weak)["lye water"] == pytest.approx(grams(written)["lye water"] - weak.extra_water_g, abs=1e-3)
    assert grams(weak)["lye"] == pytest.approx(grams(written)["lye"])
    assert "spirit-water" not in codes(weak)
    stronger = with_spirit("propan_2_ol_99_vol", keep_water=True)[1]
    assert stronger.water_off_g == pytest.approx(stronger.extra_water_g) and stronger.water_off_g < 0.0


def test_water_is_taken_off_only_down_to_a_lye_that_dissolves():
    """A saturated lye: 109 g of NaOH in 100 g of water at 20 °C (Great Soviet Encyclopedia 1979)."""
    _, weak = with_spirit(WEAK, keep_water=True)
    assert 0.0 < weak.water_off_g < weak.extra_water_g
    pure_g = weak.worked.grams_added("lye", "hydroxide") * 39.997 / 17.007
    assert pure_g / weak.worked.grams_added("lye", "water") == pytest.approx(1.09, rel=0.003)
    assert "alkali still dissolve" in next(one.advice for one in weak.findings if one.code == "spirit-water")
    assert "lye-undissolved" not in codes(weak)


def test_a_later_line_of_water_gives_too():
    lines = (*CLEAR.lines, Line("more water", "water_distilled", Amount(50.0), "syrup"))
    written, weak = with_spirit(WEAK, replace(CLEAR, lines=lines), keep_water=True)
    assert weak.water_off_g == pytest.approx(weak.extra_water_g)
    assert 0.0 < grams(weak)["more water"] < grams(written)["more water"]


def test_propanol_moves_out_of_what_is_said_of_ethanol():
    written, other = with_spirit("propan_2_ol_99_vol")
    gone = {one.window.id for one in other.moved if one.what == "no longer applies"}
    assert gone == {one.window.id for one in written.judgements if one.window.needs == "ethanol"} != set()
    assert [one.code for one in other.cautions] == ["propan-2-ol-weaker", "never-methylated"]
    assert "common practice, no source" in other.cautions[0].source
    assert other.worked.grams("ethanol") == 0.0


def test_propanol_boils_higher_alone_and_nearly_alike_in_the_pot():
    """Propan-2-ol boils at 82.3 °C, ethanol at 78.3 °C (CRC Handbook); their flash points are 12 °C both (IEC
    60079-20-1), so what is poured in lies a little above that."""
    written, other = with_spirit("propan_2_ol_99_vol")
    assert written.premix is not None and other.premix is not None
    assert other.premix.likely_c - written.premix.likely_c == pytest.approx(82.3 - 78.3, abs=1.5)
    assert written.boils is not None and other.boils is not None
    assert abs(other.boils.likely_c - written.boils.likely_c) < 2.0
    for one in (written, other):
        assert one.premix_flash_c is not None and 12.0 <= one.premix_flash_c < 20.0
        assert one.flash_c is not None and one.flash_c < 30.0


def test_bands_and_lids_are_in_order():
    for one in all_of().values():
        loss = one.loss
        for way in (loss.covered_g, loss.method_g, loss.open_g):
            assert 0.0 <= way.low <= way.likely <= way.high <= one.spirits[0].alcohol_g + 1e-3
        assert loss.covered_g.likely < loss.method_g.likely < loss.open_g.likely
        assert one.margin_k is not None and one.margin_k.low < one.margin_k.likely < one.margin_k.high
        assert one.premix_margin_k is not None


def test_what_would_boil_is_said():
    hot = tuple(
        MethodStep(stage, stage, temperature_c=88.0, minutes=10.0) for stage in ("fats", "lye", "clear", "syrup")
    )
    for one in all_of(replace(CLEAR, method=hot)).values():
        assert codes(one)["pot-boils"] == "danger", one.name
        assert one.margin_k is not None and one.margin_k.likely < 0.0
    high = all_of(replace(CLEAR, place=Place(altitude_m=3000.0)))["as written"]
    assert codes(high)["pot-boils"] == "danger"


# Paste first, or alcohol with the lye -------------------------------------------------------------------------------


def test_alcohol_with_the_lye_is_quick_hot_and_loses_more():
    written, early = variants(CLEAR, FIND, spirits=())
    assert (written.route, early.route) == ("paste first", "alcohol with the lye")
    assert [line.stage for line in early.recipe.lines if line.key == "spirit"] == ["lye"]
    assert grams(early) == pytest.approx(grams(written))
    assert early.worked.cooked == pytest.approx(written.worked.cooked, abs=1e-6)
    assert early.exotherm is not None and written.exotherm is not None
    assert early.exotherm.quick and not written.exotherm.quick
    assert early.exotherm.boils is not None and written.exotherm.boils is not None
    assert early.exotherm.boils.likely_c < 90.0 < written.exotherm.boils.low_c
    assert early.exotherm.adiabatic_k.likely < written.exotherm.adiabatic_k.likely
    assert early.loss.method_g.likely > written.loss.method_g.likely
    assert codes(early)["own-heat-boils-alcohol"] == "danger"
    assert "own-heat-boils-alcohol" not in codes(written)


def test_each_way_says_what_it_suits_and_the_early_one_warns():
    written, early = variants(CLEAR, FIND, spirits=())
    assert written.suits.startswith("Embeds and general use")
    assert early.suits.startswith("Finished bars") and "exothermic" in early.suits
    assert [one.code for one in written.cautions] == ["never-methylated"]
    first = early.cautions[0]
    assert first.code == "alcohol-with-lye" and "boil the alcohol off at once" in first.text


def test_the_way_back_comes_back():
    early = variants(CLEAR, FIND, spirits=())[1].recipe
    written, back = variants(early, FIND, spirits=())
    assert (written.route, back.route) == ("alcohol with the lye", "paste first")
    assert grams(back) == pytest.approx(grams(all_of(spirits=())["as written"]), rel=1e-6)


def test_a_spirit_with_the_lye_leaves_the_lye_water_as_it_was():
    early = variants(CLEAR, FIND, spirits=())[1].recipe
    written, weak = with_spirit(WEAK, early)
    assert weak.route == "alcohol with the lye"
    assert grams(weak)["lye water"] == pytest.approx(grams(written)["lye water"], rel=1e-6)


def test_a_little_fat_in_much_solvent_does_not_boil_by_its_own_heat():
    lines = tuple(
        replace(line, amount=Amount(line.amount.value * 0.01, "g")) if line.stage == "fats" else line
        for line in CLEAR.lines
    )
    solvents = tuple(replace(line, amount=Amount(50.0)) if line.stage in ("clear", "syrup") else line for line in lines)
    cool = (MethodStep("cool", "lye", temperature_c=30.0, minutes=15.0, covered=True),)
    _, early = variants(replace(CLEAR, lines=solvents, method=cool, size=BatchSize()), FIND, spirits=())
    assert early.exotherm is not None and early.exotherm.quick
    assert "own-heat-boils-alcohol" not in codes(early)


# What is not compared -----------------------------------------------------------------------------------------------


def test_without_alcohol_there_is_nothing_to_vary():
    assert variants(starting_recipe("bar", "opaque white"), FIND) == ()


@pytest.mark.parametrize("spirit", ["hardware_spirit", "surgical_spirit", "sda_3_a"])
def test_methylated_spirit_is_refused(spirit):
    with pytest.raises(BadInput, match="not fit for soap"):
        variants(CLEAR, FIND, spirits=(spirit,))


def test_what_is_no_spirit_or_unknown_is_refused():
    with pytest.raises(BadInput, match="no spirit"):
        variants(CLEAR, FIND, spirits=("glycerol",))
    with pytest.raises(UnknownName):
        variants(CLEAR, FIND, spirits=("moonshine",))


def test_methanol_that_a_recipe_already_holds_is_said():
    meths = replace(CLEAR, lines=tuple(_with(one, "hardware_spirit") for one in CLEAR.lines))
    written, other = variants(meths, FIND, spirits=("ethanol_96_vol",))[::2]
    assert codes(written)["methanol"] == "danger"
    assert "methanol" not in codes(other)


def _with(line: Line, spirit: str) -> Line:
    return replace(line, material_id=spirit) if line.key == "spirit" else line


def test_moves_are_told_from_both_sides():
    written, other = with_spirit("propan_2_ol_99_vol")
    there, back = (list(moved(*pair)) for pair in
                   ((written.judgements, other.judgements), (other.judgements, written.judgements)))  # fmt: skip
    assert {one.window.id for one in there} == {one.window.id for one in back}
    assert {one.window.id for one in there if one.what == "no longer applies"} == {
        one.window.id for one in back if one.what == "applies now"
    }
    assert list(moved(written.judgements, written.judgements)) == []
