"""Warming, cooling and mixing: heat capacities from handbooks, and the laws of heat."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kettleglass.errors import BadInput, OutOfRange, UnknownName
from kettleglass.science.basis import Array, Basis, basis_for
from kettleglass.science.heat.warming import (
    FREE_AIR_W_M2_K,
    METAL_J_G_K,
    Band,
    bath_minutes,
    cooling_minutes,
    heat_capacity_j_k,
    loss_w_k,
    mixed_temperature_c,
    pot_area_m2,
    specific_heat_j_g_k,
    temperature_after_c,
    vessel_j_k,
    warming_minutes,
    wetted_area_m2,
)
from kettleglass.science.species import ATOMIC_WEIGHT
from tests.strategies import many_pots, pots

Case = tuple[Basis, Array]
capacities = st.floats(100.0, 1e5)
temperatures = st.floats(0.0, 110.0)


@pytest.mark.parametrize(
    ("species_id", "temperature_c", "kj_kg_k"),
    [
        # Zabransky et al. recommended splines, reference equations (IAPWS-95), evaluated with chemicals 1.5.2
        ("water", 20.0, 4.184), ("water", 60.0, 4.185), ("water", 80.0, 4.197), ("ethanol", 25.0, 2.434),
        ("ethanol", 80.0, 2.948), ("propan_2_ol", 25.0, 2.582), ("propan_2_ol", 60.0, 3.069),
        ("methanol", 60.0, 2.788), ("glycerol", 25.0, 2.372), ("glycerol", 80.0, 2.657),
        ("propylene_glycol", 25.0, 2.498), ("propylene_glycol", 60.0, 2.712), ("triethanolamine", 25.0, 2.430),
        # Choi & Okos 1986 (memory); fats in handbooks 2.0 to 2.2 kJ/(kg K)
        ("fat", 40.0, 2.035), ("acyl.18:1n-9", 60.0, 2.055),
    ],
)  # fmt: skip
def test_published_heat_capacities(species_id: str, temperature_c: float, kj_kg_k: float) -> None:
    assert specific_heat_j_g_k({species_id: 1.0}, temperature_c).likely == pytest.approx(kj_kg_k, abs=0.012)


def test_water_boils_no_hotter_in_the_parabola_than_in_the_tables() -> None:
    """IAPWS: 4.216 kJ/(kg K) at 100 °C, outside the three rows that the parabola goes through."""
    assert specific_heat_j_g_k({"water": 1.0}, 100.0).likely == pytest.approx(4.216, abs=0.01)


@pytest.mark.parametrize("percent", [10, 20, 30, 40])
def test_syrup_holds_what_honig_says(percent: int) -> None:
    """4.19 - 2.35 w kJ/(kg K): Honig, as in Coulson & Richardson, 6th ed., Ex. 14.4."""
    w = percent / 100.0
    found = specific_heat_j_g_k({"sucrose": w, "water": 1.0 - w}, 20.0).likely
    assert found == pytest.approx(4.19 - 2.35 * w, abs=0.01)


def test_lye_in_a_pot_holds_about_what_laliberte_says() -> None:
    """Laliberté 2009 at 60 °C: 3.60 kJ/(kg K) for NaOH of 30 %, 3.02 for KOH: within 2 and 8 %."""
    for cation, weight, published in (("sodium", ATOMIC_WEIGHT["Na"], 3.60), ("potassium", ATOMIC_WEIGHT["K"], 3.02)):
        part = weight / (weight + 17.007)
        shares = {"water": 0.7, cation: 0.3 * part, "hydroxide": 0.3 * (1.0 - part)}
        tolerance = 0.02 if cation == "sodium" else 0.08
        assert specific_heat_j_g_k(shares, 60.0).likely == pytest.approx(published, rel=tolerance)


def test_spirit_and_water_hold_more_together() -> None:
    """Handbooks give a mixture up to 7 % more than its parts apart (memory): the high end; the low end is the parts."""
    shares = {"water": 0.5, "ethanol": 0.5}
    band = specific_heat_j_g_k(shares, 60.0)
    apart = 0.5 * (4.185 + 2.744)
    assert band.low == pytest.approx(apart, rel=1e-3)
    assert band.high == pytest.approx(1.07 * apart, rel=1e-3)


def test_the_usual_pot_lies_within_its_band() -> None:
    pot = {"ethanol": 0.15, "water": 0.29, "glycerol": 0.15, "sucrose": 0.15, "soap": 0.26}
    band = specific_heat_j_g_k(pot)
    assert band.low < band.likely < band.high
    assert 2.8 < band.likely < 3.1


@given(pots(), st.floats(0.1, 5.0), st.floats(0.0, 120.0))
def test_heat_capacity_scales_with_the_pot(case: Case, factor: float, temperature_c: float) -> None:
    basis, pot = case
    one = float(heat_capacity_j_k(basis, pot, temperature_c))
    assert float(heat_capacity_j_k(basis, factor * pot, temperature_c)) == pytest.approx(factor * one, rel=1e-12)


@given(many_pots())
def test_many_pots_are_many_single_pots(case: Case) -> None:
    basis, array = case
    each = [float(heat_capacity_j_k(basis, array[:, column])) for column in range(array.shape[1])]
    np.testing.assert_allclose(heat_capacity_j_k(basis, array), each, rtol=1e-12)


def test_the_pot_and_the_fractions_agree() -> None:
    basis = basis_for(["18:1n-9"])
    pot = basis.vector({"water": 40.0, "glycerol": 20.0, "sucrose": 10.0, "soap.18:1n-9": 28.0, "sodium": 2.0})
    shares = {species_id: grams / 100.0 for species_id, grams in basis.as_dict(pot).items()}
    assert float(heat_capacity_j_k(basis, pot)) / 100.0 == pytest.approx(specific_heat_j_g_k(shares).likely, rel=1e-12)


@given(capacities, temperatures, capacities, temperatures)
def test_mixing_lies_between_and_keeps_the_heat(a: float, a_c: float, b: float, b_c: float) -> None:
    mixed = mixed_temperature_c(a, a_c, b, b_c)
    assert min(a_c, b_c) - 1e-9 <= mixed <= max(a_c, b_c) + 1e-9
    assert (a + b) * mixed == pytest.approx(a * a_c + b * b_c, rel=1e-9, abs=1e-6)


heaters = st.floats(50.0, 5000.0)


@given(capacities, heaters, st.floats(0.0, 5.0))
def test_more_power_warms_faster(capacity: float, power_w: float, loss: float) -> None:
    slow, fast = (warming_minutes(capacity, 20.0, 75.0, watts, loss_w_k=loss) for watts in (power_w, 1.2 * power_w))
    if slow is not None:
        assert fast is not None
        assert fast < slow
    assert (slow is None) == (power_w <= loss * 55.0)


@given(capacities, heaters, st.floats(0.01, 5.0), st.floats(15.0, 90.0))
def test_warming_time_and_temperature_are_inverse(capacity: float, power_w: float, loss: float, to_c: float) -> None:
    minutes = warming_minutes(capacity, 15.0, to_c, power_w, room_c=18.0, loss_w_k=loss)
    if minutes is not None:
        reached = temperature_after_c(capacity, 15.0, minutes, power_w=power_w, room_c=18.0, loss_w_k=loss)
        assert reached == pytest.approx(to_c, abs=1e-6)


@given(capacities, heaters, st.floats(0.0, 5.0), st.floats(1.0, 120.0))
def test_heat_in_is_heat_stored_and_heat_lost(capacity: float, power_w: float, loss: float, minutes: float) -> None:
    """The loss summed over small steps (Simpson's rule), apart from the exact solution."""

    def at(minute: float) -> float:
        return temperature_after_c(capacity, 25.0, minute, power_w=power_w, loss_w_k=loss)

    if loss * 60.0 * minutes > 20.0 * capacity:
        return
    times = np.linspace(0.0, minutes, 401)
    lost_w = np.array([loss * (at(float(minute)) - 20.0) for minute in times])
    weights = np.array([1.0, *([4.0, 2.0] * 199), 4.0, 1.0])
    lost_j = float(weights @ lost_w) * (minutes * 60.0 / 400.0) / 3.0
    stored_j = capacity * (at(minutes) - 25.0)
    assert stored_j + lost_j == pytest.approx(power_w * minutes * 60.0, rel=1e-5)


def test_a_kilogram_of_water_warms_as_a_kettle_does() -> None:
    """1 kg of water by 80 K with 2 kW and no loss: 334 kJ, 2.8 minutes (arithmetic with IAPWS heat capacity)."""
    assert warming_minutes(4184.0, 20.0, 100.0, 2000.0) == pytest.approx(2.79, abs=0.01)


def test_a_weak_heater_is_said_not_to_reach() -> None:
    assert warming_minutes(5000.0, 20.0, 80.0, 30.0, loss_w_k=1.0) is None
    assert warming_minutes(5000.0, 20.0, 80.0, 0.0) is None
    assert warming_minutes(5000.0, 80.0, 75.0, 0.0) == 0.0


@given(capacities, st.floats(20.0, 60.0), st.floats(1.0, 40.0))
def test_a_pot_comes_near_its_bath_but_never_reaches_it(capacity: float, from_c: float, hotter: float) -> None:
    bath_c = from_c + hotter
    assert bath_minutes(capacity, from_c, bath_c, bath_c, 0.1) is None
    assert bath_minutes(capacity, from_c, bath_c + 1.0, bath_c, 0.1) is None
    near, nearer = (bath_minutes(capacity, from_c, bath_c - short * hotter, bath_c, 0.1) for short in (0.1, 0.01))
    assert near is not None
    assert nearer is not None
    assert near.low < near.likely < near.high
    assert nearer.likely == pytest.approx(2.0 * near.likely, rel=1e-6)
    assert bath_minutes(capacity, bath_c, from_c, bath_c, 0.1) == (0.0, 0.0, 0.0)


@given(capacities, st.floats(30.0, 100.0), st.floats(0.01, 0.99), st.floats(0.01, 1.0))
def test_cooling_follows_newton(capacity: float, above_k: float, left: float, area_m2: float) -> None:
    """t = C / (h A) ln(start / end), both above the room."""
    found = cooling_minutes(capacity, 20.0 + above_k, 20.0 + left * above_k, 20.0, area_m2)
    assert found is not None
    for minutes, w_m2_k in zip(found, reversed(FREE_AIR_W_M2_K), strict=True):
        assert minutes == pytest.approx(capacity / (w_m2_k * area_m2) * math.log(1.0 / left) / 60.0, rel=1e-6)


def test_nothing_cools_below_its_room() -> None:
    assert cooling_minutes(3000.0, 70.0, 20.0, 20.0, 0.1) is None
    assert cooling_minutes(3000.0, 70.0, 15.0, 20.0, 0.1) is None
    assert cooling_minutes(3000.0, 60.0, 65.0, 20.0, 0.1) == (0.0, 0.0, 0.0)
    assert cooling_minutes(3000.0, 15.0, 10.0, 20.0, 0.1) is None


@given(st.floats(1.5, 50.0))
def test_a_larger_pot_of_the_same_shape_cools_slower(factor: float) -> None:
    """Volume grows faster than surface: time goes with the cube root of the mass."""
    side = factor ** (1.0 / 3.0)
    small, large = (
        cooling_minutes(3.0 * volume, 80.0, 60.0, 20.0, pot_area_m2(volume, diameter))
        for volume, diameter in ((500.0, 100.0), (500.0 * factor, 100.0 * side))
    )
    assert small is not None
    assert large is not None
    assert large.likely == pytest.approx(side * small.likely, rel=1e-9)


def test_ten_kilograms_cool_slower_than_five_hundred_grams() -> None:
    small = cooling_minutes(500.0 * 2.9, 80.0, 65.0, 20.0, pot_area_m2(480.0, 110.0))
    large = cooling_minutes(10_000.0 * 2.9, 80.0, 65.0, 20.0, pot_area_m2(9_600.0, 280.0))
    assert small is not None
    assert large is not None
    assert large.likely > 2.0 * small.likely


def test_surfaces_of_a_round_pot() -> None:
    """A litre in a kettle of 100 mm stands 127.3 mm high."""
    assert pot_area_m2(1000.0, 100.0) == pytest.approx(2 * math.pi * 0.05**2 + math.pi * 0.1 * 0.12732, rel=1e-4)
    assert pot_area_m2(1000.0, 100.0) - wetted_area_m2(1000.0, 100.0) == pytest.approx(math.pi * 0.05**2)
    assert loss_w_k(0.1) == pytest.approx((0.8, 1.1, 1.5))


def test_kettles() -> None:
    """Handbooks (memory): stainless steel 0.50, aluminium 0.90, glass 0.83 kJ/(kg K)."""
    assert vessel_j_k(1500.0) == pytest.approx(750.0)
    assert vessel_j_k(1000.0, "aluminium") == pytest.approx(900.0)
    assert vessel_j_k(0.0, "glass") == 0.0
    assert min(METAL_J_G_K.values()) > 0.4
    with pytest.raises(UnknownName, match="aluminium"):
        vessel_j_k(100.0, "aluminum")
    with pytest.raises(BadInput, match="kettle"):
        vessel_j_k(-1.0)


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(UnknownName, match="ethanol"):
        specific_heat_j_g_k({"ethanoll": 1.0})
    with pytest.raises(BadInput, match="shares"):
        specific_heat_j_g_k({"water": -1.0, "ethanol": 2.0})
    with pytest.raises(BadInput, match="shares"):
        specific_heat_j_g_k({})
    with pytest.raises(OutOfRange):
        specific_heat_j_g_k({"water": 1.0}, 150.0)
    with pytest.raises(BadInput, match="heat capacity"):
        warming_minutes(0.0, 20.0, 80.0, 500.0)
    with pytest.raises(BadInput, match="power"):
        warming_minutes(100.0, 20.0, 80.0, -5.0)
    with pytest.raises(BadInput, match="area"):
        cooling_minutes(100.0, 80.0, 60.0, 20.0, 0.0)
    with pytest.raises(BadInput, match="coefficient"):
        cooling_minutes(100.0, 80.0, 60.0, 20.0, 0.1, w_m2_k=Band(0.0, 1.0, 2.0))
    with pytest.raises(BadInput, match="time"):
        temperature_after_c(100.0, 20.0, -1.0)
    with pytest.raises(BadInput, match="both together"):
        mixed_temperature_c(0.0, 20.0, 0.0, 30.0)
    with pytest.raises(BadInput, match="diameter"):
        pot_area_m2(100.0, 0.0)
