"""Parts of a pot and clarity descriptors: hand calculations, ISO 685, and laws."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kettleglass.science import pot as pots_of
from kettleglass.science.basis import Array, Basis, basis_for
from kettleglass.science.descriptors import (
    CLARITY,
    PARTS,
    clarity_descriptors,
    clarity_of_one,
    composition_percent,
    parts_g,
    total_fatty_matter_g,
    window_quantities,
)
from tests.strategies import many_pots, pots

Case = tuple[Basis, Array]
LAURATE = basis_for(["12:0"])


def sodium_laurate(**more: float) -> Array:
    """One mole of dry sodium laurate, and grams of plain species besides."""
    return LAURATE.vector({"soap.12:0": 199.314, "sodium": 22.98977} | more)


def test_sodium_laurate_weighs_what_the_handbook_says() -> None:
    # CRC Handbook: sodium laurate C12H23NaO2 222.300 g/mol, lauric acid 200.318 g/mol
    pot = sodium_laurate()
    assert float(parts_g(LAURATE, pot)["soap"]) == pytest.approx(222.300, abs=0.01)
    assert float(total_fatty_matter_g(LAURATE, pot)) == pytest.approx(200.318, abs=0.01)
    assert float(parts_g(LAURATE, pot)["electrolyte"]) == pytest.approx(0.0, abs=1e-9)


def test_total_fatty_matter_of_dry_tallow_and_coconut_soap_is_as_the_trade_counts_it() -> None:
    # common practice, no source: neat 80/20 toilet soap at 14 % water is sold as “78 to 79 % TFM”
    basis = basis_for(["12:0", "16:0", "18:0", "18:1n-9"])
    acids = {"12:0": 0.20, "16:0": 0.25, "18:0": 0.18, "18:1n-9": 0.37}
    pot = basis.zeros()
    moles = 0.0
    for acid, share in acids.items():
        row = basis.row(f"soap.{acid}")
        pot[row] = share
        moles += share * basis.mol_per_g[row]
    pot[pots_of.ROW["sodium"]] = moles * 22.98977
    pot[pots_of.WATER] = pot.sum() * 0.14 / 0.86
    assert float(composition_percent(basis, pot)["total_fatty_matter"]) == pytest.approx(79.0, abs=1.0)


def test_one_saponified_oil_by_hand() -> None:
    """Trilaurin 639.01 g (1 mol) with 3.5 mol NaOH: 3 mol sodium laurate, 1 mol glycerol, 0.5 mol NaOH left."""
    charge = LAURATE.vector(
        {"acyl.12:0": 3 * 182.307, "bound_glycerol": 92.094, "water": 300.0}
        | {"sodium": 3.5 * 22.98977, "hydroxide": 3.5 * 17.007}
    )
    parts = parts_g(LAURATE, pots_of.react(LAURATE, charge))
    assert float(parts["soap"]) == pytest.approx(3 * 222.304, abs=0.02)
    assert float(parts["glycerol"]) == pytest.approx(92.094, abs=0.01)
    assert float(parts["electrolyte"]) == pytest.approx(0.5 * 39.997, abs=0.01)
    assert float(parts["free_fat"]) == pytest.approx(0.0, abs=1e-9)
    found = clarity_of_one(LAURATE, pots_of.react(LAURATE, charge))
    assert found["solvents_per_soap"] == pytest.approx(92.094 / 666.91, rel=1e-4)
    assert found["electrolyte_fraction"] == pytest.approx(20.0 / 320.0, rel=1e-3)
    assert found["c8_c14_fraction"] == pytest.approx(1.0)
    assert found["sodium_mole_fraction"] == pytest.approx(1.0)
    quantities = window_quantities(LAURATE, pots_of.react(LAURATE, charge))
    assert float(quantities["free_alkali"]) == pytest.approx(100 * 0.5 * 39.997 / charge.sum(), rel=1e-4)
    raw = window_quantities(LAURATE, charge)
    assert float(raw["free_alkali"]) == pytest.approx(float(quantities["free_alkali"]), rel=1e-9)


def test_each_soap_anion_takes_the_mean_cation_and_the_rest_is_electrolyte() -> None:
    """1 mol laurate with 1 mol Na and 1 mol K beside 1 mol chloride: half the cations go with the soap."""
    pot = sodium_laurate(potassium=39.0983, chloride=35.45)
    parts = parts_g(LAURATE, pot)
    mean = (22.98977 + 39.0983) / 2
    assert float(parts["soap"]) == pytest.approx(199.314 + mean, abs=1e-6)
    assert float(parts["electrolyte"]) == pytest.approx(35.45 + mean, abs=1e-6)
    assert clarity_of_one(LAURATE, pot)["sodium_mole_fraction"] == pytest.approx(0.5)
    assert float(window_quantities(LAURATE, pot)["sodium_chloride"]) == pytest.approx(100 * 58.44 / pot.sum(), rel=1e-4)


def test_shares_of_acids_leave_out_what_has_no_chain() -> None:
    basis = basis_for(["12:0", "18:0", "18:0-OH", "18:0-iso", "18:1n-9", "18:1-OH", "unknown"])
    as_acids = {"12:0": 10.0, "18:0": 20.0, "18:0-OH": 10.0, "18:0-iso": 10.0, "18:1n-9": 25.0, "18:1-OH": 25.0}
    pot = basis.vector({f"acid.{a}": g for a, g in as_acids.items()} | {"acid.unknown": 40.0, "acid.residue": 3.0})
    found = clarity_of_one(basis, pot)
    assert found["saturated_c16_c22_fraction"] == pytest.approx(0.20), "branched and hydroxy acids build no curd fibres"
    assert found["oleic_linoleic_fraction"] == pytest.approx(0.25)
    assert found["ricinoleic_fraction"] == pytest.approx(0.25)
    assert found["c8_c14_fraction"] == pytest.approx(0.10)


@pytest.mark.filterwarnings("error")
def test_a_ratio_with_nothing_beneath_is_none_and_never_a_warning() -> None:
    water = LAURATE.vector({"water": 100.0})
    found = clarity_of_one(LAURATE, water)
    assert found["solvents_per_soap"] is None and found["c8_c14_fraction"] is None
    assert found["sodium_mole_fraction"] is None
    assert found["solvents_per_water"] == 0.0
    nothing = clarity_of_one(LAURATE, LAURATE.zeros())
    assert set(nothing.values()) == {None}
    assert np.isnan(composition_percent(LAURATE, LAURATE.zeros())["soap"])
    both = clarity_descriptors(LAURATE, np.column_stack([water, sodium_laurate(water=50.0)]))
    assert np.isnan(both["water_per_soap"][0]) and both["water_per_soap"][1] == pytest.approx(50.0 / 222.304, rel=1e-4)


def test_the_twelve_are_twelve_and_keep_their_order() -> None:
    found = clarity_descriptors(LAURATE, sodium_laurate())
    assert list(found) == [descriptor.key for descriptor in CLARITY]
    assert len(found) == 12


@given(many_pots())
def test_the_parts_are_the_whole_pot(case: Case) -> None:
    basis, many = case
    for stage in (many, pots_of.react(basis, many)):
        parts = parts_g(basis, stage)
        assert tuple(parts) == PARTS
        np.testing.assert_allclose(sum(parts.values()), stage.sum(axis=0), rtol=1e-12, atol=1e-9)
        percent = composition_percent(basis, stage)
        full = stage.sum(axis=0) > 0.0
        total = sum(percent[name] for name in PARTS)
        np.testing.assert_allclose(np.asarray(total)[full], 100.0, rtol=1e-9)


@given(pots(), st.floats(0.01, 100.0))
def test_a_bigger_pot_has_the_same_descriptors(case: Case, factor: float) -> None:
    basis, pot = case
    after = pots_of.react(basis, pot)
    one, other = window_quantities(basis, after), window_quantities(basis, after * factor)
    for key, value in one.items():
        if not tiny_below(basis, after, factor):
            same(other[key], value, key)


def same(one: Array, other: Array, key: str) -> None:
    np.testing.assert_allclose(one, other, rtol=1e-6, atol=1e-9, equal_nan=True, err_msg=key)


def tiny_below(basis: Basis, pot: Array, factor: float) -> bool:
    """Whether rounding noise (below 1e-6 g) decides if there is soap, acid, water or a cation at all."""
    parts = parts_g(basis, pot)
    under = [float(parts[name]) for name in ("soap", "water", "free_acid", "electrolyte")]
    return any(0.0 < abs(amount) * min(1.0, factor) < 1e-6 for amount in under)


@given(many_pots())
def test_one_pot_is_one_column_of_many(case: Case) -> None:
    basis, many = case
    after = pots_of.react(basis, many)
    together = window_quantities(basis, after)
    for column in range(after.shape[1]):
        alone = window_quantities(basis, np.ascontiguousarray(after[:, column]))
        for key, value in alone.items():
            if not tiny_below(basis, after[:, column], 1.0):
                same(together[key][column], value, key)


@given(pots(), pots())
def test_it_does_not_matter_which_was_poured_first(one: Case, other: Case) -> None:
    basis = one[0]
    forth = parts_g(basis, pots_of.mix(one[1], other[1]))
    back = parts_g(basis, pots_of.mix(other[1], one[1]))
    for name in PARTS:
        np.testing.assert_allclose(forth[name], back[name], rtol=1e-12, atol=1e-12)


@given(pots())
def test_total_fatty_matter_hardly_changes_as_fat_becomes_soap(case: Case) -> None:
    """Acid sets the same fatty acids free again: what was an ester comes back as acid, without its glycerol."""
    basis, pot = case
    if float(pots_of.weak_acid_mol(pot)) > 0.0:
        return
    before, after = parts_g(basis, pot), pots_of.react(basis, pot)
    split_mol = float(pots_of.acyl_mol(basis, pot) - pots_of.acyl_mol(basis, after))
    left_with_alcohol = float(pot[pots_of.BOUND_GLYCEROL] - after[pots_of.BOUND_GLYCEROL])
    gained = float(total_fatty_matter_g(basis, after) - total_fatty_matter_g(basis, pot))
    assert gained == pytest.approx(split_mol * 18.015 - left_with_alcohol, abs=1e-6 + 1e-9 * float(before["free_fat"]))
