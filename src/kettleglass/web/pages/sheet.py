"""The weigh sheet: what to weigh, what to mind and the method, for paper and for the phone beside the scale."""

from __future__ import annotations

import math
from dataclasses import dataclass

from starlette.responses import Response

from kettleglass.recipe.readings import chance_text
from kettleglass.recipe.recipe import STAGES, Stage
from kettleglass.units import UnitSystem, format_mass
from kettleglass.web.as_of import as_of
from kettleglass.web.asking import Ask, go
from kettleglass.web.at_work import Unreadable, try_face
from kettleglass.web.view.face import Face
from kettleglass.web.view.sentences import shown_name

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
    try:
        shown = as_of(ask)
    except Unreadable:
        return go(f"/recipes/{ask.path('id')}/text")
    face, trouble = try_face(ask, shown.recipe, ask.desk.shelf(invented=ask.invented))
    values: dict[str, object] = {"total": "", "aside": None, "facts": (), "stages": ()}
    if face is not None:
        total = format_mass(face.worked.total_g, shown.recipe.scale.step_g, shown.system)
        values = {
            "stages": _stages(face, shown.system), "total": total, "aside": _aside(face, shown.system),
            "facts": _facts(face),
        }  # fmt: skip
    return ask.page("sheet/page.html", {
        "saved": shown.saved, "recipe": shown.recipe, "face": face, "trouble": trouble, "as_of": shown.said,
        "unread": shown.unread, "other_unit": shown.other_unit("sheet"), **values,
    })  # fmt: skip


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
