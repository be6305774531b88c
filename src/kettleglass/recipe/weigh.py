"""The batch size, and weights that a scale can show: rounded, alkali down, everything checked again."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from kettleglass.errors import BadInput, Finding
from kettleglass.recipe.alkali import AlkaliSolver, fat_equivalents_mol, resolved_alkali
from kettleglass.recipe.recipe import Recipe
from kettleglass.recipe.sheet import Sheet, cook
from kettleglass.recipe.solve import Solved, fatty_shares, solve
from kettleglass.science import pot as pots
from kettleglass.science.basis import Array
from kettleglass.science.volume import volume_ml


@dataclass(frozen=True, eq=False)
class Weights:
    """What to weigh: `exact_g` solves the recipe, `weighed_g` is what the scales show, both (L,).

    `superfat_percent` is what the rounded weights give; `steps_g` the step used for each line.
    """

    solved: Solved
    exact_g: Array
    weighed_g: Array
    steps_g: Array
    superfat_percent: float
    factor: float
    findings: tuple[Finding, ...]

    @property
    def sheet(self) -> Sheet:
        """The charge sheet of these weights."""
        return self.solved.sheet

    @property
    def fats_g(self) -> float:
        """What percentages of fats are of, in g at this batch size."""
        return self.solved.fats_g * self.factor


@dataclass(frozen=True, slots=True)
class SizeOffer:
    """A slightly different batch size at which the alkali falls on a step of the scale."""

    factor: float
    fats_g: float
    alkali_g: float
    superfat_percent: float


def weigh(recipe: Recipe, sheet: Sheet) -> Weights:
    """Solve, scale to the batch size, and round to the scales; raises what `solve` raises."""
    solved = solve(recipe, sheet)
    factor = size_factor(recipe, solved)
    exact = solved.masses_g * factor
    solver = AlkaliSolver(recipe.alkali, sheet)
    steps = np.full(len(exact), float(recipe.scale.step_g))
    lye = [row for row, line in enumerate(sheet.lines) if line.stage == "lye" and solver.alkali_mol_per_g[row] > 0.0]
    steps[lye] = recipe.scale.lye_g
    rounded = np.round(exact / steps) * steps
    rounded[lye] = _down(exact[lye], steps[lye])
    if solver.lye:
        rounded = resolved_alkali(recipe, sheet, rounded)
        rounded[solver.lye] = _down(rounded[solver.lye], steps[solver.lye])
    rounded = np.round(rounded, 9)
    return Weights(
        solved,
        exact,
        rounded,
        steps,
        superfat_percent(sheet, rounded),
        factor,
        solved.findings + _too_small(sheet, exact, steps),
    )


def _down(masses: Array, steps: Array) -> Array:
    """The next lower step; a mass within a thousandth of a step below one counts as on it."""
    return np.asarray(np.floor(masses / steps + 1e-3) * steps)


def superfat_percent(sheet: Sheet, masses: Array) -> float:
    """Unsaponified share of the fats' equivalents after all stages, in % (negative: lye in excess)."""
    equivalents = fat_equivalents_mol(sheet, masses)
    if equivalents <= 0.0:
        return 0.0
    balance = float(pots.alkali_balance_mol(sheet.basis, cook(sheet, masses)))
    return -100.0 * balance / equivalents


def size_factor(recipe: Recipe, solved: Solved) -> float:
    """By how much everything is multiplied to reach the batch size asked for."""
    size, masses, sheet = recipe.size, solved.masses_g, solved.sheet
    if size.by == "as written":
        return 1.0
    if size.by in ("mould", "kettle"):
        return _volume_factor(recipe, solved)
    if size.by == "line":
        if size.line_key not in sheet.keys:
            raise BadInput(
                f"There is no line called “{size.line_key}” to scale to."
                if size.line_key
                else "No line is chosen to scale to.",
                remedy="Choose the ingredient of which you have a given amount.",
            )
        base = float(masses[sheet.keys.index(size.line_key)])
    else:
        base = solved.fats_g if size.by == "fats" else float(masses.sum())
    if not (base > 0.0 and size.value_g > 0.0):
        raise BadInput(
            "The batch size cannot be reached.",
            why="There is nothing yet to scale, or the size asked for is 0 g.",
            remedy="Add ingredients, and give a batch size above 0 g.",
        )
    return size.value_g / base


def _volume_factor(recipe: Recipe, solved: Solved) -> float:
    if recipe.size.by == "mould":
        room = recipe.mould.total_ml if recipe.mould else 0.0
        what = "mould"
    else:
        room, what = recipe.kettle.volume_ml * (1.0 - recipe.kettle.head_room), "kettle"
    _, likely, high = volume_ml(solved.sheet.basis, cook(solved.sheet, solved.masses_g))
    volume = likely if what == "mould" else high
    if not (room > 0.0 and volume > 0.0):
        raise BadInput(
            f"The recipe cannot be scaled to the {what}.",
            why=f"The {what} has no volume, or nothing is in the recipe yet.",
            remedy=f"Give the {what}'s inner measures and at least one ingredient.",
        )
    return room / volume


def _too_small(sheet: Sheet, exact: Array, steps: Array) -> tuple[Finding, ...]:
    """Lines that the scale cannot weigh to a twentieth of their mass."""
    out = []
    for line, material, mass, step in zip(sheet.lines, sheet.materials, exact, steps, strict=True):
        if 0.0 < mass < 10.0 * step:
            out.append(
                Finding(
                    "caution",
                    "below-scale",
                    f"{material.name}: {mass:.3g} g is little for a scale that shows {step:.3g} g.",
                    "Use a finer scale, or weigh out a stock of it ten times weaker.",
                    line.key,
                )
            )
    return tuple(out)


def size_offer(recipe: Recipe, weights: Weights, reach: float = 0.05) -> SizeOffer | None:
    """The batch size nearest by (within `reach`) at which the alkali needed falls on a step; None if it does.

    Tries every step of the lye scale within reach, rounds the other lines to their own steps, and takes the size
    that wastes least alkali; only for recipes with one solved alkali line.
    """
    sheet, steps = weights.sheet, weights.steps_g
    solver = AlkaliSolver(recipe.alkali, sheet)
    if len(solver.lye) != 1 or not weights.exact_g[solver.lye[0]] > 0.0:
        return None
    row = solver.lye[0]
    step, exact = steps[row], float(weights.exact_g[row])
    first, last = math.ceil(exact * (1 - reach) / step), math.floor(exact * (1 + reach) / step)
    if last < first or last - first > 2000:
        return None
    counts = np.arange(max(1, first), last + 1)
    others = np.round(weights.exact_g[:, None] * (counts * step / exact) / steps[:, None]) * steps[:, None]
    per_g = _alkali_per_g(weights, row)
    spare = per_g @ others - counts * step
    good = np.flatnonzero(spare >= -1e-9)
    if not good.size:
        return None
    best = good[np.argmin(spare[good] / counts[good] + 1e-4 * np.abs(counts[good] * step / exact - 1.0))]
    masses = others[:, best].copy()
    masses[row] = counts[best] * step
    gained = superfat_percent(sheet, masses)
    if abs(gained - recipe.alkali.superfat_percent) >= abs(weights.superfat_percent - recipe.alkali.superfat_percent):
        return None
    fats = float(fatty_shares(sheet) @ masses)
    return SizeOffer(float(counts[best] * step / exact), fats, float(masses[row]), gained)


def _alkali_per_g(weights: Weights, row: int) -> Array:
    """Grams of the solved alkali that one gram of each line takes, at the recipe's superfat (first order)."""
    sheet = weights.sheet
    basis, comp = sheet.basis, sheet.compositions
    superfat = weights.solved.superfat_percent / 100.0
    need = (1.0 - superfat) * (pots.acyl_mol(basis, comp) + pots.acid_mol(basis, comp)) + pots.weak_acid_mol(comp)
    need = need - pots.hydroxide_mol(comp)
    need[row] = 0.0
    supplied = float(pots.hydroxide_mol(comp[:, row]))
    taken = float(need @ weights.exact_g)
    amine = taken - supplied * float(weights.exact_g[row])
    scale = 1.0 if taken <= 0.0 else (taken - amine) / taken
    return np.asarray(need * scale / supplied)
