"""How sure: random pots of the same recipe, the chance of free alkali, and which ingredient is to blame.

JCGM 101 (Monte Carlo) beside the first-order budget of the GUM. The random pots go through the same cook as the
one pot on the page; streams are named after the lot and the figure, so lines of one lot share their draw.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kettleglass.recipe.recipe import Certainty, Recipe
from kettleglass.recipe.sheet import Sheet, cook, z_limits
from kettleglass.recipe.solve import AlkaliSolver, fat_equivalents_mol
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
    """Random pots of one recipe. Free alkali is signed, in % NaOH of the pot: positive alkali, negative fat.

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

    @property
    def first_order_agrees(self) -> bool:
        """JCGM 101 clause 8: whether the first-order budget may be shown beside the random pots."""
        return abs(self.spread - self.first_order_spread) <= 0.05 * self.spread


def how_sure(recipe: Recipe, sheet: Sheet, masses_g: Array, steps_g: Array) -> HowSure:
    """Random pots around the weights (L,) given, with each line's scale step (L,), both in g."""
    certainty = recipe.certainty
    free, per_mol, parts = _random_pots(certainty, sheet, masses_g, steps_g)
    limit = certainty.free_alkali_limit_percent
    chance = float(np.mean(free > limit))
    low, median, high = (float(q) for q in np.quantile(free, (0.05, 0.5, 0.95)))
    blames, first_order = _budget(certainty, sheet, masses_g, steps_g)
    return HowSure(
        samples=free, limit_percent=limit, chance_free_alkali=chance, chance_error=chance_error(chance, len(free)),
        low=low, median=median, high=high, spread=float(free.std()), first_order_spread=first_order, blames=blames,
        bands={name: band for name, values in parts.items() if (band := _band(values))},
        cloud=np.array([parts[name][:CLOUD] for name in ("soap", "water", "solvents")]),
        cure_superfat_percent=_cure(recipe, sheet, masses_g, free, per_mol), seed=certainty.seed,
    )  # fmt: skip


def draws(certainty: Certainty, sheet: Sheet) -> Array:
    """z - z_nominal of every doubt, (J, N); doubts of one key share their stream."""
    out = np.empty((len(sheet.doubts), certainty.draws))
    seen: dict[str, Array] = {}
    for row, doubt in enumerate(sheet.doubts):
        if doubt.key not in seen:
            limits = z_limits(doubt, certainty.limits)
            seen[doubt.key] = draw_z(certainty.seed, doubt.key, doubt.figure.shape, certainty.draws, limits)
        out[row] = seen[doubt.key] - doubt.figure.z_nominal
    return out


def random_masses(certainty: Certainty, sheet: Sheet, masses_g: Array, steps_g: Array) -> Array:
    """What the scale may hide: each weighing is even within half a step to either side, (L, N) in g."""
    out = np.empty((len(masses_g), certainty.draws))
    for row, key in enumerate(sheet.keys):
        out[row] = masses_g[row]
        if masses_g[row] > 0.0:
            half = min(0.5 * steps_g[row], masses_g[row])
            out[row] += half * stream(certainty.seed, f"weighing/{key}").uniform(-1.0, 1.0, certainty.draws)
    return out


def _random_pots(
    certainty: Certainty, sheet: Sheet, masses_g: Array, steps_g: Array
) -> tuple[Array, Array, dict[str, Array]]:
    """Free alkali (N,) in %, % per mole of alkali (N,), and what the pots hold, (N,) each."""
    z = draws(certainty, sheet)
    masses = random_masses(certainty, sheet, masses_g, steps_g)
    count = certainty.draws
    free, per_mol = np.empty(count), np.empty(count)
    composed = min(count, COMPOSED)
    parts: dict[str, Array] = {}
    for start in range(0, count, CHUNK):
        here = slice(start, min(count, start + CHUNK))
        pot = cook(sheet, masses[:, here], z[:, here])
        per_mol[here] = 100.0 * NAOH_G_MOL / pot.sum(axis=0)
        free[here] = pots.alkali_balance_mol(sheet.basis, pot) * per_mol[here]
        if start < composed:
            read = slice(0, composed - start)
            for name, values in window_quantities(sheet.basis, pot[:, read]).items():
                parts.setdefault(name, np.empty(composed))[start : start + len(values)] = values
    return free, per_mol, parts


def _band(values: Array) -> tuple[float, float] | None:
    """The 5 and 95 % quantiles (nearest rank below and above); None where a pot has no such figure."""
    last = len(values) - 1
    ranks = (int(0.05 * last), last - int(0.05 * last))
    low, high = np.partition(values, ranks)[list(ranks)]
    return (float(low), float(high)) if np.isfinite(low) and np.isfinite(high) else None


def _budget(certainty: Certainty, sheet: Sheet, masses_g: Array, steps_g: Array) -> tuple[tuple[Blame, ...], float]:
    """First-order budget (GUM 5.1.2) of free alkali in % NaOH: shares by source, largest first; and its spread."""
    total = float(masses_g.sum())
    if total <= 0.0:
        return (), 0.0
    row = _alkali_row(sheet)
    per_z = (row @ sheet.directions) * masses_g[sheet.owner] if sheet.doubts else np.zeros(0)
    terms: dict[str, tuple[str, str, float, float | None]] = {}
    for slope, doubt, owner in zip(per_z, sheet.doubts, sheet.owner, strict=True):
        spread = slope * spread_of_z(doubt.figure.shape, z_limits(doubt, certainty.limits))
        before = terms[doubt.key][2] if doubt.key in terms else 0.0
        terms[doubt.key] = (doubt.label, sheet.keys[owner], before + spread, doubt.figure.z_nominal)
    scale = np.abs(row @ sheet.compositions) * np.minimum(0.5 * steps_g, masses_g) / 3.0**0.5
    for key, spread in zip(sheet.keys, scale, strict=True):
        terms[f"weighing/{key}"] = (f"weighing of {key}", key, float(spread), None)
    variance = sum(term[2] ** 2 for term in terms.values())
    if variance <= 0.0:
        return (), 0.0
    blames = [Blame(label, key, spread**2 / variance, z) for label, key, spread, z in terms.values() if spread != 0.0]
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


def _cure(recipe: Recipe, sheet: Sheet, masses_g: Array, free: Array, per_mol: Array) -> float | None:
    """The superfat (%) at which the chance of free alkali falls to the wanted one; None without solved alkali.

    Lowering the alkali by x mol lowers every pot's free alkali by x (its % per mol), so the answer is a quantile
    of the same random pots, no new draws.
    """
    equivalents = fat_equivalents_mol(sheet, masses_g)
    if equivalents <= 0.0 or not AlkaliSolver(recipe.alkali, sheet).lye:
        return None
    spare = (free - recipe.certainty.free_alkali_limit_percent) / per_mol
    less = float(np.quantile(spare, 1.0 - recipe.certainty.target_chance))
    nominal = float(pots.alkali_balance_mol(sheet.basis, cook(sheet, masses_g)))
    return 100.0 * (less - nominal) / equivalents
