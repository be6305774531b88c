"""Whether the weight of a wrapped piece holds: the slope of its weighings, and what it makes of the next two weeks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kettleglass.science.basis import Array
from kettleglass.science.draws import stream
from kettleglass.science.drying.forecast import DRAWS, PASSES, Scale, band, checked, first_counts, usual_weight_g
from kettleglass.science.drying.linear import student_weights
from kettleglass.science.drying.readiness import SURE, WRAP
from kettleglass.science.heat.warming import Band

MIN_WEIGHINGS = 3
MIN_DAYS = 7.0
"""What it takes before a wrapped weight can be said to hold (our rule)."""
HUMIDITY_FRACTION = 0.0003
"""As that of an open piece, but a wrapper keeps most of the room out (our estimate)."""
SLOPE_SD_PER_DAY = 0.01
"""What is held of the daily loss beforehand, as a share of the weight: about nothing, at most 2 % a day."""


@dataclass(frozen=True, slots=True)
class Wrapped:
    """The weight of a wrapped piece in g, its loss in the next 14 days in g (below 0: a gain), and whether it holds."""

    weight_g: Band
    next_14_days_g: Band
    chance: float
    enough: bool
    odd: tuple[int, ...]

    @property
    def holds(self) -> bool:
        """Whether gain or loss of the next 14 days stays below 0.3 % of the weight, with a chance of 0.9."""
        return self.enough and self.chance >= SURE


def wrapped(
    days: Sequence[float] | Array, weights_g: Sequence[float] | Array, scale: Scale, *, seed: int = 1
) -> Wrapped:
    """How well the weight of a wrapped piece holds: a straight line through the weighings, misreads counting less.

    `days` from the first weighing, in order; `weights_g` in g. Raises `BadInput` as `forecast` does.
    """
    at, read = checked(days, weights_g)
    around_g = usual_weight_g(read)
    variance = scale.variance_g2(around_g, HUMIDITY_FRACTION)
    counts = first_counts(read, variance)
    columns = np.column_stack([np.ones_like(at), at])
    prior = np.diag([1e-9, (SLOPE_SD_PER_DAY * around_g) ** -2.0])
    mean: Array = np.zeros(2)
    cov: Array = np.eye(2)
    for _ in range(PASSES):
        cov = np.asarray(np.linalg.inv(columns.T @ (columns * (counts / variance)[:, None]) + prior))
        mean = cov @ (columns.T @ (read * counts / variance))
        counts = student_weights(read - columns @ mean, variance)
    lower = np.linalg.cholesky(cov)
    start, slope = mean[:, None] + lower @ stream(seed, "wrapped").standard_normal((2, DRAWS))
    leaves = -slope * WRAP.within_days
    within = float((np.abs(leaves) < WRAP.limit_fraction * around_g).mean())
    enough = len(at) >= MIN_WEIGHINGS and float(at[-1]) >= MIN_DAYS
    odd = tuple(np.flatnonzero(counts < 0.3).tolist())
    return Wrapped(band(start + slope * at[-1]), band(leaves), within, enough, odd)
