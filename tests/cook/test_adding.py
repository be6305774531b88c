"""The solvents going in: what is poured, the drop, the three limits, both ways, both schools."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kettleglass.cook.adding import PRACTICES, Adding, adding, leg_of
from kettleglass.cook.around import Around, around
from kettleglass.cook.boil import boiling
from kettleglass.cook.course import course_of
from kettleglass.recipe.place import Place
from kettleglass.recipe.recipe import Kettle, MethodStep, Recipe, Stage
from kettleglass.recipe.work import work_out
from tests.goods import DEMO, find, line

SEA = around(Place())
STEPS: tuple[tuple[Stage, float], ...] = (
    ("fats", 80.0),
    ("lye", 80.0),
    ("paste", 80.0),
    ("clear", 80.0),
    ("syrup", 80.0),
)


def at(clear_c: float, recipe: Recipe = DEMO, **changes: object) -> Recipe:
    method = tuple(
        MethodStep(f"do {stage}", stage, clear_c if stage == "clear" else held, 5.0) for stage, held in STEPS
    )
    return replace(recipe, method=method, kettle=Kettle(inner_diameter_mm=160.0, mass_g=900.0), **changes)  # type: ignore[arg-type]


def added(recipe: Recipe, air: Around = SEA) -> Adding:
    worked = work_out(recipe, find, random_pots=False)
    course = course_of(recipe, worked.sheet, worked.weights.weighed_g, air)
    found = adding(worked, course, boiling(worked, course, air), air)
    assert found is not None
    return found


def test_the_three_limits_stand_side_by_side() -> None:
    """Ethanol boils at 78.24 °C (CRC Handbook) and flashes at 12 °C (IEC 60079-20-1); glycerol raises both."""
    limits = added(at(80.0)).limits
    assert limits.alcohol == "ethanol"
    assert limits.alcohol_c == pytest.approx(78.24, abs=0.3)
    assert limits.premix is not None and limits.pot is not None
    assert limits.alcohol_c + 1.0 < limits.premix.likely_c < limits.pot.likely_c
    assert limits.premix_flash_c is not None and limits.flash_c is not None
    assert 12.0 < limits.premix_flash_c < limits.flash_c < 40.0


def test_unmixed_alcohol_boils_where_it_lands_and_the_premix_does_not() -> None:
    found = added(at(80.0))
    assert found.keys == ("spirit", "glycerol")
    assert found.alcohol_boils and not found.premix_boils
    assert {one.code for one in found.findings} == {"never-unmixed", "adding-temperature"}
    assert found.pour_below_c is not None and 75.0 < found.pour_below_c < 80.0
    alone = added(at(80.0, replace(DEMO, lines=tuple(one for one in DEMO.lines if one.key != "glycerol"))))
    assert alone.premix_boils and "never-unmixed" not in {one.code for one in alone.findings}


def test_higher_up_the_premix_boils_too() -> None:
    """At 1600 m ethanol boils near 73.5 °C (vapour pressure 83.5 kPa)."""
    high = added(at(80.0), around(Place(altitude_m=1600.0)))
    assert high.premix_boils
    assert high.limits.alcohol_c == pytest.approx(73.5, abs=0.4)


def test_a_cool_base_needs_no_warning() -> None:
    found = added(at(65.0))
    assert not found.alcohol_boils and not found.premix_boils and found.findings == ()


def test_the_drop_by_hand() -> None:
    """210 g of premix at 20 °C into paste and kettle at 80 °C; J/(g K) from handbooks: spirit 2.55 (ethanol 2.4, water
    4.19), glycerol 2.35, soap and glycerol 2.3, water 4.2, steel 0.5."""
    found = added(at(80.0))
    cool, warmed = found.ways
    water = 91.0 + 1.628 * 0.32
    base = (400.0 + 66.0 - 1.0) * 2.3 + water * 4.2 + 450.0
    premix = 150.0 * 2.55 + 60.0 * 2.35
    assert cool.drop_k == pytest.approx(60.0 * premix / (premix + base), rel=0.06)
    assert cool.mixed_c == pytest.approx(80.0 - cool.drop_k)
    assert (cool.premix_c, warmed.premix_c) == (20.0, 60.0)
    assert warmed.drop_k == pytest.approx(cool.drop_k / 3.0, rel=0.15)
    assert cool.warm_premix is None and warmed.warm_premix is not None and warmed.warm_premix.minutes is not None
    assert cool.rewarm.minutes is not None and warmed.rewarm.minutes is not None
    assert warmed.rewarm.minutes.likely < cool.rewarm.minutes.likely


@pytest.mark.parametrize("clear_c", [30.0, 55.0, 65.0, 80.0])
@pytest.mark.parametrize("altitude_m", [0.0, 2000.0, 5000.0])
def test_the_premix_is_never_warmed_near_its_boiling_point_nor_above_the_base(
    clear_c: float, altitude_m: float
) -> None:
    found = added(at(clear_c), around(Place(altitude_m=altitude_m)))
    warmed = found.ways[1]
    assert found.limits.premix is not None
    assert warmed.premix_c <= min(clear_c, 60.0, found.limits.premix.low_c - 9.9)
    assert 20.0 <= warmed.premix_c
    assert found.ways[0].mixed_c <= warmed.mixed_c <= clear_c + 1e-9


def test_how_it_is_warmed_is_said_where_it_is_done() -> None:
    cool, warmed = added(at(80.0)).ways
    assert "Heat off" in cool.does
    for word in ("bath of hot water", "breathe", "never tightly wrapped", "never between electric pads"):
        assert word in warmed.does


def test_both_schools_stand_with_reason_and_source() -> None:
    """170 to 180 °F; Thomssen 1922 160 °F; Simmons & Appleton 1908 77 °C; 70 °C of safety practice."""
    assert all(one.reason and one.source for one in PRACTICES)
    trade = next(one for one in PRACTICES if one.kind == "trade")
    assert (trade.low_c, trade.high_c) == pytest.approx(((170 - 32) / 1.8, (180 - 32) / 1.8), abs=0.4)
    thomssen = next(one for one in PRACTICES if "Thomssen" in one.source)
    assert thomssen.high_c == pytest.approx((160 - 32) / 1.8, abs=0.2)
    kept = {
        temperature: [one.kind for one in PRACTICES if one.holds(temperature)] for temperature in (68.0, 75.0, 80.0)
    }
    assert kept == {68.0: ["safety", "old book", "old book"], 75.0: ["old book"], 80.0: ["trade"]}
    assert added(at(80.0)).practices == PRACTICES


def test_without_alcohol_nothing_is_added() -> None:
    dry = replace(DEMO, lines=tuple(one for one in DEMO.lines if one.key != "spirit"))
    worked = work_out(dry, find, random_pots=False)
    course = course_of(dry, worked.sheet, worked.weights.weighed_g, SEA)
    assert adding(worked, course, boiling(worked, course, SEA), SEA) is None


def test_a_premix_whose_stage_has_no_step_goes_in_at_the_next() -> None:
    own = replace(DEMO, method=(MethodStep("melt", "fats", 80.0, 5.0), MethodStep("syrup in", "syrup", 70.0, 5.0)))
    worked = work_out(own, find, random_pots=False)
    course = course_of(own, worked.sheet, worked.weights.weighed_g, SEA)
    premix = boiling(worked, course, SEA).premix
    assert premix is not None
    leg = leg_of(course, premix)
    assert leg is not None and leg.step.text == "syrup in"
    assert added(own).base_c == 70.0


def test_more_premix_cools_more() -> None:
    more = replace(DEMO, lines=(*DEMO.lines, line("spirit/more", 100.0, "clear")))
    assert added(at(80.0, more)).ways[0].drop_k > added(at(80.0)).ways[0].drop_k + 3.0
