"""Weight logs of drying pieces: what is said in which case, word for word, and what a recipe lets expect."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from evidence.drying import FAMILIES, bar, declared, weighed
from hypothesis import given, settings
from hypothesis import strategies as st

from kettleglass.batch.answers import drying_dict
from kettleglass.batch.drying import MOST_READINGS, drying_forecast
from kettleglass.batch.expected import ExpectedLoss, expected_loss
from kettleglass.batch.forecast import DryingForecast
from kettleglass.batch.weights import Weighing, WeightLog
from kettleglass.cook.preview import cooked_out
from kettleglass.errors import BadInput
from kettleglass.materials.catalogue import load_catalogue
from kettleglass.recipe.exchange import read_recipe
from kettleglass.recipe.work import Worked, finder
from kettleglass.science.draws import stream
from kettleglass.science.drying.laws import page

EXAMPLES = Path(__file__).parents[2] / "examples"
DAYS = tuple(float(day) for day in range(0, 60, 3))


def log_of(days: Sequence[float], weights: Sequence[float], step_g: float = 0.1, pieces: int = 1) -> WeightLog:
    return WeightLog(tuple(map(Weighing, days, map(float, weights))), step_g, pieces)


def poured(count: int, *, step_g: float = 0.1, loss_g: float = 12.0, start_g: float = 100.0) -> WeightLog:
    """A bar by Page's law with exponent 0.8, weighed every third day."""
    days = np.array(DAYS[:count])
    true = (
        start_g - loss_g * (1.0 - page(days, 8.0, 0.8)) + 0.06 * stream(1, "poured").standard_normal(len(DAYS))[:count]
    )
    return log_of(DAYS[:count], np.round(np.round(true / step_g) * step_g, 6).tolist(), step_g)


def said(log: WeightLog, expected: ExpectedLoss | None = None) -> DryingForecast:
    return drying_forecast(log, expected)


def codes(found: DryingForecast) -> list[str]:
    return [one.code for one in found.findings]


MESSAGES = {
    0: "Nothing is weighed yet. Weigh the piece today, and note the day.",
    1: "No forecast yet: 1 weighing. Weigh again on day 3, day 5 and day 7.",
    3: "No forecast yet: 3 weighings over 6 days, 6.6 g (6.6 %) lost so far. Weigh again on day 8.",
    5: "Not ready yet, 8.9 g (8.9 %) lost so far; about 2.2 % still to go (1.0 to 7.2 %). It settles somewhere between"
    " 84.3 and 90.3 g. Ready to wrap between day 18 and day 77. Nothing is called ready before 6 weighings over 10"
    " days. Weigh again on day 19 and day 26 (about 8 more weighings).",
    12: "Not ready yet, 11.4 g (11.4 %) lost so far; about 0.5 % still to go (0.3 to 1.4 %). It settles at about 88.1 g"
    " (87.3 to 88.4). Ready to wrap between now and day 51. Weigh again on day 38 and day 43.",
    18: "Ready to wrap: less than 0.3 % of the weight should leave in the next 14 days (chance above 99 %, twice"
    " running). The weight has settled; check it again in 4 weeks. It settles at about 88.1 g (88.0 to 88.2).",
}  # fmt: skip


@pytest.mark.parametrize("count", MESSAGES)
def test_the_message_word_for_word(count: int) -> None:
    assert said(poured(count)).message == MESSAGES[count]


def test_dates_are_said_as_dates() -> None:
    found = said(replace(poured(5), first_date=date(2026, 3, 1)))
    assert "Ready to wrap between 19 March 2026 and 17 May 2026." in found.message
    assert drying_dict(found)["weigh_next_dates"] == ["2026-03-20", "2026-03-27"]
    assert drying_dict(found)["ready_from_date"]["low"] == "2026-03-19"


def test_days_are_counted_as_in_the_log() -> None:
    """Wherever the first weighing stands, the answer moves along with it."""
    one = said(poured(9))
    later = said(log_of([day + 100.0 for day in DAYS[:9]], poured(9).weights_g.tolist()))
    assert later.plateau_g == one.plateau_g
    assert one.ready_from_day is not None and later.ready_from_day is not None
    assert later.ready_from_day == pytest.approx([day + 100.0 for day in one.ready_from_day])
    assert later.plan.days == tuple(day + 100.0 for day in one.plan.days)


def test_the_order_of_entering_does_not_matter() -> None:
    log = poured(9)
    again = replace(log, weighings=tuple(reversed(log.weighings)))
    assert said(again).message == said(log).message


def test_ten_bars_together_say_more_than_one_on_a_coarse_scale() -> None:
    one = said(poured(9, step_g=1.0))
    ten = said(replace(poured(9, step_g=1.0, loss_g=120.0, start_g=1000.0), pieces=10))
    assert one.plateau_g is not None and ten.plateau_g is not None
    assert ten.plateau_g.high - ten.plateau_g.low < 0.8 * 10.0 * (one.plateau_g.high - one.plateau_g.low)
    per_piece = drying_dict(ten)["plateau_per_piece_g"]
    assert per_piece["likely"] == pytest.approx(ten.plateau_g.likely / 10.0)
    assert "look-for-chips" in codes(ten)


def test_a_scale_too_coarse_is_said_with_how_many_to_weigh() -> None:
    found = said(poured(6, step_g=1.0, loss_g=1.0))
    assert found.lost_g == pytest.approx(1.0)
    assert codes(found) == ["scale-too-coarse", "look-for-chips"] and "Weigh 4 pieces together" in found.message
    assert "scale-too-coarse" not in codes(said(poured(6, step_g=1.0)))


def test_equal_weights_on_a_fine_scale_are_ready() -> None:
    found = said(log_of(DAYS[:8], [100.0] * 8))
    assert found.ready and found.lost_g == 0.0 and "scale-too-coarse" not in codes(found)


def test_a_piece_that_takes_up_water_is_never_ready() -> None:
    dry = [100.0] * 9
    found = said(log_of(DAYS[:12], [*dry, 100.4, 100.9, 101.3]))
    assert found.rising and not found.ready and not found.settled
    assert (
        "takes-up-water" in codes(found) and "takes up water" in found.message and "Ready to wrap" not in found.message
    )
    assert not said(log_of(DAYS[:12], [*dry, 100.0, 100.1, 100.0])).rising


def test_weighings_that_contradict_each_other_are_no_forecast() -> None:
    found = said(log_of((0, 5, 10, 15, 20, 25), (100.0, 120.0, 90.0, 110.0, 95.0, 130.0)))
    assert found.scattered and not found.ready and found.plateau_g is None
    assert "readings fit no drying piece" in found.message
    wrap = said(replace(log_of((0, 5, 10, 15, 20), (500.0, 450.0, 500.0, 540.0, 500.0)), wrapped=True))
    assert wrap.scattered and not wrap.ready and "No forecast" in wrap.message


def test_a_slip_in_the_first_weighing_is_no_loss() -> None:
    weights = poured(12).weights_g.tolist()
    found = said(log_of(DAYS[:12], [1000.0, *weights[1:]]))
    assert found.odd == (0,) and found.start_g == weights[1] and found.lost_fraction < 0.12


def test_an_odd_reading_is_named_and_kept() -> None:
    weights = poured(12).weights_g.tolist()
    weights[5] = 19.3
    found = said(log_of(DAYS[:12], weights))
    assert found.odd == (5,) and codes(found) == ["odd-reading"]
    assert "day 15, 19.3 g, looks odd" in found.findings[0].text
    assert drying_dict(found)["odd_readings"] == [{"day": 15.0, "weight_g": 19.3}]
    assert found.plateau_g is not None and found.plateau_g.likely == pytest.approx(88.0, abs=0.5)


def chipped(count: int = 12, lost_g: float = 2.5) -> list[float]:
    weights = poured(count).weights_g
    weights[7:] -= lost_g
    return weights.round(1).tolist()


def test_a_lost_piece_is_asked_about_and_the_answer_counts() -> None:
    log = log_of(DAYS[:12], chipped())
    found = said(log)
    assert codes(found)[0] == "lost-piece" and "Did the piece lose a part between day 18 and day 21?" in found.message
    assert found.question is not None and found.question.lost_g == pytest.approx(2.5, abs=0.3)
    assert found.lost_g == pytest.approx(said(poured(12)).lost_g, abs=0.5), "what broke off has not dried away"
    yes = tuple(replace(one, broke=number == 7) for number, one in enumerate(log.weighings))
    seen = said(replace(log, weighings=yes))
    assert seen.question is None and seen.plateau_g == pytest.approx(found.plateau_g, abs=0.05)
    whole = said(replace(log, whole=True))
    assert whole.question is None and whole.lost_g == pytest.approx(100.0 - chipped()[-1], abs=0.2)


def test_several_pieces_are_asked_about_as_several() -> None:
    found = said(log_of(DAYS[:12], chipped(), pieces=2))
    assert "Did one of the pieces lose a part" in found.message


DEMO_LIKE = ExpectedLoss(0.10, 0.12, 0.14, 0.20)


def test_more_lost_than_can_leave_says_that_something_is_wrong() -> None:
    found = said(poured(9), ExpectedLoss(0.03, 0.04, 0.05, 0.06))
    assert codes(found) == ["lost-more-than-can-leave"]
    assert "11.0 % of the weight has left, but only 6.0 % of this recipe is water and alcohol" in found.message


def test_flat_but_light_says_that_a_second_stage_is_possible() -> None:
    weights = [100.0, 99.2, 99.0, *[98.9] * 13]
    found = said(log_of(DAYS[:16], weights), DEMO_LIKE)
    assert found.ready and "flat-but-light" in codes(found) and "a slow second stage is possible" in found.message
    assert said(log_of(DAYS[:16], weights)).findings == ()


def test_a_recipe_narrows_the_early_forecast() -> None:
    free, known = said(poured(4)).plateau_g, said(poured(4), DEMO_LIKE).plateau_g
    assert free is not None and known is not None
    assert known.high - known.low < 0.8 * (free.high - free.low)


def test_wrapped_base_is_asked_whether_its_weight_holds() -> None:
    holds = said(replace(log_of((0, 3, 7, 10, 14), (500.0, 499.9, 500.0, 499.9, 499.9)), wrapped=True))
    assert holds.ready and holds.message.startswith("Ready: the wrapped weight holds")
    leaks = said(replace(log_of((0, 3, 7, 10, 14), (500.0, 498.9, 497.4, 496.5, 495.1)), wrapped=True))
    assert not leaks.ready and "wrap tighter" in leaks.message and leaks.plan.days
    few = said(replace(log_of((0, 3), (500.0, 499.9)), wrapped=True))
    assert not few.ready and "3 weighings over 7 days" in few.message
    one = said(replace(log_of((0,), (500.0,)), wrapped=True))
    assert "when its weight holds" in one.message


def test_a_very_long_log_is_thinned_and_ends_where_it_ends() -> None:
    days = np.arange(0.0, 60.0, 0.05)
    weights = np.round(100.0 - 12.0 * (1.0 - page(days, 8.0, 0.8)), 1)
    found = said(log_of(days.tolist(), weights.tolist()))
    assert found.made is not None and len(found.made.days) == MOST_READINGS
    assert found.made.today == pytest.approx(days[-1]) and found.plateau_g is not None
    assert found.plateau_g.likely == pytest.approx(88.0, abs=0.2)


weighings = st.lists(
    st.tuples(st.floats(0.0, 300.0), st.floats(0.1, 5000.0), st.booleans()), max_size=14
).map(lambda rows: tuple(Weighing(day, round(grams, 1) or 0.1, broke=broke) for day, grams, broke in rows))  # fmt: skip


@given(weighings, st.sampled_from((0.01, 0.1, 1.0, 5.0)), st.booleans(), st.booleans())
@settings(max_examples=40, deadline=None)
def test_whatever_was_weighed_something_is_said(several, step_g, is_wrapped, whole) -> None:
    found = said(WeightLog(several, step_g, 1, date(2026, 3, 1), is_wrapped, whole), DEMO_LIKE)
    assert found.message and "nan" not in found.message
    assert json.loads(json.dumps(drying_dict(found), allow_nan=False))["weighings"] == len(several)
    assert all(0 <= place < len(several) for place in found.odd)
    assert not (found.ready and len(several) < 3)


@pytest.mark.parametrize("number", range(3))
def test_the_verdict_is_the_one_that_the_long_proof_judges(number: int) -> None:
    rng = stream(5, f"verdict {number}")
    seen = weighed(bar(tuple(FAMILIES)[number], rng), 0.1, rng)
    day = declared(seen, 0.1, 1)["B"]
    upto, before = seen.days <= day, seen.days < day
    assert said(log_of(seen.days[upto].tolist(), seen.read_g[upto].tolist())).ready
    assert not said(log_of(seen.days[before].tolist(), seen.read_g[before].tolist())).ready


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: Weighing(float("nan"), 1.0), lambda: Weighing(0.0, 0.0), lambda: Weighing(1e9, 1.0),
        lambda: WeightLog((), 0.0), lambda: WeightLog((), 1.0, 0),
    ],
)  # fmt: skip
def test_impossible_logs_are_refused(wrong) -> None:
    with pytest.raises(BadInput):
        wrong()


def worked(name: str) -> Worked:
    recipe = read_recipe((EXAMPLES / name).read_bytes()).recipe
    assert recipe is not None
    return cooked_out(recipe, finder(load_catalogue().get, {}), random_pots=False)[0]


def test_what_a_recipe_lets_expect_by_hand() -> None:
    """The demo base as finished: 13.6 % ethanol, 17.9 % water, 10.2 % glycerol, 41.8 % soap.

    Likely 0.95 × 13.6 + 0.7 × (17.9 − 0.25 × 10.2 − 0.10 × 41.8) = 12.9 + 7.8 = 20.7 %; low 0.7 × 13.6 + 0.3 × (17.9 −
    0.37 × 10.2 − 0.15 × 41.8) = 11.9 %; high 13.6 + 17.9 − 0.16 × 10.2 − 0.05 × 41.8 = 27.8 %.
    """
    found = expected_loss(worked("demo-clear-base.toml"))
    assert found is not None
    assert found.likely_fraction == pytest.approx(0.207, abs=0.001)
    assert (found.low_fraction, found.high_fraction) == pytest.approx((0.119, 0.278), abs=0.001)
    assert found.volatile_fraction == pytest.approx(0.315, abs=0.001)
    assert found.prior.fraction == pytest.approx(0.207, abs=0.001)
    assert found.prior.sd_fraction == pytest.approx(0.0414, abs=0.0005)


@pytest.mark.parametrize("name", sorted(path.name for path in EXAMPLES.glob("*.toml")))
def test_no_more_is_expected_than_can_leave(name: str) -> None:
    found = expected_loss(worked(name))
    assert found is not None
    assert 0.0 <= found.low_fraction <= found.likely_fraction <= found.high_fraction <= found.volatile_fraction
    assert 0.0 < found.prior.fraction < 1.0


def test_a_base_of_glycols_loses_less_than_one_of_alcohol() -> None:
    alcohol, glycols = (expected_loss(worked(f"{name}.toml")) for name in ("demo-clear-base", "opaque-white-base"))
    assert alcohol is not None and glycols is not None
    assert glycols.likely_fraction < 0.3 * alcohol.likely_fraction
