"""The scale: round figures with room between them, divisions of three lengths, never a crash."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from drawn import words
from hypothesis import given
from hypothesis import strategies as st

from kettleglass.errors import BadInput
from kettleglass.paper.letters import shortened, text_width_px
from kettleglass.paper.scale import MAJOR_PX, MIDDLE_PX, MINOR_PX, axis, tick_text, whole_top
from kettleglass.paper.svg import document
from kettleglass.paper.theme import SCREEN

ENDS = st.floats(-1e9, 1e9, allow_nan=False)


@given(ENDS, ENDS, st.floats(60, 900), st.booleans(), st.booleans())
def test_any_two_ends_make_a_scale_whose_figures_do_not_touch(
    a: float, b: float, width: float, signed: bool, rounded: bool
) -> None:
    scale = axis(a, b, start_px=0, end_px=width, signed=signed, rounded=rounded)
    drawn = [scale.across(10, SCREEN), scale.figures_across(30, SCREEN, signed=signed)]
    boxes = [word.box for word in words(document("x", (width, 40), drawn, SCREEN, name="x", spoken="x"))]
    for one, other in pairwise(boxes):
        assert one.right <= other.left
    slack = (scale.high - scale.low) * 1e-6
    assert scale.low <= min(a, b) + slack
    assert scale.high >= max(a, b) - slack
    assert len(list(scale.divisions())) <= width / 3 + 3


@given(st.floats(-1e6, 1e6), st.floats(1e-6, 1e6), st.floats(100, 600))
def test_majors_are_one_two_or_five_times_a_power_of_ten(low: float, reach: float, width: float) -> None:
    scale = axis(low, low + reach, start_px=0, end_px=width)
    mantissa = scale.major / 10 ** math.floor(math.log10(scale.major) + 1e-9)
    assert min(abs(mantissa - nice) for nice in (1, 2, 5)) < 1e-6
    for value in scale.majors():
        assert abs(value / scale.major - round(value / scale.major)) < 1e-6


def test_three_lengths_stand_in_a_fixed_rhythm() -> None:
    scale = axis(0, 100, start_px=0, end_px=560, rounded=False)
    lengths = [length for _, length in scale.divisions()]
    assert lengths[:11] == [MAJOR_PX, *[MINOR_PX] * 4, MIDDLE_PX, *[MINOR_PX] * 4, MAJOR_PX]
    assert scale.majors() == pytest.approx([10 * n for n in range(11)])
    assert scale.px(0) == 0
    assert scale.px(25) == 140


def test_an_upright_scale_runs_from_its_foot() -> None:
    scale = axis(0, 1000, start_px=700, end_px=20, upright=True, rounded=False)
    assert scale.px(0) == 700
    assert scale.px(1000) == 20
    assert 360 == scale.px(500)


def test_a_value_beyond_the_scale_is_held_at_its_end() -> None:
    scale = axis(0, 10, start_px=0, end_px=100, rounded=False)
    assert (scale.held_px(-5), scale.held_px(99), scale.px(20)) == (0, 100, 200)


@pytest.mark.parametrize(("value", "step", "signed", "shown"), [
    (0.1, 0.1, True, "+0.1"), (-0.2, 0.1, True, "\N{MINUS SIGN}0.2"), (0.0, 0.1, True, "0"), (-1e-17, 0.1, False, "0"),
    (1000, 100, False, "1000"), (0.25, 0.05, False, "0.25"), (2.5e9, 5e8, False, "2.5e+09"),
])  # fmt: skip
def test_figures_have_the_decimals_of_their_step(value: float, step: float, signed: bool, shown: str) -> None:
    assert tick_text(value, step, signed=signed) == shown


@pytest.mark.parametrize("ends", [(math.nan, 1), (0, math.inf), (-1.7e308, 1.7e308)])
def test_ends_that_are_none_are_refused(ends: tuple[float, float]) -> None:
    with pytest.raises(BadInput):
        axis(*ends, start_px=0, end_px=100)


@given(st.floats(1e-6, 1e9))
def test_the_top_is_round_and_not_far_above(value: float) -> None:
    top = whole_top(value)
    assert value * (1 - 1e-9) <= top <= value * 1.4


def test_the_top_of_nothing_is_one() -> None:
    assert whole_top(0) == 1
    with pytest.raises(BadInput):
        whole_top(math.nan)


@pytest.mark.parametrize(("content", "measured_px", "bold"), [
    ("no free alkali to speak of", 140.0, False), ("9 in 10 pots: −0.16 to +0.16 %", 176.9, True),
    ("Glycerol", 48.1, True), ("begins at soap 20, water 10, solvents 0 %", 239.7, False), ("1000", 31.1, False),
    ("C16–C18 saturated", 114.2, True), ("more than 0.05 % free alkali", 161.3, False), ("Water", 35.1, True),
])  # fmt: skip
def test_widths_are_never_less_than_a_browser_measures(content: str, measured_px: float, bold: bool) -> None:
    """Measured in Chromium with Inter 4.1 at 12 px, tabular figures; the estimate may be up to a tenth wider."""
    assert measured_px <= text_width_px(content, bold=bold) <= measured_px * 1.1


@given(st.text(max_size=300), st.floats(0, 400))
def test_a_shortened_text_fits(content: str, room: float) -> None:
    cut = shortened(content, room)
    assert text_width_px(cut) <= room or cut == ""
