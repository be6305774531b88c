"""How sure: random pots of the same recipe, the chance of free alkali, and which ingredient is to blame.

JCGM 101 (Monte Carlo) beside the first-order budget of the GUM. The random pots go through the same cook as the
one pot on the page; streams are named after the lot and the figure, so lines of one lot share their draw.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from kettleglass.recipe.alkali import AlkaliSolver, fat_equivalents_mol, resolved_alkali
from kettleglass.recipe.leaving import finished_g
from kettleglass.recipe.recipe import Certainty, Recipe
from kettleglass.recipe.sheet import Sheet, cook, z_limits
from kettleglass.science import pot as pots
from kettleglass.science.basis import Array
from kettleglass.science.descriptors import window_quantities
from kettleglass.science.draws import chance_error, draw_z, spread_of_z, stream
from kettleglass.science.saponify import NAOH_G_MOL

CHUNK = 1024
"""Pots cooked at once; as many as stay in the processor's cache."""
COMPOSED = 2048
"""Pots whose composition is read for the bands (Monte Carlo error of a 5 % quantile: 0.5 points)."""
CLOUD = 200
"""Pots kept for the map."""


@dataclass(frozen=True, slots=True)
class Blame:
    """One source of doubt: its share of the variance of free alkali (0-1), and where its nominal value sits
    in its range (z from -1 to 1; None for weighing)."""

    label: str
    line_key: str
    share: float
    z_nominal: float | None


@dataclass(frozen=True, eq=False)
class HowSure:
    """Random pots of one recipe. Free alkali is signed, in % NaOH of the finished base: positive alkali, negative fat.

    `bands` are the 5 and 95 % quantiles of what the pot holds (keys and units of `window_quantities`); `samples`
    (N,) the free alkali; `cloud` (3, K) soap, water and solvents of the first pots, in % of the pot.
    `first_order_agrees`: whether GUM and Monte Carlo spreads differ by at most 5 %.
    """

    samples: Array
    limit_percent: float
    chance_free_alkali: float
    chance_error: float
    low: float
    median: float
    high: float
    spread: float
    first_order_spread: float
    blames: tuple[Blame, ...]
    bands: dict[str, tuple[float, float]]
    cloud: Array
    cure_superfat_percent: float | None
    seed: int

    def trim_mol(self, total_g: float) -> float:
        """Fatty acid in mol that takes up the free alkali of 95 finished bases of `total_g` in 100."""
        return max(0.0, self.high) / 100.0 * total_g / NAOH_G_MOL

    @property
    def first_order_agrees(self) -> bool:
        """JCGM 101 clause 8: whether the first-order budget may be shown beside the random pots."""
        return abs(self.spread - self.first_order_spread) <= 0.05 * self.spread


def how_sure(recipe: Recipe, sheet: Sheet, masses_g: Array, steps_g: Array) -> HowSure:
    """Random pots around the weights (L,) given, with each line's scale step (L,), both in g."""
    certainty = recipe.certainty
    errors = weighing_errors(certainty, sheet, masses_g, steps_g)
    drawn = _Chance(recipe, sheet, draws(certainty, sheet), errors)
    nominal = drawn.cooked(masses_g, parts=True)
    free, parts = nominal.free, nominal.parts
    limit = certainty.free_alkali_limit_percent
    chance = float(np.mean(free > limit))
    low, median, high = (float(q) for q in np.quantile(free, (0.05, 0.5, 0.95)))
    blames, first_order = _budget(recipe, sheet, masses_g, steps_g)
    return HowSure(
        samples=free, limit_percent=limit, chance_free_alkali=chance, chance_error=chance_error(chance, len(free)),
        low=low, median=median, high=high, spread=float(free.std()), first_order_spread=first_order, blames=blames,
        bands={name: band for name, values in parts.items() if (band := _band(values))},
        cloud=np.array([parts[name][:CLOUD] for name in ("soap", "water", "solvents")]),
        cure_superfat_percent=_cure(drawn, masses_g, nominal), seed=certainty.seed,
    )  # fmt: skip


def draws(certainty: Certainty, sheet: Sheet) -> Array:
    """z - z_nominal of every doubt, (J, N); doubts of one key share their stream, uncredited ones stay nominal."""
    out = np.zeros((len(sheet.doubts), certainty.draws))
    seen: dict[str, Array] = {}
    for row, doubt in enumerate(sheet.doubts):
        if not doubt.credited:
            continue
        if doubt.key not in seen:
            limits = z_limits(doubt, certainty.limits)
            seen[doubt.key] = draw_z(certainty.seed, doubt.key, doubt.figure.shape, certainty.draws, limits)
        out[row] = seen[doubt.key] - doubt.figure.z_nominal
    return out


def repeatability_g(step_g: float) -> float:
    """Standard deviation of one weighing beyond the step: 0.5 step up to 0.1 g, 0.3 step above (assumed)."""
    return (0.5 if step_g <= 0.1 else 0.3) * step_g


def weighing_errors(certainty: Certainty, sheet: Sheet, masses_g: Array, steps_g: Array) -> Array:
    """What the scale may hide, (L, N) in g: even within half a step to either side, and its repeatability."""
    out = np.zeros((len(masses_g), certainty.draws))
    for row, key in enumerate(sheet.keys):
        if masses_g[row] > 0.0:
            rng, step = stream(certainty.seed, f"weighing/{key}"), float(steps_g[row])
            out[row] = rng.uniform(-0.5 * step, 0.5 * step, certainty.draws)
            out[row] += repeatability_g(step) * rng.standard_normal(certainty.draws)
            np.maximum(out[row], -masses_g[row], out=out[row])
    return out


@dataclass(frozen=True, eq=False)
class _Pots:
    """Random pots: free alkali (N,) in % of the finished base, % per mole of alkali (N,), and what they hold."""

    free: Array
    per_mol: Array
    parts: dict[str, Array]


@dataclass(frozen=True, eq=False)
class _Chance:
    """The draws of one recipe, made once and cooked as often as needed."""

    recipe: Recipe
    sheet: Sheet
    z: Array
    errors: Array

    def cooked(self, masses_g: Array, *, parts: bool) -> _Pots:
        """The random pots around these masses; `parts`: whether to read what they hold as well."""
        count = self.z.shape[1] if len(self.z) else self.errors.shape[1]
        free, per_mol = np.empty(count), np.empty(count)
        composed = min(count, COMPOSED) if parts else 0
        held: dict[str, Array] = {}
        for start in range(0, count, CHUNK):
            here = slice(start, min(count, start + CHUNK))
            pot = cook(self.sheet, masses_g[:, None] + self.errors[:, here], self.z[:, here])
            per_mol[here] = 100.0 * NAOH_G_MOL / np.maximum(finished_g(self.recipe.losses, pot), 1e-9)
            free[here] = pots.alkali_balance_mol(self.sheet.basis, pot) * per_mol[here]
            if start < composed:
                for name, values in window_quantities(self.sheet.basis, pot[:, : composed - start]).items():
                    held.setdefault(name, np.empty(composed))[start : start + len(values)] = values
        return _Pots(free, per_mol, held)


def _band(values: Array) -> tuple[float, float] | None:
    """The 5 and 95 % quantiles (nearest rank below and above); None where a pot has no such figure."""
    last = len(values) - 1
    ranks = (int(0.05 * last), last - int(0.05 * last))
    low, high = np.partition(values, ranks)[list(ranks)]
    return (float(low), float(high)) if np.isfinite(low) and np.isfinite(high) else None


def _budget(recipe: Recipe, sheet: Sheet, masses_g: Array, steps_g: Array) -> tuple[tuple[Blame, ...], float]:
    """First-order budget (GUM 5.1.2) of free alkali in % NaOH: shares by source, largest first; and its spread."""
    certainty, total = recipe.certainty, float(finished_g(recipe.losses, cook(sheet, masses_g)))
    if total <= 0.0:
        return (), 0.0
    row = _alkali_row(sheet)
    per_z = (row @ sheet.directions) * masses_g[sheet.owner] if sheet.doubts else np.zeros(0)
    terms: dict[str, tuple[str, str, float, float | None]] = {}
    for slope, doubt, owner in zip(per_z, sheet.doubts, sheet.owner, strict=True):
        if not doubt.credited:
            continue
        spread = slope * spread_of_z(doubt.figure.shape, z_limits(doubt, certainty.limits))
        before = terms[doubt.key][2] if doubt.key in terms else 0.0
        terms[doubt.key] = (doubt.label, sheet.keys[owner], before + spread, doubt.figure.z_nominal)
    u_weighing = np.array([math.hypot(0.5 * step / 3.0**0.5, repeatability_g(step)) for step in steps_g])
    scale = np.abs(row @ sheet.compositions) * np.where(masses_g > 0.0, u_weighing, 0.0)
    for key, spread in zip(sheet.keys, scale, strict=True):
        terms[f"weighing/{key}"] = (f"weighing of {key}", key, float(spread), None)
    variance = sum(term[2] ** 2 for term in terms.values())
    if variance <= 0.0:
        return (), 0.0
    blames = [
        Blame(label, key, float(spread**2 / variance), z) for label, key, spread, z in terms.values() if spread != 0.0
    ]
    blames.sort(key=lambda blame: -blame.share)
    return tuple(blames), 100.0 * NAOH_G_MOL / total * float(np.sqrt(variance))


def _alkali_row(sheet: Sheet) -> Array:
    """Moles of free alkali per gram of each species, (S,): hydroxide less acids, esters and weak acids."""
    basis = sheet.basis
    row = basis.zeros()
    row[pots.HYDROXIDE] = basis.mol_per_g[pots.HYDROXIDE]
    for part in (basis.acyl, basis.acid):
        row[part] = -basis.mol_per_g[part]
    row[pots.CITRIC] = -3.0 * basis.mol_per_g[pots.CITRIC]
    row[pots.LACTIC] = -basis.mol_per_g[pots.LACTIC]
    return row


def _cure(chance: _Chance, masses_g: Array, nominal: _Pots) -> float | None:
    """The superfat (%) at which the chance of free alkali falls to the wanted one.

    None where the solved alkali cannot bring it about: nothing is solved, or what is fixed alone is too much.
    Lowering the alkali by x mol lowers every pot's free alkali by x (its % per mol), so the answer is a quantile of
    the same random pots. Triethanolamine breaks that line, so with it the superfat is found by bisection, on the
    same draws.
    """
    recipe, sheet = chance.recipe, chance.sheet
    equivalents, solver = fat_equivalents_mol(sheet, masses_g), AlkaliSolver(recipe.alkali, sheet)
    if equivalents <= 0.0 or not solver.lye:
        return None
    if float(sheet.species("triethanolamine") @ masses_g) > 0.0:
        return _cure_with_amine(chance, masses_g)
    spare = (nominal.free - recipe.certainty.free_alkali_limit_percent) / nominal.per_mol
    less = float(np.quantile(spare, 1.0 - recipe.certainty.target_chance))
    balance = float(pots.alkali_balance_mol(sheet.basis, cook(sheet, masses_g)))
    if less > float(solver.alkali_mol_per_g[solver.lye] @ masses_g[solver.lye]):
        return None
    return 100.0 * (less - balance) / equivalents


_MOST_SUPERFAT = 20.0


def _cure_with_amine(chance: _Chance, masses_g: Array) -> float | None:
    certainty = chance.recipe.certainty
    few = replace(chance, z=chance.z[:, :COMPOSED], errors=chance.errors[:, :COMPOSED])

    def too_many(superfat_percent: float) -> bool:
        masses = resolved_alkali(chance.recipe, chance.sheet, masses_g, superfat_percent)
        free = few.cooked(masses, parts=False).free
        return float(np.mean(free > certainty.free_alkali_limit_percent)) > certainty.target_chance

    low, high = chance.recipe.alkali.superfat_percent, _MOST_SUPERFAT
    if not too_many(low):
        return low
    if too_many(high):
        return None
    for _ in range(8):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if too_many(middle) else (low, middle)
    return high
