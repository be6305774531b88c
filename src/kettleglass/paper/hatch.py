"""Hatches: alcohol leans, water lies, salt is dotted; so that no fill is known by its colour alone."""

from __future__ import annotations

from kettleglass.paper.box import Box
from kettleglass.paper.svg import Markup, join, number, path, rect
from kettleglass.paper.theme import Fill, Theme

_STEP_PX = 6.0
_LEAN = 0.5


def filled(kind: Fill, box: Box, theme: Theme, label: Markup | None = None) -> Markup:
    """A rectangle in the fill of a kind of substance, with its hatch; raises `UnknownName` for an unknown kind."""
    ground = rect(box, *([label] if label else []), fill=theme.fill(kind))
    lines = _hatch(kind, box)
    if not lines:
        return ground
    dashes = "1.5 4.5" if kind == "salt" else None
    stroke = theme.glass_line
    return join((
        ground, path(lines, stroke=stroke, stroke_opacity=".6", stroke_dasharray=dashes, pointer_events="none"),
    ))  # fmt: skip


def _hatch(kind: Fill, box: Box) -> str:
    if box.width < 1 or box.height < 1:
        return ""
    if kind == "alcohol":
        return leaning(box)
    return _lying(box) if kind in {"water", "salt"} else ""


def _lying(box: Box) -> str:
    count = int((box.height - 1) // _STEP_PX)
    first = box.top + (box.height - max(count - 1, 0) * _STEP_PX) / 2
    return "".join(f"M{number(box.left)} {number(first + n * _STEP_PX)}h{number(box.width)}" for n in range(count))


def leaning(box: Box) -> str:
    """The `d` of lines that rise to the right, cut at the edges of the rectangle."""
    run = box.height * _LEAN
    drawn = []
    foot = box.left - run + _STEP_PX
    while foot < box.right:
        left, right = max(foot, box.left), min(foot + run, box.right)
        low, high = (box.bottom - (x - foot) / _LEAN for x in (left, right))
        drawn.append(f"M{number(left)} {number(low)}L{number(right)} {number(high)}")
        foot += _STEP_PX
    return "".join(drawn)
