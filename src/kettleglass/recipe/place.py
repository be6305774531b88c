"""Where a recipe is cooked: the air around the pot, and what warms it. What is not said is asked or assumed."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from kettleglass.errors import BadInput, UnknownName

Draught = Literal["calm", "usual", "draughty", "fan"]
DRAUGHTS: tuple[Draught, ...] = ("calm", "usual", "draughty", "fan")
"""How the air moves over the open pot."""
Heating = Literal["water bath", "enclosed heater", "other"]
HEATINGS: tuple[Heating, ...] = ("water bath", "enclosed heater", "other")


def one_of(name: str, value: str, choices: tuple[str, ...]) -> None:
    """Raise `UnknownName` unless the value is one of the choices."""
    if value not in choices:
        raise UnknownName(name, value, choices)


def finite(name: str, value: float, low: float, high: float, unit: str = "") -> None:
    """Raise `BadInput` unless the value is a number from low to high."""
    if not (math.isfinite(value) and low <= value <= high):
        after = f" {unit}" if unit else ""
        raise BadInput(
            f"{name} is {value:.10g}{after}.", remedy=f"Give a number from {low:.10g} to {high:.10g}{after}."
        )


@dataclass(frozen=True, slots=True)
class Place:
    """The place of the cook.

    A barometer's `pressure_hpa` (as read there, not reduced to sea level) goes before `altitude_m`; without either
    the workshop's own altitude counts. `room_m3` and `heater_w` are asked only for what needs them.
    """

    name: str = "workshop"
    altitude_m: float | None = None
    pressure_hpa: float | None = None
    room_c: float = 20.0
    draught: Draught = "usual"
    room_m3: float | None = None
    airflow_m3_h: float | None = None
    heating: Heating = "water bath"
    heater_w: float | None = None

    def __post_init__(self) -> None:
        one_of("draught", self.draught, DRAUGHTS)
        one_of("way of heating", self.heating, HEATINGS)
        finite("The room temperature", self.room_c, -10.0, 50.0, "°C")
        limits = (
            ("The altitude", self.altitude_m, -430.0, 5500.0, "m"),
            ("The air pressure", self.pressure_hpa, 500.0, 1100.0, "hPa"),
            ("The size of the room", self.room_m3, 1.0, 1e5, "m3"),
            ("The flow of fresh air", self.airflow_m3_h, 0.0, 1e6, "m3/h"),
            ("The heater's power", self.heater_w, 1.0, 1e6, "W"),
        )
        for name, value, low, high, unit in limits:
            if value is not None:
                finite(name, value, low, high, unit)
