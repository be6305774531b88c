"""The timeline of the cook: how warm the pot is, where it would boil or catch fire, and what is in it, against time."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from kettleglass.paper.boiling import degrees, shown_c
from kettleglass.paper.box import Box
from kettleglass.paper.cooking import (
    BoilsAt,
    Cook,
    FlashAt,
    Point,
    SharesAt,
    Step,
    minutes_text,
    summary,
    table,
)
from kettleglass.paper.drawing import Drawing
from kettleglass.paper.hatch import leaning
from kettleglass.paper.letters import text_width_px
from kettleglass.paper.scale import Axis, axis, span, tick_text
from kettleglass.paper.spread import spread
from kettleglass.paper.svg import Markup, circle, document, join, line, number, path, rect, text, title
from kettleglass.paper.theme import SCREEN, Theme

_NAME = "The cook against time"
_WIDE_PX = 560.0
_LID_PX, _LID_FOOT_PX = 22.0, 31.0
_TOP_PX = 56.0
_WIDE_PX_HIGH, _NARROW_PX_HIGH = (252.0, 100.0), (226.0, 88.0)
_BETWEEN_PX = 36.0
_STRIP_PX, _CUT_PX = 28.0, 14.0
_NEAR_K, _LEAST_K = 15.0, 20.0
_MINUTES = (
    (0.5, (5,)), (1, (4, 2)), (2, (4, 2)), (5, (5,)), (10, (10, 5, 2)), (15, (15, 3)), (30, (6, 3)), (60, (12, 6, 4)),
    (120, (8, 4)), (240, (4,)),
)  # fmt: skip
"""How far apart the figures of the time may stand, in minutes, and into how many parts that goes."""


@dataclass(frozen=True, slots=True)
class _Name:
    """Words at the right of a panel, as high as what they name; `end` is where its line ends."""

    words: str
    end: Point
    colour: str
    weight: int = 400
    cold: bool = False


@dataclass(frozen=True, slots=True)
class _Panel:
    """One of the two plots: its ground, its time and its upright scale."""

    box: Box
    time: Axis
    scale: Axis

    def line(self, points: Sequence[Point]) -> str:
        """The `d` of a line through points of (minute, value)."""
        return "M" + "L".join(f"{number(self.time.px(x))} {number(self.scale.px(y))}" for x, y in points)

    def drawn(self, theme: Theme) -> Markup:
        """The upright scale with its figures."""
        figures = (
            text(
                self.box.left - 16, self.scale.px(v) + 4, tick_text(v, self.scale.major), fill=theme.quiet, anchor="end"
            )
            for v in self.scale.majors()
        )
        return join((self.scale.upright(self.box.left - 3, theme), *figures))


def cook_timeline(
    steps: Sequence[Step], *, boils: Sequence[BoilsAt] = (), flash: Sequence[FlashAt] = (),
    shares: Sequence[SharesAt] = (), hold_c: tuple[float, float] | None = None, key: str = "cook",
    width_px: float = 1000.0, theme: Theme = SCREEN,
) -> Drawing:  # fmt: skip
    """Temperature of the pot in °C above, its shares of alcohol and water in % beneath, over the same minutes.

    `boils`, `flash` and `shares` are points in the order of time, joined by straight lines; give them only while they
    mean something. Steps are numbered along the top; beneath stands when the lid is off. Raises `BadInput` without a
    step, when steps overlap, when points are not in the order of time, or when a value cannot be.
    """
    cook = Cook(tuple(steps), tuple(boils), tuple(flash), tuple(shares), hold_c)
    above, below = _names_above(cook, theme, width_px), _names_below(cook, theme, width_px)
    warm, cold, share = _panels(cook, [*above, *below], width_px)
    foot = (share if cook.shares else cold or warm).box.bottom
    parts = [
        _hold(cook, warm, theme), _boundaries(cook, warm, foot, theme), _numbers(cook, warm, width_px, theme),
        *_lid(cook, warm, theme), warm.drawn(theme), text(0, _TOP_PX - 12, "°C", fill=theme.quiet),
        *([_cut(warm, cold, theme)] if cold else []), *_limits(cook, warm, cold or warm, theme),
        *_boiling(cook, warm, theme), *_pot(cook, warm, theme), *_named(above, warm, cold or warm, theme),
        *(_shares(cook, share, theme) if cook.shares else []), *_named(below, share, share, theme),
        warm.time.across(foot, theme), warm.time.figures_across(foot + 25, theme),
        text(warm.box.right + 10, foot + 25, "min", fill=theme.quiet), *_hovers(cook, warm, foot),
    ]  # fmt: skip
    said = summary(cook)
    picture = document(key, (width_px, foot + 30), parts, theme, name=_NAME, spoken=said)
    return Drawing(picture, said, table(cook, _NAME))


def _panels(cook: Cook, names: Sequence[_Name], width_px: float) -> tuple[_Panel, _Panel | None, _Panel]:
    """The plots between the same two sides: warmth, a strip cut off for a flash point far below, and shares."""
    heights = _WIDE_PX_HIGH if width_px >= _WIDE_PX else _NARROW_PX_HIGH
    (low, high), strip = _warmth(cook, heights[0])
    warm_foot = _TOP_PX + heights[0] - (_STRIP_PX + _CUT_PX if strip else 0.0)
    top = _TOP_PX + heights[0] + _BETWEEN_PX
    warmth = axis(low, high, start_px=warm_foot, end_px=_TOP_PX, upright=True)
    share = axis(0.0, _most(cook), start_px=top + heights[1], end_px=top, upright=True)
    figures = (text_width_px(tick_text(v, one.major)) for one in (warmth, share) for v in one.majors())
    left = max(figures, default=0.0) + 17
    right = width_px - max(text_width_px(one, bold=True) for one in ("min", *(name.words for name in names))) - 10
    time = _time(cook.span, left, right)
    cold = None
    if strip:
        box = Box(left, warm_foot + _CUT_PX, right, warm_foot + _CUT_PX + _STRIP_PX)
        cold = _Panel(box, time, Axis(*strip, box.bottom, box.top, strip[1] - strip[0], 1))
    return (_Panel(Box(left, _TOP_PX, right, warm_foot), time, warmth), cold,
            _Panel(Box(left, top, right, top + heights[1]), time, share))  # fmt: skip


def _time(ends: tuple[float, float], start_px: float, end_px: float) -> Axis:
    """The scale of time, divided as a clock is: in halves and quarters of an hour, five minutes, or less."""
    low, high = span(*ends)
    per_px = (high - low) / (end_px - start_px)
    room = text_width_px(tick_text(high, 0.5)) + 12
    for major, parts in _MINUTES:
        if major >= room * per_px:
            finest = next((n for n in parts if major / n >= 5 * per_px), 1)
            return Axis(low, high, start_px, end_px, major, finest)
    return axis(low, high, start_px=start_px, end_px=end_px, rounded=False)


def _warmth(cook: Cook, height_px: float) -> tuple[tuple[float, float], tuple[float, float] | None]:
    """The lowest and highest temperature of the scale, with room above for a word; and those of the strip.

    The strip is cut off where the flash point lies far below all else and hardly moves: then the degrees that are
    left to boiling can be told apart. A degree is as high in the strip as on the scale.
    """
    shown = [
        *(step.temperature_c for step in cook.steps), *(c for p in cook.boils for c in (p.low_c, p.high_c)),
        *(cook.hold_c or ()),
    ]  # fmt: skip
    flash = [p.flash_c for p in cook.flash]
    if flash and max(flash) < min(shown) - _NEAR_K:
        low, high = _roomy(shown)
        per_px = (high - low) / (height_px - _STRIP_PX - _CUT_PX)
        if max(flash) - min(flash) <= (_STRIP_PX - 6) * per_px:
            middle, half = (min(flash) + max(flash)) / 2, _STRIP_PX * per_px / 2
            return (low, high), (middle - half, middle + half)
    return _roomy([*shown, *flash]), None


def _roomy(shown: Sequence[float]) -> tuple[float, float]:
    low, high = span(min(shown), max(shown))
    low = min(low, high - _LEAST_K)
    return low - (high - low) * 0.04, high + (high - low) * 0.12


def _cut(warm: _Panel, cold: _Panel, theme: Theme) -> Markup:
    """Two slanted strokes between the scale and the strip, which has a place but no divisions."""
    x, y = warm.box.left - 3, (warm.box.bottom + cold.box.top) / 2
    strokes = f"M{number(x - 5)} {number(y)}l10 -5m0 4l-10 5"
    return path(f"M{number(x)} {number(cold.box.top)}V{number(cold.box.bottom)}{strokes}", stroke=theme.tick)


def _most(cook: Cook) -> float:
    return max((share for p in cook.shares for share in (p.alcohol_high_percent, p.water_percent)), default=0.0) or 1.0


def _names_above(cook: Cook, theme: Theme, width_px: float) -> list[_Name]:
    wide, last = width_px >= _WIDE_PX, cook.steps[-1]
    names = [_Name(f"this pot {shown_c(last.temperature_c)} °C" if wide else f"pot {shown_c(last.temperature_c)}",
                   (last.end_min, last.temperature_c), theme.amber, 600)]  # fmt: skip
    if cook.boils:
        boils = cook.boils[-1]
        shown = degrees(boils.likely_c)
        names.append(_Name(f"boils at {shown} °C" if wide else f"boils {shown}", (boils.minute, boils.likely_c),
                           theme.ink, 600))  # fmt: skip
    if cook.flash:
        flash = cook.flash[-1]
        shown = degrees(flash.flash_c)
        names.append(_Name(f"flash point {shown} °C" if wide else f"flash {shown}", (flash.minute, flash.flash_c),
                           theme.red, 600, cold=True))  # fmt: skip
    if cook.hold_c:
        low, high = cook.hold_c
        ends = shown_c(low) if low == high else f"{shown_c(low)}–{shown_c(high)}"
        names.append(
            _Name(f"hold {ends} °C" if wide else f"hold {ends}", (cook.span[1], (low + high) / 2), theme.quiet)
        )
    return names


def _names_below(cook: Cook, theme: Theme, width_px: float) -> list[_Name]:
    if not cook.shares:
        return []
    last, wide = cook.shares[-1], width_px >= _WIDE_PX
    found = [("water", last.water_percent, 400)]
    if cook.has_alcohol:
        found.append(("alcohol", last.alcohol_percent, 600))
    return [
        _Name(f"{what} {share:.1f} %" if wide else f"{what} {share:.0f}", (last.minute, share), theme.ink, weight)
        for what, share, weight in found
    ]


def _named(names: Sequence[_Name], panel: _Panel, cold: _Panel, theme: Theme) -> Iterator[Markup]:
    """Each name beside the end of its line; a thin stroke ties the two where it had to move or the line ends early."""
    height = {name: (cold if name.cold else panel).scale.px(name.end[1]) for name in names}
    turn = sorted(names, key=lambda name: height[name])
    wanted = [height[name] - 7 for name in turn]
    tops = spread(wanted, [14.0] * len(turn), low=panel.box.top - 7, high=cold.box.bottom + 7, gap=0.5) or wanted
    right = panel.box.right
    for name, top in zip(turn, tops, strict=True):
        x, y = panel.time.px(name.end[0]), height[name]
        if abs(top + 7 - y) > 3 or right - x > 3:
            tie = f"M{number(x + 2)} {number(y)}H{number(max(right, x + 2))}L{number(right + 7)} {number(top + 7)}"
            yield path(tie, stroke=theme.tick, stroke_dasharray="1 3")
        yield text(right + 10, top + 11, name.words, fill=name.colour, weight=name.weight)


def _hold(cook: Cook, panel: _Panel, theme: Theme) -> Markup:
    if not cook.hold_c:
        return Markup()
    low, high = (panel.scale.px(end) for end in cook.hold_c)
    room = max(3.0 - (low - high), 0.0) / 2
    return rect(Box(panel.box.left, high - room, panel.box.right, low + room), fill=theme.other)


def _boundaries(cook: Cook, panel: _Panel, foot: float, theme: Theme) -> Markup:
    """A hairline wherever a step begins or ends, through both plots."""
    places = sorted({number(panel.time.px(end)) for step in cook.steps for end in step.span}, key=float)
    return path("".join(f"M{x} {number(_LID_PX - 4)}V{number(foot)}" for x in places), stroke=theme.hair)


def _numbers(cook: Cook, panel: _Panel, width_px: float, theme: Theme) -> Markup:
    """Steps along the top: names where those have room, else numbers alone, else every second of them and so on."""
    for every in range(0 if width_px >= _WIDE_PX else 1, len(cook.steps) + 1):
        words = [
            (_step_words(n, step, panel) if every == 0 else str(n), panel.time.px((step.start_min + step.end_min) / 2))
            for n, step in enumerate(cook.steps, 1) if (n - 1) % max(every, 1) == 0
        ]  # fmt: skip
        widths = [text_width_px(one, bold=True) for one, _ in words]
        wanted = [middle - width / 2 for (_, middle), width in zip(words, widths, strict=True)]
        lefts = spread(wanted, widths, low=panel.box.left - 8, high=width_px, gap=6.0)
        if lefts is not None and (every or all(abs(a - b) < 14 for a, b in zip(lefts, wanted, strict=True))):
            return join(
                _number(one, (left, width), middle, theme)
                for (one, middle), left, width in zip(words, lefts, widths, strict=True)
            )
    return Markup()


def _step_words(n: int, step: Step, panel: _Panel) -> str:
    words = f"{n} {step.label}"
    room = panel.time.px(step.end_min) - panel.time.px(step.start_min) - 8
    return words if text_width_px(words, bold=True) <= room else str(n)


def _number(words: str, place: tuple[float, float], middle: float, theme: Theme) -> Markup:
    """The number, tied to the middle of its step where it had to move away."""
    left, width = place
    said = text(left, 12, words, fill=theme.ink, weight=600)
    if left - 2 <= middle <= left + width + 2:
        return said
    return join((said, line(left + width / 2, 15, middle, _LID_PX - 1, stroke=theme.tick)))


def _lid(cook: Cook, panel: _Panel, theme: Theme) -> Iterator[Markup]:
    """A strip: plain while the lid is on, hatched while it is off, with the words beneath where they have room."""
    taken: list[tuple[float, float]] = []
    yield text(0, _LID_FOOT_PX, "lid", fill=theme.quiet)
    for (start, end), covered in sorted(cook.lid_spans, key=lambda run: (run[1], run[0][0] - run[0][1])):
        left, right = panel.time.px(start), panel.time.px(end)
        strip = Box(left, _LID_PX, max(right, left + 1), _LID_FOOT_PX)
        yield rect(strip, fill=theme.other if covered else theme.face, stroke=theme.glass_line)
        if not covered:
            yield path(leaning(strip), stroke=theme.ink)
        words = "lid on" if covered else "lid off"
        width = text_width_px(words, bold=not covered)
        at = min(max((left + right - width) / 2, panel.box.left), panel.box.right - width)
        if all(at + width + 8 <= one or other + 8 <= at for one, other in taken) and (
            not covered or width <= right - left
        ):
            taken.append((at, at + width))
            yield text(at, _LID_FOOT_PX + 14, words, fill=theme.quiet if covered else theme.ink,
                       weight=400 if covered else 600)  # fmt: skip


def _limits(cook: Cook, panel: _Panel, cold: _Panel, theme: Theme) -> Iterator[Markup]:
    """Where it boils as a line in its band, and the flash point as a dashed line."""
    if cook.boils:
        upper = [(p.minute, p.high_c) for p in cook.boils]
        yield path(f"{panel.line([*upper, *reversed(cook.lowest)])}Z", fill=theme.band)
        yield path(panel.line(cook.likely), stroke=theme.ink, stroke_width=1.4)
    if cook.flash:
        flash = cold.line([(p.minute, p.flash_c) for p in cook.flash])
        yield path(flash, stroke=theme.red, stroke_width=1.6, stroke_dasharray="6 3")


def _boiling(cook: Cook, panel: _Panel, theme: Theme) -> Iterator[Markup]:
    """Where a step is as warm as that: hatched, framed, and said."""
    taken: list[tuple[float, float]] = []
    for step, (start, end), surely in cook.boiling_spans():
        left, right = panel.time.px(start), max(panel.time.px(end), panel.time.px(start) + 3)
        level = panel.scale.px(step.temperature_c)
        lowest = max(
            c for p in (*cook.lowest, (0.0, step.temperature_c)) for c in (panel.scale.px(p[1]),) if c >= level
        )
        hot = Box(left, level - 8, right, max(level + 8, min(lowest, level + 24)))
        yield rect(hot, fill=theme.face, fill_opacity=".6", stroke=theme.red, stroke_width=1.4)
        yield path(leaning(hot), stroke=theme.red, stroke_width=1.4)
        words = "boils" if surely else "may boil"
        width = text_width_px(words, bold=True)
        at = min(max((left + right - width) / 2, panel.box.left), panel.box.right - width)
        if all(at + width + 6 <= one or other + 6 <= at for one, other in taken):
            taken.append((at, at + width))
            yield text(at, max(hot.top - 6, panel.box.top + 10), words, fill=theme.red, weight=600)


def _pot(cook: Cook, panel: _Panel, theme: Theme) -> Iterator[Markup]:
    """The pot itself: a plateau for each step, a thin stroke from one to the next, a dot for what takes no time."""
    thin, plateaus, before = "", "", None
    for step in cook.steps:
        left, right, y = panel.time.px(step.start_min), panel.time.px(step.end_min), panel.scale.px(step.temperature_c)
        if before:
            thin += f"M{before}L{number(left)} {number(y)}"
        if right - left < 1:
            yield circle(left, y, 3, fill=theme.amber)
        plateaus += f"M{number(left)} {number(y)}H{number(right)}"
        before = f"{number(right)} {number(y)}"
    if thin:
        yield path(thin, stroke=theme.amber)
    yield path(plateaus, stroke=theme.amber, stroke_width=2.4)


def _shares(cook: Cook, panel: _Panel, theme: Theme) -> Iterator[Markup]:
    """Alcohol as a full line in its band, water as a broken one."""
    lower = [(p.minute, p.alcohol_low_percent) for p in cook.shares]
    upper = [(p.minute, p.alcohol_high_percent) for p in cook.shares]
    yield text(0, panel.box.top - 12, "% of the pot", fill=theme.quiet)
    yield panel.drawn(theme)
    if cook.has_alcohol:
        yield path(f"{panel.line([*upper, *reversed(lower)])}Z", fill=theme.band)
        yield path(panel.line([(p.minute, p.alcohol_percent) for p in cook.shares]), stroke=theme.ink, stroke_width=1.6)
    water = panel.line([(p.minute, p.water_percent) for p in cook.shares])
    yield path(water, stroke=theme.glass_line, stroke_width=1.8, stroke_dasharray="7 3")


def _hovers(cook: Cook, panel: _Panel, foot: float) -> Iterator[Markup]:
    """What a step says under the pointer or the finger, all the way down its column."""
    for n, step in enumerate(cook.steps, 1):
        lid = "lid on" if step.covered else "lid off"
        times = f"minute {minutes_text(step.start_min)} to {minutes_text(step.end_min)}"
        box = Box(panel.time.px(step.start_min), _LID_PX, panel.time.px(step.end_min), foot)
        said = title(f"{n} {step.label}: {shown_c(step.temperature_c)} °C, {times}, {lid}")
        yield rect(box, said, fill="none", pointer_events="all")
