"""A finished base as a material of its own, to be re-melted, mixed or sold: its composition, its doubts, its marks."""

from __future__ import annotations

import numpy as np

from kettleglass.materials import Material
from kettleglass.materials.made import carried_doubts, material_from_pot
from kettleglass.recipe.leaving import leaving_g
from kettleglass.recipe.sheet import cook
from kettleglass.recipe.work import Worked
from kettleglass.science.basis import Array
from kettleglass.science.pot import take

_CARRIED = frozenset(("dark", "haze", "opaque", "pigment", "synthetic", "methanol", "unsuitable", "nitrosating"))
"""Marks of ingredients that a base still bears; the others are spent in the making."""


def base_as_material(worked: Worked, material_id: str, name: str) -> Material:
    """The finished base of a worked recipe (after its losses) as a material, in g/g.

    Its doubts are those of what went in, under the keys of their lots, so that base and oil still share one draw.
    Raises `BadInput` for an empty pot.
    """
    sheet, masses, total_g = worked.sheet, worked.weights.weighed_g, worked.finished.sum()

    def pot_at(offsets: Array) -> Array:
        pot = cook(sheet, masses[:, None], offsets[:, None])[:, 0]
        left = take(pot, leaving_g(worked.losses, pot))
        return np.asarray(left * (total_g / left.sum()))  # a doubt adds no mass, and what leaves depends on it

    used = (material for material, mass in zip(sheet.materials, masses, strict=True) if mass > 0.0)
    marks = {mark for material in used for mark in material.traits}
    return material_from_pot(
        material_id, name, sheet.basis, worked.finished, carried_doubts(sheet.doubts, pot_at),
        traits=marks & _CARRIED, note=f"Made here from the recipe “{worked.recipe.name}”.",
    )  # fmt: skip
