"""The map: blends stand where their shares say, labels keep clear, the doubt is the ellipse of 9 in 10."""

from __future__ import annotations

import math
import random

import pytest
from drawn import assert_sound, fills, titles, words
from hypothesis import given
from hypothesis import strategies as st

from kettleglass.errors import BadInput
from kettleglass.paper.box import Box
from kettleglass.paper.svg import Markup
from kettleglass.paper.ternary import Base, ThisPot, legend_mark, ternary_map
from kettleglass.paper.theme import SCREEN
from kettleglass.paper.triangle import Blend, Triangle, clipped, floors_for, outline

PART = st.floats(0, 100)
BLENDS = st.builds(Blend, st.floats(0.1, 100), PART, PART)
BASES = st.lists(st.builds(Base, st.text(max_size=30), BLENDS, st.booleans()), max_size=24)
DEMO = (
    Base("charge I", Blend(43, 25, 31), clear=True), Base("charge II", Blend(46, 24, 32), clear=True),
    Base("with glycols", Blend(22, 20, 55), clear=True), Base("laundry", Blend(68, 30, 1.5), clear=False),
    Base("milled", Blend(85, 11, 1), clear=False),
)  # fmt: skip


@given(BLENDS, st.sampled_from([(0.0, 0.0, 0.0), (0.2, 0.1, 0.0), (0.0, 0.0, 0.6)]))
def test_a_blend_stands_at_its_barycentre(blend: Blend, floors: tuple[float, float, float]) -> None:
    """The centre of mass of weights at the three corners (Möbius, Der barycentrische Calcul, 1827)."""
    triangle = Triangle(10, 300, 280, floors)
    weights = [(share - floor) / triangle.scale for share, floor in zip(blend.shares, floors, strict=True)]
    x, y = triangle.at(blend)
    corners = triangle.corners()
    assert x == pytest.approx(sum(w * c[0] for w, c in zip(weights, corners, strict=True)), abs=1e-9)
    assert y == pytest.approx(sum(w * c[1] for w, c in zip(weights, corners, strict=True)), abs=1e-9)


def test_all_sides_are_equal() -> None:
    top, left, right = Triangle(0, 200, 200).corners()
    assert math.dist(top, left) == pytest.approx(math.dist(left, right)) == pytest.approx(200)


@given(st.lists(BLENDS, min_size=1, max_size=12))
def test_the_map_begins_below_everything_on_it(blends: list[Blend]) -> None:
    floors = floors_for(blends)
    assert sum(floors) <= 0.7 + 1e-9
    for blend in blends:
        assert all(share >= floor - 1e-9 for share, floor in zip(blend.shares, floors, strict=True))


def test_the_ellipse_holds_nine_in_ten() -> None:
    rng = random.Random(11)
    cloud = [(rng.gauss(0, 3) + (y := rng.gauss(0, 1)), 2 * y) for _ in range(4000)]
    polygon = outline(cloud)
    held = sum(_inside(point, polygon) for point in cloud) / len(cloud)
    assert held == pytest.approx(0.90, abs=0.012)


def _inside(point: tuple[float, float], polygon: list[tuple[float, float]]) -> bool:
    x, y = point
    crossings = 0
    for (x0, y0), (x1, y1) in zip(polygon, polygon[1:] + polygon[:1], strict=True):
        if (y0 > y) != (y1 > y) and x < x0 + (y - y0) * (x1 - x0) / (y1 - y0):
            crossings += 1
    return crossings % 2 == 1


def test_doubt_is_cut_at_the_sides() -> None:
    corners = Triangle(0, 100, 100).corners()
    cut = clipped([(-50, 80), (50, 80), (50, 120), (-50, 120)], corners)
    assert cut
    assert all(y <= 100 + 1e-9 and x >= (100 - y) / math.sqrt(3) - 1e-9 for x, y in cut)
    assert clipped([(200, 200), (210, 200), (205, 210)], corners) == []


def test_marks_tell_clear_from_not_clear_by_shape() -> None:
    svg = ternary_map(DEMO, None).svg
    assert svg.count("<circle") == 3
    assert next(said for said in titles(svg) if "not clear" in said).startswith("laundry, not clear: soap 68")
    assert len({legend_mark(kind) for kind in ("clear", "not clear", "pot", "dried")}) == 4


def test_it_says_where_this_pot_is_and_what_is_nearest() -> None:
    drawing = ternary_map(DEMO, ThisPot(Blend(45.1, 18.2, 36.7), dried=Blend(55, 12, 31)))
    assert drawing.summary == (
        "3 published clear bases and 2 not clear. This pot: soap 45, water 18, solvents 37 %."
        " Nearest: charge II, clear. When dry: soap 56, water 12, solvents 32 %."
    )
    assert drawing.table.rows[0] == ("this pot", "45.1", "18.2", "36.7", "")
    shown = [word.text for word in words(drawing.svg)]
    assert shown.count("this pot") == shown.count("when dry") == 1


def _label(svg: Markup, said: str) -> Box:
    return next(word.box for word in words(svg) if word.text == said)


@pytest.mark.parametrize("width", [332, 340, 372, 420, 560])
def test_labels_lie_on_no_mark(width: float) -> None:
    pot = ThisPot(Blend(45.1, 18.2, 36.7), dried=Blend(55, 12, 31))
    svg = ternary_map(DEMO, pot, width_px=width).svg
    marks = [(float(f.attrib["cx"]), float(f.attrib["cy"])) for f in fills(svg, SCREEN.face) if "cx" in f.attrib]
    for said in ("this pot", "when dry"):
        box = _label(svg, said)
        assert not any(box.left - 3 < x < box.right + 3 and box.top - 3 < y < box.bottom + 3 for x, y in marks)


def test_a_certain_pot_has_no_region_and_an_uncertain_one_has() -> None:
    rng = random.Random(5)
    cloud = tuple(Blend(45 + rng.gauss(0, 1), 18 + rng.gauss(0, 1), 37 + rng.gauss(0, 1)) for _ in range(200))
    assert not fills(ternary_map(DEMO, ThisPot(Blend(45, 18, 37), doubt=(Blend(45, 18, 37),) * 9)).svg, SCREEN.band)
    assert len(fills(ternary_map(DEMO, ThisPot(Blend(45, 18, 37), doubt=cloud)).svg, SCREEN.band)) == 1


@given(
    BASES,
    st.none() | st.builds(ThisPot, BLENDS, st.lists(BLENDS, max_size=6).map(tuple), st.none() | BLENDS),
    st.floats(340, 560),
)
def test_any_map_can_be_drawn(bases: list[Base], pot: ThisPot | None, width: float) -> None:
    assert_sound(ternary_map(bases, pot, width_px=width), key="map")


@pytest.mark.parametrize("parts", [(0, 0, 0), (-1, 1, 1), (math.nan, 1, 1), (math.inf, 1, 1)])
def test_blends_that_cannot_be_are_refused(parts: tuple[float, float, float]) -> None:
    with pytest.raises(BadInput):
        Blend(*parts)


@given(st.tuples(PART, PART), st.tuples(PART, PART))
def test_a_line_cuts_a_box_just_when_a_walk_along_it_meets_the_box(
    begin: tuple[float, float], end: tuple[float, float]
) -> None:
    box = Box(40, 40, 60, 60)
    walked = any(
        39 <= begin[0] + (end[0] - begin[0]) * n / 400 <= 61 and 39 <= begin[1] + (end[1] - begin[1]) * n / 400 <= 61
        for n in range(401)
    )
    if box.cut_by(begin, end):
        assert walked
    if not walked:
        assert not box.cut_by(begin, end)
