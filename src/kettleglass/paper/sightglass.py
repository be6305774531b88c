"""The sight glass: what stands in the pot, layer upon layer, on one true scale of mass."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from kettleglass.errors import BadInput, UnknownName
from kettleglass.paper.box import Box
from kettleglass.paper.drawing import Drawing, Table
from kettleglass.paper.hatch import filled
from kettleglass.paper.scale import Axis, axis, tick_text, whole_top
from kettleglass.paper.svg import Markup, document, finite, join, line, number, path, rect, text, title
from kettleglass.paper.theme import SCREEN, Fill, Theme
from kettleglass.units import OUNCE_G, POUND_G

MassUnit = Literal["g", "kg", "oz", "lb"]
GRAMS: dict[MassUnit, float] = {"g": 1.0, "kg": 1000.0, "oz": OUNCE_G, "lb": POUND_G}
"""Grams in one unit."""

_TOP_PX = 16.0
_FOOT_PX = 26.0
_HEAD_PX = 8.0


@dataclass(frozen=True, slots=True)
class Layer:
    """One layer of the glass: a word for it, its mass in g (0 or more), and what it is made of."""

    name: str
    mass_g: float
    fill: Fill

    def __post_init__(self) -> None:
        if finite(f"mass of {self.name}", self.mass_g) < 0:
            raise BadInput(f"{self.name} weighs {self.mass_g:g} g.", why="A layer cannot weigh less than nothing.",
                           remedy="Give a mass of 0 g or more.")  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Tube:
    left: float
    width: float
    top: float
    foot: float
    narrow: bool

    @property
    def right(self) -> float:
        return self.left + self.width


def sight_glass(
    layers: Sequence[Layer], pot_g: float, *, capacity_g: float | None = None, key: str = "glass",
    height_px: float = 720.0, unit: MassUnit = "g", narrow: bool = False, theme: Theme = SCREEN,
) -> Drawing:  # fmt: skip
    """An upright glass 92 px wide (30 when `narrow`, then without figures), filled from below in the order given.

    The amber pointer stands at `pot_g`. The scale ends at the next round number; a kettle's `capacity_g` is marked
    where it lies within twice the pot. Raises `BadInput` for masses that are negative or not finite, `UnknownName`
    for an unknown unit.
    """
    if unit not in GRAMS:
        raise UnknownName("unit of mass", unit, GRAMS)
    if finite("mass in the pot", pot_g) < 0:
        raise BadInput(f"The pot weighs {pot_g:g} g.", remedy="Give a mass of 0 g or more.")
    per_unit = GRAMS[unit]
    mark = _capacity(capacity_g, pot_g)
    top = whole_top(
        max(pot_g, math.fsum(layer.mass_g for layer in layers), mark or 0.0, per_unit * 1e-3) * 1.02 / per_unit
    )
    tube = _Tube(19, 9, 8, height_px - _FOOT_PX, True) if narrow else _Tube(70, 16, 8, height_px - _FOOT_PX, False)
    scale = axis(0.0, top, start_px=tube.foot, end_px=_TOP_PX, upright=True, rounded=False)
    parts = [
        _layers(layers, scale, tube, per_unit, theme), _shifted_divisions(scale, tube, theme), _walls(tube, theme),
        scale.upright(tube.left - (3 if narrow else 5), theme),
        *([] if narrow else [_figures(scale, pot_g / per_unit, theme), _unit(tube, unit, theme)]),
        *([_full(scale, tube, mark / per_unit, theme)] if mark else []),
        _pointer(scale, tube, pot_g / per_unit, theme),
    ]  # fmt: skip
    said = _spoken(layers, pot_g, unit)
    size = (30.0 if narrow else 92.0, height_px)
    return Drawing(
        document(key, size, parts, theme, name="Sight glass", spoken=said), said, _table(layers, pot_g, unit)
    )


def _capacity(capacity_g: float | None, pot_g: float) -> float | None:
    if capacity_g is None:
        return None
    return capacity_g if 0 < finite("capacity of the kettle", capacity_g) <= 2 * pot_g else None


def _layers(layers: Sequence[Layer], scale: Axis, tube: _Tube, per_unit: float, theme: Theme) -> Markup:
    drawn = [rect(Box(tube.left, tube.top, tube.right, tube.foot), fill=theme.face)]
    below, edges = 0.0, ""
    for layer in layers:
        foot = scale.held_px(below)
        below += layer.mass_g / per_unit
        head = scale.held_px(below)
        said = title(f"{layer.name} {layer.mass_g:.6g} g")
        drawn.append(filled(layer.fill, Box(tube.left, head, tube.right, foot), theme, said))
        if foot - head >= 1:
            edges += f"M{number(tube.left)} {number(head)}h{number(tube.width)}"
    if edges:
        drawn.append(path(edges, stroke=theme.glass_line))
    if below > 0:
        drawn.append(_surface(scale.held_px(below), tube, theme))
    return join(drawn)


def _surface(y: float, tube: _Tube, theme: Theme) -> Markup:
    """The curved surface of a liquid that wets its glass."""
    half = tube.width / 2
    return path(f"M{number(tube.left)} {number(y - 3)}q{number(half)} 6 {number(tube.width)} 0", stroke=theme.ink)


def _shifted_divisions(scale: Axis, tube: _Tube, theme: Theme) -> Markup:
    """Divisions seen through the glass sit a little lower than beside it."""
    marks = "".join(
        f"M{number(tube.left + 2)} {number(scale.px(value) + 2.5)}h{number(min(length, 8.0) * tube.width / 18)}"
        for value, length in scale.divisions()
        if length > 4 and value > scale.low
    )
    return path(marks, stroke=theme.ink, stroke_opacity=".3") if marks else Markup()


def _walls(tube: _Tube, theme: Theme) -> Markup:
    outline = Box(tube.left, tube.top, tube.right, tube.foot)
    return rect(outline, rx=2.5, fill="none", stroke=theme.glass_line)


def _figures(scale: Axis, pot: float, theme: Theme) -> Markup:
    """The figures of the majors, without those that the pointer's own figure would cover."""
    at = scale.px(pot)
    kept = (value for value in scale.majors() if abs(scale.px(value) - at) >= 13)
    return join(text(47, scale.px(v) + 4, tick_text(v, scale.major), fill=theme.quiet, anchor="end") for v in kept)


def _unit(tube: _Tube, unit: MassUnit, theme: Theme) -> Markup:
    return text(tube.right, tube.foot + 20, f"{unit} in the pot", fill=theme.quiet, anchor="end")


def _full(scale: Axis, tube: _Tube, capacity: float, theme: Theme) -> Markup:
    y = scale.px(capacity)
    return line(tube.left - 2, y, tube.right + 4, y, stroke=theme.red, stroke_width=2)


def _pointer(scale: Axis, tube: _Tube, pot: float, theme: Theme) -> Markup:
    y = scale.px(pot)
    stroke = line(tube.left - (14 if tube.narrow else 18), y, tube.left - 2, y, stroke=theme.amber, stroke_width=2)
    if tube.narrow:
        return stroke
    return join((stroke, text(47, y + 4, _mass_text(pot), fill=theme.amber, anchor="end", weight=600)))


def _mass_text(value: float) -> str:
    """Whole from 100 on, below with up to one or two decimals: what a pointer can show."""
    if value >= 99.95 or value == 0:
        return f"{value:.0f}"
    return (f"{value:.1f}" if value >= 9.995 else f"{value:.2f}").rstrip("0").rstrip(".") or "0"


def _spoken(layers: Sequence[Layer], pot_g: float, unit: MassUnit) -> str:
    per_unit = GRAMS[unit]
    named = ", ".join(f"{layer.name} {_mass_text(layer.mass_g / per_unit)}" for layer in layers if layer.mass_g > 0)
    return f"{_mass_text(pot_g / per_unit)} {unit} in the pot" + (f", from below: {named}." if named else ".")


def _table(layers: Sequence[Layer], pot_g: float, unit: MassUnit) -> Table:
    per_unit = GRAMS[unit]
    rows = [(layer.name, _mass_text(layer.mass_g / per_unit)) for layer in layers]
    return Table("In the pot", ("Layer, from below", unit), (*rows, ("In the pot", _mass_text(pot_g / per_unit))))
