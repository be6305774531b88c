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


@dataclass(frozen=True, slots=True)
class Caution:
    """What can hurt, with what to do about it; `code` names it wherever it stands."""

    code: str
    text: str
    source: str = ""


_SDS_LYE = "supplier safety data sheets, NaOH (H290, H314)"
_SDS_SPIRIT = "supplier safety data sheets, ethanol (H225); flash point 12 °C, IEC 60079-20-1"
_PRACTICE = "common practice, no source"
_SAID = (
    Caution("fat-hot", "Hot fat burns: keep it below smoking, and water away from it.", _PRACTICE),
    Caution(
        "lye-protection",
        "Lye causes severe burns to skin and eyes. Wear goggles, better with a face shield, gloves of nitrile or"
        " rubber, an apron and long sleeves; work in moving air.",
        f"{_SDS_LYE}; P260, P280",
    ),
    Caution(
        "lye-into-water",
        "Always the alkali into cold water, a little at a time, never water onto alkali; it heats up to near boiling.",
        _SDS_LYE,
    ),
    Caution(
        "lye-portions",
        "Stir the lye in by portions: all at once onto hot fat, melted fatty acid or warm alcohol it can boil over.",
        _PRACTICE,
    ),
    Caution(
        "lye-metal",
        "No aluminium, zinc or tin: lye dissolves them and gives off hydrogen. Stainless steel or polypropylene; glass"
        " can crack under hot lye.",
        _SDS_LYE,
    ),
    Caution(
        "lye-first-aid",
        "On skin: clothes off, rinse. In eyes: lenses out, rinse with running water for at least 15 minutes, go on"
        " rinsing. Swallowed: rinse the mouth, no vomiting. Breathed in: fresh air. Call a poison centre or a doctor at"
        " once; never vinegar or acid on a splash. Their word and local rules come first.",
        "P301+P330+P331, P303+P361+P353, P304+P340, P305+P351+P338 (CLP Annex IV)",
    ),
    Caution("paste-rise", "The paste can rise suddenly: stay with it, keep a third of the kettle free.", _PRACTICE),
    Caution(
        "never-by-mouth",
        "Never taste for free lye: titrate, or put phenolphthalein on a sample. pH does not measure free caustic.",
        "Simmons & Appleton 1908 for the titration; H314",
    ),
    Caution(
        "alcohol-zone",
        "Alcohol vapour catches fire far below this temperature. No flame, hot plate element, sparking switch or"
        " plugged-in device within a metre while the lid is off, whatever the room's average says.",
        _SDS_SPIRIT,
    ),
    Caution(
        "alcohol-adding",
        "Heat off before the alcohol is opened and until it is stirred in and covered again.",
        _PRACTICE,
    ),
    Caution(
        "alcohol-vessel",
        "Never a tightly sealed vessel, pot or premix: it must breathe. Warm alcohol only in a water bath, never"
        " tightly wrapped, never between electric pads.",
        _PRACTICE,
    ),
    Caution(
        "alcohol-extinguisher",
        "Have a lid or fire blanket and a class B extinguisher (dry powder, CO2 or alcohol-resistant foam) at hand;"
        " never a water jet on burning alcohol. Move the air, at the floor too; keep others out.",
        "supplier safety data sheets, ethanol (section 5)",
    ),
    Caution(
        "alcohol-storage",
        "Bring to the table only what this batch takes; the rest stays closed, away from heat, in a marked cabinet. The"
        " local fire code, the insurer and licensed practice come first.",
        "29 CFR 1910.106; HSE guidance to DSEAR",
    ),
    Caution("syrup-hot", "Hot syrup sticks and burns. Add it slowly, the mass below its boiling point.", _PRACTICE),
    Caution(
        "finish-hot", "The base is hot and sticks to skin: gloves, a steady table, nobody else within reach.", _PRACTICE
    ),
    Caution("scent-flash", "Scent has a flash point of its own: add it as cool as the base still pours.", _PRACTICE),
    Caution(
        "alcohol-lid",
        "A lid that breathes, never clamped or weighted. When it is lifted, the metre around the pot can burn; cooling"
        " under the lid passes through the flammable range too.",
        _SDS_SPIRIT,
    ),
    Caution(
        "alcohol-spray",
        "Rest it covered and skim rather than spray alcohol on bubbles: a mist catches fire at any temperature. Who"
        " sprays all the same: heat off, pulled from the wall, nothing that sparks within a metre, one puff, and the"
        " bottle weighed before and after so that it counts as alcohol.",
        _PRACTICE,
    ),
)
CAUTION: dict[str, Caution] = {one.code: one for one in _SAID}
"""Every caution by its code."""

LYE_CODES = ("lye-protection", "lye-into-water", "lye-portions", "lye-metal", "lye-first-aid")
ALCOHOL_CODES = ("alcohol-zone", "alcohol-adding", "alcohol-vessel", "alcohol-extinguisher", "alcohol-storage")
STAGE_CODES: dict[Stage, tuple[str, ...]] = {
    "fats": ("fat-hot",),
    "lye": LYE_CODES,
    "paste": ("paste-rise", "never-by-mouth"),
    "clear": ALCOHOL_CODES,
    "syrup": ("syrup-hot",),
    "finish": ("finish-hot",),
}
"""What can hurt at each stage, by code."""
CAUTIONS: dict[Stage, tuple[str, ...]] = {
    stage: tuple(CAUTION[code].text for code in codes) for stage, codes in STAGE_CODES.items()
}
"""The same in words."""

SCENT = CAUTION["scent-flash"].text

HOLD_C = 80.0
HOLD_TEXT = "77–82 °C"
"""The usual hold of 170–180 °F, and the figure within it that is reckoned with."""

ADDING_C = 72.0
"""With the heat off the pot falls to about here while the solvents go in (Thomssen 1922 works at 71 °C)."""

USUAL: dict[Stage, tuple[MethodStep, ...]] = {
    "fats": (
        MethodStep("Melt the fats together and bring them to 77–82 °C (170–180 °F).", "fats", HOLD_C, 20.0),
    ),
    "lye": (
        MethodStep(
            "Stir the alkali into its water, let the lye clear, then stir it into the fats until the mass holds.",
            "lye", 75.0, 10.0, covered=False,
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
            " into the paste until no lump is left.", "clear", ADDING_C, 5.0, covered=False,
        ),
        MethodStep("Cover and hold it hot, without a lump, until it is clear to the bottom.", "clear", HOLD_C, 30.0),
    ),
    "syrup": (
        MethodStep(
            "Stir in the strained syrup, hot. Put a drop on a cold plate: clear and firm means it is ready.",
            "syrup", HOLD_C, 3.0, covered=False,
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


@dataclass(frozen=True, slots=True)
class Hurtful:
    """The keys of lines that bring alcohol, alkali, sugar, scent; None: as their stage lets one expect."""

    alcohol: frozenset[str] | None = None
    caustic: frozenset[str] | None = None
    sugar: frozenset[str] | None = None
    scent: frozenset[str] | None = None


def steps(
    method: tuple[MethodStep, ...], lines_of: Mapping[Stage, tuple[str, ...]], hurtful: Hurtful | None = None
) -> tuple[Step, ...]:
    """The maker's own steps, or the usual ones for the stages in use, each with its cautions.

    `lines_of` names the lines of each stage that is in use. No caution is lost: that of a stage for which the maker
    wrote no step stands at the next step of theirs, or at the last.
    """
    shown = method or usual_steps(lines_of)
    codes = codes_at(shown, lines_of, hurtful)
    entering = entering_at(shown)
    return tuple(
        _shown(step, codes[row], tuple(key for stage in entering[row] for key in lines_of.get(stage, ())),
               usual=not method)
        for row, step in enumerate(shown)
    )  # fmt: skip


def entering_at(method: tuple[MethodStep, ...]) -> tuple[tuple[Stage, ...], ...]:
    """Which stages go into the pot at each step: its own and those before it that had no step; at the last, all."""
    out: list[tuple[Stage, ...]] = []
    done = 0
    for row, step in enumerate(method):
        reached = len(STAGES) if row == len(method) - 1 else max(done, STAGES.index(step.stage) + 1)
        out.append(STAGES[done:reached])
        done = reached
    return tuple(out)


def codes_at(
    method: tuple[MethodStep, ...], lines_of: Mapping[Stage, tuple[str, ...]], hurtful: Hurtful | None = None
) -> tuple[tuple[str, ...], ...]:
    """The codes of the cautions at each step.

    Those of a stage stand where it goes in, and at its own step where that comes later. Those of alkali, alcohol, sugar
    and scent stand wherever such a line goes in, whatever its stage. From the alcohol on every step says what may be
    near it: with the lid off the zone around it, with the lid on that it breathes.
    """
    known = hurtful or Hurtful()
    entering = entering_at(method)
    in_use: set[Stage] = {*stages_of(lines_of), *(step.stage for step in method)}
    wet = _stages_with(known.alcohol, lines_of, in_use & {"clear"})
    caustic = _stages_with(known.caustic, lines_of, in_use & {"lye"})
    sugar, scent = (_stages_with(keys, lines_of, set()) for keys in (known.sugar, known.scent))
    out, alcohol, said = [], False, set[Stage]()
    for step, stages in zip(method, entering, strict=True):
        here = [stage for stage in stages if stage in in_use]
        own = [step.stage] if step.stage not in (*here, *said) else []
        said |= {step.stage} & {*here, *own}
        adds = bool(wet & {*stages, *own})
        alcohol = alcohol or adds
        codes = [code for stage in (*own, *here) for code in _stage_codes(stage, lines_of)]
        codes += LYE_CODES if caustic & {*stages, *own} else ()
        codes += STAGE_CODES["syrup"] if sugar & {*stages, *own} else ()
        codes += ("scent-flash",) if scent & {*stages, *own} else ()
        codes += ALCOHOL_CODES if adds else ()
        codes += _alcohol_codes(step, *here, *own) if alcohol else ()
        out.append(tuple(dict.fromkeys(codes)))
    return tuple(out)


def _stages_with(
    keys: frozenset[str] | None, lines_of: Mapping[Stage, tuple[str, ...]], usual: set[Stage]
) -> set[Stage]:
    return usual if keys is None else {stage for stage, there in lines_of.items() if keys & set(there)}


def _stage_codes(stage: Stage, lines_of: Mapping[Stage, tuple[str, ...]]) -> tuple[str, ...]:
    """What can hurt at a stage whatever its lines are; what the lines bring is said with them."""
    if stage in ("lye", "clear"):
        return ()
    scented = stage == "finish" and lines_of.get("finish")
    return (*STAGE_CODES[stage], "scent-flash") if scented else STAGE_CODES[stage]


def _alcohol_codes(step: MethodStep, *stages: Stage) -> tuple[str, ...]:
    """What to mind at a step with alcohol in the pot."""
    lid = "alcohol-lid" if step.covered else "alcohol-zone"
    return (lid, "alcohol-spray") if "finish" in stages else (lid,)


def _shown(step: MethodStep, codes: tuple[str, ...], keys: tuple[str, ...], *, usual: bool) -> Step:
    """A step with its cautions in words, and the lines that go in."""
    about = "about " if usual else ""
    hold = [f"{about}{step.minutes:g} minutes"] if step.minutes is not None else []
    if step.temperature_c is not None:
        hold.append(HOLD_TEXT if usual and step.temperature_c == HOLD_C else f"{step.temperature_c:g} °C")
    hold.append("covered" if step.covered else "open")
    return Step(step.text, step.stage, ", ".join(hold), tuple(CAUTION[code].text for code in codes), keys)
