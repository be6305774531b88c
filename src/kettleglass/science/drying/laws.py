"""Laws of drying: the share S(t) of the final loss that is still to come t days after the first weighing.

A piece weighs W(t) = W0 - A (1 - S(t)) and settles at the plateau W0 - A. Every law here starts at S(0) = 1, never
rises, and ends at 0. Water and alcohol leave; glycerol, sugar and soap stay. Nobody knows beforehand which law a piece
will follow, so that forecasts average over all of them.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from kettleglass.errors import OutOfRange
from kettleglass.science.basis import Array

Share = Callable[..., Array]
"""The share still to come: the days, then tau in days and what else shapes the law; all broadcast together."""

_SHORT = 0.1
_ODD: Array = 2.0 * np.arange(10.0) + 1.0


def single_exponential(days: Array | float, tau_days: Array | float) -> Array:
    """Share of the loss still to come by S = exp(-t/tau) (Newton; Lewis 1921): one film or one mixed layer.

    `days` since the first weighing (0 or more), `tau_days` above 0. Raises `OutOfRange` outside these.
    """
    return np.asarray(np.exp(-_reduced(days, tau_days)))


def page(days: Array | float, tau_days: Array | float, exponent: Array | float) -> Array:
    """Share of the loss still to come by S = exp(-(t/tau)^n) (Page 1949); n below 1: fast at first, then slow.

    `exponent` n from 0.2 to 2 (drying of foods: 0.5 to 1.3); the rest as `single_exponential`. Raises `OutOfRange`.
    """
    _within("The exponent of Page's law", exponent, 0.2, 2.0)
    return np.asarray(np.exp(-(_reduced(days, tau_days) ** exponent)))


def two_exponential(
    days: Array | float, tau_days: Array | float, fast_fraction: Array | float, speed_ratio: Array | float
) -> Array:
    """Share of the loss still to come by S = f exp(-r t/tau) + (1 - f) exp(-t/tau): quick alcohol, then slow water.

    `fast_fraction` f from 0 to 1 is the share of the loss that goes quickly, `speed_ratio` r (1 or more) how many times
    as fast; the rest as `single_exponential`. Raises `OutOfRange`.
    """
    _within("The fast share", fast_fraction, 0.0, 1.0)
    _within("The ratio of speeds", speed_ratio, 1.0, 1e6)
    x = _reduced(days, tau_days)
    return np.asarray(fast_fraction * np.exp(-speed_ratio * x) + (1.0 - np.asarray(fast_fraction)) * np.exp(-x))


def plane_sheet(days: Array | float, tau_days: Array | float) -> Array:
    """Share of the loss still to come from a slab by diffusion to both faces, with tau = l²/(pi² D), l its thickness.

    S = (8/pi²) sum over j of exp(-(2j+1)² t/tau)/(2j+1)² (Crank, The Mathematics of Diffusion, 2nd ed. 1975, eq. 4.18;
    at short times 1 - 4 sqrt(D t/(pi l²)), the first term of eq. 4.20). Arguments and errors as `single_exponential`.
    Half the loss is gone at D t/l² = 0.0492.
    """
    x = _reduced(days, tau_days)
    early = 1.0 - 4.0 * np.sqrt(np.minimum(x, _SHORT) / math.pi**3)
    late = np.zeros_like(x)
    for odd in _ODD:
        late += np.exp(-(odd**2) * np.maximum(x, _SHORT)) / odd**2
    return np.where(x < _SHORT, early, 8.0 / math.pi**2 * late)


def _reduced(days: Array | float, tau_days: Array | float) -> Array:
    """t/tau, at most so much that no power of it overflows."""
    _within("Days since the first weighing", days, 0.0, 1e6)
    _within("The time constant tau", tau_days, 1e-6, 1e9, unit="d")
    return np.asarray(np.minimum(np.asarray(days, dtype=np.float64) / np.asarray(tau_days), 1e9))


def _within(quantity: str, value: Array | float, low: float, high: float, *, unit: str = "") -> None:
    values = np.asarray(value)
    wrong = ~((values >= low) & (values <= high))
    if wrong.any():
        raise OutOfRange(quantity, float(values[wrong].flat[0]), low, high, unit=unit, source="this law of drying")


@dataclass(frozen=True, slots=True, eq=False)
class Law:
    """A law with what is held of its shape before anything is weighed.

    ln tau is normal about ln(`middle_days`) with `TAU_SPREAD`; `others` are the values of the further shape parameters
    and the logarithm of their prior weight, one row a combination: (K, parameters) and (K,).
    """

    name: str
    share: Share
    middle_days: float
    others: Array
    log_weight: Array

    def left(self, days: Array, tau_days: Array, others: Array) -> Array:
        """S at days (T,) for nodes tau (K,) and others (K, parameters): (K, T)."""
        return self.share(days, tau_days[:, None], *(column[:, None] for column in others.T))


TAU_SPREAD = 1.0
"""Standard deviation of ln tau: 95 % of pieces within seven times more or less of the middle (our estimate)."""
TAU_DAYS: Array = np.geomspace(1.5, 200.0, 56)
"""The grid of tau; a piece slower than its end is slower than a forecast can see."""
_EXPONENTS: Array = np.linspace(0.45, 1.35, 19)
_FAST: Array = np.linspace(0.05, 0.75, 8)
_RATIOS: Array = np.array([3.0, 5.0, 8.0, 13.0, 22.0])


def _page_weights() -> Array:
    logs = np.log(_EXPONENTS)
    density = -0.5 * ((logs - math.log(0.8)) / 0.3) ** 2 - logs
    return np.asarray(density - np.log(np.exp(density).sum()))


def _pairs() -> Array:
    fast, ratio = np.meshgrid(_FAST, _RATIOS, indexing="ij")
    return np.column_stack([fast.ravel(), ratio.ravel()])


_NONE: Array = np.zeros((1, 0))
_ONE: Array = np.zeros(1)
LAWS: Mapping[str, Law] = MappingProxyType(
    {
        law.name: law
        for law in (
            Law("single exponential", single_exponential, 14.0, _NONE, _ONE),
            Law("Page", page, 14.0, _EXPONENTS[:, None], _page_weights()),
            Law("two-exponential", two_exponential, 16.0, _pairs(), np.full(40, -math.log(40.0))),
            Law("plane sheet", plane_sheet, 16.0, _NONE, _ONE),
        )
    }
)
"""The four laws that a forecast averages over; ln n of Page's is normal about ln 0.8 with 0.3, f and r are flat."""
