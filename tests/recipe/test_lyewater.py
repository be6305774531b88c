"""Lye water in one field: what people type, what it means in other words, and what is refused."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kettleglass.errors import Ambiguous, BadInput, KettleglassError
from kettleglass.materials.catalogue import load_catalogue
from kettleglass.recipe.lyewater import (
    lye_water_finding,
    lye_water_text,
    parse_lye_water,
    read_lye_water,
    saponification_value_for_both,
    say_lye_water,
)
from kettleglass.recipe.recipe import SOLVE, AlkaliPlan, Amount, Line, LyeWater, Recipe
from kettleglass.recipe.sheet import charge_sheet
from kettleglass.recipe.solve import solve


@pytest.mark.parametrize(("text", "by", "value"), [
    ("1:1.4", "ratio", 1.4), ("1 : 1,4", "ratio", 1.4), ("1 to 1.4", "ratio", 1.4), ("1/1.4", "ratio", 1.4),
    ("2:3", "ratio", 1.5), ("ratio 1:1.4", "ratio", 1.4), ("1 part lye to 2 parts water", "ratio", 2.0),
    ("1.4 times the alkali", "ratio", 1.4), ("1.4 x", "ratio", 1.4),
    ("42 %", "strength", 0.42), ("42%", "strength", 0.42), ("42 % lye", "strength", 0.42), ("41,7 %",
    "strength", 0.417),
    ("strength 42 %", "strength", 0.42), ("lye strength 42 %", "strength", 0.42), ("42 percent", "strength", 0.42),
    ("25 % of fats", "of fats", 0.25), ("25% of the fats", "of fats", 0.25), ("25 % of oils", "of fats", 0.25),
    ("24,2 % of fats", "of fats", 0.242), ("93 g", "mass", 93.0), ("93 g of water", "mass", 93.0), ("0,5 kg",
    "mass", 500.0),
])  # fmt: skip
def test_what_people_type(text: str, by: str, value: float) -> None:
    assert parse_lye_water(text) == LyeWater(value, by)  # type: ignore[arg-type]


@pytest.mark.parametrize(("text", "offered"), [
    ("1.4", "1:1.4"), ("42", "42 %"), ("42", "42 % of fats"), ("42 % water", "42 % of fats"),
    ("water 42 %", "58 % lye"),
    ("1,500 g", "1500 g"),
])  # fmt: skip
def test_what_can_mean_two_things_is_asked_back(text: str, offered: str) -> None:
    with pytest.raises(Ambiguous) as caught:
        parse_lye_water(text)
    assert offered in caught.value.choices
    for choice in caught.value.choices:
        read_lye_water(choice)


@pytest.mark.parametrize("text", ["2:1", "1:0.5", "60 %", "1:0.8", "90 % lye", "1:0"])
def test_a_lye_that_cannot_dissolve_is_refused_with_the_reason(text: str) -> None:
    """Saturated lye at 20 to 25 °C: NaOH 52.2 %, KOH 54.8 % (sources named in the finding)."""
    with pytest.raises(BadInput, match="cold water holds 52 % of NaOH or 55 % of KOH") as caught:
        parse_lye_water(text)
    assert "1:1" in caught.value.remedy
    finding = lye_water_finding(read_lye_water(text))
    assert finding is not None
    assert finding.source


def test_water_first_is_guessed() -> None:
    with pytest.raises(BadInput, match="If you meant water first, write “1:2”"):
        parse_lye_water("2:1")


def test_the_edge_of_what_dissolves() -> None:
    assert parse_lye_water("54 %").value == pytest.approx(0.54)
    with pytest.raises(BadInput):
        parse_lye_water("55 %")


def test_a_very_thin_lye_is_only_remarked_on() -> None:
    finding = lye_water_finding(parse_lye_water("1:25"))
    assert finding is not None
    assert finding.level == "caution"
    assert lye_water_finding(LyeWater(0.25, "of fats")) is None
    assert lye_water_finding(LyeWater(1.4)) is None


@pytest.mark.parametrize(
    "text", ["", "water", "0:1.4", "1:1.4:2", "-42 %", "0 %", "100 %", "1:-2", "nan %", "1:1e400", "%", "5 glugs"]
)
def test_what_cannot_be_read_says_how_to_write_it(text: str) -> None:
    with pytest.raises(BadInput) as caught:
        parse_lye_water(text)
    assert caught.value.remedy


@settings(max_examples=300)
@given(
    st.one_of(
        st.text(max_size=40), st.from_regex(r"[0-9.,]{0,5} ?[:%/x] ?[0-9.,]{0,5} ?(of fats|lye|g)?", fullmatch=True)
    )
)
def test_any_text_is_read_or_refused_with_advice(text: str) -> None:
    try:
        assert math.isfinite(parse_lye_water(text).value)
    except KettleglassError as error:
        assert error.remedy


waters = st.one_of(
    st.builds(LyeWater, st.floats(0.0, 100.0), st.just("ratio")),
    st.builds(LyeWater, st.floats(1e-6, 0.999999), st.just("strength")),
    st.builds(LyeWater, st.floats(0.0, 10.0), st.just("of fats")),
    st.builds(LyeWater, st.floats(0.0, 1e7), st.just("mass")),
)


@given(waters)
def test_the_text_reads_back_as_exactly_the_same_water(water: LyeWater) -> None:
    assert read_lye_water(lye_water_text(water)) == water


def test_the_same_water_in_all_words() -> None:
    """Demo base, by hand: 65.14 g NaOH at 1:1.4 is 91.196 g of water; / 156.34 g of lye = 41.67 %; / 400 g = 22.8 %."""
    said = say_lye_water(65.14, 91.196, 400.0)
    assert said.phrases == ("1:1.4", "41.7 %", "22.8 % of fats", "91.2 g")
    assert say_lye_water(0.0, 0.0, 0.0).phrases == ("0 g",)
    assert say_lye_water(0.0, 50.0, 200.0).ratio is None
    for masses in ((-1.0, 1.0, 1.0), (1.0, float("nan"), 1.0), (1.0, 1.0, float("inf"))):
        with pytest.raises(BadInput):
            say_lye_water(*masses)


@given(st.floats(1.0, 1e4), st.floats(0.1, 50.0), st.floats(1.0, 1e5))
def test_each_way_of_saying_it_is_the_same_water(alkali: float, ratio: float, fats: float) -> None:
    said = say_lye_water(alkali, ratio * alkali, fats)
    assert said.ratio == pytest.approx(ratio)
    assert said.strength_fraction == pytest.approx(1.0 / (1.0 + ratio))
    assert said.of_fats_fraction is not None
    assert said.of_fats_fraction * fats == pytest.approx(said.water_g)


def test_trade_check_25_percent_of_fats_at_1_to_1_4() -> None:
    """Common practice, no source: 178.6 g of NaOH per kg of fats, saponification value 250.5."""
    assert 1000.0 * 0.25 / 1.4 == pytest.approx(178.6, abs=0.05)
    assert saponification_value_for_both(1.4, 0.25) == pytest.approx(250.5, abs=0.05)


def test_both_cannot_be_fixed() -> None:
    """Saponification values of about 257 (coconut) and 208 (stearic acid): at 12 % stearic acid both hold, at 30 % the
    typed ratio wins and the water becomes about 24.2 % of the fats (common practice, no source)."""

    def mixed(stearic: float) -> float:
        return (1.0 - stearic) * 257.0 + stearic * 208.0

    assert mixed(0.12) == pytest.approx(saponification_value_for_both(1.4, 0.25), abs=1.0)
    alkali_g = mixed(0.30) / 56.1056 * 39.997 * 1.0  # per kg of fats
    said = say_lye_water(alkali_g, 1.4 * alkali_g, 1000.0)
    assert said.of_fats_fraction == pytest.approx(0.242, abs=0.0005)
    assert saponification_value_for_both(1.4, 0.242) == pytest.approx(mixed(0.30), abs=0.5)


def lye_of(stearic_percent: float, typed: str) -> tuple[float, float]:
    """Ratio and share of the fats for coconut and stearic acid of the catalogue, with the lye water as typed."""
    fats = {"coconut": 100.0 - stearic_percent, "stearic_acid_triple_pressed": stearic_percent}
    lines = [Line(key, key, Amount(percent, "% of fats"), "fats") for key, percent in fats.items()]
    lines += [Line(key, key, SOLVE, "lye") for key in ("sodium_hydroxide_flakes", "water")]
    recipe = Recipe("two fats", tuple(lines), alkali=AlkaliPlan(water=parse_lye_water(typed)))
    solved = solve(recipe, charge_sheet(recipe, lambda line: load_catalogue().get(line.material_id)))
    said = say_lye_water(solved.pure_alkali_g, solved.lye_water_g, solved.fats_g)
    assert said.ratio is not None
    assert said.of_fats_fraction is not None
    return said.ratio, said.of_fats_fraction


@pytest.mark.parametrize(("stearic_percent", "typed", "ratio", "of_fats"), [
    (12.0, "1:1.4", 1.4, 0.25), (12.0, "25 % of fats", 1.4, 0.25),
    (30.0, "1:1.4", 1.4, 0.242), (30.0, "25 % of fats", 1.446, 0.25),
])  # fmt: skip
def test_what_was_typed_wins_in_a_whole_recipe(
    stearic_percent: float, typed: str, ratio: float, of_fats: float
) -> None:
    """The trade check through catalogue and solver (common practice, no source)."""
    assert lye_of(stearic_percent, typed) == pytest.approx((ratio, of_fats), rel=0.005)


@pytest.mark.parametrize(("ratio", "fraction"), [(0.0, 0.25), (-1.0, 0.25), (1.4, -0.1), (float("nan"), 0.2)])
def test_nothing_to_compare(ratio: float, fraction: float) -> None:
    with pytest.raises(BadInput):
        saponification_value_for_both(ratio, fraction)
