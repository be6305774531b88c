"""Which text of a recipe a page beside it shows: what is typed now, or a saved version; in the unit that is asked."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import urlencode

from kettleglass.errors import BadInput
from kettleglass.recipe.exchange import read_recipe
from kettleglass.recipe.recipe import Recipe
from kettleglass.units import UnitSystem
from kettleglass.web.asking import Ask
from kettleglass.web.at_work import sit_down, with_typed
from kettleglass.web.rendering import moment
from kettleglass.workshop import SavedRecipe, load_recipe


@dataclass(frozen=True, slots=True)
class AsOf:
    """A recipe as a page shows it.

    `said` tells in words which text it is, `unread` names the fields that count as they last could be read, `version`
    is what the address asked for (empty: what is typed now), `unit` what masses are shown in.
    """

    saved: SavedRecipe
    recipe: Recipe
    said: str
    unread: str
    version: str
    unit: str

    @property
    def system(self) -> UnitSystem:
        """The unit for `format_mass`."""
        return "lb_oz" if self.unit == "lb oz" else "g"

    @property
    def asked(self) -> dict[str, str]:
        """What an address has to ask so that it shows the same text in the same unit."""
        found = {"version": self.version} if self.version else {}
        return found if self.unit == self.recipe.scale.unit else {**found, "unit": self.unit}

    def address(self, page: str, **asked: str) -> str:
        """The address of a page beside the recipe, for the same text in the same unit."""
        wanted = {**self.asked, **asked}
        return f"/recipes/{self.saved.id}/{page}{'?' if wanted else ''}{urlencode(wanted)}"

    def other_unit(self, page: str) -> dict[str, str]:
        """The address of the page in the other unit, and the words for it."""
        other, words = ("lb oz", "In pounds and ounces") if self.unit == "g" else ("g", "In grams")
        return {"address": self.address(page, unit=other), "words": words}


def as_of(ask: Ask) -> AsOf:
    """What the address asks for. Raises `Unreadable` for a broken text, `NoSuchEntry` where there is none."""
    recipe_id, version = ask.path("id"), ask.query("version")
    if version:
        saved, recipe, unread = *_as_saved(ask, recipe_id, version), ""
        said = f"Version {saved.version} of {moment(saved.updated_at)}."
    else:
        sitting = sit_down(ask.book, recipe_id)
        _, read = with_typed(sitting, {})
        saved, recipe = sitting.saved, read.recipe
        unread = ", ".join(name for name, fault in read.faults.items() if not fault.waiting)
        said = (
            f"As typed {moment(ask.desk.clock())}, not saved as a version yet." if recipe != sitting.recipe
            else f"Version {saved.version} of {moment(saved.updated_at)}."
        )  # fmt: skip
    asked = ask.query("unit")
    return AsOf(saved, recipe, said, unread, version, asked if asked in ("g", "lb oz") else recipe.scale.unit)


def _as_saved(ask: Ask, recipe_id: str, version: str) -> tuple[SavedRecipe, Recipe]:
    number = int(version) if version.isascii() and version.isdigit() and len(version) < 10 else -1
    saved = load_recipe(ask.book, recipe_id, number)
    read = read_recipe(saved.text)
    if read.recipe is None:
        raise BadInput("The text of this version cannot be read.", remedy="Look at another version.")
    return saved, read.recipe
