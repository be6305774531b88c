"""A piece that chipped: a fall that lasts, and that no drying explains. It is asked about, never taken for granted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kettleglass.science.basis import Array
from kettleglass.science.drying.forecast import LossPrior, Scale, beliefs_of, checked, first_counts, usual_weight_g
from kettleglass.science.drying.laws import LAWS
from kettleglass.science.drying.linear import Beliefs, fit, misfit, student_weights, with_step
from kettleglass.science.drying.nodes import coarse

FALL_OF_MISFIT = 6.0
"""By how much the robust misfit has to fall before a fall of weight is asked about (our simulations)."""
EARLIEST_DAY = 4.0
LATER_READINGS = 2
CANDIDATES = 2
LEAST_KEPT = 0.05
BROAD = LossPrior(0.12, 0.12)
"""A recipe that is off must not look like a lost piece: the search holds nearly any loss possible."""
_PASSES = 3


@dataclass(frozen=True, slots=True)
class LostPiece:
    """A fall of so many g between two weighings, `after` and `before` their days; `place` is that of the later one.

    `misfit_fall` says how much better the weighings are explained with it.
    """

    place: int
    after_day: float
    before_day: float
    lost_g: float
    misfit_fall: float


def lost_piece(
    days: Sequence[float] | Array, weights_g: Sequence[float] | Array, scale: Scale, *, known: int | None = None
) -> LostPiece | None:
    """The fall that a lost piece would explain, or nothing; searched with Page's law alone.

    The two largest unexplained falls from day 4 on are tried, each with at least two later readings; the better one
    counts if the misfit falls by more than 6. `known` is the place of the first weighing after a loss that the maker
    has seen: then only its size is found, with whatever readings there are. Raises `BadInput` as `forecast` does.
    """
    at, read = checked(days, weights_g)
    around_g = usual_weight_g(read)
    variance, beliefs = scale.variance_g2(around_g), beliefs_of(around_g, BROAD)
    without, residuals = _without(at, read, variance, beliefs)
    if known is None and at[-1] < EARLIEST_DAY:
        return None
    places = _candidates(at, residuals) if known is None else [known]
    tried = [_with(at, read, variance, beliefs, place) for place in places]
    if not tried:
        return None
    best = min(range(len(tried)), key=lambda row: tried[row][0])
    with_it, lost = tried[best]
    if known is None and (without - with_it <= FALL_OF_MISFIT or lost <= 0.0):
        return None
    place = places[best]
    return LostPiece(place, float(at[place - 1]), float(at[place]), max(0.0, lost), without - with_it)


def as_it_is_now(weights_g: Sequence[float] | Array, pieces: Sequence[LostPiece]) -> Array:
    """The readings (T,) in g as if the piece had always been as it is now: what came before a loss counts less.

    A part that breaks off takes along its share of what could still leave, so that the earlier weights shrink by the
    share that is gone.
    """
    out = np.array(weights_g, dtype=np.float64)
    for piece in pieces:
        before = out[piece.place - 1]
        out[: piece.place] *= max(LEAST_KEPT, 1.0 - piece.lost_g / before)
    return out


def _candidates(days: Array, residuals: Array) -> list[int]:
    falls = np.diff(residuals)
    places = np.arange(1, len(days))
    may = (places <= len(days) - 1 - LATER_READINGS + 1) & (falls < 0.0)
    order = places[may][np.argsort(falls[may], kind="stable")]
    return [int(place) for place in order[:CANDIDATES]]


def _without(days: Array, weights_g: Array, variance_g2: float, beliefs: Beliefs) -> tuple[float, Array]:
    """Misfit of the best shape without a fall, and its residuals (T,) in g."""
    nodes = coarse(LAWS["Page"])
    left = nodes.left(days)
    counts, residuals, pull = first_counts(weights_g, variance_g2), np.zeros_like(weights_g), 0.0
    for _ in range(_PASSES):
        found = fit(left, weights_g, counts / variance_g2, beliefs)
        node = int(np.argmax(found.log_likelihood + nodes.log_prior))
        start, loss = found.mean_g[node]
        residuals = weights_g - start + loss * (1.0 - left[node])
        counts = student_weights(residuals, variance_g2)
        pull = _pull(found.mean_g[node], beliefs) - 2.0 * float(nodes.log_prior[node])
    return misfit(residuals, variance_g2) + pull, residuals


def _with(days: Array, weights_g: Array, variance_g2: float, beliefs: Beliefs, place: int) -> tuple[float, float]:
    """Misfit of the best shape with a fall before the weighing in that place, and the fall in g."""
    nodes = coarse(LAWS["Page"])
    left = nodes.left(days)
    after = (np.arange(len(days)) >= place).astype(np.float64)
    counts, misfits = first_counts(weights_g + 0.0, variance_g2), (0.0, 0.0)
    for _ in range(_PASSES):
        peak, found = with_step(left, weights_g, counts / variance_g2, beliefs, after)
        node = int(np.argmax(peak + nodes.log_prior))
        start, loss, fall = found[node]
        residuals = weights_g - start + loss * (1.0 - left[node]) + fall * after
        counts = student_weights(residuals, variance_g2)
        pull = _pull(found[node, :2], beliefs) - 2.0 * float(nodes.log_prior[node])
        misfits = misfit(residuals, variance_g2) + pull, float(fall)
    return misfits


def _pull(mean_g: Array, beliefs: Beliefs) -> float:
    """How far start weight and loss were drawn from what was held beforehand, as a misfit."""
    return float((mean_g - beliefs.mean) ** 2 @ beliefs.precision)
