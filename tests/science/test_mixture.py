"""Laws of the mixtures: back and forth, always rising or falling, arrays as floats, refusals."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kettleglass.errors import BadInput, OutOfRange
from kettleglass.science import mixture

fractions = st.floats(0.0, 1.0)

TWO_WAYS = {
    "ethanol %vol": (mixture.abv_from_ethanol_mass_fraction, mixture.ethanol_mass_fraction_from_abv, 1.0),
    "ethanol US proof": (
        mixture.us_proof_from_ethanol_mass_fraction, mixture.ethanol_mass_fraction_from_us_proof, 1.0),
    "ethanol UK proof": (
        mixture.uk_proof_from_ethanol_mass_fraction, mixture.ethanol_mass_fraction_from_uk_proof, 1.0),
    "propan-2-ol %vol": (
        mixture.propan_2_ol_volume_fraction_from_mass_fraction,
        mixture.propan_2_ol_mass_fraction_from_volume_fraction, 1.0),
    "syrup index": (
        mixture.sucrose_water_refractive_index, mixture.sucrose_mass_fraction_from_refractive_index, 0.85),
}  # fmt: skip

DENSITIES: dict[str, tuple[Callable[..., Any], float, tuple[float, float], int]] = {
    "ethanol": (mixture.ethanol_water_density_kg_m3, 1.0, (-20.0, 40.0), -1),
    "propan-2-ol": (mixture.propan_2_ol_water_density_kg_m3, 1.0, (15.0, 30.0), -1),
    "sucrose": (mixture.sucrose_water_density_kg_m3, 0.85, (0.0, 100.0), 1),
    "glycerol": (mixture.glycerol_water_density_kg_m3, 1.0, (15.0, 80.0), 1),
    "glycerol viscosity": (mixture.glycerol_water_viscosity_mpa_s, 1.0, (0.0, 100.0), 1),
}


@pytest.mark.parametrize("name", TWO_WAYS)
@given(share=fractions)
def test_there_and_back(name: str, share: float) -> None:
    there, back, most = TWO_WAYS[name]
    w = share * most
    assert back(there(w)) == pytest.approx(w, abs=1e-10)


@pytest.mark.parametrize("name", TWO_WAYS)
def test_both_ends_come_back_exactly(name: str) -> None:
    there, back, most = TWO_WAYS[name]
    assert back(there(0.0)) == pytest.approx(0.0, abs=1e-12)
    assert back(there(most)) == pytest.approx(most, abs=1e-11)


@given(share=fractions, temperature_c=st.floats(0.0, 100.0))
def test_a_hydrometer_gives_the_brix_back(share: float, temperature_c: float) -> None:
    w = 0.85 * share
    density = mixture.sucrose_water_density_kg_m3(w, temperature_c)
    assert mixture.sucrose_mass_fraction_from_density(density, temperature_c) == pytest.approx(w, abs=1e-10)


@given(temperature_c=st.floats(0.0, 100.0))
def test_a_saturated_syrup_gives_its_temperature_back(temperature_c: float) -> None:
    w = mixture.sucrose_solubility_mass_fraction(temperature_c)
    assert mixture.sucrose_saturation_temperature_c(w) == pytest.approx(temperature_c, abs=1e-7)


@pytest.mark.parametrize("name", [*TWO_WAYS])
@given(pair=st.tuples(fractions, fractions))
def test_more_is_always_stronger(name: str, pair: tuple[float, float]) -> None:
    there, _, most = TWO_WAYS[name]
    low, high = sorted(w * most for w in pair)
    assert there(low) < there(high) or high - low < 1e-9


@pytest.mark.parametrize("name", DENSITIES)
@given(pair=st.tuples(fractions, fractions), at=fractions)
def test_density_and_viscosity_never_turn_round(name: str, pair: tuple[float, float], at: float) -> None:
    function, most, (cold, hot), direction = DENSITIES[name]
    low, high = sorted(w * most for w in pair)
    t = cold + at * (hot - cold)
    assert direction * (function(high, t) - function(low, t)) > 0.0 or high - low < 1e-6


@pytest.mark.parametrize("name", DENSITIES)
@given(shares=st.lists(fractions, min_size=1, max_size=5), at=st.lists(fractions, min_size=5, max_size=5))
def test_an_array_is_as_many_floats(name: str, shares: list[float], at: list[float]) -> None:
    function, most, (cold, hot), _ = DENSITIES[name]
    w = most * np.array(shares)
    t = cold + (hot - cold) * np.array(at[: len(shares)])
    together = function(w, t)
    assert isinstance(together, np.ndarray)
    assert together.shape == w.shape
    one_by_one = [function(float(a), float(b)) for a, b in zip(w, t, strict=True)]
    assert all(type(value) is float for value in one_by_one)
    np.testing.assert_allclose(together, one_by_one, rtol=1e-11)
    np.testing.assert_allclose(function(float(w[0]), t), [function(float(w[0]), float(b)) for b in t], rtol=1e-11)


@pytest.mark.parametrize("name", TWO_WAYS)
def test_strengths_take_arrays_of_any_shape(name: str) -> None:
    there, back, most = TWO_WAYS[name]
    w = most * np.array([[0.0, 0.1, 0.35], [0.7, 0.924, 1.0]])
    there_w, back_w = there(w), back(there(w))
    assert there_w.shape == back_w.shape == w.shape
    np.testing.assert_allclose(back_w, w, atol=1e-10)
    assert isinstance(there(0.5 * most), float)
    assert isinstance(back(there(0.5 * most)), float)


@pytest.mark.parametrize("name", DENSITIES)
@pytest.mark.parametrize("wrong", [float("nan"), -0.01, 1.01, float("inf")])
def test_impossible_fractions_are_refused(name: str, wrong: float) -> None:
    function, _, (cold, _), _ = DENSITIES[name]
    with pytest.raises(OutOfRange, match="mass fraction") as refused:
        function(wrong, cold)
    assert isinstance(refused.value, ValueError)
    with pytest.raises(OutOfRange):
        function(np.array([0.1, wrong]), cold)


@pytest.mark.parametrize("name", DENSITIES)
def test_temperatures_outside_the_source_are_refused(name: str) -> None:
    function, _, (cold, hot), _ = DENSITIES[name]
    for t in (cold - 0.5, hot + 0.5, float("nan")):
        with pytest.raises(OutOfRange, match="temperature") as refused:
            function(0.5, t)
        assert (refused.value.low, refused.value.high) == (cold, hot)
        assert refused.value.source


@pytest.mark.parametrize("name", TWO_WAYS)
def test_impossible_strengths_are_refused(name: str) -> None:
    there, back, most = TWO_WAYS[name]
    for wrong in (float("nan"), there(0.0) - 0.01, there(most) + 0.01):
        with pytest.raises(OutOfRange):
            back(wrong)


def test_a_word_is_no_number() -> None:
    with pytest.raises(BadInput, match="has to be a number"):
        mixture.abv_from_ethanol_mass_fraction("strong")  # type: ignore[type-var]


def test_us_proof_is_a_little_more_alcohol_at_20_c() -> None:
    """The same spirit reads 0.01 to 0.07 %vol higher at 20 °C than half its US proof (27 CFR 30.66, OIML R 22)."""
    proof = np.linspace(10.0, 190.0, 37)
    more = (
        100.0 * mixture.abv_from_ethanol_mass_fraction(mixture.ethanol_mass_fraction_from_us_proof(proof)) - proof / 2
    )
    assert more.min() > 0.005
    assert more.max() < 0.075


def test_british_proof_spirit_weighs_twelve_thirteenths_of_water_at_51_f() -> None:
    t = (51.0 - 32.0) / 1.8
    w = mixture.ethanol_mass_fraction_from_uk_proof(100.0)
    ratio = mixture.ethanol_water_density_kg_m3(w, t) / mixture.ethanol_water_density_kg_m3(0.0, t)
    assert ratio == pytest.approx(12.0 / 13.0, rel=1e-9)


def test_mixing_alcohol_and_water_contracts() -> None:
    w = np.linspace(0.01, 0.99, 99)
    for density in (mixture.ethanol_water_density_kg_m3, mixture.propan_2_ol_water_density_kg_m3):
        ideal = 1.0 / (w / density(1.0, 20.0) + (1.0 - w) / density(0.0, 20.0))
        assert np.all(density(w, 20.0) > ideal)


def test_the_temperature_of_a_syrup_that_never_crystallises_is_refused() -> None:
    with pytest.raises(OutOfRange):
        mixture.sucrose_saturation_temperature_c(0.5)


def test_the_density_of_no_syrup_is_refused() -> None:
    with pytest.raises(OutOfRange, match="density of the syrup"):
        mixture.sucrose_mass_fraction_from_density(900.0)
