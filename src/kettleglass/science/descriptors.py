"""What a pot is made of, and the twelve ratios by which clear and opaque soaps are told apart in print.

All functions take a pot (S,) or N pots (S, N) and give back shape () or (N,); mixed in one pass, no loop over pots.

Two things are read, not stored: *soap* is the anions with the cations that balance them (each anion takes the mean
cation of the pot, since nobody can say which cation belongs to which acid), and *electrolyte* is every other ion.
Fatty acid shares are mass shares of the soap anions and free acids, both counted as acids; the pseudo-acids
``residue`` and ``unknown`` have no chain length and are left out of them.

Where a ratio has nothing beneath it (no soap, no water) it is NaN in arrays and None in `clarity_of_one`; a share
is never made up, and no warning is raised.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from kettleglass.science.basis import Array, Basis
from kettleglass.science.pot import CATIONS, ELECTROLYTE, MOL_PER_G, ROW
from kettleglass.science.species import RESIDUE, UNKNOWN_ACID, FattyAcid, fatty_acid, formula_mass_g_mol

Masses = dict[str, Array]

PARTS: tuple[str, ...] = (
    "soap", "water", "ethanol", "propan_2_ol", "other_volatiles", "glycerol", "propylene_glycol", "sorbitol",
    "other_polyols", "sugar", "electrolyte", "free_fat", "free_acid", "unsaponifiable", "triethanolamine",
    "surfactant", "insoluble", "other",
)  # fmt: skip
"""The parts of a pot; together they are the whole pot."""

_PICKED: dict[str, tuple[str, ...]] = {
    "water": ("water",),
    "ethanol": ("ethanol",),
    "propan_2_ol": ("propan_2_ol",),
    "other_volatiles": ("methanol", "volatile_other", "carbon_dioxide"),
    "glycerol": ("glycerol",),
    "propylene_glycol": ("propylene_glycol",),
    "sorbitol": ("sorbitol",),
    "other_polyols": ("dipropylene_glycol", "polyol_other"),
    "sugar": ("sucrose", "hexoses"),
    "unsaponifiable": ("unsaponifiable",),
    "triethanolamine": ("triethanolamine",),
    "surfactant": ("surfactant",),
    "insoluble": ("insoluble",),
    "other": ("citric_acid", "lactic_acid", "unspecified"),
}
ALCOHOLS = ("ethanol", "propan_2_ol", "methanol")
POLYOLS = ("glycerol", "propylene_glycol", "sorbitol", "other_polyols")

_BOUND = (ROW["bound_glycerol"], ROW["bound_alcohol"])
_NACL_PER_CHLORIDE = formula_mass_g_mol("NaCl") / formula_mass_g_mol("Cl")
_NAOH_G_MOL = formula_mass_g_mol("NaOH")
_ONE = np.asarray(1.0)


def _is_c8_c14(acid: FattyAcid) -> bool:
    return 8 <= acid.carbons <= 14


def _is_saturated_c16_c22(acid: FattyAcid) -> bool:
    """Straight chains without double bond or side group: the ones that build curd fibres."""
    return 16 <= acid.carbons <= 22 and acid.double_bonds == 0 and acid.id == f"{acid.carbons}:0"


CHAINS: dict[str, Callable[[FattyAcid], bool]] = {
    "saturated_c16_c22_fraction": _is_saturated_c16_c22,
    "oleic_linoleic_fraction": lambda acid: acid.id in ("18:1n-9", "18:2n-6"),
    "ricinoleic_fraction": lambda acid: acid.id == "18:1-OH",
    "c8_c14_fraction": _is_c8_c14,
    "c12_c14_fraction": lambda acid: 12 <= acid.carbons <= 14,
    "c16_c18_fraction": lambda acid: 16 <= acid.carbons <= 18,
}
"""Which fatty acids each share counts."""


@dataclass(frozen=True, slots=True)
class Descriptor:
    """One clarity descriptor: its key, its name for a person, and what is divided by what."""

    key: str
    label: str
    over: str
    under: str


CLARITY: tuple[Descriptor, ...] = (
    Descriptor("solvents_per_soap", "solvents per soap", "alcohols + polyols + sugar", "soap"),
    Descriptor("solvents_per_water", "solvents per water", "alcohols + polyols + sugar", "water"),
    Descriptor("water_per_soap", "water per soap", "water", "soap"),
    Descriptor("sugar_per_water", "sugar per water", "sugar", "water"),
    Descriptor("saturated_c16_c22_fraction", "saturated C16–C22 acids", "saturated C16–C22", "fatty acids"),
    Descriptor("oleic_linoleic_fraction", "oleic and linoleic acid", "oleic + linoleic", "fatty acids"),
    Descriptor("ricinoleic_fraction", "ricinoleic acid", "ricinoleic", "fatty acids"),
    Descriptor("c8_c14_fraction", "C8–C14 acids", "C8–C14", "fatty acids"),
    Descriptor("sodium_mole_fraction", "sodium among the cations", "sodium (mol)", "cations (mol)"),
    Descriptor("electrolyte_fraction", "salts in the water phase", "electrolyte", "electrolyte + water"),
    Descriptor("free_fatty_fraction", "free acid and free fat", "free acid + free fat", "whole pot"),
    Descriptor("surfactant_per_soap", "synthetic surfactant per soap", "surfactant", "soap"),
)
"""The twelve descriptors, all plain ratios of masses in g/g but for the sodium share, which is in mol/mol.

Released glycerol counts as polyol; ethanol, propan-2-ol and denaturing methanol as alcohol; free triethanolamine
counts as neither, though it may help to clear. Free alkali is part of the electrolyte."""


@lru_cache(maxsize=64)
def _fatty_rows(basis: Basis) -> dict[str, Array]:
    """Rows over the acyl, acid and soap species that one matrix product reads, by name."""
    count = len(basis.acids)
    none, ones = np.zeros(count), np.ones(count)
    as_acid = 1.0 / basis.soap_per_acid
    rows = {
        "anions_g": (none, none, ones),
        "anions_mol": (none, none, basis.mol_per_g[basis.soap]),
        "soap_as_acids_g": (none, none, as_acid),
        "free_acid_g": (none, ones, none),
        "acyl_g": (ones, none, none),
        "fatty_mol": (basis.mol_per_g[basis.acyl], basis.mol_per_g[basis.acid], none),
    }
    known = [None if a in (RESIDUE, UNKNOWN_ACID) else fatty_acid(a) for a in basis.acids]
    rows["known_acids_g"] = _chain_row([acid is not None for acid in known], as_acid)
    for key, counts in CHAINS.items():
        rows[key] = _chain_row([acid is not None and counts(acid) for acid in known], as_acid)
    return {key: np.concatenate(row) for key, row in rows.items()}


def _chain_row(wanted: list[bool], as_acid: Array) -> tuple[Array, Array, Array]:
    mask = np.array(wanted, dtype=float)
    return np.zeros_like(mask), mask, mask * as_acid


@lru_cache(maxsize=64)
def _fatty_matrix(basis: Basis) -> tuple[tuple[str, ...], Array]:
    rows = _fatty_rows(basis)
    return tuple(rows), np.array(list(rows.values()))


def _fatty(basis: Basis, pot: Array) -> Masses:
    keys, matrix = _fatty_matrix(basis)
    values = matrix @ pot[basis.acyl.start : basis.soap.stop]
    return dict(zip(keys, values, strict=True))


def _sum(pot: Array, names: tuple[str, ...]) -> Array:
    total = pot[ROW[names[0]]]
    for name in names[1:]:
        total = total + pot[ROW[name]]
    return np.asarray(total)


def ratio(over: Array, under: Array) -> Array:
    """over / under, and NaN where `under` is not above 0; never a warning."""
    over, under = np.asarray(over, dtype=float), np.asarray(under, dtype=float)
    shape = np.broadcast_shapes(over.shape, under.shape)
    return np.asarray(np.divide(over, under, out=np.full(shape, np.nan), where=under > 0.0))


def _cations(pot: Array) -> tuple[Array, Array]:
    """Grams and moles of all cations."""
    grams = moles = np.zeros(pot.shape[1:])
    for row, name in zip(CATIONS, ("sodium", "potassium", "triethanolammonium"), strict=True):
        grams = grams + pot[row]
        moles = moles + pot[row] * MOL_PER_G[name]
    return grams, moles


def _parts(pot: Array, fatty: Masses) -> Masses:
    cations_g, cations_mol = _cations(pot)
    mean = np.nan_to_num(ratio(cations_g, cations_mol))
    balancing = np.minimum(fatty["anions_mol"] * mean, cations_g)
    ions = cations_g - balancing
    for row in ELECTROLYTE:
        ions = ions + pot[row]
    parts = {name: _sum(pot, ids) for name, ids in _PICKED.items()}
    parts["soap"] = fatty["anions_g"] + balancing
    parts["electrolyte"] = ions
    parts["free_fat"] = fatty["acyl_g"] + pot[_BOUND[0]] + pot[_BOUND[1]]
    parts["free_acid"] = fatty["free_acid_g"]
    return {name: parts[name] for name in PARTS}


def parts_g(basis: Basis, pot: Array) -> Masses:
    """Grams of every part of the pot (see `PARTS`); their sum is the pot.

    ``soap``: soap anions and their balancing cations (anions x the mean cation mass); ``electrolyte``: all other
    ions, free alkali included; ``free_fat``: esters as they stand (acyls and the alcohol bound to them);
    ``free_acid``: fatty acids not neutralised; ``other``: citric and lactic acid, and what nobody has specified.
    """
    return _parts(pot, _fatty(basis, pot))


def _total(parts: Masses) -> Array:
    return np.asarray(sum(parts.values(), np.zeros(())))


def _total_fatty_matter(fatty: Masses, parts: Masses) -> Array:
    return np.asarray(fatty["soap_as_acids_g"] + fatty["free_acid_g"] + parts["free_fat"] + parts["unsaponifiable"])


def total_fatty_matter_g(basis: Basis, pot: Array) -> Array:
    """Total fatty matter in g, in the sense of ISO 685: what mineral acid sets free that water does not dissolve.

    Soap as fatty (and rosin) acids, free fatty acids, unsaponified fat and unsaponifiable matter. The lightest
    acids (C6 and C8) dissolve a little or are lost on drying, so the method finds slightly less than this sum in
    coconut soaps. Surfactants do not count.
    """
    fatty = _fatty(basis, pot)
    return _total_fatty_matter(fatty, _parts(pot, fatty))


def composition_percent(basis: Basis, pot: Array) -> Masses:
    """The parts of the pot in % of its mass, and ``total_fatty_matter`` besides; NaN for an empty pot.

    The parts sum to 100; total fatty matter overlaps them and does not join that sum.
    """
    fatty = _fatty(basis, pot)
    parts = _parts(pot, fatty)
    percent = 100.0 * ratio(_ONE, _total(parts))
    out = {name: grams * percent for name, grams in parts.items()}
    out["total_fatty_matter"] = _total_fatty_matter(fatty, parts) * percent
    return out


def _polyols_and_sugar(parts: Masses) -> Array:
    total = parts["sugar"]
    for name in POLYOLS:
        total = total + parts[name]
    return total


def _solvents(pot: Array, parts: Masses) -> Array:
    return _polyols_and_sugar(parts) + _sum(pot, ALCOHOLS)


def _clarity(pot: Array, fatty: Masses, parts: Masses, total: Array) -> Masses:
    solvents, soap, water = _solvents(pot, parts), parts["soap"], parts["water"]
    _, cations_mol = _cations(pot)
    per_soap, per_water, per_acids = (ratio(_ONE, under) for under in (soap, water, fatty["known_acids_g"]))
    out = {
        "solvents_per_soap": solvents * per_soap,
        "solvents_per_water": solvents * per_water,
        "water_per_soap": water * per_soap,
        "sugar_per_water": parts["sugar"] * per_water,
    }
    for key in CHAINS:
        out[key] = fatty[key] * per_acids
    out["sodium_mole_fraction"] = ratio(pot[ROW["sodium"]] * MOL_PER_G["sodium"], cations_mol)
    out["electrolyte_fraction"] = ratio(parts["electrolyte"], parts["electrolyte"] + water)
    out["free_fatty_fraction"] = ratio(parts["free_acid"] + parts["free_fat"], total)
    out["surfactant_per_soap"] = parts["surfactant"] * per_soap
    return out


def clarity_descriptors(basis: Basis, pot: Array) -> Masses:
    """The twelve clarity descriptors of `CLARITY`, by key, in g/g (sodium in mol/mol); NaN where nothing is beneath.

    Meant for a pot that has reacted: before that there is no soap to relate anything to.
    """
    fatty = _fatty(basis, pot)
    parts = _parts(pot, fatty)
    found = _clarity(pot, fatty, parts, _total(parts))
    return {descriptor.key: found[descriptor.key] for descriptor in CLARITY}


def clarity_of_one(basis: Basis, pot: Array) -> dict[str, float | None]:
    """The twelve clarity descriptors of one pot (S,), as plain numbers; None where nothing is beneath the ratio."""
    return {key: _plain(value) for key, value in clarity_descriptors(basis, pot).items()}


def _plain(value: Array) -> float | None:
    return None if np.isnan(value) else float(value)


def window_quantities(basis: Basis, pot: Array) -> Masses:
    """All that published windows are stated in, by key: the parts in %, the twelve descriptors, and what is below.

    In % of the pot: ``solvents`` (alcohols + polyols + sugar), ``polyols_and_sugar``, ``fatty_acids`` (soap and free
    acids, as acids), ``free_fatty`` (free acid + free fat), ``sodium_chloride`` (all chloride, as NaCl),
    ``free_alkali`` (hydroxide beyond what acids and esters could take, as NaOH; 0 when fat is in excess),
    ``dipropylene_glycol`` and ``total_fatty_matter``. In g/g: ``c12_c14_fraction`` and ``c16_c18_fraction`` of the
    fatty acids. NaN where nothing is beneath.
    """
    fatty = _fatty(basis, pot)
    parts = _parts(pot, fatty)
    spare_mol = pot[ROW["hydroxide"]] * MOL_PER_G["hydroxide"] - fatty["fatty_mol"]
    grams: Mapping[str, Array] = parts | {
        "total_fatty_matter": _total_fatty_matter(fatty, parts),
        "solvents": _solvents(pot, parts),
        "polyols_and_sugar": _polyols_and_sugar(parts),
        "fatty_acids": fatty["soap_as_acids_g"] + fatty["free_acid_g"],
        "free_fatty": parts["free_acid"] + parts["free_fat"],
        "sodium_chloride": pot[ROW["chloride"]] * _NACL_PER_CHLORIDE,
        "free_alkali": np.maximum(spare_mol, 0.0) * _NAOH_G_MOL,
        "dipropylene_glycol": pot[ROW["dipropylene_glycol"]],
    }
    total = _total(parts)
    percent = 100.0 * ratio(_ONE, total)
    return {name: value * percent for name, value in grams.items()} | _clarity(pot, fatty, parts, total)
