"""The method: the usual steps for what is in the pot, the maker's own, and every caution at a step."""

from __future__ import annotations

from itertools import combinations

import pytest

from kettleglass.recipe.method import ALCOHOL_CODES, CAUTION, CAUTIONS, LYE_CODES, SCENT, Hurtful, steps
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


EVERY_SUBSET = [c for n in range(1, len(STAGES) + 1) for c in combinations(STAGES, n)]


@pytest.mark.parametrize("written", EVERY_SUBSET, ids="-".join)
def test_no_caution_is_lost_in_a_method_of_the_makers_own(written: tuple[Stage, ...]) -> None:
    own = tuple(MethodStep(f"do {stage}", stage, 80.0, 30.0) for stage in written)
    shown = steps(own, DEMO)
    assert [step.text for step in shown] == [f"do {stage}" for stage in written]
    said = [caution for step in shown for caution in step.cautions]
    for stage in ("fats", "lye", "paste", "clear", "syrup"):
        assert all(said.count(caution) == 1 for caution in CAUTIONS[stage])  # type: ignore[index]
    assert shown[0].hold == "30 minutes, 80 °C, covered"


WITH_THE_LYE: dict[Stage, tuple[str, ...]] = {"fats": ("a",), "lye": ("b", "spirit"), "syrup": ("d",)}
PASTE_FIRST: dict[Stage, tuple[str, ...]] = {"fats": ("a",), "lye": ("b",), "clear": ("spirit",), "syrup": ("d",)}


@pytest.mark.parametrize("covered", [True, False])
@pytest.mark.parametrize("lines_of", [PASTE_FIRST, WITH_THE_LYE], ids=["paste first", "alcohol with the lye"])
@pytest.mark.parametrize("written", EVERY_SUBSET, ids="-".join)
def test_lye_and_alcohol_are_cautioned_where_they_go_in_whatever_the_order(
    written: tuple[Stage, ...], lines_of: dict[Stage, tuple[str, ...]], *, covered: bool
) -> None:
    own = tuple(MethodStep(f"do {stage}", stage, 80.0, 30.0, covered=covered) for stage in written)
    shown = steps(own, lines_of, Hurtful(frozenset({"spirit"}), frozenset({"b"})))
    (spirit,) = [row for row, step in enumerate(shown) if "spirit" in step.line_keys]
    (lye,) = [row for row, step in enumerate(shown) if "b" in step.line_keys]
    assert all(CAUTION[code].text in shown[lye].cautions for code in LYE_CODES)
    assert all(CAUTION[code].text in shown[spirit].cautions for code in ALCOHOL_CODES)
    watched = CAUTION["alcohol-lid" if covered else "alcohol-zone"].text
    assert [watched in step.cautions for step in shown[spirit:]] == [True] * len(shown[spirit:])
    assert not any(watched in step.cautions for step in shown[:spirit])
    assert CAUTION["alcohol-spray"].text in [caution for step in shown for caution in step.cautions]


def test_alcohol_that_is_not_there_is_not_cautioned() -> None:
    opaque = steps((), {"fats": ("a",), "lye": ("b",), "clear": ("glycol",)}, Hurtful(frozenset(), frozenset({"b"})))
    assert opaque and not [c for step in opaque for c in step.cautions if "lcohol" in c and "warm alcohol" not in c]


def test_alkali_outside_of_its_stage_is_cautioned_where_it_stands() -> None:
    shown = steps((), {**PASTE_FIRST, "finish": ("drop of lye",)}, Hurtful(None, frozenset({"b", "drop of lye"})))
    homes = [step.stage for step in shown if CAUTION["lye-protection"].text in step.cautions]
    assert homes == ["lye", "finish"]


def test_steps_out_of_the_usual_order_carry_the_cautions_at_both_ends() -> None:
    """Lye and spirit first, covered until done, as Simmons & Appleton 1908 describe it: the paste stands after."""
    own = tuple(MethodStep(stage, stage, 54.0, 10.0) for stage in ("fats", "lye", "clear", "paste", "syrup"))
    shown = steps(own, PASTE_FIRST, Hurtful(frozenset({"spirit"}), frozenset({"b"})))
    assert [CAUTION["paste-rise"].text in step.cautions for step in shown] == [False, False, True, True, False]
    turned = steps((own[2], own[1]), PASTE_FIRST)
    assert all(CAUTION["lye-protection"].text in step.cautions for step in turned)


def test_every_caution_defers_and_has_a_source() -> None:
    assert all(one.source for one in CAUTION.values())
    for code, word in (("lye-first-aid", "local rules"), ("alcohol-storage", "local fire code")):
        assert word in CAUTION[code].text
    for named in ("P301+P330+P331", "P303+P361+P353", "P304+P340", "P305+P351+P338"):
        assert named in CAUTION["lye-first-aid"].source, "CLP Annex IV precautionary statements"
