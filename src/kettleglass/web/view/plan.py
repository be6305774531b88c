"""The plan of a cook as its page shows it: the head, the timeline, and one block a step, in the order of the clock."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property

from kettleglass.cook.back import step_now
from kettleglass.cook.check import hot_findings
from kettleglass.cook.plan import LONG_HOLD_MIN, Plan, PlanStep, plan
from kettleglass.cook.prepare import Preparation, WeighLine
from kettleglass.cook.samples import SampleTest
from kettleglass.cook.syrup import SyrupToMake
from kettleglass.cook.trail import TrailPoint
from kettleglass.errors import Finding, most_serious_first
from kettleglass.paper.cooking import BoilsAt, FlashAt, SharesAt, Step
from kettleglass.paper.drawing import Drawing
from kettleglass.paper.timeline import cook_timeline
from kettleglass.recipe.method import Caution
from kettleglass.recipe.recipe import Stage
from kettleglass.web.view.face import Face
from kettleglass.web.view.sentences import listed, shown_name
from kettleglass.web.view.told import NBSP, Weights, between, clock, degrees, number, tied

WIDTHS = {"wide": 1000.0, "middle": 620.0, "narrow": 340.0}
"""The timeline in three widths; the page shows the one that fits, so that its text keeps its size."""
MADE_WORDS = {"lye": "the lye", "premix": "the premix", "syrup": "the syrup"}
SHORT_CAUTION = {
    "fat-hot": "hot fat", "lye-protection": "goggles and gloves", "lye-into-water": "alkali into cold water",
    "lye-portions": "lye by portions", "lye-metal": "no aluminium", "lye-first-aid": "first aid",
    "paste-rise": "it can rise suddenly", "never-by-mouth": "never taste it",
    "alcohol-zone": "no flame or spark within a metre", "alcohol-adding": "heat off", "alcohol-vessel": "never sealed",
    "alcohol-extinguisher": "extinguisher and lid at hand", "alcohol-storage": "the rest stays closed",
    "syrup-hot": "hot syrup", "finish-hot": "gloves", "scent-flash": "scent goes in cool",
    "alcohol-lid": "a lid that breathes", "alcohol-spray": "skim, do not spray",
}  # fmt: skip
"""Each caution in a few words, where it stood in full just before."""
_NAMES: dict[Stage, str] = {
    "fats": "fats", "lye": "lye", "paste": "paste", "clear": "solvents", "syrup": "syrup", "finish": "pour",
}  # fmt: skip
_UNSAID = {"time": "time", "temperature": "temperature"}


@dataclass(frozen=True, slots=True)
class Row:
    """One thing to weigh."""

    name: str
    mass: str


@dataclass(frozen=True, slots=True)
class Block:
    """One step or preparation of the plan; `number` is empty for what is made ready. `near_bad` is shown in red."""

    anchor: str
    number: str
    title: str
    when: str
    does: str
    held: str
    why: str
    weigh: tuple[Row, ...]
    beside: str
    near: str
    near_bad: bool
    room: str
    room_bad: bool
    look_for: tuple[str, ...]
    tests: tuple[SampleTest, ...]
    cautions: tuple[Caution, ...]
    again: tuple[Caution, ...]
    sources: str

    @property
    def again_words(self) -> str:
        """The cautions that stood before, in a few words each."""
        return "; ".join(SHORT_CAUTION[one.code] for one in self.again)


class PlanView:
    """A planned recipe with its figures and blocks, each made when first asked for."""

    def __init__(self, face: Face, weights: Weights) -> None:
        hot = face.shown.hot
        self.face, self.weights, self.hot = face, weights, hot
        self.made: Plan = plan(face.worked, hot.course, hot.boiling, hot.around)

    @cached_property
    def verdict(self) -> str:
        """How long it takes, and what is made ready meanwhile."""
        timing = self.made.timing
        if not self.made.steps:
            return "Nothing is in the pot yet. Add fats and lye, and the steps appear here."
        said = f"{_capital(clock(timing.total_min))} from the first thing made ready to the last step."
        if timing.saved_min >= 1.0:
            said += f" One thing after another it would take {clock(timing.one_after_another_min)}."
        return said

    @cached_property
    def overlaps(self) -> str:
        """What is made ready during which steps."""
        made = [
            f"{MADE_WORDS[one.code]} {_during(one, self.made.steps)}"
            for one in sorted(self.made.preparations, key=lambda one: one.start_min)
        ]
        return f"Made ready meanwhile: {listed(made)}." if made else ""

    @cached_property
    def timeline(self) -> dict[str, Drawing]:
        """The cook against time in each of `WIDTHS`; none without a step."""
        if not self.made.steps:
            return {}
        steps = [
            Step(_label(step), step.start_min, step.end_min, step.temperature.aim_c, step.covered)
            for step in self.made.steps
        ]
        points = self.made.trail
        boils = [BoilsAt(one.minute, *one.boils_c) for one in points if one.boils_c is not None]
        flash = [FlashAt(one.minute, one.flash_c) for one in points if one.flash_c is not None]
        shares = [_shares(one) for one in points]
        return {
            name: cook_timeline(steps, boils=boils, flash=flash, shares=shares, key=f"cook-{name}", width_px=width)
            for name, width in WIDTHS.items()
        }

    @cached_property
    def minds(self) -> tuple[Finding, ...]:
        """What to mind about the cook, most serious first, each once; before all else lines that are left out of it."""
        found: dict[str, Finding] = {}
        for one in (*self.face.worked.left_out, *hot_findings(self.face.worked, self.hot), *self.made.findings):
            found.setdefault(one.text, replace(one, text=tied(one.text), advice=tied(one.advice)))
        return most_serious_first(found.values())

    @cached_property
    def blocks(self) -> tuple[Block, ...]:
        """Steps and preparations in the order in which they are begun."""
        things: list[PlanStep | Preparation] = [*self.made.preparations, *self.made.steps]
        things.sort(key=lambda one: (one.start_min, isinstance(one, PlanStep), one.end_min))
        said: set[str] = set()
        return tuple(self._block(one, said) for one in things)

    def _block(self, one: PlanStep | Preparation, said: set[str]) -> Block:
        new = tuple(caution for caution in one.cautions if caution.code not in said)
        again = tuple(caution for caution in one.cautions if caution.code in said)
        said.update(caution.code for caution in one.cautions)
        return self._step(one, new, again) if isinstance(one, PlanStep) else self._made(one, new, again)

    def _made(self, one: Preparation, new: tuple[Caution, ...], again: tuple[Caution, ...]) -> Block:
        syrup = self.made.syrup if one.code == "syrup" else None
        hands = f", {clock(one.hands_min)} of it by hand" if one.hands_min < one.minutes - 0.5 else ""
        target = "" if one.target_c is None else f"To {degrees(one.target_c)}, "
        return Block(
            anchor=f"ready-{one.code}", number="", title=f"Make ready: {MADE_WORDS[one.code]}",
            when=between(one.start_min, one.end_min), does=tied(one.does),
            held=f"{target}{clock(one.minutes)}{hands}.", why=f"Goes in at step {one.for_step}.",
            weigh=tuple(self._rows(one.weigh)) if syrup is None else self._of_syrup(syrup),
            beside="" if syrup is None else _bought(one.weigh, self.weights), near="", near_bad=False, room="",
            room_bad=False, look_for=tuple(map(tied, one.look_for)), tests=(), cautions=new, again=again,
            sources=_sources(*(caution.source for caution in one.cautions)),
        )  # fmt: skip

    def _of_syrup(self, syrup: SyrupToMake) -> tuple[Row, ...]:
        step_g = self.face.recipe.scale.step_g
        return (Row("Sugar", self.weights(syrup.sugar_g, step_g)), Row("Water", self.weights(syrup.water_g, step_g)))

    def _rows(self, lines: Iterable[WeighLine]) -> Iterator[Row]:
        for line in lines:
            yield Row(shown_name(line.name), self.weights(line.grams, line.step_g))

    def _step(self, step: PlanStep, new: tuple[Caution, ...], again: tuple[Caution, ...]) -> Block:
        held = step.temperature
        lid = "lid on" if step.covered else "lid off"
        near, near_bad = near_boiling(step)
        room, room_bad = _room(step)
        return Block(
            anchor=f"step-{step.number}", number=str(step.number), title="", when=between(step.start_min, step.end_min),
            does=tied(step.text),
            held=f"{degrees(held.aim_c)} ({number(held.low_c)} to {number(held.high_c)} allowed), {lid},"
            f" {clock(step.minutes)}.",
            why=tied(" ".join([held.why, *_assumed(step)])), weigh=tuple(self._of_step(step)), beside="",
            near=near, near_bad=near_bad, room=room, room_bad=room_bad,
            look_for=tuple(map(tied, step.look_for)), tests=step.tests, cautions=new, again=again,
            sources=_sources(
                held.source, *(caution.source for caution in step.cautions),
                *(result.source for test in step.tests for result in test.results),
            ),
        )  # fmt: skip

    def _of_step(self, step: PlanStep) -> Iterator[Row]:
        """What goes in: what was made ready as one row, the rest line by line."""
        left = list(step.weigh)
        for one in self.made.preparations:
            if one.for_step != step.number or one.code not in step.prepared:
                continue
            keys = {line.key for line in one.weigh}
            here = [line for line in left if line.key in keys]
            if here:
                left = [line for line in left if line.key not in keys]
                finest = min(line.step_g for line in here)
                name = f"{_capital(MADE_WORDS[one.code])}, made ready"
                yield Row(name, self.weights(sum(line.grams for line in here), finest))
        yield from self._rows(left)

    @cached_property
    def weighed_step(self) -> int:
        """The step after which the kettle is weighed, unless the maker names another; 0 without steps."""
        course = self.hot.course
        return course.legs.index(step_now(course)) + 1 if course.legs else 0


def near_boiling(step: PlanStep) -> tuple[str, bool]:
    """How far below boiling a step is held and where its vapour catches fire; and whether that is bad."""
    margin = step.margin_k
    if margin is None:
        return "", False
    flash = "" if step.flash_c is None else f" Its vapour catches fire from {degrees(round(step.flash_c))} on."
    if margin.likely <= 0.0:
        return f"It boils while it is held.{flash}", True
    left = f"{number(margin.likely)}{NBSP}°C below boiling"
    if margin.low <= 0.0:
        return f"It may boil: likely {left}, perhaps none.{flash}", True
    return f"{_capital(left)} ({number(margin.low)} to {number(margin.high)}).{flash}", False


def _room(step: PlanStep) -> tuple[str, bool]:
    free, wanted = 100.0 * step.free_share, 100.0 * step.free_wanted
    short = free < wanted - 0.5
    said = f"{number(free)}{NBSP}% of the kettle stays free"
    return (f"Only {said}; {number(wanted)}{NBSP}% should." if short else f"{said}."), short


def _assumed(step: PlanStep) -> Iterator[str]:
    if step.assumed and step.text:
        words = listed([_UNSAID.get(name, name) for name in step.assumed])
        yield f"Its {words} {'is' if len(step.assumed) == 1 else 'are'} the usual one{'s'[: len(step.assumed) - 1]}."


def _bought(lines: tuple[WeighLine, ...], weights: Weights) -> str:
    if len(lines) != 1:
        return ""
    return f"Or take {weights(lines[0].grams, lines[0].step_g)} of it ready made."


def _label(step: PlanStep) -> str:
    if step.covered and (step.stage == "clear" or (step.stage == "syrup" and step.minutes >= LONG_HOLD_MIN)):
        return "hold"
    return "rest" if step.stage == "finish" and step.covered else _NAMES[step.stage]


def _shares(one: TrailPoint) -> SharesAt:
    return SharesAt(one.minute, *one.alcohol_percent, one.water_percent)


def _during(one: Preparation, steps: tuple[PlanStep, ...]) -> str:
    here = [str(step.number) for step in steps if step.start_min < one.end_min - 0.5 and one.start_min < step.end_min]
    return f"during step{'s' if len(here) > 1 else ''} {listed(here)}" if here else "before step 1"


def _sources(*found: str) -> str:
    return "; ".join(dict.fromkeys(source for source in found if source))


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
