"""Published windows: each judged by itself, its rule at the edges, and which ones apply."""

from __future__ import annotations

import csv
import dataclasses
from importlib.resources import files

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kettleglass.errors import BadInput, UnknownName
from kettleglass.recipe.published import published_bases
from kettleglass.recipe.recipe import LOOKS, PURPOSES
from kettleglass.recipe.windows import (
    Position,
    Values,
    Window,
    applicable,
    judge,
    judge_all,
    published_windows,
    routes,
)
from kettleglass.science.basis import basis_for
from kettleglass.science.descriptors import window_quantities

ALCOHOL = {"ethanol": 12.0, "water": 24.0}
GLYCOL = {"propylene_glycol": 20.0, "surfactant": 20.0, "water": 20.0}
ETHANOL = next(window for window in published_windows() if window.id == "thomssen-ethanol")  # 8 to 16 %
ALKALI = next(window for window in published_windows() if window.id == "sni-1994-free-alkali")  # at most 0.1 %
ORDER: dict[Position, int] = {"inside": 0, "edge": 1, "outside": 2}


def ids(windows: tuple[Window, ...]) -> set[str]:
    return {window.id for window in windows}


@pytest.mark.parametrize(
    ("value", "low", "high", "position"),
    [
        (12.0, None, None, "inside"),
        (12.0, 9.0, 15.0, "inside"),
        (15.1, None, None, "inside"),
        (15.3, None, None, "edge"),  # within 0.8 %, a tenth of the width, of 16 %
        (16.0, None, None, "edge"),
        (16.7, None, None, "edge"),  # just past an end that is an observation
        (16.9, None, None, "outside"),
        (17.5, 15.5, 19.0, "edge"),  # its doubt reaches back over the end
        (17.5, 16.5, 19.0, "outside"),
        (8.5, None, None, "edge"),
        (7.0, None, None, "outside"),
        (12.0, 7.0, 13.0, "edge"),
    ],
)
def test_where_a_value_lies_in_a_window(
    value: float, low: float | None, high: float | None, position: Position
) -> None:
    assert judge(value, low, high, ETHANOL).position == position


@pytest.mark.parametrize(
    ("value", "low", "high", "position"),
    [
        (0.0, None, None, "inside"),
        (0.0, 0.0, 0.05, "inside"),
        (0.095, None, None, "edge"),
        (0.03, 0.0, 0.2, "edge"),
        (0.101, None, None, "outside"),
        (0.101, 0.0, 0.2, "outside"),  # a limit is exact: doubt does not excuse a value beyond it
    ],
)
def test_where_a_value_lies_at_a_limit(value: float, low: float | None, high: float | None, position: Position) -> None:
    assert judge(value, low, high, ALKALI).position == position


def test_a_low_end_of_zero_is_no_end() -> None:
    castor = next(window for window in published_windows() if window.id == "thomssen-ricinoleic")
    assert judge(0.0, 0.0, 0.0, castor).position == "inside"
    assert castor.range_text == "at most 19 %"


def test_the_sentence_names_value_doubt_range_and_source() -> None:
    text = judge(17.5, 15.5, 19.0, ETHANOL).text
    assert text == (
        "Ethanol 17.5 % (15.5 to 19.0 %) is at the edge of the published window of 8 to 16 % (Thomssen 1922, six clear"
        " charges); its doubt reaches across an end."
    )
    assert judge(0.3, None, None, ALKALI).text == (
        "Free alkali as NaOH 0.30 % is outside the limit of at most 0.1 % (SNI 06-3532-1994 toilet soap);"
        " it lies above."
    )
    assert judge(3.0, None, None, ETHANOL).text.endswith("it lies below.")
    share = next(window for window in published_windows() if window.id == "thomssen-c8-c14")
    text = judge(0.36, None, None, share).text
    assert text.startswith("C8–C14 among the fatty acids 36.0 % is inside the published window of 30 to 42 % (")


def test_distance_is_counted_in_widths_from_the_nearest_end() -> None:
    assert judge(20.0, None, None, ETHANOL).distance == pytest.approx(0.5)
    assert judge(12.0, None, None, ETHANOL).distance == pytest.approx(-0.5)
    assert judge(9.0, None, None, ETHANOL).distance == pytest.approx(-1.0 / 8.0)
    moisture = next(window for window in published_windows() if window.id == "us-5417876-water")  # at least 17 %
    assert judge(8.5, None, None, moisture).distance == pytest.approx(0.5)
    assert judge(25.0, None, None, moisture).position == "inside"


def test_what_is_no_number_is_refused() -> None:
    with pytest.raises(BadInput):
        judge(float("nan"), None, None, ETHANOL)
    with pytest.raises(BadInput, match="wrong way round"):
        judge(12.0, 13.0, 11.0, ETHANOL)


@given(st.floats(0.0, 40.0), st.floats(0.0, 20.0), st.sampled_from(published_windows()))
def test_going_further_out_never_leads_back_in(start: float, step: float, window: Window) -> None:
    low = window.low or 0.0
    middle = 0.5 * (low + (window.high if window.high is not None else 3.0 * low))
    near = middle + start * window.width / 10.0
    far = near + step * window.width / 10.0
    down, further_down = 2.0 * middle - near, 2.0 * middle - far
    assert ORDER[judge(near, None, None, window).position] <= ORDER[judge(far, None, None, window).position]
    assert ORDER[judge(down, None, None, window).position] <= ORDER[judge(further_down, None, None, window).position]
    if window.high is not None:
        assert judge(near, None, None, window).distance <= judge(far, None, None, window).distance + 1e-12


@given(st.floats(0.0, 40.0), st.floats(0.0, 10.0), st.floats(0.0, 10.0))
def test_more_doubt_never_makes_it_surer(value: float, down: float, up: float) -> None:
    """Wider bands turn inside into edge or outside into edge, never edge into either."""
    narrow = judge(value, value - down, value + up, ETHANOL).position
    wide = judge(value, value - down - 1.0, value + up + 1.0, ETHANOL).position
    assert wide in {narrow, "edge"}


@given(st.floats(0.01, 60.0), st.floats(0.001, 1000.0))
def test_a_judgement_does_not_depend_on_the_unit(value: float, factor: float) -> None:
    scaled = dataclasses.replace(ETHANOL, low=8.0 * factor, high=16.0 * factor)
    one, other = judge(value, None, None, ETHANOL), judge(value * factor, None, None, scaled)
    assert other.distance == pytest.approx(one.distance, abs=1e-9)
    if abs(abs(one.distance) - 0.1) > 1e-6:
        assert other.position == one.position


@pytest.mark.parametrize("purpose", PURPOSES)
def test_an_opaque_base_gets_no_window_of_clarity(purpose: str) -> None:
    for values in (ALCOHOL, GLYCOL, {}):
        assert {window.kind for window in applicable("opaque white", purpose, values)} <= {"limit"}  # type: ignore[arg-type]


def test_windows_follow_the_solvents_that_are_there() -> None:
    assert routes(ALCOHOL) == {"alcohol"} and routes(GLYCOL) == {"glycol"} and routes({"sugar": 20.0}) == {"other"}
    assert routes(ALCOHOL | GLYCOL) == {"alcohol", "glycol"}
    assert routes({"ethanol": 0.4}) == {"other"}, "a trace from scent or dye is no route"
    alcohol = ids(applicable("crystal clear", "bar", ALCOHOL))
    glycol = ids(applicable("crystal clear", "bar", GLYCOL))
    assert "thomssen-soap" in alcohol and "gerart-ethanol" in alcohol and "in-propylene-glycol" not in alcohol
    assert "in-propylene-glycol" in glycol and "us-5417876-water" in glycol and "thomssen-soap" not in glycol
    assert "jp-6087463-soap" in alcohol & glycol
    assert "jp-2010-sugar" not in glycol, "that claim is about dipropylene glycol"
    assert "jp-2010-sugar" in ids(applicable("tinted", "bar", {"dipropylene_glycol": 20.0, "other_polyols": 20.0}))


def test_propan_2_ol_alone_is_not_held_against_the_window_of_ethanol() -> None:
    found = ids(applicable("crystal clear", "embed", {"propan_2_ol": 12.0}))
    assert "thomssen-solvents-per-soap" in found
    assert not found & {"thomssen-ethanol", "gerart-ethanol", "jp-6087463-ethanol"}


def test_standards_are_shown_beside_bars_only() -> None:
    assert any(window.kind == "limit" for window in applicable("crystal clear", "bar", ALCOHOL))
    for purpose in ("base for re-melting", "embed", "first clear base"):
        assert {w.kind for w in applicable("crystal clear", purpose, ALCOHOL)} == {"window"}  # type: ignore[arg-type]
    assert "us-4879063-water" in ids(applicable("translucent", "bar", {}))
    with pytest.raises(UnknownName):
        applicable("shiny", "bar", ALCOHOL)  # type: ignore[arg-type]


def test_each_window_is_judged_by_itself_and_in_its_own_state() -> None:
    windows = applicable("crystal clear", "bar", ALCOHOL)
    charged: Values = {"ethanol": 12.0, "water": 24.0, "soap": None, "free_alkali": 0.5}
    finished: Values = {"water": 14.0, "free_alkali": 0.0, "free_fatty": float("nan")}
    found = {j.window.id: j for j in judge_all(windows, charged, finished, charged_bands={"ethanol": (11.5, 12.5)})}
    assert found["thomssen-ethanol"].position == "inside"
    assert found["gerart-ethanol"].position == "edge", "the same ethanol, another source"
    assert found["thomssen-water"].value == 24.0 and found["prasetiyo-water"].value == 14.0
    assert found["sni-1994-free-alkali"].position == "inside"
    assert "thomssen-soap" not in found and "sni-1994-free-fatty" not in found, "what cannot be said is not judged"
    backwards = judge_all(windows[::-1], charged, finished, charged_bands={"ethanol": (11.5, 12.5)})
    assert {j.window.id: j for j in backwards} == found


def test_the_six_charges_lie_within_the_windows_that_were_drawn_from_them() -> None:
    for base in published_bases():
        if base.source_key == "thomssen-1922" and base.outcome == "clear" and base.is_bar:
            windows = applicable("crystal clear", "bar", base.quantities)
            everything = judge_all(windows, base.quantities, base.quantities)
            own = [j for j in everything if j.window.id.startswith("thomssen-")]
            assert len(own) == 11
            assert all(j.position != "outside" for j in own), [j.text for j in own]


def test_opaque_bars_lie_outside_on_solvents_per_soap() -> None:
    window = next(window for window in published_windows() if window.id == "thomssen-solvents-per-soap")
    for base in published_bases():
        if base.is_bar and base.outcome == "not clear":
            assert judge(base.quantities["solvents_per_soap"] or 0.0, None, None, window).position == "outside", base.id


def test_the_table_is_sound() -> None:
    known = set(window_quantities(basis_for(["12:0"]), basis_for(["12:0"]).zeros()))
    with files("kettleglass.materials").joinpath("data/sources.csv").open(encoding="utf-8") as table:
        keys = {row["key"] for row in csv.DictReader(table)}
    windows = published_windows()
    assert len({window.id for window in windows}) == len(windows) > 40
    for window in windows:
        assert window.quantity in known and (not window.needs or window.needs in known), window.id
        assert window.source_key in keys, window.id
        assert window.routes <= {"any", "alcohol", "glycol", "other"}
        assert set(window.looks) <= set(LOOKS) and set(window.purposes) <= set(PURPOSES)
        assert window.kind == "window" or window.state == "finished"
    with pytest.raises(BadInput, match="no width"):
        dataclasses.replace(ETHANOL, low=16.0, high=8.0)
    with pytest.raises(BadInput, match="no width"):
        dataclasses.replace(ETHANOL, low=None, high=None)
