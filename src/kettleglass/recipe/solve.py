"""From amounts as people think of them to grams for every line, the alkali solved through the stages."""

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
FATTY_KINDS = ("fat", "fatty acid")
_ROUNDS = 60
_UNSAID_FATS_G = 500.0


@dataclass(frozen=True, eq=False)
class Solved:
    """Grams of every line (L,), before rounding, and what had to be said on the way."""

    sheet: Sheet
    masses_g: Array
    fats_g: float
    pure_alkali_g: float
    lye_water_g: float
    superfat_percent: float
    findings: tuple[Finding, ...]


def solve(recipe: Recipe, sheet: Sheet) -> Solved:
    """Grams of every line as written (before the batch size), (L,).

    Fats first; then, until it stands still, lye and lye water, and amounts in % of the whole or of the soap.
    Raises `BadInput` when the percentages of the whole leave no room, or an amount by volume has no density.
    """
    findings: list[Finding] = []
    masses = _by_mass(recipe, sheet)
    fats = _solve_fats(recipe, sheet, masses, findings)
    for key_row, line in enumerate(recipe.lines):
        if line.amount.by == "% of fats" and line.stage != "fats":
            masses[key_row] = fats * line.amount.value / 100.0
    relative = [r for r, line in enumerate(recipe.lines) if line.amount.by in ("% of whole", "% of soap")]
    alkali = AlkaliSolver(recipe.alkali, sheet)
    for _ in range(_ROUNDS if relative else 1):
        before = masses.copy()
        water = alkali.fill(masses, fats)
        _solve_relative(recipe, sheet, masses, relative)
        if np.allclose(before, masses, rtol=1e-13, atol=1e-12):
            break
    water = alkali.fill(masses, fats)
    findings += water.findings
    return Solved(
        sheet, masses, fats, water.pure_alkali_g, water.total_g, recipe.alkali.superfat_percent, tuple(findings)
    )


def _by_mass(recipe: Recipe, sheet: Sheet) -> Array:
    masses = np.zeros(len(sheet.lines))
    for row, line in enumerate(recipe.lines):
        if line.amount.by == "g":
            masses[row] = line.amount.value
        elif line.amount.by == "mL":
            density = sheet.materials[row].density_g_ml
            if density is None:
                raise BadInput(
                    f"{sheet.materials[row].name} is given by volume, but its density is not known.",
                    remedy="Weigh it, or give the material a density.",
                )
            masses[row] = line.amount.value * density.value
    return masses


def fatty_shares(sheet: Sheet) -> Array:
    """Grams of fat per gram of each line, (L,): 1 for fats and fatty acids, what a paste holds otherwise."""
    basis = sheet.basis
    held = sum(sheet.compositions[part].sum(axis=0) for part in (basis.acyl, basis.acid, basis.soap))
    held = held + sheet.compositions[pots.BOUND_GLYCEROL] + sheet.compositions[pots.UNSAPONIFIABLE]
    whole = np.array([material.kind in FATTY_KINDS for material in sheet.materials])
    first = np.array([line.stage in ("fats", "paste") for line in sheet.lines])
    return np.where(first, np.where(whole, 1.0, held), 0.0)


def _solve_fats(recipe: Recipe, sheet: Sheet, masses: Array, findings: list[Finding]) -> float:
    """Fill in the fats given as shares; the mass of the fats in g."""
    shared = [r for r, line in enumerate(recipe.lines) if line.amount.by == "% of fats" and line.stage == "fats"]
    weighed = float(fatty_shares(sheet) @ masses)
    if not shared:
        return weighed
    percent = np.array([recipe.lines[row].amount.value for row in shared])
    total = float(percent.sum())
    if weighed > 0.0 and total < 100.0:
        fats = weighed / (1.0 - total / 100.0)
        masses[shared] = fats * percent / 100.0
        return fats
    if abs(total - 100.0) > 0.05 or weighed > 0.0:
        findings.append(
            Finding(
                "caution",
                "fat-shares-sum",
                f"The fats add up to {total:.4g} %.",
                "They were taken in these proportions; let them add up to 100 %.",
                "fats",
            )
        )
    fats = recipe.size.value_g if recipe.size.by == "fats" and recipe.size.value_g else _UNSAID_FATS_G
    masses[shared] = fats * percent / total if total > 0.0 else 0.0
    return fats + weighed


def _solve_relative(recipe: Recipe, sheet: Sheet, masses: Array, relative: list[int]) -> None:
    if not relative:
        return
    of_whole = [r for r in relative if recipe.lines[r].amount.by == "% of whole"]
    of_soap = [r for r in relative if recipe.lines[r].amount.by == "% of soap"]
    if of_soap:
        pot = cook(sheet, masses)
        soap = soap_g(sheet, pot)
        masses[of_soap] = [soap * recipe.lines[r].amount.value / 100.0 for r in of_soap]
    if of_whole:
        shares = np.array([recipe.lines[r].amount.value / 100.0 for r in of_whole])
        if shares.sum() >= 0.999:
            raise BadInput(
                f"The amounts in % of the whole add up to {100 * shares.sum():.4g} %.",
                why="Nothing is left for the fats and the lye.",
                remedy="Lower them, or give some of them by mass.",
            )
        rest = masses.sum() - masses[of_whole].sum()
        masses[of_whole] = shares * rest / (1.0 - shares.sum())


def soap_g(sheet: Sheet, pot: Array) -> float:
    """Anhydrous soap in g: soap anions and their share of the cations."""
    basis = sheet.basis
    cations = list(pots.CATIONS)
    moles = float(basis.mol_per_g[cations] @ pot[cations])
    anions = float(pot[basis.soap].sum())
    if moles <= 0.0:
        return anions
    return anions + float(pots.soap_mol(basis, pot)) * float(pot[cations].sum()) / moles


@dataclass(frozen=True, slots=True)
class _Water:
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
        self.water = [r for r in solved if r not in self.lye]
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

    def fill(self, masses: Array, fats_g: float) -> _Water:
        """Write the solved alkali and lye water into `masses`."""
        if self.lye:
            self.fill_alkali(masses)
        return self._fill_water(masses, fats_g)

    def fill_alkali(self, masses: Array) -> None:
        """Write the solved alkali alone into `masses`."""
        target = -self.plan.superfat_percent / 100.0 * fat_equivalents_mol(self.sheet, masses)

        def balance(moles: float) -> float:
            masses[self.lye] = moles * self.grams_per_mol
            return float(pots.alkali_balance_mol(self.sheet.basis, cook(self.sheet, masses)))

        amine = float(self.sheet.species("triethanolamine") @ masses) * pots.MOL_PER_G["triethanolamine"]
        high = max(0.0, self._most(masses, target))
        if amine <= 0.0:
            moles = max(0.0, high + target - balance(high))
        else:
            moles = _least(balance, target, max(0.0, high - amine), high)
        masses[self.lye] = moles * self.grams_per_mol

    def _most(self, masses: Array, target: float) -> float:
        """Hydroxide in mol that would do without any help from triethanolamine."""
        masses[self.lye] = 0.0
        charged = self.sheet.compositions @ masses
        return float(pots.need_hydroxide_mol(self.sheet.basis, charged)) + target

    def _fill_water(self, masses: Array, fats_g: float) -> _Water:
        lye_rows = [r for r, line in enumerate(self.sheet.lines) if line.stage == "lye"]
        pure = pure_alkali_g(self.sheet, masses)
        water_per_g = self.sheet.species("water")
        own = float(sum(water_per_g[r] * masses[r] for r in lye_rows if r not in self.water))
        if not self.water:
            return _Water(pure, own, ())
        wanted = wanted_lye_water_g(self.plan.water, pure, fats_g)
        share = max(0.0, wanted - own) / len(self.water)
        for row in self.water:
            masses[row] = share / water_per_g[row] if water_per_g[row] > 0.0 else 0.0
        findings: tuple[Finding, ...] = ()
        if own > wanted * (1.0 + 1e-9) + 1e-9:
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
        return _Water(pure, max(own, wanted), findings)


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
    """Moles of fatty acid groups, free or bound, that all lines bring."""
    charged = sheet.compositions @ masses
    return float(pots.acyl_mol(sheet.basis, charged) + pots.acid_mol(sheet.basis, charged))


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
