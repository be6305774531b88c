"""Molar masses against molmass, a reference library with its own atomic weights, from structures written out here."""

from __future__ import annotations

import pytest
from molmass import Formula

from kettleglass.science.species import ATOMIC_WEIGHT, PLAIN, fatty_acid

STRUCTURES = {
    "water": "HOH",
    "ethanol": "CH3CH2OH",
    "propan_2_ol": "(CH3)2CHOH",
    "methanol": "CH3OH",
    "carbon_dioxide": "CO2",
    "glycerol": "HOCH2CH(OH)CH2OH",
    "propylene_glycol": "CH3CH(OH)CH2OH",
    "dipropylene_glycol": "(CH3CH(OH)CH2)2O",
    "sorbitol": "HOCH2(CHOH)4CH2OH",
    "sucrose": "(C6H11O5)2O",
    "hexoses": "HOCH2(CHOH)4CHO",
    "bound_glycerol": "HOCH2CH(OH)CH2OH",
    "sodium": "Na",
    "potassium": "K",
    "triethanolamine": "N(CH2CH2OH)3",
    "triethanolammonium": "HN(CH2CH2OH)3",
    "hydroxide": "OH",
    "carbonate": "CO3",
    "chloride": "Cl",
    "citric_acid": "HOC(COOH)(CH2COOH)2",
    "citrate": "HOC(COO)(CH2COO)2",
    "lactic_acid": "CH3CH(OH)COOH",
    "lactate": "CH3CH(OH)COO",
}
"""Each pure species as a chemist writes it down; the charge of an ion weighs nothing at this precision."""

ACIDS = {
    "8:0": "CH3(CH2)6COOH",
    "10:0": "CH3(CH2)8COOH",
    "12:0": "CH3(CH2)10COOH",
    "14:0": "CH3(CH2)12COOH",
    "16:0": "CH3(CH2)14COOH",
    "16:1n-7": "CH3(CH2)5CHCH(CH2)7COOH",
    "18:0": "CH3(CH2)16COOH",
    "18:1n-9": "CH3(CH2)7CHCH(CH2)7COOH",
    "18:1-OH": "CH3(CH2)5CH(OH)CH2CHCH(CH2)7COOH",
    "18:2n-6": "CH3(CH2)4CHCHCH2CHCH(CH2)7COOH",
    "18:3n-3": "CH3CH2CHCHCH2CHCHCH2CHCH(CH2)7COOH",
    "20:0": "CH3(CH2)18COOH",
    "22:0": "CH3(CH2)20COOH",
    "22:1n-9": "CH3(CH2)7CHCH(CH2)11COOH",
    "resin-abietic": "C19H29COOH",
}
"""Caprylic, capric, lauric, myristic, palmitic, palmitoleic, stearic, oleic, ricinoleic, linoleic, linolenic,
arachidic, behenic, erucic and abietic acid."""

TOLERANCE = 9e-5
"""Relative. Ours are IUPAC's abridged atomic weights: chlorine (35.45) and hydrogen (1.008) differ most from the
library's mean values, by 8e-5 and 6e-5. One hydrogen too many in sucrose would be 3e-3."""


def test_every_pure_species_is_compared():
    assert {species.id for species in PLAIN if species.molar_mass_g_mol is not None} == set(STRUCTURES)


@pytest.mark.parametrize("species", [s for s in PLAIN if s.molar_mass_g_mol is not None], ids=lambda s: s.id)
def test_species_weigh_what_their_structure_weighs(species):
    assert species.molar_mass_g_mol == pytest.approx(Formula(STRUCTURES[species.id]).mass, rel=TOLERANCE)


@pytest.mark.parametrize("acid", ACIDS)
def test_acids_weigh_what_their_structure_weighs(acid):
    assert fatty_acid(acid).molar_mass_g_mol == pytest.approx(Formula(ACIDS[acid]).mass, rel=TOLERANCE)


@pytest.mark.parametrize("acid", ACIDS)
def test_soap_of_an_acid_is_the_acid_with_sodium_for_one_hydrogen(acid):
    soap = Formula(ACIDS[acid].removesuffix("H") + "Na")
    assert fatty_acid(acid).soap_g_mol + ATOMIC_WEIGHT["Na"] == pytest.approx(soap.mass, rel=TOLERANCE)


@pytest.mark.parametrize("symbol", ATOMIC_WEIGHT)
def test_atomic_weights_are_those_of_the_library(symbol):
    assert ATOMIC_WEIGHT[symbol] == pytest.approx(Formula(symbol).mass, rel=TOLERANCE)
