"""Hatches: alcohol leans, water lies, salt is dotted; so that no fill is known by its colour alone."""

from __future__ import annotations

from kettleglass.paper.svg import Markup, join, number, path, rect
from kettleglass.paper.theme import Fill, Theme

_STEP_PX = 6.0
_LEAN = 0.5


def filled(
    kind: Fill, x: float, y: float, width: float, height: float, theme: Theme, label: Markup | None = None
) -> Markup:
    """A rectangle in the fill of a kind of substance, with its hatch; raises `UnknownName` for an unknown kind."""
    ground = rect(x, y, width, height, *([label] if label else []), fill=theme.fill(kind))
    lines = _hatch(kind, x, y, width, height)
    if not lines:
        return ground
    dashes = "1.5 4.5" if kind == "salt" else None
    return join(
        (
            ground,
            path(lines, stroke=theme.glass_line, stroke_opacity=".6", stroke_dasharray=dashes, pointer_events="none"),
        )
    )


def _hatch(kind: Fill, x: float, y: float, width: float, height: float) -> str:
    if width < 1 or height < 1:
        return ""
    if kind == "alcohol":
        return _leaning(x, y, width, height)
    return _lying(x, y, width, height) if kind in ("water", "salt") else ""


def _lying(x: float, y: float, width: float, height: float) -> str:
    count = int((height - 1) // _STEP_PX)
    first = y + (height - max(count - 1, 0) * _STEP_PX) / 2
    return "".join(f"M{number(x)} {number(first + n * _STEP_PX)}h{number(width)}" for n in range(count))


def _leaning(x: float, y: float, width: float, height: float) -> str:
    """Lines that rise to the right, cut at the edges of the rectangle."""
    run = height * _LEAN
    drawn = []
    foot = x - run + _STEP_PX
    while foot < x + width:
        left, right = max(foot, x), min(foot + run, x + width)
        drawn.append(
            f"M{number(left)} {number(y + height - (left - foot) / _LEAN)}L{number(right)} {number(y + height - (right - foot) / _LEAN)}"
        )
        foot += _STEP_PX
    return "".join(drawn)
