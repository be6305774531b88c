"""Shares of the doubt: who is to blame, as short bars."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from kettleglass.errors import BadInput
from kettleglass.paper.box import Box
from kettleglass.paper.drawing import Drawing, Table
from kettleglass.paper.letters import shortened, text_width_px
from kettleglass.paper.svg import Markup, document, finite, join, rect, text
from kettleglass.paper.theme import SCREEN, Theme

_ROW_PX = 24.0


@dataclass(frozen=True, slots=True)
class Share:
    """One cause and its share of the whole doubt (0-1)."""

    name: str
    fraction: float

    def __post_init__(self) -> None:
        if not 0 <= finite(f"share of {self.name}", self.fraction) <= 1:
            raise BadInput(f"{self.name} has a share of {self.fraction:g}.", why="A share lies between 0 and 1.",
                           remedy="Give a fraction, not per cent.")  # fmt: skip


def shares_of_doubt(
    shares: Sequence[Share], *, key: str = "shares", width_px: float = 560.0, theme: Theme = SCREEN
) -> Drawing:  # fmt: skip
    """One row a cause, in the order given: name, per cent, and a bar in true proportion (the full width is 100 %)."""
    figures = max((text_width_px(_percent(share), bold=True) for share in shares), default=0.0)
    names = max((text_width_px(share.name) for share in shares), default=0.0)
    name_px = min(names + 4, width_px * 0.55)
    columns = (name_px, name_px + 12 + figures, width_px)
    rows = [_row(share, n * _ROW_PX, columns, theme) for n, share in enumerate(shares)]
    said = _summary(shares)
    height = max(len(shares) * _ROW_PX, 1.0)
    return Drawing(
        document(key, (width_px, height), rows, theme, name="What is to blame", spoken=said), said, _table(shares)
    )


def share_bar(share: Share, *, key: str, width_px: float = 160.0, theme: Theme = SCREEN) -> Markup:
    """The bar of one cause alone, 8 px high: for a row whose words and figures stand in the page."""
    return document(
        key, (width_px, 8), [_bar(share, 0.0, 1.0, width_px, theme)], theme, name=share.name, spoken=_percent(share)
    )


def _row(share: Share, top: float, columns: tuple[float, float, float], theme: Theme) -> Markup:
    """One cause; `columns` are the right ends of names, figures and bars."""
    name_px, figure_px, width_px = columns
    bar_left = figure_px + 14
    return join((
        text(0, top + 16, shortened(share.name, name_px), fill=theme.ink),
        text(figure_px, top + 16, _percent(share), fill=theme.ink, anchor="end", weight=600),
        _bar(share, bar_left, top + 9, max(width_px - bar_left, 10.0), theme),
    ))  # fmt: skip


def _bar(share: Share, left: float, top: float, room: float, theme: Theme) -> Markup:
    """The bar on a hairline that shows how long 100 % would be."""
    long = max(share.fraction * room, 1.0 if share.fraction > 0 else 0.0)
    return join((
        rect(Box(left, top + 2.5, left + room, top + 3.5), fill=theme.hair),
        rect(Box(left, top, left + long, top + 6), fill=theme.ink),
    ))  # fmt: skip


def _percent(share: Share) -> str:
    rounded = round(share.fraction * 100)
    return "under 1 %" if rounded == 0 and share.fraction > 0 else f"{rounded} %"


def _summary(shares: Sequence[Share]) -> str:
    if not shares:
        return "Nothing is in doubt."
    return "Of the doubt " + ", ".join(f"{share.name} {_percent(share)}" for share in shares) + "."


def _table(shares: Sequence[Share]) -> Table:
    return Table("What is to blame", ("Cause", "Share of the doubt"), tuple((s.name, _percent(s)) for s in shares))
