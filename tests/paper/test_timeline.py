"""The timeline of the cook: true places, steps in order, what boils and when the lid is off known without colour."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import accumulate, pairwise

import pytest
from drawn import assert_sound, fills, numbers, size, titles, tree, words
from hypothesis import given
from hypothesis import strategies as st

from kettleglass.errors import BadInput
from kettleglass.paper.cooking import BoilsAt, Cook, FlashAt, SharesAt, Step, reached, within
from kettleglass.paper.drawing import Drawing
from kettleglass.paper.theme import PRINT, SCREEN
from kettleglass.paper.timeline import cook_timeline

STEPS = (
    Step("Melt the fats", 0, 25, 75, covered=True), Step("Lye into the fats", 25, 30, 78, covered=False),
    Step("Paste", 30, 75, 80, covered=True), Step("Test the paste", 75, 80, 76, covered=False),
    Step("Spirit and glycerol", 80, 80, 68, covered=False), Step("Hold", 80, 120, 80, covered=True),
)  # fmt: skip
BOILS = (BoilsAt(80, 85, 86, 89), BoilsAt(120, 86, 87, 90))
FLASH = (FlashAt(80, 25), FlashAt(120, 26.4))
SHARES = (
    SharesAt(0, 0, 0, 0, 34), SharesAt(80, 0, 0, 0, 33), SharesAt(80, 15, 15, 15, 29),
    SharesAt(120, 14.2, 14.6, 14.8, 28.9),
)  # fmt: skip
HOLD = (77.0, 82.0)


def usual(width: float = 1000, **given_: object) -> Drawing:
    told = {"boils": BOILS, "flash": FLASH, "shares": SHARES, "hold_c": HOLD, "width_px": width, **given_}
    return cook_timeline(STEPS, **told)  # type: ignore[arg-type]


def shown(svg: str) -> list[str]:
    return [word.text for word in words(svg)]


def strokes(svg: str, colour: str) -> list[str]:
    return [one.attrib["d"] for one in tree(svg).iter() if one.get("stroke") == colour and "d" in one.attrib]


def _cook(steps: list[tuple[float, float, float, bool]]) -> list[Step]:
    """Steps one after another from (pause, minutes, °C, covered)."""
    ends = list(accumulate(pause + minutes for pause, minutes, _, _ in steps))
    return [
        Step(f"Step named {n}", end - minutes, end, temperature, covered)
        for n, (end, (_, minutes, temperature, covered)) in enumerate(zip(ends, steps, strict=True))
    ]


def in_time(point: st.SearchStrategy[tuple[float, ...]]) -> st.SearchStrategy[list[tuple[float, ...]]]:
    return st.lists(st.tuples(st.floats(0, 600), point).map(lambda found: (found[0], *found[1])), max_size=8).map(
        lambda found: sorted(found, key=lambda one: one[0])
    )


def rising(low: float, high: float, count: int) -> st.SearchStrategy[tuple[float, ...]]:
    return st.lists(st.floats(low, high), min_size=count, max_size=count).map(lambda found: tuple(sorted(found)))


COOKS = st.lists(
    st.tuples(
        st.sampled_from([0.0, 0.0, 7.0]), st.just(0.0) | st.floats(0.1, 300), st.floats(-10, 130), st.booleans()
    ),
    min_size=1, max_size=24,
).map(_cook)  # fmt: skip
LINES = st.fixed_dictionaries({
    "boils": in_time(rising(40, 130, 3)).map(lambda found: [BoilsAt(*one) for one in found]),
    "flash": in_time(rising(5, 90, 1)).map(lambda found: [FlashAt(*one) for one in found]),
    "shares": in_time(rising(0, 100, 4)).map(lambda found: [SharesAt(*one) for one in found]),
    "hold_c": st.none() | rising(60, 90, 2),
    "width_px": st.floats(340, 1100),
})  # fmt: skip


@pytest.mark.parametrize("width", [340, 390, 560, 1000])
def test_the_usual_cook(width: float) -> None:
    drawing = usual(width)
    assert_sound(drawing, key="cook")
    assert drawing.summary == (
        "6 steps in 120 minutes, lid off for 10 of them; at most 80 °C. Nearest to boiling in step 6: 6 °C left, "
        "at least 5. Flash point from 25 °C on. Alcohol 15.0 % at most, 14.6 % at the end (14.2 to 14.8), water 28.9 %."
    )
    assert drawing.table.rows[1] == ("2 Lye into the fats", "25–30", "78", "off", "", "", "0.0 (0.0 to 0.0)", "33.6")
    assert drawing.table.rows[5] == (
        "6 Hold",
        "80–120",
        "80",
        "on",
        "86 (85 to 89)",
        "25",
        "14.6 (14.2 to 14.8)",
        "28.9",
    )


def test_times_and_temperatures_stand_where_they_belong() -> None:
    """Read back from the drawing: the plateaus of the pot, against the places of the figures of both scales."""
    drawing = usual()
    figures = {word.text: word for word in words(drawing.svg)}
    down = (figures["75"].box.bottom - figures["85"].box.bottom) / 10
    across = (figures["110"].x - figures["50"].x) / 60
    plateaus = numbers(next(d for d in strokes(drawing.svg, SCREEN.amber) if "H" in d))
    starts, levels = plateaus[::3], plateaus[1::3]
    for step, x, y in zip(STEPS, starts, levels, strict=True):
        assert x == pytest.approx(figures["50"].x + (step.start_min - 50) * across, abs=0.2)
        assert y == pytest.approx(figures["85"].box.bottom - 7 + (85 - step.temperature_c) * down, abs=0.2)


def test_the_steps_are_numbered_in_order() -> None:
    for width in (340.0, 1000.0):
        row = [word for word in words(usual(width).svg) if word.box.bottom == 15]
        assert [word.text.split()[0] for word in row] == ["1", "2", "3", "4", "5", "6"]
        assert all(one.box.right < other.box.left for one, other in pairwise(row))
    assert any(word.text == "3 Paste" for word in words(usual(1000).svg))


def test_a_flash_point_far_below_is_cut_off_and_one_within_reach_is_not() -> None:
    far, near = usual(), usual(flash=(FlashAt(80, 70), FlashAt(120, 72)))
    cut = "l10 -5m0 4l-10 5"
    assert cut in far.svg
    assert cut not in near.svg
    moving = usual(flash=(FlashAt(80, 25), FlashAt(120, 60)))
    assert cut not in moving.svg
    for drawing in (far, near, moving):
        [dashed] = [one for one in tree(drawing.svg).iter() if one.get("stroke-dasharray") == "6 3"]
        assert dashed.get("stroke") == SCREEN.red


def test_the_lid_off_is_hatched_and_said() -> None:
    drawing = usual()
    assert "lid off" in shown(drawing.svg)
    always = cook_timeline([Step("Hold", 0, 30, 80, covered=True)])
    assert "lid off" not in shown(always.svg)
    assert "lid on" in shown(always.svg)
    assert "lid on throughout" in always.summary

    def hatches(found: Drawing) -> int:
        return sum(d.count("M") == d.count("L") > 1 for d in strokes(found.svg, SCREEN.ink))

    assert (hatches(drawing), hatches(always)) == (2, 0)


@pytest.mark.parametrize(("temperature", "said"), [(84.9, ""), (85.5, "may boil"), (86.5, "boils"), (95.0, "boils")])
def test_a_pot_that_boils_is_hatched_and_said(temperature: float, said: str) -> None:
    drawing = cook_timeline([Step("Hold", 80, 120, temperature, covered=True)], boils=BOILS)
    found = {"boils", "may boil"} & set(shown(drawing.svg))
    assert found == ({said} if said else set())
    assert bool(strokes(drawing.svg, SCREEN.red)) == bool(said)


def test_it_is_hatched_just_while_it_boils() -> None:
    """The lower edge of the band rises from 85 to 86 °C in 40 minutes: a pot at 85.5 °C is above it for 20 of them."""
    cook = Cook((Step("Hold", 80, 120, 85.5, covered=True),), boils=BOILS)
    [(_, hot, surely)] = list(cook.boiling_spans())
    assert hot == pytest.approx((80, 100))
    assert not surely
    drawing = cook_timeline(cook.steps, boils=BOILS, theme=PRINT)
    [frame] = [one for one in tree(drawing.svg).iter() if one.get("stroke") == PRINT.red and one.get("width")]
    [strip] = fills(drawing.svg, PRINT.other)
    assert float(frame.attrib["width"]) == pytest.approx(float(strip.attrib["width"]) / 2, abs=0.1)


def test_without_alcohol_there_is_water_only() -> None:
    drawing = usual(boils=(), flash=(), shares=SHARES[:2])
    assert_sound(drawing, key="cook")
    assert not any(one.startswith(("alcohol", "flash", "boils")) for one in shown(drawing.svg))
    assert "No alcohol in the pot; water 33.0 % at the end." in drawing.summary


def test_steps_alone_are_a_plot_too() -> None:
    drawing = cook_timeline(STEPS)
    assert_sound(drawing, key="cook")
    assert "% of the pot" not in shown(drawing.svg)
    assert drawing.table.rows[0] == ("1 Melt the fats", "0–25", "75", "on", "", "", "", "")


@pytest.mark.parametrize("minutes", [0.0, 0.5, 3.0, 45.0, 600.0, 100_000.0])
@pytest.mark.parametrize("count", [1, 20])
@pytest.mark.parametrize("width", [340, 1000])
def test_short_and_long_cooks(minutes: float, count: int, width: float) -> None:
    each = minutes / count
    steps = [Step(f"Step named {n}", n * each, (n + 1) * each, 60 + n, covered=n % 3 > 0) for n in range(count)]
    points = [BoilsAt(n * minutes / 9, 78, 80, 81) for n in range(10)]
    drawing = cook_timeline(steps, boils=points, hold_c=(78, 78), width_px=width)
    assert_sound(drawing, key="cook")
    assert len([word for word in words(drawing.svg) if word.box.bottom == 15]) >= min(count, 7)


@given(COOKS, LINES)
def test_any_cook_can_be_drawn(steps: list[Step], lines: dict[str, object]) -> None:
    drawing = cook_timeline(steps, **lines)  # type: ignore[arg-type]
    assert_sound(drawing, key="cook")
    width, height = size(drawing.svg)
    for found in tree(drawing.svg).iter():
        if "x" in found.attrib and "width" in found.attrib:
            assert float(found.attrib["x"]) >= 0
            assert float(found.attrib["x"]) + float(found.attrib["width"]) <= width
            assert float(found.attrib["y"]) >= 0
            assert float(found.attrib["y"]) + float(found.attrib["height"]) <= height


@given(COOKS, LINES)
def test_a_step_that_boils_has_no_margin_and_one_with_a_margin_does_not_boil(
    steps: list[Step], lines: dict[str, object]
) -> None:
    cook = Cook(tuple(steps), boils=tuple(lines["boils"]))  # type: ignore[arg-type]
    for step, (start, end), _ in cook.boiling_spans():
        assert step.start_min <= start <= end <= step.end_min
        margin = cook.margin_k(step)
        assert margin is not None
        assert margin[0] <= 1e-9


@given(in_time(rising(0, 100, 1)), rising(0, 600, 2))
def test_a_line_cut_to_a_step_lies_within_it(line: list[tuple[float, float]], ends: tuple[float, float]) -> None:
    cut = within(line, ends)
    assert all(ends[0] <= minute <= ends[1] for minute, _ in cut)
    if cut:
        assert min(value for _, value in line) - 1e-6 <= min(value for _, value in cut)
        assert max(value for _, value in cut) <= max(value for _, value in line) + 1e-6


def test_a_jump_belongs_to_the_step_that_begins_there() -> None:
    line = [(0.0, 100.0), (10.0, 100.0), (10.0, 80.0), (20.0, 82.0)]
    assert within(line, (0, 10)) == [(0, 100), (10, 100)]
    assert within(line, (10, 15)) == [(10, 80), (15, 81)]
    assert within(line, (30, 40)) == []
    assert reached(within(line, (0, 20)), 81) == [pytest.approx((10, 15))]


def test_a_step_says_itself_under_the_pointer() -> None:
    assert "4 Test the paste: 76 °C, minute 75 to 80, lid off" in titles(usual().svg)


@pytest.mark.parametrize("make", [
    lambda: Step("x", 5, 4, 80, covered=True), lambda: Step("x", -1, 4, 80, covered=True),
    lambda: Step("x", 0, math.inf, 80, covered=True), lambda: Step("x", math.nan, 4, 80, covered=True),
    lambda: Step("x", 0, 4, math.nan, covered=True), lambda: BoilsAt(0, 86, 85, 89),
    lambda: BoilsAt(0, 85, math.nan, 89),
    lambda: FlashAt(0, math.inf), lambda: SharesAt(0, 14, 13, 15, 29), lambda: SharesAt(0, -1, 13, 15, 29),
    lambda: SharesAt(0, 12, 13, 101, 29), lambda: SharesAt(0, 12, 13, 14, math.nan), lambda: cook_timeline([]),
    lambda: cook_timeline([STEPS[1], STEPS[0]]), lambda: cook_timeline(STEPS, flash=FLASH[::-1]),
    lambda: cook_timeline(STEPS, flash=[FlashAt(-1, 25)]), lambda: cook_timeline(STEPS, flash=[FlashAt(math.nan, 25)]),
    lambda: cook_timeline(STEPS, hold_c=(82, 77)), lambda: cook_timeline(STEPS, key="no key"),
])  # fmt: skip
def test_what_cannot_be_is_refused(make: Callable[[], object]) -> None:
    with pytest.raises(BadInput):
        make()


@given(st.text(max_size=40))
def test_names_are_text_and_never_marks(name: str) -> None:
    drawing = cook_timeline([Step(name, 0, 30, 80, covered=True), Step("<b>&\"'", 30, 60, 70, covered=False)])
    assert "<b>" not in drawing.svg
    assert_sound(drawing, key="cook")
