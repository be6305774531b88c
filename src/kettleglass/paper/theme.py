"""Colours of a figure: as variables of the page's style sheet on screen, as literal colours on paper."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

from kettleglass.errors import UnknownName

Fill = Literal["soap", "sugar", "glycerol", "alcohol", "water", "salt", "other"]
FILLS: tuple[Fill, ...] = get_args(Fill)
"""What a layer or a part is made of; each has its own fill, alcohol, water and salt a hatch as well."""


@dataclass(frozen=True, slots=True)
class Theme:
    """One colour for each thing a figure draws; `font` is set on paper, where no style sheet gives it."""

    ink: str
    quiet: str
    hair: str
    tick: str
    face: str
    amber: str
    band: str
    red: str
    red_fill: str
    glass_line: str
    soap: str
    sugar: str
    glycerol: str
    alcohol: str
    water: str
    salt: str
    other: str
    font: str = ""

    def fill(self, kind: Fill) -> str:
        """The colour that stands for a kind of substance; raises `UnknownName` for one that has none."""
        if kind not in FILLS:
            raise UnknownName("fill", kind, FILLS)
        colour: str = getattr(self, kind)
        return colour


SCREEN = Theme(
    ink="var(--ink)", quiet="var(--quiet)", hair="var(--hair)", tick="var(--tick)", face="var(--face)",
    amber="var(--amber)", band="var(--band)", red="var(--red)", red_fill="var(--red-fill)",
    glass_line="var(--glass-line)", soap="var(--soap)", sugar="var(--sugar)", glycerol="var(--glycerol)",
    alcohol="var(--alcohol)", water="var(--water)", salt="var(--salt)", other="var(--other)",
)  # fmt: skip
"""Follows light and dark by itself: every colour is a variable of the page."""

PRINT = Theme(
    ink="#1d1f1a", quiet="#4e5147", hair="#c9ccc1", tick="#74786c", face="#ffffff",
    amber="#8a4f00", band="#f3dfb2", red="#9c2418", red_fill="#c2513f",
    glass_line="#5f7673", soap="#dd9d3d", sugar="#ecc67f", glycerol="#f5e4ba",
    alcohol="#faf6e8", water="#e4eeec", salt="#d9d6cf", other="#ebebe6", font="Inter",
)  # fmt: skip
"""For paper: a program that sets type paints a variable black, without saying so."""
