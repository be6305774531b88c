"""The pot as arrays: charging, reacting, taking away, mixing. One implementation for one pot and for many.

Arrays put species first: ``(S,)`` one pot, ``(S, N)`` N pots, ``(S, L)`` the ledger (who brought what). Code
reads ``pot[WATER]`` in all three. A reaction is computed once from the totals as *extents* (fractions 0-1) and
applied to totals, random pots and ledger by the same function.

Assumptions, all within one step: lye takes citric and lactic acid first, then free fatty acids, then esters;
within a class all acids react alike; carbonate stays electrolyte.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kettleglass.errors import BadInput
from kettleglass.science.basis import Array, Basis
from kettleglass.science.species import PLAIN, formula_mass_g_mol

ROW = {species.id: row for row, species in enumerate(PLAIN)}
MOL_PER_G = {s.id: 1.0 / s.molar_mass_g_mol for s in PLAIN if s.molar_mass_g_mol}
WATER, HYDROXIDE = ROW["water"], ROW["hydroxide"]
TEA, TEAH = ROW["triethanolamine"], ROW["triethanolammonium"]
CITRIC, CITRATE, LACTIC, LACTATE = ROW["citric_acid"], ROW["citrate"], ROW["lactic_acid"], ROW["lactate"]
GLYCEROL, BOUND_GLYCEROL = ROW["glycerol"], ROW["bound_glycerol"]
UNSAPONIFIABLE, BOUND_ALCOHOL = ROW["unsaponifiable"], ROW["bound_alcohol"]
CATIONS = tuple(ROW[name] for name in ("sodium", "potassium", "triethanolammonium"))
ELECTROLYTE = tuple(row for row, s in enumerate(PLAIN) if s.group == "electrolyte")

_H2O, _OH = formula_mass_g_mol("H2O"), formula_mass_g_mol("OH")
_TO_CITRATE = MOL_PER_G["citric_acid"] / MOL_PER_G["citrate"]
_TO_LACTATE = MOL_PER_G["lactic_acid"] / MOL_PER_G["lactate"]
_TO_TEAH = MOL_PER_G["triethanolamine"] / MOL_PER_G["triethanolammonium"]


def charge(
    compositions: Array, masses_g: Array, directions: Array | None = None, owner: NDArray[np.intp] | None = None,
    z: Array | None = None,
) -> Array:  # fmt: skip
    """What goes in, in g: ``compositions (S, L) @ masses``, with doubt as mass-neutral directions.

    `masses_g` is (L,) or (L, N); `directions` is (S, J) in g/g with columns that sum to 0, `owner` (J,) the line
    of each direction, `z` (J, N) how far along it each pot lies (nominal 0). Returns (S,) or (S, N).
    """
    if directions is None or z is None or owner is None or directions.shape[1] == 0:
        return np.asarray(compositions @ masses_g)
    columns = masses_g if masses_g.ndim == 2 else np.repeat(masses_g[:, None], z.shape[1], axis=1)
    return np.asarray(np.hstack([compositions, directions]) @ np.vstack([columns, z * columns[owner]]))


@dataclass(frozen=True, slots=True)
class Extents:
    """How far each reaction of one step goes: fractions of the named reactant, shape () or (N,).

    `hydroxide_left`: share of the hydroxide still there afterwards.
    """

    acids_by_hydroxide: Array
    tea_freed: Array
    acids_by_tea: Array
    tea_by_acids: Array
    acids_by_soap: Array
    soap_by_acids: Array
    fatty_by_hydroxide: Array
    fatty_by_tea: Array
    tea_by_fatty: Array
    acyl: Array
    hydroxide_left: Array

    @property
    def any(self) -> bool:
        """Whether anything reacts at all."""
        moved = (self.acids_by_hydroxide, self.acids_by_tea, self.acids_by_soap, self.tea_freed,
                 self.fatty_by_hydroxide, self.fatty_by_tea, self.acyl)  # fmt: skip
        return any(bool(np.any(fraction)) for fraction in moved)


def _share(part: Array, whole: Array) -> Array:
    """part / whole where whole > 0, else 0; never above 1."""
    safe = np.where(whole > 0.0, whole, 1.0)
    return np.minimum(np.where(whole > 0.0, part / safe, 0.0), 1.0)


def acyl_mol(basis: Basis, pot: Array) -> Array:
    """Moles of bound fatty acids (esters), shape () or (N,)."""
    return np.asarray(basis.mol_per_g[basis.acyl] @ pot[basis.acyl])


def acid_mol(basis: Basis, pot: Array) -> Array:
    """Moles of free fatty acids, shape () or (N,)."""
    return np.asarray(basis.mol_per_g[basis.acid] @ pot[basis.acid])


def soap_mol(basis: Basis, pot: Array) -> Array:
    """Moles of soap anions, shape () or (N,)."""
    return np.asarray(basis.mol_per_g[basis.soap] @ pot[basis.soap])


def hydroxide_mol(pot: Array) -> Array:
    """Moles of free hydroxide, shape () or (N,)."""
    return np.asarray(pot[HYDROXIDE] / _OH)


def weak_acid_mol(pot: Array) -> Array:
    """Moles of hydrogen that citric (3) and lactic acid (1) can give, shape () or (N,)."""
    return np.asarray(3.0 * pot[CITRIC] * MOL_PER_G["citric_acid"] + pot[LACTIC] * MOL_PER_G["lactic_acid"])


def extents(basis: Basis, pot: Array, completeness: float = 1.0) -> Extents:
    """How far each reaction goes in one step, from the totals of `pot`, (S,) or (S, N).

    `completeness` (0-1) is the largest share of the esters that is cooked out. Order: hydroxide with citric and
    lactic acid; acid left over with triethanolamine, then with soap; hydroxide frees triethanolamine from its
    salt; hydroxide, then triethanolamine, with free fatty acids; hydroxide with esters.
    """
    if not 0.0 <= completeness <= 1.0:
        raise BadInput(f"Completeness is {completeness!r}.", remedy="Give a share from 0 to 1.")
    start = hydroxide = hydroxide_mol(pot)
    none = np.zeros(())
    weak = weak_acid_mol(pot)
    tea, teah = pot[TEA] * MOL_PER_G["triethanolamine"], pot[TEAH] * MOL_PER_G["triethanolammonium"]
    fatty, bound = acid_mol(basis, pot), acyl_mol(basis, pot)
    acids_by_hydroxide = acids_by_tea = tea_by_acids = acids_by_soap = soap_by_acids = none
    tea_freed = fatty_by_tea = tea_by_fatty = none

    if np.any(weak):
        used = np.minimum(hydroxide, weak)
        acids_by_hydroxide = _share(used, weak)
        hydroxide, weak = hydroxide - used, weak - used
        used = np.minimum(weak, tea)
        acids_by_tea, tea_by_acids = _share(used, weak), _share(used, tea)
        weak, tea, teah = weak - used, tea - used, teah + used
        soap = soap_mol(basis, pot)
        used = np.minimum(weak, soap)
        acids_by_soap, soap_by_acids = _share(used, weak), _share(used, soap)
        fatty = fatty + used
    if np.any(teah):
        used = np.minimum(hydroxide, teah)
        tea_freed = _share(used, teah)
        hydroxide, tea = hydroxide - used, tea + used
    used = np.minimum(hydroxide, fatty)
    fatty_by_hydroxide = _share(used, fatty)
    hydroxide, fatty = hydroxide - used, fatty - used
    if np.any(tea):
        used = np.minimum(tea, fatty)
        fatty_by_tea, tea_by_fatty = _share(used, fatty), _share(used, tea)
    used = np.minimum(hydroxide, completeness * bound)
    return Extents(
        acids_by_hydroxide=acids_by_hydroxide, tea_freed=tea_freed, acids_by_tea=acids_by_tea,
        tea_by_acids=tea_by_acids, acids_by_soap=acids_by_soap, soap_by_acids=soap_by_acids,
        fatty_by_hydroxide=fatty_by_hydroxide, fatty_by_tea=fatty_by_tea, tea_by_fatty=tea_by_fatty,
        acyl=_share(used, bound), hydroxide_left=_share(hydroxide - used, start),
    )  # fmt: skip


def proton_givers(basis: Basis, array: Array) -> NDArray[np.bool_]:
    """Which columns of (S, L) hold acids, free or bound: what hydroxide and triethanolamine act on."""
    fatty = slice(basis.acyl.start, basis.acid.stop)
    return np.asarray(np.any(array[[CITRIC, LACTIC]] != 0.0, axis=0) | np.any(array[fatty] != 0.0, axis=0))


def proton_takers(basis: Basis, array: Array) -> NDArray[np.bool_]:
    """Which columns of (S, L) hold hydroxide, triethanolamine or soap: what acids act on."""
    return np.asarray(np.any(array[[HYDROXIDE, TEA, TEAH]] != 0.0, axis=0) | np.any(array[basis.soap] != 0.0, axis=0))


def apply(basis: Basis, array: Array, e: Extents, *, in_place: bool = False) -> Array:
    """The array after the reactions, in g: (S,), (S, N) or (S, L) alike; `in_place` overwrites the one given.

    What forms from an acid or acyl stays in the column that brought it; hydroxide is used up pro rata. Column
    sums of a ledger may therefore change; the row sums stay those of the pot.
    """
    out = array if in_place else array.copy()
    _weak_acids(out, e.acids_by_hydroxide, by_hydroxide=True)
    _weak_acids(out, e.acids_by_tea, by_hydroxide=False)
    _protonate_tea(out, e.tea_by_acids)
    _weak_acids(out, e.acids_by_soap, by_hydroxide=False)
    _split_soap(basis, out, e.soap_by_acids)
    _free_tea(out, e.tea_freed)
    _soap_from_acids(basis, out, e.fatty_by_hydroxide, water=True)
    _soap_from_acids(basis, out, e.fatty_by_tea, water=False)
    _protonate_tea(out, e.tea_by_fatty)
    _soap_from_acyls(basis, out, e.acyl)
    out[HYDROXIDE] *= e.hydroxide_left
    return out


def react(basis: Basis, pot: Array, completeness: float = 1.0) -> Array:
    """The pot after one step of reaction, (S,) or (S, N), in g; mass and charge are conserved."""
    return apply(basis, pot, extents(basis, pot, completeness))


def _weak_acids(out: Array, fraction: Array, *, by_hydroxide: bool) -> None:
    if not np.any(fraction):
        return
    citric, lactic = out[CITRIC] * fraction, out[LACTIC] * fraction
    out[CITRIC] -= citric
    out[LACTIC] -= lactic
    out[CITRATE] += citric * _TO_CITRATE
    out[LACTATE] += lactic * _TO_LACTATE
    if by_hydroxide:
        out[WATER] += _H2O * (3.0 * citric * MOL_PER_G["citric_acid"] + lactic * MOL_PER_G["lactic_acid"])


def _protonate_tea(out: Array, fraction: Array) -> None:
    if np.any(fraction):
        taken = out[TEA] * fraction
        out[TEA] -= taken
        out[TEAH] += taken * _TO_TEAH


def _free_tea(out: Array, fraction: Array) -> None:
    if np.any(fraction):
        taken = out[TEAH] * fraction
        out[TEAH] -= taken
        out[TEA] += taken / _TO_TEAH
        out[WATER] += taken * (MOL_PER_G["triethanolammonium"] * _H2O)


def _split_soap(basis: Basis, out: Array, fraction: Array) -> None:
    if np.any(fraction):
        taken = out[basis.soap] * fraction
        out[basis.soap] -= taken
        out[basis.acid] += _rows(1.0 / basis.soap_per_acid, taken)


def _soap_from_acids(basis: Basis, out: Array, fraction: Array, *, water: bool) -> None:
    if not np.any(fraction):
        return
    taken = out[basis.acid] * fraction
    out[basis.acid] -= taken
    out[basis.soap] += _rows(basis.soap_per_acid, taken)
    if water:
        out[WATER] += _H2O * (basis.mol_per_g[basis.acid] @ taken)


def _soap_from_acyls(basis: Basis, out: Array, fraction: Array) -> None:
    if not np.any(fraction):
        return
    taken = out[basis.acyl] * fraction
    out[basis.acyl] -= taken
    out[basis.soap] += _rows(basis.soap_per_acyl, taken)
    for bound, freed in ((BOUND_GLYCEROL, GLYCEROL), (BOUND_ALCOHOL, UNSAPONIFIABLE)):
        part = out[bound] * fraction
        out[bound] -= part
        out[freed] += part


def _rows(factors: Array, array: Array) -> Array:
    return factors[:, None] * array if array.ndim == 2 else factors * array


def need_hydroxide_mol(basis: Basis, pot: Array, superfat_fraction: float = 0.0) -> Array:
    """Moles of hydroxide that the pot still takes up, leaving `superfat_fraction` of its fat unsaponified."""
    fat = acyl_mol(basis, pot) + acid_mol(basis, pot)
    return np.asarray((1.0 - superfat_fraction) * fat + weak_acid_mol(pot) - hydroxide_mol(pot))


def alkali_balance_mol(basis: Basis, pot: Array) -> Array:
    """Free alkali as one signed number: hydroxide less (free fatty acid + ester) equivalents, in mol."""
    return np.asarray(hydroxide_mol(pot) - acyl_mol(basis, pot) - acid_mol(basis, pot))


def charge_balance_mol(basis: Basis, pot: Array) -> Array:
    """Net charge in mol; 0 for every possible pot."""
    return np.asarray((basis.charge * basis.mol_per_g) @ pot)


def take(pot: Array, leaving_g: Array) -> Array:
    """The pot without `leaving_g` (S,) or (S, N); raises `BadInput` when more leaves than is there."""
    left = pot - leaving_g
    if np.any((leaving_g > 0.0) & (left < -1e-9 * np.maximum(pot, 1.0))):
        raise BadInput("More would leave the pot than is in it.", remedy="Check the masses that leave.")
    return left


def mix(*pots: Array) -> Array:
    """Several pots poured together."""
    return np.asarray(sum(pots[1:], pots[0].copy()))


def split(pot: Array, fraction: float) -> tuple[Array, Array]:
    """A part (`fraction`, 0-1) of the pot, and the rest."""
    if not 0.0 <= fraction <= 1.0:
        raise BadInput(f"A pot cannot be split at {fraction!r}.", remedy="Give a share from 0 to 1.")
    return pot * fraction, pot * (1.0 - fraction)


def evaporate_shares(before: Array, after: Array, ledger: Array) -> Array:
    """The ledger (S, L) after the pot went from `before` to `after` (S,): every line loses pro rata."""
    kept = np.where(before != 0.0, after / np.where(before != 0.0, before, 1.0), 1.0)
    return ledger * kept[:, None]
