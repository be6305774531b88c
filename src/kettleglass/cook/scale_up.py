"""The same recipe in two sizes, side by side: heat, time, loss, air, and the charge that finishes alike.

What goes with the surface (loss, cooling, warming in a bath) does not grow as fast as the batch, what goes with the
mass (heat of reaction, vapour to get rid of) does.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from kettleglass.cook.air import RoomAir, room_air
from kettleglass.cook.around import Around, Learnt, area_span, around
from kettleglass.cook.back import HEAVY_G
from kettleglass.cook.boil import Boils, boiling
from kettleglass.cook.course import Course, course_of
from kettleglass.cook.same_finish import Keeping, SameFinish, keeping_of, same_finish, with_water_line
from kettleglass.cook.swapping import FINE
from kettleglass.cook.timing import Exotherm, Pace, exotherm, pace
from kettleglass.errors import BadInput, Finding, most_serious_first
from kettleglass.recipe.leaving import ALCOHOLS
from kettleglass.recipe.recipe import BatchSize, Kettle, Recipe
from kettleglass.recipe.sheet import Find
from kettleglass.recipe.work import Worked, work_out
from kettleglass.science.basis import Array
from kettleglass.science.heat.vapour import HIGHEST_C
from kettleglass.science.heat.warming import Band
from kettleglass.science.pot import ROW

SIZES_G = (500.0, 10_000.0)
_PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Lost:
    """What leaves during the cook by the method's lids: in g, and as a share (0-1) of what was charged."""

    grams: Band
    share: Band


@dataclass(frozen=True, eq=False)
class Scaled:
    """A recipe at one size in its kettle.

    `boils` is the bubble point of the whole pot. `alcohol` is None without any; `air` without any in a hot pot.
    `charge` is what to put in so that the base finishes as it does at the size at which the recipe was tried.
    """

    size_g: float
    worked: Worked
    course: Course
    exotherm: Exotherm | None
    pace: Pace
    alcohol: Lost | None
    water: Lost
    boils: Boils | None
    air: RoomAir | None
    charge: SameFinish
    findings: tuple[Finding, ...]

    @property
    def kettle(self) -> Kettle:
        """The kettle that was reckoned with."""
        return self.worked.recipe.kettle


def scale_up(
    recipe: Recipe,
    find: Find,
    sizes_g: Sequence[float] = SIZES_G,
    *,
    base_g: float | None = None,
    kettles: Sequence[Kettle | None] | None = None,
    altitude_m: float = 0.0,
    learnt: Learnt | None = None,
) -> tuple[Scaled, ...]:
    """The recipe at several sizes, each in a kettle of the same proportions, with what the size changes.

    Args:
        recipe: with the kettle in which it was tried.
        find: gives the material of a line.
        sizes_g: whole mass charged, in g, above 0.
        base_g: whole mass at which it was tried; None: as the recipe says its size.
        kettles: the kettle for each size; None (all, or one): the recipe's own, grown like the batch.
        altitude_m: the workshop's, for a place that does not say its own.
        learnt: what weighed kettles have taught.

    Raises `BadInput` for a size that is not above 0, for kettles that are not one for each size, and what `work_out`
    raises.
    """
    named = list(kettles) if kettles is not None else [None] * len(sizes_g)
    if len(named) != len(sizes_g):
        raise BadInput(
            f"There are {len(sizes_g)} sizes and {len(named)} kettles.", remedy="Give one kettle for each size."
        )
    for size_g in sizes_g:
        _checked(size_g)
    air = around(recipe.place, altitude_m=altitude_m, learnt=learnt)
    base = _Base.of(with_water_line(recipe, find), find, air, base_g)
    return tuple(_scaled(base, find, size_g, kettle) for size_g, kettle in zip(sizes_g, named, strict=True))


def _checked(size_g: float) -> float:
    if not (np.isfinite(size_g) and 0.0 < size_g <= 1e8):
        raise BadInput(f"A batch of {size_g:g} g cannot be cooked.", remedy="Give its whole mass in g, such as 10000.")
    return size_g


@dataclass(frozen=True, slots=True, eq=False)
class _Base:
    """The cook by which the others are measured: its mass, its finished base, and how its losses were stated."""

    recipe: Recipe
    air: Around
    total_g: float
    finished: Array
    keeping: Keeping

    @classmethod
    def of(cls, recipe: Recipe, find: Find, air: Around, base_g: float | None) -> _Base:
        size = recipe.size if base_g is None else BatchSize("whole", _checked(base_g))
        worked, course = _cooked(replace(recipe, size=size), find, air)
        if not worked.total_g > 0.0:
            raise BadInput("There is nothing in this recipe yet to scale.", remedy="Give it fats and lye first.")
        keeping = keeping_of(recipe.losses, course)
        return cls(recipe, air, worked.total_g, keeping.finished(course), keeping)


def _cooked(recipe: Recipe, find: Find, air: Around) -> tuple[Worked, Course]:
    worked = work_out(replace(recipe, scale=FINE), find, random_pots=False)
    return worked, course_of(worked.recipe, worked.sheet, worked.weights.weighed_g, air)


def grown(kettle: Kettle, times: float) -> Kettle:
    """A kettle of the same proportions for so many times the mass; its wall stays as thick."""
    longer = times ** (1.0 / 3.0)
    mass_g = None if kettle.mass_g is None else kettle.mass_g * longer**2
    return replace(
        kettle, inner_diameter_mm=kettle.diameter_mm * longer, height_mm=kettle.height_mm * longer, mass_g=mass_g
    )


def _scaled(base: _Base, find: Find, size_g: float, named: Kettle | None) -> Scaled:
    kettle = grown(base.recipe.kettle, size_g / base.total_g) if named is None else named
    air = base.air if named is not None else _as_unsure(base.air, base.recipe.kettle)
    worked, course = _cooked(replace(base.recipe, size=BatchSize("whole", size_g), kettle=kettle), find, air)
    boils = boiling(worked, course, air)
    heat, times = exotherm(worked, course, air), pace(worked, course, air)
    charge = same_finish(worked, base.finished, air, base.keeping)
    findings = (*_of_kettle(worked), *_of_heat(heat, size_g), *_of_pace(times), *charge.findings)
    return Scaled(
        size_g=size_g,
        worked=worked,
        course=course,
        exotherm=heat,
        pace=times,
        alcohol=_lost(base.keeping, course, *ALCOHOLS),
        water=_lost(base.keeping, course, "water") or Lost(Band(0.0, 0.0, 0.0), Band(0.0, 0.0, 0.0)),
        boils=boils.boils,
        air=room_air(worked, boils, air),
        charge=charge,
        findings=most_serious_first(findings),
    )


def _as_unsure(air: Around, kettle: Kettle) -> Around:
    """The surroundings of a kettle grown from one that nobody measured: its surface is no surer for having grown."""
    small, large = area_span(kettle)
    wider = replace(air.learnt.open, low=air.learnt.open.low * small, high=air.learnt.open.high * large)
    return replace(air, learnt=replace(air.learnt, open=wider))


def _lost(keeping: Keeping, course: Course, *species_ids: str) -> Lost | None:
    rows = [ROW[name] for name in species_ids]
    there = float(course.charged[rows].sum())
    if there <= 0.0:
        return None
    low, likely, high = keeping.lost_g(course, rows)
    return Lost(Band(low, likely, high), Band(low / there, likely / there, high / there))


def _of_kettle(worked: Worked) -> Iterator[Finding]:
    kettle, size = worked.recipe.kettle, f"{worked.total_g / 1000.0:.3g} kg"
    room_ml = kettle.volume_ml * (1.0 - kettle.head_room)
    if worked.volume_ml[2] > room_ml:
        yield Finding(
            "danger", "kettle-too-small",
            f"{size} fill up to {worked.volume_ml[2] / 1000.0:.1f} L, and {kettle.name} holds {room_ml / 1000.0:.1f} L"
            " below its head room: the paste can rise over the rim.",
            "Take a larger kettle or a smaller batch.", "kettle", _PRACTICE,
        )  # fmt: skip
    if worked.total_g + (kettle.mass_g or 0.0) > HEAVY_G:
        yield Finding(
            "caution", "kettle-heavy", f"{size} and the kettle are too heavy to be lifted hot.",
            "Ladle or drain it where it stands, and weigh with a scale beneath it.", "kettle", _PRACTICE,
        )  # fmt: skip


def _of_heat(heat: Exotherm | None, size_g: float) -> Iterator[Finding]:
    if heat is None or heat.boils is None or not heat.may_boil:
        return
    sure, low_c = heat.reached_c.likely >= heat.boils.likely_c, heat.reached_c.low
    reached = f"{heat.reached_c.likely:.0f} °C ({low_c:.0f} to {heat.reached_c.high:.0f})"
    if low_c >= HIGHEST_C:
        reached = f"more than {HIGHEST_C:.0f} °C"
    yield Finding(
        "danger" if sure and heat.quick else "caution", "own-heat-boils",
        f"At {size_g / 1000.0:.3g} kg the mass heats itself from {heat.start_c:.0f} to {reached} with the heater off,"
        f" and boils at {heat.boils.likely_c:.0f} °C: it can rise over the rim.",
        f"{heat.cooler}: heater off, the lye by portions, each stirred in before the next. Keep a third of the kettle"
        " free.", "lye",
        "65 kJ/mol of ester (heats of formation); the portions: common practice, no source",
    )  # fmt: skip


def _of_pace(times: Pace) -> Iterator[Finding]:
    reasons = [change.why for change in (times.melt, times.warm, times.cool) if change is not None and change.why]
    for why in dict.fromkeys(reasons):
        yield Finding("note", "time-unsaid", why, "Say how it is heated, and the heater's power.", "place")
