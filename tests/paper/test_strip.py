"""The strip: true shares, names that never lie upon each other, alcohol and water known by a hatch."""

from __future__ import annotations

import math

import pytest
from drawn import assert_sound, fills, words
from hypothesis import given
from hypothesis import strategies as st

from kettleglass.errors import BadInput
from kettleglass.paper.strip import Part, composition_strip
from kettleglass.paper.theme import FILLS, PRINT, SCREEN

DEMO = (
    Part("Soap", 421.7, "soap"), Part("Sugar", 110, "sugar"), Part("Glycerol", 93.8, "glycerol"),
    Part("Ethanol", 138.6, "alcohol"), Part("Water", 169.7, "water"), Part("Free fat", 0.4, "other"),
)  # fmt: skip
PARTS = st.lists(
    st.builds(Part, st.text(min_size=1, max_size=24), st.floats(0, 1e6), st.sampled_from(FILLS)), max_size=14
)


@pytest.mark.parametrize("width", [340, 372, 450, 560])
def test_parts_are_as_wide_as_their_shares(width: float) -> None:
    drawing = composition_strip(DEMO, width_px=width, theme=PRINT)
    total = sum(part.mass_g for part in DEMO)
    for part in DEMO[:5]:
        [shown] = fills(drawing.svg, PRINT.fill(part.fill))
        assert float(shown.attrib["width"]) == pytest.approx(part.mass_g / total * width, abs=0.06)


def test_names_stand_over_their_parts_and_traces_are_in_the_table_only() -> None:
    drawing = composition_strip(DEMO)
    named = [word.text for word in words(drawing.svg)]
    assert named[:5] == ["Soap", "Sugar", "Glycerol", "Ethanol", "Water"]
    assert "Free fat" not in named
    assert drawing.table.rows[5] == ("Free fat", "0.4", "0.0")
    assert drawing.summary == "934 g: Soap 45.1 %, Water 18.2 %, Ethanol 14.8 %, Sugar 11.8 %, Glycerol 10.0 %."


def test_on_paper_the_names_carry_their_shares() -> None:
    named = [word.text for word in words(composition_strip(DEMO, with_shares=True, theme=PRINT).svg)]
    assert "Soap 45.1 %" in named


def test_alcohol_and_water_have_a_hatch_and_soap_has_none() -> None:
    def hatches(part: Part) -> int:
        return composition_strip([part], theme=PRINT).svg.count('stroke-opacity=".6"')

    assert [hatches(Part("x", 1, kind)) for kind in ("alcohol", "water", "salt")] == [1, 1, 1]
    assert [hatches(Part("x", 1, kind)) for kind in ("soap", "sugar", "glycerol", "other")] == [0] * 4


@given(PARTS, st.floats(340, 560), st.booleans())
def test_any_pot_can_be_drawn_without_names_in_each_others_way(
    parts: list[Part], width: float, with_shares: bool
) -> None:
    assert_sound(composition_strip(parts, width_px=width, with_shares=with_shares), key="strip")


@given(st.integers(1, 14), st.floats(340, 560))
def test_equal_parts(count: int, width: float) -> None:
    drawing = composition_strip([Part(f"Part number {n}", 1.0, "other") for n in range(count)], width_px=width)
    assert_sound(drawing, key="strip")


@pytest.mark.parametrize("parts", [(), (Part("Soap", 0, "soap"),)])
def test_an_empty_pot_is_an_empty_strip(parts: tuple[Part, ...]) -> None:
    drawing = composition_strip(parts)
    assert_sound(drawing, key="strip")
    assert drawing.summary == "The pot is still empty."


def test_one_part_fills_it() -> None:
    drawing = composition_strip([Part("Water", 1e-9, "water")])
    [shown] = fills(drawing.svg, SCREEN.water)
    assert shown.attrib["width"] == "560"


@pytest.mark.parametrize("mass", [-1, math.nan, math.inf])
def test_masses_that_cannot_be_are_refused(mass: float) -> None:
    with pytest.raises(BadInput):
        Part("Soap", mass, "soap")
