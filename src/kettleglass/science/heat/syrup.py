"""Sugar syrup on the stove: where it boils, what that says about its strength, and how far to boil it down."""

from __future__ import annotations

import math

from kettleglass.errors import BadInput
from kettleglass.science.correlation import within
from kettleglass.science.heat.steam import air_pressure_pa, boiling_water_c, water_pressure_pa, where_reached
from kettleglass.science.heat.warming import Band, positive
from kettleglass.science.species import formula_mass_g_mol

STARZAK = "Starzak & Peacock, Zuckerindustrie 122 (1997) 380"
_Q_J_MOL, _A, _B = -17_638.0, -1.0038, -0.24653
"""Constants read in a published abstract; the form of the equation recalled."""
_R = 8.31446
_SUCROSE_G_MOL, _WATER_G_MOL = formula_mass_g_mol("C12H22O11"), formula_mass_g_mol("H2O")
MOST_BRIX = 90.0
_HOTTEST_C = 150.0


def water_activity(brix: float, temperature_c: float) -> float:
    """Activity of water in a sucrose syrup, 0 to 1: x exp((Q/RT) s² (1 + a s + b s²)), s and x the mole fractions of
    sucrose and water (Starzak & Peacock 1997).

    Args:
        brix: 0 to 90 % sucrose by mass.
        temperature_c: 0 to 150 °C.

    Raises `OutOfRange`. Example: 0.85 for the saturated syrup at 25 °C (67.5 °Brix), as handbooks have it.
    """
    share = float(within("The strength of the syrup", brix, 0.0, MOST_BRIX, unit="°Brix", source=STARZAK)) / 100.0
    t = float(within("The temperature", temperature_c, 0.0, _HOTTEST_C, unit="°C", source=STARZAK))
    sugar, water = share / _SUCROSE_G_MOL, (1.0 - share) / _WATER_G_MOL
    s = sugar / (sugar + water)
    return (1.0 - s) * math.exp(_Q_J_MOL / (_R * (t + 273.15)) * s * s * (1.0 + _A * s + _B * s * s))


def elevation_doubt_k(brix: float) -> float:
    """How far the tables of sugar works (recalled) lie from Starzak & Peacock: 0.3 K up to 80 °Brix, 2.7 K at 90."""
    return 0.3 if brix <= 80.0 else 0.3 + 0.24 * (brix - 80.0)


def syrup_boiling_c(brix: float, pressure_pa: float = 101_325.0) -> float:
    """Boiling point in °C of a syrup of pure sucrose.

    Args:
        brix: 0 to 90 % sucrose by mass; beyond 80 see `elevation_doubt_k`. Invert sugar boils higher.
        pressure_pa: 50 to 110 kPa.

    Raises `OutOfRange`. Example (tables of sugar works): 3.0 K above water at 60 °Brix, 5.1 K at 70.
    """
    pressure = air_pressure_pa(pressure_pa)
    water_activity(brix, 100.0)
    return where_reached(lambda t: water_pressure_pa(t) * water_activity(brix, t), pressure, 60.0, _HOTTEST_C)


def boiling_elevation_k(brix: float, pressure_pa: float = 101_325.0) -> float:
    """By how much it boils above water at the same pressure, in K. Same arguments and errors."""
    return syrup_boiling_c(brix, pressure_pa) - boiling_water_c(pressure_pa)


def brix_from_boiling_c(temperature_c: float, pressure_pa: float = 101_325.0, *, thermometer_k: float = 0.5) -> Band:
    """Strength in °Brix of a pure sucrose syrup that boils at this temperature, with what the thermometer may be off.

    The band is wide below 75 °Brix, where a kelvin is three to six °Brix: weighing is the better way. Boiling up to
    the thermometer's doubt below water is read as 0 °Brix. Raises `OutOfRange` (colder than that, or beyond 90 °Brix).
    """
    off = positive("The doubt of the thermometer", thermometer_k, zero=True)
    pressure = air_pressure_pa(pressure_pa)
    water, highest = boiling_water_c(pressure), syrup_boiling_c(MOST_BRIX, pressure)
    within("The boiling point of the syrup", temperature_c, water - off, highest, unit="°C", source=STARZAK)

    def at(t: float) -> float:
        return where_reached(lambda brix: -water_activity(brix, t), -pressure / water_pressure_pa(t), 0.0, MOST_BRIX)

    likely = at(temperature_c)
    doubt = off + elevation_doubt_k(likely)
    return Band(at(temperature_c - doubt), likely, at(temperature_c + doubt))


def _sugar_and_water(sugar_g: float, water_g: float) -> tuple[float, float]:
    return positive("The amount of sugar", sugar_g), positive("The amount of water", water_g, zero=True)


def brix_of(sugar_g: float, water_g: float) -> float:
    """Strength in °Brix of sugar dissolved in water. Raises `BadInput`."""
    sugar, water = _sugar_and_water(sugar_g, water_g)
    return 100.0 * sugar / (sugar + water)


def brix_from_weight(sugar_g: float, weighed_g: float) -> float:
    """Strength in °Brix of a syrup that holds so much sugar and now weighs `weighed_g` (without its pot).

    Raises `BadInput` where it weighs less than its sugar.
    """
    if weighed_g < positive("The amount of sugar", sugar_g):
        raise BadInput(
            f"A syrup of {weighed_g:g} g cannot hold {sugar_g:g} g of sugar.",
            why="Some of it was taken out or spilled, or the pot's weight was taken off twice.",
            remedy="Weigh again, or measure °Brix.",
        )
    return 100.0 * sugar_g / weighed_g


def boiled_down_g(sugar_g: float, water_g: float, brix: float) -> float:
    """What a syrup weighs in g once boiled down to `brix` (above 0 to 90 °Brix); the sugar all stays.

    Raises `OutOfRange`, and `BadInput` where it is that strong already.
    """
    sugar, water = _sugar_and_water(sugar_g, water_g)
    goal = float(within("The strength of the syrup", brix, 1.0, MOST_BRIX, unit="°Brix"))
    if brix_of(sugar, water) > goal * (1.0 + 1e-9):
        raise BadInput(
            f"The syrup has {brix_of(sugar, water):.3g} °Brix already, more than {goal:.3g}.",
            why="Boiling makes it stronger, never weaker.",
            remedy=f"Add {100.0 * sugar / goal - sugar - water:.4g} g of water instead.",
        )
    return 100.0 * sugar / goal


def boiled_off_g(sugar_g: float, water_g: float, brix: float) -> float:
    """Water in g that has to leave to reach `brix`. Same errors as `boiled_down_g`."""
    return sugar_g + water_g - boiled_down_g(sugar_g, water_g, brix)


def syrup_to_make_g(needed_g: float, *, stays_behind_g: float = 0.0, stays_behind_share: float = 0.0) -> float:
    """How much finished syrup to make in g, so that `needed_g` can be poured: so many grams stay in pot and strainer,
    and a share (0 to below 1) of the whole. Raises `BadInput`.
    """
    needed = positive("The syrup needed", needed_g, zero=True)
    left = positive("What stays behind", stays_behind_g, zero=True)
    if not 0.0 <= stays_behind_share < 1.0:
        raise BadInput(f"A share of {stays_behind_share:g} cannot stay behind.", remedy="Give 0 to below 1.")
    return (needed + left) / (1.0 - stays_behind_share)
