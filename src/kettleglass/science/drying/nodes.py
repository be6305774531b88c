"""The grid of shapes that a forecast weighs against each other: coarse first, then fine where the chance lies."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from kettleglass.science.basis import Array
from kettleglass.science.drying.laws import TAU_DAYS, TAU_SPREAD, Law

_FINE = 48
_NEGLIGIBLE = 14.0
"""Shapes less likely than the best by this in ln are left out of the fine grid."""
_STEP = float(np.log(TAU_DAYS[1] / TAU_DAYS[0]))


@dataclass(frozen=True, slots=True, eq=False)
class Nodes:
    """Shapes of one law: tau in days (K,), the other parameters (K, P), ln of the prior chance of each (K,)."""

    law: Law
    tau_days: Array
    others: Array
    log_prior: Array

    def left(self, days: Array) -> Array:
        """S at days (T,): (K, T)."""
        return self.law.left(days, self.tau_days, self.others)


@lru_cache(maxsize=16)
def coarse(law: Law) -> Nodes:
    """The whole grid of a law."""
    return _nodes(law, np.log(TAU_DAYS), _STEP, np.arange(len(law.log_weight)))


def fine(nodes: Nodes, log_chance: Array) -> Nodes:
    """The grid laid anew over where the chance `log_chance` (K,) of coarse nodes lies; the same prior, smaller cells.

    Where it lies nearly everywhere the coarse grid is fine enough and is given back.
    """
    table = log_chance.reshape(len(TAU_DAYS), -1)
    likely = table > table.max() - _NEGLIGIBLE
    rows = np.flatnonzero(likely.any(axis=1))
    low, high = max(0, int(rows[0]) - 1), min(len(TAU_DAYS) - 1, int(rows[-1]) + 1)
    if high - low > 0.6 * len(TAU_DAYS):
        return nodes
    # From edge to edge of the outermost cells, so that the chance of the end cells stays whole.
    start, width = float(np.log(TAU_DAYS[low])) - 0.5 * _STEP, (high - low + 1) * _STEP / _FINE
    logs: Array = start + width * (np.arange(_FINE, dtype=np.float64) + 0.5)
    return _nodes(nodes.law, logs, width, np.flatnonzero(likely.any(axis=0)))


def _nodes(law: Law, log_tau: Array, width: float, kept: NDArray[np.intp]) -> Nodes:
    """Every pair of a tau and a kept row of the other parameters; the slowest index is tau."""
    prior = _log_density(law, log_tau) + np.log(width) - _log_total(law)
    log_prior = prior[:, None] + law.log_weight[kept]
    return Nodes(
        law, np.exp(np.repeat(log_tau, len(kept))), np.tile(law.others[kept], (len(log_tau), 1)), log_prior.ravel()
    )


def _log_density(law: Law, log_tau: Array) -> Array:
    return np.asarray(-0.5 * ((log_tau - np.log(law.middle_days)) / TAU_SPREAD) ** 2)


def _log_total(law: Law) -> float:
    return float(np.log(np.exp(_log_density(law, np.log(TAU_DAYS))).sum() * _STEP))
