"""Readings of the hot pot: boiling, loss, air and lye, each with its band, working and sources.

The bands are those of the models, not of the weights: what nobody has measured, and what differs from room to room.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from kettleglass.cook.air import MIXING_FACTOR, ROOM_MINUTES, RoomAir
from kettleglass.cook.boil import Boiling, Boils
from kettleglass.cook.course import WAYS, Course
from kettleglass.cook.heat import LyeOfCook
from kettleglass.cook.hot import HotPot
from kettleglass.recipe.leaving import ALCOHOLS
from kettleglass.recipe.readings import Reading
from kettleglass.recipe.readings.reading import Pair
from kettleglass.recipe.work import Worked

NRTL = "Renon & Prausnitz 1968 (NRTL), fitted to published vapour-liquid rows"
FILM = "Mackay & Matsugu 1973, with Stefan's correction"
FLASH = "Liaw et al. 2002 with Le Chatelier's rule; IEC 60079-20-1"
WAY_WORDS = {"method": "lids as in the steps", "covered": "always covered", "open": "always open"}


def hot_readings(worked: Worked, hot: HotPot) -> Iterator[Reading]:
    """All readings of a hot pot; none for a pot in which nothing evaporates."""
    for reading in _all(worked, hot):
        yield replace(reading, band_says="Likely between")


def _all(worked: Worked, hot: HotPot) -> Iterator[Reading]:
    yield from _boil_readings(worked, hot)
    yield from _loss_readings(hot.course)
    if hot.air is not None:
        yield from _air_readings(hot.air)
    if hot.lye is not None:
        yield from _lye_readings(hot.lye)


def _boils(key: str, label: str, boils: Boils, working: str, inputs: tuple[Pair, ...]) -> Reading:
    return Reading(key, label, boils.likely_c, "°C", working, boils.low_c, boils.high_c, inputs=inputs, sources=(NRTL,))


def _boil_readings(worked: Worked, hot: HotPot) -> Iterator[Reading]:
    boiling, pressure = hot.boiling, f"{hot.around.pressure_pa / 1000.0:.1f} kPa ({hot.around.said})"
    inputs = (("pressure", pressure), *_moist(worked))
    if boiling.boils is not None:
        yield _boils(
            "pot.boil", "boils at", boiling.boils,
            "The temperature at which water and alcohol together press as hard as the air. The band spans what"
            " dissolved soap and sugar may do (nothing, up to full dissociation) and 0.6 K for the model.", inputs,
        )  # fmt: skip
    yield from _margin(boiling)
    if boiling.premix is not None and boiling.premix.boils is not None:
        keys = " + ".join(boiling.premix.keys)
        yield _boils(
            "premix.boil", "premix boils at", boiling.premix.boils,
            f"The same for what is really poured in: {keys}, mixed.", (("pressure", pressure),),
        )  # fmt: skip
    yield from _flash(worked, boiling)


def _margin(boiling: Boiling) -> Iterator[Reading]:
    tight = boiling.tightest
    if tight is None:
        return
    yield Reading(
        "pot.margin", "below boiling", tight.margin_k, "K",
        f"{tight.boils.likely_c:.1f} °C less {tight.temperature_c:g} °C, at the step that comes nearest:"
        f" “{tight.leg.step.text}”.",
        tight.boils.low_c - tight.temperature_c, tight.boils.high_c - tight.temperature_c, sources=(NRTL,),
    )  # fmt: skip


def _flash_doubt(worked: Worked) -> tuple[float, float, str]:
    """What a flash point may be off below and above, in °C, and in words."""
    if worked.grams("propan_2_ol") <= worked.grams("ethanol"):
        return 3.0, 3.0, "Published ethanol-water rows above 20 % vol are met within 3 °C."
    return (
        3.0,
        9.0,
        "No measured rows of propan-2-ol could be read; modified UNIFAC gives up to 9 °C more where it is thin.",
    )


def _flash(worked: Worked, boiling: Boiling) -> Iterator[Reading]:
    below, above, said = _flash_doubt(worked)
    if boiling.flash_c is not None:
        yield Reading(
            "pot.flash", "flash point", boiling.flash_c, "°C",
            f"Where the vapour over the pot first catches fire from a flame (closed cup). {said}",
            boiling.flash_c - below, boiling.flash_c + above, sources=(FLASH,), decimals=0,
        )  # fmt: skip
    premix = boiling.premix
    if premix is not None and premix.flash_c is not None:
        yield Reading(
            "premix.flash", "premix flash point", premix.flash_c, "°C", f"The same for the liquid poured in. {said}",
            premix.flash_c - below, premix.flash_c + above, sources=(FLASH,), decimals=0,
        )  # fmt: skip


def _moist(worked: Worked) -> tuple[Pair, ...]:
    names = (("ethanol", "ethanol"), ("propan-2-ol", "propan_2_ol"), ("water", "water"), ("glycerol", "glycerol"),
             ("sugar", "sucrose"))  # fmt: skip
    return tuple((name, f"{worked.percent(key):.1f} %") for name, key in names if worked.percent(key) >= 0.05)


def _loss_readings(course: Course) -> Iterator[Reading]:
    for kind, species in (("alcohol", ALCOHOLS), ("water", ("water",))):
        there = course.charged_g(*species)
        if there <= 0.0:
            continue
        for way in WAYS:
            low, likely, high = course.lost_band_g(*species, way=way)
            working = (
                f"{WAY_WORDS[way].capitalize()}: vapour that leaves through the film of air over the pot, or through"
                f" the slit of a lid, step by step as the mix changes; {likely:.1f} g of {there:.0f} g."
            )
            inputs = tuple(_by_step(course, species, way))
            yield Reading(f"loss.{kind}.{way}", f"{kind} lost, {WAY_WORDS[way]}", likely, "g", working, low, high,
                          inputs=inputs, sources=(FILM,), decimals=1 if likely < 9.95 else 0)  # fmt: skip
            yield Reading(f"loss.{kind}.{way}.percent", f"{kind} lost, {WAY_WORDS[way]}", 100.0 * likely / there, "%",
                          working, 100.0 * low / there, 100.0 * high / there, inputs=inputs, sources=(FILM,),
                          decimals=1 if likely < 0.0995 * there else 0)  # fmt: skip


def _by_step(course: Course, species: tuple[str, ...], way: str) -> Iterator[Pair]:
    for leg in course.legs:
        lost = leg.lost_of_g(*species, way=way)
        if lost >= 0.05:
            yield f"{leg.step.text[:60]}", f"{lost:.1f} g in {leg.minutes:g} min at {leg.step.temperature_c:g} °C"


def _air_readings(air: RoomAir) -> Iterator[Reading]:
    release = air.release
    yield Reading(
        "air.release", "vapour while the lid is off", release.likely_g_min, "g/min",
        f"As the step “{release.step_text}” starts, with the lid off.",
        release.low_g_min, release.high_g_min, sources=(FILM,), decimals=1,
    )  # fmt: skip
    flows = (
        ("lel_25", "air for 25 % of the explosive limit", air.lel_25_m3_h),
        ("lel_10", "air for 10 % of the explosive limit", air.lel_10_m3_h),
        ("exposure", "air for the exposure limit", air.exposure_m3_h),
    )
    for key, label, flow in flows:
        scale = flow / release.likely_g_min if release.likely_g_min > 0.0 else 0.0
        yield Reading(
            f"air.{key}", label, flow, "m3/h",
            f"Volume of each vapour at 20 °C over its limit, times {MIXING_FACTOR:g} as fresh air never mixes"
            " perfectly. It speaks for the room's average, never for the metre around the pot.",
            scale * release.low_g_min, scale * release.high_g_min,
            inputs=tuple((name.replace("_", "-"), f"{rate:.2g} g/min") for name, rate in release.each_g_min.items()),
            sources=("ACGIH dilution equation; IEC 60079-20-1; NIOSH Pocket Guide",), decimals=0,
        )  # fmt: skip
    if air.share_of_lel is not None:
        yield Reading(
            "air.room", "of the explosive limit", 100.0 * air.share_of_lel, "%",
            f"The room's average after {ROOM_MINUTES:g} minutes of open pot, or once all of its alcohol has left.",
            sources=("ACGIH dilution equation; IEC 60079-20-1",), decimals=0,
        )  # fmt: skip


def _lye_readings(lye: LyeOfCook) -> Iterator[Reading]:
    heat = lye.heat
    yield Reading(
        "lye.reached", "the lye gets as hot as", heat.reached_c.likely, "°C",
        f"{heat.heat_kj.likely:.0f} kJ from dissolving, stirred in within minutes from {heat.start_c:g} °C; the low end"
        " loses 30 % of it to the room, the high end nothing.",
        heat.reached_c.low, heat.reached_c.high, sources=("Parker 1965, NSRDS-NBS 2",), decimals=0,
    )  # fmt: skip
    if lye.to_50_min is not None:
        yield Reading(
            "lye.cools", "the lye is at 50 °C after", lye.to_50_min.likely, "min", "Standing in the room.",
            lye.to_50_min.low, lye.to_50_min.high, known="assumed", decimals=0,
        )  # fmt: skip
    yield Reading(
        "lye.boils", "the lye boils at", heat.boils_at_c, "°C", "At the pressure of the place.", decimals=0,
        sources=("boiling points of caustic lyes",), known="memory",
    )  # fmt: skip
