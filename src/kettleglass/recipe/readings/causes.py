"""Readings of where things come from: the doubt by its causes, the water by its lines; and how full the kettle gets."""

from __future__ import annotations

from collections.abc import Iterator

from kettleglass.recipe.readings.pot import water_sources
from kettleglass.recipe.readings.reading import Reading
from kettleglass.recipe.readings.sure import GUIDE
from kettleglass.recipe.work import Worked
from kettleglass.units import format_number

MOST_CAUSES = 5


def blame_readings(worked: Worked) -> Iterator[Reading]:
    """The largest causes of the doubt, keys ``blame.0`` and on, each as its share of the variance in %."""
    for place, blame in enumerate(worked.sure.blames[:MOST_CAUSES] if worked.sure is not None else ()):
        yield Reading(
            f"blame.{place}", blame.label, 100.0 * blame.share, "% of the doubt",
            f"Its share of the variance of free alkali when everything else stands at its value (first-order budget);"
            f" {_sits(blame.z_nominal)}.", sources=(GUIDE,), decimals=0,
        )  # fmt: skip


def _sits(z_nominal: float | None) -> str:
    """Where in its range the value used sits."""
    if z_nominal is None:
        return "half a step of the scale to either side"
    if abs(z_nominal) < 0.1:
        return "taken at the middle of its range"
    side = "low" if z_nominal < 0.0 else "high"
    return f"taken {abs(z_nominal) * 100:.0f} % of the way from the middle to the {side} end of its range"


def water_readings(worked: Worked) -> Iterator[Reading]:
    """The water that each line brings, keys ``water.of.<line key>``, that of the lye together, and all of it, in g."""
    share = worked.sheet.species("water")
    rows = water_sources(worked)
    for key, name, grams in rows:
        row = worked.sheet.keys.index(key)
        mass = float(worked.weights.weighed_g[row])
        text = f"{format_number(mass, 4)} g of {name}, of which {100.0 * float(share[row]):.4g} % is water."
        yield Reading(f"water.of.{key}", name, grams, "g", text)
    if rows:
        inputs = tuple((name, f"{grams:.1f} g") for _, name, grams in rows)
        lye = [pair for pair, (key, _, _) in zip(inputs, rows, strict=True) if worked.recipe.line(key).stage == "lye"]
        of_lye = sum(grams for key, _, grams in rows if worked.recipe.line(key).stage == "lye")
        total = sum(grams for _, _, grams in rows)
        text = "What is mixed as lye, and what the alkali itself brings."
        yield Reading("water.of_lye", "water of the lye", of_lye, "g", text, inputs=tuple(lye), decimals=0)
        text = "As added, before lye and acids form any."
        yield Reading("water.added", "water in all", total, "g", text, inputs=inputs, decimals=0)


def room_readings(worked: Worked) -> Iterator[Reading]:
    """How full the kettle gets at most, in %, and how often the base fills the mould."""
    kettle, mould = worked.recipe.kettle, worked.recipe.mould
    low, likely, high = worked.volume_ml
    if high <= 0.0:
        return
    yield Reading(
        "kettle.fill", "of the kettle", 100.0 * high / kettle.volume_ml, "%",
        f"At most {high / 1000.0:.2f} L in a kettle of {kettle.volume_ml / 1000.0:.2f} L (π/4 ×"
        f" {kettle.diameter_mm:g}² × {kettle.height_mm:g} mm³, to the brim).",
        known="memory", decimals=0,
    )  # fmt: skip
    if mould is not None and mould.total_ml > 0.0:
        each = mould.total_ml
        yield Reading(
            "mould.fills", "fillings of the mould", likely / each, "times",
            f"{likely / 1000.0:.2f} L ({low / 1000.0:.2f} to {high / 1000.0:.2f} L) ÷ {each / 1000.0:.2f} L.",
            low / each, high / each, known="memory", decimals=2,
        )  # fmt: skip
