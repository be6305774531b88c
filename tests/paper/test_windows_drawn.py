"""Published windows and shares of doubt: bar, needle and word agree; nothing is told by colour alone."""

from __future__ import annotations

import math

import pytest
from drawn import assert_sound, fills, titles, tree, words
from hypothesis import given
from hypothesis import strategies as st

from kettleglass.errors import BadInput, UnknownName
from kettleglass.paper.shares import Share, share_bar, shares_of_doubt
from kettleglass.paper.theme import PRINT
from kettleglass.paper.windows import VERDICTS, Window, verdict_dot, verdict_word, window_rows, window_scale

DEMO = (
    Window("Soap", 45.1, (41, 48), "inside", "%"), Window("Solvents to soap", 0.81, (0.48, 0.88), "inside", decimals=2),
    Window("Water", 18.2, (21, 28), "edge", "%", later=(12, 20)),
    Window("C16–C18 saturated", 42, (21, 33), "outside", "%"),
    Window("Free alkali", 0.03, (None, 0.05), "inside", "%", decimals=2),
    Window("Titre", None, (31, 40), "unknown", "°C"),
)  # fmt: skip
VALUE = st.floats(-1e6, 1e6)


@st.composite
def windows(draw: st.DrawFn) -> Window:
    low, high = sorted((draw(VALUE), draw(VALUE)))
    span = draw(st.sampled_from([(low, high), (low, None), (None, high), (low, low)]))
    later = draw(st.none() | st.just((low, high)))
    return Window(draw(st.text(max_size=40)), draw(st.none() | VALUE), span, draw(st.sampled_from(VERDICTS)),
                  draw(st.sampled_from(["", "%", "g/g"])), draw(st.integers(0, 3)), later)  # fmt: skip


def test_the_needle_stands_within_the_bar_exactly_when_the_value_is_within_the_window() -> None:
    for window in DEMO:
        if window.value is None or None in window.span:
            continue
        svg = window_scale(window, key="w", width_px=300, theme=PRINT)
        bar = fills(svg, PRINT.ink)[0]
        left = float(bar.attrib["x"])
        [needle] = [f for f in tree(svg).iter() if f.get("stroke") == PRINT.amber]
        x = float(needle.attrib["d"][1:].split()[0])
        assert (left <= x <= left + float(bar.attrib["width"])) == (window.span[0] <= window.value <= window.span[1])


def test_a_second_source_is_a_second_grey_bar() -> None:
    assert titles(window_scale(DEMO[2], key="w"))[:2] == ["published 21–28", "published 12–20"]
    assert fills(window_scale(DEMO[2], key="w", theme=PRINT), PRINT.tick)


def test_each_verdict_has_a_dot_of_its_own_and_a_word() -> None:
    assert len({verdict_dot(verdict) for verdict in VERDICTS}) == len(VERDICTS)
    assert [verdict_word(verdict) for verdict in VERDICTS] == ["inside", "edge", "outside", "not known"]


def test_rows_say_value_window_and_verdict() -> None:
    drawing = window_rows(DEMO)
    shown = [word.text for word in words(drawing.svg)]
    assert shown[:4] == ["Soap", "45.1 %", "41–48", "inside"]
    assert "up to 0.05" in shown
    assert drawing.summary == (
        "Soap inside; Solvents to soap inside; Water edge; C16–C18 saturated outside; Free alkali inside;"
        " Titre not known."
    )
    assert drawing.table.rows[2] == ("Water", "18.2 %", "21–28", "12–20", "edge")


@pytest.mark.parametrize("width", [340, 390, 479, 480, 560])
def test_rows_fit_any_width(width: float) -> None:
    assert_sound(window_rows(DEMO, width_px=width), key="windows")


@given(st.lists(windows(), max_size=6), st.floats(340, 560))
def test_any_windows_can_be_drawn(shown: list[Window], width: float) -> None:
    assert_sound(window_rows(shown, width_px=width), key="windows")


@given(windows())
def test_any_window_can_be_drawn_alone(window: Window) -> None:
    assert tree(window_scale(window, key="one")).get("width") == "150"


@pytest.mark.parametrize("span", [(2, 1), (None, None), (math.nan, 1), (0, math.inf)])
def test_a_window_that_is_none_is_refused(span: tuple[float | None, float | None]) -> None:
    with pytest.raises(BadInput):
        Window("x", 1.0, span, "inside")


def test_an_unknown_verdict_is_refused() -> None:
    with pytest.raises(UnknownName, match="“inside”"):
        Window("x", 1.0, (0, 2), "insid")


def test_bars_are_as_long_as_the_shares() -> None:
    shares = [Share("Coconut", 0.58), Share("Flakes", 0.32), Share("The rest", 0.1)]
    drawing = shares_of_doubt(shares, theme=PRINT)
    long = [float(found.attrib["width"]) for found in fills(drawing.svg, PRINT.ink) if "width" in found.attrib]
    whole = float(fills(drawing.svg, PRINT.hair)[0].attrib["width"])
    assert [length / whole for length in long] == pytest.approx([0.58, 0.32, 0.1], abs=1e-3)
    assert drawing.summary == "Of the doubt Coconut 58 %, Flakes 32 %, The rest 10 %."
    assert tree(share_bar(shares[0], key="b")).get("height") == "8"


@given(st.lists(st.builds(Share, st.text(max_size=80), st.floats(0, 1)), max_size=8), st.floats(340, 560))
def test_any_shares_can_be_drawn(shares: list[Share], width: float) -> None:
    assert_sound(shares_of_doubt(shares, width_px=width), key="shares")


def test_nothing_in_doubt_is_said() -> None:
    assert shares_of_doubt([]).summary == "Nothing is in doubt."


@pytest.mark.parametrize("fraction", [-0.01, 1.01, 58, math.nan])
def test_shares_are_fractions(fraction: float) -> None:
    with pytest.raises(BadInput):
        Share("x", fraction)
