"""The map: published clear and not-clear bases by soap, water and solvents, and this pot among them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from kettleglass.paper.box import Box
from kettleglass.paper.drawing import Drawing, Table
from kettleglass.paper.letters import text_width_px
from kettleglass.paper.svg import Anchor, Markup, circle, document, element, join, line, number, path, text, title
from kettleglass.paper.theme import SCREEN, Theme
from kettleglass.paper.triangle import Blend, Point, Triangle, clipped, floors_for, outline

Mark = Literal["clear", "not clear", "pot", "dried"]

_TOP_PX, _FOOT_PX, _LEFT_PX, _RIGHT_PX = 26.0, 46.0, 38.0, 38.0
_REACH = (12.0, 20.0, 32.0, 46.0, 62.0, 80.0, 104.0, 130.0)
_TURNS = (0, -30, 30, -60, 60, 180, 150, 210, -90, 90, 120, 240)
_COS = {turn: math.cos(math.radians(turn)) for turn in _TURNS}
_SIN = {turn: math.sin(math.radians(turn)) for turn in _TURNS}


@dataclass(frozen=True, slots=True)
class Base:
    """A published base on the map: its short name, its blend, and whether it was reported clear."""

    name: str
    blend: Blend
    clear: bool


@dataclass(frozen=True, slots=True)
class ThisPot:
    """This pot on the map: its blend, blends drawn from its doubt, and its blend once dried, where known."""

    blend: Blend
    doubt: tuple[Blend, ...] = ()
    dried: Blend | None = None
    name: str = "this pot"
    dried_name: str = "when dry"


@dataclass(frozen=True, slots=True)
class _Label:
    """A label's foot, anchor and words, with the box it fills."""

    x: float
    y: float
    anchor: Anchor
    words: str
    box: Box


@dataclass(frozen=True, slots=True)
class _Frame:
    """Where labels may stand: on the canvas, and better not across a side of the triangle."""

    canvas: Box
    sides: tuple[tuple[Point, Point], ...]

    def crossed_by(self, box: Box) -> bool:
        return any(box.cut_by(begin, end) for begin, end in self.sides)


def ternary_map(
    bases: Sequence[Base], pot: ThisPot | None, *, key: str = "map", width_px: float = 372.0, theme: Theme = SCREEN,
) -> Drawing:  # fmt: skip
    """A triangle with soap at the top, water left and solvents right (mass shares of the three).

    The map begins at the tenth below the least share of each, so the corners say where it begins. Published clear: a
    ring; not clear: a cross. This pot: an amber diamond on the ellipse of 9 in 10 pots, a dotted path to it dry.
    """
    triangle = _triangle(bases, pot, width_px)
    places = [(base, triangle.at(base.blend)) for base in bases]
    figures = list(_edge_figures(triangle))
    parts = [
        _grid(triangle, theme), *(text(f.x, f.y, f.words, fill=theme.quiet, anchor=f.anchor) for f in figures),
        *_corner_names(triangle, width_px, theme), *([] if pot is None else [_doubt(pot, triangle, theme)]),
        *(_mark(base, at, theme) for base, at in places),
    ]  # fmt: skip
    if pot is not None:
        taken = [Box(x - 5, y - 5, x + 5, y + 5) for _, (x, y) in places] + [figure.box for figure in figures]
        top, left, right = triangle.corners()
        frame = _Frame(Box(0, 2, width_px, triangle.foot - 2), ((top, left), (top, right), (left, right)))
        parts.append(_pot(pot, triangle, taken, frame, theme))
    said = _summary(bases, pot)
    picture = document(
        key, (width_px, triangle.foot + _FOOT_PX), parts, theme, name="Map of published bases", spoken=said
    )
    return Drawing(picture, said, _table(bases, pot))


def legend_mark(kind: Mark, *, theme: Theme = SCREEN) -> Markup:
    """One mark of the map alone, 14 px, for a legend beside it."""
    marks = {
        "clear": _ring(7, 7, theme), "not clear": _cross(7, 7, theme), "pot": _diamond(7, 7, theme.amber),
        "dried": circle(7, 7, 3.2, fill=theme.face, stroke=theme.amber, stroke_width=1.4),
    }  # fmt: skip
    return Markup(
        f'<svg class="mark-of" viewBox="0 0 14 14" width="14" height="14" aria-hidden="true">{marks[kind]}</svg>'
    )


def _triangle(bases: Sequence[Base], pot: ThisPot | None, width_px: float) -> Triangle:
    blends = [base.blend for base in bases]
    if pot is not None:
        blends += [pot.blend, *([pot.dried] if pot.dried else [])]
    side = width_px - _LEFT_PX - _RIGHT_PX
    return Triangle(_LEFT_PX, _TOP_PX + side * math.sqrt(3) / 2, side, floors_for(blends))


def _steps(triangle: Triangle, parts: int) -> Iterator[tuple[int, float]]:
    """Rising steps of a side: their count and the share of the side, `parts` to a tenth."""
    count = round(triangle.scale * 10 * parts)
    yield from ((n, n / count) for n in range(1, count))


@lru_cache(maxsize=32)
def _grid(triangle: Triangle, theme: Theme) -> Markup:
    """Hairlines at the figures, the three sides, and their divisions of three lengths."""
    hairs, divisions = "", ""
    every = _figure_every(triangle)
    for n, share in _steps(triangle, 2):
        labelled = n % (2 * every) == 0
        length = 9.0 if labelled else 6.0 if n % 2 == 0 else 3.5
        for (x, y), (dx, dy), (ox, oy) in _sides(triangle, share):
            divisions += f"M{number(x)} {number(y)}l{number(dx * length)} {number(dy * length)}"
            hairs += f"M{number(x)} {number(y)}L{number(ox)} {number(oy)}" if labelled else ""
    (tx, ty), (lx, ly), (rx, ry) = triangle.corners()
    frame = path(f"M{number(tx)} {number(ty)}L{number(lx)} {number(ly)}L{number(rx)} {number(ry)}Z", stroke=theme.tick)
    lines = path(hairs, stroke=theme.hair) if hairs else Markup()
    return join((lines, frame, path(divisions, stroke=theme.tick)))


def _figure_every(triangle: Triangle) -> int:
    """How many tenths lie between two figures: one where they have room, else two."""
    return 1 if triangle.side / (triangle.scale * 10) >= 38 else 2


def _sides(triangle: Triangle, share: float) -> Iterator[tuple[Point, Point, Point]]:
    """For soap, solvents and water: a division's place, its direction outward, and the far end of its grid line."""
    (tx, ty), (lx, ly), (rx, ry) = triangle.corners()
    on_left = (lx + (tx - lx) * share, ly + (ty - ly) * share)
    on_right = (tx + (rx - tx) * share, ty + (ry - ty) * share)
    on_foot = (rx + (lx - rx) * share, ry)
    half = math.sqrt(3) / 2
    yield on_left, (-1.0, 0.0), (rx + (tx - rx) * share, ry + (ty - ry) * share)
    yield on_right, (0.5, -half), (lx + (rx - lx) * share, ly)
    yield on_foot, (0.5, half), (tx + (lx - tx) * share, ty + (ly - ty) * share)


def _edge_figures(triangle: Triangle) -> Iterator[_Label]:
    """The figures along the three sides: soap left, solvents right, water below."""
    every = _figure_every(triangle)
    for n, share in _steps(triangle, 1):
        if n % every:
            continue
        (left, right, foot) = (place for place, _, _ in _sides(triangle, share))
        soap, water, solvents = (f"{(floor * 10 + n) * 10:.0f}" for floor in triangle.floors)
        yield _label(left[0] - 13, left[1] + 4, "end", soap)
        yield _label(right[0] + 8, right[1] - 8, "start", solvents)
        yield _label(foot[0] + 7, foot[1] + 20, "middle", water)


def _label(x: float, y: float, anchor: Anchor, words: str, *, bold: bool = False) -> _Label:
    width = text_width_px(words, bold=bold)
    left = x - (width if anchor == "end" else width / 2 if anchor == "middle" else 0.0)
    return _Label(x, y, anchor, words, Box(left, y - 10, left + width, y + 3))


def _corner_names(triangle: Triangle, width_px: float, theme: Theme) -> list[Markup]:
    """What 100 % of each corner is; where the map begins above nothing, the three beginnings stand beneath."""
    (tx, ty), (_, foot), _ = triangle.corners()
    names = [
        text(tx, ty - 10, "Soap", fill=theme.ink, anchor="middle", weight=600),
        text(0, foot + 20, "Water", fill=theme.ink, weight=600),
        text(width_px, foot + 20, "Solvents", fill=theme.ink, anchor="end", weight=600),
    ]  # fmt: skip
    if any(triangle.floors):
        soap, water, solvents = (f"{floor * 100:.0f}" for floor in triangle.floors)
        words = f"begins at soap {soap}, water {water}, solvents {solvents} %"
        names.append(text(width_px / 2, foot + 41, words, fill=theme.quiet, anchor="middle"))
    return names


@lru_cache(maxsize=512)
def _mark(base: Base, at: Point, theme: Theme) -> Markup:
    said = title(f"{base.name}, {'clear' if base.clear else 'not clear'}: {_shares_text(base.blend)}")
    return _ring(*at, theme, said) if base.clear else _cross(*at, theme, said)


def _ring(x: float, y: float, theme: Theme, *said: Markup) -> Markup:
    return circle(x, y, 4, *said, fill=theme.face, stroke=theme.ink, stroke_width=1.3)


def _cross(x: float, y: float, theme: Theme, *said: Markup) -> Markup:
    d = f"M{number(x - 3.2)} {number(y - 3.2)}l6.4 6.4m0-6.4l-6.4 6.4"
    return path(d, *said, stroke=theme.ink, stroke_width=1.3)


def _diamond(x: float, y: float, colour: str, *said: Markup) -> Markup:
    return path(f"M{number(x)} {number(y - 5.5)}l5.5 5.5-5.5 5.5-5.5-5.5z", *said, fill=colour)


def _doubt(pot: ThisPot, triangle: Triangle, theme: Theme) -> Markup:
    polygon = clipped(outline([triangle.at(blend) for blend in pot.doubt]), triangle.corners())
    if len(polygon) < 3:
        return Markup()
    d = "M" + "L".join(f"{number(x)} {number(y)}" for x, y in polygon) + "Z"
    return path(d, title("9 in 10 pots lie in here"), fill=theme.band, stroke=theme.amber, stroke_opacity=".55")


def _pot(pot: ThisPot, triangle: Triangle, taken: list[Box], frame: _Frame, theme: Theme) -> Markup:
    """The diamond, the dotted path to the dried piece, and the words of both where nothing else stands."""
    x, y = triangle.at(pot.blend)
    parts = [_diamond(x, y, theme.amber, title(f"{pot.name}: {_shares_text(pot.blend)}"))]
    taken = [*taken, Box(x - 7, y - 7, x + 7, y + 7)]
    if pot.dried is not None:
        dx, dy = triangle.at(pot.dried)
        taken.append(Box(dx - 6, dy - 6, dx + 6, dy + 6))
        parts = [_dotted(x, y, dx, dy, theme), *parts, _dried(dx, dy, pot, theme)]
        words, box = _placed(pot.dried_name, (dx, dy), taken, frame, theme)
        parts.append(words)
        taken.append(box)
    return join((*parts, _placed(pot.name, (x, y), taken, frame, theme)[0]))


def _dotted(x: float, y: float, dx: float, dy: float, theme: Theme) -> Markup:
    return line(x, y, dx, dy, stroke=theme.amber, stroke_width=1.6, stroke_dasharray="1.6 3.2", stroke_linecap="round")


def _dried(x: float, y: float, pot: ThisPot, theme: Theme) -> Markup:
    said = title(f"{pot.dried_name}: {_shares_text(pot.dried)}") if pot.dried else Markup()
    return element("circle", said, cx=x, cy=y, r=3.4, fill=theme.face, stroke=theme.amber, stroke_width=1.4)


def _placed(words: str, at: Point, taken: Sequence[Box], frame: _Frame, theme: Theme) -> tuple[Markup, Box]:
    """A label near its mark where it covers nothing, tied to it by a thin line when it stands off.

    It stands clear of the sides of the triangle; only where there is no such place may it lie across one.
    """
    for across in (False, True):
        for reach in _REACH:
            for turn in _TURNS:
                x, y = at[0] + reach * _COS[turn], at[1] + reach * _SIN[turn]
                label = _label(x, y + 4, _anchor(turn), words, bold=True)
                if not label.box.within(frame.canvas) or any(label.box.touches(box, 2.0) for box in taken):
                    continue
                if across or not frame.crossed_by(label.box):
                    return _tied(label, at, reach, (x, y), theme), label.box
    spare = _label(frame.canvas.right, frame.canvas.top + 12, "end", words, bold=True)
    return _tied(
        spare, at, math.dist(at, (spare.box.left, spare.y)), (spare.box.left - 4, spare.y - 4), theme
    ), spare.box


def _anchor(turn: int) -> Anchor:
    across = _COS[turn]
    return "start" if across > 0.1 else "end" if across < -0.1 else "middle"


def _tied(label: _Label, at: Point, reach: float, end: Point, theme: Theme) -> Markup:
    words = text(label.x, label.y, label.words, fill=theme.amber, anchor=label.anchor, weight=600)
    if reach <= _REACH[1]:
        return words
    share = 7.0 / reach if reach else 0.0
    ex, ey = end[0] - (end[0] - at[0]) * 3 / reach, end[1] - (end[1] - at[1]) * 3 / reach
    return join(
        (line(at[0] + (end[0] - at[0]) * share, at[1] + (end[1] - at[1]) * share, ex, ey, stroke=theme.amber), words)
    )


def _shares_text(blend: Blend) -> str:
    soap, water, solvents = (round(share * 100) for share in blend.shares)
    return f"soap {soap}, water {water}, solvents {solvents} %"


def _nearest(bases: Sequence[Base], blend: Blend) -> Base:
    """The base whose shares differ least (straight distance in the triangle)."""
    plain = Triangle(0.0, 0.0, 1.0)
    here = plain.at(blend)
    return min(bases, key=lambda base: math.dist(plain.at(base.blend), here))


def _summary(bases: Sequence[Base], pot: ThisPot | None) -> str:
    clear = sum(base.clear for base in bases)
    said = f"{clear} published clear bases and {len(bases) - clear} not clear."
    if pot is None:
        return said
    said += f" This pot: {_shares_text(pot.blend)}."
    if bases:
        nearest = _nearest(bases, pot.blend)
        said += f" Nearest: {nearest.name}, {'clear' if nearest.clear else 'not clear'}."
    return said + (f" {pot.dried_name.capitalize()}: {_shares_text(pot.dried)}." if pot.dried else "")


def _table(bases: Sequence[Base], pot: ThisPot | None) -> Table:
    rows = [(base.name, *_figures(base.blend), "clear" if base.clear else "not clear") for base in bases]
    if pot is not None:
        rows.insert(0, (pot.name, *_figures(pot.blend), ""))
        if pot.dried is not None:
            rows.insert(1, (pot.dried_name, *_figures(pot.dried), ""))
    return Table("Published bases, mass % of soap, water and solvents together",
                 ("Base", "Soap", "Water", "Solvents", "Reported"), tuple(rows))  # fmt: skip


def _figures(blend: Blend) -> tuple[str, str, str]:
    soap, water, solvents = (f"{share * 100:.1f}" for share in blend.shares)
    return soap, water, solvents
