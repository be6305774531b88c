"""Bubble points: where a liquid's vapour presses as hard as the air, and what that vapour is.

Sum of x_i g_i(T) p_i(T) = P over everything that evaporates, in an ideal vapour (an error below 0.1 K at one
atmosphere); y_i = x_i g_i p_i / P. Dissolved soap and sugar enter x as particles (`kettleglass.science.heat.liquid`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from kettleglass.errors import BadInput, OutOfRange
from kettleglass.science.basis import Array, Basis
from kettleglass.science.correlation import within
from kettleglass.science.heat.liquid import Liquid, Treatment, liquid_of, liquid_of_pot
from kettleglass.science.heat.vapour import (
    COMPONENTS,
    HIGHEST_C,
    LOWEST_C,
    NRTL_SOURCE,
    partial_at,
    partial_pa,
)

MODEL_K = 0.6
"""Mean error of the model against published rows, the larger of ethanol-water and propan-2-ol-water, in K."""
LEAST_PA, MOST_PA = 50_000.0, 110_000.0
_TREATMENTS: tuple[Treatment, ...] = ("low", "central", "high")
_GLYCEROL = COMPONENTS.index("glycerol")
_START_C, _SHIFT_K = 84.0, 230.0
_LINE_K, _LEAST_K, _MOST_K = 3700.0, 2000.0, 9000.0
"""How steep ln p is against 1 / (T + 230 K): as the search begins, at least, at most."""
_HOT_END, _COLD_END = 1.0 / (HIGHEST_C + _SHIFT_K), 1.0 / (LOWEST_C + _SHIFT_K)
_CLOSE = 2e-7


@dataclass(frozen=True, slots=True)
class BubblePoint:
    """A bubble point in °C with its band, and the mole fractions of the vapour by species id (they add up to 1)."""

    temperature_c: float
    low_c: float
    high_c: float
    vapour_mole_fractions: Mapping[str, float]


@dataclass(frozen=True, slots=True, eq=False)
class Boiling:
    """Bubble points in °C, () or (N,), and mole fractions of the vapour, (C,) or (C, N)."""

    temperature_c: Array
    vapour: Array


def bubble_point(mass_fractions: Mapping[str, float], pressure_pa: float = 101_325.0) -> BubblePoint:
    """The bubble point of a liquid given by mass fractions, at an air pressure of 50 to 110 kPa.

    The band spans what dissolved soap and sugar may do, and 0.6 K for the model. Keys and refusals as
    `kettleglass.science.heat.liquid.liquid_of`; `BadInput` when nothing in it evaporates or several pressures are
    given, `OutOfRange` when it would boil above 110 °C. Example (Lai et al. 2014): the azeotrope, 0.956 ethanol and
    0.044 water, boils at 78.15 °C.
    """
    if np.ndim(pressure_pa):
        raise BadInput("A bubble point takes one air pressure, not several.", remedy="Ask once for each of them.")
    found = boiling_of(_beside([liquid_of(mass_fractions, treatment) for treatment in _TREATMENTS]), pressure_pa)
    likely = float(found.temperature_c[1])
    low, high = float(found.temperature_c.min()), float(found.temperature_c.max())
    vapour = {name: float(y) for name, y in zip(COMPONENTS, found.vapour[:, 1], strict=True) if y > 0.0}
    return BubblePoint(likely, low - MODEL_K, high + MODEL_K, vapour)


def _beside(liquids: Sequence[Liquid]) -> Liquid:
    """Several liquids as the columns of one."""
    columns = [liquid.moles if liquid.moles.ndim == 2 else liquid.moles[:, None] for liquid in liquids]
    return Liquid(np.hstack(columns), np.hstack([np.atleast_1d(liquid.inert_mol) for liquid in liquids]))


def boiling_band(basis: Basis, pot: Array, pressure_pa: float | Array = 101_325.0) -> tuple[Array, Array, Array]:
    """Bubble points of a pot (S,) or pots (S, N) in °C: low, likely, high, each () or (N,); refuses as `boiling_of`."""
    columns = pot[:, None] if pot.ndim == 1 else pot
    together = _beside([liquid_of_pot(basis, columns, treatment) for treatment in _TREATMENTS])
    pressure = np.tile(np.broadcast_to(np.asarray(pressure_pa, dtype=np.float64), columns.shape[1:]), 3)
    found = boiling_of(together, pressure).temperature_c.reshape(3, -1)
    low, likely, high = found.min(axis=0) - MODEL_K, found[1], found.max(axis=0) + MODEL_K
    return (low[0], likely[0], high[0]) if pot.ndim == 1 else (low, likely, high)


def boiling_of(liquid: Liquid, pressure_pa: float | Array = 101_325.0) -> Boiling:
    """Bubble points at an air pressure, one or (N,), of 50 to 110 kPa.

    Raises `BadInput` for a liquid with nothing that evaporates, `OutOfRange` for a pressure outside of that, or a pot
    that would boil outside of 5 to 110 °C.
    """
    pressure = within("The air pressure", pressure_pa, LEAST_PA, MOST_PA, unit="Pa")
    fractions = liquid.mole_fractions
    if np.any(np.delete(liquid.moles, _GLYCEROL, axis=0).sum(axis=0) <= 0.0):
        raise BadInput(
            "There is nothing in this liquid that evaporates.", remedy="Give it water or alcohol, or leave it out."
        )
    if fractions.ndim == 1 and pressure.ndim == 1:
        fractions = np.repeat(fractions[:, None], len(pressure), axis=1)
    temperature, partial = temperature_where(fractions, 1.0 / pressure)
    if np.any(np.isinf(temperature)):
        end = np.inf if np.any(temperature == np.inf) else -np.inf
        raise OutOfRange(
            "The boiling point", end, LOWEST_C, HIGHEST_C, unit="°C", source=NRTL_SOURCE,
            remedy="Beyond that no boiling point is guessed.",
        )  # fmt: skip
    return Boiling(temperature, np.asarray(partial / partial.sum(axis=0)))


def temperature_where(mole_fractions: Array, per_pa: Array) -> tuple[Array, Array]:
    """The temperature, () or (N,) in °C, at which partial pressures times `per_pa` add up to 1, and those pressures.

    Infinite where that would be above 110 °C, minus infinity where below 5 °C. `per_pa` is (), (N,), (C, 1) or (C, N),
    and something has to press. Secant steps: ln p of such liquids is nearly a line in 1 / (T + 230 K), T in °C.
    """
    shape = mole_fractions.shape[1:]
    u, slope = np.full(shape, 1.0 / (_START_C + _SHIFT_K)), np.full(shape, _LINE_K)
    before, off_before = u, np.zeros(shape)
    for turn in range(60):
        partial = partial_at(mole_fractions, 1.0 / u + (273.15 - _SHIFT_K))
        off = np.log((per_pa * partial).sum(axis=0))
        if turn:
            still = u == before
            chord = (off - off_before) / np.where(still, 1.0, before - u)
            slope = np.where(still, slope, np.minimum(np.maximum(chord, _LEAST_K), _MOST_K))
        close = np.abs(off) < _CLOSE
        before, off_before = u, off
        u = np.where(close, u, np.minimum(np.maximum(u + off / slope, _HOT_END), _COLD_END))
        if (u == before).all():
            beyond = np.where(off < 0.0, np.inf, -np.inf)
            return np.where(close, 1.0 / u - _SHIFT_K, beyond), partial
    raise BadInput("The boiling point of this liquid cannot be found.", remedy="Check what it is made of.")


def partial_pressures_pa(liquid: Liquid, temperature_c: float | Array) -> Array:
    """Partial pressure of each component over a liquid in Pa, (C,) or (C, N), at 5 to 110 °C. Raises `OutOfRange`."""
    return partial_pa(liquid.mole_fractions, temperature_c)


def pressure_at_pa(altitude_m: float) -> float:
    """Pressure of the standard atmosphere in Pa, -430 to 5500 m above the sea (ISO 2533: 101.325 kPa at 0 m).

    P = 101325 (1 - 2.25577e-5 h)^5.25588. Raises `OutOfRange`. Example: 89.87 kPa at 1000 m.
    """
    height = float(within("The altitude", altitude_m, -430.0, 5500.0, unit="m", source="ISO 2533:1975"))
    return float(101_325.0 * (1.0 - 2.25577e-5 * height) ** 5.25588)
