"""Readings: every number shown to a person is made here, with its band, working, inputs and sources."""

from __future__ import annotations

from kettleglass.recipe.readings.causes import blame_readings, room_readings, water_readings
from kettleglass.recipe.readings.pot import alkali_readings, hardness_readings, pot_readings, water_sources
from kettleglass.recipe.readings.reading import Reading, number_text, unit_key
from kettleglass.recipe.readings.sure import chance_text, measured_readings, sure_readings
from kettleglass.recipe.readings.weights import lye_readings, weights
from kettleglass.recipe.work import Worked

__all__ = ["Reading", "chance_text", "number_text", "readings_of", "unit_key", "water_sources"]

_MAKERS = (weights, lye_readings, pot_readings, alkali_readings, sure_readings, measured_readings, hardness_readings,
           blame_readings, water_readings, room_readings)  # fmt: skip


def readings_of(worked: Worked) -> dict[str, Reading]:
    """All readings of a worked recipe, by key."""
    return {reading.key: reading for make in _MAKERS for reading in make(worked)}
