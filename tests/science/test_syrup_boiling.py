"""Boiling syrup against sugar tables, there and back, and the sugar that never leaves the pot."""

from __future__ import annotations

import csv
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kettleglass.errors import BadInput, OutOfRange
from kettleglass.science.heat import syrup
from kettleglass.science.heat.steam import boiling_water_c, water_pressure_pa

Row = dict[str, str]
PUBLISHED = Path(__file__).parent.parent / "published" / "syrup_boiling.csv"


def rows() -> list[Row]:
    with PUBLISHED.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


QUANTITIES: dict[str, Callable[[Row], float]] = {
    "boiling elevation": lambda row: syrup.boiling_elevation_k(float(row["brix"])),
    "water activity": lambda row: syrup.water_activity(float(row["brix"]), float(row["temperature_c"])),
    "water pressure": lambda row: water_pressure_pa(float(row["temperature_c"])) / 1000.0,
}


@pytest.mark.parametrize(
    "row", rows(), ids=lambda row: f"{row['quantity']} {row['brix']}{row['temperature_c']} {row['known']}"
)
def test_published_rows_of_syrup(row: Row) -> None:
    assert QUANTITIES[row["quantity"]](row) == pytest.approx(float(row["value"]), abs=float(row["tolerance"])), row[
        "source"
    ]


def test_water_boils_where_the_steam_tables_say() -> None:
    """IAPWS: 99.974 °C at 101.325 kPa; 93.5 °C at 80 kPa and 81.3 at 50 (steam tables, memory)."""
    assert boiling_water_c() == pytest.approx(99.974, abs=0.003)
    assert boiling_water_c(80_000.0) == pytest.approx(93.49, abs=0.02)
    assert boiling_water_c(50_000.0) == pytest.approx(81.32, abs=0.02)
    assert syrup.syrup_boiling_c(0.0) == pytest.approx(boiling_water_c(), abs=1e-6)


pressures = st.floats(50e3, 110e3)


@given(st.floats(0.0, 89.0), pressures)
def test_stronger_syrup_boils_hotter(brix: float, pressure_pa: float) -> None:
    assert syrup.syrup_boiling_c(brix + 1.0, pressure_pa) > syrup.syrup_boiling_c(brix, pressure_pa)


@given(st.floats(0.0, 90.0), pressures)
def test_boiling_point_and_strength_are_inverse(brix: float, pressure_pa: float) -> None:
    boils_c = min(syrup.syrup_boiling_c(brix, pressure_pa), syrup.syrup_boiling_c(90.0, pressure_pa))
    found = syrup.brix_from_boiling_c(boils_c, pressure_pa, thermometer_k=0.5)
    assert found.likely == pytest.approx(brix, abs=1e-4)
    assert found.low <= found.likely <= found.high


def test_a_thermometer_says_little_of_a_thin_syrup() -> None:
    thin, thick = (syrup.brix_from_boiling_c(syrup.syrup_boiling_c(brix)) for brix in (60.0, 80.0))
    assert thin.high - thin.low > 8.0
    assert thick.high - thick.low < 5.0


def test_a_syrup_cannot_boil_below_water_nor_beyond_the_formula() -> None:
    assert syrup.brix_from_boiling_c(99.6).likely == pytest.approx(0.0, abs=1e-6)
    for wrong in (99.0, 130.0):
        with pytest.raises(OutOfRange):
            syrup.brix_from_boiling_c(wrong)
    with pytest.raises(OutOfRange):
        syrup.syrup_boiling_c(95.0)
    with pytest.raises(OutOfRange):
        syrup.syrup_boiling_c(60.0, 20_000.0)
    with pytest.raises(OutOfRange):
        water_pressure_pa(250.0)


@given(st.floats(1.0, 5000.0), st.floats(0.5, 10.0), st.floats(66.7, 90.0))
def test_only_water_leaves_and_boiling_in_two_goes_changes_nothing(sugar_g: float, thin: float, brix: float) -> None:
    water_g = thin * sugar_g
    left_g = syrup.boiled_down_g(sugar_g, water_g, brix)
    assert left_g + syrup.boiled_off_g(sugar_g, water_g, brix) == pytest.approx(sugar_g + water_g, rel=1e-12)
    assert syrup.brix_from_weight(sugar_g, left_g) == pytest.approx(brix, rel=1e-9)
    half = syrup.boiled_off_g(sugar_g, water_g, brix) / 2.0
    assert syrup.boiled_down_g(sugar_g, water_g - half, brix) == pytest.approx(left_g, rel=1e-9)


def test_two_to_one_is_two_thirds() -> None:
    assert syrup.brix_of(200.0, 100.0) == pytest.approx(66.667, abs=1e-3)
    assert syrup.boiled_down_g(200.0, 200.0, 66.667) == pytest.approx(300.0, abs=0.01)


def test_a_syrup_that_is_too_strong_already_says_how_much_water_to_add() -> None:
    with pytest.raises(BadInput, match="Add 100 g of water"):
        syrup.boiled_down_g(300.0, 100.0, 60.0)
    with pytest.raises(BadInput, match="cannot hold"):
        syrup.brix_from_weight(300.0, 290.0)
    with pytest.raises(OutOfRange):
        syrup.boiled_down_g(100.0, 100.0, 95.0)
    with pytest.raises(BadInput, match="sugar"):
        syrup.brix_of(0.0, 100.0)


@given(st.floats(0.0, 5000.0), st.floats(0.0, 50.0), st.floats(0.0, 0.5))
def test_what_is_made_covers_what_stays_behind(needed_g: float, left_g: float, share: float) -> None:
    made = syrup.syrup_to_make_g(needed_g, stays_behind_g=left_g, stays_behind_share=share)
    assert made * (1.0 - share) - left_g == pytest.approx(needed_g, abs=1e-6)
    with pytest.raises(BadInput, match="stay behind"):
        syrup.syrup_to_make_g(needed_g, stays_behind_share=1.0)
