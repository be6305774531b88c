"""What stands on the shelf of a book: the catalogue, the maker's own materials, and the lots, ready for a recipe.

A kept material is the document of `kettleglass.materials.documents`; a kept lot that of `kettleglass.materials.lots`.
The id of an entry is the id that a recipe names.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from kettleglass.errors import Finding, KettleglassError
from kettleglass.materials import Material
from kettleglass.materials.catalogue import Catalogue
from kettleglass.materials.documents import material_as_dict, material_from_dict
from kettleglass.materials.lots import Lot, lot_from_dict, lot_material
from kettleglass.recipe.sheet import Find
from kettleglass.recipe.work import finder
from kettleglass.workshop import materials as kept
from kettleglass.workshop.changes import Latest
from kettleglass.workshop.notebook import Notebook


@dataclass(frozen=True, eq=False)
class Stock:
    """The catalogue with the maker's own materials, and the lots by id. `unread` names entries that cannot be used."""

    catalogue: Catalogue
    lots: Mapping[str, Lot] = field(default_factory=dict)
    lot_materials: Mapping[str, Material] = field(default_factory=dict)
    unread: tuple[Finding, ...] = ()

    @property
    def find(self) -> Find:
        """Gives the material or lot of a recipe's line; raises `UnknownName`."""
        return finder(self.catalogue.get, self.lot_materials)


def stock_of(notebook: Notebook, catalogue: Catalogue) -> Stock:
    """What stands on the shelf of a book now; an entry that cannot be read is named, and the rest stands."""
    own, lots, lot_materials, unread = [], {}, {}, []
    for entry in kept.list_materials(notebook):
        try:
            own.append(replace(material_from_dict(entry.content), id=entry.id))
        except KettleglassError as error:
            unread.append(_unread(entry, error))
    together = catalogue.with_own(own)
    for entry in kept.list_lots(notebook):
        try:
            lot = replace(lot_from_dict(_without_name(entry)), id=entry.id)
            lots[entry.id], lot_materials[entry.id] = lot, lot_material(lot, together)
        except KettleglassError as error:
            unread.append(_unread(entry, error))
    return Stock(together, lots, lot_materials, tuple(unread))


def _without_name(entry: Latest) -> dict[str, object]:
    return {key: value for key, value in entry.content.items() if key != "name"}


def _unread(entry: Latest, error: KettleglassError) -> Finding:
    return Finding("caution", "shelf-unread", f"“{entry.name}” on the shelf cannot be used: {error.what}", error.remedy)


def keep_own(notebook: Notebook, material: Material, entry_id: str | None, expected_version: int | None) -> Latest:
    """The maker's own material as now kept; errors as `save_material`."""
    return kept.save_material(notebook, entry_id, material_as_dict(material), expected_version)


def keep_lot(notebook: Notebook, lot: Lot, entry_id: str | None, expected_version: int | None) -> Latest:
    """The lot as now kept, under the name of its label; errors as `save_lot`."""
    return kept.save_lot(notebook, entry_id, lot.as_dict() | {"name": lot.label}, expected_version)
