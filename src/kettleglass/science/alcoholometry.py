"""Density and strength of ethanol + water and of propan-2-ol + water; proof in the United States and Britain."""

from __future__ import annotations

from functools import cache
from typing import overload

import numpy as np

from kettleglass.science.basis import Array
from kettleglass.science.correlation import Number, as_given, polynomial, same_kind, solve_polynomial, within

OIML = "OIML R 22:1975, International Alcoholometric Tables, general formula (coefficients, p. 13)"
US_PROOF_SOURCE = "27 CFR 30.11: US proof is twice the % vol at 60 °F"
UK_PROOF_SOURCE = (
    "Spirits Act definition (Sikes): at 51 °F proof spirit weighs 12/13 of the same volume of water; evaluated with "
    "the OIML R 22 formula, taken at 60 °F"
)
PROPAN_2_OL_SOURCE = (
    "fit to 31 rows at 20 °C: CRC Handbook, concentrative properties (2-propanol), and Lebo, J. Am. Chem. Soc. 43 "
    "(1921) 1005, both read in open transcriptions; rows within 0.8 kg/m3"
)
_A = (
    998.20123, -192.9769495, 389.1238958, -1668.103923, 13522.15441, -88292.78388, 306287.4042, -613838.1234,
    747017.2998, -547846.1354, 223446.0334, -39032.85426,
)  # fmt: skip
"""A_k of OIML R 22 for p^(k-1), kg/m3; at 20 °C these alone remain."""
_B = (-0.20618513, -0.0052682542, 3.6130013e-05, -3.8957702e-07, 7.169354e-09, -9.9739231e-11)
"""B_k of OIML R 22 for (t - 20)^k: the expansion of water."""
_C: tuple[tuple[float, ...], ...] = (
    (0.1693443461530087, -10.46914743455169, 71.96353469546523, -704.7478054272792, 3924.090430035045,
     -12101.64659068747, 22486.46550400788, -26055.62982188164, 18523.73922069467, -7420.201433430137,
     1285.617841998974),
    (-0.0119301300505701, 0.2517399633803461, -2.170575700536993, 13.53034988843029, -50.29988758547014,
     109.635566657757, -142.2753946421155, 108.043594285623, -44.14153236817392, 7.442971530188783),
    (-0.0006802995733503803, 0.01876837790289664, -0.2002561813734156, 1.02299296671922, -2.895696483903638,
     4.810060584300675, -4.672147440794683, 2.458043105903461, -0.5411227621436812),
    (4.075376675622027e-06, -8.76305857347111e-06, 6.515031360099368e-06, -1.51578483698721e-06),
    (-2.788074354782409e-08, 1.345612883493354e-08),
)  # fmt: skip
"""C_ik of OIML R 22 for p^k (t - 20)^i, i by rows."""
_C_SQUARE = np.array([row + (0.0,) * (len(_A) - 1 - len(row)) for row in _C])

SIXTY_F_C = (60.0 - 32.0) / 1.8
FIFTY_ONE_F_C = (51.0 - 32.0) / 1.8


def _oiml_coefficients(temperature_c: Array) -> Array:
    """The coefficients of the density in powers of the mass fraction at these temperatures, (12, ...) in kg/m3."""
    off = temperature_c - 20.0
    powers = np.stack([off**i for i in range(1, len(_B) + 1)])
    tail = np.tensordot(_C_SQUARE.T, powers[: len(_C)], axes=1)
    head = _A[0] + np.tensordot(np.array(_B), powers, axes=1)
    return np.concatenate([head[np.newaxis], np.array(_A[1:]).reshape(-1, *([1] * off.ndim)) + tail])


@overload
def ethanol_water_density_kg_m3(ethanol_mass_fraction: float, temperature_c: float) -> float: ...
@overload
def ethanol_water_density_kg_m3(ethanol_mass_fraction: Array, temperature_c: float | Array) -> Array: ...
@overload
def ethanol_water_density_kg_m3(ethanol_mass_fraction: float, temperature_c: Array) -> Array: ...
def ethanol_water_density_kg_m3(ethanol_mass_fraction: float | Array, temperature_c: float | Array) -> float | Array:
    """Density of a mixture of ethanol and water, kg/m3.

    rho = sum A_k p^(k-1) + sum B_k (t-20)^k + sum C_ik p^k (t-20)^i, OIML R 22:1975; agrees with the printed tables
    within 0.01 kg/m3.

    Args:
        ethanol_mass_fraction: p, 0 to 1; float or array.
        temperature_c: t, -20 to 40 °C; float or array.

    Raises `OutOfRange`. Example (OIML R 22): 40 mass % at 20 °C is 935.15 kg/m3.
    """
    p = within("The mass fraction of ethanol", ethanol_mass_fraction, 0.0, 1.0)
    t = within("The temperature", temperature_c, -20.0, 40.0, unit="°C", source=OIML)
    p, t = np.broadcast_arrays(p, t)
    return as_given(polynomial(_oiml_coefficients(t), p), ethanol_mass_fraction, temperature_c)


@cache
def _strength_polynomial(temperature_c: float) -> tuple[float, ...]:
    """Volume of pure ethanol per volume of mixture, both at one temperature, in powers of the mass fraction."""
    density = _oiml_coefficients(np.asarray(temperature_c))
    return (0.0, *(float(coefficient) for coefficient in density / density.sum()))


def abv_from_ethanol_mass_fraction(ethanol_mass_fraction: Number) -> Number:
    """Alcoholic strength by volume at 20 °C as a fraction (0.95 is 95 % vol).

    p rho(p, 20 °C) / rho(1, 20 °C) with the formula of OIML R 22. Argument: mass fraction 0 to 1, float or array.
    Raises `OutOfRange`. Example (OIML R 22): 0.924 gives 0.94995.
    """
    p = within("The mass fraction of ethanol", ethanol_mass_fraction, 0.0, 1.0)
    return same_kind(polynomial(_strength_polynomial(20.0), p), ethanol_mass_fraction)


def ethanol_mass_fraction_from_abv(abv_fraction: Number) -> Number:
    """Mass fraction of ethanol of a spirit of this strength by volume at 20 °C; inverse of the above.

    Argument: fraction 0 to 1 (95 % vol is 0.95), float or array. Raises `OutOfRange`.
    Example (OIML R 22): 0.95 gives 0.92408.
    """
    strength = within("The strength by volume", abv_fraction, 0.0, 1.0)
    return same_kind(solve_polynomial(_strength_polynomial(20.0), strength, 0.0, 1.0), abv_fraction)


def us_proof_from_ethanol_mass_fraction(ethanol_mass_fraction: Number) -> Number:
    """US proof, 0 to 200: twice the % vol at 60 °F (27 CFR 30.11), by OIML R 22.

    Argument: mass fraction 0 to 1, float or array. Raises `OutOfRange`. Example: 0.92418 gives 190.
    """
    p = within("The mass fraction of ethanol", ethanol_mass_fraction, 0.0, 1.0)
    return same_kind(200.0 * polynomial(_strength_polynomial(SIXTY_F_C), p), ethanol_mass_fraction)


def ethanol_mass_fraction_from_us_proof(us_proof: Number) -> Number:
    """Mass fraction of ethanol at a US proof of 0 to 200; float or array. Raises `OutOfRange`."""
    proof = within("The US proof", us_proof, 0.0, 200.0, source=US_PROOF_SOURCE)
    return same_kind(solve_polynomial(_strength_polynomial(SIXTY_F_C), proof / 200.0, 0.0, 1.0), us_proof)


@cache
def uk_proof_spirit_mass_fraction() -> float:
    """Mass fraction of ethanol in British proof spirit: 12/13 of the density of water at 51 °F; about 0.4927.

    The buoyancy of air, which the statute leaves open, would make it 0.4923.
    """
    density = _oiml_coefficients(np.asarray(FIFTY_ONE_F_C))
    return float(solve_polynomial(density, np.asarray(density[0] * 12.0 / 13.0), 0.0, 1.0))


@cache
def most_uk_proof() -> float:
    """British proof of pure ethanol: volumes of proof spirit per 100 volumes, at 60 °F; about 175.2."""
    return 100.0 / float(polynomial(_strength_polynomial(SIXTY_F_C), np.asarray(uk_proof_spirit_mass_fraction())))


def uk_proof_from_ethanol_mass_fraction(ethanol_mass_fraction: Number) -> Number:
    """British (Sikes) degrees proof: 100 at proof spirit, in proportion to the % vol at 60 °F; 0 to about 175.2.

    Argument: mass fraction 0 to 1, float or array. Raises `OutOfRange`. Example: 0.4927 (57.1 % vol) gives 100.
    """
    p = within("The mass fraction of ethanol", ethanol_mass_fraction, 0.0, 1.0)
    return same_kind(most_uk_proof() * polynomial(_strength_polynomial(SIXTY_F_C), p), ethanol_mass_fraction)


def ethanol_mass_fraction_from_uk_proof(uk_proof: Number) -> Number:
    """Mass fraction of ethanol at a British proof of 0 to about 175.2; float or array. Raises `OutOfRange`."""
    proof = within("The UK proof", uk_proof, 0.0, most_uk_proof(), source=UK_PROOF_SOURCE)
    strength = np.minimum(proof / most_uk_proof(), 1.0)
    return same_kind(solve_polynomial(_strength_polynomial(SIXTY_F_C), strength, 0.0, 1.0), uk_proof)


_PROPAN_2_OL_20_KG_M3 = 785.1
"""Pure, 20 °C: CRC prints 784.8, Lebo 785.6."""
_PROPAN_2_OL_EXPANSION_KG_M3_K = -0.84
"""Recalled from handbooks; the Perry correlation gives -0.97, which is why other temperatures are less sure."""
_EXCESS_ML_G = (-0.022809, -1.331884, 4.303061, -5.352034, 2.299180)
"""v = w v2 + (1-w) v1 + w (1-w) sum a_k w^k, in mL/g: contraction on mixing at 20 °C (the fit)."""


def _propan_2_ol_volume(temperature_c: Array) -> Array:
    """Specific volume in powers of the mass fraction of propan-2-ol at these temperatures, (7, ...) in m3/kg."""
    water = 1.0 / _oiml_coefficients(temperature_c)[0]
    alcohol = 1.0 / (_PROPAN_2_OL_20_KG_M3 + _PROPAN_2_OL_EXPANSION_KG_M3_K * (temperature_c - 20.0))
    excess = 1e-3 * np.convolve(np.array((0.0, 1.0, -1.0)), np.array(_EXCESS_ML_G))
    volume = np.zeros((len(excess), *temperature_c.shape)) + excess.reshape(-1, *([1] * temperature_c.ndim))
    volume[0] += water
    volume[1] += alcohol - water
    return volume


@overload
def propan_2_ol_water_density_kg_m3(propan_2_ol_mass_fraction: float, temperature_c: float) -> float: ...
@overload
def propan_2_ol_water_density_kg_m3(propan_2_ol_mass_fraction: Array, temperature_c: float | Array) -> Array: ...
@overload
def propan_2_ol_water_density_kg_m3(propan_2_ol_mass_fraction: float, temperature_c: Array) -> Array: ...
def propan_2_ol_water_density_kg_m3(
    propan_2_ol_mass_fraction: float | Array, temperature_c: float | Array
) -> float | Array:
    """Density of a mixture of propan-2-ol and water, kg/m3: within 0.8 kg/m3 of the rows at 20 °C.

    Ideal volumes plus a contraction fitted to 31 published rows at 20 °C, taken as the same from 15 to 30 °C, where
    the expansion of the pure alcohol is recalled: allow 2 kg/m3 away from 20 °C.

    Args:
        propan_2_ol_mass_fraction: 0 to 1; float or array.
        temperature_c: 15 to 30 °C; float or array.

    Raises `OutOfRange`. Example (CRC Handbook): 60 mass % at 20 °C is 882.4 kg/m3.
    """
    w = within("The mass fraction of propan-2-ol", propan_2_ol_mass_fraction, 0.0, 1.0)
    t = within("The temperature", temperature_c, 15.0, 30.0, unit="°C", source=PROPAN_2_OL_SOURCE)
    w, t = np.broadcast_arrays(w, t)
    return as_given(1.0 / polynomial(_propan_2_ol_volume(t), w), propan_2_ol_mass_fraction, temperature_c)


def propan_2_ol_volume_fraction_from_mass_fraction(propan_2_ol_mass_fraction: Number) -> Number:
    """Strength of propan-2-ol by volume at 20 °C as a fraction; argument 0 to 1, float or array.

    Volume of the pure alcohol per volume of the mixture. Raises `OutOfRange`.
    """
    w = within("The mass fraction of propan-2-ol", propan_2_ol_mass_fraction, 0.0, 1.0)
    volume = polynomial(_propan_2_ol_volume(np.asarray(20.0)), w)
    return same_kind(w / (_PROPAN_2_OL_20_KG_M3 * volume), propan_2_ol_mass_fraction)


def propan_2_ol_mass_fraction_from_volume_fraction(propan_2_ol_volume_fraction: Number) -> Number:
    """Mass fraction of propan-2-ol of this strength by volume at 20 °C (0.91 gives 0.876); float or array, 0 to 1.

    Raises `OutOfRange`.
    """
    strength = within("The strength by volume", propan_2_ol_volume_fraction, 0.0, 1.0)
    volume = _propan_2_ol_volume(np.asarray(20.0)).reshape(-1, *([1] * strength.ndim))
    excess = -_PROPAN_2_OL_20_KG_M3 * strength * volume
    excess[1] += 1.0
    return same_kind(solve_polynomial(excess, np.zeros_like(strength), 0.0, 1.0), propan_2_ol_volume_fraction)
