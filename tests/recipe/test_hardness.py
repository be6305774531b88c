"""Water hardness: units against their definitions, lime soap and chelator by hand."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kettleglass.errors import Ambiguous, BadInput, KettleglassError, OutOfRange, UnknownName
from kettleglass.recipe.hardness import (
    CHELATORS,
    DEGREE_DH_MG_L,
    GRAIN_PER_UK_GALLON_MG_L,
    GRAIN_PER_US_GALLON_MG_L,
    calcium_mol,
    chelator_need,
    hardness_in_degrees,
    lime_soap_g,
    parse_hardness,
)


def test_factors_are_those_of_water_tables() -> None:
    """17.848 and 17.118 are the usual printed factors; Clark 14.254; 1 mmol/L = 5.608 °dH (from memory)."""
    assert DEGREE_DH_MG_L == pytest.approx(17.848, abs=1e-3)
    assert GRAIN_PER_US_GALLON_MG_L == pytest.approx(17.118, abs=1e-3)
    assert GRAIN_PER_UK_GALLON_MG_L == pytest.approx(14.254, abs=1e-3)
    assert hardness_in_degrees(parse_hardness("1 mmol/L"))["°dH"] == pytest.approx(5.608, abs=1e-3)


@pytest.mark.parametrize(("text", "hardness_mg_l"), [
    ("300 mg/L", 300.0), ("300mg/l", 300.0), ("300 mg/L CaCO3", 300.0), ("300 mg/L as CaCO3", 300.0),
    ("300 ppm", 300.0),
    ("17 °dH", 303.42), ("17 dH", 303.42), ("17 ºdH", 303.42), ("12 grains", 205.41), ("12 gpg", 205.41),
    ("12 grains per gallon", 205.41), ("12 grains per US gallon", 205.41), ("12 grains per UK gallon", 171.05),
    ("30 °fH", 300.0), ("20 °Clark", 285.08), ("3 mmol/L", 300.26), ("120 mg/L Ca", 299.67), ("0 mg/L", 0.0),
    ("16,8 °dH", 299.85),
])  # fmt: skip
def test_what_people_say(text: str, hardness_mg_l: float) -> None:
    assert parse_hardness(text) == pytest.approx(hardness_mg_l, abs=0.01)


@pytest.mark.parametrize("text", ["17", "17 °", " 17 degrees"])
def test_a_number_alone_is_asked_back(text: str) -> None:
    with pytest.raises(Ambiguous) as caught:
        parse_hardness(text)
    assert "17 °dH" in caught.value.choices
    for choice in caught.value.choices:
        assert parse_hardness(choice) > 0.0


@pytest.mark.parametrize("text", ["", "hard", "°dH", "17 °dX", "17 graisn", "mg/L 17", "\x00", "1" * 500 + " mg/L"])
def test_what_cannot_be_read_says_how_to_write_it(text: str) -> None:
    with pytest.raises(BadInput) as caught:
        parse_hardness(text)
    assert caught.value.remedy


def test_the_nearest_unit_is_offered() -> None:
    with pytest.raises(BadInput, match="Did you mean “grain”"):
        parse_hardness("12 graim")


def test_hardness_beyond_reason() -> None:
    with pytest.raises(OutOfRange):
        parse_hardness("900 °dH")
    with pytest.raises(OutOfRange):
        parse_hardness("-3 °dH")


@given(st.text(max_size=60))
def test_any_text_is_read_or_refused_with_advice(text: str) -> None:
    try:
        assert 0.0 <= parse_hardness(text) <= 5000.0
    except KettleglassError as error:
        assert error.remedy


def test_lime_soap_by_hand() -> None:
    """1 kg of water at 300 mg/L: 0.3005 g CaCO3 = 3.0028 mmol; calcium laurate 40.078 + 2 x 199.31 -> 1.317 g."""
    assert calcium_mol(1000.0, 300.0) == pytest.approx(3.0028e-3, rel=1e-4)
    assert lime_soap_g(1000.0, 300.0, 199.31) == pytest.approx(1.3173, abs=5e-4)


def test_edta_by_hand_and_against_its_trade_figure() -> None:
    """1.142 g for the same water; makers state about 100 mg CaCO3 per g of a 39 % solution (from memory)."""
    need = chelator_need(1000.0, 300.0)
    assert need.mass_g == pytest.approx(1.1416, abs=1e-3)
    assert need.as_acid_g is None
    assert need.findings[0].level == "note"
    assert 0.39 * CHELATORS["tetrasodium EDTA"].capacity_g_per_g == pytest.approx(0.100, abs=0.004)


def test_molar_masses_of_the_chelators() -> None:
    """CAS data sheets, from memory: Na4 EDTA 380.17, Na4 etidronate 293.96, Na3 citrate 258.07 g/mol."""
    masses = {name: chelator.molar_mass_g_mol for name, chelator in CHELATORS.items()}
    assert masses == pytest.approx(
        {"tetrasodium EDTA": 380.17, "tetrasodium etidronate": 293.96, "trisodium citrate": 258.07}, abs=0.02
    )


def test_etidronate_is_counted_as_the_acid_for_its_limit() -> None:
    need = chelator_need(1000.0, 300.0, "tetrasodium etidronate")
    assert need.as_acid_g == pytest.approx(need.mass_g * 206.03 / 293.96, rel=1e-4)
    assert "0.2 %" in need.findings[0].advice


def test_citrate_is_said_to_be_weaker() -> None:
    finding = chelator_need(1000.0, 300.0, "trisodium citrate").findings[0]
    assert finding.level == "caution"
    assert "weakly" in finding.advice


def test_soft_water_needs_nothing() -> None:
    assert lime_soap_g(500.0, 0.0, 250.0) == 0.0
    assert chelator_need(500.0, 0.0).mass_g == 0.0
    assert chelator_need(500.0, 0.0).findings == ()


def test_what_cannot_be() -> None:
    with pytest.raises(UnknownName, match="tetrasodium EDTA"):
        chelator_need(1.0, 1.0, "tetrasodium edta")  # type: ignore[arg-type]
    for call in (
        lambda: calcium_mol(-1.0, 1.0),
        lambda: calcium_mol(1.0, float("nan")),
        lambda: lime_soap_g(1.0, 1.0, 0.0),
    ):
        with pytest.raises(BadInput):
            call()


@given(st.floats(0.0, 1e5), st.floats(0.0, 5000.0), st.floats(0.1, 100.0))
def test_lime_soap_grows_with_the_water(water: float, hardness: float, times: float) -> None:
    assert lime_soap_g(times * water, hardness, 250.0) == pytest.approx(
        times * lime_soap_g(water, hardness, 250.0), rel=1e-9
    )
