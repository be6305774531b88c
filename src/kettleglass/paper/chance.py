"""The chance of free alkali: all the pots that today's doubt allows, on one signed scale."""

from __future__ import annotations

from dataclasses import dataclass

from kettleglass.paper.distribution import Distribution
from kettleglass.paper.drawing import Drawing, Table
from kettleglass.paper.letters import text_width_px
from kettleglass.paper.scale import Axis, axis, span
from kettleglass.paper.svg import Anchor, Markup, document, finite, join, line, number, path, text, title
from kettleglass.paper.theme import SCREEN, Theme

_TEXT_PX = 38.0
_PEAK_PX = 92.0
_NEEDLE_PX = 12.0


@dataclass(frozen=True, slots=True)
class Plain:
    """A number as it is shown: fixed decimals, a true minus, a plus when above nothing."""

    value: float
    decimals: int = 2

    def __str__(self) -> str:
        shown = f"{self.value:.{self.decimals}f}"
        if float(shown) == 0.0:
            return "0"
        return ("+" if self.value > 0 else "") + shown.replace("-", "\N{MINUS SIGN}")


def pots_in_100(fraction: float) -> str:
    """A chance as counted pots: “30 in 100 pots”, “fewer than 1 in 100 pots”, “no pot in 100”."""
    if fraction <= 0:
        return "no pot in 100"
    if fraction >= 1:
        return "all pots"
    count = round(fraction * 100)
    return (
        "fewer than 1 in 100 pots"
        if count == 0
        else "more than 99 in 100 pots"
        if count == 100
        else f"{count} in 100 pots"
    )


def chance_of_free_alkali(
    pots: Distribution, *, limit_percent: float, nominal_percent: float | None = None, chance_fraction: float | None = None,
    key: str = "chance", width_px: float = 560.0, theme: Theme = SCREEN,
) -> Drawing:  # fmt: skip
    """The distribution of free alkali less free fat (% of the pot, as NaOH), the part beyond the limit filled red.

    `nominal_percent` is this pot as weighed (amber needle); `chance_fraction` (0-1) the counted share beyond the limit,
    otherwise taken from the bins. Beneath the scale stands the span of 9 in 10 pots. Raises `BadInput` when a value is
    not finite.
    """
    finite("limit", limit_percent)
    beyond = pots.share_above(limit_percent) if chance_fraction is None else finite("chance", chance_fraction)
    scale = _scale(pots, limit_percent, nominal_percent, width_px)
    said = _summary(pots, limit_percent, beyond)
    parts = [
        *_hill(pots, scale, limit_percent, theme), _limit(scale, limit_percent, beyond, width_px, theme),
        *([] if nominal_percent is None else [_needle(scale, finite("nominal value", nominal_percent), theme)]),
        scale.across(_base(), theme), scale.figures_across(_base() + 25, theme, signed=True),
        _bracket(pots, scale, width_px, theme),
    ]  # fmt: skip
    picture = document(key, (width_px, _base() + 76), parts, theme, name="How sure the alkali is", spoken=said)
    return Drawing(picture, said, _table(pots, limit_percent, beyond, nominal_percent))


def _base() -> float:
    return _TEXT_PX + _NEEDLE_PX + _PEAK_PX


def _scale(pots: Distribution, limit: float, nominal: float | None, width_px: float) -> Axis:
    low, high = pots.bulk()
    shown = [low, high, limit, 0.0, *([] if nominal is None else [finite("nominal value", nominal)])]
    low, high = span(min(shown), max(shown))
    room = (high - low) * 0.04
    return axis(low - room, high + room, start_px=0.0, end_px=width_px, signed=True)


def _hill(pots: Distribution, scale: Axis, limit: float, theme: Theme) -> list[Markup]:
    """The whole under one curve, what lies beyond the limit filled red."""
    base = _base()
    curve = [(scale.held_px(x), base - height * _PEAK_PX) for x, height in pots.curve()]
    within, beyond = _cut(curve, scale.px(limit))
    drawn = []
    for points, colour in ((within, theme.band), (beyond, theme.red_fill)):
        if len(points) > 1:
            drawn.append(path(f"M{number(points[0][0])} {number(base)}L{_line(points)}L{number(points[-1][0])} {number(base)}Z",
                              fill=colour))  # fmt: skip
    return [*drawn, path(f"M{_line(curve)}", stroke=theme.ink)]


def _line(points: list[tuple[float, float]]) -> str:
    return "L".join(f"{number(x)} {number(y)}" for x, y in points)


def _cut(curve: list[tuple[float, float]], at: float) -> tuple[list[tuple[float, float]], list[tuple[float, float]]]:
    """The curve left and right of a place, both with the point on the cut itself."""
    left = [point for point in curve if point[0] <= at]
    right = [point for point in curve if point[0] > at]
    if left and right:
        (x0, y0), (x1, y1) = left[-1], right[0]
        height = y0 + (y1 - y0) * (at - x0) / (x1 - x0) if x1 > x0 else y0
        left, right = [*left, (at, height)], [(at, height), *right]
    return left, right


def _limit(scale: Axis, limit: float, beyond: float, width_px: float, theme: Theme) -> Markup:
    """The limit as a line, and to its two sides how many pots lie there."""
    at = scale.px(limit)
    right = (pots_in_100(beyond), f"more than {limit:g} % free alkali", f"over {limit:g} %")
    left = (pots_in_100(1 - beyond), "no free alkali to speak of", "below it")
    shown_left, shown_right = _second_lines(left, right, at, width_px)
    sides = (
        _side(left[0], shown_left, at - 8, 0.0, theme, rightward=False, red=False),
        _side(right[0], shown_right, at + 8, width_px, theme, rightward=True, red=beyond > 0),
    )
    flanked = text_width_px(right[0], bold=True) <= width_px - at - 8 and text_width_px(left[0], bold=True) <= at - 8
    top = 4.0 if flanked and _fits(shown_right, width_px - at - 8) and _fits(shown_left, at - 8) else _TEXT_PX
    return join((line(at, top, at, _base(), stroke=theme.red), *sides))


def _fits(words: str, room: float) -> bool:
    return text_width_px(words) <= room


def _second_lines(
    left: tuple[str, str, str], right: tuple[str, str, str], at: float, width_px: float
) -> tuple[str, str]:
    """The longer wording when both sides have room for it, beside the line or else from edge to edge."""
    if _fits(left[1], at - 8) and _fits(right[1], width_px - at - 8):
        return left[1], right[1]
    both = text_width_px(left[1]) + text_width_px(right[1]) + 16
    return (left[1], right[1]) if both <= width_px else (left[2], right[2])


def _side(first: str, second: str, at: float, edge: float, theme: Theme, *, rightward: bool, red: bool) -> Markup:
    """Two lines of text beside the limit, or at the edge of the figure when they have no room there."""
    room = abs(edge - at)
    needed = max(text_width_px(first, bold=True), text_width_px(second))
    beside = needed <= room
    x = at if beside else edge
    anchor_end = rightward != beside
    anchor: Anchor = "end" if anchor_end else "start"
    colour = theme.red if red else theme.ink
    return join((
        text(x, 13, first, fill=colour, anchor=anchor, weight=600),
        text(x, 29, second, fill=theme.quiet, anchor=anchor),
    ))  # fmt: skip


def _needle(scale: Axis, value: float, theme: Theme) -> Markup:
    x, top = scale.held_px(value), _TEXT_PX + 2
    said = title(f"this pot, as weighed: {Plain(value)} %")
    head = path(f"M{number(x - 4.5)} {number(top)}h9l-4.5 7z", said, fill=theme.amber)
    return join((line(x, top + 4, x, _base(), stroke=theme.amber, stroke_width=2), head))


def _bracket(pots: Distribution, scale: Axis, width_px: float, theme: Theme) -> Markup:
    """The span of 9 in 10 pots, and which way is which."""
    y = _base() + 32
    left, right = scale.held_px(pots.low), scale.held_px(pots.high)
    right = max(right, left + 1)
    words = f"9 in 10 pots: {Plain(pots.low)} to {Plain(pots.high)} %"
    half = text_width_px(words, bold=True) / 2
    middle = min(max((left + right) / 2, half), width_px - half)
    drawn = [
        path(f"M{number(left)} {number(y)}v6H{number(right)}v-6", stroke=theme.ink),
        text(middle, y + 22, words, fill=theme.ink, anchor="middle", weight=600),
    ]
    return join((*drawn, *_directions(middle - half, middle + half, y, width_px, theme)))


def _directions(left: float, right: float, y: float, width_px: float, theme: Theme) -> list[Markup]:
    """“free fat” and “free alkali” at the two ends, a row lower where the bracket's words need the room."""
    fat, alkali = "free fat", "free alkali, % NaOH"
    clear = text_width_px(fat) + 12 <= left and width_px - text_width_px(alkali) - 12 >= right
    foot = y + (22 if clear else 40)
    return [text(0, foot, fat, fill=theme.quiet), text(width_px, foot, alkali, fill=theme.quiet, anchor="end")]


def _summary(pots: Distribution, limit: float, beyond: float) -> str:
    count = pots_in_100(beyond)
    count = count[0].upper() + count[1:]
    return f"{count} would keep more than {limit:g} % free alkali; 9 in 10 lie between {Plain(pots.low)} and {Plain(pots.high)} %."


def _table(pots: Distribution, limit: float, beyond: float, nominal: float | None) -> Table:
    rows = [
        (f"Chance of more than {limit:g} %", pots_in_100(beyond)), ("5 in 100 pots are below", f"{Plain(pots.low, 3)} %"),
        ("The middle pot", f"{Plain(pots.middle, 3)} %"), ("5 in 100 pots are above", f"{Plain(pots.high, 3)} %"),
        *([] if nominal is None else [("This pot, as weighed", f"{Plain(nominal, 3)} %")]),
    ]  # fmt: skip
    return Table("Free alkali less free fat, as NaOH", ("What", "Value"), tuple(rows))
