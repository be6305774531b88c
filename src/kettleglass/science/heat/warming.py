"""How long a pot takes to warm and to cool, and where two liquids meet: heat capacities and first-order laws.

The pot is one temperature throughout (it is stirred, or slow). Heat that leaves with vapour is not in these laws.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import NamedTuple

import numpy as np

from kettleglass.errors import BadInput, UnknownName
from kettleglass.science.basis import Array, Basis
from kettleglass.science.correlation import within
from kettleglass.science.species import PLAIN


class Band(NamedTuple):
    """A figure with its doubt."""

    low: float
    likely: float
    high: float


Quadratic = tuple[float, float, float]
"""Coefficients of 1, t and t² with t in °C."""


def _through(at_20: float, at_60: float, at_80: float) -> Quadratic:
    """The parabola through three heat capacities at 20, 60 and 80 °C."""
    slope, steeper = (at_60 - at_20) / 40.0, (at_80 - at_60) / 20.0
    bend = (steeper - slope) / 60.0
    return at_20 - 20.0 * slope + 1200.0 * bend, slope - 80.0 * bend, bend


FAT_J_G_K: Quadratic = (1.984, 1.473e-3, -4.80e-6)
"""Oils and fats (Choi & Okos 1986, equation recalled); fatty acids are taken alike."""
SOAP_J_G_K = Band(2.0, 2.3, 2.6)
"""Anhydrous soap at 40 to 80 °C (soap handbooks, 0.5 to 0.6 kcal/(kg K), recalled)."""
HEAT_CAPACITY_J_G_K: dict[str, Quadratic] = {
    "water": _through(4.184, 4.185, 4.197),
    "ethanol": _through(2.396, 2.744, 2.948),
    "propan_2_ol": _through(2.518, 3.069, 3.342),
    "methanol": (2.3635, 7.075e-3, 0.0),
    "glycerol": _through(2.346, 2.553, 2.657),
    "propylene_glycol": _through(2.468, 2.712, 2.830),
    "dipropylene_glycol": _through(2.468, 2.712, 2.830),
    "triethanolamine": (2.3882, 1.6727e-3, 0.0),
    "sucrose": (1.84, 0.0, 0.0),
    "hexoses": (1.84, 0.0, 0.0),
    "sorbitol": (1.84, 0.0, 0.0),
    "sodium": (2.6, 0.0, 0.0),
    "potassium": (0.8, 0.0, 0.0),
    "triethanolammonium": (2.4, 0.0, 0.0),
    "hydroxide": (1.5, 0.0, 0.0),
}
"""Liquids: Zabransky et al. and reference equations, evaluated with `chemicals` 1.5.2 at 20, 60 and 80 °C. Dissolved
sugars: the slope of 4.19 - 2.35 w (Honig, as in Coulson & Richardson, 6th ed., Ex. 14.4). Ions: chosen so that
lye of 30 % lies within 2 % (NaOH) and 8 % (KOH) of Laliberté 2009 while soap stays near 2.3."""
_OTHER_J_G_K = Band(1.2, 2.0, 3.0)
"""Whatever has no row: salts, surfactants, the unspecified. Assumed."""
_MIXING = 0.07
"""Water and alcohol together hold up to 7 % more heat than apart (handbooks, recalled); half of it is likely here."""
COLDEST_C, HOTTEST_C = 0.0, 120.0
_FAT_LIKE = ("bound_glycerol", "bound_alcohol", "unsaponifiable")
_EXTRA = ("soap", "fat", "electrolyte")
_PLAIN = frozenset(species.id for species in PLAIN)

METAL_J_G_K = {
    "stainless steel": 0.50, "enamel": 0.47, "glass": 0.83, "plastic": 1.9, "aluminium": 0.90, "other": 0.70,
}  # fmt: skip
"""Heat capacity of what kettles are made of (handbooks, recalled); `other` stands between metal and glass."""


def _at(species_id: str, temperature_c: Array) -> Array:
    """Likely heat capacity in J/(g K) of one species at a checked temperature."""
    if species_id.startswith("soap"):
        return np.full_like(temperature_c, SOAP_J_G_K.likely)
    fat = species_id.startswith(("acyl", "acid", "fat")) or species_id in _FAT_LIKE
    row = FAT_J_G_K if fat else HEAT_CAPACITY_J_G_K.get(species_id, (_OTHER_J_G_K.likely, 0.0, 0.0))
    return np.asarray(row[0] + (row[1] + row[2] * temperature_c) * temperature_c)


def _pot_temperature(temperature_c: float) -> Array:
    return within("The temperature", temperature_c, COLDEST_C, HOTTEST_C, unit="°C", source="the heat capacities")


def heat_capacity_j_k(basis: Basis, pot: Array, temperature_c: float = 80.0) -> Array:
    """Heat capacity of a pot (S,) or (S, N) of grams, in J/K: the species side by side, shape () or (N,).

    Args:
        basis: the rows of the pot.
        pot: grams.
        temperature_c: 0 to 120 °C. For a warming, give the middle of its span.

    Raises `OutOfRange`. Example (Coulson & Richardson, 6th ed., Ex. 14.4): 100 g of syrup of 40 % hold 325 J/K.
    """
    t = _pot_temperature(temperature_c)
    return np.asarray(np.array([float(_at(species_id, t)) for species_id in basis.ids]) @ pot)


def specific_heat_j_g_k(mass_fractions: Mapping[str, float], temperature_c: float = 80.0) -> Band:
    """Heat capacity of a mixture in J/(g K), with a band, for scripts without a pot.

    Keys are species ids, or `soap`, `fat`, `electrolyte`; the fractions are divided by their sum. The band holds the
    doubt of soap (2.0 to 2.6), of whatever has no row, and of mixing water with alcohol.

    Raises `UnknownName`, `BadInput` (negative, none), `OutOfRange` (temperature, as in `heat_capacity_j_k`).
    """
    t = _pot_temperature(temperature_c)
    for name in mass_fractions:
        if name not in _PLAIN and name not in _EXTRA and not name.startswith(("acyl.", "acid.", "soap.")):
            raise UnknownName("species", name, [*sorted(_PLAIN), *_EXTRA])
    parts = {name: float(share) for name, share in mass_fractions.items()}
    total = math.fsum(parts.values())
    if not (math.isfinite(total) and total > 0.0 and min(parts.values()) >= 0.0):
        raise BadInput("A heat capacity needs shares of 0 or more, and one above 0.", remedy="Give mass fractions.")
    likely = sum(share * float(_at(name, t)) for name, share in parts.items()) / total
    soap = sum(share for name, share in parts.items() if name.startswith("soap")) / total
    other = sum(share for name, share in parts.items() if _has_no_row(name)) / total
    wet = min(parts.get("water", 0.0), sum(parts.get(n, 0.0) for n in ("ethanol", "propan_2_ol", "methanol"))) / total
    mixing = _MIXING * likely * min(1.0, 4.0 * wet)
    low = likely - 0.3 * soap - (_OTHER_J_G_K.likely - _OTHER_J_G_K.low) * other
    high = likely + 0.3 * soap + (_OTHER_J_G_K.high - _OTHER_J_G_K.likely) * other + mixing
    return Band(low, likely + 0.5 * mixing, high)


def _has_no_row(name: str) -> bool:
    known = name in HEAT_CAPACITY_J_G_K or name in _FAT_LIKE
    return not known and not name.startswith(("soap", "acyl", "acid", "fat"))


def vessel_j_k(mass_g: float, metal: str = "stainless steel") -> float:
    """Heat capacity of an empty kettle in J/K; `metal` is one of `METAL_J_G_K`. Raises `UnknownName`, `BadInput`."""
    if metal not in METAL_J_G_K:
        raise UnknownName("kettle material", metal, METAL_J_G_K)
    if not (math.isfinite(mass_g) and mass_g >= 0.0):
        raise BadInput(f"A kettle cannot weigh {mass_g:g} g.", remedy="Weigh it empty, in grams.")
    return METAL_J_G_K[metal] * mass_g


def positive(name: str, value: float, *, zero: bool = False) -> float:
    """The value, once it is known to be a finite number above 0 (or 0 too); raises `BadInput`."""
    if not (math.isfinite(value) and (value > 0.0 or (zero and value == 0.0))):
        raise BadInput(f"{name} is {value:g}.", remedy="Give a number above 0." if not zero else "Give 0 or more.")
    return value


def mixed_temperature_c(capacity_a_j_k: float, a_c: float, capacity_b_j_k: float, b_c: float) -> float:
    """Temperature in °C of two bodies put together, no heat lost and none released. Raises `BadInput`."""
    a = positive("A heat capacity", capacity_a_j_k, zero=True)
    b = positive("A heat capacity", capacity_b_j_k, zero=True)
    return (a * a_c + b * b_c) / positive("The heat capacity of both together", a + b)


# Losing heat to the room --------------------------------------------------------------------------------------------

FREE_AIR_W_M2_K = Band(8.0, 11.0, 15.0)
"""Free air and radiation together from a warm vessel to a room (heat-transfer handbooks, recalled). A lagged pot
loses less, a blown-at one more; what evaporates takes its heat on top."""
BATH_W_M2_K = Band(100.0, 200.0, 300.0)
"""From still hot water through a kettle's wall into a stirred, thick mass (process handbooks, recalled)."""


def pot_area_m2(volume_ml: float, diameter_mm: float) -> float:
    """Outside of the contents of a round kettle in m²: bottom, wetted wall and open surface. Raises `BadInput`."""
    radius_m = positive("The diameter", diameter_mm) / 2000.0
    height_m = positive("The volume", volume_ml, zero=True) * 1e-6 / (math.pi * radius_m**2)
    return math.pi * radius_m * (2.0 * radius_m + 2.0 * height_m)


def wetted_area_m2(volume_ml: float, diameter_mm: float) -> float:
    """Bottom and wetted wall in m²: what a water bath touches. Raises `BadInput`."""
    return pot_area_m2(volume_ml, diameter_mm) - math.pi * (diameter_mm / 2000.0) ** 2


def loss_w_k(area_m2: float) -> Band:
    """Heat lost to a room in W for each kelvin above it, by air and radiation. Raises `BadInput`."""
    return Band(*(positive("The area", area_m2, zero=True) * w for w in FREE_AIR_W_M2_K))


# Time ---------------------------------------------------------------------------------------------------------------


def _decay_minutes(capacity_j_k: float, from_c: float, to_c: float, towards_c: float, w_k: float) -> float | None:
    """Minutes from one temperature to another while drawn towards a third; None where it is never reached."""
    if from_c == to_c:
        return 0.0
    start, end = from_c - towards_c, to_c - towards_c
    if start == 0.0 or end / start <= 0.0 or end / start >= 1.0:
        return None
    return capacity_j_k / w_k * math.log(start / end) / 60.0


def temperature_after_c(
    capacity_j_k: float, from_c: float, minutes: float, *, power_w: float = 0.0, room_c: float = 20.0,
    loss_w_k: float = 0.0,
) -> float:  # fmt: skip
    """Temperature in °C after some minutes of heating with `power_w` and losing `loss_w_k` for each kelvin above the
    room: C dT/dt = P - k (T - room), solved exactly. Nothing boils in this law. Raises `BadInput`.
    """
    capacity = positive("The heat capacity", capacity_j_k)
    seconds = 60.0 * positive("The time", minutes, zero=True)
    loss = positive("The loss of heat", loss_w_k, zero=True)
    decay = loss * seconds / capacity
    share = -math.expm1(-decay) / decay if decay > 0.0 else 1.0
    return from_c + (power_w - loss * (from_c - room_c)) * seconds / capacity * share


def warming_minutes(
    capacity_j_k: float, from_c: float, to_c: float, power_w: float, *, room_c: float = 20.0, loss_w_k: float = 0.0,
) -> float | None:  # fmt: skip
    """Minutes to warm a pot with a heater, or None where it never gets there against what the room takes.

    Args:
        capacity_j_k: of contents and kettle together.
        from_c: °C at the start.
        to_c: °C to reach; 0 minutes where it is that warm already.
        power_w: what reaches the pot; of a plate's rating usually 0.5 to 0.8 (common practice, no source).
        room_c: °C.
        loss_w_k: W for each kelvin above the room (see `loss_w_k`).

    Raises `BadInput`.
    """
    capacity, power = positive("The heat capacity", capacity_j_k), positive("The power", power_w, zero=True)
    loss = positive("The loss of heat", loss_w_k, zero=True)
    if to_c <= from_c:
        return 0.0
    left_w = power - loss * (to_c - room_c)
    if left_w <= 0.0:
        return None
    ratio = loss * (to_c - from_c) / left_w
    share = math.log1p(ratio) / ratio if ratio > 0.0 else 1.0
    return capacity * (to_c - from_c) / left_w * share / 60.0


def bath_minutes(
    capacity_j_k: float, from_c: float, to_c: float, bath_c: float, area_m2: float, *, w_m2_k: Band = BATH_W_M2_K,
) -> Band | None:  # fmt: skip
    """Minutes to warm a pot in a water bath held at `bath_c`; None where the bath is not hotter than the goal.

    `area_m2` is what the water touches (`wetted_area_m2`). Low is the best contact. The pot never reaches the bath's
    own temperature, only comes near. Raises `BadInput`.
    """
    return _towards(capacity_j_k, from_c, max(from_c, to_c), bath_c, _conductance_w_k(area_m2, w_m2_k))


def cooling_minutes(
    capacity_j_k: float, from_c: float, to_c: float, room_c: float, area_m2: float, *, w_m2_k: Band = FREE_AIR_W_M2_K,
) -> Band | None:  # fmt: skip
    """Minutes for a pot to cool in a room without a fan; None where the room is too warm. Newton's law of cooling.

    `area_m2` is the whole outside (`pot_area_m2`); low is the fastest. Lye cooled in a bath of cold water: give the
    bath's temperature as `room_c` and `BATH_W_M2_K`. Raises `BadInput`.
    """
    return _towards(capacity_j_k, from_c, min(from_c, to_c), room_c, _conductance_w_k(area_m2, w_m2_k))


def _conductance_w_k(area_m2: float, w_m2_k: Band) -> Band:
    return Band(*(positive("The area", area_m2) * positive("The coefficient", w) for w in w_m2_k))


def _towards(capacity_j_k: float, from_c: float, to_c: float, towards_c: float, w_k: Band) -> Band | None:
    capacity = positive("The heat capacity", capacity_j_k)
    slow, likely, fast = (_decay_minutes(capacity, from_c, to_c, towards_c, w) for w in w_k)
    return None if fast is None or likely is None or slow is None else Band(fast, likely, slow)
