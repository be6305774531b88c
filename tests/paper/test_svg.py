"""The writer: what it is given is escaped, what is not a number is refused, what it writes is XML."""

from __future__ import annotations

import math
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kettleglass.errors import BadInput, UnknownName
from kettleglass.paper.box import Box
from kettleglass.paper.drawing import Table
from kettleglass.paper.svg import checked_key, document, element, escaped, number, path, rect, text
from kettleglass.paper.theme import FILLS, PRINT, SCREEN


@given(st.text())
def test_any_text_comes_back_from_an_xml_reader(content: str) -> None:
    svg = document("any", (10, 10), [text(0, 10, content, fill="red")], SCREEN, name=content, spoken=content)
    read = [found.text or "" for found in ET.fromstring(svg).iter() if found.tag.endswith("}text")]
    # XML 1.0 (section 2.11) has a reader turn carriage returns into line ends.
    kept = "".join(c if c in "\t\n\r" or c >= " " else "�" for c in content)
    kept = "".join("�" if "\ud800" <= c <= "\udfff" or c in "\ufffe\uffff" else c for c in kept)
    assert read == [kept.replace("\r\n", "\n").replace("\r", "\n")]


@given(st.text())
def test_an_attribute_cannot_be_left(content: str) -> None:
    svg = element("path", d=content)
    assert set(ET.fromstring(svg).attrib) == {"d"}


def test_markup_is_named_as_safe_for_templates() -> None:
    assert path("M0 0").__html__() == '<path d="M0 0" fill="none"/>'
    assert escaped("""<b a="1">&'""") == "&lt;b a=&quot;1&quot;&gt;&amp;&#39;"


@pytest.mark.parametrize(
    ("value", "shown"), [(0, "0"), (-0.04, "0"), (1.25, "1.2"), (3.0, "3"), (-7.96, "-8"), (1e7, "10000000")]
)
def test_coordinates_are_short(value: float, shown: str) -> None:
    assert number(value) == shown


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_not_a_number_is_refused(value: float) -> None:
    with pytest.raises(BadInput, match="finite"):
        number(value)


@pytest.mark.parametrize("key", ["", "1st", "a b", 'x"onload="', "é", "-a"])
def test_a_key_that_cannot_be_an_id_is_refused(key: str) -> None:
    with pytest.raises(BadInput, match="letters, digits"):
        checked_key(key)


def test_attributes_with_underscores_are_written_with_hyphens_and_none_left_out() -> None:
    assert (
        rect(Box(0, 1, 2, 4), stroke_width=2, stroke=None)
        == '<rect x="0" y="1" width="2" height="3" stroke-width="2"/>'
    )


def test_paper_has_literal_colours_and_the_screen_only_variables() -> None:
    for name in SCREEN.__slots__:
        if name == "font":
            continue
        assert getattr(SCREEN, name).startswith("var(--")
        assert getattr(PRINT, name).startswith("#")


def test_every_fill_has_a_colour_of_its_own() -> None:
    for theme in (SCREEN, PRINT):
        assert len({theme.fill(kind) for kind in FILLS}) == len(FILLS)
    with pytest.raises(UnknownName, match="Did you mean “sugar”"):
        SCREEN.fill("suger")


def test_a_table_must_be_whole() -> None:
    with pytest.raises(BadInput, match="fault of ours"):
        Table("t", ("a", "b"), (("1",),))
