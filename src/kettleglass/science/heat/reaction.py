"""Heat of the reactions in a pot: fat with lye slowly, free fatty acid with lye at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kettleglass.errors import BadInput
from kettleglass.science import pot as pots
from kettleglass.science.basis import Array, Basis
from kettleglass.science.heat.warming import Band, positive

SAPONIFICATION_J_MOL = Band(55_000.0, 65_000.0, 78_000.0)
"""Heat released for each mole of ester. Likely: liquid ethyl acetate with OH- to acetate and ethanol in water, from
heats of formation (-479.3, -230.0, -486.0, -288.3 kJ/mol; the last three recalled). High: 65 kcal/kg of fat (soap
handbooks, recalled). Low: neutralisation less the 3.8 kJ/mol that splitting the ester takes (Coops, Adriaanse & Dekker
1965, from heats of combustion of fatty acids and their methyl esters)."""
NEUTRALISATION_J_MOL = Band(48_000.0, 57_000.0, 64_000.0)
"""Heat released for each mole of molten fatty acid: water from its ions 55.8 kJ/mol, liquid acetic acid with OH- 57.5
(heats of formation -484.3, -230.0, -486.0, -285.8 kJ/mol, recalled). Doubt: how the soap lies in the water, and the
heat of dilution of strong lye, up to 6 kJ/mol at 33 % (Parker 1965)."""
WEAK_ACID_J_MOL = Band(45_000.0, 53_000.0, 60_000.0)
"""Citric and lactic acid, for each hydrogen (55.8 kJ/mol of water less dissolving and ionising; recalled)."""
FUSION_J_MOL = Band(40_000.0, 55_000.0, 63_000.0)
"""What melting takes: stearic acid 63.0 kJ/mol (Adriaanse, Dekker & Coops 1965, in the NIST Chemistry WebBook; others
45.2 for a less pure one), palmitic 54, myristic 45, lauric 37 (recalled)."""

NOTHING_LOST = Band(0.0, 0.0, 0.0)


def _times(moles: float, band: Band) -> Band:
    return Band(*(moles * value for value in band))


def _plus(*bands: Band) -> Band:
    return Band(*(sum(ends) for ends in zip(*bands, strict=True)))


def saponification_heat_j(ester_mol: float) -> Band:
    """Heat released in J by so many moles of ester (three for each triglyceride). Raises `BadInput`.

    Example (soap handbooks): 1 kg of fat (3.4 mol of ester) releases some 225 to 270 kJ.
    """
    return _times(positive("The amount of ester", ester_mol, zero=True), SAPONIFICATION_J_MOL)


def neutralisation_heat_j(acid_mol: float, *, solid_mol: float = 0.0) -> Band:
    """Heat released in J by so many moles of free fatty acid meeting lye; less what melts the `solid_mol` of it.

    A flake of stearic acid takes nearly all of its heat to melt, a molten one hands it to the pot at once: the high
    end counts no melting at all. Never below 0. Raises `BadInput` (negative amounts, more solid than there is).
    """
    acid = positive("The amount of free acid", acid_mol, zero=True)
    solid = positive("The amount of solid acid", solid_mol, zero=True)
    if solid > acid * (1.0 + 1e-9):
        raise BadInput("More acid would be solid than there is.", remedy="Give the part of it that is not molten.")
    released = _times(acid, NEUTRALISATION_J_MOL)
    low = max(0.0, released.low - solid * FUSION_J_MOL.high)
    return Band(low, max(0.0, released.likely - solid * FUSION_J_MOL.likely), released.high)


def rise_k(heat_j: Band, capacity_j_k: float, *, lost_share: Band = NOTHING_LOST) -> Band:
    """By how many kelvin a heat warms a pot of that heat capacity, of which a share (0-1) goes elsewhere meanwhile.

    The low end loses the most. Raises `BadInput`.
    """
    capacity = positive("The heat capacity", capacity_j_k)
    if not 0.0 <= lost_share.low <= lost_share.likely <= lost_share.high <= 1.0:
        raise BadInput("A share of heat lost lies from 0 to 1.", remedy="Give low, likely and high in this order.")
    return Band(*(heat * (1.0 - lost) / capacity for heat, lost in zip(heat_j, reversed(lost_share), strict=True)))


@dataclass(frozen=True, slots=True)
class AtOnce:
    """Free fatty acid that meets lye within seconds: moles, heat in J, rise in K and temperature reached in °C.

    `soap_g` is the soap that thickens the mass at that moment; all as if no heat were lost, which in seconds it is not.
    """

    acid_mol: float
    soap_g: float
    heat_j: Band
    rise_k: Band
    reached_c: Band


def free_acid_at_once(
    basis: Basis, pot: Array, capacity_j_k: float, *, start_c: float, solid_mol: float = 0.0
) -> AtOnce:  # fmt: skip
    """What happens when the free fatty acid of a pot (S,) meets its lye at once, before any ester has reacted.

    Only as much acid counts as the hydroxide (after citric and lactic acid) can take up. `start_c` is the temperature
    as they meet; `solid_mol` the part of the acid that is not molten. Boiling is not in it: compare `reached_c` with
    the pot's bubble point. Raises `BadInput`.
    """
    steps = pots.extents(basis, pot, completeness=0.0)
    acid = float(steps.fatty_by_hydroxide * pots.acid_mol(basis, pot))
    heat = neutralisation_heat_j(acid, solid_mol=min(solid_mol, acid))
    rise = rise_k(heat, capacity_j_k)
    before, after = (float(array[basis.soap].sum()) for array in (pot, pots.apply(basis, pot, steps)))
    return AtOnce(acid, after - before + acid * _cation_g_mol(pot), heat, rise, Band(*(start_c + k for k in rise)))


def _cation_g_mol(pot: Array) -> float:
    """Mean molar mass of the metals of the lye; 0 without any."""
    rows = [(pots.ROW[name], pots.MOL_PER_G[name]) for name in ("sodium", "potassium")]
    moles = float(sum(pot[row] * per_g for row, per_g in rows))
    return float(sum(pot[row] for row, _ in rows)) / moles if moles > 0.0 else 0.0


def step_heat_j(basis: Basis, pot: Array, completeness: float = 1.0) -> Band:
    """Heat released in J when everything in a pot (S,) of grams reacts that can, esters up to `completeness` (0-1).

    Citric, lactic and fatty acids with hydroxide, then esters; triethanolamine's own, smaller heats are left out.
    """
    steps = pots.extents(basis, pot, completeness)
    weak = float(np.asarray(steps.acids_by_hydroxide) * pots.weak_acid_mol(pot))
    fatty = float(np.asarray(steps.fatty_by_hydroxide) * pots.acid_mol(basis, pot))
    ester = float(np.asarray(steps.acyl) * pots.acyl_mol(basis, pot))
    return _plus(_times(weak, WEAK_ACID_J_MOL), neutralisation_heat_j(fatty), saponification_heat_j(ester))
