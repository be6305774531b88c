"""Pure species: what a pot can hold, with molar mass, charge and group.

Soap is stored as ions (cations beside soap anions), since with two alkalis in one pot nobody can say
which cation belongs to which acid. A bound fat is *acyl* (the acid less one water) beside the alcohol
that it is bound to; saponification then is acyl + hydroxide -> soap anion, and masses close exactly.

Atomic weights: IUPAC Commission on Isotopic Abundances and Atomic Weights, abridged values 2021.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from typing import Literal

from kettleglass.errors import UnknownName

ATOMIC_WEIGHT = {
    "H": 1.008, "C": 12.011, "N": 14.007, "O": 15.999, "Na": 22.98977, "Cl": 35.45, "K": 39.0983,
}  # fmt: skip
"""Atomic weights in g/mol."""

Group = Literal["volatile", "polyol", "sugar", "fat", "cation", "electrolyte", "weak acid", "amine", "other"]


@dataclass(frozen=True, slots=True)
class Species:
    """One pure species; `molar_mass_g_mol` is None where a name covers many substances."""

    id: str
    molar_mass_g_mol: float | None
    charge: int = 0
    group: Group = "other"

    @property
    def volatile(self) -> bool:
        """Whether it leaves a hot pot as vapour."""
        return self.group == "volatile"


@cache
def formula_mass_g_mol(formula: str) -> float:
    """Molar mass in g/mol of a plain formula such as ``C12H22O11`` (no brackets); charges weigh nothing."""
    parts = re.findall(r"([A-Z][a-z]?)(\d*)", formula)
    unknown = [symbol for symbol, _ in parts if symbol not in ATOMIC_WEIGHT]
    if unknown or "".join(symbol + count for symbol, count in parts) != formula:
        raise UnknownName("element in a formula", unknown[0] if unknown else formula, ATOMIC_WEIGHT)
    return sum(ATOMIC_WEIGHT[symbol] * int(count or 1) for symbol, count in parts)


def _species(species_id: str, formula: str, group: Group = "other", charge: int = 0) -> Species:
    return Species(species_id, formula_mass_g_mol(formula) if formula else None, charge, group)


PLAIN: tuple[Species, ...] = (
    _species("water", "H2O", "volatile"),
    _species("ethanol", "C2H6O", "volatile"),
    _species("propan_2_ol", "C3H8O", "volatile"),
    _species("methanol", "CH4O", "volatile"),
    _species("volatile_other", "", "volatile"),
    _species("carbon_dioxide", "CO2", "volatile"),
    _species("glycerol", "C3H8O3", "polyol"),
    _species("propylene_glycol", "C3H8O2", "polyol"),
    _species("dipropylene_glycol", "C6H14O3", "polyol"),
    _species("sorbitol", "C6H14O6", "polyol"),
    _species("sucrose", "C12H22O11", "sugar"),
    _species("hexoses", "C6H12O6", "sugar"),
    _species("polyol_other", "", "polyol"),
    _species("bound_glycerol", "C3H8O3", "fat"),
    _species("bound_alcohol", "", "fat"),
    _species("unsaponifiable", "", "fat"),
    _species("sodium", "Na", "cation", 1),
    _species("potassium", "K", "cation", 1),
    _species("triethanolamine", "C6H15NO3", "amine"),
    _species("triethanolammonium", "C6H16NO3", "cation", 1),
    _species("hydroxide", "OH", "electrolyte", -1),
    _species("carbonate", "CO3", "electrolyte", -2),
    _species("chloride", "Cl", "electrolyte", -1),
    _species("citric_acid", "C6H8O7", "weak acid"),
    _species("citrate", "C6H5O7", "electrolyte", -3),
    _species("lactic_acid", "C3H6O3", "weak acid"),
    _species("lactate", "C3H5O3", "electrolyte", -1),
    _species("salt_other", "", "electrolyte"),
    _species("surfactant", ""),
    _species("insoluble", ""),
    _species("unspecified", ""),
)

UNKNOWN_ACID = "unknown"
"""Stands for the acids of a fat whose fatty acids nobody has published (lanolin)."""
UNKNOWN_ACID_G_MOL = 280.0
RESIDUE = "residue"
"""Mass without moles that closes one gram of fat; it travels with the acyls, and may be slightly negative."""

_SHORTHAND = re.compile(r"(?P<carbons>\d+):(?P<bonds>\d+)(?:n-\d+t?)?(?:-(?P<side>iso|OH|diOH))?")
_BY_FORMULA = {"resin-abietic": ("C20H30O2", 2)}


@dataclass(frozen=True, slots=True)
class FattyAcid:
    """A fatty acid read off its shorthand: molar mass in g/mol, carbons, double bonds."""

    id: str
    molar_mass_g_mol: float
    carbons: int
    double_bonds: int
    hydroxyls: int = 0

    @property
    def acyl_g_mol(self) -> float:
        """Molar mass of the bound form: the acid less one water."""
        return self.molar_mass_g_mol - formula_mass_g_mol("H2O")

    @property
    def soap_g_mol(self) -> float:
        """Molar mass of the soap anion: the acid less one hydrogen."""
        return self.molar_mass_g_mol - ATOMIC_WEIGHT["H"]


@cache
def fatty_acid(acid_id: str) -> FattyAcid:
    """The fatty acid of a shorthand such as ``18:1n-9``, ``18:1-OH`` or ``resin-abietic``.

    Raises `UnknownName` for anything else, the pseudo-acid ``residue`` included (it has no moles).
    """
    if acid_id == UNKNOWN_ACID:
        return FattyAcid(acid_id, UNKNOWN_ACID_G_MOL, 18, 0)
    if acid_id in _BY_FORMULA:
        formula, bonds = _BY_FORMULA[acid_id]
        return FattyAcid(acid_id, formula_mass_g_mol(formula), 20, bonds)
    match = _SHORTHAND.fullmatch(acid_id)
    if match is None or int(match["carbons"]) < 2 * int(match["bonds"]) + 2:
        raise UnknownName("fatty acid", acid_id, ("12:0", "14:0", "16:0", "18:0", "18:1n-9", "18:1-OH", "18:2n-6"))
    carbons, bonds = int(match["carbons"]), int(match["bonds"])
    hydroxyls = {"OH": 1, "diOH": 2}.get(match["side"] or "", 0)
    mass_g_mol = formula_mass_g_mol(f"C{carbons}H{2 * (carbons - bonds)}O{2 + hydroxyls}")
    return FattyAcid(acid_id, mass_g_mol, carbons, bonds, hydroxyls)
