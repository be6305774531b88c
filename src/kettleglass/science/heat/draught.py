"""What the maker's own weighings say about the next kettle: a factor on the reckoned loss, with its doubt.

Kettle and place have one factor f, and every cook strays from it: ln(factor of a cook) = ln f + e, with e normal of
standard deviation s, the scatter. Before anything is weighed ln f is normal about the model and s lognormal about its
assumed value; Bayes' rule (on a grid, no sampling) turns both into what they are after the weighings. A weighing counts
as much as its loss stands out of the rounding of the scale, so that a covered kettle that lost 3 g on a scale of 1 g
says little, and on a scale of 5 g next to nothing.

Open and covered kettles are learnt apart: draught acts on the open surface, the leak of a lid on its fit.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from kettleglass.errors import BadInput, Finding
from kettleglass.science.basis import Array
from kettleglass.science.draws import NORMAL_95
from kettleglass.science.heat.evaporation import Air, Opening, evaporate
from kettleglass.science.heat.liquid import Liquid

HANDLING_STEPS = 0.5
"""Standard deviation of one reading in steps of the scale, its rounding not counted (drops, drift; our estimate)."""
_STEP = 0.025
_CELLS = 360
_OFFSETS: Array = np.asarray((np.arange(_CELLS + 1) - 0.5 * _CELLS) * _STEP, dtype=np.float64)
"""Edges of the grid in ln f about the prior: 90 times less to 90 times more."""
_SCATTERS: Array = np.asarray(np.exp(np.linspace(-1.4, 1.4, 15)))
"""Scatters that are weighed against each other, as multiples of the assumed one."""
_SCATTER_SPREAD = 2.0
_CURVE: Array = np.asarray(np.exp(np.linspace(-5.2, 5.2, 53)))


@dataclass(frozen=True, slots=True)
class Prior:
    """What is held before anything is weighed: 95 % of next kettles lie within `spread` times of `factor`.

    `scatter` is the assumed standard deviation of ln(factor) from cook to cook; 95 % of kettles scatter within
    twice and half of it.
    """

    factor: float
    spread: float
    scatter: float

    @property
    def kettle_spread(self) -> float:
        """Standard deviation of ln f: what the spread of next kettles leaves when the mean scatter is taken off."""
        square = self.scatter**2 * float(_scatter_weights() @ _SCATTERS**2)
        return math.sqrt((math.log(self.spread) / NORMAL_95) ** 2 - square)


OPEN = Prior(1.0, 2.0, 0.15)
"""Formulas for the open pot differ by a factor of two either way; the scatter is assumed."""
COVERED = Prior(2.0, 5.0, 0.30)
"""Diffusion through a slit of 1 mm is the least of it: slits of 0.5 to 2 mm, and air that sinks in on one side while
vapour streams out on the other, make 0.4 to 10 times as much (our estimate). How a lid sits changes from cook to cook.
"""


@dataclass(frozen=True, slots=True)
class Draught:
    """The factor of the next kettle, likely and as a 95 % band, after so many weighings that could be learnt from.

    `scatter` is the likely standard deviation of ln(factor) from cook to cook. `findings` are about weighings that
    cannot be, which are not learnt from, and about those that are far off, which are.
    """

    factor: float
    low: float
    high: float
    weighings: int
    scatter: float
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class LossCurve:
    """The reckoned loss in g of one cook for factors (K,) from small to large, and all that could leave."""

    factors: Array
    losses_g: Array
    volatile_g: float

    def loss_g(self, factor: float | Array) -> Array:
        """The loss at a factor; between the reckoned ones its logarithm is linear in that of the factor."""
        logs = np.log(np.maximum(self.losses_g, 1e-12))
        return np.asarray(np.exp(np.interp(np.log(factor), np.log(self.factors), logs)))


@dataclass(frozen=True, slots=True, eq=False)
class Weighed:
    """A kettle weighed before and after a cook, in g, on a scale of that step (g); tare or no tare, but the same."""

    before_g: float
    after_g: float
    step_g: float
    curve: LossCurve
    covered: bool = False

    def __post_init__(self) -> None:
        for name, mass in (("earlier weight", self.before_g), ("later weight", self.after_g)):
            if not (math.isfinite(mass) and mass > 0.0):
                raise BadInput(f"The {name} is {mass:g} g.", remedy="Give what the scale showed, such as 2184 g.")
        if not (math.isfinite(self.step_g) and self.step_g > 0.0):
            raise BadInput(
                f"The step of the scale is {self.step_g:g} g.", remedy="Give its smallest step, such as 1 g."
            )

    @property
    def lost_g(self) -> float:
        """What the scale says has left."""
        return self.before_g - self.after_g

    def wrong(self, where: str = "weighing") -> Finding | None:
        """Why this weighing cannot be, or nothing; a lid cannot make a kettle lose more than it would without."""
        found = impossible_loss(self.lost_g, self.curve.volatile_g, self.step_g, where=where)
        most = float(self.curve.losses_g[-1])
        if found is not None or self.lost_g <= most + 2.0 * self.step_g:
            return found
        if not self.covered:
            return Finding(
                "caution", "kettle-lost-too-fast",
                f"The kettle lost {self.lost_g:.0f} g; in that time and at that temperature no draught takes more than"
                f" {most:.0f} g.",
                "Are the time and the temperature those of what was weighed? Was something spilled?", where,
            )  # fmt: skip
        return Finding(
            "caution", "kettle-lost-as-if-open",
            f"The covered kettle lost {self.lost_g:.0f} g, more than the {most:.0f} g reckoned for the open one.",
            "Was the lid off for a while? Then enter it as an open kettle. Was something spilled or ladled out?", where,
        )  # fmt: skip

    def odd(self, where: str = "weighing") -> Finding | None:
        """What is strange about a weighing that can be and is learnt from: far from all that is held beforehand."""
        prior = COVERED if self.covered else OPEN
        few, many = (float(self.curve.loss_g(prior.factor * prior.spread**power)) for power in (-2.0, 2.0))
        if few - 2.0 * self.doubt_g <= self.lost_g <= many + 2.0 * self.doubt_g:
            return None
        lid = "covered" if self.covered else "open"
        return Finding(
            "note", "kettle-far-off",
            f"The {lid} kettle lost {self.lost_g:.0f} g, where {few:.0f} to {many:.0f} g are reckoned at the outside."
            " Once kept, it is learnt from all the same.",
            "Was the lid on both times or on neither, and as entered? Are time, temperature and digits right? If not,"
            " leave it out.", where,
        )  # fmt: skip

    @property
    def doubt_g(self) -> float:
        """Standard deviation of that: two readings, each rounded and handled."""
        return self.step_g * math.sqrt(2.0 * (1.0 / 12.0 + HANDLING_STEPS**2))


def loss_curve(
    grams: Array,
    beside: Liquid | float,
    minutes: float,
    temperature_c: float,
    opening: Opening,
    *,
    air: Air | None = None,
) -> LossCurve:
    """The loss of one pot (C,) for all factors that could be learnt, reckoned at once as `evaporate` does."""
    run = evaporate(grams, beside, minutes, temperature_c, opening, air, factor=_CURVE)
    rates = run.rate_g_per_s.max(axis=1)
    can_leave = rates > 1e-9 * max(float(rates.max()), 1e-30)
    losses = np.maximum.accumulate(run.lost_g.sum(axis=0))
    return LossCurve(_CURVE, losses, float(np.asarray(grams)[can_leave].sum()))


def impossible_loss(lost_g: float, volatile_g: float, step_g: float, *, where: str = "weighing") -> Finding | None:
    """What is wrong with a loss by the scale: a kettle that gained weight, or lost more than can evaporate."""
    if lost_g < -2.0 * step_g:
        return Finding(
            "caution", "kettle-gained",
            f"The kettle gained {-lost_g:.0f} g, which it cannot do by itself.",
            "Was something added, was the lid on the scale this time, or is a digit wrong?", where,
        )  # fmt: skip
    if lost_g > volatile_g + 2.0 * step_g:
        return Finding(
            "caution", "kettle-lost-too-much",
            f"The kettle lost {lost_g:.0f} g, but only {volatile_g:.0f} g in it can evaporate.",
            "Was something spilled, poured off or ladled out, or weighed without the lid? Weigh again.", where,
        )  # fmt: skip
    return None


def learn(weighings: Iterable[Weighed], *, covered: bool = False, prior: Prior | None = None) -> Draught:
    """The factor of the next kettle after these weighings, of which only those covered, or only those open, count.

    Weighings that cannot be are answered with a `Finding` (their number from 1 in `where`) and left out; those that are
    only far off with one too, but they count. The order of the weighings does not matter.
    """
    prior = prior or (COVERED if covered else OPEN)
    findings: list[Finding] = []
    sound: list[Weighed] = []
    for number, weighed in enumerate(weighings, start=1):
        if weighed.covered != covered:
            continue
        wrong = weighed.wrong(f"weighing {number}")
        if wrong is None:
            sound.append(weighed)
        said = wrong or weighed.odd(f"weighing {number}")
        findings += [] if said is None else [said]
    if not sound:
        low, high = prior.factor / prior.spread, prior.factor * prior.spread
        return Draught(prior.factor, low, high, 0, prior.scatter, tuple(findings))
    return _summary(prior, _posterior(prior, sound), len(sound), tuple(findings))


def _posterior(prior: Prior, weighings: Sequence[Weighed]) -> Array:
    """The chance of every scatter and ln f, (scatters, cells)."""
    spread = prior.kettle_spread
    within_cells = np.diff(_normal_share(_OFFSETS / spread))
    log_chance = np.log(_scatter_weights())[:, None] + np.log(np.maximum(within_cells, 1e-300))
    for weighed in weighings:
        seen = _log_seen(prior, weighed)
        top = float(seen.max())
        smeared = _kernels(prior.scatter) @ np.exp(seen - top)
        log_chance = log_chance + np.log(np.maximum(smeared, 1e-300))
    chance = np.exp(log_chance - log_chance.max())
    return np.asarray(chance / chance.sum())


def _log_seen(prior: Prior, weighed: Weighed) -> Array:
    """How likely the reading is, as a logarithm, for a cook whose ln(factor) lies in each cell.

    The reading is normal about the loss; over a cell the loss is taken as linear, so that a reading that is much finer
    than a cell is still counted whole.
    """
    losses = weighed.curve.loss_g(prior.factor * np.exp(_OFFSETS))
    z = (losses - weighed.lost_g) / weighed.doubt_g
    width = np.diff(z)
    nearest = np.where(z[:-1] * z[1:] <= 0.0, 0.0, np.minimum(np.abs(z[:-1]), np.abs(z[1:])))
    middle = -0.5 * (0.5 * (z[:-1] + z[1:])) ** 2 - 0.5 * math.log(2.0 * math.pi)
    share = np.diff(_normal_share(z)) / np.maximum(width, 1e-12)
    far = -0.5 * nearest**2 - np.log(np.maximum(width, 1.0) * np.maximum(nearest, 1.0)) - 0.5 * math.log(2.0 * math.pi)
    return np.where(width < 1e-3, middle, np.where(share > 1e-12, np.log(np.maximum(share, 1e-300)), far))


def _summary(prior: Prior, chance: Array, count: int, findings: tuple[Finding, ...]) -> Draught:
    following = np.einsum("sij,si->j", _kernels(prior.scatter), chance)
    low, likely, high = _quantiles(prior, following / following.sum(), (0.025, 0.5, 0.975))
    scatter = prior.scatter * math.exp(float(chance.sum(axis=1) @ np.log(_SCATTERS)))
    return Draught(likely, low, high, count, scatter, findings)


def _quantiles(prior: Prior, chance: Array, wanted: tuple[float, ...]) -> tuple[float, ...]:
    below = np.concatenate([[0.0], np.cumsum(chance)])
    return tuple(prior.factor * math.exp(float(np.interp(share, below, _OFFSETS))) for share in wanted)


def _normal_share(z: Array) -> Array:
    """The share of a standard normal below z."""
    return np.array([0.5 * math.erfc(-x) for x in (z / math.sqrt(2.0)).tolist()])


@lru_cache(maxsize=1)
def _scatter_weights() -> Array:
    """The prior chance of each of `_SCATTERS`: lognormal."""
    density = np.exp(-0.5 * (np.log(_SCATTERS) * NORMAL_95 / math.log(_SCATTER_SPREAD)) ** 2)
    return np.asarray(density / density.sum())


@lru_cache(maxsize=8)
def _kernels(scatter: float) -> Array:
    """For each scatter, from the cell of ln f to the cell of a cook's ln(factor): (scatters, cells, cells)."""
    far = np.abs(np.subtract.outer(np.arange(_CELLS), np.arange(_CELLS)))
    out = []
    for multiple in _SCATTERS:
        edges = (np.arange(-1, _CELLS) + 0.5) * _STEP / (scatter * multiple)
        out.append(np.diff(_normal_share(edges))[far])
    kernels = np.stack(out)
    return np.asarray(kernels / kernels.sum(axis=2, keepdims=True))


OPEN_PRIOR = learn(())
COVERED_PRIOR = learn((), covered=True)
"""What is held of a kettle that was never weighed."""
