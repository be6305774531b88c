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
class Round:
    """Lines that go in before one reaction: their rows in the sheet, their doubts, and whose doubts those are."""

    rows: NDArray[np.intp]
    doubts: NDArray[np.intp]
    owner: NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class Sheet:
    """Lines as arrays: L lines, J doubts, S species of `basis`; what reacts together goes in by `rounds`."""

    basis: Basis
    lines: tuple[Line, ...]
    materials: tuple[Material, ...]
    compositions: Array
    directions: Array
    owner: NDArray[np.intp]
    doubts: tuple[Doubt, ...]
    rounds: tuple[Round, ...]

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
    compositions = _columns(basis, [material.composition for material in materials])
    directions = _columns(basis, [doubt.direction for _, doubt in doubts])
    owner = np.array([row for row, _ in doubts], dtype=np.intp)
    both = [kind(basis, compositions) for kind in (pots.proton_givers, pots.proton_takers)]
    for sides, kind in zip(both, (pots.proton_givers, pots.proton_takers), strict=True):
        np.logical_or.at(sides, owner, kind(basis, directions))
    return Sheet(
        basis=basis,
        lines=recipe.lines,
        materials=materials,
        compositions=compositions,
        directions=directions,
        owner=owner,
        doubts=tuple(doubt for _, doubt in doubts),
        rounds=tuple(_round(rows, owner) for rows in _rounds(recipe.lines, *both)),
    )


def _rounds(lines: Sequence[Line], gives: NDArray[np.bool_], takes: NDArray[np.bool_]) -> list[list[int]]:
    """The lines that go in before each reaction.

    Stages run in order; a round ends where a stage brought something reactive and acids have met what takes them.
    What cannot react may go in at any time, so it joins the first round: one product then charges most recipes.
    """
    reacts = gives | takes
    waiting = [row for row in range(len(lines)) if not reacts[row]]
    rounds: list[list[int]] = []
    seen: list[int] = []
    for stage in STAGES:
        here = [row for row, line in enumerate(lines) if line.stage == stage and reacts[row]]
        waiting, seen = waiting + here, seen + here
        if here and gives[seen].any() and takes[seen].any():
            rounds.append(sorted(waiting))
            waiting = []
    return [*rounds, sorted(waiting)] if waiting else rounds


def _round(rows: list[int], owner: NDArray[np.intp]) -> Round:
    doubts = np.flatnonzero(np.isin(owner, rows))
    return Round(np.array(rows, dtype=np.intp), doubts, np.searchsorted(rows, owner[doubts]))


def _columns(basis: Basis, compositions: Sequence[Mapping[str, float]]) -> Array:
    if not compositions:
        return basis.zeros(0)
    return np.column_stack([basis.vector(c) for c in compositions])


def cook_paste(sheet: Sheet, masses_g: Array) -> Array:
    """The pot (S,) in g as the paste stands before the clearing solvents: fats, lye and paste stages alone."""
    early = np.array([line.stage in ("fats", "lye", "paste") for line in sheet.lines], dtype=bool)
    return cook(sheet, np.where(early, masses_g, 0.0))


def cook(sheet: Sheet, masses_g: Array, z: Array | None = None) -> Array:
    """The pot after all stages, in g: (S,) for masses (L,), (S, N) for masses (L, N) or draws z (J, N).

    Each round is poured into what is there, then reacts once (see `kettleglass.science.pot`).
    """
    pot: Array | None = None
    for lines in sheet.rounds:
        added = pots.charge(
            sheet.compositions[:, lines.rows],
            masses_g[lines.rows],
            sheet.directions[:, lines.doubts],
            lines.owner,
            None if z is None else z[lines.doubts],
        )
        pot = added if pot is None else np.add(pot, added, out=added)
        extents = pots.extents(sheet.basis, pot)
        if extents.any:
            pots.apply(sheet.basis, pot, extents, in_place=True)
    return sheet.basis.zeros(*masses_g.shape[1:]) if pot is None else pot


def cook_ledger(sheet: Sheet, masses_g: Array) -> Array:
    """Who brought what after all stages: (S, L) in g; its row sums are the pot of `cook`."""
    ledger = np.zeros_like(sheet.compositions)
    for lines in sheet.rounds:
        ledger[:, lines.rows] += sheet.compositions[:, lines.rows] * masses_g[lines.rows]
        extents = pots.extents(sheet.basis, ledger.sum(axis=1))
        if extents.any:
            pots.apply(sheet.basis, ledger, extents, in_place=True)
    return ledger


def z_limits(doubt: Doubt, limits: Limits) -> tuple[float, float]:
    """The ends of a doubt's range as z, under the kind of limits asked for."""
    if limits == "where limits and fatty acids agree" and doubt.agreeing is not None:
        return doubt.agreeing
    return (-1.0, 1.0)
