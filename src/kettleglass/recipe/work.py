"""Everything that a recipe works out to, in one object that page, command line and paper read."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from kettleglass.errors import Finding, UnknownName
from kettleglass.materials import Material
from kettleglass.recipe.alkali import WATERY
from kettleglass.recipe.doubt import HowSure, how_sure
from kettleglass.recipe.leaving import leaving_g
from kettleglass.recipe.recipe import Line, Losses, Recipe, Stage
from kettleglass.recipe.sheet import Find, Sheet, charge_sheet, cook, cook_ledger
from kettleglass.recipe.solve import soap_g
from kettleglass.recipe.weigh import SizeOffer, Weights, size_offer, weigh
from kettleglass.science.basis import Array
from kettleglass.science.pot import ROW, soap_mol, take
from kettleglass.science.volume import volume_ml


@dataclass(frozen=True, eq=False)
class Worked:
    """A recipe worked out: weights, the pot as added, after reaction and finished, its doubt, and the ledger.

    Pots are (S,) in g over `sheet.basis`; `ledger` is (S, L), after reaction. `left_out` are remarks on lines that
    could not be used; `sure` is None for an empty pot. `losses` are the recipe's own, or else as they were reckoned.
    """

    recipe: Recipe
    losses: Losses
    sheet: Sheet
    weights: Weights
    added: Array
    cooked: Array
    finished: Array
    ledger: Array
    sure: HowSure | None
    offer: SizeOffer | None
    volume_ml: tuple[float, float, float]
    left_out: tuple[Finding, ...]

    @property
    def total_g(self) -> float:
        """What is in the pot, in g."""
        return float(self.cooked.sum())

    @property
    def soap_g(self) -> float:
        """Anhydrous soap in the pot, in g."""
        return soap_g(self.sheet, self.cooked)

    def grams(self, *species_ids: str) -> float:
        """Grams of plain species in the pot after reaction."""
        return float(sum(self.cooked[ROW[species_id]] for species_id in species_ids))

    def percent(self, *species_ids: str) -> float:
        """Plain species in % of the pot after reaction; 0 for an empty pot."""
        return 100.0 * self.grams(*species_ids) / self.total_g if self.total_g > 0.0 else 0.0

    def grams_added(self, stage: Stage, *species_ids: str) -> float:
        """Grams of plain species that the lines of a stage bring."""
        rows = [row for row, line in enumerate(self.sheet.lines) if line.stage == stage]
        brought = self.sheet.compositions[:, rows] @ self.weights.weighed_g[rows]
        return float(sum(brought[ROW[species_id]] for species_id in species_ids))

    @property
    def hard_water_g(self) -> float:
        """Grams of water from the tap: lines of water that is not marked as soft."""
        rows = [row for row in self.sheet.of_kind("water") if "soft" not in self.sheet.materials[row].traits]
        return float(self.weights.weighed_g[rows].sum())

    @property
    def mean_soap_g_mol(self) -> float:
        """Mean molar mass of the soap anions in g/mol; 0 without soap."""
        moles = float(soap_mol(self.sheet.basis, self.cooked))
        return float(self.cooked[self.sheet.basis.soap].sum()) / moles if moles > 0.0 else 0.0

    @cached_property
    def in_use(self) -> tuple[tuple[Line, Material, float], ...]:
        """The lines that weigh anything, with their material and grams, in the maker's order."""
        rows = zip(self.sheet.lines, self.sheet.materials, self.weights.weighed_g.tolist(), strict=True)
        return tuple(row for row in rows if row[2] > 0.0)

    @property
    def has_lye_water(self) -> bool:
        """Whether a line of the lye is mostly water, so that the lye water has a place to go."""
        lines = zip(self.sheet.lines, self.sheet.species("water"), strict=True)
        return any(line.stage == "lye" and share >= WATERY for line, share in lines)

    def lines_with(self, trait: str) -> tuple[tuple[Line, Material], ...]:
        """The lines in use whose material bears a trait."""
        return tuple((line, material) for line, material, _ in self.in_use if trait in material.traits)

    @property
    def stages(self) -> dict[Stage, tuple[str, ...]]:
        """The keys of the lines of each stage in use."""
        out: dict[Stage, tuple[str, ...]] = {}
        for line in self.sheet.lines:
            out[line.stage] = (*out.get(line.stage, ()), line.key)
        return out


Reckon = Callable[[Recipe, Sheet, Array], Losses]
"""Gives the losses that the cook of a recipe makes: the recipe, its sheet, and the grams of its lines."""


def work_out(recipe: Recipe, find: Find, *, random_pots: bool = True, reckon: Reckon | None = None) -> Worked:
    """Work a recipe out; lines whose material is not known are left out and said.

    Losses that the recipe leaves open come from `reckon`, and are nothing without it.

    Raises `BadInput` when what is asked cannot be solved (an amount by volume without a density, percentages of
    the whole that leave no room, a batch size of nothing).
    """
    known, left_out = _known_lines(recipe, find)
    sheet = charge_sheet(known, find)
    weights = weigh(known, sheet)
    masses = weights.weighed_g
    cooked = cook(sheet, masses)
    losses = _losses(known, sheet, masses, reckon)
    has_pot = random_pots and float(masses.sum()) > 0.0
    return Worked(
        recipe=recipe,
        losses=losses,
        sheet=sheet,
        weights=weights,
        added=sheet.compositions @ masses,
        cooked=cooked,
        finished=take(cooked, leaving_g(losses, cooked)),
        ledger=cook_ledger(sheet, masses),
        sure=how_sure(replace(known, losses=losses), sheet, masses, weights.steps_g) if has_pot else None,
        offer=size_offer(known, weights),
        volume_ml=volume_ml(sheet.basis, cooked),
        left_out=left_out,
    )


def _losses(recipe: Recipe, sheet: Sheet, masses_g: Array, reckon: Reckon | None) -> Losses:
    open_ones = recipe.losses.alcohol is None or recipe.losses.water is None
    if not open_ones or reckon is None or float(masses_g.sum()) <= 0.0:
        return recipe.losses.filled(0.0, 0.0)
    reckoned = reckon(recipe, sheet, masses_g)
    return recipe.losses.filled(reckoned.alcohol or 0.0, reckoned.water or 0.0)


def _known_lines(recipe: Recipe, find: Find) -> tuple[Recipe, tuple[Finding, ...]]:
    lines, left_out = [], []
    for line in recipe.lines:
        try:
            find(line)
        except UnknownName as error:
            left_out.append(
                Finding(
                    "danger",
                    "unknown-material",
                    f"{error.what} The line {line.key} is left out of all this.",
                    error.remedy,
                    line.key,
                )
            )
        else:
            lines.append(line)
    return (recipe if not left_out else replace(recipe, lines=tuple(lines))), tuple(left_out)


def finder(catalogue_get: Callable[[str], Material], lots: Mapping[str, Material]) -> Find:
    """A `Find` that takes the lot where a line names one, else the catalogue's material."""

    def find(line: Line) -> Material:
        if line.lot_id is None:
            return catalogue_get(line.material_id)
        if line.lot_id not in lots:
            raise UnknownName("lot", line.lot_id, lots)
        return lots[line.lot_id]

    return find
