"""The chance of free alkali: all the pots that today's doubt allows, on one signed scale."""

from __future__ import annotations

from dataclasses import dataclass

from kettleglass.paper.distribution import Distribution
from kettleglass.paper.drawing import Drawing, Table
from kettleglass.paper.letters import text_width_px
from kettleglass.paper.scale import Axis, axis, span
from kettleglass.paper.spread import spread
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
    pots: Distribution, *, limit_percent: float, nominal_percent: float | None = None,
    chance_fraction: float | None = None, key: str = "chance", width_px: float = 560.0, theme: Theme = SCREEN,
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
    bracket, foot = _bracket(pots, scale, width_px, theme)
    parts = [
        *_hill(pots, scale, limit_percent, theme), _limit(scale, limit_percent, beyond, width_px, theme),
        *([] if nominal_percent is None else [_needle(scale, finite("nominal value", nominal_percent), theme)]),
        scale.across(_base(), theme), scale.figures_across(_base() + 25, theme, signed=True),
        bracket,
    ]  # fmt: skip
    picture = document(key, (width_px, foot + 5), parts, theme, name="How sure the alkali is", spoken=said)
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
            (left, _), (right, _) = points[0], points[-1]
            ground = f"L{number(right)} {number(base)}L{number(left)} {number(base)}Z"
            drawn.append(path(f"M{_line(points)}{ground}", fill=colour))
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
    within, over = pots_in_100(1 - beyond), pots_in_100(beyond)
    for below, above in (
        ("no free alkali to speak of", f"more than {limit:g} % free alkali"),
        ("no free alkali", f"over {limit:g} %"),
        ("", ""),
    ):
        widths = [max(text_width_px(a, bold=True), text_width_px(b)) for a, b in ((within, below), (over, above))]
        lefts = spread((at - 8 - widths[0], at + 8), widths, low=0.0, high=width_px, gap=16.0)
        if lefts is not None:
            break
    else:
        lefts, widths = [0.0, width_px], [0.0, 0.0]
    flanked = lefts[0] + widths[0] <= at - 4 and at + 4 <= lefts[1]
    return join((
        line(at, 4.0 if flanked else _TEXT_PX, at, _base(), stroke=theme.red),
        _side((within, below), lefts[0] + widths[0], "end", theme.ink, theme),
        _side((over, above), lefts[1], "start", theme.red if beyond > 0 else theme.ink, theme),
    ))  # fmt: skip


def _side(words: tuple[str, str], x: float, anchor: Anchor, colour: str, theme: Theme) -> Markup:
    """Two lines of text, the upper one counts, the lower one says what is counted."""
    first, second = words
    counted = text(x, 13, first, fill=colour, anchor=anchor, weight=600)
    return join((counted, text(x, 29, second, fill=theme.quiet, anchor=anchor))) if second else counted


def _needle(scale: Axis, value: float, theme: Theme) -> Markup:
    x, top = scale.held_px(value), _TEXT_PX + 2
    said = title(f"this pot, as weighed: {Plain(value)} %")
    head = path(f"M{number(x - 4.5)} {number(top)}h9l-4.5 7z", said, fill=theme.amber)
    return join((line(x, top + 4, x, _base(), stroke=theme.amber, stroke_width=2), head))


def _bracket(pots: Distribution, scale: Axis, width_px: float, theme: Theme) -> tuple[Markup, float]:
    """The span of 9 in 10 pots, which way is which, and the foot of the lowest line of text."""
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
    ends, foot = _directions(middle - half, middle + half, y, width_px, theme)
    return join((*drawn, *ends)), foot


def _directions(left: float, right: float, y: float, width_px: float, theme: Theme) -> tuple[list[Markup], float]:
    """“free fat” and “free alkali” at the two ends, a row lower where the bracket's words need the room; their foot."""
    fat, alkali = "free fat", "free alkali, % NaOH"
    clear = text_width_px(fat) + 12 <= left and width_px - text_width_px(alkali) - 12 >= right
    foot = y + (22 if clear else 40)
    return [text(0, foot, fat, fill=theme.quiet), text(width_px, foot, alkali, fill=theme.quiet, anchor="end")], foot


def _summary(pots: Distribution, limit: float, beyond: float) -> str:
    count = pots_in_100(beyond)
    count = count[0].upper() + count[1:]
    band = f"9 in 10 lie between {Plain(pots.low)} and {Plain(pots.high)} %."
    return f"{count} would keep more than {limit:g} % free alkali; {band}"


def _table(pots: Distribution, limit: float, beyond: float, nominal: float | None) -> Table:
    rows = [
        (f"Chance of more than {limit:g} %", pots_in_100(beyond)),
        ("5 in 100 pots are below", f"{Plain(pots.low, 3)} %"),
        ("The middle pot", f"{Plain(pots.middle, 3)} %"), ("5 in 100 pots are above", f"{Plain(pots.high, 3)} %"),
        *([] if nominal is None else [("This pot, as weighed", f"{Plain(nominal, 3)} %")]),
    ]  # fmt: skip
    return Table("Free alkali less free fat, as NaOH", ("What", "Value"), tuple(rows))
