"""Anything made here is a material too: a pot or a part of it, a premix, stock lye, a syrup, a dye stock.

Doubts travel along under the keys of the lots that they came from, so that a paste and the oil it was made of still
share one draw when they meet again.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from kettleglass.errors import BadInput, Finding, OutOfRange
from kettleglass.materials.figure import Figure
from kettleglass.materials.material import Doubt, Kind, LabelNames, Material, blend
from kettleglass.science.basis import Array, Basis
from kettleglass.science.heat.lye import KOH_SATURATED, NAOH_SATURATED
from kettleglass.science.saponify import KOH_G_MOL, NAOH_G_MOL
from kettleglass.science.species import formula_mass_g_mol

OURS = "made here"
"""The source of figures that were worked out from what went in."""
"""Saturated lye: NaOH at 20 °C (Great Soviet Encyclopedia 1979), KOH at 25 °C (BIS code of safety), g/g."""
_NOT_CARRIED = frozenset(("soft", "lime"))
_NEGLIGIBLE = 1e-14
_OH_G_MOL = formula_mass_g_mol("OH")


@dataclass(frozen=True, eq=False)
class PotDoubt:
    """A doubt of a whole pot: `direction_g` (S,) in g per unit z over the limits of `figure`; sums to 0."""

    key: str
    label: str
    direction_g: Array
    figure: Figure
    agreeing: tuple[float, float] | None = None
    credited: bool = True


def carried_doubts(doubts: Sequence[Doubt], pot_at: Callable[[Array], Array]) -> tuple[PotDoubt, ...]:
    """The doubts of what went in, as doubts of what came out.

    `pot_at` gives the pot (S,) in g for offsets (J,) of z from its nominal value, after all reactions. Half the way
    from the low to the high end of each range is kept. That is exact for the balance of alkali and fat; where a range
    crosses the point of neutrality, free alkali and free fat carry half of it each.
    """
    carried = []
    for row, doubt in enumerate(doubts):
        ends = []
        for z in (1.0, -1.0):
            offsets = np.zeros(len(doubts))
            offsets[row] = z - doubt.figure.z_nominal
            ends.append(pot_at(offsets))
        half = 0.5 * (ends[0] - ends[1])
        carried.append(PotDoubt(doubt.key, doubt.label, half, doubt.figure, doubt.agreeing, doubt.credited))
    return tuple(carried)


def material_from_pot(
    material_id: str,
    name: str,
    basis: Basis,
    pot: Array,
    doubts: Iterable[PotDoubt] = (),
    *,
    kind: Kind = "made",
    traits: Iterable[str] = (),
    names: LabelNames | None = None,
    density_g_ml: Figure | None = None,
    note: str = "",
    remarks: Iterable[Finding] = (),
) -> Material:
    """A pot, or any part of it, as a material: its composition in g/g and its doubts.

    Args:
        material_id: its id, for example that of the batch and the lot.
        name: what it is called on the shelf.
        basis: the rows of the pot.
        pot: (S,) in g; any mass above 0, since only the shares count.
        doubts: what may differ, in g of the same pot (see `carried_doubts`).
        kind: “made” unless it is plainly something else, such as an alkali.
        traits: marks that advice reads, such as ``dark``.
        names: names for a label.
        density_g_ml: a measured density, to use it by volume.
        note: what to remember of it.
        remarks: what to mind whenever it is used.

    Raises `BadInput` for an empty pot.
    """
    total = float(pot.sum())
    if not (math.isfinite(total) and total > 0.0):
        raise BadInput(f"There is nothing in the pot of {name}.", remedy="Take a pot that holds something.")
    return Material(
        id=material_id,
        name=name,
        kind=kind,
        composition=_species(basis, pot / total),
        doubts=tuple(
            Doubt(
                doubt.key,
                doubt.label,
                _species(basis, doubt.direction_g / total),
                doubt.figure,
                doubt.agreeing,
                doubt.credited,
            )
            for doubt in doubts
            if float(np.abs(doubt.direction_g).max()) > _NEGLIGIBLE * total
        ),
        traits=frozenset(traits),
        names=names or LabelNames(),
        density_g_ml=density_g_ml,
        note=note,
        remarks=tuple(remarks),
    )


def _species(basis: Basis, shares: Array) -> dict[str, float]:
    return {sid: grams for sid, grams in basis.as_dict(shares).items() if abs(grams) > _NEGLIGIBLE}


def mixed(
    material_id: str,
    name: str,
    parts: Sequence[tuple[Material, float]],
    *,
    kind: Kind = "made",
    density_g_ml: Figure | None = None,
    note: str = "",
) -> Material:
    """Materials stirred together by mass in g, nothing reacting: a spirit + glycerol premix, a syrup, a dye stock.

    What reacts, such as lye and fat, belongs in a pot (`material_from_pot`). Raises `BadInput` when nothing is put in.
    """
    used = [(material, mass) for material, mass in parts if mass > 0.0]
    total = math.fsum(mass for _, mass in used)
    traits = frozenset().union(*(material.traits for material, _ in used)) - _NOT_CARRIED
    remarks = {remark.code: remark for material, _ in used for remark in material.remarks}
    return Material(
        id=material_id,
        name=name,
        kind=kind,
        composition=blend(used),
        doubts=tuple(
            replace(doubt, direction={sid: mass / total * grams for sid, grams in doubt.direction.items()})
            for material, mass in used
            for doubt in material.doubts
        ),
        traits=frozenset(traits),
        density_g_ml=density_g_ml,
        remarks=tuple(remarks.values()),
        note=note or f"Made of {', '.join(f'{mass:.4g} g {material.name}' for material, mass in used)}.",
    )


def stock_lye(
    material_id: str, name: str, *, alkali: Material, alkali_g: float, water: Material, water_g: float
) -> Material:
    """One's own lye, kept in stock: its purity in g/g with the doubt of the flakes or pearls it was made of.

    Raises `OutOfRange` for a lye that cold water cannot hold, `BadInput` for an alkali that holds no hydroxide.
    """
    lye = mixed(material_id, name, [(alkali, alkali_g), (water, water_g)], kind="alkali")
    strength = pure_alkali_fraction(lye)
    if strength <= 0.0:
        raise BadInput(f"{alkali.name} is not an alkali.", remedy="Make lye of sodium or potassium hydroxide.")
    potash = lye.share("potassium") > lye.share("sodium")
    most = KOH_SATURATED if potash else NAOH_SATURATED
    if strength > most:
        least_g = alkali_g * pure_alkali_fraction(alkali) / most
        raise OutOfRange(
            "The strength of the lye",
            100.0 * strength,
            0.0,
            100.0 * most,
            unit="%",
            source="what cold water dissolves",
            remedy=f"Make {least_g:.0f} g of lye of it, or more.",
        )
    return replace(lye, figures={"purity": _purity(lye, strength)}, names=alkali.names, cas=alkali.cas)


def pure_alkali_fraction(material: Material) -> float:
    """NaOH or KOH in g/g: the hydroxide with the cation that outweighs; carbonate is not counted."""
    potash = material.share("potassium") > material.share("sodium")
    return material.share("hydroxide") / _OH_G_MOL * (KOH_G_MOL if potash else NAOH_G_MOL)


def _purity(lye: Material, strength: float) -> Figure:
    """The purity of a stock lye with the range that its doubts leave it."""
    per_share = strength / lye.share("hydroxide")
    below = above = 0.0
    for doubt in lye.doubts:
        step, z = per_share * doubt.direction.get("hydroxide", 0.0), doubt.figure.z_nominal
        below, above = below + abs(step) * (1.0 + z), above + abs(step) * (1.0 - z)
    return Figure(strength, strength - below, strength + above, "g/g", OURS, "maker", note="from what went in")


def dye_stock(
    material_id: str, name: str, dye: Material, dye_g: float, carriers: Sequence[tuple[Material, float]]
) -> Material:
    """A dry dye dissolved in water, glycerol or spirit, to be dosed by the gram; label names are those of the dye."""
    stock = mixed(material_id, name, [(dye, dye_g), *carriers], kind="dye")
    total = dye_g + math.fsum(mass for _, mass in carriers)
    share = exactly(100.0 * dye_g / total, "% mass")
    return replace(stock, names=dye.names, figures={"strength": share})


def exactly(value: float, unit: str) -> Figure:
    """A figure of the maker's own without a doubt worth carrying."""
    return Figure(value, value, value, unit, OURS, "maker")
