"""The chance of free alkali: counted, cut at the limit, said in pots."""

from __future__ import annotations

import math
import random
from statistics import NormalDist

import pytest
from drawn import assert_sound, fills, numbers, words
from hypothesis import given
from hypothesis import strategies as st

from kettleglass.errors import BadInput
from kettleglass.paper.chance import chance_of_free_alkali, pots_in_100
from kettleglass.paper.distribution import Distribution
from kettleglass.paper.theme import SCREEN

VALUES = st.floats(-1e4, 1e4)


def bell(count: int = 20_000, spread: float = 0.1) -> Distribution:
    """A normal distribution laid out evenly: its quantiles are known from any table of the normal distribution."""
    return Distribution.of(NormalDist(0, spread).inv_cdf((n + 0.5) / count) for n in range(count))


def area(d: str) -> float:
    """The area of a polygon (shoelace formula)."""
    flat = numbers(d)
    points = list(zip(flat[::2], flat[1::2], strict=True))
    return abs(sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in zip(points, points[1:] + points[:1], strict=True))) / 2


def test_quantiles_are_those_of_the_normal_table() -> None:
    """NIST/SEMATECH handbook, table of the normal distribution: the 95 % quantile lies at 1.645."""
    pots = bell()
    assert (pots.low, pots.middle, pots.high) == pytest.approx((-0.1645, 0.0, 0.1645), abs=2e-4)


@pytest.mark.parametrize("z", [-1.0, 0.0, 0.5, 1.0, 2.0])
def test_the_share_above_a_limit_is_that_of_the_normal_table(z: float) -> None:
    assert bell().share_above(z / 10) == pytest.approx(1 - NormalDist().cdf(z), abs=0.002)


@pytest.mark.parametrize("limit", [-0.1, 0.0, 0.05, 0.15])
def test_the_red_part_is_as_large_as_the_chance(limit: float) -> None:
    drawing = chance_of_free_alkali(bell(), limit_percent=limit)
    [red], [band] = fills(drawing.svg, SCREEN.red_fill), fills(drawing.svg, SCREEN.band)
    share = area(red.attrib["d"]) / (area(red.attrib["d"]) + area(band.attrib["d"]))
    assert share == pytest.approx(bell().share_above(limit), abs=0.01)


def test_it_says_the_chance_as_pots_and_the_span_of_nine_in_ten() -> None:
    drawing = chance_of_free_alkali(bell(), limit_percent=0.05, nominal_percent=0.01)
    said = "31 in 100 pots would keep more than 0.05 % free alkali; 9 in 10 lie between \N{MINUS SIGN}0.16 and +0.16 %."
    assert drawing.summary == said
    shown = [word.text for word in words(drawing.svg)]
    assert {"31 in 100 pots", "69 in 100 pots", "9 in 10 pots: \N{MINUS SIGN}0.16 to +0.16 %", "free fat"} <= set(shown)
    assert drawing.table.rows[0] == ("Chance of more than 0.05 %", "31 in 100 pots")


@pytest.mark.parametrize(("chance", "words_"), [
    (0.0, "no pot in 100"), (0.002, "fewer than 1 in 100 pots"), (0.304, "30 in 100 pots"),
    (0.997, "more than 99 in 100 pots"), (1.0, "all pots"),
])  # fmt: skip
def test_a_chance_is_counted(chance: float, words_: str) -> None:
    assert pots_in_100(chance) == words_


def test_a_counted_chance_wins_over_the_bins() -> None:
    assert "30 in 100 pots" in chance_of_free_alkali(bell(), limit_percent=0.05, chance_fraction=0.3).svg


def test_nothing_beyond_the_limit_is_not_red() -> None:
    drawing = chance_of_free_alkali(bell(spread=0.001), limit_percent=0.5)
    assert not fills(drawing.svg, SCREEN.red_fill)
    assert not fills(drawing.svg, SCREEN.red)


@given(
    st.lists(VALUES, min_size=1, max_size=60), VALUES, st.none() | VALUES, st.floats(340, 560),
)  # fmt: skip
def test_any_pots_can_be_drawn(samples: list[float], limit: float, nominal: float | None, width: float) -> None:
    limit = round(limit, 3)
    drawing = chance_of_free_alkali(
        Distribution.of(samples), limit_percent=limit, nominal_percent=nominal, width_px=width
    )
    assert_sound(drawing, key="chance")


@given(st.floats(-0.5, 0.5), st.floats(1e-4, 0.3), st.floats(340, 560))
def test_usual_pots_at_any_width(middle: float, spread: float, width: float) -> None:
    rng = random.Random(3)
    pots = Distribution.of(rng.gauss(middle, spread) for _ in range(300))
    assert_sound(chance_of_free_alkali(pots, limit_percent=0.05, nominal_percent=0.0, width_px=width), key="chance")


@pytest.mark.parametrize("value", [0.0, 0.04, 0.05, 1e-9, -3.0])
def test_pots_that_are_all_alike(value: float) -> None:
    drawing = chance_of_free_alkali(Distribution.of([value] * 50), limit_percent=0.05, nominal_percent=value)
    assert_sound(drawing, key="chance")


def test_arrays_are_taken_as_they_are() -> None:
    numpy = pytest.importorskip("numpy")
    assert Distribution.of(numpy.arange(11.0)) == Distribution.of(range(11))


@pytest.mark.parametrize("samples", [[], [math.nan, 1.0], [math.inf]])
def test_pots_that_are_no_numbers_are_refused(samples: list[float]) -> None:
    with pytest.raises(BadInput):
        Distribution.of(samples)


@pytest.mark.parametrize(("edges", "counts"), [
    ((0, 1), (1, 1)), ((0,), ()), ((1, 0), (1,)), ((0, 1), (-1,)), ((0, 1), (0,)), ((0, math.nan), (1,)),
])  # fmt: skip
def test_bins_that_do_not_fit_are_refused(edges: tuple[float, ...], counts: tuple[float, ...]) -> None:
    with pytest.raises(BadInput):
        Distribution(edges, counts, 0.0, 0.0, 0.0)


def test_a_limit_that_is_no_number_is_refused() -> None:
    with pytest.raises(BadInput):
        chance_of_free_alkali(bell(200), limit_percent=math.nan)
