"""What the plan says beside its steps, as small facts: the solvents going in, the lye and its heat, the syrup."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from kettleglass.cook.adding import Adding, Practice, Way
from kettleglass.cook.heat import HeatOfCook, LyeOfCook
from kettleglass.cook.syrup import SyrupToMake
from kettleglass.cook.warm import Change
from kettleglass.science.heat.warming import Band
from kettleglass.web.view.told import NBSP, Weights, band_of, clock, degrees, ends, number

SCHOOL_WORDS = {"safety": "safety practice", "trade": "the trade", "old book": "an old book"}


@dataclass(frozen=True, slots=True)
class Fact:
    """A figure with its doubt beside it and the words under it; `bad` is shown in red."""

    words: str
    value: str
    doubt: str = ""
    bad: bool = False


def _banded(words: str, band: Band | None, unit: str, *, bad: bool = False) -> Fact:
    """A figure with its doubt; a dash where it is not known."""
    if band is None:
        return Fact(words, "–")
    return Fact(words, f"{number(band.likely)}{NBSP}{unit}", ends(band), bad)


def _lasting(words: str, found: Change) -> Fact:
    """How long a change of temperature takes, or why that cannot be said."""
    return Fact(words, "–", found.why) if found.minutes is None else _banded(words, found.minutes, "min")


@dataclass(frozen=True, slots=True)
class School:
    """What one school says of the temperature, and whether this recipe keeps to it."""

    who: str
    practice: Practice
    keeps: bool


def limit_facts(found: Adding) -> Iterator[Fact]:
    """The three limits side by side, and the alcohol alone."""
    limits, base_c = found.limits, found.base_c
    yield _banded("what is poured in boils", band_of(limits.premix), "°C", bad=found.premix_boils)
    pot_boils = limits.pot is not None and limits.pot.likely_c <= base_c
    yield _banded("the whole pot boils", band_of(limits.pot), "°C", bad=pot_boils)
    yield Fact("the pot’s vapour catches fire from", "–" if limits.flash_c is None else degrees(round(limits.flash_c)))
    yield Fact(f"{limits.alcohol} alone boils", degrees(round(limits.alcohol_c)), bad=found.alcohol_boils)


def adding_verdict(found: Adding) -> str:
    """Whether what is poured in boils where it lands."""
    base, premix = degrees(found.base_c), found.limits.premix
    said = f"The base is at {base} as the alcohol goes in"
    if premix is None:
        return f"{said}; where what is poured in boils cannot be said."
    left = premix.low_c - found.base_c
    boils = degrees(round(premix.low_c))
    if left <= 0.0:
        return f"{said}, and what is poured in boils from {boils} on: it can boil where it lands."
    return f"{said}; what is poured in boils from {boils} on, which leaves {number(left)}{NBSP}°C."


def way_facts(way: Way, base_c: float) -> Iterator[Fact]:
    """One way of adding: how far the temperature drops, and what warming it takes."""
    yield Fact("what is poured in has", degrees(round(way.premix_c)))
    if way.warm_premix is not None:
        yield _lasting("warming it in the bath takes", way.warm_premix)
    yield Fact("together they have", degrees(round(way.mixed_c)), f"{number(way.drop_k)}{NBSP}°C lower")
    yield _lasting(f"back to {degrees(base_c)} takes", way.rewarm)


def schools(found: Adding) -> tuple[School, ...]:
    """The practices that disagree, with reason and source."""
    return tuple(School(SCHOOL_WORDS[one.kind], one, one.holds(found.base_c)) for one in found.practices)


def lye_verdict(lye: LyeOfCook) -> str:
    """How hot the lye gets by itself, and when it is cool enough for the fats."""
    heat = lye.heat
    left = heat.boils_at_c - heat.reached_c.likely
    said = f"The lye gets about {degrees(round(heat.reached_c.likely))} hot by itself"
    said += f", {number(left)}{NBSP}°C below boiling." if left > 0.5 else " and may boil."
    if lye.to_fats_min is not None and lye.to_fats_min.likely > 0.5:
        waits = clock(lye.to_fats_min.likely)
        said += f" Standing, it comes down to the {degrees(lye.fats_c)} of the fats in about {waits}."
    return said


def lye_facts(lye: LyeOfCook) -> Iterator[Fact]:
    """How hot the lye gets, how near to boiling, when it is cool enough, and where it crystallises."""
    heat = lye.heat
    yield _banded("hot by itself", heat.reached_c, "°C", bad=heat.may_boil)
    yield Fact("it boils", degrees(round(heat.boils_at_c)))
    if heat.reached_c.likely > lye.fats_c + 0.5:
        yield _banded(f"standing, until it has {degrees(lye.fats_c)}", lye.to_fats_min, "min")
    yield _banded(f"standing, until it has 50{NBSP}°C", lye.to_50_min, "min")
    yield _banded("the same in cold water", lye.bath_to_50_min, "min")
    if heat.crystals_below_c > 0.0:
        yield Fact("crystals come out below", degrees(round(heat.crystals_below_c)))


def heat_facts(heat: HeatOfCook) -> Iterator[Fact]:
    """Warming, the heat of free acid and of saponification, cooling."""
    if heat.warm_up is not None and heat.warm_up.to_c > heat.warm_up.from_c:
        warm = heat.warm_up
        yield _lasting(f"to melt the fats, from {degrees(warm.from_c)} to {degrees(warm.to_c)}", warm)
    if heat.acid is not None:
        acid = heat.acid
        start, boils = degrees(round(acid.start_c)), degrees(round(acid.boils_c))
        yield _banded(
            f"if all the lye meets the free acid at once, from {start} on; the paste boils from {boils}",
            acid.at_once.reached_c, "°C", bad=acid.at_once.reached_c.likely >= acid.boils_c,
        )  # fmt: skip
    if heat.saponification_k is not None:
        yield _banded("warmer by the reaction of the fats, if no heat left", heat.saponification_k, "°C")
    if heat.cool_down is not None:
        cool = heat.cool_down
        yield _lasting(f"to the pour, from {degrees(cool.from_c)} to {degrees(cool.to_c)}", cool)


def syrup_verdict(syrup: SyrupToMake, weights: Weights, step_g: float) -> str:
    """What to take, and what is left when it is done."""
    return (
        f"Take {weights(syrup.sugar_g, step_g)} of sugar and {weights(syrup.water_g, step_g)} of water; when"
        f" {weights(syrup.cooked_g, step_g)} are left in the pan, it is done."
    )


def syrup_facts(syrup: SyrupToMake, weights: Weights, step_g: float) -> Iterator[Fact]:
    """What to boil off, and how else to know when it is done."""
    yield Fact("boil off", weights(syrup.boil_off_g, step_g))
    yield Fact("strength when done", f"{syrup.brix:.1f}{NBSP}°Brix")
    yield Fact("it then boils at", f"{syrup.boils_c:.1f}{NBSP}°C")
    yield Fact("stay on pan and strainer", weights(syrup.surplus_g, step_g))
    yield Fact("go into the pot", weights(syrup.wanted_g, step_g))
    if syrup.crystals_below_c is not None:
        yield Fact("can crystallise below", degrees(round(syrup.crystals_below_c)))
