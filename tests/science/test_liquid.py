"""What of a pot is liquid, what is dissolved in it, and what counts for nothing."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kettleglass.errors import BadInput, UnknownName
from kettleglass.science.basis import basis_for
from kettleglass.science.heat.boiling import bubble_point
from kettleglass.science.heat.liquid import Liquid, Treatment, liquid_of, liquid_of_pot
from kettleglass.science.heat.vapour import COMPONENTS, MOLAR_MASS_G_MOL
from kettleglass.science.species import PLAIN
from tests.strategies import many_pots, pots

WATER = COMPONENTS.index("water")
POT = {"soap": 0.26, "ethanol": 0.15, "glycerol": 0.15, "sucrose": 0.15, "water": 0.29}
LAURATE_G_MOL, SODIUM_G_MOL = 199.31, 22.990


@pytest.mark.parametrize(
    ("treatment", "bound_waters", "soap_particles"), [("low", 5.0, 0.0), ("central", 5.0, 0.3), ("high", 0.0, 2.0)]
)
def test_moles_by_hand(treatment: Treatment, bound_waters: float, soap_particles: float) -> None:
    """0.326 mol of ethanol, 1.610 of water, 0.163 of glycerol, 0.0438 of sugar and 0.087 of soap in 100 g."""
    found = liquid_of(POT, treatment)
    moles = dict(zip(COMPONENTS, 100.0 * found.moles, strict=True))
    assert moles["ethanol"] == pytest.approx(0.326, abs=0.0005)
    assert moles["glycerol"] == pytest.approx(0.163, abs=0.0005)
    assert moles["water"] == pytest.approx(1.610 - bound_waters * 0.0438, abs=0.001)
    assert 100.0 * float(found.inert_mol) == pytest.approx(0.0438 + soap_particles * 0.0867, abs=0.0003)


@pytest.mark.parametrize(("treatment", "particles"), [("low", 0.0), ("central", 0.3), ("high", 2.0)])
def test_a_named_soap_counts_as_one_known_only_by_weight(treatment: Treatment, particles: float) -> None:
    """Sodium laurate, 222.3 g/mol: its particles do not depend on how it is named, its cation is none of its own."""
    whole = LAURATE_G_MOL + SODIUM_G_MOL
    named = liquid_of(
        {"water": 0.8, "soap.12:0": 0.2 * LAURATE_G_MOL / whole, "sodium": 0.2 * SODIUM_G_MOL / whole}, treatment
    )
    assert float(named.inert_mol) == pytest.approx(particles * 0.2 / whole, rel=1e-3, abs=1e-7)


def test_a_salt_is_all_its_ions() -> None:
    """Sodium chloride by its ions and as an unnamed electrolyte: two particles in 58.44 g; sodium lye the same way."""
    chloride = 35.45 / 58.44
    by_ions = liquid_of({"water": 0.9, "sodium": 0.1 * (1.0 - chloride), "chloride": 0.1 * chloride})
    unnamed = liquid_of({"water": 0.9, "electrolyte": 0.1})
    assert float(by_ions.inert_mol) == pytest.approx(0.2 / 58.44, rel=1e-3)
    assert float(unnamed.inert_mol) == pytest.approx(0.2 / 58.44, rel=1e-3)
    lye = liquid_of({"water": 0.9, "sodium": 0.1 * 22.990 / 39.997, "hydroxide": 0.1 * 17.007 / 39.997})
    assert float(lye.inert_mol) == pytest.approx(0.2 / 39.997, rel=1e-3)


@pytest.mark.parametrize(
    "nothing", ["acyl.12:0", "acid.18:0", "unsaponifiable", "insoluble", "acyl.residue", "unspecified"]
)
def test_what_is_not_dissolved_changes_nothing(nothing: str) -> None:
    half = liquid_of({"water": 0.35, "ethanol": 0.15, nothing: 0.5})
    assert float(half.inert_mol) == 0.0
    assert bubble_point({"water": 0.35, "ethanol": 0.15, nothing: 0.5}).temperature_c == pytest.approx(
        bubble_point({"water": 0.7, "ethanol": 0.3}).temperature_c
    )


@pytest.mark.parametrize(
    ("name", "g_mol"), [("sucrose", 342.30), ("hexoses", 180.16), ("sorbitol", 182.17), ("dipropylene_glycol", 134.17),
                        ("triethanolamine", 149.19), ("citric_acid", 192.12), ("lactic_acid", 90.08)],
)  # fmt: skip
def test_each_dissolved_molecule_is_one_particle(name: str, g_mol: float) -> None:
    """Molar masses: PubChem, recalled."""
    assert float(liquid_of({"water": 0.6, name: 0.4}, "high").inert_mol) == pytest.approx(0.4 / g_mol, rel=1e-3)


def test_sugar_never_holds_all_the_water() -> None:
    found = liquid_of({"water": 0.02, "sucrose": 0.98})
    assert found.moles[WATER] == pytest.approx(0.1 * 0.02 / 18.015, rel=1e-3)


def test_fractions_are_of_all_particles() -> None:
    mixed = Liquid(np.array([1.0, 1.0, 0.0, 0.0, 0.0, 0.0]), np.asarray(2.0))
    assert mixed.mole_fractions[:2] == pytest.approx([0.25, 0.25])


@given(pots(), st.sampled_from(["low", "central", "high"]))
def test_a_pot_is_never_less_than_nothing_and_scales(pot, treatment: Treatment) -> None:
    basis, masses = pot
    found = liquid_of_pot(basis, masses, treatment)
    assert (found.moles >= 0.0).all() and float(found.inert_mol) >= 0.0
    assert (found.moles @ MOLAR_MASS_G_MOL) <= masses.sum() + 1e-6
    thrice = liquid_of_pot(basis, 3.0 * masses, treatment)
    np.testing.assert_allclose(thrice.moles, 3.0 * found.moles, rtol=1e-9, atol=1e-12)
    assert float(thrice.inert_mol) == pytest.approx(3.0 * float(found.inert_mol), rel=1e-9, abs=1e-12)


@given(pots())
def test_particles_grow_from_low_to_high(pot) -> None:
    basis, masses = pot
    low, central, high = (float(liquid_of_pot(basis, masses, way).inert_mol) for way in ("low", "central", "high"))
    assert low <= central + 1e-12 and central <= high + 1e-12


@given(many_pots(), st.sampled_from(["low", "central", "high"]))
def test_many_pots_are_each_alone(several, treatment: Treatment) -> None:
    basis, masses = several
    together = liquid_of_pot(basis, masses, treatment)
    for column in range(masses.shape[1]):
        alone = liquid_of_pot(basis, masses[:, column], treatment)
        np.testing.assert_allclose(together.moles[:, column], alone.moles, rtol=1e-12)
        assert together.inert_mol[column] == pytest.approx(float(alone.inert_mol))


@given(pots())
def test_the_door_by_mass_fractions_is_the_door_of_pots(pot) -> None:
    basis, masses = pot
    total = float(masses.sum())
    if total <= 1.0:
        return
    shares = {name: grams / total for name, grams in basis.as_dict(masses).items()}
    by_name, by_pot = liquid_of(shares), liquid_of_pot(basis, masses)
    np.testing.assert_allclose(total * by_name.moles, by_pot.moles, rtol=1e-9, atol=1e-9)
    assert total * float(by_name.inert_mol) == pytest.approx(float(by_pot.inert_mol), abs=1e-9)


# Refusals


@pytest.mark.parametrize(
    ("name", "near"), [("watr", "water"), ("propan-2-ol", "propan_2_ol"), ("glycerine", "glycerol"), ("soaps", "soap")]
)
def test_unknown_names_offer_the_nearest(name: str, near: str) -> None:
    with pytest.raises(UnknownName, match=near) as told:
        liquid_of({name: 1.0})
    assert near in told.value.nearest and isinstance(told.value, KeyError)


@pytest.mark.parametrize("name", ["acid.12:9", "soap.none", "acyl."])
def test_unknown_fatty_acids_are_unknown_names(name: str) -> None:
    with pytest.raises(UnknownName):
        liquid_of({"water": 0.5, name: 0.5})


@pytest.mark.parametrize("value", [-0.01, math.nan, math.inf, -math.inf])
def test_what_is_no_share_is_refused(value: float) -> None:
    with pytest.raises(BadInput, match="mass fraction of ethanol"):
        liquid_of({"ethanol": value, "water": 1.0})


@pytest.mark.parametrize("value", ["half", None])
def test_what_is_no_number_is_refused(value: object) -> None:
    with pytest.raises(BadInput, match="mass fraction of ethanol"):
        liquid_of({"ethanol": value, "water": 1.0})  # type: ignore[dict-item]


def test_every_plain_species_has_its_place() -> None:
    for species in PLAIN:
        assert liquid_of({"water": 0.5, species.id: 0.5} if species.id != "water" else {"water": 1.0}).moles[WATER] > 0
    assert basis_for([]).zeros().shape[0] >= len(PLAIN)
