"""Heat of a cook: the lye as it is mixed, free fatty acid that meets it at once, and saponification.

Bands are low, likely, high. Rises are those of a pot that loses nothing meanwhile, so they are the most to reckon with.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from kettleglass.cook.around import Around
from kettleglass.cook.course import Course
from kettleglass.cook.warm import Change, cool_down, kettle_j_k, warm_up
from kettleglass.errors import Finding, OutOfRange
from kettleglass.recipe.alkali import WATERY
from kettleglass.recipe.leaving import ALCOHOLS
from kettleglass.recipe.method import USUAL
from kettleglass.recipe.recipe import STAGES, Stage
from kettleglass.recipe.sheet import cook
from kettleglass.recipe.work import Worked
from kettleglass.science.basis import Array, Basis
from kettleglass.science.heat.boiling import boiling_band
from kettleglass.science.heat.lye import (
    SATURATION_SOURCE,
    Alkali,
    LyeHeat,
    heat_of_solution_j_mol,
    lye_cooled_minutes,
    lye_heat,
)
from kettleglass.science.heat.reaction import AtOnce, free_acid_at_once, rise_k, saponification_heat_j
from kettleglass.science.heat.steam import boiling_water_c
from kettleglass.science.heat.warming import BATH_W_M2_K, Band, heat_capacity_j_k, pot_area_m2
from kettleglass.science.pot import ROW, acid_mol, acyl_mol, hydroxide_mol
from kettleglass.science.saponify import KOH_G_MOL, NAOH_G_MOL

COOL_ENOUGH_C = 50.0
"""Lye that cool is handled more safely (common practice, no source)."""
COLD_WATER_C = 15.0
"""Tap water around the lye's vessel (assumed)."""
LOST_SHARE = (0.0, 0.1, 0.3)
"""What goes to the room while lye is mixed, least, likely, most (assumed)."""
LYE_G_ML = 1.33
"""Density of a lye of about 30 % (CRC Handbook, recalled), for the size of its vessel only."""
STOCK_LYE = 0.3
"""An alkali line with that share of water is a lye already: its heat of dissolving has gone."""
FOAM_K = 5.0
"""So near its boiling point a paste is taken to foam up (assumed)."""
LEAST_RISE_K = 1.0
"""A rise that no kitchen thermometer shows is not blamed on free acid: every fat holds a trace of it."""
THICKENS_SHARE = 0.05
"""From this share of free acid in the fats on the mass thickens as the lye goes in (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class LyeOfCook:
    """The lye of a recipe: its pure alkali and water, the heat as it is mixed, and when it is cool enough.

    `to_50_min` and `to_fats_min` are minutes standing in the room, `bath_to_50_min` in cold water; None where the room
    is too warm for it. `fats_c` is the temperature of the fats it goes into, `use_c` what it has then.
    """

    naoh_g: float
    koh_g: float
    water_g: float
    heat: LyeHeat
    to_50_min: Band | None
    bath_to_50_min: Band | None
    fats_c: float
    to_fats_min: Band | None
    findings: tuple[Finding, ...]

    @property
    def use_c(self) -> float:
        """The temperature at which it goes in, cooled to that of the fats."""
        return min(self.heat.reached_c.likely, self.fats_c)


@dataclass(frozen=True, slots=True)
class _Lye:
    """Grams as mixed: alkalis, all water, what of it flakes hold; `heat_left` is the share of heat yet to come."""

    naoh_g: float
    koh_g: float
    water_g: float
    bound_g: float
    heat_left: float


def lye_of(worked: Worked, around: Around) -> LyeOfCook | None:
    """The lye of a recipe as it is mixed from the room's temperature; None without alkali under Lye.

    None, too, for a lye that does not dissolve, which the recipe's own checks say. Alcohol and whatever else stands
    under Lye beside alkali and water does not go into the lye itself.
    """
    lye = _lye(worked)
    if lye is None:
        return None
    room_c = max(0.0, worked.recipe.place.room_c)
    try:
        mixed = lye_heat(
            lye.naoh_g, lye.koh_g, lye.water_g, start_c=room_c, lost_share=LOST_SHARE, pressure_pa=around.pressure_pa,
            bound_water_g=lye.bound_g,
        )  # fmt: skip
        mixed = mixed if lye.heat_left >= 1.0 else _with_less_heat(mixed, lye.heat_left)
    except OutOfRange:
        return None
    area = _vessel_area_m2(lye.naoh_g + lye.koh_g + lye.water_g)
    fats_c = temperature_of(worked, "fats")
    return LyeOfCook(
        lye.naoh_g, lye.koh_g, lye.water_g, mixed,
        lye_cooled_minutes(mixed, COOL_ENOUGH_C, room_c=room_c, area_m2=area),
        lye_cooled_minutes(mixed, COOL_ENOUGH_C, room_c=COLD_WATER_C, area_m2=area, w_m2_k=BATH_W_M2_K),
        fats_c,
        lye_cooled_minutes(mixed, fats_c, room_c=room_c, area_m2=area),
        (*_lye_findings(mixed, worked.recipe.place.room_c), *acid_findings(worked, around, mixed)),
    )  # fmt: skip


def mixed_as_lye(worked: Worked) -> list[int]:
    """Rows of the sheet that are stirred together as lye: alkali and water under Lye, nothing else."""
    sheet = worked.sheet
    caustic, water = sheet.species("hydroxide"), sheet.species("water")
    alcohol = sum((sheet.species(name) for name in ALCOHOLS), start=np.zeros(len(sheet.lines)))
    return [
        row for row, line in enumerate(sheet.lines)
        if line.stage == "lye" and alcohol[row] <= 0.0 and (caustic[row] > 0.0 or water[row] >= WATERY)
    ]  # fmt: skip


def _lye(worked: Worked) -> _Lye | None:
    sheet, masses = worked.sheet, worked.weights.weighed_g
    rows = mixed_as_lye(worked)
    brought = [sheet.compositions[:, row] * masses[row] for row in rows]
    caustic = [pot for pot in brought if pot[ROW["hydroxide"]] > 0.0]
    if not caustic:
        return None
    naoh, koh, spent_j = 0.0, 0.0, 0.0
    bound = 0.0
    for pot in caustic:
        sodium, potassium = (pot[ROW[name]] * sheet.basis.mol_per_g[ROW[name]] for name in ("sodium", "potassium"))
        moles = float(hydroxide_mol(pot))
        share = float(potassium / (sodium + potassium)) if sodium + potassium > 0.0 else 0.0
        naoh, koh = naoh + moles * (1.0 - share) * NAOH_G_MOL, koh + moles * share * KOH_G_MOL
        water, whole = float(pot[ROW["water"]]), float(pot.sum())
        if water > STOCK_LYE * whole:
            spent_j += _spent_j(moles, share, whole)
        else:
            bound += water
    water_g = float(sum(pot[ROW["water"]] for pot in brought))
    return _Lye(naoh, koh, water_g, bound, _heat_left(naoh, koh, water_g, spent_j))


def _spent_j(moles: float, potassium: float, whole_g: float) -> float:
    """Heat that a lye bought as such gave off when it was made, in J."""
    kinds: tuple[tuple[Alkali, float, float], ...] = (
        ("naoh", moles * (1.0 - potassium), NAOH_G_MOL), ("koh", moles * potassium, KOH_G_MOL),
    )  # fmt: skip
    strength = sum(mol * g_mol for _, mol, g_mol in kinds) / whole_g
    return sum(-mol * _dissolving_j_mol(alkali, strength) for alkali, mol, _ in kinds if mol > 0.0)


def _dissolving_j_mol(alkali: Alkali, strength: float) -> float:
    """Heat of dissolving; a stock stronger than a cold lye can be counts as saturated."""
    return heat_of_solution_j_mol(alkali, min(strength, 0.522 if alkali == "naoh" else 0.548))


def _heat_left(naoh_g: float, koh_g: float, water_g: float, spent_j: float) -> float:
    """The share of the heat of dissolving that is still to come, 0 to 1."""
    if spent_j <= 0.0:
        return 1.0
    strength = (naoh_g + koh_g) / (naoh_g + koh_g + water_g)
    whole = -naoh_g / NAOH_G_MOL * _dissolving_j_mol("naoh", strength)
    whole -= koh_g / KOH_G_MOL * _dissolving_j_mol("koh", strength)
    return min(1.0, max(0.0, 1.0 - spent_j / whole)) if whole > 0.0 else 0.0


def _with_less_heat(mixed: LyeHeat, share: float) -> LyeHeat:
    heat = Band(*(share * kj for kj in mixed.heat_kj))
    lost = reversed(LOST_SHARE)
    rises = [1000.0 * kj * (1.0 - gone) / mixed.capacity_j_k for kj, gone in zip(heat, lost, strict=True)]
    reached = Band(*(min(mixed.start_c + rise, mixed.boils_at_c) for rise in rises))
    return replace(mixed, heat_kj=heat, reached_c=reached, steam_g=Band(*(share * g for g in mixed.steam_g)))


def _vessel_area_m2(lye_g: float) -> float:
    """Outside of a lye in a vessel as high as it is wide."""
    volume = lye_g / LYE_G_ML
    return pot_area_m2(volume, 10.0 * (4.0 * volume / math.pi) ** (1.0 / 3.0))


def _lye_findings(mixed: LyeHeat, room_c: float) -> Iterator[Finding]:
    if mixed.may_boil:
        yield Finding(
            "danger" if mixed.boils else "caution", "lye-boils",
            f"This lye gets as hot as {mixed.reached_c.likely:.0f} °C (up to {mixed.reached_c.high:.0f}) and boils at"
            f" {mixed.boils_at_c:.0f} °C: it can spit.",
            "Begin with ice-cold water in a bath of cold water, the alkali by spoonfuls, or take more water.",
            "lye water", "Parker 1965 (heats); Olsson et al. 1997, Balej 1985 (boiling points)",
        )  # fmt: skip
    if mixed.crystals_below_c > room_c - 2.0:
        yield Finding(
            "caution", "lye-crystals-in-room",
            f"Left standing in this room ({room_c:.0f} °C), crystals come out of this lye below about"
            f" {mixed.crystals_below_c:.0f} °C.",
            "Use it while it is warm; crystals that came out are lye that is missing in the pot.", "lye water",
            SATURATION_SOURCE,
        )  # fmt: skip


def temperature_of(worked: Worked, stage: Stage) -> float:
    """What the method holds to at a stage in °C: the maker's own step of it or before it, else the usual one."""
    order = STAGES.index(stage)
    own = [
        step.temperature_c for step in worked.recipe.method
        if step.temperature_c is not None and STAGES.index(step.stage) <= order
    ]  # fmt: skip
    return own[-1] if own else USUAL[stage][0].temperature_c or 0.0


# Free fatty acid ----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class AcidHeat:
    """Free fatty acid that meets its lye at once: its grams and share of the fats, the rise, and what it comes near.

    `boils_c` is where the mass begins to boil (low end); `share_at_limit` the share of free acid in the fats at which
    it would just come within 5 K of that, None where even pure acid would not; `start_below_c` the temperature of fats
    and lye from which it stays clear of it.
    """

    acid_g: float
    share: float
    at_once: AtOnce
    start_c: float
    boils_c: float
    share_at_limit: float | None
    start_below_c: float


def acid_heat(worked: Worked, around: Around, mixed: LyeHeat | None) -> AcidHeat | None:
    """What the free acid among the fats does when all the lye is poured in at once; None without either.

    Fats and lye have the temperature of the fats, or the lye its own where that is lower.
    """
    sheet, masses = worked.sheet, worked.weights.weighed_g
    fats, pot = (np.asarray(sheet.compositions @ np.where(_upto(worked, stage), masses, 0.0)) for stage in _EARLY)
    basis = sheet.basis
    fat_g, acid_g = _fatty_g(basis, fats), float(fats[basis.acid].sum())
    if mixed is None or acid_g <= 1e-6 * max(1.0, fat_g) or float(hydroxide_mol(pot)) <= 0.0:
        return None
    fats_c = temperature_of(worked, "fats")
    start = _met_c(basis, fats, fats_c, mixed)
    kettle = kettle_j_k(worked.recipe.kettle)
    capacity = float(heat_capacity_j_k(basis, pot, min(120.0, max(0.0, start))))
    found = free_acid_at_once(basis, pot, capacity, start_c=start)
    rise = Band(found.rise_k.low * capacity / (capacity + kettle), found.rise_k.likely, found.rise_k.high)
    found = replace(found, rise_k=rise, reached_c=Band(*(start + k for k in rise)))
    boils = _boils_c(worked, around)
    room = boils - FOAM_K - start
    share = acid_g / fat_g
    limit = max(0.0, share * room / rise.likely) if rise.likely > 0.0 else 2.0
    return AcidHeat(acid_g, share, found, start, boils, limit if limit <= 1.0 else None, boils - FOAM_K - rise.likely)


_EARLY: tuple[Stage, Stage] = ("fats", "lye")


def _upto(worked: Worked, stage: Stage) -> Array:
    last = STAGES.index(stage)
    return np.array([STAGES.index(line.stage) <= last for line in worked.sheet.lines], dtype=bool)


def _fatty_g(basis: Basis, pot: Array) -> float:
    bound = ("bound_glycerol", "bound_alcohol", "unsaponifiable")
    return float(pot[basis.acyl].sum() + pot[basis.acid].sum() + sum(pot[ROW[name]] for name in bound))


def _met_c(basis: Basis, fats: Array, fats_c: float, mixed: LyeHeat) -> float:
    """The temperature of fats and lye put together, the lye cooled to that of the fats if it was hotter."""
    lye_c = min(mixed.reached_c.likely, fats_c)
    a = float(heat_capacity_j_k(basis, fats, min(120.0, max(0.0, fats_c))))
    return (a * fats_c + mixed.capacity_j_k * lye_c) / (a + mixed.capacity_j_k)


def _boils_c(worked: Worked, around: Around) -> float:
    """Where the paste begins to boil, low end; water's own boiling point where the model of the pot does not reach."""
    paste = cook(worked.sheet, np.where(_upto(worked, "lye"), worked.weights.weighed_g, 0.0))
    water = boiling_water_c(around.pressure_pa)
    try:
        return float(boiling_band(worked.sheet.basis, paste, around.pressure_pa)[0])
    except OutOfRange:
        return water


def acid_findings(worked: Worked, around: Around, mixed: LyeHeat | None) -> Iterator[Finding]:
    """What free fatty acid among the fats makes to mind: boiling over, thickening."""
    acid = acid_heat(worked, around, mixed)
    if acid is None:
        return
    reached = acid.at_once.reached_c
    percent = 100.0 * acid.share
    near = reached.likely >= acid.boils_c - FOAM_K or reached.high >= acid.boils_c
    if near and acid.at_once.rise_k.high >= LEAST_RISE_K:
        yield Finding(
            "danger" if reached.low >= acid.boils_c else "caution", "boil-over",
            f"Free fatty acid ({percent:.0f} % of the fats) takes up its lye at once: poured in all together,"
            f" {acid.start_c:.0f} °C become {reached.likely:.0f} °C ({reached.low:.0f} to {reached.high:.0f}), and the"
            f" mass boils or foams up from about {acid.boils_c - FOAM_K:.0f} °C.{_limit(acid)}",
            "Add the lye in portions over minutes and keep a third of the kettle free. "
            + _cooler(acid), "lye", "heat of neutralisation, 57 kJ/mol (heats of formation)",
        )  # fmt: skip
    if acid.share >= THICKENS_SHARE:
        yield Finding(
            "note", "thickens-at-once",
            f"{acid.at_once.soap_g:.0f} g of soap form within seconds of the lye going in: the mass thickens at once.",
            "Have the stirrer in it before the first portion, and go on until it is even again.", "lye",
            "common practice, no source",
        )  # fmt: skip


def _limit(acid: AcidHeat) -> str:
    if acid.share_at_limit is None:
        return ""
    if acid.share_at_limit <= 0.005:
        return " At this temperature any free acid does."
    return f" From {100.0 * acid.share_at_limit:.0f} % of free acid on it does."


def _cooler(acid: AcidHeat) -> str:
    """How to stay clear of it: cooler fats as long as the acid stays melted, else less acid at first."""
    if acid.start_below_c >= _STEARIC_MELTS_C:
        return f"Fats and lye at {acid.start_below_c:.0f} °C or cooler stay clear of it; or add part of the acid later."
    return "Cooler fats would set: add part of the acid later, once the first has taken up its lye."


_STEARIC_MELTS_C = 69.6
"""Stearic acid (CRC Handbook, recalled)."""


# The whole cook ----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class HeatOfCook:
    """Heat in the pot: the free acid, saponification's own rise in K, warming at the start, cooling to the pour."""

    acid: AcidHeat | None
    saponification_k: Band | None
    warm_up: Change | None
    cool_down: Change | None
    findings: tuple[Finding, ...]


def heat_of(worked: Worked, course: Course, around: Around, lye: LyeOfCook | None) -> HeatOfCook:
    """The heat of a cook, from fats to pour; `lye` is what `lye_of` gave, whose findings are not repeated here."""
    acid = acid_heat(worked, around, None if lye is None else lye.heat)
    rise = saponification_rise_k(worked)
    return HeatOfCook(
        acid, rise, warm_up(worked, course, around), cool_down(worked, course),
        tuple(_early_alcohol(worked, around, rise)),
    )  # fmt: skip


def saponification_rise_k(worked: Worked) -> Band | None:
    """By how many kelvin the esters warm paste and kettle when all react and nothing is lost; None without esters."""
    basis, masses = worked.sheet.basis, worked.weights.weighed_g
    pot = np.asarray(worked.sheet.compositions @ np.where(_upto(worked, "paste"), masses, 0.0))
    spare = float(hydroxide_mol(pot)) - float(acid_mol(basis, pot))
    ester = max(0.0, min(float(acyl_mol(basis, pot)), spare))
    if ester <= 0.0:
        return None
    capacity = float(heat_capacity_j_k(basis, pot)) + kettle_j_k(worked.recipe.kettle)
    return rise_k(saponification_heat_j(ester), capacity)


def _early_alcohol(worked: Worked, around: Around, rise: Band | None) -> Iterator[Finding]:
    """Alcohol that is in the pot while it saponifies: fast, all its heat at once, and near boiling from the start."""
    if rise is None or worked.grams_added("lye", *ALCOHOLS) + worked.grams_added("fats", *ALCOHOLS) <= 0.0:
        return
    start, boils = temperature_of(worked, "lye"), _boils_c(worked, around)
    if start + rise.likely >= boils - FOAM_K:
        yield Finding(
            "danger" if start >= boils else "caution", "boils-with-alcohol",
            f"With alcohol in it, the pot saponifies within minutes: +{rise.likely:.0f} °C on {start:.0f} °C, and it"
            f" boils from {boils:.0f} °C.",
            f"Begin below {boils - FOAM_K - rise.likely:.0f} °C, lye in portions, heat off, lid on; Simmons & Appleton"
            " begin at 54 °C.", "lye", "Simmons & Appleton 1908",
        )  # fmt: skip
