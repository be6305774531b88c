"""Heat, boiling and evaporation: what a hot pot does."""

from __future__ import annotations

from kettleglass.science.heat.boiling import (
    Boiling,
    BubblePoint,
    boiling_band,
    boiling_of,
    bubble_point,
    pressure_at_pa,
)
from kettleglass.science.heat.liquid import Liquid, liquid_of, liquid_of_pot

__all__ = [
    "Boiling", "BubblePoint", "Liquid", "boiling_band", "boiling_of", "bubble_point", "liquid_of", "liquid_of_pot",
    "pressure_at_pa",
]  # fmt: skip
