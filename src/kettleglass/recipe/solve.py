"""From amounts as people think of them to grams for every line, the alkali solved through the stages."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kettleglass.errors import BadInput, Finding
from kettleglass.recipe.alkali import AlkaliSolver
from kettleglass.recipe.recipe import Recipe
from kettleglass.recipe.sheet import Sheet, cook
from kettleglass.science import pot as pots
from kettleglass.science.basis import Array
from kettleglass.science.descriptors import parts_g

FATTY_KINDS = ("fat", "fatty acid")
_ROUNDS = 100
_UNSAID_FATS_G = 500.0
_UNSAID_WHOLE_G = 1000.0
_TOO_MUCH_G = 1e11


@dataclass(frozen=True, eq=False)
class Solved:
    """Grams of every line (L,), before rounding, and what had to be said on the way.

    `fats_g` is what percentages of fats are of: the fats of the first stage, and the fatty part of a paste or base
    there; a fatty acid added later is an addition, not part of it.
    """

    sheet: Sheet
    masses_g: Array
    fats_g: float
    pure_alkali_g: float
    lye_water_g: float
    superfat_percent: float
    findings: tuple[Finding, ...]


def solve(recipe: Recipe, sheet: Sheet) -> Solved:
    """Grams of every line as written (before the batch size), (L,).

    Fats first; then, until nothing moves any more, amounts in % of the fats, of the whole and of the soap, lye and
    lye water. Raises `BadInput` when the percentages leave no room, when they drive each other without end, or when
    an amount by volume has no density.
    """
    findings: list[Finding] = []
    masses = _by_mass(recipe, sheet)
    _fill_shared_fats(recipe, sheet, masses, findings)
    solver, shares = AlkaliSolver(recipe.alkali, sheet), fatty_shares(sheet)
    findings += _unsolvable(sheet, solver)
    for _ in range(_ROUNDS):
        before = masses.copy()
        _fill_relative(recipe, sheet, masses, float(shares @ masses), findings)
        lye = solver.fill(masses, float(shares @ masses))
        if np.allclose(before, masses, rtol=1e-12, atol=1e-11):
            break
        if not masses.sum() < _TOO_MUCH_G:
            raise _endless(recipe)
    else:
        raise _endless(recipe)
    findings += lye.findings
    return Solved(
        sheet, masses, float(shares @ masses), lye.pure_alkali_g, lye.total_g, recipe.alkali.superfat_percent,
        tuple(dict.fromkeys(findings)),
    )  # fmt: skip


def _endless(recipe: Recipe) -> BadInput:
    names = [line.key for line in recipe.lines if line.amount.by in ("% of whole", "% of soap")]
    return BadInput(
        f"The amounts of {', '.join(names)} drive each other up without end.",
        why="They are shares of something that grows with them.",
        remedy="Lower them, or give one of them by mass.",
    )


def _unsolvable(sheet: Sheet, solver: AlkaliSolver) -> list[Finding]:
    return [
        Finding(
            "danger",
            "solve-what",
            f"{sheet.materials[row].name} is left to be solved, but only alkali and lye water can be: it counts as 0.",
            "Give its amount, such as “60 g”; or put water that belongs to the lye under Lye.",
            sheet.keys[row],
        )
        for row in solver.unsolvable
    ]


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
    """Grams of fat per gram of each line of the first stage, (L,): 1 for fats, what a paste or base holds otherwise."""
    basis = sheet.basis
    held = sum(sheet.compositions[part].sum(axis=0) for part in (basis.acyl, basis.acid, basis.soap))
    held = held + sheet.compositions[pots.BOUND_GLYCEROL] + sheet.compositions[pots.UNSAPONIFIABLE]
    whole = np.array([material.kind in FATTY_KINDS for material in sheet.materials])
    first = np.array([line.stage == "fats" for line in sheet.lines])
    return np.where(first, np.where(whole, 1.0, held), 0.0)


def _fill_shared_fats(recipe: Recipe, sheet: Sheet, masses: Array, findings: list[Finding]) -> None:
    """Fats of the first stage that are given as shares of the fats."""
    shared = [r for r, line in enumerate(recipe.lines) if line.amount.by == "% of fats" and line.stage == "fats"]
    if not shared:
        return
    weighed = float(fatty_shares(sheet) @ masses)
    percent = np.array([recipe.lines[row].amount.value for row in shared])
    total = float(percent.sum())
    if weighed > 0.0 and total < 100.0:
        masses[shared] = weighed / (1.0 - total / 100.0) * percent / 100.0
        return
    if weighed > 0.0:
        said = f"The fats given as shares already add up to {total:.4g} %, and {weighed:.4g} g more are given by mass."
        findings.append(_shares(said))
    elif abs(total - 100.0) > 0.05:
        findings.append(_shares(f"The fats add up to {total:.4g} %."))
    asked = recipe.size.value_g if recipe.size.by == "fats" else 0.0
    if not asked and recipe.size.by == "as written":
        findings.append(
            Finding("note", "fats-total-assumed", f"No fat has a mass: {_UNSAID_FATS_G:g} g of fats are assumed.",
                    "Give a batch size, or one fat by mass.", "size")
        )  # fmt: skip
    masses[shared] = (asked or _UNSAID_FATS_G) * percent / total if total > 0.0 else 0.0


def _shares(said: str) -> Finding:
    advice = "They were taken in these proportions; let the shares add up to 100 %, or leave room for what is weighed."
    return Finding("caution", "fat-shares-sum", said, advice, "fats")


def _fill_relative(recipe: Recipe, sheet: Sheet, masses: Array, fats_g: float, findings: list[Finding]) -> None:
    """Lines given in % of the fats (but those fats themselves), of the soap, and of the whole."""
    rows = {by: [r for r, line in enumerate(recipe.lines) if line.amount.by == by] for by in _RELATIVE}
    values = np.array([line.amount.value / 100.0 for line in recipe.lines])
    of_fats = [r for r in rows["% of fats"] if recipe.lines[r].stage != "fats"]
    masses[of_fats] = values[of_fats] * fats_g
    of_soap, of_whole = rows["% of soap"], rows["% of whole"]
    if of_soap:
        masses[of_soap] = soap_g(sheet, cook(sheet, masses)) * values[of_soap]
    if not of_whole:
        return
    share = float(values[of_whole].sum())
    if share >= 0.999:
        raise BadInput(
            f"The amounts in % of the whole add up to {100 * share:.4g} %.",
            why="Nothing is left for the fats and the lye.",
            remedy="Lower them, or give some of them by mass.",
        )
    if any(line.amount.by in ("g", "mL", "% of fats") and line.amount.value > 0.0 for line in recipe.lines):
        rest = float(masses.sum() - masses[of_whole].sum())
        masses[of_whole] = values[of_whole] * rest / (1.0 - share)
        return
    whole = recipe.size.value_g if recipe.size.by == "whole" and recipe.size.value_g else _UNSAID_WHOLE_G
    masses[of_whole] = values[of_whole] * whole
    findings.append(
        Finding("caution", "whole-shares-only", "Everything is given in % of the whole, so the lye comes on top of it.",
                "Give the fats in % of the fats or by mass; then the shares of the whole come out as typed.", "fats")
    )  # fmt: skip


_RELATIVE = ("% of fats", "% of soap", "% of whole")


def soap_g(sheet: Sheet, pot: Array) -> float:
    """Anhydrous soap in g: soap anions and their share of the cations."""
    return float(parts_g(sheet.basis, pot)["soap"])
