"""What is around the pot: the pressure of the air, its draught, the room, and what the maker's kettles have taught."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from kettleglass.recipe.place import Place
from kettleglass.recipe.recipe import Kettle
from kettleglass.science.heat.boiling import bubble_point, pressure_at_pa
from kettleglass.science.heat.draught import COVERED_PRIOR, OPEN_PRIOR, Draught
from kettleglass.science.heat.evaporation import SPEED_M_S, Air


@dataclass(frozen=True, slots=True)
class Learnt:
    """How kettle and place differ from the model, by what was weighed there: one factor open, one covered."""

    open: Draught = OPEN_PRIOR
    covered: Draught = COVERED_PRIOR


@dataclass(frozen=True, slots=True)
class Around:
    """The air around a pot; `said` tells in words where the pressure is from."""

    pressure_pa: float
    said: str
    air: Air
    learnt: Learnt = field(default_factory=Learnt)


def around(place: Place, *, altitude_m: float = 0.0, learnt: Learnt | None = None) -> Around:
    """The surroundings of a place; `altitude_m` is that of the workshop, for a place that does not say its own."""
    if place.pressure_hpa is not None:
        pressure_pa, said = 100.0 * place.pressure_hpa, f"{place.pressure_hpa:.0f} hPa by the barometer"
    else:
        height = altitude_m if place.altitude_m is None else place.altitude_m
        pressure_pa = pressure_at_pa(height)
        said = "sea level" if abs(height) < 0.5 else f"{height:.0f} m above the sea"
    air = Air(SPEED_M_S[place.draught], place.room_c, pressure_pa)
    return Around(pressure_pa, said, air, learnt or Learnt())


POUR_C, BELOW_ALCOHOL_K = 70.0, 8.0
"""Spirit is poured into a base below 70 °C (common practice, no source), which is 8 K below where ethanol boils at sea
level; up a mountain ethanol boils below 70 °C itself."""


def pour_below_c(alcohol: str, pressure_pa: float) -> float:
    """The base's temperature in whole °C below which an alcohol (species id) is poured in, at the pressure there."""
    boils_c = bubble_point({alcohol: 1.0}, pressure_pa).temperature_c
    return float(min(POUR_C, math.floor(boils_c - BELOW_ALCOHOL_K)))


KNOWN_SPAN = (1.0, 1.0)
UNKNOWN_SPAN = ((160.0 / 220.0) ** 2, (300.0 / 220.0) ** 2)
"""A kettle that nobody measured: the area of a small and of a large one, against that of the usual one."""


def area_span(kettle: Kettle) -> tuple[float, float]:
    """How much smaller and larger the open surface may be than reckoned: 1 and 1 for a measured kettle."""
    return UNKNOWN_SPAN if kettle.inner_diameter_mm is None else KNOWN_SPAN
