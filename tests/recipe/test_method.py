"""The method: the usual steps for what is in the pot, the maker's own, and every caution at a step."""

from __future__ import annotations

from itertools import combinations

import pytest

from kettleglass.recipe.method import CAUTIONS, SCENT, steps
from kettleglass.recipe.recipe import STAGES, MethodStep, Stage

DEMO: dict[Stage, tuple[str, ...]] = {"fats": ("a",), "lye": ("b",), "clear": ("c",), "syrup": ("d",)}


def test_the_usual_steps_run_in_the_order_of_the_pot() -> None:
    shown = steps((), DEMO)
    assert [step.stage for step in shown] == ["fats", "lye", "paste", "clear", "clear", "syrup", "finish", "finish"]
    assert "77–82 °C" in shown[2].hold and "30 minutes" in shown[2].hold and "covered" in shown[2].hold
    assert shown[3].line_keys == ("c",)
    assert "open" in shown[3].hold and "about 30 minutes" in shown[4].hold and "covered" in shown[4].hold


def test_stages_that_are_not_used_have_no_step() -> None:
    assert [step.stage for step in steps((), {"clear": ("a",)})] == ["clear", "clear"]
    assert steps((), {}) == ()


def test_scent_is_cautioned_only_where_something_is_finished_with() -> None:
    assert all(SCENT not in step.cautions for step in steps((), DEMO))
    scented = steps((), {**DEMO, "finish": ("e",)})
    assert [SCENT in step.cautions for step in scented if step.stage == "finish"] == [True, False]


@pytest.mark.parametrize("written", [c for n in (1, 2, 3) for c in combinations(STAGES, n)], ids="-".join)
def test_no_caution_is_lost_in_a_method_of_the_makers_own(written: tuple[Stage, ...]) -> None:
    own = tuple(MethodStep(f"do {stage}", stage, 80.0, 30.0) for stage in written)
    shown = steps(own, DEMO)
    assert [step.text for step in shown] == [f"do {stage}" for stage in written]
    said = [caution for step in shown for caution in step.cautions]
    for stage in ("fats", "lye", "paste", "clear", "syrup"):
        assert all(said.count(caution) == 1 for caution in CAUTIONS[stage])  # type: ignore[index]
    assert shown[0].hold == "30 minutes, 80 °C, covered"
