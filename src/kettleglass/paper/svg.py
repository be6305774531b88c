"""A small writer of SVG: elements that escape what they are given, and numbers that stay short."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from typing import Literal

from kettleglass.errors import BadInput
from kettleglass.paper.box import Box
from kettleglass.paper.theme import Theme

Anchor = Literal["start", "middle", "end"]

TEXT_PX = 12.0
_KEY = re.compile(r"[A-Za-z][A-Za-z0-9_-]*")
_NOT_IN_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_ENTITIES = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "'": "&#39;"})


class Markup(str):
    """Text that is already safe to stand in a page; templates that escape know it by `__html__`."""

    __slots__ = ()

    def __html__(self) -> str:
        return self


def escaped(text: str) -> str:
    """The text with the five special characters written out; characters that XML forbids become �."""
    return _NOT_IN_XML.sub("\N{REPLACEMENT CHARACTER}", text).translate(_ENTITIES)


def finite(name: str, value: float) -> float:
    """The value itself; raises `BadInput` when it is not a number or endless."""
    if not math.isfinite(value):
        raise BadInput(f"The {name} of a figure is {value}.", why="Only a finite number can be drawn.",
                       remedy="Leave this one out, or say that it is not known.")  # fmt: skip
    return value


def number(value: float) -> str:
    """A coordinate with at most one decimal; raises `BadInput` when it is not finite."""
    if not math.isfinite(value):
        finite("coordinate", value)
    short = f"{value:.1f}".removesuffix(".0")
    return "0" if short == "-0" else short


def element(name: str, *children: Markup, **attributes: str | float | None) -> Markup:
    """One element; an underscore in an attribute's name is written as a hyphen, None is left out."""
    written = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{escaped(value) if isinstance(value, str) else number(value)}"'
        for key, value in attributes.items()
        if value is not None
    )
    return Markup(f"<{name}{written}>{''.join(children)}</{name}>" if children else f"<{name}{written}/>")


def title(text: str) -> Markup:
    """What a mark says under the pointer or the finger."""
    return Markup(f"<title>{escaped(text)}</title>")


def path(d: str, *children: Markup, **attributes: str | float | None) -> Markup:
    """A path, not filled unless `fill` is given."""
    return element("path", *children, d=d, **{"fill": "none", **attributes})


def rect(box: Box, *children: Markup, **attributes: str | float | None) -> Markup:
    """A rectangle."""
    return element("rect", *children, x=box.left, y=box.top, width=box.width, height=box.height, **attributes)


def line(x1: float, y1: float, x2: float, y2: float, **attributes: str | float | None) -> Markup:
    """A straight line."""
    return path(f"M{number(x1)} {number(y1)}L{number(x2)} {number(y2)}", **attributes)


def circle(x: float, y: float, radius: float, *children: Markup, **attributes: str | float | None) -> Markup:
    """A circle about a point."""
    return element("circle", *children, cx=x, cy=y, r=radius, **attributes)


def text(x: float, y: float, content: str, *, fill: str, anchor: Anchor = "start", weight: int = 400) -> Markup:
    """A line of text with its foot at y."""
    return Markup(
        f'<text x="{number(x)}" y="{number(y)}" fill="{fill}"'
        + (f' text-anchor="{anchor}"' if anchor != "start" else "")
        + (f' font-weight="{weight}"' if weight != 400 else "")
        + f">{escaped(content)}</text>"
    )


def join(parts: Iterable[Markup]) -> Markup:
    """Several pieces as one."""
    return Markup("".join(parts))


def group(parts: Iterable[Markup], **attributes: str | float | None) -> Markup:
    """Several pieces in one group."""
    return element("g", *parts, **attributes)


def checked_key(key: str) -> str:
    """The key from which the ids of a figure are made; raises `BadInput` when no id can be made of it."""
    if not _KEY.fullmatch(key):
        raise BadInput(f"“{key}” cannot name a figure.", why="Its ids are made from the name.",
                       remedy="Use letters, digits, - and _, and begin with a letter.")  # fmt: skip
    return key


def document(
    key: str, size: tuple[float, float], parts: Iterable[Markup], theme: Theme, *, name: str, spoken: str
) -> Markup:
    """A whole figure of `size` (width, height in px) with its name and spoken summary for screen readers.

    `key` must differ for each figure on a page: the ids `key-name` and `key-said` are made from it.
    Raises `BadInput` when the key cannot be part of an id.
    """
    checked_key(key)
    width, height = number(size[0]), number(size[1])
    family = f' font-family="{theme.font}"' if theme.font else ""
    return Markup(
        f'<svg xmlns="http://www.w3.org/2000/svg" class="g" viewBox="0 0 {width} {height}" width="{width}"'
        f' height="{height}" role="img" aria-labelledby="{key}-name {key}-said" font-size="{number(TEXT_PX)}"{family}>'
        f'<title id="{key}-name">{escaped(name)}</title><desc id="{key}-said">{escaped(spoken)}</desc>'
        f"{''.join(parts)}</svg>"
    )
