"""Boiling and flash points of invented pots beside those by group contributions, from an open library (`thermo`).

Nothing is shared: its activity coefficients come from groups (UNIFAC) and not from fits to these very mixtures, its
vapour pressures from reference equations. What is dissolved counts the same on both sides.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from importlib import import_module
from importlib.metadata import version
from pathlib import Path
from typing import Any

import numpy as np

from kettleglass.science.basis import Array
from kettleglass.science.draws import stream
from kettleglass.science.fire import FLAMMABLE, flash_of
from kettleglass.science.heat.boiling import MODEL_K, boiling_of, bubble_point
from kettleglass.science.heat.liquid import Liquid, liquid_of
from kettleglass.science.heat.vapour import COMPONENTS, HIGHEST_C, MOLAR_MASS_G_MOL, saturation_pressure_pa

POTS = 300
MEASURED = Path(__file__).resolve().parents[2] / "tests" / "published" / "vle.csv"
CAS = {
    "water": "7732-18-5", "ethanol": "64-17-5", "propan_2_ol": "67-63-0", "methanol": "67-56-1",
    "propylene_glycol": "57-55-6",
}  # fmt: skip
"""What has a vapour pressure."""
GROUPS = {
    "water": {16: 1}, "ethanol": {1: 1, 2: 1, 14: 1}, "propan_2_ol": {1: 2, 3: 1, 14: 1}, "methanol": {15: 1},
    "glycerol": {2: 2, 3: 1, 14: 3}, "propylene_glycol": {1: 1, 2: 1, 3: 1, 14: 2},
}  # fmt: skip
"""Groups of the original UNIFAC: CH3 1, CH2 2, CH 3, OH 14, methanol 15, water 16."""
DORTMUND = {**{name: GROUPS[name] for name in ("water", "ethanol", "methanol")}, "propan_2_ol": {1: 2, 3: 1, 81: 1}}
"""Groups of modified UNIFAC (Dortmund), where a secondary OH is its own, 81. It has none for glycerol."""
POT = {"soap": 0.26, "ethanol": 0.15, "glycerol": 0.15, "sucrose": 0.15, "water": 0.29}


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of pot, drawn at random: which liquids by which shares, and with which groups it is compared."""

    name: str
    alcohol: str
    groups: Mapping[str, Mapping[int, int]]
    polyol: str = ""
    dissolved: bool = False


ALCOHOL_WATER = tuple(Kind(f"{name} and water", name, DORTMUND) for name in ("ethanol", "propan_2_ol", "methanol"))
WITH_POLYOL = (
    Kind("with glycerol", "ethanol", GROUPS, "glycerol"),
    Kind("with glycerol, soap and sugar", "ethanol", GROUPS, "glycerol", dissolved=True),
    Kind("propan-2-ol with glycerol, soap and sugar", "propan_2_ol", GROUPS, "glycerol", dissolved=True),
    Kind("with propylene glycol, soap and sugar", "ethanol", GROUPS, "propylene_glycol", dissolved=True),
)


def report(seed: int) -> str:
    """Tables of the differences, ours minus theirs."""
    head = "| Pots | mean K | mean of sizes K | largest K | there: shares by mass; ours, theirs °C |"
    binary, mixed = ([compared(kind, seed) for kind in kinds] for kinds in (ALCOHOL_WATER, WITH_POLYOL))
    return "\n\n".join(
        [
            _how(),
            "## Vapour pressure of pure liquids, 20 to 110 °C",
            table("| Liquid | mean % | largest % |", pressure_rows()),
            "## Both against what was measured",
            _MEASURED,
            table("| Rows | ours: mean of sizes, largest K | theirs: mean of sizes, largest K |", measured_rows()),
            glycerol_that_removes_the_azeotrope(),
            "## Alcohol and water against modified UNIFAC (Dortmund)",
            table(head, (found.row for found in binary)),
            "## Pots with a polyol against the original UNIFAC",
            table(head, (found.row for found in mixed)),
            _POLYOL,
            table("| Pots | theirs inside our band |", (f"| {one.kind.name} | {one.inside:.0%} |" for one in mixed)),
            "## The worked pot",
            worked_pot(),
            "## Flash points",
            _FLASH,
            table("| Ethanol % | ours °C | theirs °C |", flash_rows()),
        ]
    )


_POLYOL = (
    "Where nobody has measured, the table shows how far two ways of reckoning lie apart; which is right it cannot say."
    " How often theirs lies inside the band that the program shows (without the doubt about soap and sugar only"
    f" {MODEL_K:g} K either way):"
)
_MEASURED = (
    "Rows of `tests/published/vle.csv`, boiling points only: modified UNIFAC for alcohol and water, the original for"
    " glycerol and water; rows of glycerol and of methanol are recalled; ours ends at 110 °C. Ours was fitted to some"
    " of these rows (Lai, Carey & Lewis, Kamihama, Orchillés, glycerol), theirs long before to others."
)
_FLASH = (
    "The same pot with more or less ethanol in place of water; Le Chatelier's rule and the pure flash points on both"
    " sides, activity and vapour pressures each side's own. Nobody has measured such pots."
)


def _how() -> str:
    return (
        f"{POTS} invented pots of each kind, boiling at 70 to 105 kPa, against `thermo` {version('thermo')} and"
        f" `chemicals` {version('chemicals')}. Modified UNIFAC stands only for alcohol and water, for it has no groups"
        " for glycerol; the original for everything with a polyol. The library's own NRTL table is not used: it has no"
        " pair of propan-2-ol and water and none with glycerol, and then silently reckons as if ideal. Differences are"
        " ours minus theirs."
    )


def table(head: str, rows: Iterable[str]) -> str:
    """A table below a head."""
    return "\n".join([head, "|---" * (head.count("|") - 1) + "|", *rows])


@dataclass(frozen=True, slots=True)
class Compared:
    """Our boiling points and theirs of pots of a kind, and in how many theirs lies inside our band."""

    kind: Kind
    ours_c: Array
    theirs_c: Array
    shares: Sequence[Mapping[str, float]]
    inside: float

    @property
    def row(self) -> str:
        """A line of the table."""
        off = self.ours_c - self.theirs_c
        most = int(np.argmax(np.abs(off)))
        there = ", ".join(f"{name} {share:.2f}" for name, share in self.shares[most].items() if share >= 0.005)
        sizes = np.abs(off)
        return (
            f"| {self.kind.name} | {off.mean():+.2f} | {sizes.mean():.2f} | {off[most]:+.2f} |"
            f" {there}; {self.ours_c[most]:.1f}, {self.theirs_c[most]:.1f} |"
        )


def compared(kind: Kind, seed: int) -> Compared:
    """Random pots of a kind, boiled both ways."""
    rng = stream(seed, f"boiling {kind.name}")
    theirs = Theirs(kind.groups)
    ours_c, theirs_c, inside = np.empty(POTS), np.empty(POTS), np.empty(POTS, dtype=bool)
    shares = [drawn(kind, rng) for _ in range(POTS)]
    for place, one in enumerate(shares):
        pressure_pa = float(rng.uniform(70e3, 105e3))
        found = bubble_point(one, pressure_pa)
        ours_c[place] = found.temperature_c
        theirs_c[place] = theirs.boils_c(liquid_of(one), pressure_pa)
        inside[place] = found.low_c <= theirs_c[place] <= found.high_c
    return Compared(kind, ours_c, theirs_c, shares, float(inside.mean()))


def drawn(kind: Kind, rng: np.random.Generator) -> dict[str, float]:
    """A pot by mass: any strength for alcohol and water alone, else what a soap base may hold."""
    if not kind.polyol:
        share = float(rng.uniform(0.01, 0.97))
        return {kind.alcohol: share, "water": 1.0 - share}
    shares = {kind.alcohol: float(rng.uniform(0.03, 0.30)), kind.polyol: float(rng.uniform(0.03, 0.25))}
    if kind.dissolved:
        shares |= {"soap": float(rng.uniform(0.15, 0.35)), "sucrose": float(rng.uniform(0.0, 0.15))}
    return shares | {"water": 1.0 - math.fsum(shares.values())}


class Theirs:
    """The other library: activity coefficients by groups and reference vapour pressures."""

    def __init__(self, groups: Mapping[str, Mapping[int, int]]) -> None:
        self.names = tuple(groups)
        self.rows = [COMPONENTS.index(name) for name in self.names]
        self.pressures = [_pressure(name) for name in self.names]
        even = [1.0 / len(groups)] * len(groups)
        unifac = import_module("thermo.unifac").UNIFAC
        self.model: Any = unifac.from_subgroups(
            T=350.0, xs=even, chemgroups=[dict(one) for one in groups.values()], version=1 if groups is DORTMUND else 0
        )

    def partial_pa(self, liquid: Liquid, temperature_c: float) -> Array:
        """Partial pressures over a liquid in Pa, in the order of `names`."""
        kelvin = temperature_c + 273.15
        moles = liquid.moles[self.rows]
        x = moles / (moles.sum() + float(liquid.inert_mol))
        gammas = self.model.to_T_xs(kelvin, (moles / moles.sum()).tolist()).gammas()
        pure = [pressure(kelvin) for pressure in self.pressures]
        return np.asarray(x * np.array(gammas) * np.array(pure))

    def boils_c(self, liquid: Liquid, pressure_pa: float) -> float:
        """Its boiling point."""
        return _where(lambda t: float(self.partial_pa(liquid, t).sum()) / pressure_pa, 40.0, 130.0)

    def flashes_c(self, liquid: Liquid) -> float:
        """Its flash point by Le Chatelier's rule."""
        pure = {name: _pressure(name)(FLAMMABLE[name].flash_c + 273.15) for name in FLAMMABLE}

        def burning(temperature_c: float) -> float:
            partial = self.partial_pa(liquid, temperature_c)
            return sum(float(p) / pure[name] for name, p in zip(self.names, partial, strict=True) if name in pure)

        return _where(burning, 0.0, 100.0)


def _where(rising: Callable[[float], float], low: float, high: float) -> float:
    """The temperature at which something that rises with it is 1, by halving to 1e-4 K."""
    while high - low > 1e-4:
        middle = 0.5 * (low + high)
        low, high = (middle, high) if rising(middle) < 1.0 else (low, middle)
    return 0.5 * (low + high)


def _pressure(name: str) -> Callable[[float], float]:
    """Vapour pressure in Pa of K; glycerol's 6 Pa at 80 °C count as none, as with us."""
    if name not in CAS:
        return lambda _kelvin: 0.0
    found: Callable[[float], float] = import_module("thermo").VaporPressure(CASRN=CAS[name])
    return found


def pressure_rows() -> Iterable[str]:
    """How far our fits lie from their reference equations."""
    at_c = np.arange(20.0, 110.5, 2.5)
    for name in CAS:
        theirs = np.array([_pressure(name)(t + 273.15) for t in at_c])
        off = 100.0 * (saturation_pressure_pa(at_c)[COMPONENTS.index(name)] / theirs - 1.0)
        most = float(off[np.argmax(np.abs(off))])
        yield f"| {name} | {np.abs(off).mean():.2f} | {most:+.2f} at {at_c[np.argmax(np.abs(off))]:g} °C |"


def measured_rows() -> Iterable[str]:
    """Both ways against published boiling points, by mixture and laboratory."""
    off: dict[str, list[tuple[float, float]]] = {}
    theirs = {True: Theirs(GROUPS), False: Theirs(DORTMUND)}
    with MEASURED.open(encoding="utf-8", newline="") as file:
        rows = [
            row for row in csv.DictReader(file) if row["quantity"] == "bubble temperature" and "+" in row["mixture"]
        ]
    for row in rows:
        first, _, second = row["mixture"].partition("+")
        if not second:
            continue
        share, pressure_pa = float(row["strength"]), 1000.0 * float(row["pressure_kpa"])
        by_mass = row["strength_unit"] == "mass%"
        grams = {first: share / 100.0, second: 1.0 - share / 100.0} if by_mass else by_moles(first, second, share)
        liquid, wanted = liquid_of(grams), float(row["value"])
        ours = float(boiling_of(liquid, pressure_pa).temperature_c) - wanted if wanted < HIGHEST_C else math.nan
        key = f"{row['mixture']}, {row['source'].split(',')[0].removesuffix(' et al.')}"
        off.setdefault(key, []).append((ours, theirs[by_mass].boils_c(liquid, pressure_pa) - wanted))
    for key, both in off.items():
        cells = [spread([one[side] for one in both]) for side in (0, 1)]
        yield f"| {key} ({len(both)}) | {cells[0]} | {cells[1]} |"


def by_moles(first: str, second: str, share: float) -> dict[str, float]:
    """Mass fractions of two liquids from the mole fraction of the first."""
    masses = [part * float(MOLAR_MASS_G_MOL[COMPONENTS.index(name)])
              for part, name in ((share, first), (1.0 - share, second))]  # fmt: skip
    return {first: masses[0] / sum(masses), second: masses[1] / sum(masses)}


def spread(off: Sequence[float]) -> str:
    """Mean of the sizes and the largest with its sign; how many rows where not all could be reckoned."""
    known = [value for value in off if not math.isnan(value)]
    few = f" (of {len(known)})" if len(known) < len(off) else ""
    return f"{sum(map(abs, known)) / len(known):.2f}, {max(known, key=abs):+.2f}{few}"


def glycerol_that_removes_the_azeotrope() -> str:
    """Mass fraction of glycerol from which on the vapour is the richer in ethanol at every strength, at 100 kPa."""
    theirs = Theirs(GROUPS)

    def ours_y(liquid: Liquid) -> float:
        return float(boiling_of(liquid, 100_000.0).vapour[COMPONENTS.index("ethanol")])

    def theirs_y(liquid: Liquid) -> float:
        partial = theirs.partial_pa(liquid, theirs.boils_c(liquid, 100_000.0))
        return float(partial[theirs.names.index("ethanol")] / partial.sum())

    ours_at, theirs_at = (_removed(vapour) for vapour in (ours_y, theirs_y))
    return (
        "Glycerol removes the azeotrope of ethanol and water at 100 kPa from 0.090 of the mass on (Zhang et al., J."
        f" Chem. Eng. Data 60 (2015) 1892); ours says {ours_at:.3f} and was adjusted to that, theirs {theirs_at:.3f}."
    )


def _removed(vapour: Callable[[Liquid], float]) -> float:
    def all_richer(glycerol: float) -> bool:
        for x in np.arange(0.8, 1.0, 0.01):
            alone = by_moles("ethanol", "water", float(x))
            mixed = {name: share * (1.0 - glycerol) for name, share in alone.items()} | {"glycerol": glycerol}
            if vapour(liquid_of(mixed)) <= x:
                return False
        return True

    low, high = 0.0, 0.5
    while high - low > 1e-3:
        middle = 0.5 * (low + high)
        low, high = (low, middle) if all_richer(middle) else (middle, high)
    return high


def worked_pot() -> str:
    """26 % soap and 15 % each of ethanol, glycerol and sugar in water, at sea level."""
    ours, liquid = bubble_point(POT), liquid_of(POT)
    theirs_c = Theirs(GROUPS).boils_c(liquid, 101_325.0)
    ideal = liquid.mole_fractions
    raoult_c = _where(lambda t: float(ideal @ saturation_pressure_pa(t)) / 101_325.0, 40.0, 109.0)
    return (
        f"26 % soap, 15 % each of ethanol, glycerol and sugar, 29 % water at 101.325 kPa: ours {ours.temperature_c:.1f}"
        f" °C (band {ours.low_c:.1f} to {ours.high_c:.1f}), by the original UNIFAC {theirs_c:.1f}, by Raoult's law"
        f" alone {raoult_c:.1f}."
    )


def flash_rows() -> Iterable[str]:
    """Flash points of the worked pot with more and less ethanol, and of what is left of it."""
    theirs = Theirs(GROUPS)
    for percent in (1, 2, 3, 5, 10, 15, 20, 25):
        shares = POT | {"ethanol": percent / 100.0, "water": 0.44 - percent / 100.0}
        liquid = liquid_of(shares)
        yield f"| {percent} | {float(flash_of(liquid)):.1f} | {theirs.flashes_c(liquid):.1f} |"
