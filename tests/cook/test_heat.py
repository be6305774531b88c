"""Heat of a cook: lye, free acid that boils over, saponification, warming and cooling."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kettleglass.cook.around import Around, around
from kettleglass.cook.course import Course, course_of
from kettleglass.cook.heat import FOAM_K, LyeOfCook, acid_heat, heat_of, lye_of, saponification_rise_k
from kettleglass.cook.warm import KETTLE_G_M2, kettle_j_k, warm_up
from kettleglass.errors import Finding
from kettleglass.recipe.place import Place
from kettleglass.recipe.recipe import SOLVE, AlkaliPlan, Kettle, Line, LyeWater, MethodStep, Recipe
from kettleglass.recipe.work import Worked, work_out
from tests.goods import DEMO, find, line

SEA = around(Place())


def worked(recipe: Recipe) -> Worked:
    return work_out(recipe, find, random_pots=False)


def lye(recipe: Recipe, air: Around = SEA) -> LyeOfCook:
    found = lye_of(worked(recipe), air)
    assert found is not None
    return found


def codes(findings: tuple[Finding, ...]) -> dict[str, Finding]:
    return {one.code: one for one in findings}


USUAL_WATER = LyeWater(1.4)


def with_lye(*lines: Line, water: LyeWater = USUAL_WATER) -> Recipe:
    return replace(
        DEMO, lines=(*(one for one in DEMO.lines if one.stage != "lye"), *lines), alkali=AlkaliPlan(0.0, water=water)
    )


def with_stearic(grams: float, *, at_c: float = 80.0) -> Recipe:
    """The demo's fats with so much stearic acid among 400 g, all of it melted at that temperature."""
    fats = (line("coconut", (400.0 - grams) * 0.75, "fats"), line("castor", (400.0 - grams) * 0.25, "fats"))
    acid = (line("stearic", grams, "fats"),) if grams else ()
    rest = tuple(one for one in DEMO.lines if one.stage != "fats")
    return replace(DEMO, lines=(*fats, *acid, *rest), method=(MethodStep("melt", "fats", at_c, 20.0),))


def test_the_lye_of_one_third_releases_what_parker_found() -> None:
    """Parker 1965: -38.18 kJ/mol for NaOH of 33 %; flakes of 98 % bring a little water that is bound already."""
    found = lye(with_lye(line("soda", SOLVE, "lye"), line("water", SOLVE, "lye"), water=LyeWater(0.33, "strength")))
    per_mol = found.heat.heat_kj.likely / (found.naoh_g / 39.997)
    assert found.heat.strength == pytest.approx(0.33, abs=0.002)
    assert per_mol == pytest.approx(38.2, rel=0.06)
    assert found.heat.reached_c.low < found.heat.reached_c.likely < found.heat.reached_c.high < found.heat.boils_at_c
    assert found.use_c == min(80.0, found.heat.reached_c.likely)


def test_a_lye_bought_as_such_only_gives_the_heat_of_its_dilution() -> None:
    """Parker 1965: from 50 % (25.0 mol/kg, 4 877 cal/mol) to 41.7 % (17.9 mol/kg, 3 130 cal/mol) are 7.3 kJ/mol."""
    stock = lye(with_lye(line("soda_50", SOLVE, "lye"), line("water", SOLVE, "lye")))
    flakes = lye(DEMO)
    assert stock.heat.strength == pytest.approx(flakes.heat.strength, abs=0.002)
    assert stock.heat.heat_kj.likely / (stock.naoh_g / 39.997) == pytest.approx(7.3, rel=0.1)
    assert stock.heat.reached_c.likely < flakes.heat.reached_c.likely - 40.0
    bare = lye(with_lye(line("soda_50", SOLVE, "lye")))
    assert bare.heat.heat_kj.likely == pytest.approx(0.0, abs=0.2), "nothing is added to it"


def test_alcohol_under_lye_does_not_go_into_the_lye_itself() -> None:
    moved = replace(DEMO, lines=tuple(replace(one, stage="lye") if one.key == "spirit" else one for one in DEMO.lines))
    assert lye(moved).water_g == pytest.approx(lye(DEMO).water_g - 150.0 * 0.076, abs=0.6)
    assert lye(moved).heat.strength >= lye(DEMO).heat.strength


def test_potassium_and_sodium_are_told_apart() -> None:
    both = lye(
        with_lye(line("soda", SOLVE, "lye", 0.5), line("potash", SOLVE, "lye", 0.5), line("water", SOLVE, "lye"))
    )
    assert both.koh_g / 56.106 == pytest.approx(both.naoh_g / 39.997, rel=0.01)
    assert both.heat.potassium_mole_fraction == pytest.approx(0.5, abs=0.01)


def test_without_alkali_or_with_too_little_water_there_is_no_lye() -> None:
    none = replace(DEMO, lines=tuple(one for one in DEMO.lines if one.stage != "lye"))
    assert lye_of(worked(none), SEA) is None
    assert lye_of(worked(replace(DEMO, alkali=AlkaliPlan(0.0, water=LyeWater(0.7)))), SEA) is None


def test_lye_cools_sooner_in_cold_water_and_later_to_50_than_to_the_fats() -> None:
    found = lye(DEMO)
    assert found.to_50_min and found.to_fats_min and found.bath_to_50_min
    assert found.bath_to_50_min.high < found.to_50_min.low
    assert found.to_fats_min.likely < found.to_50_min.likely
    warm_room = lye(replace(DEMO, place=Place(room_c=50.0)))
    assert warm_room.to_50_min is None and warm_room.bath_to_50_min is not None


def test_a_strong_lye_in_a_cold_room_is_said_to_crystallise() -> None:
    """Dow, caustic soda: 14 °C at 50 %."""
    cold = replace(DEMO, place=Place(room_c=10.0), alkali=AlkaliPlan(0.0, water=LyeWater(1.02)))
    assert "lye-crystals-in-room" in codes(lye(cold).findings)
    assert "lye-crystals-in-room" not in codes(lye(DEMO).findings)


def test_a_lye_that_nearly_boils_is_said() -> None:
    """At the head of a high valley (5 000 m, 54 kPa) water itself boils at 83 °C (steam tables)."""
    high = around(Place(altitude_m=5000.0))
    strong = replace(DEMO, place=Place(room_c=35.0), alkali=AlkaliPlan(0.0, water=LyeWater(1.3)))
    assert codes(lye(strong, high).findings)["lye-boils"].level in ("danger", "caution")
    assert "lye-boils" not in codes(lye(DEMO).findings)


# Free fatty acid ----------------------------------------------------------------------------------------------------


def test_stearic_acid_by_hand() -> None:
    """140 g of free acid: its moles times 57.5 kJ (liquid acetic acid with OH-, from heats of formation), over the
    heat capacity of fats (2.07 J/(g K), Choi & Okos at 80 °C) and lye (3.43)."""
    found = acid_heat(worked(DEMO), SEA, lye(DEMO).heat)
    assert found is not None
    moles = 140.0 * 208.9 / 56_106.0
    rise = moles * 57_500.0 / (400.0 * 2.07 + 156.5 * 3.43)
    assert found.at_once.acid_mol == pytest.approx(moles, rel=0.02)
    assert found.at_once.rise_k.likely == pytest.approx(rise, rel=0.06)
    assert found.share == pytest.approx(0.35, abs=0.01)
    assert found.at_once.rise_k.low < found.at_once.rise_k.likely < found.at_once.rise_k.high


def test_boiling_over_is_said_above_the_share_that_it_names_and_not_below() -> None:
    above = acid_heat(worked(with_stearic(140.0)), SEA, lye(with_stearic(140.0)).heat)
    assert above is not None and above.share_at_limit is not None
    limit_g = 400.0 * above.share_at_limit
    said = codes(lye(with_stearic(limit_g + 12.0)).findings)["boil-over"]
    assert "portions" in said.advice and "third" in said.advice
    lower = acid_heat(worked(with_stearic(limit_g - 12.0)), SEA, lye(with_stearic(limit_g - 12.0)).heat)
    assert lower is not None and lower.at_once.reached_c.likely < lower.boils_c - FOAM_K


def test_cooler_fats_stay_clear_of_it_and_higher_up_it_comes_sooner() -> None:
    assert "boil-over" in codes(lye(with_stearic(140.0)).findings)
    assert "boil-over" not in codes(lye(with_stearic(140.0, at_c=70.0)).findings)
    assert "boil-over" in codes(lye(with_stearic(140.0, at_c=70.0), around(Place(altitude_m=2500.0))).findings)


def test_so_much_acid_that_only_adding_it_in_parts_helps() -> None:
    advice = codes(lye(with_stearic(320.0)).findings)["boil-over"].advice
    assert "add part of the acid later" in advice and "would set" in advice


def test_without_free_acid_nothing_happens_at_once() -> None:
    plain = with_stearic(0.0)
    assert acid_heat(worked(plain), SEA, lye(plain).heat) is None
    assert {"boil-over", "thickens-at-once"}.isdisjoint(codes(lye(plain).findings))
    little = codes(lye(with_stearic(8.0)).findings)
    assert "thickens-at-once" not in little
    assert "thickens-at-once" in codes(lye(with_stearic(60.0)).findings)


# The pot ------------------------------------------------------------------------------------------------------------


def test_saponification_warms_as_the_handbooks_say() -> None:
    """225 kJ/kg of fat (from ethyl acetate) to 270 kJ/kg (soap handbooks, recalled), over paste and kettle."""
    plain = replace(with_stearic(0.0), kettle=Kettle(mass_g=0.0))
    rise = saponification_rise_k(worked(plain))
    assert rise is not None
    capacity = 400.0 * 2.07 + 160.0 * 3.43
    shorter_chains = 228.0 / 190.0
    assert 0.4 * 225.0e3 / capacity * 0.9 < rise.likely < 0.4 * 270.0e3 / capacity * shorter_chains * 1.1
    heavy = saponification_rise_k(worked(replace(plain, kettle=Kettle(mass_g=3000.0))))
    assert heavy is not None and heavy.likely < rise.likely
    assert saponification_rise_k(worked(replace(DEMO, lines=DEMO.lines[1:2]))) is None


def test_alcohol_with_the_lye_boils_when_it_is_begun_hot() -> None:
    """Simmons & Appleton 1908 begin at 54 °C."""
    early = replace(DEMO, lines=tuple(replace(one, stage="lye") if one.stage == "clear" else one for one in DEMO.lines))
    hot = worked(early)
    assert "boils-with-alcohol" in codes(heat_of(hot, _course(hot), SEA, lye_of(hot, SEA)).findings)
    late = worked(DEMO)
    assert heat_of(late, _course(late), SEA, lye_of(late, SEA)).findings == ()


def _course(one: Worked, air: Around = SEA) -> Course:
    return course_of(one.recipe, one.sheet, one.weights.weighed_g, air)


def test_a_plate_warms_the_fats_by_its_power() -> None:
    """Energy over power, half to four fifths of it reaching the pot; losses to the room only lengthen it."""
    fed = replace(DEMO, place=Place(heating="enclosed heater", heater_w=1000.0), kettle=Kettle(mass_g=1000.0))
    found = warm_up(worked(fed), _course(worked(fed)), SEA)
    assert found is not None and found.minutes is not None
    joules = (400.0 * 2.06 + 500.0) * 60.0
    assert found.minutes.low > joules / 800.0 / 60.0
    assert joules / 650.0 / 60.0 < found.minutes.likely < 2.0 * joules / 650.0 / 60.0
    assert (found.from_c, found.to_c) == (20.0, 80.0)
    weak = replace(fed, place=Place(heating="enclosed heater", heater_w=20.0))
    answer = warm_up(worked(weak), _course(worked(weak)), SEA)
    assert answer is not None and answer.minutes is None and "may not get it there" in answer.why
    unsaid = replace(fed, place=Place(heating="other"))
    answer = warm_up(worked(unsaid), _course(worked(unsaid)), SEA)
    assert answer is not None and answer.minutes is None and "not given" in answer.why


def test_a_bath_cannot_warm_beyond_itself() -> None:
    """At 4 500 m (57.7 kPa) water boils at 84.7 °C (steam tables)."""
    high = around(Place(altitude_m=4500.0))
    hot = replace(DEMO, method=(MethodStep("melt", "fats", 84.0, 20.0), MethodStep("pour", "finish", 70.0, 5.0)))
    answer = warm_up(worked(hot), _course(worked(hot), high), high)
    assert answer is not None and answer.minutes is None and "does not bring it" in answer.why


def test_cooling_to_the_pour() -> None:
    one = worked(DEMO)
    found = heat_of(one, _course(one), SEA, None).cool_down
    assert found is not None and found.minutes is not None
    assert (found.from_c, found.to_c) == (77.0, 72.0)
    assert 0.0 < found.minutes.low < found.minutes.likely < found.minutes.high


def test_a_kettle_nobody_weighed_weighs_as_such_kettles_do() -> None:
    """A steel pot of 22 cm weighs about 1 kg (common practice, no source); steel holds 0.50 J/(g K)."""
    assert kettle_j_k(Kettle()) == pytest.approx(500.0, rel=0.1)
    assert kettle_j_k(Kettle(mass_g=2000.0)) == pytest.approx(1000.0)
    assert KETTLE_G_M2 == pytest.approx(0.76e-3 * 7.9e6, rel=0.01), "steel of 0.76 mm"
