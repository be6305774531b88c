"""Readings: numbers as shown agree with the pot, carry their working, and say how well they are known."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kettleglass.errors import BadInput
from kettleglass.recipe.compare import compare
from kettleglass.recipe.readings import Reading, chance_text, number_text, readings_of, water_sources
from kettleglass.recipe.readings.reading import least_known
from kettleglass.recipe.recipe import AlkaliPlan, Amount, Losses, Recipe, WeighingScale
from kettleglass.recipe.work import work_out
from tests.goods import DEMO, find, line
from tests.recipe.test_solve import recipes


def readings(recipe: Recipe) -> dict[str, Reading]:
    return readings_of(work_out(recipe, find))


def test_the_alkali_says_how_it_came_about() -> None:
    lye = readings(DEMO)["weigh.soda"]
    assert lye.text == "66.46"
    for figure in ("91.370 g as KOH", "65.14 g NaOH", "98.0 %", "66.47 g", "Rounded down"):
        assert figure in lye.working
    assert ("coconut", "256.5 mg KOH/g (248 to 265, read)") in lye.inputs
    assert lye.sources == ("made up for tests",)


def test_every_reading_has_a_working_and_a_label() -> None:
    recipe = replace(DEMO, water_hardness_mg_l=200.0, measured_free_alkali_percent=0.2, losses=Losses(0.1, 0.02))
    for reading in readings(recipe).values():
        assert reading.working.endswith((".", "%")) and reading.label, reading.key


@given(recipes())
def test_parts_sum_to_the_pot_in_every_state(recipe: Recipe) -> None:
    found = readings(recipe)
    worked = work_out(recipe, find)
    for state, pot in (("added", worked.added), ("cooked", worked.cooked), ("finished", worked.finished)):
        parts = [
            r.value or 0.0 for key, r in found.items() if key.startswith(f"{state}.") and not key.endswith("percent")
        ]
        assert sum(parts) == pytest.approx(float(pot.sum()), abs=0.02)


def test_losses_leave_as_stated() -> None:
    before, after = readings(DEMO), readings(replace(DEMO, losses=Losses(alcohol=0.1, water=0.05)))
    lost = 0.1 * (before["cooked.ethanol"].value or 0) + 0.05 * (before["cooked.water"].value or 0)
    assert (after["pot.yield"].value or 0) == pytest.approx((before["pot.total"].value or 0) - lost)


def test_water_is_told_by_source() -> None:
    sources = {key: grams for key, _, grams in water_sources(work_out(DEMO, find))}
    assert sources["syrup"] == pytest.approx(55.0)
    assert list(sources.values()) == sorted(sources.values(), reverse=True)


def test_a_measured_free_alkali_asks_for_the_acid_at_hand() -> None:
    """0.2 % NaOH of 931 g is 1.86 g or 46.6 mmol; stearic acid of SV 209.5 takes 3.734 mmol a gram: 12.47 g."""
    dose = readings(replace(DEMO, measured_free_alkali_percent=0.2))["measured.acid"]
    assert dose.label == "stearic to cook in"
    assert dose.value == pytest.approx(12.46, abs=0.02)
    lye = readings(replace(DEMO, measured_free_alkali_percent=-0.2))["measured.lye"]
    assert lye.label == "soda to cook in"
    assert lye.value == pytest.approx(1.90, abs=0.011)
    assert not {"measured.acid", "measured.lye"} & set(readings(DEMO))


@pytest.mark.parametrize(
    ("chance", "text"), [(0.004, "< 1"), (0.0101, "1"), (0.306, "31"), (0.995, "> 99"), (0.99, "99")]
)
def test_chances_are_whole_per_cents(chance: float, text: str) -> None:
    assert chance_text(chance) == text


@given(st.floats(-1e6, 1e6), st.integers(0, 4))
def test_shown_numbers_read_back(value: float, decimals: int) -> None:
    text = number_text(value, decimals)
    assert float(text.replace("\N{MINUS SIGN}", "-")) == pytest.approx(value, abs=0.5001 * 10**-decimals)
    assert text not in ("-0", "\N{MINUS SIGN}0")


def test_a_reading_is_as_well_known_as_its_worst_input() -> None:
    assert least_known(["read", "memory", "maker"]) == "memory"
    assert least_known([]) == "derived"
    with pytest.raises(BadInput):
        Reading("x", "x", float("nan"), "g", "")


def test_comparing_says_what_changed_and_what_it_does() -> None:
    more = replace(DEMO, lines=(*DEMO.lines[:5], line("spirit", 200, "clear"), *DEMO.lines[6:]))
    both = [(work_out(r, find), readings(r)) for r in (DEMO, more)]
    found = compare(*both)
    assert [(c.name, c.before, c.after) for c in found.lines] == [("spirit", 150.0, 200.0)]
    assert "Ethanol up: clearer while it stays in." in found.sentences
    same = compare(both[0], both[0])
    assert same.lines == () and same.readings == () and same.sentences == ()


def test_amounts_by_volume_and_share_say_so() -> None:
    lines = (
        *DEMO.lines[:5],
        line("spirit", Amount(150, "mL"), "clear"),
        line("syrup", Amount(30, "% of soap"), "syrup"),
    )
    found = readings(replace(DEMO, lines=lines, alkali=AlkaliPlan(2.0), scale=WeighingScale(0.1)))
    assert "150 mL × 0.812 g/mL = 121.8 g." in found["weigh.spirit"].working
    assert "anhydrous soap" in found["weigh.syrup"].working
    assert "less for a superfat of 2 %" in found["weigh.soda"].working
