"""The hot pot of a worked recipe: what its cook will do, in one object."""

from __future__ import annotations

from dataclasses import dataclass

from kettleglass.cook.air import RoomAir, room_air
from kettleglass.cook.around import Around
from kettleglass.cook.boil import Boiling, boiling
from kettleglass.cook.course import Course
from kettleglass.cook.heat import LyeOfCook, lye_of
from kettleglass.recipe.work import Worked


@dataclass(frozen=True, eq=False)
class HotPot:
    """The surroundings, the course of the steps, boiling and flash, the room's air, and the lye; None where none is."""

    around: Around
    course: Course
    boiling: Boiling
    air: RoomAir | None
    lye: LyeOfCook | None


def hot_pot(worked: Worked, course: Course, around: Around) -> HotPot:
    """What the cook of a worked recipe will do in its surroundings."""
    boils = boiling(worked, course, around)
    return HotPot(around, course, boils, room_air(worked, boils, around), lye_of(worked, around))
