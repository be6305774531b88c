"""Changing the spirit of a recipe, or its stage, with every other line held in grams."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from kettleglass.cook.same_finish import SPIRIT, floor_g
from kettleglass.errors import BadInput
from kettleglass.materials import Material
from kettleglass.recipe.leaving import ALCOHOLS
from kettleglass.recipe.recipe import STAGES, Amount, BatchSize, Line, LyeWater, Recipe, Stage, WeighingScale
from kettleglass.recipe.sheet import Find
from kettleglass.recipe.work import Worked, work_out

FINE = WeighingScale(1e-4)
"""Steps of the scale while two cooks are compared, so that rounding is not taken for an effect."""


@dataclass(frozen=True, slots=True, eq=False)
class InGrams:
    """A recipe whose amounts are all in g but for the solved lye: `grams` by line, and the materials of the lines.

    `water_off_g` is the plain water taken off it for what a spirit brings (negative: put in).
    """

    recipe: Recipe
    grams: Mapping[str, float]
    materials: Mapping[str, Material]
    water_off_g: float = 0.0

    @property
    def spirits(self) -> tuple[Line, ...]:
        """The lines whose grams are set for their alcohol."""
        return tuple(line for line in self.recipe.lines if self.materials[line.key].share(*ALCOHOLS) >= SPIRIT)

    def brought_g(self, *species_ids: str) -> float:
        """What the lines of spirit bring of some species."""
        return sum(self.grams[line.key] * self.materials[line.key].share(*species_ids) for line in self.spirits)


def in_grams(recipe: Recipe, find: Find) -> tuple[InGrams, Worked]:
    """A recipe at its batch size, and how it works out on a fine scale. Raises what `work_out` raises.

    Solved lye stays solved: the same fats take the same alkali, and its water is kept (see `with_lye_water`).
    """
    worked = work_out(replace(recipe, scale=FINE), find, random_pots=False)
    sheet, exact = worked.sheet, worked.weights.exact_g
    grams = {line.key: float(mass) for line, mass in zip(sheet.lines, exact, strict=True)}
    materials = dict(zip(sheet.keys, sheet.materials, strict=True))
    lines = tuple(
        line if _is_solved(line, materials[line.key]) else replace(line, amount=Amount(grams[line.key]))
        for line in sheet.lines
    )
    known = replace(worked.recipe, lines=lines, size=BatchSize(), scale=recipe.scale)
    return with_lye_water(InGrams(known, grams, materials)), worked


def _is_solved(line: Line, material: Material) -> bool:
    watery = line.stage == "lye" and material.kind == "water"
    return line.amount.by == "solve" and (watery or material.share("hydroxide") > 0.0)


def with_lye_water(held: InGrams) -> InGrams:
    """The same, with the lye water that its lines hold: what all lines of the lye bring counts towards it."""
    in_lye = [line for line in held.recipe.lines if line.stage == "lye"]
    water_g = sum(held.grams[line.key] * held.materials[line.key].share("water") for line in in_lye)
    plan = replace(held.recipe.alkali, water=LyeWater(water_g, "mass"))
    return replace(held, recipe=replace(held.recipe, alkali=plan))


def at_stage(held: InGrams, stage: Stage) -> InGrams:
    """The same with all its spirit going in at another stage."""
    keys = {line.key for line in held.spirits}
    lines = tuple(replace(line, stage=stage) if line.key in keys else line for line in held.recipe.lines)
    return with_lye_water(replace(held, recipe=replace(held.recipe, lines=lines)))


def fit_spirit(material: Material) -> Material:
    """The material itself; raises `BadInput` where it is unfit for soap, or hardly holds alcohol."""
    if "unsuitable" in material.traits:
        raise BadInput(f"{material.name} is not fit for soap.", why=material.note, remedy="Choose undenatured spirit.")
    if material.share(*ALCOHOLS) < SPIRIT:
        raise BadInput(f"{material.name} is no spirit.", remedy="Choose one with at least 30 % of alcohol by mass.")
    return material


def with_spirit(held: InGrams, material_id: str, material: Material) -> InGrams:
    """The same with another spirit in every line of spirit, at equal grams of pure alcohol."""
    grams, materials, lines = dict(held.grams), dict(held.materials), []
    spirits = {line.key for line in held.spirits}
    for line in held.recipe.lines:
        if line.key not in spirits:
            lines.append(line)
            continue
        pure_g = grams[line.key] * materials[line.key].share(*ALCOHOLS)
        grams[line.key], materials[line.key] = pure_g / material.share(*ALCOHOLS), material
        lines.append(replace(line, material_id=material_id, lot_id=None, amount=Amount(grams[line.key])))
    recipe = replace(held.recipe, lines=tuple(lines))
    return with_lye_water(InGrams(recipe, grams, materials, held.water_off_g))


def with_water_kept(held: InGrams, written: Worked, extra_g: float) -> InGrams:
    """The same with so much less plain water: lye water first, down to a lye that still dissolves, then later stages.

    `written` is the recipe from which `held` came, whose lye says how much water it needs. A negative extra is put in.
    """
    sheet, exact = written.sheet, written.weights.exact_g
    rows = sorted(sheet.of_kind("water"), key=lambda row: _lye_first(sheet.lines[row].stage))
    grams, left = dict(held.grams), extra_g
    for row in rows:
        key = sheet.keys[row]
        take = min(left, grams[key] - floor_g(sheet, exact, row))
        grams[key], left = grams[key] - take, left - take
    lines = tuple(
        line if line.amount.by == "solve" else replace(line, amount=Amount(grams[line.key]))
        for line in held.recipe.lines
    )
    recipe = replace(held.recipe, lines=lines)
    return with_lye_water(InGrams(recipe, grams, held.materials, extra_g - left))


def _lye_first(stage: Stage) -> int:
    return -1 if stage == "lye" else STAGES.index(stage)
