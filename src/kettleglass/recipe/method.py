"""The method under the recipe: the usual steps with their cautions, in the words of safety data sheets.

Times and temperatures are common practice, no source, unless one is named; where the maker has written steps of
their own, those are shown instead, and the cautions stay.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from kettleglass.recipe.recipe import STAGES, MethodStep, Stage


@dataclass(frozen=True, slots=True)
class Step:
    """A step as shown: what to do, what to hold to, and what can hurt."""

    text: str
    stage: Stage
    hold: str = ""
    cautions: tuple[str, ...] = ()
    line_keys: tuple[str, ...] = ()


CAUTIONS: dict[Stage, tuple[str, ...]] = {
    "fats": ("Hot fat burns: keep it below smoking, and water away from it.",),
    "lye": (
        "Lye causes severe burns to skin and eyes. Wear goggles, gloves and long sleeves; work in moving air.",
        "Always the alkali into cold water, a little at a time, never water onto alkali; it heats up to near boiling.",
        "No aluminium: lye dissolves it and gives off hydrogen. Steel, glass or polypropylene.",
        "On skin or in eyes: rinse with running water for at least 15 minutes and get medical help at once.",
    ),
    "paste": ("The paste can rise suddenly: stay with it, keep a third of the kettle free.",),
    "clear": (
        (
            "Alcohol vapour catches fire far below this temperature. No flame, hot plate element, spark or plugged-in"
            " device within a metre while the lid is off; heat off while adding; never a tightly sealed vessel."
        ),
        "Have a lid and an alcohol-resistant or dry-powder extinguisher at hand; move the air, keep others out.",
    ),
    "syrup": ("Hot syrup sticks and burns. Add it slowly, the mass below its boiling point.",),
    "finish": ("The base is hot and sticks to skin: gloves, a steady table, nobody else within reach.",),
}
"""What can hurt at each stage. Lye: H290, H314; ethanol: H225 (supplier safety data sheets)."""

SCENT = "Scent has a flash point of its own: add it as cool as the base still pours."

HOLD_C = 80.0
HOLD_TEXT = "77–82 °C"
"""The usual hold of 170–180 °F, and the figure within it that is reckoned with."""

USUAL: dict[Stage, tuple[MethodStep, ...]] = {
    "fats": (
        MethodStep("Melt the fats together and bring them to 77–82 °C (170–180 °F).", "fats", HOLD_C, 20.0),
    ),
    "lye": (
        MethodStep(
            "Stir the alkali into its water, let the lye clear, then stir it into the fats until the mass holds.",
            "lye", HOLD_C, 15.0, covered=False,
        ),
    ),
    "paste": (
        MethodStep(
            "Cook the paste covered until a test shows no free fat and no free alkali: the gate before the solvents.",
            "paste", HOLD_C, 30.0,
        ),
    ),
    "clear": (
        MethodStep(
            "Warm the alcohol and glycerol together in a covered, vented vessel in a water bath. Heat off, stir them"
            " into the paste until no lump is left.", "clear", HOLD_C, 5.0, covered=False,
        ),
        MethodStep("Cover and hold it hot, without a lump, until it is clear to the bottom.", "clear", HOLD_C, 30.0),
    ),
    "syrup": (
        MethodStep(
            "Stir in the strained syrup, hot. Put a drop on a cold plate: clear and firm means it is ready.",
            "syrup", HOLD_C, 5.0, covered=False,
        ),
    ),
    "finish": (
        MethodStep(
            "Rest it covered, skim. When a film forms after about 10 minutes it is mixed enough to pour.",
            "finish", 77.0, 10.0,
        ),
        MethodStep("Pour it into the mould, and cover the kettle between pours.", "finish", 72.0, 5.0, covered=False),
    ),
}  # fmt: skip
"""The usual steps of each stage, with what is held to."""
_ALWAYS: tuple[Stage, ...] = ("fats", "lye", "paste", "finish")
"""Stages that a cook with lye goes through even where no line stands in them."""


def stages_of(lines_of: Mapping[Stage, tuple[str, ...]]) -> tuple[Stage, ...]:
    """The stages that a cook of these lines goes through, in order."""
    return tuple(stage for stage in STAGES if lines_of.get(stage) or (stage in _ALWAYS and lines_of.get("lye")))


def usual_steps(lines_of: Mapping[Stage, tuple[str, ...]]) -> tuple[MethodStep, ...]:
    """The usual steps for these lines, as the maker could have written them."""
    return tuple(step for stage in stages_of(lines_of) for step in USUAL[stage])


def steps(method: tuple[MethodStep, ...], lines_of: Mapping[Stage, tuple[str, ...]]) -> tuple[Step, ...]:
    """The maker's own steps, or the usual ones for the stages in use, each with its cautions.

    `lines_of` names the lines of each stage that is in use. No caution is lost: that of a stage for which the maker
    wrote no step stands at the next step of theirs, or at the last.
    """
    shown = method or usual_steps(lines_of)
    homes: dict[int, list[Stage]] = {}
    for stage in STAGES:
        if shown and (stage in stages_of(lines_of) or any(step.stage == stage for step in shown)):
            homes.setdefault(_home(shown, stage), []).append(stage)
    return tuple(_shown(step, homes.get(row, []), lines_of, usual=not method) for row, step in enumerate(shown))


def _cautions(stage: Stage, lines_of: Mapping[Stage, tuple[str, ...]]) -> tuple[str, ...]:
    scented = stage == "finish" and lines_of.get("finish")
    return (*CAUTIONS[stage], SCENT) if scented else CAUTIONS[stage]


def _home(method: tuple[MethodStep, ...], stage: Stage) -> int:
    """The step of the maker's at which the cautions of a stage stand: the first of it, else of the next stage."""
    later = STAGES[STAGES.index(stage) :]
    found = [row for wanted in later for row, step in enumerate(method) if step.stage == wanted]
    return found[0] if found else len(method) - 1


def _shown(step: MethodStep, homed: list[Stage], lines_of: Mapping[Stage, tuple[str, ...]], *, usual: bool) -> Step:
    """A step with the cautions and lines of the stages that are at home there."""
    about = "about " if usual else ""
    hold = [f"{about}{step.minutes:g} minutes"] if step.minutes is not None else []
    if step.temperature_c is not None:
        hold.append(HOLD_TEXT if usual and step.temperature_c == HOLD_C else f"{step.temperature_c:g} °C")
    hold.append("covered" if step.covered else "open")
    cautions = tuple(caution for stage in homed for caution in _cautions(stage, lines_of))
    keys = tuple(key for stage in homed for key in lines_of.get(stage, ()))
    return Step(step.text, step.stage, ", ".join(hold), cautions, keys)
