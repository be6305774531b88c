"""Plain words for the names that the program uses inside: species ids and figure names."""

from __future__ import annotations

from functools import cache

from kettleglass.materials.material import Material
from kettleglass.materials.tables import read_table

_SPECIES = {
    "propan_2_ol": "propan-2-ol",
    "volatile_other": "other volatiles",
    "hexoses": "glucose and fructose",
    "polyol_other": "other polyols",
    "bound_glycerol": "glycerol, bound in the fat",
    "bound_alcohol": "wax alcohols, bound",
    "salt_other": "other salts",
    "unspecified": "not specified",
}
_FORMS = {"acyl": "{}, bound in the fat", "acid": "{}, free", "soap": "{}, as soap"}
_ACIDS = {"unknown": "fatty acids, not known which", "residue": "left over (the figures do not agree exactly)"}
_FIGURES = {
    "unsaponifiable_fraction": "unsaponifiable",
    "titre_c": "titre",
    "melting_point_c": "melting point",
    "density_g_ml": "density",
    "use_limit_percent": "use limit",
}


@cache
def _acid_names() -> dict[str, str]:
    return {row["fatty_acid"]: row["common_name"].split(" (")[0] for row in read_table("fatty_acids")} | _ACIDS


def species_words(species_id: str) -> str:
    """What a species is called by people: ``acyl.12:0`` is “lauric acid, bound in the fat”."""
    form, _, acid_id = species_id.partition(".")
    if form in _FORMS and acid_id:
        name = _acid_names().get(acid_id, acid_id)
        return name if acid_id == "residue" else _FORMS[form].format(name)
    return _SPECIES.get(species_id, species_id.replace("_", " "))


def parts_in_words(material: Material) -> list[tuple[str, float]]:
    """What a material is made of, in words and g/g, largest first."""
    parts = sorted(material.composition.items(), key=lambda part: -abs(part[1]))
    return [(species_words(species_id), share) for species_id, share in parts]


def figure_label(name: str) -> str:
    """What a figure is called by people; its unit is said beside it."""
    return _FIGURES.get(name, name.removesuffix("_c").replace("_", " "))
