"""What can be bought: fats, other goods, dyes, and strengths as people say them, each built from its table rows."""

from kettleglass.materials.goods.denatured import denatured_ids, denatured_material
from kettleglass.materials.goods.dyes import dye_ids, dye_material
from kettleglass.materials.goods.evidence import Evidence, evidence
from kettleglass.materials.goods.fats import (
    AcidShare,
    acid_shares,
    computed_saponification_value,
    fat_figures,
    fat_ids,
    fat_material,
    published_shares,
)
from kettleglass.materials.goods.parts import good_ids, good_material
from kettleglass.materials.goods.strengths import material_from_text, material_of_strength

__all__ = [
    "AcidShare",
    "Evidence",
    "acid_shares",
    "computed_saponification_value",
    "denatured_ids",
    "denatured_material",
    "dye_ids",
    "dye_material",
    "evidence",
    "fat_figures",
    "fat_ids",
    "fat_material",
    "good_ids",
    "good_material",
    "material_from_text",
    "material_of_strength",
    "published_shares",
]
