"""Averages over fatty acids, and the moles of alkali that a fat takes."""

from __future__ import annotations

import math
from collections.abc import Mapping

from kettleglass.errors import BadInput
from kettleglass.science.species import FattyAcid, fatty_acid, formula_mass_g_mol

KOH_G_MOL = formula_mass_g_mol("KOH")
NAOH_G_MOL = formula_mass_g_mol("NaOH")
MG_KOH_PER_MOL = 1000.0 * KOH_G_MOL
IODINE_G_MOL = 2 * 126.90447
"""Molar mass of I2 (IUPAC 2021)."""
GLYCEROL_G_MOL = formula_mass_g_mol("C3H8O3")
WATER_G_MOL = formula_mass_g_mol("H2O")


def mole_shares(fatty_acid_mass_fractions: Mapping[str, float]) -> dict[FattyAcid, float]:
    """Moles of each acid per gram of acids (fatty acids expressed as methyl esters or acids: mass shares).

    Keys are shorthands such as ``18:1n-9``; the fractions need not sum to 1 and are normalised.
    Raises `UnknownName` for an unknown acid, `BadInput` for negative, non-finite or all-zero fractions.
    """
    values = list(fatty_acid_mass_fractions.values())
    if any(not math.isfinite(v) or v < 0 for v in values) or not (total := math.fsum(values)) > 0:
        raise BadInput(
            "The fatty acids cannot be averaged.",
            why="Each share has to be a number of at least 0, and one at least above 0.",
            remedy="Give the mass share of each fatty acid, for example 12:0 = 0.48.",
        )
    acids = {fatty_acid(name): value / total for name, value in fatty_acid_mass_fractions.items()}
    return {acid: share / acid.molar_mass_g_mol for acid, share in acids.items()}


def _triglyceride_g_per_mol_acid(shares: Mapping[FattyAcid, float]) -> float:
    """Grams of triglyceride per mole of its acids: mean acid - water + glycerol / 3."""
    return 1.0 / math.fsum(shares.values()) - WATER_G_MOL + GLYCEROL_G_MOL / 3.0


def _check_unsaponifiable(fraction: float) -> None:
    if not (math.isfinite(fraction) and 0.0 <= fraction < 1.0):
        raise BadInput(
            f"The unsaponifiable fraction is {fraction!r}.",
            why="It is the share of the fat's mass that takes no lye.",
            remedy="Give a number from 0 up to, but not including, 1 (0.8 % is 0.008).",
        )


def _refuse_resin(fatty_acid_mass_fractions: Mapping[str, float]) -> None:
    resins = [name for name, share in fatty_acid_mass_fractions.items() if name.startswith("resin-") and share]
    if resins:
        raise BadInput(
            f"{resins[0]} is a resin acid; the triglyceride formula does not hold for it.",
            why="Resin acids are not bound to glycerol.",
            remedy="Use the acid value that the supplier states, or `free_acid_saponification_value`.",
        )


def saponification_value(fatty_acid_mass_fractions: Mapping[str, float], unsaponifiable_fraction: float = 0.0) -> float:
    """Saponification value in mg KOH per g of a triglyceride fat, computed from its fatty acids.

    SV = 1000 M_KOH (1 - u) / (mean acid - M_water + M_glycerol / 3): one mole of KOH for each acid.
    The mass shares are those of the acids; they are normalised. AOCS Cd 1c-85 tabulates the same for
    single triglycerides. Not valid for waxes (no glycerol) and resins.

    Raises `UnknownName` (a KeyError) for an unknown acid, `BadInput` (a ValueError) for bad shares or an
    unsaponifiable fraction outside [0, 1).

    Triolein (AOCS Cd 1a-94 reference, 190.1):

    >>> round(saponification_value({"18:1n-9": 1.0}), 1)
    190.1
    """
    _check_unsaponifiable(unsaponifiable_fraction)
    _refuse_resin(fatty_acid_mass_fractions)
    grams = _triglyceride_g_per_mol_acid(mole_shares(fatty_acid_mass_fractions))
    return MG_KOH_PER_MOL * (1.0 - unsaponifiable_fraction) / grams


def iodine_value(fatty_acid_mass_fractions: Mapping[str, float], unsaponifiable_fraction: float = 0.0) -> float:
    """Iodine value in g I2 per 100 g of a triglyceride fat, computed from its fatty acids.

    One mole of I2 for each double bond; AOCS Cd 1c-85 prints the factor of each acid. Conjugated bonds take
    up less in the Wijs method than this count (tung oil). Same arguments and errors as `saponification_value`.

    Triolein (AOCS Cd 1c-85: 0.8601 per % of oleic acid as triglyceride):

    >>> round(iodine_value({"18:1n-9": 1.0}), 1)
    86.0
    """
    _check_unsaponifiable(unsaponifiable_fraction)
    _refuse_resin(fatty_acid_mass_fractions)
    shares = mole_shares(fatty_acid_mass_fractions)
    bonds_mol = math.fsum(moles * acid.double_bonds for acid, moles in shares.items())
    grams = _triglyceride_g_per_mol_acid(shares) * math.fsum(shares.values())
    return 100.0 * IODINE_G_MOL * bonds_mol * (1.0 - unsaponifiable_fraction) / grams


def free_acid_saponification_value(fatty_acid_mass_fractions: Mapping[str, float]) -> float:
    """Saponification (= acid) value in mg KOH per g of free fatty acids; same errors as above."""
    return MG_KOH_PER_MOL * math.fsum(mole_shares(fatty_acid_mass_fractions).values())
