"""Pure species: masses, charges and the shorthand of fatty acids, against the printed table and against each other."""

from __future__ import annotations

import pytest

from kettleglass.errors import UnknownName
from kettleglass.materials.tables import read_table
from kettleglass.science.species import PLAIN, RESIDUE, UNKNOWN_ACID, fatty_acid, formula_mass_g_mol

MASS = {species.id: species.molar_mass_g_mol for species in PLAIN}
CHARGE = {species.id: species.charge for species in PLAIN}


@pytest.mark.parametrize("row", read_table("fatty_acids"), ids=lambda row: row["fatty_acid"])
def test_the_shorthand_gives_formula_mass_and_double_bonds_of_the_table(row: dict[str, str]) -> None:
    acid = fatty_acid(row["fatty_acid"])
    assert acid.molar_mass_g_mol == pytest.approx(float(row["molar_mass_g_mol"]), abs=0.01)
    assert acid.molar_mass_g_mol == pytest.approx(formula_mass_g_mol(row["formula"]), abs=1e-9)
    assert acid.double_bonds == int(row["double_bonds"])
    assert row["formula"].startswith(f"C{acid.carbons}H")
    assert row["formula"].endswith(f"O{2 + acid.hydroxyls}")


def test_bound_acid_soap_and_acid_differ_by_water_and_hydrogen() -> None:
    acid = fatty_acid("18:1-OH")
    assert acid.molar_mass_g_mol - acid.acyl_g_mol == pytest.approx(18.015, abs=1e-3)
    assert acid.molar_mass_g_mol - acid.soap_g_mol == pytest.approx(1.008, abs=1e-9)


@pytest.mark.parametrize(
    ("acid", "base", "protons"),
    [("citric_acid", "citrate", 3), ("lactic_acid", "lactate", 1), ("triethanolammonium", "triethanolamine", 1)],
)
def test_acid_and_base_differ_by_their_protons(acid: str, base: str, protons: int) -> None:
    assert (MASS[acid] or 0.0) - (MASS[base] or 0.0) == pytest.approx(protons * 1.008, abs=1e-9)
    assert CHARGE[acid] - CHARGE[base] == protons


def test_a_hexose_weighs_as_much_as_two_lactic_acids() -> None:
    assert MASS["hexoses"] == pytest.approx(2.0 * (MASS["lactic_acid"] or 0.0), rel=1e-12)


def test_species_are_pinned_once_and_only_some_are_volatile() -> None:
    assert len(MASS) == len(PLAIN) == 31
    volatile = {species.id for species in PLAIN if species.volatile}
    assert volatile == {"water", "ethanol", "propan_2_ol", "methanol", "volatile_other", "carbon_dioxide"}
    unmeasured = {species_id for species_id, mass in MASS.items() if mass is None}
    assert unmeasured == {
        "volatile_other", "polyol_other", "bound_alcohol", "unsaponifiable", "salt_other", "surfactant", "insoluble",
        "unspecified",
    }  # fmt: skip


@pytest.mark.parametrize("name", ["oleic", "18", "18:1n9", "18:9n-3", "C18:1", "", RESIDUE, "18:1n-9-methyl"])
def test_what_is_no_shorthand_is_refused(name: str) -> None:
    with pytest.raises(UnknownName, match="fatty acid"):
        fatty_acid(name)


def test_unknown_acid_is_nominal_and_unknown_elements_are_refused() -> None:
    assert fatty_acid(UNKNOWN_ACID).molar_mass_g_mol == 280.0
    with pytest.raises(UnknownName, match="element"):
        formula_mass_g_mol("H2Xx")
    with pytest.raises(KeyError):
        formula_mass_g_mol("water")
