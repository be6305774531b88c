"""Sucrose + water and glycerol + water: density, refractive index, viscosity, solubility; degrees Brix back."""

from __future__ import annotations

from typing import overload

import numpy as np

from kettleglass.science.basis import Array
from kettleglass.science.correlation import Number, as_given, polynomial, same_kind, solve_polynomial, within

ICUMSA = (
    "ICUMSA density of sucrose solutions (Emmerich 1994), coefficients in Bubník et al., Sugar Technologists Manual "
    "(1995) p. 164, read in two open transcriptions"
)
SUCROSE_INDEX_SOURCE = (
    "fit to the CRC Handbook rows (20 °C, sodium D line) and the ICUMSA 1974 scale (OIV-MA-AS2-02; above 30 °Brix "
    "recalled): rows within 0.0001 up to 80 °Brix, 0.0003 at 84"
)
SOLUBILITY_SOURCE = "Bubník & Kadlec in Mathlouthi & Reiser, Sucrose (1995) p. 101, read in an open transcription"
CHENG = "Cheng, Ind. Eng. Chem. Res. 47 (2008) 3285"
VOLK_KAEHLER = "Volk & Kähler, Exp. Fluids 59 (2018) 75"
HOYT = "Hoyt, Ind. Eng. Chem. 26 (1934) 329"

MOST_SUCROSE = 0.85
_SUCROSE_KG_M3 = (
    (385.1761, 135.3705, 40.9299, -3.9643, 13.4853, -17.2890),
    (-46.2720, -7.1720, 1.1597, 5.1126, 17.5254, 0.0),
    (59.7712, 7.2491, 12.3630, -35.4791, 0.0, 0.0),
    (-47.2207, -21.6977, 27.6301, 0.0, 0.0, 0.0),
    (18.3184, 12.3081, 0.0, 0.0, 0.0, 0.0),
)
"""Rows by powers of (t - 20)/100, columns by w, w^2 ...; kg/m3."""
_WATER_OVER = (999.83952, 16.952577, -7.9905127e-3, -46.241757e-6, 105.84601e-9, -281.03006e-12)
_WATER_UNDER = (1.0, 16.887236e-3)


def _sucrose_coefficients(temperature_c: Array) -> Array:
    """The coefficients of the density in powers of the mass fraction of sucrose, (7, ...) in kg/m3."""
    water = polynomial(_WATER_OVER, temperature_c) / polynomial(_WATER_UNDER, temperature_c)
    off = (temperature_c - 20.0) / 100.0
    powers = np.stack([off**j for j in range(len(_SUCROSE_KG_M3))])
    return np.concatenate([water[np.newaxis], np.tensordot(np.array(_SUCROSE_KG_M3).T, powers, axes=1)])


@overload
def sucrose_water_density_kg_m3(sucrose_mass_fraction: float, temperature_c: float) -> float: ...
@overload
def sucrose_water_density_kg_m3(sucrose_mass_fraction: Array, temperature_c: float | Array) -> Array: ...
@overload
def sucrose_water_density_kg_m3(sucrose_mass_fraction: float, temperature_c: Array) -> Array: ...
def sucrose_water_density_kg_m3(sucrose_mass_fraction: float | Array, temperature_c: float | Array) -> float | Array:
    """Density of a sugar syrup, kg/m3.

    ICUMSA polynomial (Emmerich 1994), rho = rho_water(t) + sum b_jk w^k ((t-20)/100)^j. Against the CRC rows at
    20 °C: 0.3 kg/m3 up to 70 °Brix, 0.9 at 84 (an older scale).

    Args:
        sucrose_mass_fraction: 0 to 0.85 (°Brix / 100); float or array.
        temperature_c: 0 to 100 °C; float or array.

    Raises `OutOfRange`. Example (CRC Handbook): 60 °Brix at 20 °C is 1286.4 kg/m3.
    """
    w = within("The mass fraction of sucrose", sucrose_mass_fraction, 0.0, MOST_SUCROSE, source=ICUMSA)
    t = within("The temperature", temperature_c, 0.0, 100.0, unit="°C", source=ICUMSA)
    w, t = np.broadcast_arrays(w, t)
    return as_given(polynomial(_sucrose_coefficients(t), w), sucrose_mass_fraction, temperature_c)


def sucrose_mass_fraction_from_density(density_kg_m3: Number, temperature_c: float = 20.0) -> Number:
    """Mass fraction of sucrose (°Brix / 100) of a syrup of this density; inverse of `sucrose_water_density_kg_m3`.

    Arguments: density in kg/m3, float or array; one temperature, 0 to 100 °C. Raises `OutOfRange` where the density
    is below that of water or above that of 85 °Brix.
    """
    t = within("The temperature", temperature_c, 0.0, 100.0, unit="°C", source=ICUMSA)
    coefficients = _sucrose_coefficients(t)
    low, high = (float(polynomial(coefficients, np.asarray(end))) for end in (0.0, MOST_SUCROSE))
    density = within("The density of the syrup", density_kg_m3, low, high, unit="kg/m3", source=ICUMSA)
    return same_kind(solve_polynomial(coefficients, density, 0.0, MOST_SUCROSE), density_kg_m3)


_SUCROSE_INDEX = (1.33299, 0.142973, 0.051785, 0.024198, -0.005451)


def sucrose_water_refractive_index(sucrose_mass_fraction: Number) -> Number:
    """Refractive index of a sugar syrup at 20 °C and 589 nm, against air.

    Fourth-degree fit to published rows (`SUCROSE_INDEX_SOURCE`). Argument: mass fraction 0 to 0.85, float or array.
    Raises `OutOfRange`. Example (ICUMSA 1974): 24 °Brix is 1.37060.
    """
    w = within("The mass fraction of sucrose", sucrose_mass_fraction, 0.0, MOST_SUCROSE, source=SUCROSE_INDEX_SOURCE)
    return same_kind(polynomial(_SUCROSE_INDEX, w), sucrose_mass_fraction)


def sucrose_mass_fraction_from_refractive_index(refractive_index: Number) -> Number:
    """Mass fraction of sucrose (°Brix / 100) that a refractometer at 20 °C reads; 1.33299 to 1.5039 (85 °Brix).

    Float or array. Raises `OutOfRange`.
    """
    high = float(polynomial(_SUCROSE_INDEX, np.asarray(MOST_SUCROSE)))
    index = within("The refractive index", refractive_index, _SUCROSE_INDEX[0], high, source=SUCROSE_INDEX_SOURCE)
    return same_kind(solve_polynomial(_SUCROSE_INDEX, index, 0.0, MOST_SUCROSE), refractive_index)


_SOLUBILITY_PERCENT = (64.447, 0.08222, 1.6169e-3, -1.558e-6, -4.63e-8)


def sucrose_solubility_mass_fraction(temperature_c: Number) -> Number:
    """Mass fraction of sucrose in a saturated syrup; 0.667 at 20 °C.

    Fourth-degree polynomial of Bubník & Kadlec (1995); an older table (Antokolskaya 1964) lies within 0.5 % mass.
    Argument: 0 to 100 °C, float or array. Raises `OutOfRange`.
    """
    t = within("The temperature", temperature_c, 0.0, 100.0, unit="°C", source=SOLUBILITY_SOURCE)
    return same_kind(polynomial(_SOLUBILITY_PERCENT, t) / 100.0, temperature_c)


def sucrose_saturation_temperature_c(sucrose_mass_fraction: Number) -> Number:
    """Temperature in °C at which a syrup is just saturated; cooler, it can crystallise.

    Argument: mass fraction 0.64447 (0 °C) to 0.8265 (100 °C), float or array. Raises `OutOfRange`.
    """
    high = float(polynomial(_SOLUBILITY_PERCENT, np.asarray(100.0))) / 100.0
    w = within("The mass fraction of sucrose", sucrose_mass_fraction, _SOLUBILITY_PERCENT[0] / 100.0, high,
               source=SOLUBILITY_SOURCE)  # fmt: skip
    return same_kind(solve_polynomial(_SOLUBILITY_PERCENT, 100.0 * w, 0.0, 100.0), sucrose_mass_fraction)


@overload
def glycerol_water_density_kg_m3(glycerol_mass_fraction: float, temperature_c: float) -> float: ...
@overload
def glycerol_water_density_kg_m3(glycerol_mass_fraction: Array, temperature_c: float | Array) -> Array: ...
@overload
def glycerol_water_density_kg_m3(glycerol_mass_fraction: float, temperature_c: Array) -> Array: ...
def glycerol_water_density_kg_m3(glycerol_mass_fraction: float | Array, temperature_c: float | Array) -> float | Array:
    """Density of a mixture of glycerol and water, kg/m3.

    Ideal volumes of Cheng (2008) times the contraction of Volk & Kähler (2018). Within 0.04 % of Bosart & Snoddy
    (1927) from 20 to 30 °C. Warmer, the contraction is extrapolated: within 0.25 % for the pure ends up to 80 °C
    (IAPWS-95, VDI Heat Atlas), mixtures unverified there.

    Args:
        glycerol_mass_fraction: 0 to 1; float or array.
        temperature_c: 15 to 80 °C; float or array.

    Raises `OutOfRange`. Example (Bosart & Snoddy): 50 mass % at 20 °C is 1126.3 kg/m3.
    """
    w = within("The mass fraction of glycerol", glycerol_mass_fraction, 0.0, 1.0)
    t = within("The temperature", temperature_c, 15.0, 80.0, unit="°C", source=f"{VOLK_KAEHLER}, with its extension")
    glycerol = 1273.3 - 0.6121 * t
    water = 1000.0 * (1.0 - np.abs((t - 3.98) / 615.0) ** 1.71)
    strength = 1.41e-2 - 1.82e-4 * t + 1.78e-6 * t**2
    contraction = 1.0 + strength * np.abs(np.sin(np.pi * w**1.31)) ** 0.81
    return as_given(contraction / (w / glycerol + (1.0 - w) / water), glycerol_mass_fraction, temperature_c)


@overload
def glycerol_water_viscosity_mpa_s(glycerol_mass_fraction: float, temperature_c: float) -> float: ...
@overload
def glycerol_water_viscosity_mpa_s(glycerol_mass_fraction: Array, temperature_c: float | Array) -> Array: ...
@overload
def glycerol_water_viscosity_mpa_s(glycerol_mass_fraction: float, temperature_c: Array) -> Array: ...
def glycerol_water_viscosity_mpa_s(
    glycerol_mass_fraction: float | Array, temperature_c: float | Array
) -> float | Array:
    """Dynamic viscosity of a mixture of glycerol and water, mPa s.

    mu = mu_w^a mu_g^(1-a) of Cheng (2008); within 3.5 % of Segur & Oberstar (1951) from 10 to 40 °C.

    Args:
        glycerol_mass_fraction: 0 to 1; float or array.
        temperature_c: 0 to 100 °C; float or array.

    Raises `OutOfRange`. Example (Segur & Oberstar): 50 mass % at 20 °C is 6.00 mPa s.
    """
    w = within("The mass fraction of glycerol", glycerol_mass_fraction, 0.0, 1.0)
    t = within("The temperature", temperature_c, 0.0, 100.0, unit="°C", source=CHENG)
    water = np.log(1.790) - (1230.0 + t) * t / (36100.0 + 360.0 * t)
    glycerol = np.log(12100.0) + (t - 1233.0) * t / (9900.0 + 70.0 * t)
    m = 0.705 - 0.0017 * t
    n = (4.9 + 0.036 * t) * m**2.5
    share = 1.0 - w + m * n * w * (1.0 - w) / (m * w + n * (1.0 - w))
    return as_given(np.exp(share * water + (1.0 - share) * glycerol), glycerol_mass_fraction, temperature_c)


_GLYCEROL_ROWS = (
    (0.00, 1.33303), (0.05, 1.33880), (0.10, 1.34481), (0.15, 1.35106), (0.20, 1.35749), (0.30, 1.37070),
    (0.35, 1.37740), (0.40, 1.38413), (0.50, 1.39809), (0.55, 1.40554), (0.60, 1.41299), (0.70, 1.42789),
    (0.75, 1.43534), (0.80, 1.44290), (0.90, 1.45839), (0.95, 1.46597), (1.00, 1.47399),
)  # fmt: skip


def glycerol_water_refractive_index(glycerol_mass_fraction: Number) -> Number:
    """Refractive index of a mixture of glycerol and water at 20 °C and 589 nm.

    Straight lines between the rows of Hoyt (1934): they bend by less than 0.00005 between neighbours. Argument:
    mass fraction 0 to 1, float or array. Raises `OutOfRange`. Example (Hoyt): 50 mass % is 1.39809.
    """
    w = within("The mass fraction of glycerol", glycerol_mass_fraction, 0.0, 1.0)
    fractions, indices = zip(*_GLYCEROL_ROWS, strict=True)
    return same_kind(np.asarray(np.interp(w, fractions, indices)), glycerol_mass_fraction)
