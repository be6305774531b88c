"""Numbers that can be asked: the number with its unit, and the working that opens beneath its line.

Written in Python and not as a template macro since a page holds about a hundred of them and is made while one types.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping

from markupsafe import Markup, escape

from kettleglass.recipe.readings import Reading, chance_text
from kettleglass.recipe.recipe import WeighingScale
from kettleglass.units import OUNCE_G, format_mass

KNOWN_WORDS = {
    "read": "read in its source", "derived": "worked out from figures that were read",
    "memory": "known from memory only, so provisional", "maker": "your own figure",
    "assumed": "assumed, since nobody stated it",
}  # fmt: skip
"""How a figure is known, in words."""
_SLUG = re.compile(r"[^a-z0-9]+")
_MARK = re.compile(r"\[\[([a-z_0-9. ]+)(?::([^\]]*))?\]\]")


def slug(text: str) -> str:
    """The text as a part of an id."""
    return _SLUG.sub("-", text.lower()).strip("-") or "x"


def work_id(reading: Reading, where: str) -> str:
    """The id of the working of a reading at a place."""
    return f"why-{where}-{slug(reading.key)}"


def figure_and_unit(reading: Reading, unit: str = "g", step_g: float | None = None) -> tuple[str, str]:
    """The number as shown, and its unit beside it; grams become pounds and ounces where the maker weighs in them."""
    if reading.key == "sure.chance" and reading.value is not None:
        return chance_text(reading.value / 100.0), reading.unit
    if reading.key.startswith("blame.") and reading.value is not None and reading.value < 1.0:
        return "< 1", reading.unit
    if unit == "lb oz" and reading.unit == "g" and reading.value is not None:
        step = step_g or (OUNCE_G / 10.0 if reading.decimals == 0 else OUNCE_G / 100.0)
        return format_mass(reading.value, step, "lb_oz"), ""
    return reading.text, reading.unit


class Asker:
    """Writes the asked numbers of one page: the maker's unit, and which workings are open (by their ids)."""

    def __init__(self, unit: str, opened: Collection[str] = ()) -> None:
        self.unit, self.opened = unit, opened

    def number(self, reading: Reading, where: str, *, unit: str | None = None, step_g: float | None = None) -> Markup:
        """The button that shows the number and opens its working."""
        text, own_unit = figure_and_unit(reading, self.unit, step_g)
        shown_unit = own_unit if unit is None else unit
        name = work_id(reading, where)
        beside = f'<span class="u">{escape(shown_unit)}</span>' if shown_unit else ""
        known = f' data-known="{reading.known}"' if reading.provisional else ""
        opened = "true" if name in self.opened else "false"
        return Markup(  # noqa: S704 - everything that is not ours is escaped
            f'<button class="n" name="do" value="open:{name}" aria-expanded="{opened}" aria-controls="{name}"'
            f'{known}>{escape(text)}{beside}</button>'
        )  # fmt: skip

    def working(self, reading: Reading, where: str) -> Markup:
        """The working, if it was asked for."""
        name = work_id(reading, where)
        if name not in self.opened:
            return Markup()
        return Markup(f'<div class="work" id="{name}">{self._inside(reading)}</div>')  # noqa: S704

    def _inside(self, reading: Reading) -> str:
        text, unit = figure_and_unit(reading, self.unit)
        shown = escape(f"{text} {unit}".strip())
        parts = [f"<p><b>Why {shown}?</b> {escape(reading.working)}</p>"]
        if reading.band_text:
            parts.append(f"<p>{escape(reading.band_says)}: {escape(reading.band_text)}.</p>")
        if reading.inputs:
            rows = "".join(f"<tr><th>{escape(a)}</th><td>{escape(b)}</td></tr>" for a, b in reading.inputs)
            parts.append(f"<table><tbody>{rows}</tbody></table>")
        sources = f"{'; '.join(reading.sources)}. " if reading.sources else ""
        known = KNOWN_WORDS.get(reading.known, reading.known)
        parts.append(f'<p class="sources">{escape(sources)}{escape(known[:1].upper() + known[1:])}.</p>')
        return "".join(parts)

    def sentence(self, text: str, readings: Mapping[str, Reading], where: str) -> Markup:
        """A sentence in which ``[[key]]`` becomes that reading as an asked number."""

        def numbered(match: re.Match[str]) -> str:
            reading = readings.get(match[1])
            return "–" if reading is None else str(self.number(reading, where, unit=match[2]))

        pieces, place = [], 0
        for match in _MARK.finditer(text):
            pieces += [str(escape(text[place : match.start()])), numbered(match)]
            place = match.end()
        return Markup("".join([*pieces, str(escape(text[place:]))]))  # noqa: S704

    def workings(self, text: str, readings: Mapping[str, Reading], where: str) -> Markup:
        """The workings of the numbers in a sentence, to stand beneath it."""
        keys = dict.fromkeys(match[1] for match in _MARK.finditer(text))
        return Markup("").join(self.working(readings[key], where) for key in keys if key in readings)


def plain(text: str, readings: Mapping[str, Reading], scale: WeighingScale) -> str:
    """A sentence with its numbers as plain text, for paper and for reading aloud."""

    def said(match: re.Match[str]) -> str:
        reading = readings.get(match[1])
        if reading is None:
            return "–"
        number, unit = figure_and_unit(reading, scale.unit)
        return f"{number} {unit if match[2] is None else match[2]}".strip()

    return _MARK.sub(said, text)
