"""The heat of lye against published rows, and its laws: heat in is heat stored, hotter with more alkali, and limits."""

from __future__ import annotations

import csv
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kettleglass.errors import BadInput, OutOfRange, UnknownName
from kettleglass.science.heat import lye
from kettleglass.science.heat.lye import lye_heat
from kettleglass.science.heat.warming import BATH_W_M2_K
from kettleglass.science.saponify import KOH_G_MOL, NAOH_G_MOL

Row = dict[str, str]
PUBLISHED = Path(__file__).parent.parent / "published" / "lye_heat.csv"
ADIABATIC = (0.0, 0.0, 0.0)


def rows() -> list[Row]:
    with PUBLISHED.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def fraction(row: Row) -> float:
    strength = float(row["strength"])
    if row["strength_unit"] == "mass%":
        return strength / 100.0
    alkali_g = strength * (NAOH_G_MOL if row["alkali"] == "naoh" else KOH_G_MOL)
    return alkali_g / (alkali_g + 1000.0)


def potassium(row: Row) -> float:
    return float(row["alkali"] == "koh")


def kept_back_kj_mol(row: Row) -> float:
    return (lye.heat_of_solution_j_mol(row["alkali"], fraction(row)) - lye.INFINITE_DILUTION_J_MOL[row["alkali"]]) / 1e3


QUANTITIES: dict[str, Callable[[Row], float]] = {
    "heat of solution": lambda row: lye.heat_of_solution_j_mol(row["alkali"], fraction(row)) / 1000.0,
    "heat kept back": lambda row: kept_back_kj_mol(row) / 0.004184,
    "heat kept back beyond 47 %": lambda row: (
        (lye.heat_of_solution_j_mol("naoh", fraction(row)) - lye.heat_of_solution_j_mol("naoh", 0.47)) / 1000.0
    ),
    "boiling point": lambda row: lye.lye_boiling_point_c(
        fraction(row), 1000.0 * float(row["pressure_kpa"]), potassium_mole_fraction=potassium(row)
    ),
    "first crystals": lambda row: lye.first_crystals_c(fraction(row), potassium(row)),
    "heat capacity": lambda row: lye.lye_specific_heat_j_g_k(fraction(row), potassium(row)),
    "saturation": lambda row: 100.0 * lye.saturated_fraction(potassium(row)),
}


@pytest.mark.parametrize("row", rows(), ids=lambda row: f"{row['quantity']} {row['alkali']} {row['strength']}")
def test_published_rows_of_lye(row: Row) -> None:
    assert QUANTITIES[row["quantity"]](row) == pytest.approx(float(row["value"]), abs=float(row["tolerance"])), row[
        "source"
    ]


def test_a_kilogram_of_33_percent_lye_releases_315_kj_and_warms_by_some_90_kelvin() -> None:
    """Heat from Parker 1965; the rise follows with a heat capacity of 3.5 to 3.6 J/(g K)."""
    mixed = lye_heat(330.0, 0.0, 670.0, lost_share=ADIABATIC)
    assert mixed.heat_kj.likely == pytest.approx(315.0, abs=2.0)
    assert mixed.reached_c.likely - 20.0 == pytest.approx(90.0, abs=4.0)
    assert not mixed.boils
    assert 5.0 < mixed.margin_k < 20.0


alkali_g = st.floats(1.0, 400.0)
SHARES = st.floats(0.0, 0.5)


@given(naoh_g=alkali_g, koh_g=alkali_g, more_water=st.floats(1.0, 10.0), start_c=st.floats(5.0, 40.0))
def test_heat_released_is_heat_stored_or_boiled_off(
    naoh_g: float, koh_g: float, more_water: float, start_c: float
) -> None:
    water_g = more_water * (naoh_g + koh_g)
    mixed = lye_heat(naoh_g, koh_g, water_g, start_c=start_c, vessel_j_k=300.0, lost_share=ADIABATIC)
    for heat, reached, steam in zip(mixed.heat_kj, mixed.reached_c, mixed.steam_g, strict=True):
        stored = (reached - start_c) * mixed.capacity_j_k + steam * lye.LATENT_J_G
        assert stored == pytest.approx(1000.0 * heat, rel=1e-9)
    assert mixed.reached_c.low <= mixed.reached_c.likely <= mixed.reached_c.high <= mixed.boils_at_c


@given(naoh_g=alkali_g, factor=st.floats(0.1, 20.0))
def test_a_larger_lye_without_vessel_gets_just_as_hot(naoh_g: float, factor: float) -> None:
    one = lye_heat(naoh_g, 0.0, 2.0 * naoh_g)
    more = lye_heat(factor * naoh_g, 0.0, 2.0 * factor * naoh_g)
    assert more.heat_kj.likely == pytest.approx(factor * one.heat_kj.likely, rel=1e-9)
    assert more.reached_c.likely == pytest.approx(one.reached_c.likely, rel=1e-9)


@given(lost=SHARES)
def test_what_goes_to_the_room_does_not_warm_the_lye(lost: float) -> None:
    kept, less = (lye_heat(200.0, 0.0, 600.0, lost_share=(0.0, part, 0.9)) for part in (0.0, lost))
    assert less.reached_c.likely <= kept.reached_c.likely


@given(strength=st.floats(0.0, 0.5), potassium_share=st.floats(0.0, 1.0), pressure_pa=st.floats(50e3, 110e3))
def test_lye_boils_hotter_with_alkali_and_with_pressure(
    strength: float, potassium_share: float, pressure_pa: float
) -> None:
    def boils_c(w: float, p: float) -> float:
        return lye.lye_boiling_point_c(w, p, potassium_mole_fraction=potassium_share)

    assert boils_c(strength + 0.01, pressure_pa) > boils_c(strength, pressure_pa) - 1e-6
    assert boils_c(strength, min(pressure_pa * 1.02, 110e3)) >= boils_c(strength, pressure_pa) - 1e-6


@pytest.mark.parametrize("potassium_share", [0.0, 1.0])
def test_lye_without_alkali_boils_like_water(potassium_share: float) -> None:
    assert lye.lye_boiling_point_c(0.0, potassium_mole_fraction=potassium_share) == pytest.approx(99.97, abs=0.1)


@pytest.mark.parametrize("alkali", lye.ALKALIS)
def test_stronger_lye_releases_less_for_each_mole(alkali: str) -> None:
    at = [lye.heat_of_solution_j_mol(alkali, w) for w in (0.15, 0.25, 0.35, 0.45, 0.52)]
    assert at == sorted(at)
    assert all(heat < 0.0 for heat in at)


def test_doubt_widens_where_published_rows_end() -> None:
    def width(alkali: str, w: float) -> float:
        band = lye.heat_of_solution_band_j_mol(alkali, w)
        assert band.low < band.likely < band.high
        return band.high - band.low

    assert width("naoh", 0.46) == width("naoh", 0.30) < width("naoh", 0.50) < width("naoh", 0.522)
    assert width("koh", 0.30) < width("koh", 0.50)
    assert width("naoh", 0.46) < width("koh", 0.46)


def test_potash_lye_of_half_strength_can_boil_and_says_how_much_water_that_takes() -> None:
    mixed = lye_heat(0.0, 500.0, 500.0, lost_share=ADIABATIC)
    assert mixed.boils
    assert mixed.may_boil
    assert mixed.reached_c.likely == mixed.boils_at_c
    assert mixed.margin_k == 0.0
    assert 0.0 < mixed.steam_g.likely < mixed.steam_g.high < 100.0


def test_a_thin_air_brings_lye_to_the_boil_sooner() -> None:
    sea, height = (lye_heat(330.0, 0.0, 670.0, pressure_pa=p) for p in (101_325.0, 70_000.0))
    assert height.boils_at_c < sea.boils_at_c - 8.0
    assert height.margin_k < sea.margin_k


def test_moist_flakes_release_less_than_dry_alkali() -> None:
    dry, moist = (lye_heat(0.0, 300.0, 600.0, bound_water_g=bound) for bound in (0.0, 33.0))
    assert moist.heat_kj.likely < dry.heat_kj.likely
    assert moist.heat_kj.high < dry.heat_kj.high


def test_crystals_come_back_warmer_than_a_cool_room_near_saturation() -> None:
    assert lye_heat(500.0, 0.0, 500.0).crystals_below_c == pytest.approx(14.0)
    assert lye_heat(0.0, 500.0, 500.0).crystals_below_c == pytest.approx(6.0)
    assert lye_heat(330.0, 0.0, 670.0).crystals_below_c == pytest.approx(8.0, abs=1.0)


def test_lye_cools_faster_in_cold_water_than_in_air_and_never_below_it() -> None:
    mixed = lye_heat(330.0, 0.0, 670.0, vessel_j_k=100.0)
    air = lye.lye_cooled_minutes(mixed, 35.0, room_c=20.0, area_m2=0.05)
    water = lye.lye_cooled_minutes(mixed, 35.0, room_c=15.0, area_m2=0.05, w_m2_k=BATH_W_M2_K)
    assert air is not None
    assert water is not None
    assert air.low < air.likely < air.high
    assert water.high < air.low
    assert lye.lye_cooled_minutes(mixed, 20.0, room_c=20.0, area_m2=0.05) is None


@pytest.mark.parametrize("share", [0.0, 0.5, 1.0])
def test_more_alkali_than_dissolves_is_refused(share: float) -> None:
    too_much = lye.saturated_fraction(share) + 0.005
    for call in (
        lambda: lye.first_crystals_c(too_much, share),
        lambda: lye.lye_boiling_point_c(too_much, potassium_mole_fraction=share),
    ):
        with pytest.raises(OutOfRange, match="add water"):
            call()
    with pytest.raises(OutOfRange):
        lye.heat_of_solution_j_mol("naoh", 0.53)
    with pytest.raises(OutOfRange):
        lye_heat(600.0, 0.0, 400.0)


def test_impossible_lyes_are_refused() -> None:
    with pytest.raises(BadInput, match="no alkali"):
        lye_heat(0.0, 0.0, 100.0)
    with pytest.raises(OutOfRange):
        lye_heat(100.0, 0.0, 0.0)
    with pytest.raises(BadInput, match="NaOH"):
        lye_heat(-1.0, 0.0, 100.0)
    with pytest.raises(BadInput, match="flakes"):
        lye_heat(0.0, 100.0, 100.0, bound_water_g=120.0)
    with pytest.raises(BadInput, match="least, likely, most"):
        lye_heat(100.0, 0.0, 300.0, lost_share=(0.3, 0.1, 0.0))
    with pytest.raises(OutOfRange):
        lye_heat(100.0, 0.0, 300.0, pressure_pa=20_000.0)
    with pytest.raises(OutOfRange):
        lye_heat(100.0, 0.0, 300.0, start_c=90.0)
    with pytest.raises(UnknownName, match="naoh"):
        lye.heat_of_solution_j_mol("NaOH", 0.3)
