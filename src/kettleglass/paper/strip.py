"""The composition strip: what the pot becomes, lying, as shares of one whole."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from kettleglass.errors import BadInput
from kettleglass.paper.box import Box
from kettleglass.paper.drawing import Drawing, Table
from kettleglass.paper.hatch import filled
from kettleglass.paper.letters import shortened, text_width_px
from kettleglass.paper.scale import axis
from kettleglass.paper.spread import spread
from kettleglass.paper.svg import Markup, document, finite, join, number, path, rect, text, title
from kettleglass.paper.theme import SCREEN, Fill, Theme

_BAR_PX = 44.0
_ROW_PX = 18.0
_GAP_PX = 10.0
_NAMED_FROM = 0.006
_MOST_ROWS = 3


@dataclass(frozen=True, slots=True)
class Part:
    """One part of the whole: its name, its mass in g (0 or more), and the fill that stands for it."""

    name: str
    mass_g: float
    fill: Fill

    def __post_init__(self) -> None:
        if finite(f"mass of {self.name}", self.mass_g) < 0:
            raise BadInput(f"{self.name} weighs {self.mass_g:g} g.", why="A part cannot weigh less than nothing.",
                           remedy="Give a mass of 0 g or more.")  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Segment:
    part: Part
    share: float
    left: float
    width: float


def composition_strip(
    parts: Sequence[Part], *, key: str = "strip", width_px: float = 560.0, with_shares: bool = False,
    theme: Theme = SCREEN,
) -> Drawing:  # fmt: skip
    """A strip `width_px` wide, each part as wide as its share, named above; below it the scale from 0 to 100 %.

    Names that have no room side by side stand in two or three rows, tied to their part; shares below 0.6 % are drawn
    but named in the table only. `with_shares` writes the per cent behind each name, for paper. An empty pot is an
    empty strip. Raises `BadInput` for masses that are negative or not finite.
    """
    total_g = math.fsum(part.mass_g for part in parts)
    segments = _segments(parts, total_g, width_px)
    labels, rows = _labels(segments, width_px, theme, with_shares=with_shares)
    top = max(rows, 1) * _ROW_PX + 4
    scale = axis(0.0, 100.0, start_px=0.0, end_px=width_px, rounded=False)
    foot = top + _BAR_PX
    bar = Box(0, top, width_px, foot)
    drawn = [
        rect(bar, fill=theme.face),
        *(_fill(segment, top, theme) for segment in segments if segment.width > 0),
        _edges(segments, top, theme), rect(bar, fill="none", stroke=theme.glass_line),
        labels, scale.across(foot + 6, theme), scale.figures_across(foot + 31, theme),
    ]  # fmt: skip
    said = _summary(segments, total_g)
    picture = document(key, (width_px, foot + 36), drawn, theme, name="What it becomes", spoken=said)
    return Drawing(picture, said, _table(segments, total_g))


def _segments(parts: Sequence[Part], total_g: float, width_px: float) -> list[_Segment]:
    segments, left = [], 0.0
    for part in parts:
        share = part.mass_g / total_g if total_g > 0 else 0.0
        segments.append(_Segment(part, share, left, share * width_px))
        left += share * width_px
    return segments


def _fill(segment: _Segment, top: float, theme: Theme) -> Markup:
    box = Box(segment.left, top, segment.left + segment.width, top + _BAR_PX)
    return filled(segment.part.fill, box, theme, title(_said(segment)))


def _edges(segments: Sequence[_Segment], top: float, theme: Theme) -> Markup:
    inner = "".join(
        f"M{number(s.left)} {number(top)}v{number(_BAR_PX)}" for s in segments if s.left > 0.5 and s.width > 0
    )
    return path(inner, stroke=theme.glass_line) if inner else Markup()


def _labels(segments: Sequence[_Segment], width_px: float, theme: Theme, *, with_shares: bool) -> tuple[Markup, int]:
    """The names above the strip and how many rows they need: as few as leave room for all of them."""
    named = [segment for segment in segments if segment.share >= _NAMED_FROM]
    words = [
        shortened(s.part.name + (f" {_percent(s.share)}" if with_shares else ""), width_px, bold=True) for s in named
    ]
    for rows in range(1, _MOST_ROWS + 1):
        places = _places(named, words, width_px, rows)
        if places is not None:
            return join(
                _label(s, w, (x, row, rows), theme) for s, w, (x, row) in zip(named, words, places, strict=True)
            ), rows
    return _labels(
        [s for s in segments if s.share > min(n.share for n in named)], width_px, theme, with_shares=with_shares
    )


def _places(
    named: Sequence[_Segment], words: Sequence[str], width_px: float, rows: int
) -> list[tuple[float, int]] | None:
    """Left edge and row of each name, taking the rows in turn; None when a row cannot hold its names."""
    places: list[tuple[float, int]] = [(0.0, 0)] * len(named)
    for row in range(rows):
        turn = range(row, len(named), rows)
        edges = spread([named[n].left for n in turn], [text_width_px(words[n], bold=True) for n in turn],
                       low=0.0, high=width_px, gap=_GAP_PX)  # fmt: skip
        if edges is None or (
            rows < _MOST_ROWS and any(not _near(named[n], x) for n, x in zip(turn, edges, strict=True))
        ):
            return None
        for n, x in zip(turn, edges, strict=True):
            places[n] = (x, row)
    return places


def _near(segment: _Segment, label_left: float) -> bool:
    """Whether a label still begins over its own part, or hardly beside it."""
    return segment.left - 14 <= label_left <= segment.left + max(segment.width, 4) + 2


def _label(segment: _Segment, word: str, place: tuple[float, int, int], theme: Theme) -> Markup:
    """A name; where it stands in a higher row or away from its part, a thin line ties the two."""
    x, row, rows = place
    foot = (row + 1) * _ROW_PX - 5
    name = text(x, foot, word, fill=theme.ink, weight=600)
    if row == rows - 1 and _near(segment, x):
        return name
    at = segment.left + min(segment.width / 2, 4.0)
    start = min(max(at, x + 2), x + text_width_px(word, bold=True) - 2)
    return join(
        (
            name,
            path(f"M{number(start)} {number(foot + 3)}L{number(at)} {number(rows * _ROW_PX + 4)}", stroke=theme.tick),
        )
    )


def _percent(share: float) -> str:
    return f"{share * 100:.1f} %"


def _said(segment: _Segment) -> str:
    return f"{segment.part.name} {_percent(segment.share)}, {segment.part.mass_g:.1f} g"


def _summary(segments: Sequence[_Segment], total_g: float) -> str:
    if total_g <= 0:
        return "The pot is still empty."
    largest = sorted((s for s in segments if s.share >= 0.0005), key=lambda s: -s.share)
    return f"{total_g:.0f} g: " + ", ".join(f"{s.part.name} {_percent(s.share)}" for s in largest) + "."


def _table(segments: Sequence[_Segment], total_g: float) -> Table:
    rows = [(s.part.name, f"{s.part.mass_g:.1f}", f"{s.share * 100:.1f}") for s in segments]
    whole = ("Whole pot", f"{total_g:.1f}", "100.0" if total_g > 0 else "0.0")
    return Table("What it becomes", ("Part", "g", "%"), (*rows, whole))
