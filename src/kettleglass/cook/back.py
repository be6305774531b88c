"""Adding back what has left: from two weighings of the kettle to grams of the maker's own spirit and water.

The weighings tell how much has left; the vapour over this pot tells in which proportion. Never more is asked for than
fits into the kettle, and what the recipe counts with is left to leave.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from kettleglass.cook.around import Around, pour_below_c
from kettleglass.cook.course import LIKELY, Course, Leg, opening_of
from kettleglass.errors import BadInput, Finding
from kettleglass.materials import Material
from kettleglass.recipe.leaving import ALCOHOLS
from kettleglass.recipe.recipe import Kettle, WeighingScale
from kettleglass.recipe.work import Worked
from kettleglass.science.basis import Array, Basis
from kettleglass.science.heat.draught import impossible_loss
from kettleglass.science.heat.evaporation import evaporate
from kettleglass.science.heat.liquid import liquid_of_pot
from kettleglass.science.heat.vapour import COMPONENTS
from kettleglass.science.heat.warming import Band
from kettleglass.science.pot import ROW
from kettleglass.science.volume import volume_ml

VOLATILE = (*ALCOHOLS, "water")
SMALL_SHARE = 0.01
"""A hundredth of the alcohol less than planned changes nothing that the eye could see (common practice, no source)."""
HEAVY_G = 15_000.0
"""Kettle and pot together, in g, from which nobody should lift it hot to a scale (common practice, no source)."""
_ROWS = np.array([ROW[name] for name in COMPONENTS], dtype=np.intp)
_LONGEST_MIN = 1e5


@dataclass(frozen=True, slots=True)
class AddBack:
    """What has left since `step` began and what brings the pot back to plan, in g.

    `lost_g` is by the scale; `alcohol_g` and `water_g` its likely split; the plan counts with `planned_alcohol_g` and
    `planned_water_g` of it. `spirit_g` and `plain_water_g` are to be added, rounded to the scale's step; `surplus_g` is
    the water that the spirit brings beyond what left. `findings` say what is odd, and what to do with care.
    """

    step: str
    lost_g: float
    alcohol_g: Band
    water_g: Band
    planned_alcohol_g: float
    planned_water_g: float
    spirit: str
    spirit_g: float
    plain_water_g: float
    surplus_g: float
    room_ml: float
    findings: tuple[Finding, ...]

    @property
    def needed(self) -> bool:
        """Whether anything is to be added."""
        return self.spirit_g > 0.0 or self.plain_water_g > 0.0


def step_now(course: Course, number: int | None = None) -> Leg:
    """The step by its number from 1; without one, the longest with alcohol in the pot. Raises `BadInput`."""
    if not course.legs:
        raise BadInput("This recipe has no steps yet, so nothing can leave.", remedy="Give it fats and lye first.")
    if number is not None:
        if not 1 <= number <= len(course.legs):
            raise BadInput(f"There is no step {number}.", remedy=f"Give a step from 1 to {len(course.legs)}.")
        return course.legs[number - 1]
    rows = [ROW[name] for name in ALCOHOLS]
    wet = [leg for leg in course.legs if float(leg.before[rows, LIKELY].sum()) > 0.0]
    return max(wet or course.legs, key=lambda leg: leg.minutes)


def add_back(
    worked: Worked, course: Course, air: Around, before_g: float, now_g: float, *, step: int | None = None
) -> AddBack:
    """What to add after the kettle went from `before_g` (at the start of the step) to `now_g`, tare or no tare.

    The spirit is the recipe's own. Impossible weighings are answered with findings and nothing to add. Raises
    `BadInput` for masses that are not numbers above zero, and for a step that there is not.
    """
    for name, mass in (("earlier", before_g), ("later", now_g)):
        if not (np.isfinite(mass) and 0.0 < mass < 1e9):
            raise BadInput(f"The {name} weight is {mass:g} g.", remedy="Give what the scale showed, such as 2184 g.")
    leg = step_now(course, step)
    pot = leg.before[:, LIKELY]
    lost = before_g - now_g
    step_g = worked.recipe.scale.step_g
    impossible = _too_light(before_g, pot, step_g) or impossible_loss(
        lost, float(pot[[ROW[name] for name in VOLATILE]].sum()), step_g
    )
    room = _room_ml(worked.recipe.kettle, worked.sheet.basis, leg.after[:, LIKELY])
    planned = _planned(worked, course, leg)
    split = _split(worked, leg, air, 0.0 if impossible else max(0.0, lost))
    if impossible is not None or lost <= step_g:
        said = impossible or Finding("note", "nothing-lost", "The kettle has lost no more than its scale can show.")
        return AddBack(leg.step.text, lost, *split, *planned, "", 0.0, 0.0, 0.0, room, (said,))
    return _answer(worked, leg, air, (lost, split, planned), room, heavy=max(before_g, now_g) > HEAVY_G)


def _too_light(before_g: float, pot: Array, step_g: float) -> Finding | None:
    """A kettle that weighs less than half of what should be in it was not this kettle."""
    there = float(pot.sum())
    if before_g + step_g >= 0.5 * there:
        return None
    return Finding(
        "caution",
        "kettle-too-light",
        f"{before_g:.0f} g is less than half of the {there:.0f} g that should be in the kettle at this step.",
        "Is it another batch, is the step right, or does a digit lack? The weights have to be those of all of it.",
        "weighing",
    )


Split = tuple[Band, Band]


def _split(worked: Worked, leg: Leg, air: Around, lost_g: float) -> Split:
    """The likely alcohol and water in a loss, with the spread between an open and a leaking covered kettle."""
    rows = [COMPONENTS.index(name) for name in ALCOHOLS]
    shares = []
    for covered in (leg.step.covered, not leg.step.covered):
        gone = _gone(worked, leg, air, lost_g, covered=covered)
        shares.append(float(gone[rows].sum()))
    likely, other = shares
    spread = abs(other - likely) + 0.1 * min(likely, lost_g - likely)
    low, high = max(0.0, likely - spread), min(lost_g, likely + spread)
    return Band(low, likely, high), Band(lost_g - high, lost_g - likely, lost_g - low)


def _gone(worked: Worked, leg: Leg, air: Around, lost_g: float, *, covered: bool) -> Array:
    """Grams of each component (C,) in a loss of that size: the trail of a drying pot up to there."""
    basis, pot = worked.sheet.basis, leg.before[:, LIKELY]
    mouth = opening_of(worked.recipe.kettle, volume_ml(basis, pot)[1], covered=covered)
    if lost_g <= 0.0:
        return np.zeros(len(COMPONENTS))
    liquid, minutes = liquid_of_pot(basis, pot), 30.0
    while True:
        run = evaporate(pot[_ROWS], liquid, minutes, leg.step.temperature_c or 80.0, mouth, air.air)
        lost = run.trail_g[0] - run.trail_g
        total = lost.sum(axis=1)
        if total[-1] >= lost_g or minutes > _LONGEST_MIN:
            break
        minutes *= 4.0
    mass = np.array([float(np.interp(lost_g, total, lost[:, row])) for row in range(len(COMPONENTS))])
    return np.asarray(mass * (lost_g / max(float(mass.sum()), 1e-12)))


def _planned(worked: Worked, course: Course, leg: Leg) -> tuple[float, float]:
    """Alcohol and water in g that the recipe counts with losing during this step."""
    alcohol = [ROW[name] for name in ALCOHOLS]
    lost, cooked = leg.lost_g(), worked.cooked
    out = []
    for rows, stated in ((alcohol, worked.losses.alcohol or 0.0), ([ROW["water"]], worked.losses.water or 0.0)):
        by_course = float((course.charged[rows] - course.finished[rows, LIKELY]).sum())
        share = float(lost[rows].sum()) / by_course if by_course > 0.0 else 0.0
        out.append(stated * float(cooked[rows].sum()) * share)
    return out[0], out[1]


def _room_ml(kettle: Kettle, basis: Basis, pot: Array) -> float:
    """What still fits below the head room, in mL."""
    return max(0.0, kettle.volume_ml * (1.0 - kettle.head_room) - volume_ml(basis, pot)[2])


def _spirit(worked: Worked) -> tuple[str, Material, float] | None:
    """The line key, material and alcohol share (g/g) of the spirit that brings most of the alcohol."""
    found = [
        (material.composition, line.key, material, mass * sum(material.composition.get(n, 0.0) for n in ALCOHOLS))
        for line, material, mass in worked.in_use
    ]
    best = max(found, key=lambda row: row[3], default=None)
    if best is None or best[3] <= 0.0:
        return None
    return best[1], best[2], sum(best[0].get(name, 0.0) for name in ALCOHOLS)


def _answer(
    worked: Worked, leg: Leg, air: Around, gone: tuple[float, Split, tuple[float, float]], room_ml: float, *,
    heavy: bool,
) -> AddBack:  # fmt: skip
    lost, split, (planned_alcohol, planned_water) = gone
    spirit, scale = _spirit(worked), worked.recipe.scale
    alcohol = split[0].likely - planned_alcohol
    there = float(sum(leg.before[ROW[name], LIKELY] for name in ALCOHOLS))
    findings: list[Finding] = []
    wanted = 0.0
    if spirit is not None and alcohol > max(scale.step_g, SMALL_SHARE * there):
        wanted = alcohol / spirit[2]
    brought = wanted * (spirit[1].composition.get("water", 0.0) if spirit else 0.0)
    water = split[1].likely - planned_water - brought
    plain = water if water > max(scale.step_g, SMALL_SHARE * float(leg.before[ROW["water"], LIKELY])) else 0.0
    fits = _fitting(wanted, plain, room_ml)
    if fits < 1.0:
        findings.append(
            Finding(
                "caution",
                "back-does-not-fit",
                f"Only {room_ml:.0f} mL still fit below the head room, so not all of it can go in.",
                "Add no more than fits, or move the pot to a bigger kettle; boiling over is worse than a little haze.",
                "kettle",
            )
        )
    spirit_g, plain_g = (_to_step(mass * fits, scale, down=fits < 1.0) for mass in (wanted, plain))
    if fits == 1.0 and _volume_ml(spirit_g, plain_g) > room_ml:
        spirit_g, plain_g = (_to_step(mass, scale, down=True) for mass in (wanted, plain))
    if spirit_g > 0.0 or plain_g > 0.0:
        findings += _cautions(spirit_g, pour_below_c(_most_alcohol(spirit), air.pressure_pa), heavy=heavy)
    elif fits == 1.0:
        findings.append(Finding("note", "nothing-needed", "What left is what the recipe counts with: add nothing."))
    surplus = max(0.0, -water)
    name = spirit[1].name if spirit else ""
    return AddBack(
        leg.step.text, lost, split[0], split[1], planned_alcohol, planned_water, name, spirit_g, plain_g, surplus,
        room_ml, tuple(findings),
    )  # fmt: skip


def _fitting(spirit_g: float, water_g: float, room_ml: float) -> float:
    """The share of the additions that fits."""
    volume = _volume_ml(spirit_g, water_g)
    return min(1.0, room_ml / volume) if volume > 0.0 else 1.0


def _volume_ml(spirit_g: float, water_g: float) -> float:
    """What they take up hot, at most: ethanol at its boiling point 1.36 mL/g (handbooks, recalled), water 1.03."""
    return 1.36 * spirit_g + 1.03 * water_g


def _to_step(mass_g: float, scale: WeighingScale, *, down: bool = False) -> float:
    steps = mass_g / scale.step_g
    return (math.floor(steps + 1e-9) if down else round(steps)) * scale.step_g


def _most_alcohol(spirit: tuple[str, Material, float] | None) -> str:
    return "ethanol" if spirit is None else max(ALCOHOLS, key=lambda one: spirit[1].composition.get(one, 0.0))


def _cautions(spirit_g: float, below_c: float, *, heavy: bool) -> list[Finding]:
    out = []
    if spirit_g > 0.0:
        out.append(
            Finding(
                "caution",
                "back-with-care",
                "Spirit added to a hot pot flashes into vapour.",
                f"Take the kettle off the heat and away from anything that can spark, let it fall below {below_c:g} °C,"
                " pour in a thin stream under the half-lifted lid, stir, cover, warm again.",
                "clear",
                "ethanol boils at 78.2 °C (CRC Handbook), lower up a mountain",
            )
        )
    if heavy:
        out.append(
            Finding(
                "caution",
                "kettle-heavy",
                "Do not lift a hot kettle of this weight to a scale.",
                "Put a scale under it for the whole cook, heater included, or test a cooled sample instead: clear and"
                " firm needs nothing, not clear wants spirit.",
                "kettle",
                "common practice, no source; Thomssen 1922 for the sample",
            )
        )
    return out
