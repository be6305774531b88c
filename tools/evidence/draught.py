"""Thousands of invented kettles, weighed and learnt from: does the 95 % band hold the next one, and how it narrows."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from kettleglass.science.basis import Array
from kettleglass.science.draws import NORMAL_95, stream
from kettleglass.science.heat.draught import COVERED, HANDLING_STEPS, OPEN, LossCurve, Prior, Weighed, learn, loss_curve
from kettleglass.science.heat.evaporation import Air, Opening, evaporate
from kettleglass.science.heat.liquid import Liquid, liquid_of
from kettleglass.science.heat.vapour import COMPONENTS

KETTLES = 4000
AFTER = (0, 1, 3, 6)
COOKS = ((20.0, 80.0), (30.0, 77.0), (30.0, 80.0), (30.0, 82.0), (45.0, 78.0), (60.0, 75.0))
"""Minutes and temperature; the cooks of a kettle follow each other in this order from a random start."""
SHARES = {"soap": 0.26, "ethanol": 0.15, "glycerol": 0.15, "sucrose": 0.15, "water": 0.29}
POT_G = 4000.0
KETTLE_G = 6200.0
LOW_SHARE, HIGH_SHARE = 0.93, 0.97


@dataclass(frozen=True, slots=True)
class Setting:
    """One way of working: covered or not, and the scale; with a scatter that is fixed, or None for drawn."""

    name: str
    covered: bool
    step_g: float
    scatter: float | None = None

    @property
    def prior(self) -> Prior:
        """What is held of such a kettle."""
        return COVERED if self.covered else OPEN


DRAWN = (
    Setting("open, scale of 1 g", covered=False, step_g=1.0),
    Setting("open, scale of 5 g", covered=False, step_g=5.0),
    Setting("covered, scale of 1 g", covered=True, step_g=1.0),
    Setting("covered, scale of 5 g", covered=True, step_g=5.0),
)
FIXED = tuple(Setting(f"open, scatter {s:g}", covered=False, step_g=1.0, scatter=s) for s in (0.08, 0.15, 0.30))


@dataclass(frozen=True, slots=True)
class Found:
    """By number of weighings: next kettles inside the band, its high over its low end, error of the factor."""

    setting: Setting
    inside: tuple[float, ...]
    times: tuple[float, ...]
    off: tuple[float, ...]


def report(seed: int) -> str:
    """Tables of how often the band holds the next kettle, and of its width, after 0, 1, 3 and 6 weighings."""
    drawn = [found(setting, seed) for setting in DRAWN]
    fixed = [found(setting, seed) for setting in FIXED]
    wrong = [
        f"{row.setting.name} after {number}"
        for row in drawn
        for number, share in zip(AFTER, row.inside, strict=True)
        if not LOW_SHARE <= share <= HIGH_SHARE
    ]
    wanted = f"{LOW_SHARE:.0%} to {HIGH_SHARE:.0%}"
    verdict = f"outside {wanted}: {', '.join(wrong)}" if wrong else f"all within {wanted}"
    return "\n\n".join(
        [
            _how(),
            "## The next kettle inside its 95 % band",
            table((row.setting.name, [f"{share:.1%}" for share in row.inside]) for row in drawn),
            f"Result: {verdict}.",
            "## How the band narrows",
            "Its high end over its low end, median of the kettles.",
            table((row.setting.name, [f"{times:.2f}" for times in row.times]) for row in drawn),
            "## How far the likely factor is from the kettle's own",
            "Median, as a share of the kettle's own.",
            table((row.setting.name, [f"{off:.0%}" for off in row.off]) for row in drawn),
            "## When kettles scatter otherwise than assumed",
            _OTHERWISE,
            table((row.setting.name, [f"{share:.1%}" for share in row.inside]) for row in fixed),
        ]
    )


_OTHERWISE = (
    f"All kettles scatter alike here; {OPEN.scatter:g} is assumed, half and twice that held possible. A kettle that"
    " scatters twice as much shows it only by being weighed again and again."
)


def _how() -> str:
    """What was done, in words."""
    error = math.sqrt(0.05 * 0.95 / KETTLES)
    return (
        f"{KETTLES} invented kettles a row, none of them real. The pot: 4 kg of 26 % soap, 15 % each of ethanol,"
        " glycerol and sugar, 29 % water, 0.24 m across; cooks of 20 to 60 minutes at 75 to 82 °C. Each kettle has a"
        " factor and a scatter drawn from what is held before weighing. The true losses are reckoned with the whole"
        " model, then read before and after on the scale: rounded to its step, and off by half a step (standard"
        f" deviation) before that. Chance moves a share of 95 % by {error:.1%} (standard deviation)."
    )


def table(rows: Iterable[tuple[str, list[str]]]) -> str:
    """A table with one column for each number of weighings."""
    head = "| Kettles | " + " | ".join(f"after {number}" for number in AFTER) + " |\n|---|" + "---|" * len(AFTER)
    return "\n".join([head, *(f"| {name} | " + " | ".join(cells) + " |" for name, cells in rows)])


def found(setting: Setting, seed: int) -> Found:
    """All kettles of a setting, weighed, learnt from and held against the next cook."""
    rng = stream(seed, f"draught {setting.name}")
    prior = setting.prior
    spread = rng.normal(size=KETTLES) * math.log(2.0) / NORMAL_95
    scatter = prior.scatter * np.exp(spread) if setting.scatter is None else np.full(KETTLES, setting.scatter)
    kettle = math.log(prior.factor) + rng.normal(size=KETTLES) * prior.kettle_spread
    most = max(AFTER)
    cooks = kettle[:, None] + scatter[:, None] * rng.normal(size=(KETTLES, most + 1))
    which = (rng.integers(len(COOKS), size=KETTLES)[:, None] + np.arange(most)) % len(COOKS)
    curves = [_curve(setting, cook) for cook in COOKS]
    losses = _true_losses(setting, np.exp(cooks[:, :most]), which)
    before, after = (_read(KETTLE_G - gone, setting.step_g, rng) for gone in (np.zeros_like(losses), losses))
    rows = np.empty((len(AFTER), 3, KETTLES))
    for row in range(KETTLES):
        weighings = [
            Weighed(before[row, k], after[row, k], setting.step_g, curves[which[row, k]], setting.covered)
            for k in range(most)
        ]
        for place, number in enumerate(AFTER):
            band = learn(weighings[:number], covered=setting.covered)
            inside = band.low <= math.exp(cooks[row, most]) <= band.high
            rows[place, :, row] = inside, band.high / band.low, abs(band.factor / math.exp(kettle[row]) - 1.0)
    shares, middles = rows[:, 0].mean(axis=1), np.median(rows[:, 1:], axis=2)
    return Found(setting, tuple(shares.tolist()), *(tuple(column.tolist()) for column in middles.T))


def _pot() -> tuple[Array, Liquid]:
    whole = liquid_of(SHARES)
    grams = POT_G * np.array([SHARES.get(name, 0.0) for name in COMPONENTS])
    return grams, Liquid(POT_G * whole.moles, POT_G * whole.inert_mol)


def _mouth(setting: Setting) -> Opening:
    return Opening(0.24, covered=setting.covered)


def _curve(setting: Setting, cook: tuple[float, float]) -> LossCurve:
    return loss_curve(*_pot(), *cook, _mouth(setting))


def _true_losses(setting: Setting, factors: Array, which: NDArray[np.integer[Any]]) -> Array:
    """What each cook really loses, by the whole model and not by the curve that is learnt with."""
    grams, liquid = _pot()
    out = np.zeros_like(factors)
    for number, (minutes, temperature_c) in enumerate(COOKS):
        here = which == number
        gone = evaporate(
            np.repeat(grams[:, None], int(here.sum()), axis=1),
            Liquid(liquid.moles[:, None], liquid.inert_mol),
            minutes, temperature_c, _mouth(setting), Air(), factor=factors[here],
        )  # fmt: skip
        out[here] = gone.lost_g.sum(axis=0)
    return out


def _read(true_g: Array, step_g: float, rng: np.random.Generator) -> Array:
    """What the scale shows."""
    off = rng.normal(size=true_g.shape) * HANDLING_STEPS * step_g
    return np.asarray(np.round((true_g + off) / step_g) * step_g)
