"""The plan of a cook: cautions at their steps in any order, times that add up, and the weights of the recipe."""

from __future__ import annotations

import json
from dataclasses import replace
from itertools import combinations

import pytest

from kettleglass.cook.around import Around, around
from kettleglass.cook.boil import boiling
from kettleglass.cook.course import course_of
from kettleglass.cook.plan import LOOKS, Plan, PlanStep, plan, plan_dict
from kettleglass.cook.ranges import HOT_SPOT_K
from kettleglass.recipe.method import ALCOHOL_CODES, LYE_CODES
from kettleglass.recipe.place import Place
from kettleglass.recipe.recipe import STAGES, MethodStep, Recipe, Stage
from kettleglass.recipe.work import Worked, work_out
from tests.goods import DEMO, find, line

SEA = around(Place())
WITH_THE_LYE = replace(
    DEMO, lines=tuple(replace(one, stage="lye") if one.stage == "clear" else one for one in DEMO.lines)
)
ORDERS = {"paste first": DEMO, "alcohol with the lye": WITH_THE_LYE}
EVERY_SUBSET = [c for n in range(1, len(STAGES) + 1) for c in combinations(STAGES, n)]


def worked(recipe: Recipe) -> Worked:
    return work_out(recipe, find, random_pots=False)


def planned(recipe: Recipe, air: Around = SEA) -> Plan:
    one = worked(recipe)
    course = course_of(recipe, one.sheet, one.weights.weighed_g, air)
    return plan(one, course, boiling(one, course, air), air)


def own(stages: tuple[Stage, ...], *, covered: bool = True, at_c: float = 75.0) -> tuple[MethodStep, ...]:
    return tuple(MethodStep(f"do {stage}", stage, at_c, 10.0, covered=covered) for stage in stages)


def said(step: PlanStep) -> set[str]:
    return {one.code for one in step.cautions}


def steps_with(made: Plan, code: str) -> list[int]:
    return [step.number for step in made.steps if code in {one.code for one in step.tests}]


# Cautions -----------------------------------------------------------------------------------------------------------


def check_cautions(made: Plan) -> None:
    """Every caution that what is in the pot calls for stands at the step where it is so."""
    alcohol = False
    for step in made.steps:
        keys = {one.key for one in step.weigh}
        if "soda" in keys:
            assert set(LYE_CODES) <= said(step)
        if "spirit" in keys:
            assert set(ALCOHOL_CODES) <= said(step)
            alcohol = True
        if "syrup" in keys:
            assert "syrup-hot" in said(step)
        if alcohol:
            assert ("alcohol-lid" if step.covered else "alcohol-zone") in said(step)
        else:
            assert not said(step) & {*ALCOHOL_CODES, "alcohol-lid", "alcohol-spray"}
    everywhere = set().union(*(said(step) for step in made.steps))
    assert {"fat-hot", "paste-rise", "never-by-mouth", "finish-hot", "alcohol-spray"} <= everywhere
    wanted = {"lye": set(LYE_CODES), "premix": {*ALCOHOL_CODES} - {"alcohol-adding"}, "syrup": {"syrup-hot"}}
    for one in made.preparations:
        assert wanted[one.code] <= {caution.code for caution in one.cautions}


@pytest.mark.parametrize("order", ORDERS)
@pytest.mark.parametrize("stages", EVERY_SUBSET, ids="-".join)
def test_no_caution_is_missing_for_any_method_of_the_makers_own(stages: tuple[Stage, ...], order: str) -> None:
    """Lids off and on by turns; that every step minds its own lid is a law of the method itself as well."""
    made = planned(replace(ORDERS[order], method=own(stages, covered=EVERY_SUBSET.index(stages) % 2 == 0)))
    check_cautions(made)
    check_times(made)
    check_weights(made, ORDERS[order])
    gates = steps_with(made, "free-alkali")
    assert len(gates) == 1 and gates == steps_with(made, "free-fat")
    there = [step.number for step in made.steps if "syrup" in {one.key for one in step.weigh}]
    assert gates[0] <= there[0], "nothing passes into syrup or mould without the test"


@pytest.mark.parametrize("order", ORDERS)
def test_the_usual_steps_carry_every_caution(order: str) -> None:
    made = planned(ORDERS[order])
    assert made.order == order
    check_cautions(made)
    check_times(made)
    check_weights(made, ORDERS[order])
    assert "Local codes and licensed practice" in made.defers
    assert made.storage


def test_spirit_straight_after_the_lye_is_the_other_order() -> None:
    """Simmons & Appleton 1908 add spirit straight after the lye, before saponification is complete."""
    early = planned(replace(DEMO, method=own(("fats", "lye", "clear", "paste", "syrup", "finish"))))
    assert early.order == "alcohol with the lye"
    check_cautions(early)
    (gate,) = steps_with(early, "free-alkali")
    assert early.steps[gate - 1].stage == "paste"
    assert [one.code for one in early.preparations] == ["lye", "syrup"], "no premix is warmed beside hot lye"


def test_without_alcohol_nothing_is_said_of_it() -> None:
    dry = planned(replace(DEMO, lines=tuple(one for one in DEMO.lines if one.key != "spirit")))
    assert dry.order == "no alcohol" and dry.adding is None and dry.storage == ()
    codes = set().union(*(said(step) for step in dry.steps))
    assert not codes & {*ALCOHOL_CODES, "alcohol-lid", "alcohol-spray"}
    assert set(LYE_CODES) <= codes
    assert [one.code for one in dry.preparations] == ["lye", "syrup"]
    assert steps_with(dry, "film") == steps_with(dry, "cooled-sample") == []


def test_without_a_step_of_its_own_the_paste_is_tested_where_it_cooks_not_when_the_lye_has_just_gone_in() -> None:
    made = planned(replace(DEMO, method=own(("fats", "lye", "clear", "syrup", "finish"))))
    (gate,) = steps_with(made, "free-alkali")
    assert made.steps[gate - 1].stage == "clear"
    assert "This is the gate" in " ".join(made.steps[gate - 1].look_for)
    assert planned(replace(DEMO, method=own(("fats", "lye", "paste", "clear")))).steps[2].tests[0].code == "free-alkali"


def test_without_lye_there_is_no_gate() -> None:
    base = replace(DEMO, lines=(line("spirit", 150.0, "clear"), line("glycerol", 60.0, "clear")))
    made = planned(base)
    assert made.lye is None and steps_with(made, "free-alkali") == []
    assert [one.code for one in made.preparations] == ["premix"]


def test_an_empty_recipe_has_an_empty_plan() -> None:
    made = planned(Recipe("empty"))
    assert (made.steps, made.preparations, made.order) == ((), (), "no alcohol")
    assert made.timing.total_min == made.timing.saved_min == 0.0


# Times and weights --------------------------------------------------------------------------------------------------


def check_times(made: Plan) -> None:
    """Steps follow one another without a gap, each preparation ends by its step, and the totals are their sums."""
    for before, after in zip(made.steps, made.steps[1:], strict=False):
        assert after.start_min == pytest.approx(before.end_min)
    begun = [one.start_min for one in (*made.steps, *made.preparations)]
    assert min(begun) == pytest.approx(0.0, abs=1e-9)
    for one in made.preparations:
        assert one.end_min <= made.steps[one.for_step - 1].start_min + 1e-9
        assert 0.0 < one.hands_min <= one.minutes + 1e-9
        assert one.code in made.steps[one.for_step - 1].prepared
    steps, beside = (sum(one.minutes for one in some) for some in (made.steps, made.preparations))
    assert made.timing.one_after_another_min == pytest.approx(steps + beside)
    assert made.timing.total_min == pytest.approx(made.steps[-1].end_min)
    assert made.timing.saved_min == pytest.approx(steps + beside - made.timing.total_min)
    assert made.timing.saved_min >= 0.0


def check_weights(made: Plan, recipe: Recipe) -> None:
    """Every line is weighed once, at the grams of the weigh list, on a step of its scale."""
    listed = {line.key: mass for line, _, mass in worked(recipe).in_use}
    weighed = [one for step in made.steps for one in step.weigh]
    assert len(weighed) == len(listed)
    assert {one.key: one.grams for one in weighed} == listed
    for one in weighed:
        assert one.grams / one.step_g == pytest.approx(round(one.grams / one.step_g), abs=1e-6)
    beside = [one for made_ready in made.preparations for one in made_ready.weigh]
    assert all(one in weighed for one in beside)
    assert len({one.key for one in beside}) == len(beside)


def test_the_syrup_is_off_the_stove_before_the_alcohol_is_opened() -> None:
    for recipe in ORDERS.values():
        made = planned(recipe)
        ends = next(one.end_min for one in made.preparations if one.code == "syrup")
        opened = [one.start_min for one in made.preparations if one.code == "premix"]
        opened += [step.start_min for step in made.steps if "spirit" in {one.key for one in step.weigh}]
        assert ends <= min(opened) + 1e-9


def test_what_overlaps_saves_its_time() -> None:
    made = planned(DEMO)
    assert {one.code for one in made.preparations} == {"lye", "premix", "syrup"}
    by_code = {one.code: one.minutes for one in made.preparations}
    assert made.timing.saved_min >= by_code["premix"] + by_code["syrup"] - 1e-9, "both lie beside the long paste"


# Limits, tests, looks -----------------------------------------------------------------------------------------------


def test_the_tests_stand_at_their_steps() -> None:
    made = planned(DEMO)
    stages = {step.number: step.stage for step in made.steps}
    (gate,), (lumps,), (film,) = (steps_with(made, code) for code in ("free-alkali", "lumps", "film"))
    assert (stages[gate], stages[lumps], stages[film]) == ("paste", "clear", "finish")
    assert gate < lumps < min(steps_with(made, "cooled-sample")) < film
    assert stages[max(steps_with(made, "cooled-sample"))] == "syrup"
    assert film in steps_with(made, "drying"), "a film also means drying: the scale stands beside it"
    hold = next(step for step in made.steps if step.stage == "clear" and step.covered)
    assert hold.number in steps_with(made, "drying")
    assert "No lump may be left when the hold begins." in made.steps[lumps - 1].look_for


def test_the_margin_to_boiling_stands_at_every_step_with_alcohol() -> None:
    made = planned(DEMO)
    for step in made.steps:
        spirit_in = step.stage in ("clear", "syrup", "finish")
        assert (step.margin_k is not None) == spirit_in
        if step.margin_k is not None and step.boils_c is not None:
            assert step.margin_k.low <= step.margin_k.likely <= step.margin_k.high
            assert step.margin_k.likely == pytest.approx(step.boils_c.likely - step.temperature.aim_c)
            assert step.temperature.high_c <= step.boils_c.low - HOT_SPOT_K + 1e-9
            assert step.flash_c is not None and step.flash_c < 40.0 < step.temperature.aim_c
        assert step.temperature.low_c <= step.temperature.high_c
        assert 0.0 < step.free_share < 1.0 and step.free_wanted == 0.35


def test_higher_up_the_allowed_range_sinks_with_the_boiling_point() -> None:
    """At 2000 m (79.5 kPa) such a pot boils at 80 to 83 °C instead of 85 to 89."""
    low, high = planned(DEMO), planned(DEMO, around(Place(altitude_m=2000.0)))
    hold = next(step.number for step in low.steps if step.stage == "clear" and step.covered) - 1
    assert low.steps[hold].temperature.high_c - high.steps[hold].temperature.high_c > 4.0
    assert "boil" in high.steps[hold].temperature.why


def test_a_temperature_of_the_makers_own_beyond_the_range_is_said() -> None:
    hot = planned(replace(DEMO, method=own(("fats", "lye", "paste", "clear", "syrup", "finish"), at_c=84.0)))
    found = [one for one in hot.findings if one.code == "step-outside-range"]
    assert len(found) == 4 and all("84 °C" in one.text for one in found)
    assert "step-outside-range" not in {one.code for one in planned(DEMO).findings}


@pytest.mark.parametrize("at_c", [6.0, 20.0, 109.0])
def test_odd_temperatures_still_give_a_plan(at_c: float) -> None:
    made = planned(replace(DEMO, method=own(STAGES, at_c=at_c)))
    check_cautions(made)
    check_times(made)


def test_what_boils_over_and_what_to_mind_come_with_the_plan() -> None:
    made = planned(DEMO)
    assert "boil-over" in {one.code for one in made.findings}
    assert made.lye is not None and made.heat.acid is not None and made.syrup is not None and made.adding is not None
    assert set(LOOKS) == set(STAGES)
    assert all(step.look_for for step in made.steps)


def test_the_plan_is_plain_data() -> None:
    made = planned(DEMO)
    text = json.dumps(plan_dict(made), allow_nan=False)
    read = json.loads(text)
    assert read["order"] == "paste first"
    assert [step["number"] for step in read["steps"]] == list(range(1, len(made.steps) + 1))
    assert read["steps"][0]["weigh"][0] == {"key": "coconut", "name": "coconut", "grams": 200.0, "step_g": 1.0}
    hold = next(step for step in read["steps"] if step["boils_c"])
    assert hold["boils_c"]["low"] <= hold["boils_c"]["likely"] <= hold["boils_c"]["high"]
    assert {one["code"] for one in read["preparations"]} == {"lye", "premix", "syrup"}
    assert read["adding"]["limits"]["premix"]["likely_c"] > read["adding"]["limits"]["alcohol_c"]


# Against time -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("order", ORDERS)
def test_the_trail_follows_the_steps(order: str) -> None:
    made = planned(ORDERS[order])
    minutes = [point.minute for point in made.trail]
    assert minutes == sorted(minutes)
    for step in made.steps:
        here = [point for point in made.trail if point.step == step.number]
        assert here[0].minute == pytest.approx(step.start_min) and here[-1].minute == pytest.approx(step.end_min)
        assert {point.temperature_c for point in here} == {step.temperature.aim_c}
        if step.boils_c is not None:
            assert here[0].boils_c == pytest.approx(step.boils_c)
            assert here[0].flash_c == pytest.approx(step.flash_c)
    for point in made.trail:
        low, likely, high = point.alcohol_percent
        assert 0.0 <= low <= likely <= high <= 100.0 and 0.0 <= point.water_percent <= 100.0
        assert (point.boils_c is None) == (likely < 0.5)


def test_alcohol_falls_and_the_boiling_point_rises_while_the_lid_is_off() -> None:
    """A hundredth of volatile mole share less is worth 0.27 K: an open hold, losing a third of the alcohol in half an
    hour from a pot of 4 kg (Mackay & Matsugu 1973 at 0.3 m/s), loses that much from a small one in ten minutes."""
    made = planned(replace(DEMO, method=own(STAGES, covered=False, at_c=80.0)))
    here = [point for point in made.trail if made.steps[point.step - 1].stage == "clear"]
    alcohol = [point.alcohol_percent.likely for point in here]
    boils = [point.boils_c.likely for point in here if point.boils_c is not None]
    assert alcohol == sorted(alcohol, reverse=True) and boils == sorted(boils) and len(boils) == len(here)
    assert boils[-1] - boils[0] > 1.0
    assert here[-1].alcohol_percent.high - here[-1].alcohol_percent.low > 1.0, "the factor of two shows"
    assert here[0].alcohol_percent.high == pytest.approx(here[0].alcohol_percent.low)
