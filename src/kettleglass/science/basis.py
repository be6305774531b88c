"""The order of species in arrays: which row of a pot is which species."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from kettleglass.errors import UnknownName
from kettleglass.science.species import PLAIN, RESIDUE, fatty_acid

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Basis:
    """Rows of a pot for the acids in use: plain species, then acyls, free acids and soap anions.

    `acids` ends with the pseudo-acid ``residue``; `mol_per_g` is 0 where a species has no molar mass.
    """

    acids: tuple[str, ...]
    ids: tuple[str, ...] = field(init=False)
    index: Mapping[str, int] = field(init=False)
    mol_per_g: Array = field(init=False)
    charge: Array = field(init=False)
    acyl: slice = field(init=False)
    acid: slice = field(init=False)
    soap: slice = field(init=False)
    volatile: Array = field(init=False)
    soap_per_acyl: Array = field(init=False)
    soap_per_acid: Array = field(init=False)

    def __post_init__(self) -> None:
        count, first = len(self.acids), len(PLAIN)
        ids = tuple(s.id for s in PLAIN) + tuple(f"{form}.{a}" for form in ("acyl", "acid", "soap") for a in self.acids)
        grams = np.array([_molar_masses_g_mol(a) for a in self.acids]).T
        plain = np.array([1.0 / s.molar_mass_g_mol if s.molar_mass_g_mol else 0.0 for s in PLAIN])
        has_moles = np.array([a != RESIDUE for a in self.acids])
        put = object.__setattr__
        put(self, "ids", ids)
        put(self, "index", {species_id: row for row, species_id in enumerate(ids)})
        put(self, "mol_per_g", np.concatenate([plain, *(has_moles / row for row in grams)]))
        put(self, "charge", np.array([s.charge for s in PLAIN] + [0.0] * 2 * count + [-1.0] * count))
        put(self, "volatile", np.array([float(s.volatile) for s in PLAIN] + [0.0] * 3 * count))
        for place, form in enumerate(("acyl", "acid", "soap")):
            put(self, form, slice(first + place * count, first + (place + 1) * count))
        put(self, "soap_per_acyl", grams[2] / grams[0])
        put(self, "soap_per_acid", grams[2] / grams[1])
        self.charge[self.soap] *= has_moles

    def __len__(self) -> int:
        return len(self.ids)

    def row(self, species_id: str) -> int:
        """The row of a species; raises `UnknownName` when this basis does not hold it."""
        try:
            return self.index[species_id]
        except KeyError:
            raise UnknownName("species", species_id, self.ids) from None

    def zeros(self, *columns: int) -> Array:
        """An empty pot of shape (S,) or (S, *columns)."""
        return np.zeros((len(self.ids), *columns))

    def vector(self, mass_fractions: Mapping[str, float]) -> Array:
        """A composition (S,) from species ids and their grams per gram (or grams)."""
        out = self.zeros()
        for species_id, amount in mass_fractions.items():
            out[self.row(species_id)] += amount
        return out

    def as_dict(self, pot: Array) -> dict[str, float]:
        """The species of one pot (S,) that are not zero, by id."""
        return {species_id: float(g) for species_id, g in zip(self.ids, pot, strict=True) if g != 0.0}


def _molar_masses_g_mol(acid_id: str) -> tuple[float, float, float]:
    if acid_id == RESIDUE:
        return (1.0, 1.0, 1.0)
    acid = fatty_acid(acid_id)
    return acid.acyl_g_mol, acid.molar_mass_g_mol, acid.soap_g_mol


@lru_cache(maxsize=256)
def _basis(acids: tuple[str, ...]) -> Basis:
    return Basis((*acids, RESIDUE))


def basis_for(acids: Iterable[str]) -> Basis:
    """The basis that holds these fatty acids (any order, repeats allowed), in one fixed order."""
    return _basis(tuple(sorted(set(acids) - {RESIDUE})))


def acids_in(species_ids: Iterable[str]) -> set[str]:
    """The fatty acids that occur in species ids such as ``acyl.18:1n-9``."""
    return {sid.split(".", 1)[1] for sid in species_ids if sid.startswith(("acyl.", "acid.", "soap."))}
