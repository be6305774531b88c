"""The catalogue: every material that can be bought, found by what people call it, and the maker's own beside them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache, lru_cache

from kettleglass.errors import Ambiguous, BadInput, KettleglassError, UnknownName
from kettleglass.materials.goods.denatured import denatured_ids, denatured_material
from kettleglass.materials.goods.dyes import dye_ids, dye_material
from kettleglass.materials.goods.fats import fat_ids, fat_material
from kettleglass.materials.goods.finder import Finder
from kettleglass.materials.goods.parts import good_ids, good_material
from kettleglass.materials.material import Kind, Material
from kettleglass.materials.tables import tables_version


@dataclass(frozen=True, eq=False)
class Catalogue:
    """Materials by id, in the order of their tables; `version` names the tables they were built from.

    Raises `BadInput` when two materials share an id.
    """

    materials: tuple[Material, ...]
    version: str
    _by_id: Mapping[str, Material] = field(init=False, repr=False)
    _finder: Finder = field(init=False, repr=False)

    def __post_init__(self) -> None:
        by_id = {material.id: material for material in self.materials}
        if len(by_id) < len(self.materials):
            ids = [material.id for material in self.materials]
            twice = next(material_id for material_id in ids if ids.count(material_id) > 1)
            raise BadInput(f"Two materials are called “{twice}”.", remedy="Give the new one an id of its own.")
        object.__setattr__(self, "_by_id", by_id)
        object.__setattr__(self, "_finder", Finder(self.materials))

    def __iter__(self) -> Iterator[Material]:
        return iter(self.materials)

    def __len__(self) -> int:
        return len(self.materials)

    def __contains__(self, material_id: object) -> bool:
        return material_id in self._by_id

    def get(self, material_id: str) -> Material:
        """The material of an id, or of a strength as people say it (“92.4 % mass ethanol”, “2:1 syrup”).

        Raises `UnknownName`, which offers the nearest ids and what a search finds; `Ambiguous` for a strength that
        can mean two things (“190 proof”).
        """
        found = self._by_id.get(material_id) or _of_strength(material_id)
        if found is None:
            near = [material.id for material in self.find(material_id.replace("_", " "), 3)]
            raise UnknownName("material", material_id, dict.fromkeys([*near, *self._by_id]))
        return found

    def find(self, text: str, limit: int = 10) -> tuple[Material, ...]:
        """The materials that a text can mean, best first: names, aliases, origins, CAS numbers and kinds, whatever
        the case and the accents, and with slips of the pen. All of them, up to `limit`, for an empty text. A
        strength as people say it (“66 °Brix”) comes first; one that can mean two things is left to `get`, which asks.
        """
        found = self._finder.find(text, limit)
        if not any(letter.isdigit() for letter in text):
            return found
        try:
            said = _of_strength(text)
        except KettleglassError:
            return found
        return found if said is None else (said, *(one for one in found if one.id != said.id))[:limit]

    def of_kind(self, *kinds: Kind) -> tuple[Material, ...]:
        """The materials of these kinds, in order."""
        return tuple(material for material in self.materials if material.kind in kinds)

    def by_kind(self) -> dict[Kind, tuple[Material, ...]]:
        """All materials, grouped by kind for a list on a page."""
        return {kind: self.of_kind(kind) for kind in dict.fromkeys(material.kind for material in self.materials)}

    def with_own(self, materials: Iterable[Material]) -> Catalogue:
        """This catalogue and the maker's own materials; raises `BadInput` when one takes an id that is in use."""
        return Catalogue((*self.materials, *materials), self.version)


@lru_cache(maxsize=256)
def _of_strength(text: str) -> Material | None:
    """The material of a strength, with the text as its id; None for a text that says no strength."""
    if not any(letter.isdigit() for letter in text) or not any(letter in text for letter in " %:°"):
        return None
    from kettleglass.materials.goods.strengths import material_of_strength
    from kettleglass.materials.strength import parse_strength

    try:
        return material_of_strength(parse_strength(text), text)
    except Ambiguous:
        raise
    except KettleglassError:
        return None


@cache
def load_catalogue() -> Catalogue:
    """The catalogue of the package, built once from its tables."""
    materials = [fat_material(fat_id) for fat_id in fat_ids()]
    materials += [good_material(good_id) for good_id in good_ids()]
    materials += [denatured_material(spirit_id) for spirit_id in denatured_ids()]
    materials += [dye_material(dye_id) for dye_id in dye_ids()]
    return Catalogue(tuple(materials), tables_version())
