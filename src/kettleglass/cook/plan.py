"""The plan of a cook: every step with its time, temperature, lid, weights, tests, limits and cautions.

Plain data throughout: what a page, a file or a screen by the pot shows. Minutes run from the first thing begun.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Literal

from kettleglass.cook.adding import Adding, adding
from kettleglass.cook.around import Around
from kettleglass.cook.boil import TRACE, Boiling
from kettleglass.cook.cautions import DEFERS, STORAGE, StorageLimit, cautions_at, hurtful_of
from kettleglass.cook.course import LIKELY, Course, Leg
from kettleglass.cook.heat import HeatOfCook, LyeOfCook, heat_of, lye_of, mixed_as_lye
from kettleglass.cook.prepare import Preparation, Timing, WeighLine, of_lye, of_premix, of_syrup, timing_of
from kettleglass.cook.ranges import Range, range_of
from kettleglass.cook.samples import COOLED_SAMPLE, DRYING, FILM, FREE_ALKALI, FREE_FAT, LUMPS, SampleTest
from kettleglass.cook.syrup import SyrupToMake, syrup_of
from kettleglass.cook.trail import TrailPoint, trail_of
from kettleglass.errors import Finding
from kettleglass.recipe.leaving import ALCOHOLS
from kettleglass.recipe.method import Caution, entering_at
from kettleglass.recipe.recipe import Stage
from kettleglass.recipe.work import Worked
from kettleglass.science.heat.warming import Band
from kettleglass.science.pot import ROW
from kettleglass.science.volume import volume_ml

Order = Literal["paste first", "alcohol with the lye", "no alcohol"]
LONG_HOLD_MIN = 10.0
"""A covered hold from which the kettle is worth weighing."""


@dataclass(frozen=True, slots=True)
class PlanStep:
    """One step at the pot.

    `temperature` is what to hold and what is allowed, `boils_c` and `margin_k` how near boiling that is (None without
    alcohol in the pot), `free_share` what stays free of the kettle against `free_wanted`. `prepared` names what was
    made ready for it, `weigh` the lines that go in, `assumed` what the maker's own step did not say.
    """

    number: int
    text: str
    stage: Stage
    start_min: float
    end_min: float
    temperature: Range
    covered: bool
    prepared: tuple[str, ...]
    weigh: tuple[WeighLine, ...]
    look_for: tuple[str, ...]
    tests: tuple[SampleTest, ...]
    boils_c: Band | None
    margin_k: Band | None
    flash_c: float | None
    free_share: float
    free_wanted: float
    assumed: tuple[str, ...]
    cautions: tuple[Caution, ...]

    @property
    def minutes(self) -> float:
        """How long it takes."""
        return self.end_min - self.start_min


@dataclass(frozen=True, slots=True)
class Plan:
    """A whole cook: preparations and steps on one clock, and what they rest on.

    `defers` stands above all of it; `trail` is the same cook as points against time.
    """

    name: str
    order: Order
    defers: str
    preparations: tuple[Preparation, ...]
    steps: tuple[PlanStep, ...]
    timing: Timing
    lye: LyeOfCook | None
    heat: HeatOfCook
    adding: Adding | None
    syrup: SyrupToMake | None
    storage: tuple[StorageLimit, ...]
    trail: tuple[TrailPoint, ...]
    findings: tuple[Finding, ...]


def plan(worked: Worked, course: Course, boiling: Boiling, around: Around, *, tare_g: float | None = None) -> Plan:
    """The plan of a worked recipe along its course; `tare_g` is the empty syrup pan, if it is to be weighed.

    An empty recipe has a plan without steps.
    """
    lye = lye_of(worked, around)
    heat = heat_of(worked, course, around, lye)
    found, syrup = adding(worked, course, boiling, around), syrup_of(worked, around, tare_g=tare_g)
    drawn = _Drawing(worked, course, _Parts(lye, found, syrup))
    made = tuple(drawn.preparations())
    timing, waits = timing_of(course.minutes, made)
    made = tuple(replace(one, start_min=one.start_min + waits, end_min=one.end_min + waits) for one in made)
    trail = trail_of(worked, course, around, waits_min=waits)
    steps = tuple(drawn.step(row, waits, made, trail) for row in range(len(course.legs)))
    ordered: Order = drawn.order
    return Plan(
        worked.recipe.name, ordered, DEFERS, made, steps, timing, lye, heat, found, syrup,
        STORAGE if ordered != "no alcohol" else (), trail,
        (*(lye.findings if lye else ()), *heat.findings, *(found.findings if found else ()),
         *(syrup.findings if syrup else ()), *_outside(worked, steps)),
    )  # fmt: skip


def _outside(worked: Worked, steps: Sequence[PlanStep]) -> Iterator[Finding]:
    """The maker's own temperatures that lie outside of what is usual or allowed."""
    for step in steps if worked.recipe.method else ():
        aim, low, high = step.temperature.aim_c, step.temperature.low_c, step.temperature.high_c
        if not low <= aim <= high:
            yield Finding(
                "note", "step-outside-range",
                f"Step {step.number} is held at {aim:g} °C; {low:.0f} to {high:.0f} °C is usual and safe there.",
                step.temperature.why, "method", step.temperature.source,
            )  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Parts:
    lye: LyeOfCook | None
    found: Adding | None
    syrup: SyrupToMake | None


class _Drawing:
    """What all steps of one plan are drawn from."""

    def __init__(self, worked: Worked, course: Course, parts: _Parts) -> None:
        self.worked = worked
        self.lye, self.found, self.syrup = parts.lye, parts.found, parts.syrup
        self.legs = course.legs
        method = tuple(leg.step for leg in self.legs)
        self.entering = entering_at(method)
        self.cautions = cautions_at(method, worked)
        self.hurtful = hurtful_of(worked)
        self.lines = [
            (line.stage, WeighLine(line.key, material.name, float(mass), float(step)))
            for line, material, mass, step in zip(
                worked.sheet.lines, worked.sheet.materials, worked.weights.weighed_g, worked.weights.steps_g,
                strict=True,
            ) if mass > 0.0
        ]  # fmt: skip
        self.spirit_row = self._first_with(self.hurtful.alcohol or frozenset())
        self.lye_row = self._first_with(self.hurtful.caustic or frozenset())
        self.gate_row = self._gate()

    @property
    def order(self) -> Order:
        """Whether the alcohol is there while fat and lye react."""
        if self.spirit_row is None:
            return "no alcohol"
        late = self.lye_row is None or self.spirit_row > max(self.lye_row, self._last("paste"))
        return "paste first" if late else "alcohol with the lye"

    def weigh(self, row: int) -> tuple[WeighLine, ...]:
        """The lines that go in at a step."""
        return tuple(line for stage, line in self.lines if stage in self.entering[row])

    def _first_with(self, keys: frozenset[str]) -> int | None:
        return next((row for row in range(len(self.legs)) if any(line.key in keys for line in self.weigh(row))), None)

    def _last(self, stage: Stage) -> int:
        return max((row for row, leg in enumerate(self.legs) if leg.step.stage == stage), default=-1)

    def _gate(self) -> int | None:
        """The step that the test for free alkali belongs to: the last paste, else the first that cooks it too."""
        if self.lye_row is None:
            return None
        paste = self._last("paste")
        if paste >= self.lye_row:
            return paste
        cooks = next(row for row, stages in enumerate(self.entering) if "paste" in stages)
        return max(self.lye_row, cooks)

    def preparations(self) -> Iterator[Preparation]:
        """Lye, premix, syrup, as far as the recipe has them, on the clock of the course."""
        keys = {self.worked.sheet.keys[row] for row in mixed_as_lye(self.worked)}
        if self.lye is not None and (row := self._first_with(frozenset(keys))) is not None:
            yield of_lye(self.lye, row + 1, self.legs[row].start_min, self._of(keys))
        opened = None if self.spirit_row is None else self.legs[self.spirit_row].start_min
        premix = None
        if self.found is not None and self.spirit_row is not None and self.order == "paste first":
            row = self._first_with(frozenset(self.found.keys)) or 0
            premix = of_premix(self.found, row + 1, self.legs[row].start_min, self._of(set(self.found.keys)))
            opened = min(self.legs[row].start_min, premix.start_min)
            yield premix
        if self.syrup is not None:
            stage_keys = {line.key for stage, line in self.lines if stage == "syrup"}
            row = self._first_with(frozenset(stage_keys)) or 0
            start = self.legs[row].start_min
            ends = start if opened is None else min(start, opened)
            yield of_syrup(self.syrup, row + 1, ends, self._of(stage_keys), self.worked.recipe.place)

    def _of(self, keys: set[str]) -> tuple[WeighLine, ...]:
        return tuple(line for _, line in self.lines if line.key in keys)

    def step(
        self, row: int, waits_min: float, made: tuple[Preparation, ...], trail: tuple[TrailPoint, ...]
    ) -> PlanStep:
        """One step of the plan; its limits are those as it starts."""
        leg = self.legs[row]
        first = next(point for point in trail if point.step == row + 1)
        boils = first.boils_c
        aim = leg.step.temperature_c or 0.0
        kettle = self.worked.recipe.kettle
        filled = volume_ml(self.worked.sheet.basis, leg.before[:, LIKELY])[2] / kettle.volume_ml
        return PlanStep(
            row + 1, leg.step.text, leg.step.stage, leg.start_min + waits_min, leg.end_min + waits_min,
            range_of(leg.step.stage, aim, boils), leg.step.covered,
            tuple(one.code for one in made if one.for_step == row + 1), self.weigh(row), tuple(self._looks(row)),
            tuple(self._tests(row)), boils, None if boils is None else Band(*(b - aim for b in boils)),
            first.flash_c, max(0.0, 1.0 - filled), kettle.head_room, leg.assumed,
            self.cautions[row],
        )  # fmt: skip

    def _looks(self, row: int) -> Iterator[str]:
        stage = self.legs[row].step.stage
        yield from LOOKS[stage]
        if row == self.gate_row:
            yield "This is the gate: neither solvent nor syrup goes in before the test for free alkali is passed."
        if self._solvents_at(row):
            yield "No lump may be left when the hold begins."

    def _solvents_at(self, row: int) -> bool:
        return "clear" in self.entering[row] and any(stage == "clear" for stage, _ in self.lines)

    def _tests(self, row: int) -> Iterator[SampleTest]:
        """The tests that belong to a step; film and weight are two different ones and stand beside each other."""
        leg = self.legs[row]
        if row == self.gate_row:
            yield from (FREE_ALKALI, FREE_FAT)
        if self._solvents_at(row) or (row == self.spirit_row and self.order == "paste first"):
            yield LUMPS
        if row in self._sampled():
            yield COOLED_SAMPLE
        if row == self._rest():
            yield FILM
        if self._alcohol(leg) and (row == self._rest() or (leg.step.covered and leg.minutes >= LONG_HOLD_MIN)):
            yield DRYING

    def _sampled(self) -> set[int]:
        """The hold that is to end clear, and the syrup: the last step of each; else the last step."""
        if self.spirit_row is None or not self.worked.recipe.wants_clarity:
            return set()
        last = {self._last("clear"), self._last("syrup")} - {-1}
        return {row for row in last if row >= self.spirit_row} or {len(self.legs) - 1}

    def _rest(self) -> int | None:
        """The first step of finishing, else the last step of all; only with alcohol."""
        if self.spirit_row is None:
            return None
        return next((row for row, leg in enumerate(self.legs) if leg.step.stage == "finish"), len(self.legs) - 1)

    def _alcohol(self, leg: Leg) -> bool:
        pot = leg.before[:, LIKELY]
        return float(sum(pot[ROW[name]] for name in ALCOHOLS)) > TRACE * max(1e-9, float(pot.sum()))


LOOKS: dict[Stage, tuple[str, ...]] = {
    "fats": ("Melted clear to the bottom, without flakes.",),
    "lye": ("It thickens, evenly, and the whisk leaves a trail; no oil on top, no lye below.",),
    "paste": ("From cloudy and grainy to an even, translucent paste.",),
    "clear": ("It goes from paste through lumps to a thin, clear, moving base; no dry soap on the wall.",),
    "syrup": ("Thin and clear again after each portion.",),
    "finish": ("Bubbles rise and stand as foam that can be skimmed; below it is clear.",),
}
"""What each stage looks like as it comes right (common practice, no source)."""


def plan_dict(one: Plan) -> dict[str, object]:
    """The plan as plain data, units in the keys; bands as low, likely, high."""
    return {field.name: _plain(getattr(one, field.name)) for field in fields(one)}


def _plain(value: object) -> object:
    if isinstance(value, Band):
        return {"low": value.low, "likely": value.likely, "high": value.high}
    if is_dataclass(value) and not isinstance(value, type):
        out = {field.name: _plain(getattr(value, field.name)) for field in fields(value)}
        return {**out, "minutes": value.minutes} if isinstance(value, PlanStep | Preparation) else out
    if isinstance(value, tuple | list):
        return [_plain(item) for item in value]
    return value
