"""The charge sheet: a recipe's lines as arrays, and the staged cook that one pot and 100 000 pots share."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kettleglass.materials import Doubt, Material
from kettleglass.recipe.recipe import STAGES, Limits, Line, Recipe
from kettleglass.science import pot as pots
from kettleglass.science.basis import Array, Basis, acids_in, basis_for

Find = Callable[[Line], Material]
"""Gives the material (or lot) of a line; raises `UnknownName` when there is none."""


@dataclass(frozen=True, eq=False)
class Sheet:
    """Lines as arrays. L lines, J doubts, S species of `basis`; `rows` are the lines of each stage in order."""

    basis: Basis
    lines: tuple[Line, ...]
    materials: tuple[Material, ...]
    compositions: Array
    directions: Array
    owner: NDArray[np.intp]
    doubts: tuple[Doubt, ...]
    rows: tuple[tuple[int, ...], ...]

    @property
    def keys(self) -> tuple[str, ...]:
        """The line keys, in the maker's order."""
        return tuple(line.key for line in self.lines)

    def of_kind(self, *kinds: str) -> list[int]:
        """The lines whose material is of one of these kinds."""
        return [row for row, material in enumerate(self.materials) if material.kind in kinds]

    def species(self, species_id: str) -> Array:
        """Grams of a species per gram of each line, (L,)."""
        return np.asarray(self.compositions[self.basis.row(species_id)])


def charge_sheet(recipe: Recipe, find: Find) -> Sheet:
    """The arrays of a recipe; raises `UnknownName` for a material that `find` does not know."""
    materials = tuple(find(line) for line in recipe.lines)
    basis = basis_for({acid for material in materials for acid in acids_in(material.composition)})
    doubts = [(row, doubt) for row, material in enumerate(materials) for doubt in material.doubts]
    return Sheet(
        basis=basis,
        lines=recipe.lines,
        materials=materials,
        compositions=_columns(basis, [material.composition for material in materials]),
        directions=_columns(basis, [doubt.direction for _, doubt in doubts]),
        owner=np.array([row for row, _ in doubts], dtype=np.intp),
        doubts=tuple(doubt for _, doubt in doubts),
        rows=tuple(
            tuple(row for row, line in enumerate(recipe.lines) if line.stage == stage)
            for stage in STAGES
            if any(line.stage == stage for line in recipe.lines)
        ),
    )


def _columns(basis: Basis, compositions: Sequence[Mapping[str, float]]) -> Array:
    if not compositions:
        return basis.zeros(0)
    return np.column_stack([basis.vector(c) for c in compositions])


def cook(sheet: Sheet, masses_g: Array, z: Array | None = None) -> Array:
    """The pot after all stages, in g: (S,) for masses (L,), (S, N) for masses (L, N) or draws z (J, N).

    Each stage is poured into what is there, then reacts once (see `kettleglass.science.pot`).
    """
    pot: Array | None = None
    for rows in sheet.rows:
        added = _added(sheet, rows, masses_g, z)
        pot = _settled(sheet.basis, added if pot is None else pot + added)
    if pot is None:
        return sheet.basis.zeros(*masses_g.shape[1:])
    return pot


def _added(sheet: Sheet, rows: Sequence[int], masses_g: Array, z: Array | None) -> Array:
    lines = list(rows)
    if z is None:
        return pots.charge(sheet.compositions[:, lines], masses_g[lines])
    doubts = np.flatnonzero(np.isin(sheet.owner, lines))
    place = np.searchsorted(lines, sheet.owner[doubts])
    return pots.charge(
        sheet.compositions[:, lines], masses_g[lines], sheet.directions[:, doubts], place, z[doubts]
    )  # fmt: skip


def _settled(basis: Basis, pot: Array) -> Array:
    extents = pots.extents(basis, pot)
    return pots.apply(basis, pot, extents) if extents.any else pot


def cook_ledger(sheet: Sheet, masses_g: Array) -> Array:
    """Who brought what after all stages: (S, L) in g; its row sums are the pot of `cook`."""
    ledger = np.zeros_like(sheet.compositions)
    for rows in sheet.rows:
        lines = list(rows)
        ledger[:, lines] += sheet.compositions[:, lines] * masses_g[lines]
        extents = pots.extents(sheet.basis, ledger.sum(axis=1))
        if extents.any:
            ledger = pots.apply(sheet.basis, ledger, extents)
    return ledger


def nominal_z(sheet: Sheet) -> Array:
    """Where in its range each doubt's nominal value sits, (J,), from -1 to 1."""
    return np.array([doubt.figure.z_nominal for doubt in sheet.doubts])


def z_limits(doubt: Doubt, limits: Limits) -> tuple[float, float]:
    """The ends of a doubt's range as z, under the kind of limits asked for."""
    if limits == "where limits and fatty acids agree" and doubt.agreeing is not None:
        return doubt.agreeing
    return (-1.0, 1.0)
