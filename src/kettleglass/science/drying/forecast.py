"""The forecast of a drying piece: the average over four laws, each weighed by how well it explains the weighings.

Exact on a grid of shapes (`nodes`) with a straight regression in each (`linear`); Student's t keeps a misread from
bending it. All that is shown is a quantile of draws from what is then held. The house's own simulations
(docs/evidence/drying.md) say how often its bands hold the truth.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from kettleglass.errors import BadInput
from kettleglass.science.basis import Array
from kettleglass.science.draws import stream
from kettleglass.science.drying.laws import LAWS, TAU_DAYS, Law
from kettleglass.science.drying.linear import Beliefs, Fits, fit, student_weights
from kettleglass.science.drying.nodes import Nodes, coarse, fine
from kettleglass.science.heat.warming import Band

HUMIDITY_FRACTION = 0.0012
"""Standard deviation of one weighing by swings of the room's humidity, as a share of the weight (our estimate)."""
START_SD_G = 50.0
ODD_BELOW = 0.3
"""A reading that counts less than this looks odd."""
SLOW_DAYS = 0.75 * float(TAU_DAYS[-1])
"""A time constant beyond this presses against the end of what can be seen."""
PASSES = 4
DRAWS = 2000
LOW, LIKELY, HIGH = 0.05, 0.5, 0.95
"""Bands here are the central 90 %."""


@dataclass(frozen=True, slots=True)
class Scale:
    """A scale: its smallest step in g, and the standard deviation of repeated readings in g, rounding not counted.

    Left open, the latter is half a step up to 0.1 g and 0.3 steps from 1 g on (our estimate).
    """

    step_g: float
    repeatability_g: float | None = None

    def __post_init__(self) -> None:
        if not (math.isfinite(self.step_g) and self.step_g > 0.0):
            raise BadInput(
                f"The step of the scale is {self.step_g:g} g.", remedy="Give its smallest step, as in 0.1 g."
            )
        if self.repeatability_g is not None and not 0.0 <= self.repeatability_g < math.inf:
            raise BadInput("The repeatability of the scale is no weight.", remedy="Give it in g, or leave it out.")

    @property
    def repeat_sd_g(self) -> float:
        """Standard deviation of repeated readings in g, before rounding."""
        if self.repeatability_g is not None:
            return self.repeatability_g
        return self.step_g * float(np.interp(math.log10(self.step_g), (-1.0, 0.0), (0.5, 0.3)))

    def variance_g2(self, weight_g: float, humidity_fraction: float = HUMIDITY_FRACTION) -> float:
        """Variance of one weighing of so many g in g²: repeatability, rounding (GUM F.2.2.1) and humid air."""
        return self.repeat_sd_g**2 + self.step_g**2 / 12.0 + (humidity_fraction * weight_g) ** 2


@dataclass(frozen=True, slots=True)
class LossPrior:
    """What is held of the final loss before anything is weighed, as a share (0-1) of the first weight; normal."""

    fraction: float = 0.10
    sd_fraction: float = 0.06

    def __post_init__(self) -> None:
        if not (0.0 < self.fraction < 1.0 and 0.0 < self.sd_fraction < math.inf):
            raise BadInput(
                "The expected loss is no share.", remedy="Give shares between 0 and 1, such as 0.10 and 0.06."
            )


@dataclass(frozen=True, slots=True, eq=False)
class Forecast:
    """Draws of what a piece may do: start weight and final loss in g (M,), and the shape of each draw's law.

    `days` (T,) count from the first weighing, `weights_g` are the readings as given, `counts` (T,) how much each
    counted (0-1), `law_chance` the chance of each law, `slow_chance` that of a piece slower than can be seen.
    """

    days: Array
    weights_g: Array
    variance_g2: float
    counts: Array
    law_chance: Mapping[str, float]
    slow_chance: float
    start_g: Array
    loss_g: Array
    law_of: NDArray[np.intp]
    tau_days: Array
    others: Array

    @property
    def today(self) -> float:
        """Day of the last weighing."""
        return float(self.days[-1])

    @property
    def plateau_draws_g(self) -> Array:
        """(M,): where each draw settles."""
        return self.start_g - self.loss_g

    @property
    def plateau_g(self) -> Band:
        """The weight at which the piece settles, in g, with the central 90 %."""
        return band(self.plateau_draws_g)

    @property
    def odd(self) -> tuple[int, ...]:
        """The places of readings that look odd."""
        return tuple(np.flatnonzero(self.counts < ODD_BELOW).tolist())

    def every(self, step: int) -> Forecast:
        """The same with every so many of its draws."""
        names = ("start_g", "loss_g", "law_of", "tau_days", "others")
        return replace(self, **{name: getattr(self, name)[::step] for name in names})

    def left(self, days: Array | float) -> Array:
        """S of every draw at days (D,), or at days (M, D) of its own: (M, D)."""
        at = np.atleast_1d(np.asarray(days, dtype=np.float64))
        own = np.broadcast_to(at, (len(self.start_g), at.shape[-1]))
        out = np.empty(own.shape)
        for number, name in enumerate(self.law_chance):
            here = self.law_of == number
            if here.any():
                law = LAWS[name]
                out[here] = law.share(
                    own[here], self.tau_days[here, None],
                    *(column[:, None] for column in self.others[here, : law.others.shape[1]].T),
                )  # fmt: skip
        return out

    def weight_draws_g(self, days: Array | float) -> Array:
        """The weight of every draw at days (D,) in g: (M, D)."""
        return np.asarray(self.start_g[:, None] - self.loss_g[:, None] * (1.0 - self.left(days)))

    def curve_g(self, days: Array) -> Array:
        """Low, likely and high weight in g at days (D,), central 90 %: (3, D)."""
        return np.asarray(np.quantile(self.weight_draws_g(days), (LOW, LIKELY, HIGH), axis=0))

    def still_to_lose_g(self, day: float) -> Array:
        """What every draw still loses after a day, in g: (M,)."""
        return np.asarray(self.loss_g * self.left(day)[:, 0])

    def loses_g(self, day: float, within_days: float) -> Array:
        """What every draw loses in so many days after a day, in g: (M,)."""
        left = self.left(np.array([day, day + within_days]))
        return np.asarray(self.loss_g * (left[:, 0] - left[:, 1]))


def band(draws: Array) -> Band:
    """The median and the central 90 % of draws."""
    low, likely, high = np.quantile(draws, (LOW, LIKELY, HIGH)).tolist()
    return Band(low, likely, high)


def forecast(
    days: Sequence[float] | Array, weights_g: Sequence[float] | Array, scale: Scale, prior: LossPrior | None = None, *,
    seed: int = 1, name: str = "drying", draws: int = DRAWS, laws: tuple[str, ...] = tuple(LAWS),
    exact_rounding: bool = False,
) -> Forecast:  # fmt: skip
    """What is held of a piece after weighings on `days` (from the first, in order) of `weights_g` in g.

    `prior` is that of an unknown recipe where none is given. The same seed and name give the same draws. With
    `exact_rounding` the draws are weighed by the chance of the very steps read, which helps only where the scale
    repeats far better than its step. Raises `BadInput` for fewer than two weighings, days out of order, or no weights.
    """
    at, read = checked(days, weights_g)
    around_g = usual_weight_g(read)
    variance = scale.variance_g2(around_g)
    beliefs = beliefs_of(around_g, prior or LossPrior())
    counts, found = explain(at, read, variance, beliefs, [LAWS[law] for law in laws])
    rng = stream(seed, name)
    picked = _draw(found, draws, rng)
    made = _made(at, read, variance, counts=counts, found=found, picked=picked)
    if exact_rounding:
        again = _by_steps(made, picked, scale, around_g, rng)
        made = _made(at, read, variance, counts=counts, found=found, picked=again)
    return made


@dataclass(frozen=True, slots=True, eq=False)
class Explained:
    """One law's fine grid with its fits, and ln of the chance of each node over all laws but for a constant."""

    nodes: Nodes
    fits: Fits
    log_chance: Array


def checked(days: Sequence[float] | Array, weights_g: Sequence[float] | Array) -> tuple[Array, Array]:
    """Days from the first weighing, and weights in g, as arrays; raises `BadInput`."""
    at, read = np.asarray(days, dtype=np.float64), np.asarray(weights_g, dtype=np.float64)
    if at.ndim != 1 or at.shape != read.shape or len(at) < 2:
        raise BadInput(
            "A forecast needs at least two weighings, each with its day.", remedy="Weigh again in a few days."
        )
    if not (np.isfinite(at).all() and np.isfinite(read).all() and (read > 0.0).all()):
        raise BadInput("A day or a weight is not a number above zero.", remedy="Correct it, as in day 3, 96.4 g.")
    if (np.diff(at) < 0.0).any():
        raise BadInput("The weighings are not in the order of their days.", remedy="Sort them by day.")
    return at - at[0], read


def usual_weight_g(weights_g: Array) -> float:
    """The first weight in g; the median of the first five where the first is far from it, and so a slip."""
    middle = float(np.median(weights_g[:5]))
    return float(weights_g[0]) if abs(weights_g[0] - middle) < 0.25 * middle else middle


def beliefs_of(around_g: float, prior: LossPrior) -> Beliefs:
    """The priors of a piece of about so many g."""
    return Beliefs(around_g, START_SD_G, prior.fraction * around_g, prior.sd_fraction * around_g)


def explain(
    days: Array, weights_g: Array, variance_g2: float, beliefs: Beliefs, laws: Sequence[Law]
) -> tuple[Array, list[Explained]]:
    """How much each reading counts (T,), and every law's fine grid with its chances."""
    grids = [coarse(law) for law in laws]
    lefts = [grid.left(days) for grid in grids]
    counts = first_counts(weights_g, variance_g2)
    logs: list[Array] = []
    for _ in range(PASSES):
        fits = [fit(left, weights_g, counts / variance_g2, beliefs) for left in lefts]
        logs = [grid.log_prior + one.log_likelihood for grid, one in zip(grids, fits, strict=True)]
        which = int(np.argmax([log.max() for log in logs]))
        node = int(np.argmax(logs[which]))
        start, loss = fits[which].mean_g[node]
        counts = student_weights(weights_g - start + loss * (1.0 - lefts[which][node]), variance_g2)
    out = []
    for grid, log in zip(grids, logs, strict=True):
        nodes = fine(grid, log)
        fits_here = fit(nodes.left(days), weights_g, counts / variance_g2, beliefs)
        out.append(Explained(nodes, fits_here, nodes.log_prior + fits_here.log_likelihood))
    return counts, out


def first_counts(weights_g: Array, variance_g2: float) -> Array:
    """How much each reading counts at first (T,): less where it is far from the middle of it and its neighbours."""
    if len(weights_g) < 3:
        return np.ones(len(weights_g))
    padded = np.concatenate([weights_g[2:3], weights_g, weights_g[-3:-2]])
    middle = np.median(np.stack([padded[:-2], padded[1:-1], padded[2:]]), axis=0)
    return student_weights(weights_g - middle, variance_g2 + (0.05 * middle) ** 2)


@dataclass(frozen=True, slots=True, eq=False)
class _Picked:
    """Which law and node each draw took, and its start weight and loss in g."""

    law: NDArray[np.intp]
    node: NDArray[np.intp]
    start_g: Array
    loss_g: Array

    def take(self, rows: NDArray[np.intp]) -> _Picked:
        return _Picked(self.law[rows], self.node[rows], self.start_g[rows], self.loss_g[rows])


def _draw(found: Sequence[Explained], wanted: int, rng: np.random.Generator) -> _Picked:
    """Draws of node, start weight and loss; those that gain weight in the end are thrown away.

    Where nearly all would be thrown away (a piece that takes up water), their loss counts as nothing instead.
    """
    logs = np.concatenate([one.log_chance for one in found])
    chance = np.cumsum(np.exp(logs - logs.max()))
    count = 2 * wanted
    rows = np.searchsorted(chance, (np.arange(count) + rng.uniform()) / count * chance[-1])
    rows = np.minimum(rows, len(logs) - 1)
    mean = np.concatenate([one.fits.mean_g for one in found])[rows]
    var_start, var_loss, cov = (
        np.concatenate([getattr(one.fits, what) for one in found])[rows] for what in ("var_start", "var_loss", "cov")
    )
    z = rng.standard_normal((2, count))
    loss = mean[:, 1] + np.sqrt(var_loss) * z[0]
    spare = np.maximum(var_start - cov**2 / var_loss, 0.0)
    start = mean[:, 0] + cov / np.sqrt(var_loss) * z[0] + np.sqrt(spare) * z[1]
    sizes = np.array([len(one.log_chance) for one in found])
    law = np.repeat(np.arange(len(found)), sizes)[rows]
    node = rows - (np.cumsum(sizes) - sizes)[law]
    drawn = _Picked(law, node, start, np.maximum(loss, 1e-9))
    loses = rng.permutation(np.flatnonzero(loss > 0.0))
    return drawn.take(np.sort(loses[:wanted]) if len(loses) >= 50 else np.arange(0, count, 2))


def _by_steps(made: Forecast, picked: _Picked, scale: Scale, around_g: float, rng: np.random.Generator) -> _Picked:
    """The draws taken anew by the chance that the scale shows just the steps it showed."""
    off = (made.weights_g - made.weight_draws_g(made.days))[:, made.counts >= ODD_BELOW]
    spread = math.hypot(scale.repeat_sd_g, HUMIDITY_FRACTION * around_g) * math.sqrt(2.0)
    edges = np.stack([off - 0.5 * scale.step_g, off + 0.5 * scale.step_g]) / spread
    below = np.array([math.erf(x) for x in edges.ravel().tolist()]).reshape(edges.shape)
    exact = np.log(np.maximum(0.5 * (below[1] - below[0]), 1e-300)).sum(axis=1)
    log_weight = exact + 0.5 * (off**2).sum(axis=1) / made.variance_g2
    chance = np.cumsum(np.exp(log_weight - log_weight.max()))
    at = (np.arange(len(chance)) + rng.uniform()) / len(chance) * chance[-1]
    return picked.take(np.minimum(np.searchsorted(chance, at), len(chance) - 1))


def _made(
    days: Array, weights_g: Array, variance_g2: float, *, counts: Array, found: Sequence[Explained], picked: _Picked
) -> Forecast:  # fmt: skip
    logs = [one.log_chance for one in found]
    top = max(float(log.max()) for log in logs)
    masses = [np.exp(log - top) for log in logs]
    total = sum(float(mass.sum()) for mass in masses)
    slow = sum(float(mass[one.nodes.tau_days > SLOW_DAYS].sum()) for one, mass in zip(found, masses, strict=True))
    tau, others = np.empty(len(picked.node)), np.zeros((len(picked.node), 2))
    for number, one in enumerate(found):
        here = picked.law == number
        tau[here] = one.nodes.tau_days[picked.node[here]]
        others[here, : one.nodes.others.shape[1]] = one.nodes.others[picked.node[here]]
    return Forecast(
        days, weights_g, variance_g2, counts,
        {one.nodes.law.name: float(mass.sum()) / total for one, mass in zip(found, masses, strict=True)},
        slow / total, picked.start_g, picked.loss_g, picked.law, tau, others,
    )  # fmt: skip
