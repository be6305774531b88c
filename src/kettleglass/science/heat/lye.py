"""Lye: how strong it can be, when crystals come back, what heat it releases, how hot it gets, when it boils.

NaOH rests on published rows throughout; of KOH no heats of dilution could be read, so they are derived from the
temperature dependence of its vapour pressure, with a wide doubt. Mixed lyes lie between the two, by their shares.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from kettleglass.errors import BadInput, OutOfRange, UnknownName
from kettleglass.science.correlation import within
from kettleglass.science.heat.steam import air_pressure_pa, water_pressure_pa, where_reached
from kettleglass.science.heat.warming import FREE_AIR_W_M2_K, Band, cooling_minutes, positive
from kettleglass.science.saponify import KOH_G_MOL, NAOH_G_MOL

Alkali = Literal["naoh", "koh"]
ALKALIS: tuple[Alkali, ...] = ("naoh", "koh")
_G_MOL = {"naoh": NAOH_G_MOL, "koh": KOH_G_MOL}

# Strength -----------------------------------------------------------------------------------------------------------

NAOH_SATURATED, KOH_SATURATED = 0.522, 0.548
"""Alkali by mass in a saturated lye: NaOH 52.2 % at 20 °C (Great Soviet Encyclopedia 1979: 109 g in 100 g of water),
KOH 54.8 % at 25 °C (Bureau of Indian Standards, code of safety: 121 g in 100 mL of water)."""
_LIMIT = {"naoh": NAOH_SATURATED, "koh": KOH_SATURATED}
SATURATION_SOURCE = "Great Soviet Encyclopedia (1979); BIS code of safety, potassium hydroxide"


def saturated_fraction(potassium_mole_fraction: float) -> float:
    """Largest share of alkali by mass in a lye whose cations are potassium to that mole fraction (0-1), linear."""
    return NAOH_SATURATED + potassium_mole_fraction * (KOH_SATURATED - NAOH_SATURATED)


CRYSTALS_SOURCE = "caustic-soda and caustic-potash handbooks, recalled, ±2 °C; Dow (14 °C at 50 %); GSE 1979"
Rows = tuple[tuple[float, float], ...]
_NAOH_CRYSTALS: Rows = (
    (0.00, 0.0), (0.05, -4.0), (0.10, -10.0), (0.19, -28.0), (0.25, -17.0), (0.30, 1.0), (0.333, 8.0), (0.36, 13.0),
    (0.388, 15.6), (0.40, 15.0), (0.45, 6.0), (0.50, 14.0), (NAOH_SATURATED, 20.0),
)  # fmt: skip
_KOH_CRYSTALS: Rows = ((0.00, 0.0), (0.30, -66.0), (0.45, -29.0), (0.50, 6.0), (KOH_SATURATED, 25.0))
CRYSTALS_DOUBT_C = 2.0


def first_crystals_c(mass_fraction: float, potassium_mole_fraction: float = 0.0) -> float:
    """Temperature in °C below which ice or hydrates come out of a lye: straight lines between handbook rows, ±2 °C.

    Args:
        mass_fraction: alkali, 0 to `saturated_fraction`.
        potassium_mole_fraction: share of potassium among the cations; in between, linear (assumed; mixed lyes are
            said to stay clear further down).

    Raises `OutOfRange`. Example (Dow, caustic soda): 14 °C at 50 %.
    """
    strength = _checked_strength(mass_fraction, potassium_mole_fraction)
    sodium, potassium = (_between(rows, strength) for rows in (_NAOH_CRYSTALS, _KOH_CRYSTALS))
    return (1.0 - potassium_mole_fraction) * sodium + potassium_mole_fraction * potassium


def _between(rows: Rows, x: float) -> float:
    """Straight lines between rows of (x, y)."""
    xs, ys = zip(*rows, strict=True)
    return float(np.interp(x, xs, ys))


def _checked_strength(mass_fraction: float, potassium_mole_fraction: float) -> float:
    share = float(within("The potassium share of the cations", potassium_mole_fraction, 0.0, 1.0))
    limit = saturated_fraction(share)
    if not 0.0 <= mass_fraction <= limit * (1.0 + 1e-9):
        raise OutOfRange(
            "The strength of the lye", 100.0 * mass_fraction, 0.0, 100.0 * limit, unit="% by mass",
            source=SATURATION_SOURCE, remedy="More alkali than this does not dissolve: add water.",
        )  # fmt: skip
    return min(mass_fraction, limit)


# Boiling ------------------------------------------------------------------------------------------------------------

OLSSON = "Olsson, Jernqvist & Aly, Int. J. Thermophys. 18 (1997) 779, coefficients read in an open implementation"
BALEJ = "Balej, Int. J. Hydrogen Energy 10 (1985) 233, coefficients recalled and found again in open implementations"
BOILING_DOUBT_K = 2.0
"""Dow gives about 145 °C for NaOH of 50 % (here 146.4); a Dühring chart 79.5 °C for 30 % at 25.6 kPa (Olsson 81.0)."""
_OLSSON_1 = (-113.93947, 209.82305, 494.77153, 6860.8330, 2676.6433, -21740.328, -34750.872, -20122.157, -4102.9890)
_OLSSON_2 = (
    16.240074, -11.864008, -223.47305, -1650.3997, -5997.3118, -12318.744, -15303.153, -11707.480, -5364.9554,
    -1338.5412, -137.96889,
)  # fmt: skip
_OLSSON_3 = (
    -226.80157, 293.17155, 5081.8791, 36752.126, 131262.00, 259399.54, 301696.22, 208617.90, 81774.024, 15648.526,
    906.29769,
)  # fmt: skip
_BALEJ_1 = (0.0, -0.01508, -0.0016788, 2.25887e-5)
_BALEJ_2 = (1.0, -0.0012062, 5.6024e-4, -7.8228e-6)


def _series(coefficients: tuple[float, ...], x: float) -> float:
    return math.fsum(c * x**power for power, c in enumerate(coefficients))


def _naoh_boils_c(mass_fraction: float, pressure_pa: float) -> float:
    """Olsson et al. 1997: ln(p/kPa) = (a1 + a2 t)/(t - a3), each a series in the logarithm of the water's share."""
    water = math.log(1.0 - mass_fraction)
    a1, a2, a3 = (_series(row, water) for row in (_OLSSON_1, _OLSSON_2, _OLSSON_3))
    pressure = math.log(pressure_pa / 1000.0)
    return (a1 + a3 * pressure) / (pressure - a2)


def _koh_boils_c(mass_fraction: float, pressure_pa: float) -> float:
    """Balej 1985: log p = f(m) + g(m) log p of water, both in bar."""
    molality = 1000.0 * mass_fraction / (1.0 - mass_fraction) / KOH_G_MOL
    f, g = _series(_BALEJ_1, molality), _series(_BALEJ_2, molality)
    of_water_pa = 1e5 * 10.0 ** ((math.log10(pressure_pa / 1e5) - f) / g)
    return where_reached(water_pressure_pa, of_water_pa, 60.0, 199.0)


def lye_boiling_point_c(
    mass_fraction: float, pressure_pa: float = 101_325.0, *, potassium_mole_fraction: float = 0.0
) -> float:  # fmt: skip
    """Boiling point of a lye in °C, ±2 K.

    NaOH by Olsson et al. 1997, KOH by Balej 1985 (0 to 18 mol/kg, that is 50 %; a little beyond up to saturation),
    in between linear in the potassium share of the cations at equal mass fraction.

    Args:
        mass_fraction: alkali, 0 to `saturated_fraction`.
        pressure_pa: 50 to 110 kPa.
        potassium_mole_fraction: 0 to 1.

    Raises `OutOfRange`. Example (Dow): NaOH of 50 % boils at about 145 °C; this gives 146.4.
    """
    strength = _checked_strength(mass_fraction, potassium_mole_fraction)
    pressure = air_pressure_pa(pressure_pa)
    sodium = _naoh_boils_c(min(strength, NAOH_SATURATED), pressure) if potassium_mole_fraction < 1.0 else 0.0
    potassium = _koh_boils_c(strength, pressure) if potassium_mole_fraction > 0.0 else 0.0
    return (1.0 - potassium_mole_fraction) * sodium + potassium_mole_fraction * potassium


# Heat of solution ---------------------------------------------------------------------------------------------------

INFINITE_DILUTION_J_MOL = {"naoh": -44_510.0, "koh": -57_610.0}
"""Solid alkali into much water at 25 °C (Parker, NSRDS-NBS 2, 1965: 10.637 and 13.769 kcal/mol, recalled)."""
PARKER = "Parker, NSRDS-NBS 2 (1965) Table XIV A"
_NAOH_MOLAL = (
    0.0, 0.1, 0.2775, 0.5, 1.0, 2.0, 3.0, 4.0, 5.0, 5.5506, 6.1674, 6.9383, 7.9295, 9.251, 10.092, 11.1012, 12.3346,
    13.8765, 15.8589, 18.502, 20.0, 22.2024, 25.0021, 27.3030,
)  # fmt: skip
_NAOH_KEPT_CAL_MOL = (
    0.0, 101.0, 121.0, 115.0, 78.0, 4.0, -22.0, 0.0, 61.0, 112.0, 181.0, 289.0, 457.0, 727.0, 926.0, 1178.0, 1513.0,
    1955.0, 2543.0, 3307.0, 3722.0, 4260.0, 4877.0, 5323.0,
)  # fmt: skip
"""Relative apparent molal enthalpy against mol/kg of water: Parker's rows up to 22.2 (47 %); the last two (50 and
52.2 %) go on from there with the differences of Olsson et al. 1997, Parker's last slope giving the same."""
_CAL = 4.184
_KEPT_FROM_MOLAL = 2.2
_KEPT_J = 55.51 * 43_990.0
"""Moles of water in a kilogram times its heat of vaporisation at 25 °C in J/mol."""


def _kept_j_mol(alkali: Alkali, molality: float) -> float:
    """What a mole of alkali keeps back of its heat in a lye of that strength, against much water, in J."""
    if alkali == "naoh":
        return _CAL * float(np.interp(molality, _NAOH_MOLAL, _NAOH_KEPT_CAL_MOL))
    if molality <= _KEPT_FROM_MOLAL:
        return 0.0
    _, c1, c2, c3 = _BALEJ_2
    # The slope of log p on that of water, g(m), makes the water's partial molal enthalpy (1 - g) times its heat of
    # vaporisation; Gibbs and Duhem turn that into the salt's: d(kept)/dm = 55.51 h (g - 1)/m².
    start = _KEPT_FROM_MOLAL
    area = c1 * math.log(molality / start) + c2 * (molality - start) + 0.5 * c3 * (molality**2 - start**2)
    return _KEPT_J * area


def _doubt_j_mol(alkali: Alkali, molality: float) -> float:
    if alkali == "koh":
        return 1000.0 + 0.5 * _kept_j_mol(alkali, molality)
    return 500.0 if molality <= 22.2024 else 500.0 + 300.0 * (molality - 22.2024)


def _one_strength(alkali: str, mass_fraction: float) -> tuple[Alkali, float]:
    if alkali not in ALKALIS:
        raise UnknownName("alkali", alkali, ALKALIS)
    name: Alkali = "naoh" if alkali == "naoh" else "koh"
    strength = _checked_strength(mass_fraction, float(name == "koh"))
    return name, 1000.0 * strength / (1.0 - strength) / _G_MOL[name]


def heat_of_solution_j_mol(alkali: str, mass_fraction: float) -> float:
    """Heat of dissolving solid alkali to a lye of that strength at 25 °C, in J/mol; below 0 as heat is released.

    NaOH: Parker 1965 up to 47 %, continued to 52.2 %. KOH: his infinite dilution and what is derived from Balej 1985.

    Args:
        alkali: ``"naoh"`` or ``"koh"``.
        mass_fraction: 0 to saturation (0.522, 0.548).

    Raises `UnknownName`, `OutOfRange`. Example (Parker 1965): -38 180 J/mol for NaOH of 33.0 %.
    """
    name, molality = _one_strength(alkali, mass_fraction)
    return INFINITE_DILUTION_J_MOL[name] + _kept_j_mol(name, molality)


def heat_of_solution_band_j_mol(alkali: str, mass_fraction: float) -> Band:
    """The same with its doubt (low: most heat): NaOH ±0.5 kJ/mol, up to ±2 beyond 47 %; KOH ±1 and half of what is
    derived. Same errors."""
    name, molality = _one_strength(alkali, mass_fraction)
    likely, doubt = heat_of_solution_j_mol(alkali, mass_fraction), _doubt_j_mol(name, molality)
    return Band(likely - doubt, likely, likely + doubt)


# Lye as it is mixed -------------------------------------------------------------------------------------------------

_NAOH_J_G_K: Rows = (
    (0.00, 4.19), (0.05, 3.98), (0.10, 3.84), (0.15, 3.75), (0.20, 3.69), (0.25, 3.65), (0.30, 3.61), (0.35, 3.55),
    (0.40, 3.47), (0.45, 3.35), (0.50, 3.22), (0.522, 3.15),
)  # fmt: skip
"""Mean heat capacity from 20 to 100 °C out of the enthalpies of Olsson et al. 1997; Laliberté 2009 agrees at 30 %."""
_KOH_J_G_K: Rows = (
    (0.00, 4.19), (0.05, 3.93), (0.10, 3.71), (0.20, 3.33), (0.30, 3.02), (0.40, 2.77), (0.465, 2.63), (0.50, 2.57),
    (0.548, 2.49),
)  # fmt: skip
"""Laliberté, J. Chem. Eng. Data 54 (2009) 1725, at 60 °C; beyond 46.5 % outside his range."""
BOUND_WATER_J_MOL = 43_000.0
"""What a mole of water already bound in the solid takes away: KOH·H2O dissolves with 14.6 instead of 57.6 kJ/mol
(handbooks, recalled)."""
_WATER_G_MOL = 18.015
LATENT_J_G = 2_250.0
"""Water boiling off a lye (steam tables: 2 256 J/g at 100 °C)."""
_LEAST_ALKALI_G = 1e-9


def lye_specific_heat_j_g_k(mass_fraction: float, potassium_mass_share: float = 0.0) -> float:
    """Heat capacity of a lye in J/(g K) between 20 and 100 °C, ±2 %; the share (0-1) is KOH in all alkali, by mass."""
    sodium, potassium = (_between(rows, mass_fraction) for rows in (_NAOH_J_G_K, _KOH_J_G_K))
    return (1.0 - potassium_mass_share) * sodium + potassium_mass_share * potassium


@dataclass(frozen=True, slots=True)
class LyeHeat:
    """What happens when lye is mixed: heat in kJ, the temperature reached in °C, and the limits on both sides.

    `reached_c` stops at the boiling point; `steam_g` is the water that what is beyond would boil off. `capacity_j_k`
    is that of lye and vessel together; `crystals_below_c` is when ice or hydrates come out.
    """

    strength: float
    potassium_mole_fraction: float
    heat_kj: Band
    capacity_j_k: float
    start_c: float
    reached_c: Band
    boils_at_c: float
    steam_g: Band
    crystals_below_c: float

    @property
    def boils(self) -> bool:
        """Whether it likely boils as it is mixed."""
        return self.reached_c.likely >= self.boils_at_c

    @property
    def may_boil(self) -> bool:
        """Whether it boils at the high end of the doubt, or comes within the doubt of its boiling point."""
        return self.reached_c.high >= self.boils_at_c - BOILING_DOUBT_K

    @property
    def margin_k(self) -> float:
        """How far below its boiling point it likely stays."""
        return self.boils_at_c - self.reached_c.likely


def lye_heat(
    naoh_g: float, koh_g: float, water_g: float, *, start_c: float = 20.0, vessel_j_k: float = 0.0,
    lost_share: tuple[float, float, float] = (0.0, 0.1, 0.3), pressure_pa: float = 101_325.0,
    bound_water_g: float = 0.0,
) -> LyeHeat:  # fmt: skip
    """Temperature that a lye reaches when its alkali is stirred in within minutes.

    Args:
        naoh_g: pure NaOH.
        koh_g: pure KOH.
        water_g: all water, that of moist flakes too.
        start_c: of water, alkali and vessel, 0 to 60 °C.
        vessel_j_k: see `warming.vessel_j_k`.
        lost_share: what goes to the room meanwhile, least, likely and most (assumed; 0 is the adiabatic limit).
        pressure_pa: 50 to 110 kPa.
        bound_water_g: the part of the water that sits in the flakes (KOH of 90 % brings 10 g in 100 g); it lowers the
            likely heat, and the high end counts half of it.

    Raises `BadInput` (nothing to dissolve, negative amounts), `OutOfRange` (stronger than saturated, start, pressure).
    Example (heats of Parker 1965): 330 g NaOH in 670 g of water release 315 kJ, some 88 K if nothing is lost.
    """
    mol = _moles(naoh_g, koh_g, water_g, bound_water_g)
    alkali_g, share = naoh_g + koh_g, mol["koh"] / (mol["naoh"] + mol["koh"])
    whole_g = alkali_g + water_g
    strength = _checked_strength(alkali_g / whole_g, share)
    heat = _released_j(mol, water_g, bound_water_g)
    specific = lye_specific_heat_j_g_k(strength, koh_g / alkali_g)
    capacity = whole_g * specific + positive("The heat capacity of the vessel", vessel_j_k, zero=True)
    start = float(within("The temperature at the start", start_c, 0.0, 60.0, unit="°C"))
    boils_at = lye_boiling_point_c(strength, pressure_pa, potassium_mole_fraction=share)
    rises = _rises_k(heat, capacity, lost_share)
    beyond = [max(0.0, start + rise - boils_at) for rise in rises]
    return LyeHeat(
        strength, share, Band(*(j / 1000.0 for j in heat)), capacity, start,
        Band(*(min(start + rise, boils_at) for rise in rises)), boils_at,
        Band(*(min(water_g, k * capacity / LATENT_J_G) for k in beyond)), first_crystals_c(strength, share),
    )  # fmt: skip


def _moles(naoh_g: float, koh_g: float, water_g: float, bound_water_g: float) -> dict[Alkali, float]:
    for name, grams in (("NaOH", naoh_g), ("KOH", koh_g), ("water", water_g), ("water in the flakes", bound_water_g)):
        positive(f"The amount of {name}", grams, zero=True)
    if naoh_g + koh_g < _LEAST_ALKALI_G:
        raise BadInput("There is no alkali to dissolve.", remedy="Give grams of NaOH or KOH.")
    if bound_water_g > water_g:
        raise BadInput("The flakes hold more water than there is.", remedy="Count their water in the water too.")
    return {"naoh": naoh_g / NAOH_G_MOL, "koh": koh_g / KOH_G_MOL}


def _released_j(mol: dict[Alkali, float], water_g: float, bound_water_g: float) -> Band:
    """Heat released, in J: both alkalis at the molality of the whole; the high end counts half the water of flakes."""
    molality = 1000.0 * sum(mol.values()) / water_g
    likely = sum(n * -(INFINITE_DILUTION_J_MOL[name] + _kept_j_mol(name, molality)) for name, n in mol.items())
    doubt = sum(n * _doubt_j_mol(name, molality) for name, n in mol.items())
    bound = bound_water_g / _WATER_G_MOL * BOUND_WATER_J_MOL
    return Band(max(0.0, likely - doubt - 1.2 * bound), max(0.0, likely - bound), likely + doubt - 0.5 * bound)


def _rises_k(heat: Band, capacity_j_k: float, lost_share: tuple[float, float, float]) -> tuple[float, ...]:
    least, usual, most = lost_share
    if not 0.0 <= least <= usual <= most < 1.0:
        raise BadInput("The shares of heat lost have to rise from 0 to below 1.", remedy="Give least, likely, most.")
    return tuple(j * (1.0 - lost) / capacity_j_k for j, lost in zip(heat, (most, usual, least), strict=True))


def lye_cooled_minutes(
    mixed: LyeHeat, to_c: float, *, room_c: float, area_m2: float, w_m2_k: Band = FREE_AIR_W_M2_K
) -> Band | None:
    """Minutes until a lye left standing has cooled to `to_c`; None where the room is too warm.

    Low: it started at the low end of what it reached, and loses heat fastest. Standing in cold water: give its
    temperature as `room_c` and `warming.BATH_W_M2_K`. Raises `BadInput`.
    """
    each = [
        cooling_minutes(mixed.capacity_j_k, from_c, to_c, room_c, area_m2, w_m2_k=w_m2_k) for from_c in mixed.reached_c
    ]
    fast, likely, slow = each
    return None if fast is None or likely is None or slow is None else Band(fast.low, likely.likely, slow.high)
