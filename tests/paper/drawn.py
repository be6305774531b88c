"""Reading a drawing back: its texts as boxes, its marks, and what must hold for every figure."""

from __future__ import annotations

import re
from dataclasses import dataclass
from html import unescape
from xml.etree import ElementTree as ET

from kettleglass.paper.box import Box
from kettleglass.paper.drawing import Drawing
from kettleglass.paper.letters import text_width_px
from kettleglass.paper.svg import escaped

SVG = "{http://www.w3.org/2000/svg}"


@dataclass(frozen=True)
class Words:
    text: str
    box: Box
    x: float


def as_read(content: str) -> str:
    """What an XML reader hands back: no characters that XML forbids, and line ends as one (XML 1.0, section 2.11)."""
    return unescape(escaped(content)).replace("\r\n", "\n").replace("\r", "\n")


def tree(svg: str) -> ET.Element:
    return ET.fromstring(svg)


def size(svg: str) -> tuple[float, float]:
    root = tree(svg)
    return float(root.attrib["width"]), float(root.attrib["height"])


def words(svg: str) -> list[Words]:
    return [_words(found) for found in tree(svg).iter(f"{SVG}text")]


def _words(found: ET.Element) -> Words:
    content = found.text or ""
    width = text_width_px(content, bold=int(found.get("font-weight", "400")) > 500)
    x, y = float(found.attrib["x"]), float(found.attrib["y"])
    left = {"start": x, "middle": x - width / 2, "end": x - width}[found.get("text-anchor", "start")]
    return Words(content, Box(left, y - 9, left + width, y + 3), x)


def titles(svg: str) -> list[str]:
    root = tree(svg)
    return [found.text or "" for found in root.iter(f"{SVG}title")][1:]


def fills(svg: str, colour: str) -> list[ET.Element]:
    return [found for found in tree(svg).iter() if found.get("fill") == colour]


def numbers(d: str) -> list[float]:
    return [float(found) for found in re.findall(r"-?\d+(?:\.\d+)?", d)]


def assert_sound(drawing: Drawing, *, key: str, slack_px: float = 1.5) -> None:
    """Well-formed, named, spoken, tabled; no text over another or beyond the figure; no id that is not its own."""
    root = tree(drawing.svg)
    width, height = size(drawing.svg)
    assert root.get("role") == "img"
    ids = [found.attrib["id"] for found in root.iter() if "id" in found.attrib]
    assert ids == [f"{key}-name", f"{key}-said"]
    assert root.attrib["aria-labelledby"].split() == ids
    assert root.findtext(f"{SVG}desc") == as_read(drawing.summary)
    assert drawing.summary.endswith(".")
    assert all(len(row) == len(drawing.table.headers) for row in drawing.table.rows)
    shown = [word for word in words(drawing.svg) if word.text]
    for word in shown:
        assert word.box.left >= -slack_px, word
        assert word.box.right <= width + slack_px, word
        assert 0 <= word.box.top, word
        assert word.box.bottom <= height + 1, word
    for n, one in enumerate(shown):
        for other in shown[n + 1 :]:
            assert not one.box.touches(other.box, -0.5), (one, other)
