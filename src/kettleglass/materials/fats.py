"""A fat as a mixture: the saponification value sets the moles, the fatty acids the shares.

A published saponification value never agrees exactly with the fatty acids, so the pseudo-acid ``residue`` closes
one gram. Its size is the plausibility check of the pair.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from kettleglass.errors import Finding
from kettleglass.materials.figure import Figure
from kettleglass.materials.material import Doubt
from kettleglass.science.saponify import GLYCEROL_G_MOL, MG_KOH_PER_MOL, WATER_G_MOL, mole_shares
from kettleglass.science.species import UNKNOWN_ACID, FattyAcid, fatty_acid

Build = Literal["triglyceride", "free acid", "wax", "resin"]
RESIDUE_LIMIT = 0.03
"""Beyond this share of the fat its figures disagree; 44 of 48 published fats lie within it."""


@dataclass(frozen=True, slots=True)
class FatFigures:
    """What is known of a fat: figures in mg KOH/g and g/g, fatty acids by mass share (any scale)."""

    build: Build
    saponification_value: Figure
    acid_value: Figure | None
    unsaponifiable_fraction: Figure | None
    acids: Mapping[str, float]
    acid_ranges: Mapping[str, tuple[float, float]]


def composition_at(fat: FatFigures, saponification_value_mg_koh_g: float) -> dict[str, float]:
    """The fat's composition in g/g when its saponification value is the one given; sums to 1.

    Moles n = SV / (1000 M_KOH), of which n_free = AV / (1000 M_KOH) are free acids (all, for fatty acids and
    resins); acyls (n - n_free) x_i (M_i - M_water); bound glycerol (n - n_free) / 3; residue = 1 - the rest.
    """
    shares = _mole_fractions(fat.acids)
    moles = saponification_value_mg_koh_g / MG_KOH_PER_MOL
    free = moles if fat.build in ("free acid", "resin") else min(moles, _value(fat.acid_value) / MG_KOH_PER_MOL)
    bound = moles - free
    out = {f"acyl.{acid.id}": bound * x * acid.acyl_g_mol for acid, x in shares.items() if bound > 0.0}
    out |= {f"acid.{acid.id}": free * x * acid.molar_mass_g_mol for acid, x in shares.items() if free > 0.0}
    unsaponifiable = _value(fat.unsaponifiable_fraction)
    if fat.build == "wax":
        out["bound_alcohol"] = unsaponifiable if fat.unsaponifiable_fraction else 1.0 - math.fsum(out.values())
    else:
        out["bound_glycerol"] = bound / 3.0 * GLYCEROL_G_MOL
        out["unsaponifiable"] = unsaponifiable
    out = {species_id: grams for species_id, grams in out.items() if grams != 0.0}
    residue = "acid.residue" if fat.build in ("free acid", "resin") else "acyl.residue"
    out[residue] = 1.0 - math.fsum(out.values())
    return out


def _value(figure: Figure | None) -> float:
    return figure.value if figure else 0.0


def _mole_fractions(acids: Mapping[str, float]) -> dict[FattyAcid, float]:
    if not acids:
        return {fatty_acid(UNKNOWN_ACID): 1.0}
    moles = {acid: n for acid, n in mole_shares(acids).items() if n > 0.0}
    total = math.fsum(moles.values())
    return {acid: n / total for acid, n in moles.items()}


def residue_fraction(composition: Mapping[str, float]) -> float:
    """The share of the fat that its figures leave over (negative: they ask for more than one gram)."""
    return composition.get("acyl.residue", 0.0) + composition.get("acid.residue", 0.0)


def plausibility(fat: FatFigures, name: str) -> tuple[Finding, ...]:
    """A remark when saponification value and fatty acids disagree by more than 3 % of the fat."""
    if not fat.acids or fat.build == "wax":
        return ()
    gap = residue_fraction(composition_at(fat, fat.saponification_value.value))
    if abs(gap) <= RESIDUE_LIMIT:
        return ()
    return (
        Finding(
            "caution", "fat-figures-disagree",
            f"The saponification value and the fatty acids of {name} disagree by {100 * gap:+.1f} % of the fat.",
            "Use a certificate of your lot, or hold lye back and test.", name,
        ),
    )  # fmt: skip


def saponification_doubt(fat: FatFigures, lot_key: str, name: str) -> Doubt | None:
    """The fat's main doubt: half the way from its composition at the low to that at the high end of its range."""
    figure = fat.saponification_value
    if figure.high == figure.low:
        return None
    low, high = composition_at(fat, figure.low), composition_at(fat, figure.high)
    direction = {sid: 0.5 * (high.get(sid, 0.0) - low.get(sid, 0.0)) for sid in dict.fromkeys([*low, *high])}
    return Doubt(
        f"{lot_key}/saponification_value", f"saponification value of {name}", direction, figure, _agreeing(fat)
    )


def _agreeing(fat: FatFigures) -> tuple[float, float] | None:
    """The part of the range (as z) that the fatty acids' own limits allow; None where they cannot say."""
    limits = saponification_limits_of_acids(fat)
    if limits is None:
        return None
    figure = fat.saponification_value
    middle, half = 0.5 * (figure.low + figure.high), 0.5 * (figure.high - figure.low)
    low, high = ((limit - middle) / half for limit in limits)
    low, high = max(-1.0, low), min(1.0, high)
    return (low, high) if low < high else None


def saponification_limits_of_acids(fat: FatFigures) -> tuple[float, float] | None:
    """The lowest and highest saponification value (mg KOH/g) that the ranges of the fatty acids allow.

    The mean molar mass is linear in the mole shares; the extreme of moles per gram under ``low <= w <= high``,
    ``sum w = 1`` is found greedily: start every acid at its low limit, then fill up from the lightest (or the
    heaviest). Only for triglycerides and free acids with ranges.
    """
    if fat.build not in ("triglyceride", "free acid") or not fat.acid_ranges:
        return None
    lows = {fatty_acid(a): lo for a, (lo, _) in fat.acid_ranges.items()}
    highs = {fatty_acid(a): hi for a, (_, hi) in fat.acid_ranges.items()}
    room = 1.0 - math.fsum(lows.values())
    if room < 0.0 or math.fsum(highs.values()) < 1.0:
        return None
    ends = []
    for heaviest_first in (True, False):
        weights, left = dict(lows), room
        for acid in sorted(lows, key=lambda a: a.molar_mass_g_mol, reverse=heaviest_first):
            step = min(left, highs[acid] - lows[acid])
            weights[acid] += step
            left -= step
        ends.append(_value_of(fat, math.fsum(w / acid.molar_mass_g_mol for acid, w in weights.items())))
    return ends[0], ends[1]


def _value_of(fat: FatFigures, acid_mol_per_g_acids: float) -> float:
    if fat.build == "free acid":
        return MG_KOH_PER_MOL * acid_mol_per_g_acids
    grams = 1.0 / acid_mol_per_g_acids - WATER_G_MOL + GLYCEROL_G_MOL / 3.0
    return MG_KOH_PER_MOL * (1.0 - _value(fat.unsaponifiable_fraction)) / grams
