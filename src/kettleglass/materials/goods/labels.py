"""Names for labels: as added in the European Union and the United States, and as the soap that forms."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from kettleglass.materials.material import LabelNames
from kettleglass.materials.tables import Row, read_table


@cache
def _rows() -> Mapping[str, Row]:
    return {material: row for row in read_table("label_names") for material in row["materials"].split()}


def label_names(material_id: str) -> LabelNames:
    """The names of a material for a label; empty where the table has none."""
    row = _rows().get(material_id)
    if row is None:
        return LabelNames()
    return LabelNames(row["inci_as_added_eu"], row["inci_as_added_us"], row["inci_sodium_salt"],
                      row["inci_potassium_salt"], row["inci_tea_salt"])  # fmt: skip
