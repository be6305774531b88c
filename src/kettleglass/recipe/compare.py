"""Two recipes side by side: what went in differently, and what that does."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from kettleglass.recipe.readings.reading import Reading
from kettleglass.recipe.work import Worked
from kettleglass.science.descriptors import PARTS


@dataclass(frozen=True, slots=True)
class LineChange:
    """One material or reading in both recipes; None where a recipe does not have it."""

    name: str
    unit: str
    before: float | None
    after: float | None
    decimals: int

    @property
    def changed(self) -> bool:
        """Whether the weights differ by more than half of the last shown digit."""
        return abs((self.after or 0.0) - (self.before or 0.0)) > 0.5 * 10.0**-self.decimals


@dataclass(frozen=True, slots=True)
class Comparison:
    """Lines and readings that differ, in the order of the second recipe, and a sentence on each larger change."""

    lines: tuple[LineChange, ...]
    readings: tuple[LineChange, ...]
    sentences: tuple[str, ...]


_WATCHED = (
    "pot.total", *(f"cooked.{part}.percent" for part in PARTS), "lye.strength", "lye.of_fats", "superfat",
    "sure.chance", "pot.tfm",
)  # fmt: skip

_DOES: Mapping[str, tuple[str, str]] = {
    "cooked.soap.percent": ("firmer, and less room for solvents", "softer, and clearer for the same fats"),
    "cooked.water.percent": (
        "softer, loses more weight on drying",
        "firmer, dries sooner, but clarity suffers below about 17 %",
    ),
    "cooked.ethanol.percent": ("clearer while it stays in", "less clear; alcohol brings most of the clarity"),
    "cooked.glycerol.percent": ("melts again more easily, takes up more damp", "melts again less easily"),
    "cooked.sugar.percent": ("clearer and better lather, up to where sugar grains", "less clear, less lather"),
    "cooked.sorbitol.percent": ("clearer, and it does not grain as sugar does; softer", "less of what keeps it clear"),
    "cooked.propylene_glycol.percent": ("clearer and softer; it stays in the bar", "firmer, less clear"),
    "cooked.propan_2_ol.percent": ("somewhat clearer, scant lather", "less of the weaker alcohol"),
    "cooked.free_fat.percent": ("free fat clouds a clear base", "less free fat, less haze"),
    "cooked.electrolyte.percent": ("salt pushes soap out of solution", "less salt, less haze"),
    "sure.chance": ("more pots would keep free alkali", "fewer pots would keep free alkali"),
}
"""What more, and less, of something does: published practice (Thomssen 1922; Simmons & Appleton 1908; US 5,417,876
for the 17 % of water) and common practice, no source."""


def compare(before: tuple[Worked, Mapping[str, Reading]], after: tuple[Worked, Mapping[str, Reading]]) -> Comparison:
    """What changed from one worked recipe (with its readings) to another, and what it does."""
    (old, old_readings), (new, new_readings) = before, after
    lines = tuple(change for change in _lines(old_readings, new_readings) if change.changed)
    readings, sentences = [], []
    for key in _WATCHED:
        change = _change(key, old_readings, new_readings)
        if change is None or not change.changed:
            continue
        readings.append(change)
        if key in _DOES:
            more = (change.after or 0.0) > (change.before or 0.0)
            name = change.name[:1].upper() + change.name[1:]
            sentences.append(f"{name} {'up' if more else 'down'}: {_DOES[key][0 if more else 1]}.")
    if old.sheet.keys != new.sheet.keys and not lines:
        sentences.append("The lines are named or ordered differently, with the same weights.")
    return Comparison(lines, tuple(readings), tuple(sentences))


def _lines(old: Mapping[str, Reading], new: Mapping[str, Reading]) -> list[LineChange]:
    """What is weighed of each material, lines of one material together, in the order of the second recipe."""
    both = [_by_material(side) for side in (old, new)]
    names = dict.fromkeys([*both[1], *both[0]])
    return [
        LineChange(name, "g", both[0].get(name, (None, 0))[0], both[1].get(name, (None, 0))[0],
                   max(side[name][1] for side in both if name in side))
        for name in names
    ]  # fmt: skip


def _by_material(readings: Mapping[str, Reading]) -> dict[str, tuple[float, int]]:
    out: dict[str, tuple[float, int]] = {}
    for key, reading in readings.items():
        if key.startswith("weigh."):
            before, decimals = out.get(reading.label, (0.0, 0))
            out[reading.label] = (before + (reading.value or 0.0), max(decimals, reading.decimals))
    return out


def _change(key: str, old: Mapping[str, Reading], new: Mapping[str, Reading]) -> LineChange | None:
    shown = new.get(key) or old.get(key)
    if shown is None:
        return None
    values = [reading.value if (reading := side.get(key)) else None for side in (old, new)]
    return LineChange(shown.label, shown.unit, values[0], values[1], shown.decimals)
