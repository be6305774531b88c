"""What people type at the doors: read, asked back or refused, and written so that it reads back."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kettleglass.errors import Ambiguous, BadInput
from kettleglass.units import (
    LENGTH_MM,
    LOCAL_VOLUME_ML,
    MASS_G,
    OUNCE_G,
    POUND_G,
    VOLUME_ML,
    Quantity,
    format_mass,
    format_number,
    parse_amount,
    parse_length,
    parse_mass,
    parse_number,
    parse_percent,
    parse_temperature,
    parse_volume,
)

PARSERS = (parse_number, parse_mass, parse_volume, parse_amount, parse_temperature, parse_length, parse_percent)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("12", 12.0), ("1.5", 1.5), ("1,5", 1.5), (".5", 0.5), (",5", 0.5), ("5.", 5.0), ("5,", 5.0), ("-2", -2.0),
        ("−2", -2.0), ("+3", 3.0), ("1/2", 0.5), ("1 1/2", 1.5), ("1-1/2", 1.5), ("½", 0.5), ("1½", 1.5),
        ("2 ¾", 2.75),
        ("1 500", 1500.0), ("1\u00a0500", 1500.0), ("1'500", 1500.0), ("1’500,25", 1500.25), ("1,234.5", 1234.5),
        ("1.234,5", 1234.5), ("1,234,567", 1234567.0), ("1.234.567", 1234567.0), ("0,500", 0.5), ("1.500", 1.5),
        ("1234,567", 1234.567), ("12,3456", 12.3456), ("1e3", 1000.0), ("2.5E-4", 2.5e-4), ("0", 0.0),
    ],
)  # fmt: skip
def test_numbers_as_people_write_them(text: str, value: float) -> None:
    assert parse_number(text) == value
    assert parse_number(f"  {text} ") == value


def test_a_comma_before_three_digits_is_asked() -> None:
    with pytest.raises(Ambiguous) as asked:
        parse_number("1,500")
    assert asked.value.choices == ("1.5", "1500")
    assert [parse_number(choice) for choice in asked.value.choices] == [1.5, 1500.0]


def test_limits_settle_an_unclear_comma() -> None:
    assert parse_number("92,408", at_most=100.0) == 92.408
    assert parse_number("1,500", at_least=100.0) == 1500.0
    assert parse_percent("92,408 %") == 0.92408


@pytest.mark.parametrize(
    "text",
    [
        "", " ", "nan", "NaN", "inf", "-inf", "infinity", "1e999", "abc", "1/0", "1 2", "12,34,5", "1,,5", "--2",
        "1.2.3",
        "0x10", "١٢", "1_000", "½½", "9" * 900, "9" * 5000, "5 g",
    ],
)  # fmt: skip
def test_what_is_no_number_is_refused_with_a_way_out(text: str) -> None:
    with pytest.raises(BadInput) as refused:
        parse_number(text)
    assert refused.value.remedy
    assert len(str(refused.value)) < 250


@pytest.mark.parametrize(("text", "limits"), [("-1", {"at_least": 0.0}), ("5", {"at_most": 3.0})])
def test_limits_are_kept(text: str, limits: dict[str, float]) -> None:
    with pytest.raises(BadInput, match=f"“{text}” is (less|more) than"):
        parse_number(text, **limits)


@pytest.mark.parametrize(
    ("text", "mass_g"),
    [
        ("500", 500.0), ("500 g", 500.0), ("500g", 500.0), ("1,5 kg", 1500.0), ("250 mg", 0.25), ("8 oz", 226.796185),
        ("2 lb 4 oz", 1020.5828325), ("2lb4oz", 1020.5828325), ("2 lbs, 4 ozs.", 1020.5828325),
        ("2 lb. 4 oz.", 1020.5828325),
        ("2 pounds and 4 ounces", 1020.5828325), ("1 1/2 lb", 680.388555), ("½ lb", 226.796185),
        ("1/8 oz", 3.543690390625),
        ("2 lb 4 1/8 oz", 1024.126522890625), ("5#", 2267.96185), ("1 kg 200 g", 1200.0), ("1 kg + 2 g", 1002.0),
        ("1 500 g", 1500.0), ("1’500 g", 1500.0), ("8 oz weight", 226.796185), ("1e3 g", 1000.0), ("0", 0.0),
        ("2 KG", 2000.0),
    ],
)  # fmt: skip
def test_masses(text: str, mass_g: float) -> None:
    """1 lb is 453.59237 g, 1 oz 28.349523125 g exactly: NIST Handbook 44, appendix C."""
    assert parse_mass(text) == pytest.approx(mass_g, rel=1e-14)


def test_the_sizes_of_units_are_the_legal_ones() -> None:
    """NIST Handbook 44 appendix C: US gallon 231 in3; UK gallon 4.54609 L; inch 25.4 mm."""
    assert MASS_G["lb"] == 16.0 * MASS_G["oz"]
    assert LOCAL_VOLUME_ML["gallon"]["US"] == pytest.approx(231.0 * 2.54**3, rel=1e-14)
    for place, ounces in (("US", 128.0), ("UK", 160.0)):
        gallon = LOCAL_VOLUME_ML["gallon"][place]
        assert gallon == pytest.approx(ounces * LOCAL_VOLUME_ML["fl oz"][place], rel=1e-12)
        assert gallon == pytest.approx(8.0 * LOCAL_VOLUME_ML["pint"][place], rel=1e-12)
        assert gallon == pytest.approx(4.0 * LOCAL_VOLUME_ML["quart"][place], rel=1e-12)
    us = {name: sizes["US"] for name, sizes in LOCAL_VOLUME_ML.items()}
    assert us["gallon"] == pytest.approx(16.0 * us["cup"], rel=1e-12)
    assert us["cup"] == pytest.approx(16.0 * us["tbsp"], rel=1e-12)
    assert us["tbsp"] == pytest.approx(3.0 * us["tsp"], rel=1e-12)
    assert VOLUME_ML["l"] == 1000.0
    assert LENGTH_MM["ft"] == pytest.approx(12.0 * LENGTH_MM["in"], rel=1e-14)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("8 fl oz", "is a volume"), ("500 ml", "is a volume"), ("5 gg", "Did you mean “g”"),
        ("-5 g", "“-5 g” is less than 0"),
        ("2 lb 4", "the 4 has no unit"), ("4 oz 2 lb", "larger to smaller"), ("2 lb 3 lb", "larger to smaller"),
        ("", "No mass"),
        ("g 200", "cannot be read"), ("heavy", "cannot be read"), ("1e400 g", "not a number"),
        ("1e308 kg", "not a possible mass"),
        ("5 / g", "not a number"), ("x" * 3000, "too long"),
    ],
)  # fmt: skip
def test_masses_that_cannot_be(text: str, said: str) -> None:
    with pytest.raises(BadInput, match=said) as refused:
        parse_mass(text)
    assert refused.value.remedy


def test_the_whole_text_is_asked_back() -> None:
    with pytest.raises(Ambiguous) as asked:
        parse_mass("1,500 g")
    assert [parse_mass(choice) for choice in asked.value.choices] == [1.5, 1500.0]
    with pytest.raises(Ambiguous) as asked:
        parse_mass("500", default_unit=None)
    assert asked.value.choices == ("500 g", "500 oz")
    assert parse_mass("8", default_unit="oz") == 8.0 * OUNCE_G


@pytest.mark.parametrize(
    ("text", "volume_ml"),
    [
        ("500", 500.0), ("0.5 l", 500.0), ("1,5 L", 1500.0), ("20 cl", 200.0), ("100 cm3", 100.0),
        ("100 cm³", 100.0), ("5 cc", 5.0),
        ("2 US gallons", 7570.823568), ("8 UK fl oz", 227.3045), ("8 us fl. oz.", 236.5882365),
        ("1 imperial pint", 568.26125),
        ("2 metric cups", 500.0), ("1 l 50 ml", 1050.0),
    ],
)  # fmt: skip
def test_volumes(text: str, volume_ml: float) -> None:
    assert parse_volume(text) == pytest.approx(volume_ml, rel=1e-14)


@pytest.mark.parametrize(
    ("text", "us_ml", "uk_ml"),
    [
        ("8 fl oz", 236.5882365, 227.3045), ("2 tbsp", 29.5735295625, 30.0), ("1 cup", 236.5882365, 250.0),
        ("1 pint 4 fl oz", 591.47059125, 681.9135),
    ],
)  # fmt: skip
def test_local_measures_are_asked_unless_the_region_is_known(text: str, us_ml: float, uk_ml: float) -> None:
    assert parse_volume(text, region="US") == pytest.approx(us_ml, rel=1e-12)
    assert parse_volume(text, region="UK") == pytest.approx(uk_ml, rel=1e-12)
    with pytest.raises(Ambiguous) as asked:
        parse_volume(text)
    for choice in asked.value.choices:
        parse_volume(choice)


def test_an_ounce_in_a_volume_field_is_asked() -> None:
    with pytest.raises(Ambiguous) as asked:
        parse_volume("8 oz")
    assert asked.value.choices == ("8 US fl oz", "8 UK fl oz")
    with pytest.raises(BadInput, match="is a mass"):
        parse_volume("5 g")
    with pytest.raises(BadInput, match="Did you mean “ml”"):
        parse_volume("5 mll")
    with pytest.raises(Ambiguous):
        parse_volume("5", default_unit=None)


def test_an_amount_says_itself_whether_it_is_a_mass() -> None:
    assert parse_amount("2 lb 4 oz") == Quantity("mass", 1020.5828325)
    assert parse_amount("500 ml") == Quantity("volume", 500.0)
    assert parse_amount("8 oz weight") == Quantity("mass", 8.0 * OUNCE_G)
    assert parse_amount("8 fl oz", region="UK") == Quantity("volume", 8 * 28.4130625)


@pytest.mark.parametrize("text", ["8 oz", "500", "1,500 ml", "2 fl oz"])
def test_an_unclear_amount_is_asked_and_every_choice_is_clear(text: str) -> None:
    with pytest.raises(Ambiguous) as asked:
        parse_amount(text)
    for choice in asked.value.choices:
        parse_amount(choice)


def test_an_ounce_with_a_region_offers_that_regions_measure() -> None:
    with pytest.raises(Ambiguous) as asked:
        parse_amount("8 oz", region="US")
    assert asked.value.choices == ("8 oz weight", "8 US fl oz")


def test_an_amount_in_nothing_known_is_refused() -> None:
    with pytest.raises(BadInput, match="not a unit of mass or volume"):
        parse_amount("3 handfuls")


@pytest.mark.parametrize(
    ("text", "degrees_c"),
    [
        ("170 °F", 76.0 + 2.0 / 3.0), ("77 C", 77.0), ("77°c", 77.0), ("158 ºF", 70.0), ("32 deg F", 0.0),
        ("-40 F", -40.0),
        ("77 degrees Celsius", 77.0), ("350 K", 76.85), ("1,5 °C", 1.5), ("212 fahrenheit", 100.0),
        ("-273.15 °C", -273.15),
    ],
)  # fmt: skip
def test_temperatures(text: str, degrees_c: float) -> None:
    assert parse_temperature(text) == pytest.approx(degrees_c, abs=1e-12)


def test_degrees_of_nothing_are_asked() -> None:
    for text in ("77", "77 °", "77 degrees"):
        with pytest.raises(Ambiguous) as asked:
            parse_temperature(text)
        assert asked.value.choices == ("77 °C", "77 °F")
    assert parse_temperature("77", default_unit="C") == 77.0
    assert parse_temperature("32", default_unit="°F") == 0.0


@pytest.mark.parametrize("text", ["-300 C", "hot", "77 X", "", "77 °C 3", "1e999 C", "-1 K"])
def test_temperatures_that_cannot_be(text: str) -> None:
    with pytest.raises(BadInput) as refused:
        parse_temperature(text)
    assert refused.value.remedy


@pytest.mark.parametrize(
    ("text", "length_mm"),
    [
        ("220 mm", 220.0),
        ("22 cm", 220.0),
        ('3 1/2"', 88.9),
        ("1 ft 2 in", 355.6),
        ("5' 3\"", 1600.2),
        ("7", 7.0),
        ("0,5 m", 500.0),
    ],
)
def test_lengths(text: str, length_mm: float) -> None:
    assert parse_length(text) == pytest.approx(length_mm, rel=1e-14)


def test_lengths_that_cannot_be() -> None:
    with pytest.raises(BadInput, match="not a unit of length"):
        parse_length("4 furlongs")
    with pytest.raises(Ambiguous):
        parse_length("7", default_unit=None)


@pytest.mark.parametrize(
    ("text", "share"),
    [
        ("35 %", 0.35),
        ("35", 0.35),
        ("92.4%", 0.924),
        ("5 ‰", 0.005),
        ("1,5 %", 0.015),
        ("0.1 percent", 0.001),
        ("100", 1.0),
    ],
)
def test_percentages(text: str, share: float) -> None:
    assert parse_percent(text) == share


@pytest.mark.parametrize("text", ["110 %", "-1 %", "x %", "5 g", "", "nan %"])
def test_percentages_that_cannot_be(text: str) -> None:
    with pytest.raises(BadInput):
        parse_percent(text)
    assert parse_percent("-2 %", at_least_percent=-20.0) == -0.02


@given(value=st.floats(0.0, 1e12, allow_subnormal=False))
def test_a_number_written_plainly_reads_back_exactly(value: float) -> None:
    assert parse_number(repr(value)) == value
    assert parse_mass(f"{value!r} g") == value
    assert parse_percent(f"{value!r} %", at_most_percent=math.inf) == pytest.approx(value / 100.0, rel=1e-15)


STEPS_G = st.one_of(
    st.sampled_from([0.01, 0.1, 0.5, 1.0, 2.0, 5.0, 10.0]),
    st.sampled_from([1, 2, 4, 8, 16, 32]).map(lambda parts: OUNCE_G / parts),
    st.sampled_from([0.1, 0.05, 0.01]).map(lambda ounces: OUNCE_G * ounces),
)


@given(mass_g=st.floats(0.0, 1e5), step_g=STEPS_G, system=st.sampled_from(["g", "kg", "lb_oz"]))
def test_a_mass_as_shown_reads_back_to_the_step(mass_g: float, step_g: float, system: str) -> None:
    """In lb and oz a step that is no fraction of an ounce is shown to the next finer decimal."""
    shown = format_mass(mass_g, step_g, system)  # type: ignore[arg-type]
    assert abs(parse_mass(shown) - mass_g) <= 1.1 * step_g + 1e-9
    if system == "lb_oz" and OUNCE_G / step_g == round(OUNCE_G / step_g):
        assert abs(parse_mass(shown) - mass_g) <= 0.5 * step_g * (1 + 1e-9) + 1e-9


@pytest.mark.parametrize(
    ("mass_g", "step_g", "system", "shown"),
    [
        (1234.56, 1.0, "g", "1235 g"), (1234.5, 0.1, "g", "1234.5 g"), (66.47, 0.01, "g", "66.47 g"),
        (1234.5, 5.0, "kg", "1.235 kg"),
        (2 * POUND_G + 4.125 * OUNCE_G, OUNCE_G / 8, "lb_oz", "2 lb 4 1/8 oz"),
        (2 * POUND_G, OUNCE_G / 8, "lb_oz", "2 lb"),
        (10.0, OUNCE_G / 8, "lb_oz", "3/8 oz"), (0.0, OUNCE_G, "lb_oz", "0 oz"),
        (6 * OUNCE_G, OUNCE_G / 4, "lb_oz", "6 oz"),
        (1021.0, 0.1 * OUNCE_G, "lb_oz", "2 lb 4.0 oz"), (-3.5 * OUNCE_G, OUNCE_G / 4, "lb_oz", "-3 1/2 oz"),
        (-2.0, 1.0, "g", "-2 g"),
        (16 * OUNCE_G - 0.1, OUNCE_G / 8, "lb_oz", "1 lb"),
    ],
)  # fmt: skip
def test_masses_as_shown(mass_g: float, step_g: float, system: str, shown: str) -> None:
    assert format_mass(mass_g, step_g, system) == shown  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("mass_g", "step_g"), [(1.0, 0.0), (1.0, -1.0), (math.nan, 1.0), (1.0, math.nan), (math.inf, 1.0)]
)
def test_no_mass_can_be_shown_without_a_step(mass_g: float, step_g: float) -> None:
    with pytest.raises(BadInput):
        format_mass(mass_g, step_g)


@pytest.mark.parametrize(
    ("value", "significant", "shown"),
    [
        (0.06647, 3, "0.0665"), (1234.5, 3, "1230"), (12.0, 3, "12.0"), (0.0, 3, "0"), (1.2345e-7, 2, "0.00000012"),
        (-5.678, 2, "-5.7"), (99.96, 3, "100"), (1e9, 3, "1000000000"),
    ],
)  # fmt: skip
def test_numbers_as_shown(value: float, significant: int, shown: str) -> None:
    assert format_number(value, significant) == shown


@given(value=st.floats(-1e9, 1e9, allow_subnormal=False), significant=st.integers(1, 8))
def test_a_number_as_shown_reads_back_to_its_digits(value: float, significant: int) -> None:
    assert parse_number(format_number(value, significant)) == pytest.approx(
        value, rel=0.51 * 10.0 ** (1 - significant), abs=0.0
    )


def test_nothing_is_no_number_to_show() -> None:
    with pytest.raises(BadInput):
        format_number(math.nan)


@pytest.mark.parametrize("parse", PARSERS)
@given(text=st.text(alphabet="0123456789 .,'-+/½%°\"lbozgfrckin", max_size=30))
def test_whatever_is_typed_is_read_asked_or_refused(parse, text: str) -> None:
    try:
        parse(text)
    except Ambiguous as asked:
        assert len(asked.choices) >= 2
    except BadInput as refused:
        assert refused.what
