"""What a step may be held at: published and usual temperatures, never nearer to boiling than a hot spot allows."""

from __future__ import annotations

from dataclasses import dataclass

from kettleglass.recipe.recipe import Stage
from kettleglass.science.heat.warming import Band

HOT_SPOT_K = 3.0
"""Margin to the low end of the bubble point that thermometer and pan bottom use up (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Range:
    """What to hold and what is allowed, in °C, and why."""

    aim_c: float
    low_c: float
    high_c: float
    why: str
    source: str


_USUAL: dict[Stage, tuple[float, float, str, str]] = {
    "fats": (54.0, 90.0, "Melted, and not smoking.", "Simmons & Appleton 1908 (54 °C); Thomssen 1922 (60 °C)"),
    "lye": (
        54.0, 82.0, "Warm enough to stay fluid; hotter it rises faster.",
        "Simmons & Appleton 1908 (54 °C); common practice, no source (77-82 °C)",
    ),
    "paste": (
        71.0, 100.0, "Hot enough to saponify within the hour.",
        "US 5,529,714 (79-91 °C); JP 2010-180381 (85-100 °C)",
    ),
    "clear": (
        60.0, 82.0, "Fluid enough to dissolve the lumps, below boiling.",
        "Thomssen 1922 (71 °C); common practice, no source (77-82 °C)",
    ),
    "syrup": (
        60.0, 82.0, "Simmons & Appleton keep the batch at 77 °C at most while the syrup goes in.",
        "Simmons & Appleton 1908 (77 °C); common practice, no source (77-82 °C)",
    ),
    "finish": (
        60.0, 82.0, "It has to pour and to clear of bubbles; cooler it sets in the kettle.",
        "Indian application on mosaic bars (pours at 60-80 °C)",
    ),
}  # fmt: skip


def range_of(stage: Stage, aim_c: float, boils_c: Band | None) -> Range:
    """The allowed range of a step; `boils_c` is the pot's bubble point where there is alcohol in it."""
    low, high, why, source = _USUAL[stage]
    if boils_c is not None and boils_c.low - HOT_SPOT_K < high:
        high = boils_c.low - HOT_SPOT_K
        why = f"{why} The pot may boil from {boils_c.low:.0f} °C on."
    return Range(aim_c, min(low, high), high, why, source)
