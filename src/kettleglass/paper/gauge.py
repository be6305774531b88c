"""The boiling gauge: how far the pot, held warm, is from boiling, and how far above its flash point."""

from __future__ import annotations

import math
from dataclasses import dataclass

from kettleglass.paper.boiling import Boils, Held, degrees, hold_text
from kettleglass.paper.box import Box
from kettleglass.paper.drawing import Drawing
from kettleglass.paper.hatch import leaning
from kettleglass.paper.letters import shortened, text_width_px
from kettleglass.paper.scale import Axis, axis
from kettleglass.paper.spread import spread
from kettleglass.paper.svg import Markup, document, join, line, number, path, rect, text, title
from kettleglass.paper.theme import SCREEN, Theme

_NAME = "How near to boiling"
_COLDEST_C, _HOTTEST_C = 65.0, 95.0
_NEAR_K = 12.0
_DEGREE_PX = 8.0
_BROKEN_PX = 46.0
_TOP_PX, _POT_PX, _PREMIX_PX, _ROW_PX = 20.0, 24.0, 12.0, 17.0
_LEAST_PX = 4.0


def boiling_gauge(
    pot: Boils, premix: Boils | None, hold_c: tuple[float, float], flash_c: float | None, *,
    key: str = "gauge", width_px: float = 560.0, theme: Theme = SCREEN,
) -> Drawing:  # fmt: skip
    """One lying scale in °C: where the pot boils on top, the premix beneath it, the hold range under the line.

    `hold_c` is the lowest and highest °C at which the pot is held (both the same for one temperature). What boils by
    the top of the hold is hatched and says so in words. A flash point far below stands on a broken-off end of the
    scale. Raises `BadInput` when a value is not finite or the hold range is not in order.
    """
    held = Held(pot, premix, hold_c, flash_c)
    place = _place(held, width_px)
    label = _premix_label(held, place)
    top = _TOP_PX + (_ROW_PX if label and label.above else 0.0)
    lane = Box(place.scale.start_px, top, width_px, top + _POT_PX)
    second = Box(lane.left, lane.bottom + 4, width_px, lane.bottom + 4 + _PREMIX_PX)
    base = (second.bottom if premix else lane.bottom) + 6
    below, foot = _words_below(held, place, base, theme)
    parts = [
        rect(Box(place.left, top, place.right, base), fill=theme.other),
        *([label.drawn(second, place, theme), _premix(held, premix, second, place, theme)]
          if premix and label else []),
        *_pot(held, lane, base, place, theme), _margin(held, lane, place, theme),
        _words_above(held, top - 7, place, theme),
        place.scale.across(base, theme), place.scale.figures_across(base + 25, theme),
        rect(Box(place.left, base + 1, place.right, base + 6), title(hold_text(hold_c)), fill=theme.ink), *below,
    ]  # fmt: skip
    said = held.summary
    picture = document(key, (width_px, foot + 5), parts, theme, name=_NAME, spoken=said)
    return Drawing(picture, said, held.table(_NAME))


@dataclass(frozen=True, slots=True)
class _Place:
    """The scale, whether an end is broken off for the flash point, and the hold range on it, at least 4 px wide."""

    scale: Axis
    broken: bool
    left: float
    right: float

    @property
    def narrow(self) -> bool:
        return self.right - self.left < 12

    def band(self, liquid: Boils, lane: Box) -> Box:
        """Where a liquid boils, as a part of its lane, at least 4 px wide."""
        left, right = self.scale.px(liquid.low_c), self.scale.px(liquid.high_c)
        room = max(_LEAST_PX - (right - left), 0.0) / 2
        return Box(left - room, lane.top, right + room, lane.bottom)

    def passed(self, band: Box) -> Box:
        """The part of a band that lies at or below the top of the hold, at least 6 px wide."""
        return Box(band.left, band.top, min(band.right, max(self.right, band.left + 6)), band.bottom)


def _place(held: Held, width_px: float) -> _Place:
    """From 65 to 95 °C or as far as is needed, so that the scale rests while someone types."""
    low_c, high_c = held.hold_c
    liquids = [held.pot, *([held.premix] if held.premix else [])]
    low = min(_COLDEST_C, low_c - 2, *(one.low_c - 2 for one in liquids))
    high = max(_HOTTEST_C, high_c + 2, *(one.high_c + 2 for one in liquids))
    broken = held.flash_c is not None and held.flash_c < low - _NEAR_K
    if held.flash_c is not None and not broken:
        low, high = min(low, held.flash_c - 2), max(high, held.flash_c + 2)
    scale = _scale(low, high, _BROKEN_PX if broken else 0.0, width_px)
    left, right = scale.px(low_c), scale.px(high_c)
    room = max(_LEAST_PX - (right - left), 0.0) / 2
    return _Place(scale, broken, left - room, right + room)


def _scale(low: float, high: float, start_px: float, end_px: float) -> Axis:
    """One division a degree and a figure every five where there is room, so that the degrees left can be counted."""
    low, high = math.floor(low / 5) * 5.0, math.ceil(high / 5) * 5.0
    if (end_px - start_px) / (high - low) >= _DEGREE_PX:
        return Axis(low, high, start_px, end_px, 5.0, 5)
    return axis(low, high, start_px=start_px, end_px=end_px)


def _pot(held: Held, lane: Box, base: float, place: _Place, theme: Theme) -> list[Markup]:
    """The band with its needle down to the scale; hatched red as far as the hold reaches into it."""
    band, x = place.band(held.pot, lane), place.scale.px(held.pot.likely_c)
    drawn = [rect(band, title(f"{held.pot.label} boils at {held.pot.span_text}"), fill=theme.band)]
    if held.state != "clear":
        passed = place.passed(band)
        drawn += [
            path(leaning(passed), stroke=theme.red, stroke_width=1.6, pointer_events="none"),
            rect(passed, fill="none", stroke=theme.red, stroke_width=1.6, pointer_events="none"),
        ]
    head = path(f"M{number(x - 4.5)} {number(lane.top - 3)}h9l-4.5 7z", fill=theme.amber, pointer_events="none")
    return [*drawn, line(x, lane.top, x, base, stroke=theme.amber, stroke_width=2, pointer_events="none"), head]


def _margin(held: Held, lane: Box, place: _Place, theme: Theme) -> Markup:
    """An arrow from the top of the hold to the needle, where there is room for one."""
    left, right = place.right + 1, place.scale.px(held.pot.likely_c) - 2
    if held.state == "boils" or right - left < 10:
        return Markup()
    y = (lane.top + lane.bottom) / 2
    start = f"M{number(left)} {number(y - 4)}v8M{number(left)} {number(y)}"
    return path(f"{start}H{number(right)}m-5 -4l5 4l-5 4", stroke=theme.ink, stroke_width=1.2)


def _words_above(held: Held, foot: float, place: _Place, theme: Theme) -> Markup:
    """What is left to boiling, over the arrow, and where the pot boils, over its band: in fewer words on a phone."""
    pot, end = held.pot, place.scale.end_px
    colour = theme.ink if held.state == "clear" else theme.red
    needle = place.scale.px(pot.likely_c)
    for said, named in (
        (held.margin_text, f"{pot.label} boils at {pot.span_text}"),
        (held.margin_text, f"{pot.label} {degrees(pot.likely_c)} °C"),
        (held.margin_short, f"{degrees(pot.likely_c)} °C"),
    ):
        widths = [text_width_px(words, bold=True) for words in (said, named)]
        wanted = ((place.right + needle - widths[0]) / 2, needle - 8)
        lefts = spread(wanted, widths, low=0.0, high=end, gap=14.0)
        if lefts is not None:
            return join((
                text(lefts[0], foot, said, fill=colour, weight=600),
                text(lefts[1], foot, named, fill=theme.amber, weight=600),
            ))  # fmt: skip
    return text(0, foot, shortened(held.margin_short, end, bold=True), fill=colour, weight=600)


@dataclass(frozen=True, slots=True)
class _Label:
    """Where the words of the premix stand: beside its band, or in a row of their own on top."""

    words: str
    left: float
    above: bool

    def drawn(self, lane: Box, place: _Place, theme: Theme) -> Markup:
        if self.above:
            return text(self.left, _TOP_PX - 7, self.words, fill=theme.quiet)
        words = text(self.left, lane.bottom - 2, self.words, fill=theme.quiet)
        right = self.left + text_width_px(self.words)
        if not place.narrow or right < place.left or self.left > place.right:
            return words
        return join((rect(Box(self.left - 3, lane.top - 1, right + 3, lane.bottom), fill=theme.face), words))


def _premix_label(held: Held, place: _Place) -> _Label | None:
    """Right or left of the band, where no needle stands in the way; in fewer words if need be."""
    if held.premix is None:
        return None
    premix, scale = held.premix, place.scale
    band = place.band(premix, Box(0, 0, 0, 0))
    marks = [scale.px(held.pot.likely_c), *([] if held.flash_c is None else [scale.px(held.flash_c)])]
    short, where = f"{premix.label} {degrees(premix.likely_c)} °C", held.premix_where
    for words in (f"{premix.label} boils at {premix.span_text}{where}", f"{short}{where}",
                  f"{premix.label} {premix.span_text}", short):  # fmt: skip
        width = text_width_px(words)
        for left in (band.right + 8, band.left - 8 - width):
            free = not any(left - 6 < mark < left + width + 6 for mark in marks)
            if free and (16.0 if place.broken else 0.0) <= left <= scale.end_px - width:
                return _Label(words, left, above=False)
    short = shortened(short, scale.end_px)
    width = text_width_px(short)
    return _Label(short, min(max((band.left + band.right - width) / 2, 0.0), scale.end_px - width), above=True)


def _premix(held: Held, premix: Boils, lane: Box, place: _Place, theme: Theme) -> Markup:
    """The second band, in the alcohol's own fill; hatched as far as the hold reaches into it."""
    band, x = place.band(premix, lane), place.scale.px(premix.likely_c)
    drawn = [
        rect(band, title(f"{premix.label} boils at {premix.span_text}"), fill=theme.alcohol, stroke=theme.glass_line)
    ]
    if premix.state(held.top_c) != "clear":
        lines = leaning(place.passed(band))
        drawn.append(path(lines, stroke=theme.ink, stroke_opacity=".7", pointer_events="none"))
    drawn.append(line(x, lane.top, x, lane.bottom + 6, stroke=theme.ink, stroke_width=1.6, pointer_events="none"))
    return join(drawn)


def _words_below(held: Held, place: _Place, base: float, theme: Theme) -> tuple[list[Markup], float]:
    """Hold range and flash point under the figures, each beneath its mark, and the foot of the lowest line."""
    foot, end = base + 42, place.scale.end_px
    words = {hold_text(held.hold_c): ((place.left + place.right) / 2, theme.ink)}
    if held.flash_c is None:
        return _named(words, foot, end), foot
    x = 10.0 if place.broken else place.scale.px(held.flash_c)
    colour = theme.red if held.top_c >= held.flash_c else theme.ink
    said = f"flash point {degrees(held.flash_c)} °C"
    words[said] = (x, colour)
    mark = rect(Box(x - 1.25, base - 16, x + 1.25, base + 11), title(said), fill=colour)
    warmer = text(0, foot + _ROW_PX, shortened(held.flash_text, end), fill=theme.quiet)
    cut = [_broken_end(base, theme)] if place.broken else []
    return [*cut, mark, *_named(words, foot, end), warmer], foot + _ROW_PX


def _named(words: dict[str, tuple[float, str]], foot: float, end: float) -> list[Markup]:
    """Words under their middles, in that order, moved apart where they would touch, cut where there is no room."""
    turn = sorted(words, key=lambda one: words[one][0])
    shown = [shortened(one, end / len(turn) - 7, bold=True) for one in turn]
    widths = [text_width_px(one, bold=True) for one in shown]
    wanted = [words[one][0] - width / 2 for one, width in zip(turn, widths, strict=True)]
    lefts = spread(wanted, widths, low=0.0, high=end, gap=14.0) or wanted
    return [
        text(x, foot, show, fill=words[one][1], weight=600) for one, show, x in zip(turn, shown, lefts, strict=True)
    ]


def _broken_end(base: float, theme: Theme) -> Markup:
    """An end without divisions, cut off from the scale by two slanted strokes: it has a place but no distance."""
    y, cut = number(base), _BROKEN_PX - 12
    return path(f"M0 {y}H{number(cut - 5)}M{number(cut - 8)} {number(base + 5)}l5 -10m4 0l-5 10"
                f"M{number(cut + 1)} {y}H{number(_BROKEN_PX)}", stroke=theme.tick)  # fmt: skip
