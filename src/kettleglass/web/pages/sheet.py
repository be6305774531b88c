"""The weigh sheet: what to weigh, what to mind and the method, for paper and for the phone beside the scale."""

from __future__ import annotations

import math
from dataclasses import dataclass
from urllib.parse import urlencode

from starlette.responses import Response

from kettleglass.errors import BadInput
from kettleglass.recipe.exchange import read_recipe
from kettleglass.recipe.readings import chance_text
from kettleglass.recipe.recipe import STAGES, Recipe, Stage
from kettleglass.units import UnitSystem, format_mass
from kettleglass.web.asking import Ask, go
from kettleglass.web.at_work import Unreadable, sit_down, try_face, with_typed
from kettleglass.web.rendering import moment
from kettleglass.web.view.face import Face
from kettleglass.web.view.sentences import shown_name
from kettleglass.workshop import SavedRecipe, load_recipe

STAGE_TITLES: dict[Stage, str] = {
    "fats": "Fats", "lye": "Lye: alkali into cold water, never the other way round", "paste": "Into the cooked paste",
    "clear": "Clearing solvents: heat off, no flame", "syrup": "Syrup", "finish": "Finishing",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Row:
    """One thing to weigh."""

    name: str
    small: str
    mass: str


def show(ask: Ask) -> Response:
    """The weigh sheet of what is typed now, or of a saved version."""
    recipe_id, version = ask.path("id"), ask.query("version")
    if version:
        saved, recipe, unread = *_as_saved(ask, recipe_id, version), ""
        as_of = f"Version {saved.version} of {moment(saved.updated_at)}."
    else:
        try:
            sitting = sit_down(ask.book, recipe_id)
        except Unreadable:
            return go(f"/recipes/{recipe_id}/text")
        _, read = with_typed(sitting, {})
        saved, recipe = sitting.saved, read.recipe
        unread = ", ".join(name for name, fault in read.faults.items() if not fault.waiting)
        typed = recipe != sitting.recipe
        as_of = (
            f"As typed {moment(ask.desk.clock())}, not saved as a version yet." if typed
            else f"Version {saved.version} of {moment(saved.updated_at)}."
        )  # fmt: skip
    return _page(ask, saved, recipe, {"as_of": as_of, "unread": unread, "version": version})


def _as_saved(ask: Ask, recipe_id: str, version: str) -> tuple[SavedRecipe, Recipe]:
    number = int(version) if version.isascii() and version.isdigit() and len(version) < 10 else -1
    saved = load_recipe(ask.book, recipe_id, number)
    read = read_recipe(saved.text)
    if read.recipe is None:
        raise BadInput("The text of this version cannot be read.", remedy="Look at another version.")
    return saved, read.recipe


def _page(ask: Ask, saved: SavedRecipe, recipe: Recipe, said: dict[str, str]) -> Response:
    asked = ask.query("unit")
    unit = asked if asked in ("g", "lb oz") else recipe.scale.unit
    system: UnitSystem = "lb_oz" if unit == "lb oz" else "g"
    shelf = ask.desk.shelf(invented=ask.invented)
    face, trouble = try_face(ask, recipe, shelf)
    values: dict[str, object] = {"total": "", "aside": None, "facts": (), "stages": ()}
    if face is not None:
        values = {
            "stages": _stages(face, system), "total": format_mass(face.worked.total_g, recipe.scale.step_g, system),
            "aside": _aside(face, system), "facts": _facts(face),
        }  # fmt: skip
    return ask.page("sheet/page.html", {
        "saved": saved, "recipe": recipe, "face": face, "trouble": trouble, "as_of": said["as_of"],
        "unread": said["unread"], "other_unit": _other_unit(saved.id, unit, said["version"]), **values,
    })  # fmt: skip


def _other_unit(recipe_id: str, unit: str, version: str) -> dict[str, str]:
    other, words = ("lb oz", "In pounds and ounces") if unit == "g" else ("g", "In grams")
    asked = urlencode({"unit": other, **({"version": version} if version else {})})
    return {"address": f"/recipes/{recipe_id}/sheet?{asked}", "words": words}


def _stages(face: Face, system: UnitSystem) -> list[tuple[str, list[Row]]]:
    sheet, weights = face.worked.sheet, face.worked.weights
    by_stage: dict[Stage, list[Row]] = {stage: [] for stage in STAGES}
    for line, material, mass, step in zip(
        sheet.lines, sheet.materials, weights.weighed_g, weights.steps_g, strict=True
    ):  # fmt: skip
        row = Row(shown_name(material.name), line.note, format_mass(float(mass), float(step), system))
        by_stage[line.stage].append(row)
    return [(STAGE_TITLES[stage], rows) for stage, rows in by_stage.items() if rows]


def _aside(face: Face, system: UnitSystem) -> Row | None:
    """What is kept ready for the trim, where free alkali is likelier than the maker accepts."""
    sure, trim = face.worked.sure, face.readings.get("sure.trim")
    if sure is None or trim is None or not trim.value or face.recipe.measured_free_alkali_percent is not None:
        return None
    if sure.chance_free_alkali <= face.recipe.certainty.target_chance:
        return None
    step = face.recipe.scale.step_g
    whole = math.ceil(trim.value / step - 1e-9) * step  # up: what is set aside has to be enough
    return Row("stearic acid", "", format_mass(whole, step, system))


def _facts(face: Face) -> list[str]:
    """The figures that whoever weighs wants beside them."""
    readings, sure = face.readings, face.worked.sure
    found = [
        f"{label} {readings[key].text} {readings[key].unit}"
        for key, label in (
            ("cooked.soap.percent", "soap"), ("cooked.water.percent", "water"), ("pot.tfm", "total fatty matter"),
            ("lye.strength", "lye"), ("superfat", "superfat as weighed"), ("pot.volume", "volume about"),
        )
        if key in readings
    ]  # fmt: skip
    if sure is not None and face.worked.soap_g > 0.0:
        chance = chance_text(sure.chance_free_alkali)
        found.append(f"chance of more than {sure.limit_percent:g} % free alkali {chance} %")
    return found
