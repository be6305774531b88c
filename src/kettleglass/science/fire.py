"""Fire and air: flash points of what is in a pot, limits of alcohol vapour, and the fresh air that keeps below them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

import numpy as np

from kettleglass.errors import UnknownName
from kettleglass.science.basis import Array
from kettleglass.science.correlation import within
from kettleglass.science.heat.boiling import temperature_where
from kettleglass.science.heat.liquid import Liquid, liquid_of
from kettleglass.science.heat.vapour import COMPONENTS, saturation_pressure_pa
from kettleglass.science.pot import MOL_PER_G

IEC = "IEC 60079-20-1:2010"
NIOSH = "NIOSH Pocket Guide to Chemical Hazards"
LIAW = "Liaw et al., J. Loss Prev. Process Ind. 15 (2002) 429, with Le Chatelier's rule"
AIR_LITRES_PER_MOL = 24.06
"""A mole of vapour in air of 20 °C and 101.3 kPa."""
HIGHEST_FLASH_C = 100.0
Limit = Literal["lel_10", "lel_25", "exposure"]
LIMITS: tuple[Limit, ...] = ("lel_10", "lel_25", "exposure")


@dataclass(frozen=True, slots=True)
class Flammable:
    """Limits of one alcohol's vapour in air, as shares by volume, and its flash and ignition temperatures in °C.

    `exposure_fraction` is the average over a working day, `short_term_fraction` that over 15 minutes. Flash point,
    explosive limits and ignition: IEC 60079-20-1.
    """

    flash_c: float
    lel_fraction: float
    uel_fraction: float
    exposure_fraction: float
    exposure_source: str
    short_term_fraction: float
    short_term_source: str
    ignites_c: float


FLAMMABLE: Mapping[str, Flammable] = MappingProxyType({
    "ethanol": Flammable(
        12.0, 0.031, 0.190, 1000e-6, f"{NIOSH}: REL and PEL 1000 ppm",
        1000e-6, "Ontario Regulation 833, after ACGIH: STEL 1000 ppm", 400.0,
    ),
    "propan_2_ol": Flammable(
        12.0, 0.020, 0.127, 400e-6, f"{NIOSH}: REL and PEL 400 ppm", 500e-6, f"{NIOSH}: short-term REL 500 ppm", 399.0,
    ),
    "methanol": Flammable(
        9.0, 0.060, 0.360, 200e-6, "OSHA PEL 200 ppm, skin (Prudent Practices 1995)",
        250e-6, "ACGIH STEL 250 ppm, skin (Prudent Practices 1995)", 440.0,
    ),
})  # fmt: skip
_ROWS = [COMPONENTS.index(name) for name in FLAMMABLE]
_PER_FLASH: Array = np.zeros((len(COMPONENTS), 1))
"""One over the pressure of each pure alcohol at its own flash point, (C, 1) per Pa."""
for _row, _one in zip(_ROWS, FLAMMABLE.values(), strict=True):
    _PER_FLASH[_row] = 1.0 / saturation_pressure_pa(_one.flash_c)[_row]


def flash_point_c(mass_fractions: Mapping[str, float]) -> float | None:
    """Closed-cup flash point of a liquid in °C: sum of x_i g_i p_i(T) / p_i(own flash point) = 1 over the alcohols.

    None for a liquid that has none up to 100 °C. Against published ethanol-water rows within 3 °C from 20 % vol on,
    below that on the safe side; pots with soap and sugar nobody has measured, and there other equations for the
    activity lie from 3 °C below to 7 above. Keys and refusals as
    `kettleglass.science.heat.liquid.liquid_of`. Source: Liaw et al. 2002. Example (GESTIS): 40 % vol of ethanol in
    water, 26 °C.
    """
    found = float(flash_of(liquid_of(mass_fractions)))
    return None if math.isnan(found) else found


def flash_of(liquid: Liquid) -> Array:
    """Flash points of one liquid or of N, () or (N,) in °C; nan where there is none up to 100 °C."""
    fractions = np.reshape(liquid.mole_fractions, (len(COMPONENTS), -1))
    out = np.full(fractions.shape[1], np.nan)
    burns = fractions[_ROWS].sum(axis=0) > 0.0
    if burns.any():
        found, _ = temperature_where(fractions[:, burns], _PER_FLASH)
        out[burns] = np.where(found > HIGHEST_FLASH_C, np.nan, found)
    return np.asarray(out.reshape(liquid.moles.shape[1:]))


def flammable(species: str) -> Flammable:
    """The limits of an alcohol by its species id; raises `UnknownName`."""
    if species not in FLAMMABLE:
        raise UnknownName("alcohol", species, FLAMMABLE)
    return FLAMMABLE[species]


def limit_fraction(species: str, limit: Limit) -> float:
    """The share of air by volume that a limit allows: 10 or 25 % of the lower explosive limit, or the exposure limit.

    25 %: WAC 296-835-11010(3) for vapour areas; 10 %: the basis of NIOSH's IDLH. Raises `UnknownName`.
    """
    one = flammable(species)
    if limit not in LIMITS:
        raise UnknownName("limit", limit, LIMITS)
    return {"lel_10": 0.10 * one.lel_fraction, "lel_25": 0.25 * one.lel_fraction, "exposure": one.exposure_fraction}[
        limit
    ]


def vapour_m3_per_min(vapour_g_per_min: float, species: str = "ethanol", *, pressure_pa: float = 101_325.0) -> float:
    """Volume of that vapour at 20 °C: a mole takes more room in thinner air. Raises `UnknownName`, `OutOfRange`."""
    flammable(species)
    grams = float(within("The vapour", vapour_g_per_min, 0.0, 1e6, unit="g/min"))
    thin = 101_325.0 / float(within("The air pressure", pressure_pa, 50_000.0, 110_000.0, unit="Pa"))
    return grams * MOL_PER_G[species] * AIR_LITRES_PER_MOL * thin / 1000.0


def airflow_m3_per_h(
    vapour_g_per_min: float, species: str = "ethanol", limit: Limit = "lel_25", mixing_factor: float = 3.0, *,
    pressure_pa: float = 101_325.0,
) -> float:  # fmt: skip
    """Fresh air in m3/h that holds the room's average below a limit: Q = K G / limit (ACGIH dilution equation).

    `mixing_factor` K is 1 for perfect mixing, 3 to 10 in rooms (up to 20). It says nothing about the metre around an
    open pot, which can burn whatever the average is. Raises `UnknownName`, `OutOfRange`. Example (worked by hand from
    the equation): 10 g/min of ethanol, a quarter of its limit, K = 3: 121 m3/h.
    """
    k = float(within("The mixing factor", mixing_factor, 1.0, 20.0))
    made = vapour_m3_per_min(vapour_g_per_min, species, pressure_pa=pressure_pa)
    return 60.0 * k * made / limit_fraction(species, limit)


def room_ppm(
    vapour_g_per_min: float, minutes: float, room_m3: float, airflow_m3_h: float = 0.0, *, species: str = "ethanol",
    mixing_factor: float = 3.0, pressure_pa: float = 101_325.0,
) -> float:  # fmt: skip
    """Vapour in ppm by volume, as the room's average: C = G/Q' (1 - exp(-Q' t / V)), Q' = Q / K; G t / V without air.

    Raises `UnknownName`, `OutOfRange`.
    """
    time = float(within("The time", minutes, 0.0, 1e5, unit="min"))
    room, fresh = _room(room_m3, airflow_m3_h, mixing_factor)
    made = vapour_m3_per_min(vapour_g_per_min, species, pressure_pa=pressure_pa)
    if fresh * time < 1e-6 * room:
        return min(1e6, 1e6 * made * time / room)
    return min(1e6, 1e6 * made / fresh * -math.expm1(-fresh * time / room))


def room_fraction_of_lel(
    vapour_g_per_min: float, minutes: float, room_m3: float, airflow_m3_h: float = 0.0, *, species: str = "ethanol",
    mixing_factor: float = 3.0, pressure_pa: float = 101_325.0,
) -> float:  # fmt: skip
    """The room's average as a share of the lower explosive limit, after some minutes; arguments as `room_ppm`.

    Example (worked by hand): 10 g/min into 30 m3 without fresh air reach a quarter of it after 45 minutes.
    """
    ppm = room_ppm(
        vapour_g_per_min, minutes, room_m3, airflow_m3_h, species=species, mixing_factor=mixing_factor,
        pressure_pa=pressure_pa,
    )  # fmt: skip
    return ppm * 1e-6 / flammable(species).lel_fraction


def minutes_to_fraction(
    fraction_of_lel: float, vapour_g_per_min: float, room_m3: float, airflow_m3_h: float = 0.0, *,
    species: str = "ethanol", mixing_factor: float = 3.0,
) -> float | None:  # fmt: skip
    """Minutes until the room's average reaches that share of the lower explosive limit; None when it never does.

    The way back of `room_fraction_of_lel`, with the same arguments. Raises `UnknownName`, `OutOfRange`.
    """
    wanted = float(within("The share of the limit", fraction_of_lel, 0.0, 1.0)) * flammable(species).lel_fraction
    made = vapour_m3_per_min(vapour_g_per_min, species)
    room, fresh = _room(room_m3, airflow_m3_h, mixing_factor)
    if made <= 0.0 or (fresh > 0.0 and wanted * fresh >= made):
        return None
    if wanted * fresh < 1e-9 * made:
        return wanted * room / made
    return -room / fresh * math.log1p(-wanted * fresh / made)


def _room(room_m3: float, airflow_m3_h: float, mixing_factor: float) -> tuple[float, float]:
    """The room in m3 and the fresh air that counts, in m3/min; both checked."""
    room = float(within("The size of the room", room_m3, 1.0, 1e6, unit="m3"))
    fresh = float(within("The flow of fresh air", airflow_m3_h, 0.0, 1e7, unit="m3/h")) / 60.0
    return room, fresh / float(within("The mixing factor", mixing_factor, 1.0, 20.0))
