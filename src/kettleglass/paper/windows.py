"""Published windows: where clear bases have stood, and where this pot stands in each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, get_args

from kettleglass.errors import BadInput, UnknownName
from kettleglass.paper.box import Box
from kettleglass.paper.drawing import Drawing, Table
from kettleglass.paper.letters import shortened, text_width_px
from kettleglass.paper.scale import Axis, axis
from kettleglass.paper.svg import Markup, circle, document, finite, join, line, path, rect, text, title
from kettleglass.paper.theme import SCREEN, Theme

Verdict = Literal["inside", "edge", "outside", "unknown"]
VERDICTS: tuple[Verdict, ...] = get_args(Verdict)
Span = tuple[float | None, float | None]
"""Low and high end of a window; an end that is None is open, at least one is given."""

_NAME = "Published windows"
_ROW_PX = 38.0
_WORDS: dict[Verdict, str] = {"inside": "inside", "edge": "edge", "outside": "outside", "unknown": "not known"}


@dataclass(frozen=True, slots=True)
class Window:
    """One published window and this pot's value in it; `later` is a second source's window, drawn in grey.

    `value` None means that it cannot be said; then the verdict is “unknown”.
    """

    name: str
    value: float | None
    span: Span
    verdict: Verdict
    unit: str = ""
    decimals: int = 1
    later: Span | None = None

    def __post_init__(self) -> None:
        for value in (*self.ends, *(() if self.value is None else (self.value,))):
            finite(f"window {self.name}", value)
        if self.verdict not in VERDICTS:
            raise UnknownName("verdict", self.verdict, VERDICTS)
        for low, high in (self.span, *((self.later,) if self.later else ())):
            if (low is None and high is None) or (low is not None and high is not None and low > high):
                raise BadInput(f"The window of {self.name} has no beginning before its end.",
                               remedy="Give the lower end first, and at least one end.")  # fmt: skip

    @property
    def ends(self) -> tuple[float, ...]:
        """All ends that are given, of both windows."""
        return tuple(end for end in (*self.span, *(self.later or ())) if end is not None)

    @property
    def value_text(self) -> str:
        """The value as shown with its unit, or a dash."""
        return "–" if self.value is None else f"{_shown(self.value, self.decimals)} {self.unit}".strip()

    @property
    def span_text(self) -> str:
        """The window as shown, without its unit."""
        return _span_text(self.span, self.decimals)


def _span_text(span: Span, decimals: int) -> str:
    whole = all(end is None or end == round(end) for end in span)
    low, high = (None if end is None else _shown(end, 0 if whole else decimals) for end in span)
    if low is None:
        return f"up to {high}"
    return f"from {low}" if high is None else f"{low}–{high}"


def verdict_word(verdict: Verdict) -> str:
    """The word that always stands beside the dot."""
    return _WORDS[verdict]


def window_scale(window: Window, *, key: str, width_px: float = 150.0, theme: Theme = SCREEN) -> Markup:
    """The scale of one window alone, 30 px high: for a row whose words and figures stand in the page."""
    scale = _scale(window, 6.0, width_px - 6.0)
    said = _said(window)
    return document(
        key, (width_px, 30), [_instrument(window, scale, 16.0, theme)], theme, name=window.name, spoken=said
    )


def verdict_dot(verdict: Verdict, *, theme: Theme = SCREEN) -> Markup:
    """The dot alone: full inside, half at the edge, empty outside, a stroke when not known. The word goes with it."""
    return Markup(
        '<svg class="dot" viewBox="0 0 10 10" width="10" height="10" aria-hidden="true">'
        f"{_dot(verdict, 5, 5, theme)}</svg>"
    )


def window_rows(
    windows: Sequence[Window], *, key: str = "windows", width_px: float = 560.0, theme: Theme = SCREEN
) -> Drawing:  # fmt: skip
    """All windows as one figure: name, scale, value, window, verdict; below 480 px the name stands over its scale."""
    columns = _columns(windows, width_px)
    row_px = _ROW_PX + (18.0 if columns.stacked else 0.0)
    said = _summary(windows)
    rows = [_row(window, n * row_px, columns, theme) for n, window in enumerate(windows)]
    picture = document(key, (width_px, max(len(windows) * row_px, 1.0)), rows, theme, name=_NAME, spoken=said)
    return Drawing(picture, said, _table(windows))


@dataclass(frozen=True, slots=True)
class _Columns:
    """Widths of names, values, windows and verdicts, and of the whole, in px."""

    name: float
    value: float
    span: float
    word: float
    whole: float

    @property
    def stacked(self) -> bool:
        return self.whole < 480

    @property
    def dot(self) -> float:
        return self.whole - self.word - 10

    @property
    def span_end(self) -> float:
        return self.dot - 14

    @property
    def value_end(self) -> float:
        return self.span_end - self.span - 12


def _columns(windows: Sequence[Window], width_px: float) -> _Columns:
    """Widths for the longest of each, but at most a third, a fifth and a quarter of the whole."""
    name = max((text_width_px(w.name, bold=True) for w in windows), default=0.0)
    value = max((text_width_px(w.value_text, bold=True) for w in windows), default=0.0)
    span = max((text_width_px(w.span_text) for w in windows), default=0.0)
    word = max((text_width_px(_WORDS[w.verdict], bold=True) for w in windows), default=0.0)
    return _Columns(min(name, width_px / 3), min(value, width_px / 5), min(span, width_px / 4), word, width_px)


def _row(window: Window, top: float, columns: _Columns, theme: Theme) -> Markup:
    """One window; where rows are stacked the name stands over its scale."""
    foot = top + (38.0 if columns.stacked else 22.0)
    start = 0.0 if columns.stacked else columns.name + 16
    scale = _scale(window, start + 5, max(columns.value_end - columns.value - 16, start + 30))
    name = shortened(window.name, columns.whole if columns.stacked else columns.name + 1, bold=True)
    value = shortened(window.value_text, columns.value + 1, bold=True)
    return join((
        text(0, top + 14 if columns.stacked else foot, name, fill=theme.ink, weight=600),
        _instrument(window, scale, foot - 2, theme),
        text(columns.value_end, foot, value, fill=theme.amber, anchor="end", weight=600),
        text(columns.span_end, foot, shortened(window.span_text, columns.span + 1), fill=theme.quiet, anchor="end"),
        _dot(window.verdict, columns.dot, foot - 4, theme),
        text(columns.dot + 10, foot, _WORDS[window.verdict], fill=theme.ink,
             weight=400 if window.verdict == "inside" else 600),
    ))  # fmt: skip


def _scale(window: Window, start_px: float, end_px: float) -> Axis:
    """From well below to well above the window, the value always on it; never below 0 for what cannot be."""
    shown = [*window.ends, *([] if window.value is None else [window.value])]
    low, high = min(shown), max(shown)
    room = max((max(window.ends) - min(window.ends)) * 0.7, (high - low) * 0.15, abs(high) * 0.05)
    floor = 0.0 if low >= 0 else low - room
    return axis(max(low - room, floor), high + room, start_px=start_px, end_px=end_px)


def _instrument(window: Window, scale: Axis, y: float, theme: Theme) -> Markup:
    """The lying scale with the window as a black bar under the line, a later one in grey beneath, and the needle."""
    parts = [_bar(scale, window.span, y + 3, theme.ink, window.span_text)]
    if window.later:
        parts.append(_bar(scale, window.later, y + 8, theme.tick, _span_text(window.later, window.decimals)))
    parts.append(scale.across(y, theme, upward=True))
    if window.value is not None:
        parts.append(_needle(scale.held_px(window.value), y, theme, window))
    return join(parts)


@lru_cache(maxsize=256)
def _bar(scale: Axis, ends: Span, y: float, colour: str, words: str) -> Markup:
    left = scale.start_px if ends[0] is None else scale.held_px(ends[0])
    right = scale.end_px if ends[1] is None else scale.held_px(ends[1])
    return rect(Box(left, y, max(right, left + 2.0), y + 3), title(f"published {words}"), fill=colour)


def _needle(x: float, y: float, theme: Theme, window: Window) -> Markup:
    said = title(f"this pot {window.value_text}")
    return join((
        line(x, y - 13, x, y + 1, stroke=theme.amber, stroke_width=2),
        path(f"M{x - 4.5:.1f} {y - 15:.1f}h9l-4.5 7z", said, fill=theme.amber),
    ))  # fmt: skip


def _dot(verdict: Verdict, x: float, y: float, theme: Theme) -> Markup:
    if verdict == "inside":
        return circle(x, y, 4, fill=theme.ink)
    if verdict == "unknown":
        return line(x - 4, y, x + 4, y, stroke=theme.quiet, stroke_width=1.4)
    ring = circle(x, y, 3.6, fill="none", stroke=theme.ink, stroke_width=1.4)
    if verdict == "outside":
        return ring
    return join((ring, path(f"M{x:.1f} {y - 3.6:.1f}a3.6 3.6 0 0 0 0 7.2z", fill=theme.ink)))


def _shown(value: float, decimals: int) -> str:
    shown = f"{value:.{decimals}f}" if abs(value) < 1e7 else f"{value:.3g}"
    return (shown.lstrip("-") if float(shown) == 0 else shown).replace("-", "\N{MINUS SIGN}")


def _said(window: Window) -> str:
    beside = f" A second source: {_span_text(window.later, window.decimals)}." if window.later else ""
    return f"{window.name} {window.value_text}, published {window.span_text}: {_WORDS[window.verdict]}.{beside}"


def _summary(windows: Sequence[Window]) -> str:
    """Each window with its verdict, in the order drawn: no count, which would read as a score."""
    if not windows:
        return "No published window applies."
    return "; ".join(f"{w.name} {_WORDS[w.verdict]}" for w in windows) + "."


def _table(windows: Sequence[Window]) -> Table:
    rows = tuple(
        (w.name, w.value_text, w.span_text, _span_text(w.later, w.decimals) if w.later else "", _WORDS[w.verdict])
        for w in windows
    )
    return Table(_NAME, ("What", "This pot", "Published", "Second source", "Verdict"), rows)
