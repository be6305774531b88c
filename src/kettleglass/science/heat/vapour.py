"""Vapour over a liquid of water, alcohols and polyols: saturation pressures and activity coefficients (NRTL).

Saturation: ln p = A - B / (T + C), p in kPa, T in K; own fits to reference equations between 280 and 375 K, within
0.25 % (propan-2-ol 0.65 %). Activity: the equation of Renon & Prausnitz (AIChE J. 14 (1968) 135), parameters fitted by
us, each to the published rows named beside it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kettleglass.science.basis import Array
from kettleglass.science.correlation import within
from kettleglass.science.pot import MOL_PER_G

COMPONENTS = ("water", "ethanol", "propan_2_ol", "methanol", "glycerol", "propylene_glycol")
"""What the model knows, in the order of every array (C,) and (C, N)."""
MOLAR_MASS_G_MOL: Array = np.array([1.0 / MOL_PER_G[name] for name in COMPONENTS])
LOWEST_C, HIGHEST_C = 5.0, 110.0
NRTL_SOURCE = "Renon & Prausnitz, AIChE J. 14 (1968) 135, with our own fits to published rows"

_NO_VAPOUR = (-np.inf, 0.0, 0.0)
_ANTOINE: Array = np.array([
    (16.54978, 3974.295, -40.001),
    (16.81083, 3764.402, -42.845),
    (16.19810, 3345.774, -66.459),
    (16.57482, 3633.709, -33.731),
    _NO_VAPOUR,
    (20.98656, 7414.239, 0.0),
])  # fmt: skip
"""Rows A, B, C by component. Glycerol, 0.006 kPa at 80 °C, counts as no vapour. Propylene glycol runs through 0.0135
kPa at 20 °C and 0.992 kPa at 80 °C (open correlations)."""

_PAIRS: dict[tuple[str, str], tuple[float, float, float, float, float]] = {
    ("ethanol", "water"): (0.27674, -89.315, 0.61378, 380.552, 0.36141),
    ("propan_2_ol", "water"): (0.0, 172.129, 0.0, 850.061, 0.51192),
    ("methanol", "water"): (0.0, -127.76, 0.0, 425.32, 0.2994),
    ("water", "glycerol"): (0.0, 1.246, 0.0, -186.133, 0.3),
    ("ethanol", "glycerol"): (0.0, 200.0, 0.0, 200.0, 0.3),
    ("propan_2_ol", "glycerol"): (0.0, 200.0, 0.0, 200.0, 0.3),
}
"""a12, b12 / K, a21, b21 / K, alpha. Ethanol and water: Carey & Lewis 1932, Lai 2014, Kamihama 2012, partial pressures
at 50 °C. Propan-2-ol and water: Orchillés 2017. Methanol and water: Gmehling & Onken (DECHEMA), recalled; methanol is
unfit for any pot, so it only has to be about right. Water and glycerol: boiling points and ASTM D5032 humidities,
both recalled. Alcohol and glycerol: adjusted until 0.0902 by mass of glycerol removes the azeotrope of ethanol and
water, as Zhang et al. (J. Chem. Eng. Data 60 (2015) 1892) found; the same for propan-2-ol is assumed. All others,
propylene glycol among them, count as ideal."""


def _matrices() -> tuple[Array, Array, Array]:
    size = len(COMPONENTS)
    a, b, alpha = np.zeros((size, size)), np.zeros((size, size)), np.full((size, size), 0.3)
    for (first, second), (a12, b12, a21, b21, both) in _PAIRS.items():
        i, j = COMPONENTS.index(first), COMPONENTS.index(second)
        a[i, j], b[i, j], a[j, i], b[j, i] = a12, b12, a21, b21
        alpha[i, j] = alpha[j, i] = both
    return a, b, alpha


_A, _B, _ALPHA = _matrices()


def saturation_pressure_pa(temperature_c: float | Array) -> Array:
    """Pressure of each pure component's vapour in Pa, (C,) or (C, N); zero for glycerol.

    Argument: 5 to 110 °C, one or (N,). Raises `OutOfRange`. Example (IAPWS): water at 80 °C 47.4 kPa.
    """
    return _saturation_pa(_kelvin(temperature_c))


def activity_coefficients(mole_fractions: Array, temperature_c: float | Array) -> Array:
    """Activity coefficient of each component, in the shape (C,) or (C, N) of the mole fractions.

    Only the proportions of the components count, so fractions of a liquid that holds other things besides may be
    given as they are. `temperature_c` is one for all or (N,), 5 to 110 °C. Raises `OutOfRange`.
    """
    return _pairs(_kelvin(temperature_c)).coefficients(mole_fractions)


def partial_pa(mole_fractions: Array, temperature_c: float | Array) -> Array:
    """Partial pressure of each component over a liquid in Pa, x_i g_i p_i, (C,) or (C, N).

    Fractions are of all particles, what is dissolved among them. Temperature and refusal as `saturation_pressure_pa`.
    """
    return partial_at(mole_fractions, _kelvin(temperature_c))


def partial_at(mole_fractions: Array, kelvin: Array) -> Array:
    """The same for temperatures in K that are known to lie in the range: for a search that never leaves it."""
    pure = _saturation_pa(kelvin)
    pure = pure[:, None] if pure.ndim < mole_fractions.ndim else pure
    return np.asarray(mole_fractions * _pairs(kelvin).coefficients(mole_fractions) * pure)


def _kelvin(temperature_c: float | Array) -> Array:
    return np.asarray(within("The temperature", temperature_c, LOWEST_C, HIGHEST_C, unit="°C") + 273.15)


def _saturation_pa(kelvin: Array) -> Array:
    a, b, c = _ANTOINE.T if kelvin.ndim == 0 else _ANTOINE.T[:, :, None]
    return np.asarray(1000.0 * np.exp(a - b / (kelvin + c)))


def _pairs(kelvin: Array) -> ActivityAt:
    """The matrices at a temperature or at N: pairs of components first, temperatures last."""
    a, b, alpha = (_A, _B, _ALPHA) if kelvin.ndim == 0 else (_A[:, :, None], _B[:, :, None], _ALPHA[:, :, None])
    tau = a + b / kelvin
    weight = np.exp(-alpha * tau)
    return ActivityAt(weight, tau * weight)


@dataclass(frozen=True, slots=True, eq=False)
class ActivityAt:
    """Activity coefficients at one temperature, or at N: `weight` is G and `drawn` tau G, (C, C) or (C, C, N)."""

    weight: Array
    drawn: Array

    @classmethod
    def temperature(cls, temperature_c: float | Array) -> ActivityAt:
        """Those of a temperature of 5 to 110 °C, one or (N,), to be used for many liquids. Raises `OutOfRange`."""
        return _pairs(_kelvin(temperature_c))

    def coefficients(self, mole_fractions: Array) -> Array:
        """Activity coefficients in the shape (C,) or (C, N) of the mole fractions; their proportions are enough."""
        x = mole_fractions
        if self.weight.ndim == 2:
            total, pull = self.weight.T @ x, self.drawn.T @ x
            share, mean = x / total, pull / total
            return np.asarray(np.exp(mean + self.drawn @ share - self.weight @ (share * mean)))
        total, pull = np.einsum("kin,kn->in", self.weight, x), np.einsum("kin,kn->in", self.drawn, x)
        share, mean = x / total, pull / total
        back = np.einsum("ijn,jn->in", self.drawn, share) - np.einsum("ijn,jn->in", self.weight, share * mean)
        return np.asarray(np.exp(mean + back))
