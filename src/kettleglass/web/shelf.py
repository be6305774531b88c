"""The shelf of a workshop: the catalogue, the maker's own materials, and the lots that stand there."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from kettleglass.errors import Ambiguous, KettleglassError, UnknownName
from kettleglass.materials import Material
from kettleglass.materials.catalogue import Catalogue, load_catalogue
from kettleglass.materials.material import Kind
from kettleglass.recipe.sheet import Find
from kettleglass.workshop import Latest, Notebook, list_lots, list_materials
from kettleglass.workshop.shelf import Stock, stock_of

KINDS_OF_GROUP: Mapping[str, tuple[Kind, ...]] = {
    "fats": ("fat", "fatty acid", "made"),
    "lye": ("alkali", "water", "mixture", "acid", "chelator", "salt"),
    "paste": ("fatty acid", "amine", "acid", "fat"),
    "clear": ("spirit", "polyol", "sugar", "mixture", "made"),
    "finish": ("fragrance", "dye", "whitener", "acid", "chelator", "salt", "water", "fatty acid"),
}
"""The kinds of material that usually go into a group, those first that a search offers first."""
USUAL: Mapping[str, tuple[str, ...]] = {
    "fats": ("coconut", "palm", "castor", "stearic_acid_triple_pressed", "tallow", "olive", "palm_kernel"),
    "lye": ("sodium_hydroxide_flakes", "potassium_hydroxide_flakes", "sodium_hydroxide_50", "water"),
    "paste": ("stearic_acid_triple_pressed", "triethanolamine"),
    "clear": ("ethanol_95_vol", "glycerol", "syrup_2_1", "propylene_glycol", "sorbitol_70", "propan_2_ol_91_vol"),
    "finish": ("fragrance_oil", "essential_oil", "titanium_dioxide", "citric_acid"),
}
"""What is offered before anything is typed; those that the catalogue does not hold are left out."""
STAGE_OF_KIND: Mapping[str, str] = {"sugar": "syrup"}
"""The stage of a line in the clearing solvents, where it is not the stage of that name."""


@dataclass(frozen=True, slots=True)
class Offers:
    """Materials that can be added, each with the id that a line would name; `asked` when the text is ambiguous."""

    found: tuple[tuple[str, Material], ...]
    asked: Ambiguous | None = None


@dataclass(frozen=True, eq=False)
class Shelf:
    """Everything that a recipe of this workshop can name. `version` changes with whatever stands on it."""

    stock: Stock
    version: str

    @property
    def catalogue(self) -> Catalogue:
        """The catalogue with the maker's own materials."""
        return self.stock.catalogue

    @property
    def find(self) -> Find:
        """Gives the material or lot of a line; raises `UnknownName`."""
        return self.stock.find

    def material(self, material_id: str, lot_id: str | None) -> Material:
        """The lot where one is named, else the material; raises `UnknownName`."""
        if lot_id is None:
            return self.catalogue.get(material_id)
        if lot_id not in self.stock.lot_materials:
            raise UnknownName("lot", lot_id, self.stock.lot_materials)
        return self.stock.lot_materials[lot_id]

    def lots_of(self, material_id: str) -> tuple[tuple[str, str], ...]:
        """Id and label of the lots of a material."""
        return tuple((lot.id, lot.label) for lot in self.stock.lots.values() if lot.material_id == material_id)

    def offered(self, group: str, text: str, limit: int = 8) -> Offers:
        """What to offer for a group of lines: what the text can mean, or the usual when nothing is typed."""
        if not text.strip():
            usual = [self.catalogue.get(one) for one in USUAL.get(group, ()) if one in self.catalogue]
            return Offers(tuple((one.id, one) for one in usual[:limit]))
        kinds = KINDS_OF_GROUP.get(group, ())
        said, asked = self.spoken(text)
        found = [one for one in self.catalogue.find(text, 4 * limit) if said is None or one.id != said.id]
        fitting = [material for material in found if material.kind in kinds]
        others = [material for material in found if material.kind not in kinds]
        named = [(" ".join(text.split()), said)] if said is not None else []
        return Offers((*named, *((one.id, one) for one in [*fitting, *others][:limit])), asked)

    def spoken(self, text: str) -> tuple[Material | None, Ambiguous | None]:
        """What a text means as a strength (“91 % isopropanol”), or why it has to be said more clearly."""
        said = " ".join(text.split())
        if said in self.catalogue or not any(character.isdigit() for character in said):
            return None, None
        try:
            return self.catalogue.get(said), None
        except Ambiguous as error:
            return None, error
        except KettleglassError:
            return None, None

    def stage_in(self, group: str, material: Material) -> str:
        """The stage of a new line of this material in a group."""
        return STAGE_OF_KIND.get(material.kind, group) if group == "clear" else group


def version_of(book: Notebook) -> str:
    """Names the catalogue and every entry on the shelf of a book with its version: the same name, the same shelf."""
    with book.reading():
        entries: tuple[Latest, ...] = (*list_materials(book), *list_lots(book))
    return " ".join((load_catalogue().version, *(f"{entry.id}@{entry.version}" for entry in entries)))


def shelf_of(book: Notebook, version: str) -> Shelf:
    """What stands on the shelf of a book now."""
    return Shelf(stock_of(book, load_catalogue()), version)
