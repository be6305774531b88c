"""What a liquid boils by: moles of what the vapour model knows, and of what is dissolved in it and stays.

Nobody has measured how many particles a soap is in hot alcohol and water, so there are three treatments. Low: soap
counts as nothing; central: 0.3 particle for each soap anion (micelles); in both a sugar binds five waters. High: soap
wholly dissociated, two, and sugar binds none. Five waters hold the tables of sugar within 0.6 K up to 60 °Brix; with
less water than that five are too many and none too few. Sorbitol, dipropylene glycol, triethanolamine and the weak
acids are one particle a molecule, salts all their ions.

Fats, free fatty acids, unsaponifiable, insoluble and whatever is not specified are not dissolved and count as nothing.
So do added surfactants, polyols of unknown size and carbon dioxide, of which a pot holds little. A scent's own vapour
pressure is not known, so it counts as nothing too.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from kettleglass.errors import BadInput, UnknownName
from kettleglass.science.basis import Array, Basis, acids_in, basis_for
from kettleglass.science.heat.vapour import COMPONENTS
from kettleglass.science.pot import MOL_PER_G, ROW, soap_mol
from kettleglass.science.species import PLAIN, RESIDUE

Treatment = Literal["low", "central", "high"]
SOAP_PARTICLES: Mapping[Treatment, float] = {"low": 0.0, "central": 0.3, "high": 2.0}
BOUND_WATER: Mapping[Treatment, float] = {"low": 5.0, "central": 5.0, "high": 0.0}
"""Molecules of water that each sugar holds back."""
SOAP_G_MOL = 300.0
"""Molar mass of a soap of which no more is known: between sodium laurate (222) and stearate (306), near the latter."""
ELECTROLYTE_MOL_PER_G = 2.0 * MOL_PER_G["sodium"] / (1.0 + 35.45 / 22.98977)
"""Dissolved particles in a gram of an unnamed salt, as of sodium chloride."""
OWN_KEYS = ("soap", "electrolyte", "unspecified")
"""Keys of a liquid given by mass fractions, beside the species ids."""

_ROUNDING = 1e-6
"""What a sum of mass fractions may be off 1, and one of them below zero."""
_ROWS = np.array([ROW[name] for name in COMPONENTS], dtype=np.intp)
_PER_G: Array = np.array([MOL_PER_G[name] for name in COMPONENTS])
_SUGARS = ("sucrose", "hexoses")
_MOLECULES = ("sucrose", "hexoses", "sorbitol", "dipropylene_glycol", "triethanolamine", "citric_acid", "lactic_acid")
_CATIONS = ("sodium", "potassium", "triethanolammonium")
_ANIONS = ("hydroxide", "carbonate", "chloride", "citrate", "lactate")


@dataclass(frozen=True, slots=True, eq=False)
class Liquid:
    """Moles of each component (C,) or (C, N), and of what is dissolved beside them and stays, () or (N,)."""

    moles: Array
    inert_mol: Array

    @property
    def mole_fractions(self) -> Array:
        """Share of each component in all particles, in the shape of `moles`."""
        return np.asarray(self.moles / np.maximum(self.moles.sum(axis=0) + self.inert_mol, 1e-30))


def liquid_of_pot(basis: Basis, pot: Array, treatment: Treatment = "central") -> Liquid:
    """The liquid of a pot (S,) or of pots (S, N) in g."""
    moles = _moles(pot)
    soap = soap_mol(basis, pot)
    cations = sum((pot[ROW[name]] * MOL_PER_G[name] for name in _CATIONS), start=np.zeros(pot.shape[1:]))
    anions = sum((pot[ROW[name]] * MOL_PER_G[name] for name in _ANIONS), start=np.zeros(pot.shape[1:]))
    salts = anions + np.maximum(cations - soap, 0.0) + pot[ROW["salt_other"]] * ELECTROLYTE_MOL_PER_G
    molecules = sum((pot[ROW[name]] * MOL_PER_G[name] for name in _MOLECULES), start=np.zeros(pot.shape[1:]))
    _bind_water(moles, pot, treatment)
    return Liquid(moles, np.asarray(SOAP_PARTICLES[treatment] * soap + salts + molecules))


def _moles(pot: Array) -> Array:
    rows = np.maximum(pot[_ROWS], 0.0)
    return np.asarray(rows * (_PER_G if pot.ndim == 1 else _PER_G[:, None]))


def _bind_water(moles: Array, pot: Array, treatment: Treatment) -> None:
    """Take the water that sugar holds out of the liquid, at most nine tenths of it."""
    bound = BOUND_WATER[treatment] * sum(
        (pot[ROW[name]] * MOL_PER_G[name] for name in _SUGARS), start=np.zeros(pot.shape[1:])
    )
    moles[0] -= np.minimum(bound, 0.9 * moles[0])


def liquid_of(mass_fractions: Mapping[str, float], treatment: Treatment = "central") -> Liquid:
    """The liquid of one gram that holds these mass fractions.

    Keys are the ids of the plain species, ``acyl.``, ``acid.`` and ``soap.`` with the id of a fatty acid, and ``soap``
    (all soap with its cations), ``electrolyte`` and ``unspecified``; the values are g/g and add up to 1. Only the
    ``residue`` of fatty matter, what figures of fats leave over, may be below zero. Raises `UnknownName` for another
    key, `BadInput` for values that are no numbers, or negative or off 1 by more than 1e-6.
    """
    checked = _checked(mass_fractions)
    species = {key: value for key, value in checked.items() if key not in ("soap", "electrolyte")}
    basis = basis_for(acids_in(species))
    liquid = liquid_of_pot(basis, basis.vector(species), treatment)
    own = SOAP_PARTICLES[treatment] * checked.get("soap", 0.0) / SOAP_G_MOL
    salt = ELECTROLYTE_MOL_PER_G * checked.get("electrolyte", 0.0)
    return Liquid(liquid.moles, np.asarray(liquid.inert_mol + own + salt))


def _checked(mass_fractions: Mapping[str, float]) -> dict[str, float]:
    known = [*OWN_KEYS, *(species.id for species in PLAIN)]
    out: dict[str, float] = {}
    for key, value in mass_fractions.items():
        if key not in known and str(key).partition(".")[0] not in ("acyl", "acid", "soap"):
            raise UnknownName("species", str(key), known)
        try:
            number = float(value)
        except (TypeError, ValueError):
            number = math.nan
        leftover = str(key).endswith(f".{RESIDUE}")
        if not (math.isfinite(number) and (leftover or number >= -_ROUNDING)):
            raise BadInput(f"The mass fraction of {key} is {value!r}.", remedy="Give a share from 0 to 1.")
        out[key] = number if leftover else max(number, 0.0)
    total = math.fsum(out.values())
    if abs(total - 1.0) > _ROUNDING:
        raise BadInput(
            f"The mass fractions add up to {total:.7g}, not to 1.",
            remedy="Give every part of the pot; put what is not known under “unspecified”.",
        )
    return out
