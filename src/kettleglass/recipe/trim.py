"""The trim: fatty acid to set aside for the test of the paste, and what a measured free alkali asks for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kettleglass.recipe.alkali import OH_G_MOL
from kettleglass.recipe.doubt import HowSure
from kettleglass.recipe.titration import Dose, correction
from kettleglass.recipe.work import Worked
from kettleglass.science.basis import Array
from kettleglass.science.saponify import NAOH_G_MOL
from kettleglass.science.species import fatty_acid

STEARIC_G_MOL = fatty_acid("18:0").molar_mass_g_mol
_TOO_WEAK = 1e-3
"""mol/g below which a line is no fatty acid or lye to speak of."""


def trim_acid_g(worked: Worked, sure: HowSure) -> float:
    """Stearic acid in g that takes up the free alkali of 95 pots in 100."""
    return sure.trim_mol(float(worked.finished.sum())) * STEARIC_G_MOL


@dataclass(frozen=True, slots=True)
class Trim:
    """What to cook in after a measurement: of which good, how strong it is (mol/g), and the dose."""

    name: str
    mol_per_g: float
    dose: Dose


def measured_trim(worked: Worked) -> Trim | None:
    """What the measured free alkali asks for, of the fatty acid or lye at hand.

    None without a measurement, for an empty pot, where nothing is to be added, and where triethanolamine makes a
    simple titration meaningless.
    """
    measured, total_g = worked.recipe.measured_free_alkali_percent, float(worked.finished.sum())
    amine = worked.grams("triethanolamine", "triethanolammonium")
    if measured is None or total_g <= 0.0 or amine > 0.0:
        return None
    acid, acid_mol = _strongest(worked, _acid_mol_per_g(worked), ("stearic acid", 1.0 / STEARIC_G_MOL))
    lye, lye_mol = _strongest(worked, worked.sheet.species("hydroxide") / OH_G_MOL, ("pure NaOH", 1.0 / NAOH_G_MOL))
    dose = correction(
        total_g, measured, acid_mol_per_g=acid_mol, lye_mol_per_g=lye_mol, step_g=worked.recipe.scale.lye_g
    )
    if dose.kind == "nothing":
        return None
    return Trim(acid, acid_mol, dose) if dose.kind == "fatty acid" else Trim(lye, lye_mol, dose)


def _acid_mol_per_g(worked: Worked) -> Array:
    """Moles of free fatty acid per gram of each line, (L,)."""
    basis = worked.sheet.basis
    return np.asarray(basis.mol_per_g[basis.acid] @ worked.sheet.compositions[basis.acid])


def _strongest(worked: Worked, mol_per_g: Array, otherwise: tuple[str, float]) -> tuple[str, float]:
    """The name and strength of the line that brings most a gram, or what to take where there is none to speak of."""
    if not len(mol_per_g) or float(mol_per_g.max()) < _TOO_WEAK:
        return otherwise
    row = int(mol_per_g.argmax())
    return worked.sheet.materials[row].name, float(mol_per_g[row])
