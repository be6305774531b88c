"""A material from a strength as people say it: “91 % isopropanol”, “190 US proof”, “66 °Brix”, “50 % NaOH”."""

from __future__ import annotations

import re
from dataclasses import replace

from kettleglass.errors import BadInput
from kettleglass.materials.figure import Figure
from kettleglass.materials.goods.parts import density_with_water, good_material
from kettleglass.materials.material import Doubt, Material
from kettleglass.materials.strength import Strength, parse_strength
from kettleglass.materials.substances import SUBSTANCES
from kettleglass.units import Region

_LIKE = {
    "ethanol": "ethanol_95_vol", "propan-2-ol": "propan_2_ol_91_vol", "methanol": "hardware_spirit",
    "glycerol": "glycerol", "propylene glycol": "propylene_glycol", "dipropylene glycol": "dipropylene_glycol",
    "sorbitol": "sorbitol_70", "sucrose": "syrup_2_1", "sodium hydroxide": "sodium_hydroxide_50",
    "potassium hydroxide": "potassium_hydroxide_50", "triethanolamine": "triethanolamine", "citric acid": "citric_acid",
    "lactic acid": "lactic_acid_80", "sodium lactate": "sodium_lactate_60",
}  # fmt: skip
"""The good of the catalogue that lends a strength of this substance its kind, label names and cautions."""
_PURITY = ("alkali", "amine")
_SPOKEN = {"sucrose": "sugar syrup"}


def material_of_strength(strength: Strength, material_id: str | None = None, name: str | None = None) -> Material:
    """The material that a strength means: its mass fractions with their doubt, named as it was said.

    Kind, names for labels, cautions and CAS number are those of the same substance in the catalogue. Without an id
    it gets one made of its text. Raises `BadInput` for a substance of which nothing can be made.
    """
    if strength.substance not in _LIKE:
        raise BadInput(f"No material is made of a strength of {strength.substance}.", remedy="Enter it as a mixture.")
    like = good_material(_LIKE[strength.substance])
    own_id, own_name = material_id or _id_of(strength), name or _name_of(strength)
    figure_name = "purity" if like.kind in _PURITY else "strength"
    figure = replace(strength.fraction, note=strength.working)
    doubts: tuple[Doubt, ...] = ()
    if figure.low < figure.high:
        doubts = (Doubt(f"{own_id}/{figure_name}", f"{figure_name} of {own_name}", strength.direction, figure),)
    return replace(
        like, id=own_id, name=own_name, composition=strength.mass_fractions, doubts=doubts,
        figures={name: old for name, old in like.figures.items() if name == "flash_point_c"} | {figure_name: figure},
        density_g_ml=_density(strength), aliases=(strength.text,), remarks=(*like.remarks, *strength.remarks),
        note=like.note if strength.substance == "methanol" else strength.working,
    )  # fmt: skip


def material_from_text(text: str, hint: str | None = None, region: Region | None = None) -> Material:
    """The material that “95 % vol ethanol” or “2:1 syrup” means; errors as `parse_strength` raises them."""
    return material_of_strength(parse_strength(text, hint, region))


def _id_of(strength: Strength) -> str:
    slug = re.sub(r"[^a-z0-9]+", "_", f"{strength.substance} {strength.text}".lower()).strip("_")
    return slug[:60]


def _name_of(strength: Strength) -> str:
    """The text itself where it names the substance, else with its name."""
    said = " ".join(strength.text.split())
    spellings = next(substance.spellings for substance in SUBSTANCES if substance.name == strength.substance)
    if any(spelling in said.lower() for spelling in spellings):
        return said
    return f"{said} {_SPOKEN.get(strength.substance, strength.substance)}"


def _density(strength: Strength) -> Figure | None:
    species = list(strength.pure)
    if len(species) != 1 or dict(strength.rest) != {"water": 1.0}:
        return None
    return density_with_water(species[0], strength.fraction.value, strength.low, strength.high)
