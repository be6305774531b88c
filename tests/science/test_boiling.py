"""The boiling point of the hot pot: by hand beside the program, up the mountains, with a band, and laws of any pot."""

from __future__ import annotations

import csv
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from kettleglass.errors import BadInput, OutOfRange, UnknownName
from kettleglass.recipe.work import work_out
from kettleglass.science.basis import Array
from kettleglass.science.heat import boiling_band, boiling_of, bubble_point, liquid_of_pot, pressure_at_pa
from kettleglass.science.heat.boiling import MODEL_K, partial_pressures_pa
from kettleglass.science.heat.liquid import Liquid
from kettleglass.science.heat.vapour import COMPONENTS
from tests.goods import DEMO, find

ATM = 101_325.0
WATER, ETHANOL, GLYCEROL = (COMPONENTS.index(name) for name in ("water", "ethanol", "glycerol"))
POT = {"soap": 0.26, "ethanol": 0.15, "glycerol": 0.15, "sucrose": 0.15, "water": 0.29}
SUCROSE_MOL, SOAP_MOL = 15.0 / 342.3, 26.0 / 300.0


def pot(alcohol_percent: float, alcohol: str = "ethanol") -> dict[str, float]:
    """The pot with more or less alcohol, water making up."""
    return POT | {"ethanol": 0.0} | {alcohol: alcohol_percent / 100.0, "water": 0.44 - alcohol_percent / 100.0}


def liquid(inert_mol: float = 0.0, **moles: float) -> Liquid:
    return Liquid(np.array([moles.get(name, 0.0) for name in COMPONENTS]), np.asarray(inert_mol))


# The same by hand: plain floats, the equations term by term, halving

ANTOINE = {"water": (16.54978, 3974.295, -40.001), "ethanol": (16.81083, 3764.402, -42.845)}
"""ln p/kPa = A - B / (T + C), glycerol without vapour."""
TAU = {
    ("ethanol", "water"): (0.27674, -89.315), ("water", "ethanol"): (0.61378, 380.552),
    ("water", "glycerol"): (0.0, 1.246), ("glycerol", "water"): (0.0, -186.133),
    ("ethanol", "glycerol"): (0.0, 200.0), ("glycerol", "ethanol"): (0.0, 200.0),
}  # fmt: skip
"""tau = a + b / T."""


def by_hand_pa(moles: dict[str, float], inert_mol: float, temperature_c: float) -> dict[str, float]:
    """Partial pressures: x g p, the coefficients by Renon & Prausnitz 1968, all species in sums of plain products."""
    kelvin = temperature_c + 273.15
    whole = sum(moles.values()) + inert_mol
    x = {name: amount / whole for name, amount in moles.items()}
    alpha = {frozenset(("ethanol", "water")): 0.36141}
    tau = {(i, j): (0.0 if i == j else TAU[i, j][0] + TAU[i, j][1] / kelvin) for i in x for j in x}
    g = {(i, j): math.exp(-alpha.get(frozenset((i, j)), 0.3) * tau[i, j]) for i in x for j in x}
    out = {}
    for i in ("water", "ethanol"):
        log = sum(tau[j, i] * g[j, i] * x[j] for j in x) / sum(g[k, i] * x[k] for k in x)
        for j, share in x.items():
            below = sum(g[k, j] * x[k] for k in x)
            log += share * g[i, j] / below * (tau[i, j] - sum(x[m] * tau[m, j] * g[m, j] for m in x) / below)
        a, b, c = ANTOINE[i]
        out[i] = x[i] * math.exp(log) * 1000.0 * math.exp(a - b / (kelvin + c))
    return out


def boils_by_hand_c(moles: dict[str, float], inert_mol: float) -> float:
    low, high = 40.0, 109.0
    for _ in range(50):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if sum(by_hand_pa(moles, inert_mol, middle).values()) < ATM else (low, middle)
    return low


TREATMENTS = [
    ("volatiles and glycerol only", 0.0, 0.0, 85.4, 43.9, 38.4),
    ("sugar as inert particles", 0.0, SUCROSE_MOL, 86.0, 43.0, 37.6),
    ("each sugar holds five waters", 5.0, SUCROSE_MOL, 85.6, 45.1, 36.5),
    ("and soap at 0.3 particle", 5.0, SUCROSE_MOL + 0.3 * SOAP_MOL, 86.0, 44.5, 36.0),
    ("sugar inert, soap one particle", 0.0, SUCROSE_MOL + SOAP_MOL, 87.0, 41.3, 36.1),
    ("sugar inert, soap dissociated", 0.0, SUCROSE_MOL + 2.0 * SOAP_MOL, 88.1, 39.7, 34.8),
]


@pytest.mark.parametrize(
    ("bound_waters", "inert_mol", "boils_c", "ethanol_kpa", "water_kpa"),
    [row[1:] for row in TREATMENTS], ids=[row[0] for row in TREATMENTS],
)  # fmt: skip
def test_a_worked_pot(
    bound_waters: float, inert_mol: float, boils_c: float, ethanol_kpa: float, water_kpa: float
) -> None:
    """26 % soap, 15 % each of ethanol, glycerol and sugar, 29 % water, worked beforehand with another program."""
    moles = {
        "water": 29.0 / 18.0153 - bound_waters * SUCROSE_MOL, "ethanol": 15.0 / 46.0684, "glycerol": 15.0 / 92.0938,
    }  # fmt: skip
    mixed = liquid(inert_mol, **moles)
    found = float(boiling_of(mixed, ATM).temperature_c)
    assert found == pytest.approx(boils_by_hand_c(moles, inert_mol), abs=1e-3)
    assert found == pytest.approx(boils_c, abs=0.1)
    pressures = partial_pressures_pa(mixed, 80.0)
    by_hand = by_hand_pa(moles, inert_mol, 80.0)
    assert pressures[[ETHANOL, WATER]] == pytest.approx([by_hand["ethanol"], by_hand["water"]], rel=1e-6)
    assert pressures[[ETHANOL, WATER]] / 1000.0 == pytest.approx([ethanol_kpa, water_kpa], abs=0.15)


def test_the_pot_has_a_band() -> None:
    """86.0 °C, between 85 and 89: what soap and sugar may do, and the model's own error."""
    found = bubble_point(POT)
    assert found.temperature_c == pytest.approx(86.0, abs=0.1)
    assert found.low_c == pytest.approx(85.0, abs=0.2)
    assert found.high_c == pytest.approx(89.0, abs=0.5)
    assert set(found.vapour_mole_fractions) == {"water", "ethanol"}
    assert found.vapour_mole_fractions["ethanol"] == pytest.approx(0.55, abs=0.01)


def test_raoult_alone_would_be_wrong_by_twelve_degrees() -> None:
    """Without activity coefficients the same pot would seem to boil at 97.7 °C."""
    moles = np.array([29.0 / 18.0153 - 5.0 * SUCROSE_MOL, 15.0 / 46.0684, 0.0, 0.0, 15.0 / 92.0938, 0.0])
    x = moles / (moles.sum() + SUCROSE_MOL + 0.3 * SOAP_MOL)

    def pa(temperature_c: float) -> float:
        return sum(
            x[COMPONENTS.index(name)] * 1000.0 * math.exp(a - b / (temperature_c + 273.15 + c))
            for name, (a, b, c) in ANTOINE.items()
        )

    assert pa(97.2) < ATM < pa(98.2)
    assert bubble_point(POT).temperature_c < 97.7 - 11.0


@pytest.mark.parametrize(
    ("alcohol", "boils_c"),
    [("ethanol", (93.3, 88.6, 86.0, 84.5, 83.6, 83.1)), ("propan_2_ol", (90.9, 87.0, 85.5, 85.0, 84.8, 84.9))],
)
def test_the_pot_with_more_and_less_alcohol(alcohol: str, boils_c: tuple[float, ...]) -> None:
    """5 to 30 %, water making up; worked beforehand with another program."""
    found = [bubble_point(pot(percent, alcohol)).temperature_c for percent in (5, 10, 15, 20, 25, 30)]
    assert found == pytest.approx(boils_c, abs=0.1)


@pytest.mark.parametrize(("altitude_m", "low_c", "high_c"), [(1000, 83, 85), (1600, 81, 83), (2000, 80, 82)])
def test_the_pot_in_the_mountains(altitude_m: float, low_c: float, high_c: float) -> None:
    """The whole degrees its band covers; at 1600 m it boils within 77 to 82 °C, the heat of the trade."""
    found = bubble_point(POT, pressure_at_pa(altitude_m))
    assert low_c - 1.5 <= found.low_c <= found.temperature_c <= found.high_c <= high_c + 1.0
    assert low_c - 0.5 <= found.temperature_c <= high_c


def sugar_tables() -> list[tuple[float, float]]:
    """°Brix and rise of the boiling point in K: sugar-technology tables (recalled), and Starzak & Peacock 1997."""
    with (Path(__file__).parent.parent / "published" / "syrup_boiling.csv").open(encoding="utf-8", newline="") as file:
        rows = [row for row in csv.DictReader(file) if row["quantity"] == "boiling elevation"]
    return [(float(row["brix"]), float(row["value"])) for row in rows if 10.0 <= float(row["brix"]) <= 70.0]


@pytest.mark.parametrize(("brix", "rise_k"), sugar_tables())
def test_the_treatment_of_sugar_against_sugar_tables(brix: float, rise_k: float) -> None:
    """Five waters to a sugar: within 0.6 K up to 60 °Brix; too much beyond, where the band still holds the tables."""
    found = bubble_point({"sucrose": brix / 100.0, "water": 1.0 - brix / 100.0})
    water_c = bubble_point({"water": 1.0}).temperature_c
    assert found.low_c <= water_c + rise_k <= found.high_c
    assert found.temperature_c - water_c == pytest.approx(rise_k, abs=0.6) or brix > 60.0


def test_one_percent_less_volatile_raises_it_by_a_quarter_of_a_degree() -> None:
    moles = {"water": 1.61, "ethanol": 0.326, "glycerol": 0.163}
    less = liquid(0.01 * sum(moles.values()) / 0.99, **moles)
    rise = float(boiling_of(less, ATM).temperature_c - boiling_of(liquid(**moles), ATM).temperature_c)
    assert rise == pytest.approx(0.27, abs=0.03)


@pytest.mark.parametrize(
    ("altitude_m", "hpa"), [(0, 1013.25), (500, 954.61), (1000, 898.75), (2000, 794.95), (3000, 701.09), (5000, 540.20)]
)
def test_the_standard_atmosphere(altitude_m: float, hpa: float) -> None:
    """ISO 2533:1975 by geopotential height, recalled; the formula leaves it by less than 0.01 %."""
    assert pressure_at_pa(altitude_m) == pytest.approx(100.0 * hpa, rel=1e-4)


@pytest.mark.parametrize("altitude_m", [-431.0, 5501.0, math.nan])
def test_altitudes_where_nobody_cooks(altitude_m: float) -> None:
    with pytest.raises(OutOfRange, match="altitude"):
        pressure_at_pa(altitude_m)


# Laws

amounts = st.floats(0.02, 1.0)
pressures = st.floats(60_000.0, 105_000.0)
alcohols = st.sampled_from(["ethanol", "propan_2_ol", "methanol"])


@st.composite
def liquids(draw: st.DrawFn) -> Liquid:
    """Water enough to boil below 110 °C at any pressure, an alcohol, polyols, and particles that stay."""
    moles = {"water": draw(st.floats(2.0, 4.0)), draw(alcohols): draw(amounts), "glycerol": draw(st.floats(0.0, 0.2)),
             "propylene_glycol": draw(st.floats(0.0, 0.1))}  # fmt: skip
    return liquid(draw(st.floats(0.0, 0.15)), **moles)


@given(liquids(), pressures)
def test_at_the_boiling_point_the_vapour_presses_like_the_air(mixed: Liquid, pressure_pa: float) -> None:
    found = boiling_of(mixed, pressure_pa)
    pressing = partial_pressures_pa(mixed, found.temperature_c)
    assert float(pressing.sum()) == pytest.approx(pressure_pa, rel=1e-6)
    np.testing.assert_allclose(found.vapour, pressing / pressing.sum(), rtol=1e-9)


@given(liquids(), pressures)
def test_vapour_fractions_add_up_to_one(mixed: Liquid, pressure_pa: float) -> None:
    vapour = boiling_of(mixed, pressure_pa).vapour
    assert float(vapour.sum()) == pytest.approx(1.0, abs=1e-12)
    assert (vapour >= 0.0).all() and vapour[GLYCEROL] == 0.0
    assert ((vapour > 0.0) <= (mixed.moles > 0.0)).all()


@given(liquids(), st.floats(0.0, 2500.0), st.floats(50.0, 1000.0))
def test_it_falls_with_altitude(mixed: Liquid, altitude_m: float, higher_m: float) -> None:
    below, above = (boiling_of(mixed, pressure_at_pa(h)).temperature_c for h in (altitude_m, altitude_m + higher_m))
    assert above < below


@given(liquids(), pressures, st.floats(0.001, 0.2))
def test_it_rises_with_what_stays(mixed: Liquid, pressure_pa: float, more: float) -> None:
    thicker = replace(mixed, inert_mol=mixed.inert_mol + more)
    assert boiling_of(thicker, pressure_pa).temperature_c > boiling_of(mixed, pressure_pa).temperature_c


@given(st.floats(0.0, 0.30), st.floats(0.002, 0.05), st.floats(0.05, 0.3), st.floats(0.0, 0.3), pressures)
def test_it_falls_with_alcohol(
    alcohol: float, more: float, soap: float, sugar: float, pressure_pa: float
) -> None:  # fmt: skip
    """Ethanol in place of water, the rest fixed, up to 0.35 by mass: far from the azeotrope, where it would turn."""
    rest = {"soap": soap, "sucrose": sugar}
    dry = 1.0 - sum(rest.values())
    assume(dry - alcohol - more > 0.25)
    lean, rich = (
        bubble_point({**rest, "ethanol": share, "water": dry - share}, pressure_pa).temperature_c
        for share in (alcohol, alcohol + more)
    )
    assert rich < lean


@given(st.lists(st.tuples(liquids(), pressures), min_size=1, max_size=6))
def test_many_pots_are_each_alone(several: list[tuple[Liquid, float]]) -> None:
    together = Liquid(
        np.stack([mixed.moles for mixed, _ in several], axis=1), np.array([float(m.inert_mol) for m, _ in several])
    )
    found = boiling_of(together, np.array([pressure_pa for _, pressure_pa in several]))
    for column, (mixed, pressure_pa) in enumerate(several):
        alone = boiling_of(mixed, pressure_pa)
        assert found.temperature_c[column] == pytest.approx(float(alone.temperature_c), abs=1e-6)
        np.testing.assert_allclose(found.vapour[:, column], alone.vapour, rtol=1e-7)


@given(liquids(), st.lists(pressures, min_size=1, max_size=5))
def test_one_pot_at_many_pressures(mixed: Liquid, several: list[float]) -> None:
    found = boiling_of(mixed, np.array(several))
    assert found.vapour.shape == (len(COMPONENTS), len(several))
    for column, pressure_pa in enumerate(several):
        assert found.temperature_c[column] == pytest.approx(float(boiling_of(mixed, pressure_pa).temperature_c))


@given(liquids(), pressures, st.floats(0.01, 1000.0))
def test_the_size_of_the_pot_does_not_matter(mixed: Liquid, pressure_pa: float, times: float) -> None:
    bigger = Liquid(times * mixed.moles, times * mixed.inert_mol)
    assert float(boiling_of(bigger, pressure_pa).temperature_c) == pytest.approx(
        float(boiling_of(mixed, pressure_pa).temperature_c), abs=1e-6
    )


# Both doors


def demo_pot() -> tuple[object, Array]:
    worked = work_out(DEMO, find, random_pots=False)
    return worked.sheet.basis, worked.cooked


def test_the_door_by_mass_fractions_is_the_door_of_pots() -> None:
    basis, cooked = demo_pot()
    shares = {name: grams / float(cooked.sum()) for name, grams in basis.as_dict(cooked).items()}
    found = bubble_point(shares)
    low, likely, high = boiling_band(basis, cooked)
    assert (found.low_c, found.temperature_c, found.high_c) == pytest.approx((float(low), float(likely), float(high)))
    alone = boiling_of(liquid_of_pot(basis, cooked))
    assert found.vapour_mole_fractions["ethanol"] == pytest.approx(float(alone.vapour[ETHANOL]))


def test_bands_of_many_pots_are_each_alone() -> None:
    basis, cooked = demo_pot()
    weaker = cooked.copy()
    weaker[basis.row("ethanol")] *= 0.5
    several = np.stack([cooked, 2.0 * cooked, weaker], axis=1)
    pressure = np.array([101_325.0, 90_000.0, 80_000.0])
    together = boiling_band(basis, several, pressure)
    for column in range(3):
        alone = boiling_band(basis, several[:, column], pressure[column])
        assert [float(end[column]) for end in together] == pytest.approx([float(end) for end in alone], abs=1e-5)


def test_the_band_is_never_narrower_than_the_model() -> None:
    basis, cooked = demo_pot()
    low, likely, high = (float(end) for end in boiling_band(basis, cooked))
    assert low + MODEL_K <= likely + 1e-9 and likely + MODEL_K <= high + 1e-9


# Refusals


def test_an_unknown_name_is_a_key_error_that_offers_the_nearest() -> None:
    with pytest.raises(KeyError) as told:
        bubble_point({"etanol": 0.5, "water": 0.5})
    assert isinstance(told.value, UnknownName) and "ethanol" in told.value.nearest
    assert "“ethanol”" in str(told.value)


@pytest.mark.parametrize(
    "wrong",
    [
        {"ethanol": 0.5, "water": 0.500002}, {"ethanol": 0.5, "water": 0.499998}, {"ethanol": -0.1, "water": 1.1},
        {"ethanol": math.nan, "water": 1.0}, {"ethanol": math.inf, "water": 0.0}, {},
        {"glycerol": 1.0}, {"soap": 0.5, "sucrose": 0.5},
    ],
)  # fmt: skip
def test_what_is_no_liquid_that_boils_is_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(ValueError, match=r"mass fraction|evaporates") as told:
        bubble_point(wrong)
    assert isinstance(told.value, BadInput) and not isinstance(told.value, OutOfRange)


def test_a_sum_within_a_millionth_is_let_pass() -> None:
    assert bubble_point({"ethanol": 0.5, "water": 0.5000009}).temperature_c == pytest.approx(
        bubble_point({"ethanol": 0.5, "water": 0.5}).temperature_c, abs=1e-4
    )


@pytest.mark.parametrize("pressure_pa", [49_900.0, 110_100.0, 0.0, -1.0, math.nan, math.inf])
def test_pressures_outside_are_refused(pressure_pa: float) -> None:
    with pytest.raises(OutOfRange, match="pressure") as told:
        bubble_point(POT, pressure_pa)
    assert (told.value.low, told.value.high) == (50_000.0, 110_000.0)


@pytest.mark.parametrize("several", [[100_000.0, 90_000.0, 80_000.0], np.array([90_000.0, 80_000.0])])
def test_several_pressures_are_never_taken_for_the_treatments(several: object) -> None:
    """Three of them once gave one band, each end at another pressure."""
    with pytest.raises(BadInput, match="one air pressure"):
        bubble_point(POT, several)  # type: ignore[arg-type]


@pytest.mark.parametrize("hot", [{"glycerol": 0.7, "water": 0.3}, {"propylene_glycol": 0.99, "water": 0.01}])
def test_what_boils_above_110_is_refused(hot: dict[str, float]) -> None:
    with pytest.raises(OutOfRange, match="boiling point"):
        bubble_point(hot)
    assert bubble_point({"glycerol": 0.5, "water": 0.5}).temperature_c < 110.0


def test_one_bad_pot_among_many_is_found() -> None:
    moles = np.array([[1.0, 0.05], [0.3, 0.0], [0.0, 0.0], [0.0, 0.0], [0.1, 2.0], [0.0, 0.0]])
    with pytest.raises(OutOfRange, match="boiling point"):
        boiling_of(Liquid(moles, np.zeros(2)))
    moles[0, 1] = 0.0
    with pytest.raises(BadInput, match="nothing in this liquid"):
        boiling_of(Liquid(moles, np.zeros(2)))
