"""The sight glass: a true scale, layers in order, and a pointer that says what stands in the pot."""

from __future__ import annotations

import math

import pytest
from drawn import assert_sound, fills, titles, tree, words
from hypothesis import given
from hypothesis import strategies as st

from kettleglass.errors import BadInput, UnknownName
from kettleglass.paper.sightglass import GRAMS, Layer, sight_glass
from kettleglass.paper.theme import FILLS, PRINT, SCREEN

DEMO = (
    Layer("Fats", 400, "soap"), Layer("Lye", 159.57, "water"), Layer("Spirit", 150, "alcohol"),
    Layer("Glycerol", 60, "glycerol"), Layer("Syrup", 165, "sugar"),
)  # fmt: skip
LAYERS = st.lists(st.builds(Layer, st.text(max_size=30), st.floats(0, 1e6), st.sampled_from(FILLS)), max_size=12)


def heights(svg: str, colour: str) -> list[float]:
    return [float(found.attrib["height"]) for found in fills(svg, colour) if "height" in found.attrib]


def test_layers_are_as_tall_as_they_are_heavy() -> None:
    drawing = sight_glass(DEMO, 934.57, theme=PRINT)
    tall = [sum(heights(drawing.svg, PRINT.fill(layer.fill))) for layer in DEMO]
    scale = tall[0] / 400
    assert tall == pytest.approx([layer.mass_g * scale for layer in DEMO], abs=0.11)


def test_it_says_what_is_in_it() -> None:
    drawing = sight_glass(DEMO, 934.57)
    assert drawing.summary == "935 g in the pot, from below: Fats 400, Lye 160, Spirit 150, Glycerol 60, Syrup 165."
    assert drawing.table.rows[-1] == ("In the pot", "935")
    assert titles(drawing.svg)[1] == "Lye 159.57 g"
    assert "935" in [word.text for word in words(drawing.svg)]


@pytest.mark.parametrize(("unit", "shown"), [("g", "935"), ("kg", "0.93"), ("oz", "33"), ("lb", "2.06")])
def test_any_unit_of_mass(unit: str, shown: str) -> None:
    """NIST Handbook 44, Appendix C: 1 lb = 453.592 37 g exactly, 1 oz = 1/16 lb."""
    drawing = sight_glass(DEMO, 934.57, unit=unit)
    assert_sound(drawing, key="glass")
    assert drawing.summary.startswith(f"{shown} {unit} in the pot")
    assert GRAMS["lb"] == pytest.approx(16 * GRAMS["oz"], rel=1e-12)


def test_a_nearly_full_kettle_shows_its_brim_and_a_roomy_one_does_not() -> None:
    assert (
        len([f for f in tree(sight_glass(DEMO, 934, capacity_g=1200).svg).iter() if f.get("stroke") == SCREEN.red]) == 1
    )
    assert SCREEN.red not in sight_glass(DEMO, 934, capacity_g=4000).svg
    assert SCREEN.red in sight_glass(DEMO, 934, capacity_g=500).svg


def test_the_narrow_one_has_no_figures() -> None:
    drawing = sight_glass(DEMO, 934, narrow=True, key="thin")
    assert words(drawing.svg) == []
    assert_sound(drawing, key="thin")


@given(LAYERS, st.floats(0, 1e6), st.booleans(), st.sampled_from(sorted(GRAMS)), st.floats(300, 900))
def test_any_pot_can_be_drawn(layers: list[Layer], pot_g: float, narrow: bool, unit: str, height: float) -> None:
    drawing = sight_glass(layers, pot_g, narrow=narrow, unit=unit, height_px=height, capacity_g=pot_g * 1.5 + 1)
    assert_sound(drawing, key="glass", slack_px=12)


def test_an_empty_pot_stands_at_nothing() -> None:
    assert sight_glass((), 0).summary == "0 g in the pot."


@pytest.mark.parametrize("mass", [-0.1, math.nan, math.inf])
def test_masses_that_cannot_be_are_refused(mass: float) -> None:
    with pytest.raises(BadInput):
        Layer("Fats", mass, "soap")
    with pytest.raises(BadInput):
        sight_glass((), mass)


def test_an_unknown_unit_is_refused_with_the_nearest() -> None:
    with pytest.raises(UnknownName, match="“kg”"):
        sight_glass(DEMO, 934, unit="kgs")
