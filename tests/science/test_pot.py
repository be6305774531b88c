"""Laws of the pot: mass, charge, one pot among many, the ledger, and what reacts with what."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kettleglass.errors import BadInput
from kettleglass.science import pot as pots_of
from kettleglass.science.basis import Array, Basis, basis_for
from kettleglass.science.pot import HYDROXIDE, ROW, WATER
from kettleglass.science.saponify import GLYCEROL_G_MOL, NAOH_G_MOL
from kettleglass.science.species import fatty_acid
from tests.strategies import ACIDS, many_pots, neutral_pot, pots

Case = tuple[Basis, Array]


@given(pots(), st.floats(0.0, 1.0))
def test_a_reaction_keeps_mass_and_charge(case: Case, completeness: float) -> None:
    basis, pot = case
    after = pots_of.react(basis, pot, completeness)
    assert after.sum() == pytest.approx(pot.sum(), rel=1e-12, abs=1e-9)
    assert float(pots_of.charge_balance_mol(basis, after)) == pytest.approx(0.0, abs=1e-10)
    assert after.min() >= -1e-9


@given(pots(amine=False))
def test_signed_free_alkali_does_not_change_as_it_reacts(case: Case) -> None:
    basis, pot = case
    before = pots_of.alkali_balance_mol(basis, pot) - pots_of.weak_acid_mol(pot)
    after = pots_of.react(basis, pot)
    left = pots_of.alkali_balance_mol(basis, after) - pots_of.weak_acid_mol(after)
    assert float(left) == pytest.approx(float(before), abs=1e-10)


@given(pots())
def test_reacting_twice_changes_nothing_more(case: Case) -> None:
    basis, pot = case
    once = pots_of.react(basis, pot)
    np.testing.assert_allclose(pots_of.react(basis, once), once, rtol=1e-9, atol=1e-9)


@given(many_pots())
def test_one_pot_is_one_column_of_many(case: Case) -> None:
    basis, many = case
    together = pots_of.react(basis, many)
    for column in range(many.shape[1]):
        alone = pots_of.react(basis, many[:, column])
        np.testing.assert_allclose(together[:, column], alone, rtol=1e-12, atol=1e-11)


@given(many_pots())
def test_a_ledger_sums_to_its_pot(case: Case) -> None:
    basis, ledger = case
    total = ledger.sum(axis=1)
    extents = pots_of.extents(basis, total)
    np.testing.assert_allclose(
        pots_of.apply(basis, ledger, extents).sum(axis=1), pots_of.apply(basis, total, extents), rtol=1e-11, atol=1e-10
    )


@given(pots(), st.floats(0.01, 100.0))
def test_twice_the_pot_gives_twice_the_product(case: Case, factor: float) -> None:
    basis, pot = case
    np.testing.assert_allclose(
        pots_of.react(basis, factor * pot), factor * pots_of.react(basis, pot), rtol=1e-10, atol=1e-9 * factor
    )


@given(pots(), st.floats(0.0, 1.0))
def test_splitting_and_pouring_together_loses_nothing(case: Case, fraction: float) -> None:
    _, pot = case
    np.testing.assert_allclose(pots_of.mix(*pots_of.split(pot, fraction)), pot, rtol=1e-12, atol=1e-12)


def test_one_mole_of_tristearin_takes_three_of_soda() -> None:
    """3 NaOH + tristearin -> 3 sodium stearate + glycerol, by hand from the atomic weights."""
    basis = basis_for(ACIDS)
    stearic = fatty_acid("18:0")
    pot = neutral_pot(basis, {"acyl.18:0": 3 * stearic.acyl_g_mol, "bound_glycerol": GLYCEROL_G_MOL}, {"sodium": 3.0})
    after = pots_of.react(basis, pot)
    assert after[ROW["glycerol"]] == pytest.approx(92.094, abs=1e-3)
    assert after[basis.row("soap.18:0")] == pytest.approx(3 * 283.476, abs=2e-3)
    assert after[HYDROXIDE] == pytest.approx(0.0, abs=1e-9)
    assert pot.sum() == pytest.approx(891.50 + 3 * NAOH_G_MOL, abs=0.02)


def test_lye_takes_free_acid_before_fat_and_citric_acid_before_both() -> None:
    basis = basis_for(ACIDS)
    acid = fatty_acid("18:1n-9")
    amounts = {"citric_acid": 192.123, "acid.18:1n-9": acid.molar_mass_g_mol, "acyl.18:1n-9": acid.acyl_g_mol}
    after = pots_of.react(basis, neutral_pot(basis, amounts, {"potassium": 3.5}))
    assert after[ROW["citrate"]] == pytest.approx(189.099, abs=1e-3)
    assert after[basis.row("acid.18:1n-9")] == pytest.approx(acid.molar_mass_g_mol / 2, rel=1e-9)
    assert after[basis.row("acyl.18:1n-9")] == pytest.approx(acid.acyl_g_mol, rel=1e-12)
    assert after[WATER] == pytest.approx(3.5 * 18.015, abs=1e-6)


def test_acid_beyond_the_lye_splits_soap_into_free_acid() -> None:
    basis = basis_for(ACIDS)
    acid = fatty_acid("12:0")
    soap = pots_of.react(basis, neutral_pot(basis, {"acid.12:0": acid.molar_mass_g_mol}, {"sodium": 1.0}))
    sour = soap.copy()
    sour[ROW["lactic_acid"]] += 0.25 * 90.078
    after = pots_of.react(basis, sour)
    assert after[basis.row("acid.12:0")] == pytest.approx(0.25 * acid.molar_mass_g_mol, rel=1e-9)
    assert after[ROW["lactate"]] == pytest.approx(0.25 * 89.070, abs=1e-4)


def test_triethanolamine_waits_until_the_lye_is_used_up() -> None:
    basis = basis_for(ACIDS)
    acid = fatty_acid("18:0").molar_mass_g_mol
    together = neutral_pot(basis, {"acid.18:0": acid, "triethanolamine": 149.19}, {"sodium": 1.0})
    assert pots_of.react(basis, together)[ROW["triethanolammonium"]] == pytest.approx(0.0, abs=1e-9)
    alone = neutral_pot(basis, {"acid.18:0": acid, "triethanolamine": 149.19}, {})
    assert pots_of.react(basis, alone)[ROW["triethanolammonium"]] == pytest.approx(150.198, abs=2e-3)


def test_taking_more_than_there_is_is_refused() -> None:
    basis = basis_for(ACIDS)
    pot = neutral_pot(basis, {"water": 10.0}, {})
    leaving = basis.vector({"water": 11.0})
    with pytest.raises(BadInput, match="More would leave"):
        pots_of.take(pot, leaving)
    assert pots_of.take(pot, basis.vector({"water": 4.0})).sum() == pytest.approx(6.0)


def test_evaporation_takes_from_every_line_in_proportion() -> None:
    basis = basis_for(ACIDS)
    ledger = np.column_stack([basis.vector({"ethanol": 90.0, "water": 10.0}), basis.vector({"ethanol": 10.0})])
    before = ledger.sum(axis=1)
    after = pots_of.take(before, basis.vector({"ethanol": 20.0}))
    kept = pots_of.evaporate_shares(before, after, ledger)
    assert kept[ROW["ethanol"]].tolist() == pytest.approx([72.0, 8.0])
    assert kept[WATER].tolist() == pytest.approx([10.0, 0.0])


def test_completeness_outside_zero_to_one_is_refused() -> None:
    basis = basis_for(ACIDS)
    with pytest.raises(BadInput, match="Completeness"):
        pots_of.extents(basis, basis.zeros(), 1.2)
