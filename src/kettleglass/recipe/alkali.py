"""The alkali: the least that leaves the superfat asked for after the last stage, and the water of the lye."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from kettleglass.errors import BadInput, Finding
from kettleglass.recipe.recipe import AlkaliPlan, LyeWater, Recipe
from kettleglass.recipe.sheet import Sheet, cook
from kettleglass.science import pot as pots
from kettleglass.science.basis import Array
from kettleglass.science.species import formula_mass_g_mol

OH_G_MOL = formula_mass_g_mol("OH")
WATERY = 0.5
"""From this share of water on, a line of the lye stage can be left to the lye water."""


@dataclass(frozen=True, slots=True)
class LyeFilled:
    """The lye as filled: pure alkali and all its water, in g, and what had to be said."""

    pure_alkali_g: float
    total_g: float
    findings: tuple[Finding, ...]


class AlkaliSolver:
    """Finds the least alkali that leaves the superfat asked for after the last stage, and the lye water."""

    def __init__(self, plan: AlkaliPlan, sheet: Sheet) -> None:
        self.plan, self.sheet = plan, sheet
        self.alkali_mol_per_g = sheet.species("hydroxide") / OH_G_MOL
        solved = [r for r, line in enumerate(sheet.lines) if line.amount.by == "solve"]
        self.lye = [r for r in solved if self.alkali_mol_per_g[r] > 0.0]
        watery = sheet.species("water") >= WATERY
        self.water = [r for r in solved if r not in self.lye and watery[r] and sheet.lines[r].stage == "lye"]
        self.unsolvable = [r for r in solved if r not in self.lye and r not in self.water]
        self.grams_per_mol = self._grams_per_mol()

    def _grams_per_mol(self) -> Array:
        """Grams of each solved alkali line for one mole of hydroxide in all, (lye lines,)."""
        shares = np.array(
            [np.nan if self.sheet.lines[r].share is None else self.sheet.lines[r].share for r in self.lye]
        )
        unsaid = np.isnan(shares)
        rest = max(0.0, 1.0 - float(np.nansum(shares)))
        shares[unsaid] = rest / max(1, int(unsaid.sum()))
        if not self.lye:
            return shares
        if not shares.sum() > 0.0:
            raise BadInput("The alkali shares are all 0.", remedy="Give at least one alkali line a share.")
        per_g = self.alkali_mol_per_g[self.lye]
        grams = shares / per_g if self.plan.share_by == "mole" else shares
        return np.asarray(grams / float(grams @ per_g))

    def fill(self, masses: Array, fats_g: float) -> LyeFilled:
        """Write the solved alkali and lye water into `masses`; lines that cannot be solved weigh 0."""
        masses[self.unsolvable] = 0.0
        if self.lye:
            self.fill_alkali(masses)
        return self._fill_water(masses, fats_g)

    def fill_alkali(self, masses: Array) -> None:
        """Write the solved alkali alone into `masses`."""
        wanted = -self.plan.superfat_percent / 100.0 * fat_equivalents_mol(self.sheet, masses)
        target = min(wanted, 0.0)

        def balance(moles: float) -> float:
            masses[self.lye] = moles * self.grams_per_mol
            return float(pots.alkali_balance_mol(self.sheet.basis, cook(self.sheet, masses)))

        amine = float(self.sheet.species("triethanolamine") @ masses) * pots.MOL_PER_G["triethanolamine"]
        high = max(0.0, self._most(masses, target))
        if amine <= 0.0:
            moles = max(0.0, high + target - balance(high))
        else:
            moles = _least(balance, target, max(0.0, high - amine), high)
        masses[self.lye] = (moles + max(wanted, 0.0)) * self.grams_per_mol

    def _most(self, masses: Array, target: float) -> float:
        """Hydroxide in mol that would do without any help from triethanolamine."""
        masses[self.lye] = 0.0
        charged = self.sheet.compositions @ masses
        return float(pots.need_hydroxide_mol(self.sheet.basis, charged)) + target

    def _fill_water(self, masses: Array, fats_g: float) -> LyeFilled:
        lye_rows = [r for r, line in enumerate(self.sheet.lines) if line.stage == "lye"]
        pure = pure_alkali_g(self.sheet, masses)
        water_per_g = self.sheet.species("water")
        own = float(sum(water_per_g[r] * masses[r] for r in lye_rows if r not in self.water))
        wanted = wanted_lye_water_g(self.plan.water, pure, fats_g)
        for row in self.water:
            masses[row] = max(0.0, wanted - own) / len(self.water) / water_per_g[row]
        findings: tuple[Finding, ...] = ()
        if self.lye and own > wanted * (1.0 + 1e-9) + 1e-9:
            findings = (
                Finding(
                    "danger",
                    "lye-stronger-than-stock",
                    f"The lye asked for is stronger than the lye you have: its own water is already {own:.1f} g,"
                    f" and you ask for {wanted:.1f} g.",
                    "Use a stronger stock or flakes, or ask for a weaker lye. No water is added.",
                    "lye water",
                ),
            )
        return LyeFilled(pure, max(own, wanted) if self.water else own, findings)


def _least(balance: Callable[[float], float], target: float, low: float, high: float) -> float:
    """The smallest moles in [low, high] whose balance reaches the target; the balance never falls."""
    slack = 1e-13 * max(1.0, abs(high))
    if balance(low) >= target - slack:
        return low
    for _ in range(80):
        step = low + (target - balance(low))
        if step > low + slack and abs(balance(step) - target) <= slack:
            return step
        middle = 0.5 * (low + high)
        if high - low <= 1e-15 * max(1.0, high):
            break
        if balance(middle) >= target - slack:
            high = middle
        else:
            low = middle
    return high


def fat_equivalents_mol(sheet: Sheet, masses: Array) -> float:
    """Moles of fatty acid groups, free, bound, or already soap (of a paste or base), that all lines bring."""
    basis, charged = sheet.basis, sheet.compositions @ masses
    return float(pots.acyl_mol(basis, charged) + pots.acid_mol(basis, charged) + pots.soap_mol(basis, charged))


def pure_alkali_g(sheet: Sheet, masses: Array) -> float:
    """Grams of NaOH and KOH in the lines of the lye stage, without water, carbonate or other company."""
    basis = sheet.basis
    rows = [r for r, line in enumerate(sheet.lines) if line.stage == "lye"]
    lye = sheet.compositions[:, rows] @ masses[rows] if rows else basis.zeros()
    cations = list(pots.CATIONS)
    moles = float(basis.mol_per_g[cations] @ lye[cations])
    if moles <= 0.0:
        return 0.0
    return float(pots.hydroxide_mol(lye)) * (OH_G_MOL + float(lye[cations].sum()) / moles)


def wanted_lye_water_g(water: LyeWater, pure_alkali: float, fats_g: float) -> float:
    """All the water that the lye is to hold, in g."""
    if water.by == "ratio":
        return water.value * pure_alkali
    if water.by == "strength":
        return pure_alkali * (1.0 - water.value) / water.value
    return water.value * fats_g if water.by == "of fats" else water.value


def resolved_alkali(recipe: Recipe, sheet: Sheet, masses: Array, superfat_percent: float | None = None) -> Array:
    """The masses with only the alkali solved anew (lye water stays), for weights that were rounded."""
    plan = recipe.alkali if superfat_percent is None else replace(recipe.alkali, superfat_percent=superfat_percent)
    out = masses.copy()
    solver = AlkaliSolver(plan, sheet)
    if solver.lye:
        solver.fill_alkali(out)
    return out
