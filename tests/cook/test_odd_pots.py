"""Odd pots, kettles and places: nothing may be silently wrong at the edges, and nothing may stop the page."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kettleglass.cli.pot import plan_lines
from kettleglass.cook.answers import findings_of, loss_dict
from kettleglass.cook.back import add_back
from kettleglass.cook.course import LOW
from kettleglass.cook.plan import Plan, plan
from kettleglass.cook.preview import Preview, preview
from kettleglass.materials.material import Material
from kettleglass.recipe.place import Place
from kettleglass.recipe.recipe import Amount, Kettle, Line, Losses, MethodStep, Recipe, WeighingScale
from kettleglass.science.fire import airflow_m3_per_h
from kettleglass.science.heat.boiling import bubble_point
from kettleglass.web.view import sentences
from tests.goods import DEMO, find

POT = replace(DEMO, kettle=Kettle(inner_diameter_mm=220.0), method=(MethodStep("hold", "syrup", 80.0, 30.0),))
SPIRITS = {
    "mixed": {"ethanol": 0.5, "propan_2_ol": 0.424, "water": 0.076},
    "denatured": {"ethanol": 0.50, "methanol": 0.50},
    "absolute": {"ethanol": 1.0},
    "ipa": {"propan_2_ol": 0.99, "water": 0.01},
    "methanol": {"methanol": 1.0},
    "dye": {"ethanol": 0.3, "unspecified": 0.7},
    "syrup": {"sucrose": 2.0 / 3.0, "water": 1.0 / 3.0},
}


def odd_find(wanted: Line) -> Material:
    if wanted.material_id in SPIRITS:
        return Material(wanted.material_id, wanted.material_id, "spirit", SPIRITS[wanted.material_id])
    if wanted.material_id == "scent":
        return Material("scent", "scent", "fragrance", {"unspecified": 1.0})
    return find(wanted)


def with_spirit(spirit: str, recipe: Recipe = POT) -> Recipe:
    lines = (replace(one, material_id=spirit) if one.key == "spirit" else one for one in recipe.lines)
    return replace(recipe, lines=tuple(lines))


def shown(recipe: Recipe) -> Preview:
    return preview(recipe, odd_find)


# Air ------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("spirit", ["mixed", "denatured"])
@pytest.mark.parametrize("limit", ["lel_10", "lel_25", "exposure"])
def test_every_alcohol_of_a_mixture_is_given_its_own_limit(spirit, limit):
    """Le Chatelier's rule and the additive formula of ACGIH: the flows of all vapours together."""
    air = shown(with_spirit(spirit)).hot.air
    assert air is not None and len(air.release.each_g_min) == 2
    wanted = sum(airflow_m3_per_h(rate, name, limit) for name, rate in air.release.each_g_min.items())
    assert getattr(air, f"{limit}_m3_h") == pytest.approx(wanted)
    assert sum(air.release.each_g_min.values()) == pytest.approx(air.release.likely_g_min)
    as_one = airflow_m3_per_h(air.release.likely_g_min, air.release.species, limit)
    if limit == "exposure" and spirit == "mixed":
        assert air.release.species == "ethanol" and wanted > 1.3 * as_one


def test_a_room_never_holds_more_vapour_than_there_was_alcohol():
    small = replace(
        POT, lines=tuple(replace(one, amount=replace(one.amount, value=0.1 * one.amount.value)) for one in POT.lines)
    )
    air = shown(replace(small, place=Place(room_m3=10.0))).hot.air
    assert air is not None and air.ppm is not None and air.share_of_lel is not None
    moles = sum(grams / {"ethanol": 46.07}[name] for name, grams in air.release.there_g.items())
    assert air.ppm == pytest.approx(1e6 * moles * 0.02406 / 10.0, rel=2e-3)
    assert air.share_of_lel == pytest.approx(air.ppm / 31_000.0, rel=1e-6)


@pytest.mark.parametrize("celsius", [-50.0, 4.9, 110.5, 400.0])
@pytest.mark.parametrize("minutes", [0.0, 30.0])
def test_a_step_beyond_the_model_stops_nothing(celsius, minutes):
    found = shown(replace(POT, method=(MethodStep("hold", "syrup", celsius, minutes),)))
    assert found.hot.air is None


@pytest.mark.parametrize("kettle", [Kettle(inner_diameter_mm=10.0), Kettle(inner_diameter_mm=5000.0)])
@pytest.mark.parametrize("minutes", [0.0, 30.0])
def test_a_kettle_beyond_the_model_stops_nothing(kettle, minutes):
    found = shown(replace(POT, kettle=kettle, method=(MethodStep("hold", "syrup", 80.0, minutes),)))
    assert found.hot.air is None and found.hot.boiling.boils is not None


def test_a_very_high_kettle_is_within_the_model():
    found = shown(replace(POT, kettle=Kettle(inner_diameter_mm=300.0, height_mm=5000.0)))
    assert found.hot.air is not None and not any(leg.unsaid for leg in found.hot.course.legs)


# Boiling --------------------------------------------------------------------------------------------------------------


def test_the_band_of_a_pot_full_of_sugar_holds_its_likely_figure():
    """Sugar that binds water makes a watery pot boil hotter and one with alcohol cooler: either may be the low end."""
    syrup = replace(POT, lines=(replace(POT.lines[-1], material_id="syrup", stage="fats"),), method=())
    for recipe in (syrup, POT):
        boils = shown(recipe).hot.boiling.boils
        assert boils is not None and boils.low_c <= boils.likely_c - 0.6 and boils.likely_c + 0.6 <= boils.high_c


def test_what_is_poured_in_holds_every_alcohol():
    found = shown(with_spirit("denatured")).hot.boiling.premix
    assert found is not None and found.keys == ("spirit", "glycerol")


def test_a_spirit_in_two_lines_goes_in_where_most_of_it_stands():
    spirit = POT.line("spirit")
    first, second = (replace(spirit, key=f"spirit {n}", amount=replace(spirit.amount, value=90.0)) for n in (1, 2))
    late = replace(spirit, key="late", stage="finish", amount=replace(spirit.amount, value=100.0))
    lines = tuple(one for one in POT.lines if one.key != "spirit")
    found = shown(replace(POT, lines=(*lines, first, second, late))).hot.boiling.premix
    assert found is not None and found.stage == "clear" and set(found.keys) == {"spirit 1", "spirit 2", "glycerol"}


def test_a_margin_of_almost_nothing_is_not_said_to_be_zero():
    boils = shown(POT).hot.boiling.steps[0].boils
    for off, wanted in ((0.3, "less than 1 °C below boiling"), (2.4, "2 °C below boiling")):
        step = replace(POT.method[0], temperature_c=round(boils.likely_c - off, 1), minutes=0.0)
        near = [one for one in shown(replace(POT, method=(step,))).findings if one.code == "pot-near-boiling"]
        assert len(near) == 1 and wanted in near[0].text


@pytest.mark.parametrize("celsius", [78.0, 85.0, 86.0, 95.0])
def test_the_plan_on_the_command_line_never_says_below_boiling_of_a_pot_that_boils(celsius):
    found = shown(replace(POT, method=(replace(POT.method[0], temperature_c=celsius),)))
    made = plan(found.worked, found.hot.course, found.hot.boiling, found.hot.around)
    said = "\n".join(plan_lines(made))
    margin = made.steps[0].margin_k
    assert margin is not None and ("below boiling" in said) is (margin.likely > 0.0)
    assert ("It boils" in said) is (margin.likely <= 0.0) and "\n   0 °C below" not in said


def test_what_the_commands_say_holds_every_remark_on_losses_and_unfit_spirit():
    stated = replace(POT, losses=Losses(0.9, 0.9), method=(replace(POT.method[0], temperature_c=120.0),))
    codes = {one["code"] for one in findings_of(shown(stated))}
    assert {"loss-differs", "loss-unsaid"} <= codes


def test_a_trace_of_alcohol_is_not_called_none():
    spirit = replace(POT.line("spirit"), amount=replace(POT.line("spirit").amount, value=4.5))
    found = shown(replace(POT, lines=tuple(spirit if one.key == "spirit" else one for one in POT.lines)))
    assert found.hot.boiling.tightest is None and found.worked.percent("ethanol") > 0.1
    assert "no alcohol" not in sentences.hot(found) and "pot.flash" in sentences.hot(found)
    none = shown(replace(POT, lines=(*POT.lines[:3], replace(POT.line("syrup"), key="water", material_id="water"))))
    assert "no alcohol" in sentences.hot(none)


def test_a_boiling_point_beyond_the_model_is_given_no_figure():
    found = shown(replace(POT, lines=tuple(one for one in POT.lines if one.key != "spirit")))
    assert found.hot.boiling.boils is None
    assert "lies above 5 to 110 °C" in found.hot.boiling.why and "111" not in found.hot.boiling.why


def test_a_premix_that_may_boil_is_said_before_it_likely_does():
    limits = shown(POT).hot.boiling.premix
    assert limits is not None and limits.boils is not None
    for celsius, wanted in ((limits.boils.low_c - 0.1, None), (limits.boils.low_c + 0.1, "may boil"),
                            (limits.boils.likely_c + 0.1, "it boils")):  # fmt: skip
        method = (replace(POT.method[0], temperature_c=celsius, minutes=0.0),)
        said = [one.text for one in shown(replace(POT, method=method)).findings if one.code == "premix-boils"]
        assert (not said) if wanted is None else wanted in said[0]


# Loss -----------------------------------------------------------------------------------------------------------------


def test_a_lid_that_is_always_on_is_not_said_to_save_nothing():
    long = replace(POT, method=(replace(POT.method[0], minutes=3000.0),))
    [said] = [one for one in shown(long).findings if one.code == "alcohol-lost"]
    assert "save" not in said.advice and "add back" in said.advice


def test_the_room_of_the_lye_is_the_room_that_was_given():
    said = [one.text for one in shown(replace(POT, place=Place(room_c=-10.0))).findings if "crystals-in" in one.code]
    assert said and all("(-10 °C)" in text for text in said)


def test_the_band_of_a_loss_holds_its_likely_figure_though_early_alcohol_takes_water_along():
    """Where less alcohol left in a first step, more of it drives the water out in a second."""
    lines = (replace(POT.line("spirit"), stage="fats", amount=replace(POT.line("spirit").amount, value=83_333.0)),
             Line("lye", "soda_50", Amount(16_667.0), "paste"))  # fmt: skip
    steps = (MethodStep("a", "fats", 80.0, 20.0, covered=False), MethodStep("b", "paste", 80.0, 30.0, covered=False))
    recipe = Recipe("wide", lines, method=steps, kettle=Kettle(inner_diameter_mm=3000.0, head_room=0.0),
                    place=Place(pressure_hpa=500.0, room_c=-10.0))  # fmt: skip
    found = shown(recipe)
    assert found.hot.course.lost_g("water", way="open", rate=LOW) > found.hot.course.lost_g("water", way="open")
    for key, one in found.readings.items():
        if key.startswith("loss."):
            assert one.value is not None and one.low is not None and one.high is not None
            assert one.low <= one.value <= one.high
    for way in loss_dict(found)["losses"].values():
        assert all(one["low_g"] <= one["likely_g"] <= one["high_g"] for one in way.values())


# The plan -------------------------------------------------------------------------------------------------------------


def plan_of(recipe: Recipe) -> Plan:
    found = shown(recipe)
    return plan(found.worked, found.hot.course, found.hot.boiling, found.hot.around)


def test_a_little_alcohol_in_another_good_has_a_plan_and_is_what_is_poured_in():
    made = plan_of(with_spirit("dye"))
    assert made.adding is not None and made.adding.keys == ("spirit", "glycerol")


@pytest.mark.parametrize("stage", ["fats", "lye", "paste", "clear", "syrup", "finish"])
def test_sugar_and_scent_have_their_cautions_wherever_they_go_in(stage):
    sweet, scent = (replace(POT.line("syrup"), key=key, material_id=key, stage=stage) for key in ("syrup", "scent"))
    lines = (*(one for one in POT.lines if one.key != "syrup"), sweet, scent)
    made = plan_of(replace(POT, lines=lines, method=()))
    [step] = [step for step in made.steps if {"syrup", "scent"} <= {one.name for one in step.weigh}]
    assert {"syrup-hot", "scent-flash"} <= {one.code for one in step.cautions}


def test_steps_of_a_pot_with_nothing_in_it_and_a_kettle_of_no_weight_have_a_plan():
    cooling = (replace(POT.method[0], temperature_c=60.0), replace(POT.method[0], temperature_c=50.0))
    made = plan_of(replace(POT, lines=(), method=cooling, kettle=Kettle(mass_g=0.0)))
    assert made.heat.cool_down is None and len(made.steps) == 2


@pytest.mark.parametrize(("metres", "most_c"), [(0.0, 70.0), (2000.0, 65.0), (3600.0, 61.0), (5500.0, 55.0)])
def test_up_a_mountain_the_advice_is_never_a_temperature_at_which_alcohol_boils(metres, most_c):
    """Ethanol boils at 67 °C at 3 600 m (64.8 kPa), below the 70 °C of the usual advice."""
    high = replace(POT, place=Place(altitude_m=metres), losses=Losses(0.0, 0.0))
    found = shown(high)
    back = add_back(found.worked, found.hot.course, found.hot.around, 2184.0, 2131.0)
    made = plan(found.worked, found.hot.course, found.hot.boiling, found.hot.around)
    codes = {"back-with-care", "adding-temperature"}
    said = [one.advice for one in (*back.findings, *made.findings) if one.code in codes]
    alcohol_c = bubble_point({"ethanol": 1.0}, found.hot.around.pressure_pa).temperature_c
    for text in said:
        below = float(text.partition("fall below ")[2].partition(" °C")[0])
        assert below <= most_c and below <= alcohol_c - 8.0
    assert len(said) == 2 and made.adding is not None
    [safety] = [one for one in made.adding.practices if one.kind == "safety"]
    assert safety.high_c is not None and safety.high_c <= most_c and f"below about {safety.high_c:g} °C" in safety.says


def test_the_doubt_of_a_flash_point_is_that_of_its_alcohol():
    ethanol, propanol = (shown(with_spirit(one)).readings["pot.flash"] for one in ("absolute", "ipa"))
    for one, above in ((ethanol, 3.0), (propanol, 9.0)):
        assert one.value is not None and one.high == pytest.approx(one.value + above)
    assert "ethanol-water" in ethanol.working and "ethanol-water" not in propanol.working


def test_pure_methanol_is_hot_alcohol_too():
    codes = {one.code for one in shown(with_spirit("methanol")).findings}
    assert "hot-alcohol" in codes


# Adding back ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("height_mm", [24.0, 26.0, 28.0, 30.0, 32.0, 36.0])
def test_what_goes_back_fits_even_when_rounded_to_the_scale(height_mm):
    """Ethanol at its boiling point takes 1.36 mL/g (0.736 g/mL, handbooks, recalled)."""
    tight = replace(with_spirit("absolute"), kettle=Kettle(inner_diameter_mm=220.0, height_mm=height_mm),
                    scale=WeighingScale(5.0), losses=Losses(0.0, 0.0))  # fmt: skip
    found = shown(tight)
    back = add_back(found.worked, found.hot.course, found.hot.around, 2184.0, 2084.0)
    assert 1.36 * back.spirit_g + 1.03 * back.plain_water_g <= back.room_ml + 1e-6


def test_nothing_to_add_because_nothing_fits_is_not_called_as_planned():
    full = replace(POT, kettle=Kettle(inner_diameter_mm=220.0, height_mm=20.0), losses=Losses(0.0, 0.0))
    found = shown(full)
    back = add_back(found.worked, found.hot.course, found.hot.around, 2184.0, 2131.0)
    codes = [one.code for one in back.findings]
    assert back.room_ml == 0.0 and back.spirit_g == 0.0
    assert "back-does-not-fit" in codes and "nothing-needed" not in codes
