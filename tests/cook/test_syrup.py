"""Syrup: what to take, when it is done, how much of it to use, and entries that cannot be."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kettleglass.cook.around import around
from kettleglass.cook.syrup import boil_down_minutes, syrup_made, syrup_of, syrup_to_make
from kettleglass.errors import BadInput, OutOfRange
from kettleglass.recipe.place import Place
from kettleglass.recipe.work import work_out
from tests.goods import DEMO, find, line

SUGAR_WORKS = [(60.0, 3.0), (65.0, 3.8), (70.0, 5.1), (75.0, 7.0), (80.0, 9.4)]
"""Boiling point elevation in K by °Brix, tables of sugar works as in Hugot, Cane Sugar Handbook (recalled)."""


@pytest.mark.parametrize(("brix", "elevation_k"), SUGAR_WORKS)
def test_it_is_done_where_the_tables_of_sugar_works_say(brix: float, elevation_k: float) -> None:
    assert syrup_to_make(500.0, brix).boils_c == pytest.approx(100.0 + elevation_k, abs=0.35)


def test_two_to_one_crystallises_just_below_the_room() -> None:
    """Antokolskaya 1964: 67.1 % of sucrose saturate at 20 °C; 60 °Brix stays clear in any room."""
    found = syrup_to_make(500.0, 200.0 / 3.0).crystals_below_c
    assert found == pytest.approx(20.0, abs=2.0)
    assert syrup_to_make(500.0, 60.0).crystals_below_c is None


def test_a_syrup_by_hand() -> None:
    """165 g at 2:1 with 10 g left on the pan: 116.7 g of sugar, up to 117; the syrup then weighs 117 * 1.5 g."""
    made = syrup_to_make(165.0, 200.0 / 3.0, sugar_per_water=1.0, loss_g=10.0, tare_g=412.0)
    assert (made.sugar_g, made.water_g) == (117.0, 117.0)
    assert made.cooked_g == pytest.approx(175.5)
    assert made.boil_off_g == pytest.approx(58.5)
    assert made.pan_shows_g == pytest.approx(587.5)
    assert made.surplus_g == pytest.approx(10.5)
    assert boil_down_minutes(made, 500.0) == pytest.approx(58.5 * 2257.0 / 500.0 / 60.0), "IAPWS: 2257 J/g at 100 °C"
    assert boil_down_minutes(made, None) is None


@given(
    st.floats(20.0, 5000.0), st.floats(10.0, 85.0), st.none() | st.floats(0.2, 5.0), st.none() | st.floats(0.0, 100.0)
)
def test_what_is_taken_less_what_boils_off_is_what_is_cooked(
    wanted: float, brix: float, ratio: float | None, loss: float | None
) -> None:
    made = syrup_to_make(wanted, brix, sugar_per_water=ratio, loss_g=loss, step_g=0.1)
    left = made.sugar_g + made.water_g - made.boil_off_g
    assert left == pytest.approx(made.cooked_g, abs=0.11)
    assert made.cooked_g - made.surplus_g == pytest.approx(wanted)
    assert made.surplus_g >= (0.0 if loss is None else loss) - 1e-6
    assert made.starts_c <= made.boils_c + 1e-6
    as_planned = syrup_made(made, tare_g=100.0, now_g=100.0 + made.cooked_g, step_g=0.1)
    assert as_planned.use_g == pytest.approx(wanted)
    assert as_planned.water_more_g == pytest.approx(0.0, abs=1e-6)


def test_higher_up_it_boils_cooler() -> None:
    """At 1600 m water boils near 94.7 °C (steam tables at 83.5 kPa)."""
    low, high = (syrup_to_make(100.0, 67.0, pressure_pa=pressure).boils_c for pressure in (83_500.0, 101_325.0))
    assert high - low == pytest.approx(5.3, abs=0.4)


def test_a_start_that_is_stronger_than_the_end_is_said() -> None:
    made = syrup_to_make(165.0, 60.0, sugar_per_water=2.0)
    assert [one.code for one in made.findings] == ["syrup-starts-too-strong"]
    assert made.boil_off_g < 1.0


def test_weights_and_brix_say_how_much_to_use() -> None:
    made = syrup_to_make(165.0, 200.0 / 3.0, sugar_per_water=1.0, loss_g=10.0)
    boiled_too_far = syrup_made(made, before_g=646.0, now_g=646.0 - 71.0)
    assert boiled_too_far.syrup_g == pytest.approx(163.0)
    assert boiled_too_far.use_g == pytest.approx(110.0 * 163.0 / 117.0)
    assert boiled_too_far.water_more_g == pytest.approx(boiled_too_far.use_g - 165.0)
    assert boiled_too_far.findings == ()
    read = syrup_made(made, brix=60.0)
    assert read.use_g == pytest.approx(110.0 / 0.6)
    assert read.water_more_g == pytest.approx(110.0 / 0.6 - 165.0)


def test_a_reading_goes_before_weights_that_contradict_it() -> None:
    made = syrup_to_make(165.0, 200.0 / 3.0, sugar_per_water=1.0, loss_g=10.0)
    both = syrup_made(made, tare_g=400.0, now_g=575.5, brix=60.0)
    assert both.brix == pytest.approx(60.0)
    assert [one.code for one in both.findings] == ["syrup-disagrees"]


@pytest.mark.parametrize(
    ("entry", "code"),
    [
        ({"before_g": 600.0, "now_g": 640.0}, "syrup-gained"),
        ({"before_g": 600.0, "now_g": 400.0}, "syrup-lost-too-much"),
        ({"tare_g": 400.0, "now_g": 410.0}, "syrup-lost-too-much"),
        ({"tare_g": 400.0, "now_g": float("nan")}, "weight-odd"),
        ({"brix": 667.0}, "brix-odd"),
        ({"brix": -1.0}, "brix-odd"),
    ],
)
def test_what_cannot_be_is_said_and_nothing_is_worked_out_of_it(entry: dict[str, float], code: str) -> None:
    made = syrup_to_make(165.0, 200.0 / 3.0)
    found = syrup_made(made, **entry)
    assert [one.code for one in found.findings] == [code]
    assert (found.use_g, found.brix, found.water_more_g) == (None, None, None)
    assert "kept" not in found.findings[0].text  # it says what is wrong, not what becomes of it


def test_too_little_left_after_straining_is_said() -> None:
    made = syrup_to_make(165.0, 200.0 / 3.0)
    assert [one.code for one in syrup_made(made, brix=66.7, strained_g=150.0).findings] == ["syrup-short"]
    assert [one.code for one in syrup_made(made, brix=50.0).findings] == ["syrup-weaker-than-begun"]
    assert [one.code for one in syrup_made(made, brix=90.0).findings] == ["syrup-too-strong"]


@pytest.mark.parametrize("brix", [9.0, 86.0, float("nan")])
def test_a_strength_out_of_range_is_refused(brix: float) -> None:
    with pytest.raises(OutOfRange, match="strength of the syrup"):
        syrup_to_make(100.0, brix)


def test_masses_that_are_none_are_refused() -> None:
    with pytest.raises(BadInput, match="syrup wanted"):
        syrup_to_make(0.0, 60.0)
    with pytest.raises(BadInput, match="empty pan"):
        syrup_to_make(100.0, 60.0, tare_g=-1.0)
    with pytest.raises(BadInput, match="Sugar to water"):
        syrup_to_make(100.0, 60.0, sugar_per_water=0.0)
    with pytest.raises(BadInput, match="nothing to go by"):
        syrup_made(syrup_to_make(100.0, 60.0), now_g=500.0)


def test_the_syrup_of_a_recipe() -> None:
    air = around(Place())
    made = syrup_of(work_out(DEMO, find), air)
    assert made is not None
    assert made.wanted_g == pytest.approx(165.0)
    assert made.brix == pytest.approx(66.67, abs=0.01)
    dry = replace(DEMO, lines=tuple(one for one in DEMO.lines if one.stage != "syrup"))
    assert syrup_of(work_out(dry, find), air) is None
    thin = replace(dry, lines=(*dry.lines, line("syrup", 1.0, "syrup"), line("water/more", 90.0, "syrup")))
    assert syrup_of(work_out(thin, find), air) is None, "a syrup below 10 °Brix is no syrup"
