"""What a maker types about the weighed kettle and the cooked syrup: read field by field, kept whatever it says."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TypeVar

from kettleglass.cook.back import AddBack, add_back, step_now
from kettleglass.cook.course import Leg
from kettleglass.cook.hot import HotPot
from kettleglass.cook.kettle import Told, told_by
from kettleglass.cook.syrup import SyrupMade, SyrupToMake, syrup_made, syrup_of
from kettleglass.cook.weighed import KettleWeighing, weighing_of
from kettleglass.errors import BadInput, KettleglassError
from kettleglass.recipe.exchange.quantities import parse_time
from kettleglass.recipe.work import Worked
from kettleglass.units import parse_mass, parse_number, parse_temperature
from kettleglass.web.asking import Typed
from kettleglass.web.forms.reading import Fault

BACK = ("back.step", "back.before", "back.now", "back.minutes", "back.temperature", "back.lid")
SYRUP = ("syrup.tare", "syrup.before", "syrup.now", "syrup.brix", "syrup.strained")
_LIDS = {"": None, "on": True, "off": False}
_LONGEST_MIN = 2880.0
Value = TypeVar("Value")


@dataclass(slots=True)
class Fields:
    """Reads one field after another and keeps what is wrong with each."""

    typed: Mapping[str, str]
    faults: dict[str, Fault] = field(default_factory=dict)

    def one(self, name: str, read: Callable[[str], Value]) -> Value | None:
        """What stands in a field; None where nothing does, or where it cannot be read."""
        said = self.typed.get(name, "").strip()
        if not said:
            return None
        try:
            return read(said)
        except KettleglassError as error:
            self.faults[name] = Fault(f"{error.what} {error.why}".strip(), error.remedy)
            return None


def mass_in(unit: str) -> Callable[[str], float]:
    """Reads a weight above 0; a number alone counts as grams on a scale that shows grams."""

    def read(text: str) -> float:
        mass_g = parse_mass(text, "g" if unit == "g" else None)
        if not 0.0 < mass_g < 1e9:
            raise BadInput(f"“{text[:40]}” is not what a scale shows.", remedy="Give a weight above 0, such as 2184 g.")
        return mass_g

    return read


def _minutes(text: str) -> float:
    minutes = parse_time(text)
    if not 0.0 < minutes <= _LONGEST_MIN:
        raise BadInput(f"“{text[:40]}” is not how long a step takes.", remedy="Give minutes or hours, such as 30 min.")
    return minutes


def _brix(text: str) -> float:
    number = text.lower().replace("°", "").removesuffix("brix").removesuffix("bx").removesuffix("%").strip()
    return parse_number(number)


@dataclass(frozen=True, slots=True)
class Weighing:
    """The fields of the weighed kettle and what they come to.

    `leg` is the step they are about (None: no steps); `found` what to add, `weighing` what would be kept and `told`
    what that says by itself: None as long as a weight is missing or cannot be read.
    """

    leg: Leg | None
    number: int
    faults: Mapping[str, Fault]
    found: AddBack | None
    weighing: KettleWeighing | None
    told: Told | None


def weighing_in(typed: Typed, worked: Worked, hot: HotPot) -> Weighing:
    """The weighed kettle of the fields. Nothing is raised: what is wrong stands at its field."""
    course, fields = hot.course, Fields(typed)
    if not course.legs:
        return Weighing(None, 0, {}, None, None, None)
    number = fields.one("back.step", lambda said: _step(said, len(course.legs)))
    leg = step_now(course, number)
    mass = mass_in(worked.recipe.scale.unit)
    before_g, now_g = fields.one("back.before", mass), fields.one("back.now", mass)
    minutes, temperature_c = fields.one("back.minutes", _minutes), fields.one("back.temperature", parse_temperature)
    covered = _LIDS.get(typed.get("back.lid", ""))
    at = course.legs.index(leg) + 1
    if before_g is None or now_g is None:
        return Weighing(leg, at, fields.faults, None, None, None)
    found = add_back(worked, course, hot.around, before_g, now_g, step=at)
    if fields.faults:
        return Weighing(leg, at, fields.faults, found, None, None)
    weighing = weighing_of(
        worked, course, hot.around, (before_g, now_g), step=at, minutes=minutes, temperature_c=temperature_c,
        covered=covered, said=f"{worked.recipe.name}, step {at}",
    )  # fmt: skip
    return Weighing(leg, at, fields.faults, found, weighing, told_by(weighing))


def _step(said: str, most: int) -> int:
    number = int(said) if said.isascii() and said.isdigit() and len(said) < 5 else 0
    if not 1 <= number <= most:
        raise BadInput(f"There is no step “{said[:20]}”.", remedy=f"Choose one from 1 to {most}.")
    return number


@dataclass(frozen=True, slots=True)
class Syrup:
    """The fields of the cooked syrup: what is to be made, and what was made (None: nothing to go by yet)."""

    to_make: SyrupToMake
    faults: Mapping[str, Fault]
    made: SyrupMade | None


def syrup_in(typed: Typed, worked: Worked, hot: HotPot) -> Syrup | None:
    """The syrup of a recipe as cooked; None for a recipe without one. What is wrong stands at its field."""
    fields, mass = Fields(typed), mass_in(worked.recipe.scale.unit)
    tare_g, before_g, now_g, strained_g = (
        fields.one(f"syrup.{name}", mass) for name in ("tare", "before", "now", "strained")
    )
    brix = fields.one("syrup.brix", _brix)
    to_make = syrup_of(worked, hot.around, tare_g=tare_g)
    if to_make is None:
        return None
    by_weight = now_g is not None and (tare_g is not None or before_g is not None)
    if brix is None and not by_weight:
        return Syrup(to_make, fields.faults, None)
    made = syrup_made(
        to_make, before_g=before_g, now_g=now_g, tare_g=tare_g, brix=brix, strained_g=strained_g,
        step_g=worked.recipe.scale.step_g,
    )  # fmt: skip
    return Syrup(to_make, fields.faults, made)
