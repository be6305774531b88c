"""Flash points against published ones, fresh air and build-up by hand, and laws of both."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from kettleglass.errors import BadInput, OutOfRange, UnknownName
from kettleglass.science import fire
from kettleglass.science.alcoholometry import ethanol_mass_fraction_from_abv
from kettleglass.science.fire import (
    FLAMMABLE,
    LIMITS,
    airflow_m3_per_h,
    flash_of,
    flash_point_c,
    minutes_to_fraction,
    room_fraction_of_lel,
    room_ppm,
)
from kettleglass.science.heat.boiling import partial_pressures_pa
from kettleglass.science.heat.liquid import Liquid, liquid_of
from kettleglass.science.heat.vapour import COMPONENTS, saturation_pressure_pa

Row = dict[str, str]
PUBLISHED = Path(__file__).parent.parent / "published" / "flash_points.csv"
POT = {"soap": 0.26, "ethanol": 0.15, "glycerol": 0.15, "sucrose": 0.15, "water": 0.29}


def rows() -> list[Row]:
    """Left out: 5 % vol, for which the same lists print 81 °C and others 62."""
    with PUBLISHED.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def flash_of_row(row: Row) -> float:
    share = float(ethanol_mass_fraction_from_abv(float(row["strength"]) / 100.0))
    found = flash_point_c({"ethanol": share, "water": 1.0 - share})
    assert found is not None
    return found


def pot(alcohol_percent: float, alcohol: str = "ethanol") -> dict[str, float]:
    """The pot with more or less alcohol, water making up."""
    return POT | {"ethanol": 0.0} | {alcohol: alcohol_percent / 100.0, "water": 0.44 - alcohol_percent / 100.0}


# Flash points


@pytest.mark.parametrize("row", rows(), ids=lambda row: f"{row['strength']} {row['strength_unit']}")
def test_published_flash_points(row: Row) -> None:
    """Within 3 °C from 20 % vol on; at 10 % ours is 4.8 °C lower, which is the safe side."""
    off = flash_of_row(row) - float(row["value"])
    assert abs(off) <= float(row["tolerance"]), row["source"]
    assert float(row["tolerance"]) <= 3.0 or (float(row["strength"]) < 20.0 and off < 0.0)


def test_the_mean_of_published_flash_points() -> None:
    off = [abs(flash_of_row(row) - float(row["value"])) for row in rows()]
    assert len(off) >= 11 and sum(off) / len(off) <= 1.5


@pytest.mark.parametrize(("alcohol", "flash_c"), [("ethanol", 12.0), ("propan_2_ol", 12.0), ("methanol", 9.0)])
def test_pure_alcohols_flash_where_the_standard_says(alcohol: str, flash_c: float) -> None:
    """IEC 60079-20-1:2010."""
    assert flash_point_c({alcohol: 1.0}) == pytest.approx(flash_c, abs=1e-4)


@pytest.mark.parametrize(("percent", "flash_c"), [(5, 36), (10, 29), (15, 26), (20, 25), (25, 24)])
def test_the_pot_with_more_and_less_alcohol(percent: float, flash_c: float) -> None:
    """Worked beforehand with group contributions (modified UNIFAC) in place of our equation: no measurement.

    The two differ by 3.1 °C at 5 %, where ours is the higher, and by 2.2 at 25 %: as far as either may be off.
    """
    assert flash_point_c(pot(percent)) == pytest.approx(flash_c, abs=3.2)


def test_the_pot_with_propan_2_ol() -> None:
    """23 °C by the same."""
    assert flash_point_c(pot(15, "propan_2_ol")) == pytest.approx(23.0, abs=1.0)


@pytest.mark.parametrize(("percent", "flash_c"), [(1, 64), (2, 50), (3, 43)])
def test_what_is_left_in_a_base_still_burns(percent: float, flash_c: float) -> None:
    """By the same; the rest of the base in proportion to the pot. A little alcohol still makes it flammable."""
    rest = (1.0 - percent / 100.0) / 0.85
    base = {name: share * rest for name, share in POT.items()} | {"ethanol": percent / 100.0}
    assert flash_point_c(base) == pytest.approx(flash_c, abs=3.0)


def test_the_hot_pot_is_far_above_its_flash_point() -> None:
    """80 °C is some 50 °C above it, and its vapour beyond the upper limit of 19 % by volume."""
    found = flash_point_c(POT)
    assert found is not None and 80.0 - found > 50.0
    share = partial_pressures_pa(liquid_of(POT), 80.0)[COMPONENTS.index("ethanol")] / 101_325.0
    assert share == pytest.approx(0.44, abs=0.01) and share > FLAMMABLE["ethanol"].uel_fraction


@pytest.mark.parametrize(
    "nothing", [{"water": 1.0}, {"water": 0.5, "glycerol": 0.5}, {"water": 0.6, "soap": 0.4},
                {"ethanol": 1e-6, "water": 1.0 - 1e-6}],
)  # fmt: skip
def test_without_alcohol_there_is_no_flash_point(nothing: dict[str, float]) -> None:
    assert flash_point_c(nothing) is None


def test_refusals_are_those_of_liquids() -> None:
    with pytest.raises(KeyError, match="ethanol"):
        flash_point_c({"etanol": 1.0})
    for wrong in ({"ethanol": 0.9}, {"ethanol": -0.1, "water": 1.1}, {"ethanol": math.nan, "water": 1.0}):
        with pytest.raises(ValueError, match="mass fraction"):
            flash_point_c(wrong)


amounts = st.floats(0.01, 1.0)


@st.composite
def liquids(draw: st.DrawFn) -> Liquid:
    some = [draw(st.floats(0.0, 3.0)), *(draw(st.one_of(st.just(0.0), amounts)) for _ in COMPONENTS[1:])]
    return Liquid(np.array(some), np.asarray(draw(st.floats(0.001, 1.0))))


def burning(mixed: Liquid, temperature_c: float) -> float:
    """Le Chatelier's sum, written out: partial pressures over those of each pure alcohol at its flash point."""
    pressures = partial_pressures_pa(mixed, temperature_c)
    return sum(
        float(pressures[COMPONENTS.index(name)] / saturation_pressure_pa(one.flash_c)[COMPONENTS.index(name)])
        for name, one in FLAMMABLE.items()
    )


@given(liquids())
def test_at_the_flash_point_the_vapour_just_burns(mixed: Liquid) -> None:
    found = float(flash_of(mixed))
    assume(mixed.moles.any())
    if math.isnan(found):
        assert burning(mixed, 100.0) < 1.0 + 1e-6
    else:
        assert 5.0 <= found <= 100.0 and burning(mixed, found) == pytest.approx(1.0, abs=1e-6)


@given(st.lists(liquids(), min_size=1, max_size=6))
def test_many_liquids_are_each_alone(several: list[Liquid]) -> None:
    together = Liquid(
        np.stack([one.moles for one in several], axis=1), np.array([float(one.inert_mol) for one in several])
    )
    alone = [float(flash_of(one)) for one in several]
    np.testing.assert_allclose(flash_of(together), alone, atol=1e-5)


@given(st.floats(0.02, 0.9), st.floats(0.01, 0.09), st.sampled_from(["ethanol", "propan_2_ol", "methanol"]))
def test_more_alcohol_never_flashes_later(share: float, more: float, alcohol: str) -> None:
    lean, rich = (flash_point_c({alcohol: a, "water": 1.0 - a}) for a in (share, share + more))
    assert lean is not None and rich is not None
    assert rich <= lean + (0.35 if alcohol == "propan_2_ol" else 1e-6), "propan-2-ol: flat from 0.2 to 0.5, see below"


def test_propan_2_ol_and_water_flash_alike_over_a_wide_range() -> None:
    """As they boil alike: Orchillés 2017 found 82.1 °C at 0.158 and 80.4 at 0.476 mol/mol."""
    assert flash_point_c({"propan_2_ol": 0.25, "water": 0.75}) == pytest.approx(
        flash_point_c({"propan_2_ol": 0.5, "water": 0.5}), abs=1.0
    )


@given(st.floats(0.05, 0.6), st.floats(0.0, 0.2), st.floats(0.01, 0.15))
def test_more_soap_never_flashes_earlier(alcohol: float, soap: float, more: float) -> None:
    """In proportion: soap in a spirit, alcohol to water as it was."""
    thin, thick = (
        flash_point_c({"ethanol": alcohol * (1.0 - s), "water": (1.0 - alcohol) * (1.0 - s), "soap": s})
        for s in (soap, soap + more)
    )
    assert thin is not None and thick is not None and thick >= thin - 1e-6


# Limits


@pytest.mark.parametrize(
    ("alcohol", "lel", "uel", "ppm", "ignites_c"),
    [("ethanol", 3.1, 19.0, 1000, 400), ("propan_2_ol", 2.0, 12.7, 400, 399), ("methanol", 6.0, 36.0, 200, 440)],
)
def test_limits_of_the_standards(alcohol: str, lel: float, uel: float, ppm: float, ignites_c: float) -> None:
    """IEC 60079-20-1 (% by volume, °C; ignition recalled); NIOSH Pocket Guide and OSHA (ppm)."""
    one = FLAMMABLE[alcohol]
    assert (100.0 * one.lel_fraction, 100.0 * one.uel_fraction) == pytest.approx((lel, uel))
    assert 1e6 * one.exposure_fraction == pytest.approx(ppm)
    assert one.ignites_c == ignites_c and one.exposure_source


@pytest.mark.parametrize(("alcohol", "ppm"), [("ethanol", 1000), ("propan_2_ol", 500), ("methanol", 250)])
def test_short_term_limits(alcohol: str, ppm: float) -> None:
    """Over 15 minutes: ethanol Ontario Regulation 833, propan-2-ol NIOSH, methanol ACGIH; never below the day's."""
    one = FLAMMABLE[alcohol]
    assert 1e6 * one.short_term_fraction == pytest.approx(ppm) and f"{ppm} ppm" in one.short_term_source
    assert one.exposure_fraction <= one.short_term_fraction < 0.25 * one.lel_fraction


def test_the_vapour_that_flashes_is_the_lower_limit() -> None:
    """At its flash point an alcohol's saturated vapour is about its lower explosive limit (a common rule, +/- 40 %)."""
    for name, one in FLAMMABLE.items():
        share = saturation_pressure_pa(one.flash_c)[COMPONENTS.index(name)] / 101_325.0
        assert share == pytest.approx(one.lel_fraction, rel=0.4)


# Fresh air


@pytest.mark.parametrize(("limit", "m3_h"), [("lel_25", 121.0), ("lel_10", 303.0), ("exposure", 940.0)])
def test_fresh_air_for_ten_grams_a_minute(limit: fire.Limit, m3_h: float) -> None:
    """By hand: 10 / 46.07 mol/min of 24.06 L are 0.00522 m³/min; over a quarter of 3.1 %, times 60 and K = 3."""
    assert airflow_m3_per_h(10.0, limit=limit) == pytest.approx(m3_h, abs=0.5)
    share = {"lel_25": 0.25 * 0.031, "lel_10": 0.10 * 0.031, "exposure": 0.001}[limit]
    assert airflow_m3_per_h(10.0, limit=limit) == pytest.approx(60.0 * 3.0 * 10.0 / 46.07 * 0.02406 / share, rel=2e-4)


def test_fresh_air_by_the_equation_in_feet_and_pints() -> None:
    """ACGIH, Industrial Ventilation: Q = 403 SG 100 ER Sf / (M LEL B) in cfm; SG 0.789, ER in pints a minute, 70 °F.

    A pint is 473.2 mL, so 10 g/min are 0.02678 pint/min; 403 is 387 ft³/lb-mol at 70 °F x 1.0413 lb/pint.
    """
    pints_min = 10.0 / 0.789 / 473.18
    cfm = 403.0 * 0.789 * 100.0 * pints_min * 4.0 / (46.07 * 3.1)
    assert airflow_m3_per_h(10.0, mixing_factor=1.0) == pytest.approx(cfm * 1.699, rel=0.01)
    cfm = 403.0e6 * 0.789 * pints_min * 3.0 / (46.07 * 1000.0)
    assert airflow_m3_per_h(10.0, limit="exposure") == pytest.approx(cfm * 1.699, rel=0.01)


def test_health_sizes_the_air_before_fire_does() -> None:
    for species in FLAMMABLE:
        flows = [airflow_m3_per_h(10.0, species, limit) for limit in ("lel_25", "lel_10", "exposure")]
        assert flows == sorted(flows)


def test_build_up_of_a_closed_room() -> None:
    """30 m³: a quarter of the limit after 44.5 min; 600 g of ethanol make 1.04 % by volume, 34 % of the limit."""
    assert minutes_to_fraction(0.25, 10.0, 30.0) == pytest.approx(44.5, abs=0.05)
    assert room_fraction_of_lel(10.0, 44.518, 30.0) == pytest.approx(0.25, rel=1e-4)
    assert room_ppm(10.0, 60.0, 30.0) == pytest.approx(10_400.0, rel=0.01)
    assert room_fraction_of_lel(10.0, 60.0, 30.0) == pytest.approx(0.34, abs=0.005)


def test_the_flow_that_is_asked_for_holds_the_limit_in_the_long_run() -> None:
    flow = airflow_m3_per_h(10.0)
    assert room_fraction_of_lel(10.0, 1e5, 30.0, flow) == pytest.approx(0.25)
    assert minutes_to_fraction(0.2501, 10.0, 30.0, flow) is None
    nearly = minutes_to_fraction(0.2499, 10.0, 30.0, flow)
    assert nearly is not None and nearly > 60.0


rates, rooms, flows = st.floats(0.01, 500.0), st.floats(2.0, 1000.0), st.floats(0.0, 5000.0)
mixing = st.floats(1.0, 10.0)
species = st.sampled_from(sorted(FLAMMABLE))


@given(rates, rooms, flows, mixing, species, st.floats(0.001, 1.0))
def test_minutes_are_the_way_back(rate: float, room: float, flow: float, k: float, name: str, share: float) -> None:
    minutes = minutes_to_fraction(share, rate, room, flow, species=name, mixing_factor=k)
    if minutes is None:
        assert room_fraction_of_lel(rate, 1e5, room, flow, species=name, mixing_factor=k) <= share * (1.0 + 1e-9)
    elif minutes <= 1e5:
        found = room_fraction_of_lel(rate, minutes, room, flow, species=name, mixing_factor=k)
        assert found == pytest.approx(share, rel=1e-4)


@given(rates, st.floats(0.0, 600.0), rooms, flows, mixing, species)
def test_more_air_and_room_thin_it_more_time_and_vapour_thicken_it(
    rate: float, minutes: float, room: float, flow: float, k: float, name: str
) -> None:
    def ppm(rate_: float = rate, minutes_: float = minutes, room_: float = room, flow_: float = flow) -> float:
        return room_ppm(rate_, minutes_, room_, flow_, species=name, mixing_factor=k)

    here = ppm()
    slack = 1e-5 * here + 1e-9
    assert ppm(rate_=1.1 * rate) >= here - slack and ppm(minutes_=minutes + 1.0) >= here - slack
    assert ppm(room_=1.1 * room) <= here + slack and ppm(flow_=flow + 10.0) <= here + slack
    assert 0.0 <= here <= 1e6


@given(rates, species, mixing)
def test_air_goes_with_vapour_and_with_the_mixing_factor(rate: float, name: str, k: float) -> None:
    for limit in LIMITS:
        one = airflow_m3_per_h(rate, name, limit, k)
        assert airflow_m3_per_h(2.0 * rate, name, limit, k) == pytest.approx(2.0 * one)
        assert airflow_m3_per_h(rate, name, limit, 2.0 * k) == pytest.approx(2.0 * one)
    assert airflow_m3_per_h(0.0, name) == 0.0


# Refusals


def test_unknown_names_are_refused_with_what_there_is() -> None:
    with pytest.raises(UnknownName, match="ethanol") as told:
        airflow_m3_per_h(10.0, "etanol")
    assert isinstance(told.value, KeyError) and "ethanol" in told.value.nearest
    with pytest.raises(UnknownName, match="lel_25"):
        airflow_m3_per_h(10.0, limit="lel_24")  # type: ignore[arg-type]
    with pytest.raises(UnknownName):
        airflow_m3_per_h(10.0, "water")
    for ask in (lambda: room_ppm(1.0, 1.0, 30.0, species="vodka"), lambda: fire.flammable("wodka"),
                lambda: minutes_to_fraction(0.1, 1.0, 30.0, species="vodka")):  # fmt: skip
        with pytest.raises(UnknownName):
            ask()


@pytest.mark.parametrize("rate", [-1.0, math.nan, math.inf])
@pytest.mark.parametrize("k", [3.0, 0.5, math.nan])
def test_what_is_no_flow_of_vapour_or_no_mixing_is_refused(rate: float, k: float) -> None:
    with pytest.raises(OutOfRange):
        airflow_m3_per_h(rate, mixing_factor=k)
    with pytest.raises(OutOfRange):
        airflow_m3_per_h(10.0, mixing_factor=k if k != 3.0 else 25.0)


@pytest.mark.parametrize(
    "wrong", [{"room_m3": 0.0}, {"room_m3": -1.0}, {"room_m3": math.nan}, {"airflow_m3_h": -1.0},
              {"airflow_m3_h": math.nan}, {"mixing_factor": 0.0}, {"vapour_g_per_min": math.nan}],
)  # fmt: skip
def test_what_is_no_room_is_refused(wrong: dict[str, float]) -> None:
    given_ = {"vapour_g_per_min": 10.0, "room_m3": 30.0, "airflow_m3_h": 10.0, "mixing_factor": 3.0, **wrong}
    with pytest.raises(BadInput):
        room_ppm(minutes=10.0, **given_)
    with pytest.raises(BadInput):
        minutes_to_fraction(0.25, **given_)


def test_thinner_air_needs_more_of_it() -> None:
    """A mole fills 22.414 L at 0 °C and 101.325 kPa (CODATA), so as much more as the pressure is lower."""
    here, high = (airflow_m3_per_h(10.0, pressure_pa=pressure) for pressure in (101_325.0, 83_500.0))
    assert high / here == pytest.approx(101_325.0 / 83_500.0)
    ppm = [room_ppm(10.0, 30.0, 30.0, pressure_pa=pressure) for pressure in (101_325.0, 83_500.0)]
    assert ppm[1] / ppm[0] == pytest.approx(101_325.0 / 83_500.0)
