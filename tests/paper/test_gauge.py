"""The boiling gauge: true places, the margin in kelvin, and what boils while held known without any colour."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from drawn import assert_sound, fills, numbers, size, titles, tree, words
from hypothesis import given
from hypothesis import strategies as st

from kettleglass.errors import BadInput
from kettleglass.paper.boiling import Boils, Held, degrees, hold_text
from kettleglass.paper.gauge import boiling_gauge
from kettleglass.paper.theme import PRINT, SCREEN

POT, PREMIX = Boils("this pot", 85, 86, 89), Boils("spirit with glycerol", 79.4, 81, 82)
HOLD = (77.0, 82.0)
TEMPERATURES = st.floats(-50, 300)
LABELS = st.text(max_size=30)


def rising(count: int) -> st.SearchStrategy[tuple[float, ...]]:
    return st.lists(TEMPERATURES, min_size=count, max_size=count).map(lambda found: tuple(sorted(found)))


LIQUIDS = st.builds(lambda label, ends: Boils(label, *ends), LABELS, rising(3))


def shown(svg: str) -> set[str]:
    return {word.text for word in words(svg)}


def hatched(svg: str, colour: str) -> list[str]:
    """The hatches in a colour, each as its path; a hatch has many lines, a mark has few."""
    found = (one.get("d", "") for one in tree(svg).iter() if one.get("stroke") == colour)
    return [d for d in found if d.count("M") == d.count("L") > 1]


def test_it_says_what_is_left_to_boiling_and_how_far_above_the_flash_point() -> None:
    drawing = boiling_gauge(POT, PREMIX, HOLD, 26)
    assert_sound(drawing, key="gauge")
    assert {"4 °C to boiling (3 to 7)", "this pot boils at 86 °C (85 to 89)", "flash point 26 °C", "hold 77 to 82 °C",
            "held 51 to 56 °C warmer than its flash point"} <= shown(drawing.svg)  # fmt: skip
    assert drawing.summary == (
        "This pot boils at 86 °C (85 to 89); hold 77 to 82 °C: 4 °C to boiling (3 to 7); spirit with glycerol boils at "
        "81 °C (79 to 82), in the hold range; flash point 26 °C, held 51 to 56 °C warmer than its flash point."
    )
    assert drawing.table.rows == (
        ("Hold range, °C", "77", "", "82"), ("this pot boils, °C", "85", "86", "89"),
        ("spirit with glycerol boils, °C", "79", "81", "82"),
        ("From the top of the hold to boiling, °C", "3", "4", "7"), ("Flash point, °C", "", "26", ""),
    )  # fmt: skip


@pytest.mark.parametrize("width", [340, 372, 450, 560])
def test_bands_stand_where_they_belong_on_the_scale(width: float) -> None:
    drawing = boiling_gauge(POT, PREMIX, HOLD, None, width_px=width, theme=PRINT)
    per_k = width / 30
    for colour, low, high in ((PRINT.band, 85, 89), (PRINT.alcohol, 79.4, 82), (PRINT.other, 77, 82)):
        [found] = fills(drawing.svg, colour)
        assert float(found.attrib["x"]) == pytest.approx((low - 65) * per_k, abs=0.06)
        assert float(found.attrib["width"]) == pytest.approx((high - low) * per_k, abs=0.11)


def test_one_division_is_one_degree() -> None:
    """So that the degrees that are left can be counted off."""
    scale = next(d for d in (one.get("d", "") for one in tree(boiling_gauge(POT, None, HOLD, None).svg).iter())
                 if d.count("v") > 20)  # fmt: skip
    assert scale.count("v") == 95 - 65 + 1


@pytest.mark.parametrize(("ends", "state", "said"), [
    ((83.0, 84.0, 85.0), "clear", "2 °C to boiling (1 to 3)"),
    ((82.4, 83.0, 84.0), "clear", "1 °C to boiling (less than 1 to 2)"),
    ((82.0, 84.0, 85.0), "may", "may boil while held: 2 °C left"),
    ((81.0, 82.3, 83.0), "may", "may boil while held: less than 1 °C left"),
    ((80.0, 82.0, 84.0), "boils", "boils while held"),
    ((70.0, 72.0, 74.0), "boils", "boils while held, 10 °C too warm"),
])  # fmt: skip
def test_what_boils_while_held_is_hatched_and_named(ends: tuple[float, float, float], state: str, said: str) -> None:
    """Without any colour: a hatch that is there only then, and words that are there only then."""
    drawing = boiling_gauge(Boils("this pot", *ends), None, HOLD, 26)
    assert Boils("this pot", *ends).state(HOLD[1]) == state
    assert said in shown(drawing.svg)
    assert said in drawing.summary
    assert bool(hatched(drawing.svg, SCREEN.red)) == (state != "clear")


def test_only_the_part_of_the_band_that_the_hold_reaches_is_hatched() -> None:
    drawing = boiling_gauge(Boils("this pot", 80, 83, 86), None, HOLD, None)
    [lines] = hatched(drawing.svg, SCREEN.red)
    across = numbers(lines)[::2]
    per_k = 560 / 30
    assert min(across) >= (80 - 65) * per_k - 0.1
    assert max(across) <= (82 - 65) * per_k + 0.1


@pytest.mark.parametrize(("likely", "where"), [
    (75.0, ", below the hold range"), (80.0, ", in the hold range"), (82.5, ", perhaps in the hold range"), (84.0, ""),
])  # fmt: skip
def test_a_premix_that_boils_where_it_lands_is_said(likely: float, where: str) -> None:
    premix = Boils("premix", likely - 1, likely, likely + 1)
    drawing = boiling_gauge(POT, premix, HOLD, None)
    assert f"premix boils at {premix.span_text}{where};" in drawing.summary.replace(".", ";")
    assert bool(hatched(drawing.svg, SCREEN.ink)) == bool(where)


def test_a_flash_point_far_below_stands_on_an_end_without_divisions() -> None:
    """Its place says nothing there, so the scale is cut by two strokes and the distance is said in words."""
    far, near, none = (boiling_gauge(POT, None, HOLD, flash) for flash in (26, 64, None))
    assert "l5 -10m4 0l-5 10" in far.svg
    assert "l5 -10m4 0l-5 10" not in near.svg + none.svg
    for drawing in (far, near):
        assert any(found.startswith("flash point") for found in titles(drawing.svg))
    assert not any(found.startswith("flash point") for found in titles(none.svg))
    [mark] = fills(near.svg, SCREEN.red)[:1]
    assert float(mark.attrib["x"]) + 1.25 == pytest.approx((64 - 60) / 35 * 560, abs=0.1)


@pytest.mark.parametrize(("flash", "said", "danger"), [
    (26.0, "held 51 to 56 °C warmer than its flash point", True),
    (80.0, "held 0 to 2 °C warmer than its flash point", True),
    (92.0, "held 10 °C cooler than its flash point", False),
    (82.3, "held less than 1 °C cooler than its flash point", False),
])  # fmt: skip
def test_warmer_or_cooler_than_its_flash_point(flash: float, said: str, danger: bool) -> None:
    drawing = boiling_gauge(POT, None, HOLD, flash)
    assert said in shown(drawing.svg)
    assert any(word.get("fill") == SCREEN.red for word in tree(drawing.svg).iter()) == danger


def test_one_temperature_of_the_makers_own() -> None:
    drawing = boiling_gauge(POT, PREMIX, (77.5, 77.5), 26)
    assert "hold 77.5 °C" in shown(drawing.svg)
    assert "8 °C to boiling (8 to 12)" in shown(drawing.svg)
    [column] = fills(drawing.svg, SCREEN.other)
    assert float(column.attrib["width"]) == pytest.approx(4)


@given(LIQUIDS, st.none() | LIQUIDS, rising(2), st.none() | TEMPERATURES, st.floats(340, 640))
def test_any_pot_can_be_drawn(
    pot: Boils, premix: Boils | None, hold: tuple[float, float], flash: float | None, width: float
) -> None:
    drawing = boiling_gauge(pot, premix, hold, flash, width_px=width)
    assert_sound(drawing, key="gauge")
    for found in tree(drawing.svg).iter():
        if "x" in found.attrib and "width" in found.attrib:
            assert -2.1 <= float(found.attrib["x"])
            assert float(found.attrib["x"]) + float(found.attrib["width"]) <= size(drawing.svg)[0] + 6.1


@given(rising(3), st.floats(-50, 300), st.floats(0, 100))
def test_a_warmer_hold_is_never_safer(ends: tuple[float, float, float], hold: float, more: float) -> None:
    order = ("clear", "may", "boils")
    pot = Boils("pot", *ends)
    assert order.index(pot.state(hold + more)) >= order.index(pot.state(hold))


@pytest.mark.parametrize("make", [
    lambda: Boils("pot", 86, 85, 89), lambda: Boils("pot", 85, 90, 89), lambda: Boils("pot", math.nan, 86, 89),
    lambda: Boils("pot", 85, 86, math.inf), lambda: boiling_gauge(POT, None, (82, 77), None),
    lambda: boiling_gauge(POT, None, (77, math.nan), None), lambda: boiling_gauge(POT, None, HOLD, math.inf),
    lambda: boiling_gauge(POT, None, HOLD, None, key="no key"),
])  # fmt: skip
def test_numbers_that_cannot_be_are_refused(make: Callable[[], object]) -> None:
    with pytest.raises(BadInput):
        make()


def test_names_are_text_and_never_marks() -> None:
    drawing = boiling_gauge(Boils("<b>&", 85, 86, 89), Boils('"><script>', 79, 81, 82), HOLD, None)
    assert "<b>" not in drawing.svg
    assert "<script>" not in drawing.svg
    assert_sound(drawing, key="gauge")


def test_figures_are_whole_where_reckoned_and_as_typed_where_given() -> None:
    assert [degrees(value) for value in (86.4, -0.2, -3.6)] == ["86", "0", "\N{MINUS SIGN}4"]
    assert hold_text((77.0, 82.0)) == "hold 77 to 82 °C"
    assert hold_text((79.5, 79.5)) == "hold 79.5 °C"
    assert Held(POT, None, HOLD, None).flash_text == ""
