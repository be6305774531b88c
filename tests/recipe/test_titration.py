"""Free alkali by titration: printed methods, hand-worked doses, and the laws of a dose."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kettleglass.errors import BadInput, OutOfRange, UnknownName, Unwelcome
from kettleglass.recipe.titration import (
    Titration,
    acid_mol_per_g,
    alkali_mol_per_g,
    alkali_of_factor,
    correction,
    factor_trap,
    refuse_triethanolamine,
    restated_percent,
    titrant_volume_ml,
)

NAOH = 39.997


def test_sni_1994_sample_as_printed_and_as_sodium_hydroxide() -> None:
    """SNI 06-3532-1994, reproduced copy: 25 g of soap, 1 N acid, 3.1 V/W. At its limit, 0.1 % NaOH, V is 0.625 mL."""
    titration = Titration(sample_g=25.0, volume_ml=0.625, normality=1.0)
    assert titration.free_alkali_percent("Na2O") == pytest.approx(3.1 * 0.625 / 25.0, rel=1e-3)
    assert titration.free_alkali_percent("NaOH") == pytest.approx(0.100, rel=1e-3)
    assert titration.free_alkali_percent("KOH") == pytest.approx(0.140, rel=3e-3)  # the limit it prints for KOH


def test_simmons_and_appleton_1908_factor() -> None:
    """Simmons and Appleton 1908: 2 g of soap, N/10 acid, 0.0031 g of Na2O for each mL."""
    titration = Titration(sample_g=2.0, volume_ml=1.0, normality=0.1)
    assert titration.free_alkali_percent("Na2O") == pytest.approx(100 * 0.0031 / 2.0, rel=1e-3)
    assert titration.free_alkali_percent() == pytest.approx(0.2, rel=1e-3)


def test_the_blank_is_taken_off() -> None:
    assert Titration(10.0, 0.7, 0.5, blank_ml=0.2).free_alkali_percent() == pytest.approx(
        Titration(10.0, 0.5, 0.5).free_alkali_percent()
    )


def test_acidity_is_negative_alkali_and_can_be_stated_as_oleic_acid() -> None:
    """By hand: 0.35 mL of 0.1 mol/L on 1 g is 0.035 mmol/g; x 282.47 = 0.989 % oleic acid, x 39.997 = 0.140 % NaOH."""
    titration = Titration(1.0, 0.35, 0.1, titrant="alkali")
    assert titration.free_acid_percent(282.47) == pytest.approx(0.98865, abs=1e-4)
    assert titration.free_alkali_percent() == pytest.approx(-0.13999, abs=1e-4)
    assert Titration(1.0, 0.35, 0.1).free_acid_percent(282.47) == 0.0


@pytest.mark.parametrize(("factor", "name"), [
    (3.1, "Na2O"), (0.0031, "Na2O"), (31.0, "Na2O"), (4.0, "NaOH"), (0.04, "NaOH"), (5.6, "KOH"), (56.1, "KOH"),
])  # fmt: skip
def test_a_printed_factor_says_what_it_counts(factor: float, name: str) -> None:
    assert alkali_of_factor(factor) == name


def test_the_factor_trap_is_named_with_the_right_value() -> None:
    finding = factor_trap(0.31, "Na2O")
    assert finding is not None
    assert finding.level == "caution"
    assert "0.4 % as NaOH" in finding.text
    assert "SNI 06-3532-1994" in finding.source
    assert "Simmons" in finding.source
    assert factor_trap(0.31, "NaOH") is None
    assert restated_percent(1.0, "Na2O") == pytest.approx(1.29, abs=0.002)


def test_odd_factors_and_names_are_refused_with_advice() -> None:
    with pytest.raises(BadInput, match=r"3\.1 for Na2O"):
        alkali_of_factor(7.7)
    with pytest.raises(BadInput):
        alkali_of_factor(0.0)
    with pytest.raises(UnknownName, match="NaOH"):
        restated_percent(1.0, "NaOh")  # type: ignore[arg-type]


def test_triethanolamine_is_refused_and_the_way_out_is_told() -> None:
    for species in ("triethanolamine", "triethanolammonium"):
        with pytest.raises(Unwelcome, match="before the triethanolamine goes in"):
            refuse_triethanolamine({"water": 0.9, species: 0.1})
    with pytest.raises(Unwelcome):
        Titration(2.0, 1.0, 0.1).free_alkali_percent(composition={"triethanolamine": 1.0})
    assert Titration(2.0, 1.0, 0.1).free_alkali_percent(composition={"water": 1.0}) > 0.0


@pytest.mark.parametrize("values", [
    {"sample_g": 0.0, "volume_ml": 1.0, "normality": 0.1}, {"sample_g": 2.0, "volume_ml": -1.0, "normality": 0.1},
    {"sample_g": 2.0, "volume_ml": 1.0, "normality": 0.0},
    {"sample_g": float("nan"), "volume_ml": 1.0, "normality": 0.1},
    {"sample_g": 2.0, "volume_ml": 1.0, "normality": 0.1, "blank_ml": 1.5},
    {"sample_g": 2.0, "volume_ml": float("inf"), "normality": 0.1},
])  # fmt: skip
def test_titrations_that_cannot_be(values: dict[str, float]) -> None:
    with pytest.raises(BadInput) as caught:
        Titration(**values)  # type: ignore[arg-type]
    assert caught.value.remedy


def test_unknown_titrant() -> None:
    with pytest.raises(UnknownName):
        Titration(1.0, 1.0, 1.0, titrant="acids")  # type: ignore[arg-type]


@given(st.floats(0.001, 20.0), st.floats(0.1, 100.0), st.floats(0.01, 2.0), st.floats(0.0, 1.0))
def test_the_volume_expected_gives_the_alkali_back(
    percent: float, sample: float, normality: float, blank: float
) -> None:
    volume = titrant_volume_ml(percent, sample, normality, blank)
    assert Titration(sample, volume, normality, blank).free_alkali_percent() == pytest.approx(percent, rel=1e-9)
    acid = Titration(sample, titrant_volume_ml(-percent, sample, normality), normality, titrant="alkali")
    assert acid.free_alkali_percent() == pytest.approx(-percent, rel=1e-9)


def test_strength_of_what_is_added() -> None:
    """Stearic acid 1/284.48 = 3.515 mmol/g; citric acid 3/192.12 = 15.61; a 50 % NaOH lye 12.50 mmol/g."""
    assert acid_mol_per_g({"acid.18:0": 1.0}) == pytest.approx(3.515e-3, rel=1e-3)
    assert acid_mol_per_g({"citric_acid": 1.0}) == pytest.approx(15.615e-3, rel=1e-3)
    assert acid_mol_per_g({"acid.18:0": 0.99, "acid.residue": 0.01}) == pytest.approx(0.99 * 3.515e-3, rel=1e-3)
    hydroxide = 0.5 * 17.007 / NAOH
    assert alkali_mol_per_g({"hydroxide": hydroxide, "water": 0.5}) == pytest.approx(12.50e-3, rel=1e-3)
    assert acid_mol_per_g({"hydroxide": hydroxide}) == pytest.approx(-12.50e-3, rel=1e-3)


def test_fatty_acid_for_a_pot_with_free_alkali_by_hand() -> None:
    """1000 g with 0.10 % NaOH: 1.000 g / 39.997 = 25.002 mmol; stearic acid 284.48 g/mol -> 7.113 g, weighed 7 g.

    7 g take 24.606 mmol; 0.396 mmol x 39.997 = 0.01582 g in 1007 g = 0.00157 % is left.
    """
    dose = correction(1000.0, 0.10, acid_mol_per_g=1 / 284.484, lye_mol_per_g=0.0125, step_g=1.0)
    assert (dose.kind, dose.mass_g) == ("fatty acid", 7.0)
    assert dose.exact_g == pytest.approx(7.1126, abs=1e-3)
    assert dose.left_percent == pytest.approx(0.00157, abs=2e-5)
    assert [finding.code for finding in dose.findings] == ["titrate-again"]


def test_lye_for_a_pot_with_free_acid_by_hand() -> None:
    """800 g with -0.25 % NaOH: 2.000 g = 50.004 mmol; a lye of 12.5 mmol/g -> 4.0003 g, on a 0.1 g scale 4.0 g."""
    dose = correction(800.0, -0.25, acid_mol_per_g=1 / 284.48, lye_mol_per_g=0.0125, step_g=0.1)
    assert dose.kind == "lye"
    assert dose.mass_g == pytest.approx(4.0)
    assert dose.exact_g == pytest.approx(4.0003, abs=1e-4)
    assert dose.findings[0].level == "danger"
    assert "cold water" in dose.findings[0].advice


def test_a_dose_below_the_step_is_nothing_to_weigh() -> None:
    dose = correction(100.0, 0.01, acid_mol_per_g=0.0035, lye_mol_per_g=0.0125, step_g=1.0)
    assert dose.mass_g == 0.0
    assert dose.left_percent == pytest.approx(0.01)
    assert dose.findings[0].code == "dose-below-step"
    assert correction(100.0, 0.0, acid_mol_per_g=0.0035, lye_mol_per_g=0.0125, step_g=1.0).kind == "nothing"


def test_a_step_of_a_tenth_is_not_lost_to_binary_rounding() -> None:
    """0.3 g on a 0.1 g scale is three steps, although 0.3 / 0.1 is 2.9999999999999996 in floating point."""
    acid = 0.01 * 1000.0 / 100.0 / 39.99677 / 0.3
    dose = correction(1000.0, 0.01, acid_mol_per_g=acid, lye_mol_per_g=0.01, step_g=0.1)
    assert dose.mass_g == pytest.approx(0.3)


@pytest.mark.parametrize("values", [
    {"pot_g": 0.0}, {"step_g": 0.0}, {"acid_mol_per_g": 0.0}, {"acid_mol_per_g": float("nan")}, {"pot_g": float("inf")},
])  # fmt: skip
def test_corrections_that_cannot_be(values: dict[str, float]) -> None:
    asked = {"pot_g": 100.0, "acid_mol_per_g": 0.003, "lye_mol_per_g": 0.01, "step_g": 1.0} | values
    with pytest.raises(BadInput):
        correction(asked.pop("pot_g"), 0.5, **asked)


def test_a_percentage_that_is_surely_a_slip() -> None:
    with pytest.raises(OutOfRange, match="Check the titration"):
        correction(100.0, 31.0, acid_mol_per_g=0.003, lye_mol_per_g=0.01, step_g=1.0)
    with pytest.raises(BadInput, match="cannot bring"):
        correction(100.0, 0.0, acid_mol_per_g=0.003, lye_mol_per_g=0.001, step_g=1.0, target_percent=5.0)


@settings(max_examples=300)
@given(
    st.floats(1.0, 1e5), st.floats(-3.0, 3.0), st.floats(-0.5, 0.5), st.sampled_from([0.01, 0.1, 0.5, 1.0, 3.54369]),
    st.floats(1e-3, 1.6e-2), st.floats(5e-3, 2.4e-2),
)  # fmt: skip
def test_a_dose_never_overshoots_and_misses_by_less_than_a_step(
    pot: float, measured: float, target: float, step: float, acid: float, lye: float
) -> None:
    dose = correction(pot, measured, acid_mol_per_g=acid, lye_mol_per_g=lye, step_g=step, target_percent=target)
    side = 1.0 if measured > target else -1.0
    assert side * (dose.left_percent - target) >= -1e-9
    assert dose.mass_g <= dose.exact_g * (1 + 1e-12) + 1e-9 * step
    assert dose.exact_g - dose.mass_g < step
    assert dose.mass_g / step == pytest.approx(round(dose.mass_g / step), abs=1e-6)


@given(st.floats(1.0, 1e4), st.floats(0.03, 2.0))
def test_the_exact_dose_reaches_the_target(pot: float, measured: float) -> None:
    """Checked by balance: alkali left over after the dose, over the grown pot."""
    dose = correction(pot, measured, acid_mol_per_g=0.0036, lye_mol_per_g=0.01, step_g=1.0, target_percent=0.02)
    left_g = measured / 100 * pot - dose.exact_g * 0.0036 * 39.99677
    assert 100 * left_g / (pot + dose.exact_g) == pytest.approx(0.02, abs=1e-9)
