"""The bench of the recipe page: the groups of lines with what was typed, what each is, and what to weigh of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from kettleglass.errors import KettleglassError
from kettleglass.materials import Material
from kettleglass.recipe.readings import Reading, number_text
from kettleglass.recipe.recipe import Stage
from kettleglass.web.forms import FormRead, line_ids
from kettleglass.web.forms.editing import GROUPS, group_of
from kettleglass.web.view.face import Face
from kettleglass.web.view.figures import fill_of_kind
from kettleglass.web.view.sentences import shown_name

Choice = tuple[str, str]
STAGE_WORDS: dict[Stage, str] = {
    "fats": "with the fats",
    "lye": "in the lye",
    "paste": "into the cooked paste",
    "clear": "with the clearing solvents",
    "syrup": "with the syrup",
    "finish": "at the end",
}
"""When a line goes in, in words."""


@dataclass(frozen=True, slots=True)
class Row:
    """One line: its number in the form, what it is, what stands beneath its name, and what to weigh.

    `weigh` is None for a line that does not count; `beside` is its share of the group or the whole. `takes_water`
    marks the one line whose field is the lye water; `lots` are those of its material.
    """

    id: str
    material_id: str
    name: str
    small: str
    fill: str
    solved: bool
    weigh: Reading | None
    step_g: float
    beside: str
    takes_water: bool
    lots: tuple[Choice, ...]
    known: bool

    @property
    def field(self) -> str:
        """What its fields begin with."""
        return f"line.{self.id}"


@dataclass(frozen=True, slots=True)
class Group:
    """Lines that go in together."""

    key: str
    title: str
    total: str
    rows: tuple[Row, ...]
    add: str


@dataclass(frozen=True, slots=True)
class Goods:
    """What the bench asks of the shelf: a material by id and lot, and the lots of a material as choices."""

    material: Callable[[str, str | None], Material]
    lots: Callable[[str], tuple[Choice, ...]]


_ADD = {
    "fats": "Add to fats", "lye": "Add to lye", "paste": "Add to the paste", "clear": "Add to clearing solvents",
    "finish": "Add to finishing",
}  # fmt: skip


def groups(typed: Mapping[str, str], read: FormRead, face: Face | None, goods: Goods) -> tuple[Group, ...]:
    """The groups of the bench in their order; the one for the cooked paste only where something goes there."""
    water = _water_line(typed, goods)
    by_group: dict[str, list[Row]] = {key: [] for key, _, _ in GROUPS}
    for one in line_ids(typed):
        group = group_of(typed.get(f"line.{one}.stage", ""))
        by_group[group].append(_row(typed, read, face, goods, one=one, is_water=one == water))
    return tuple(
        Group(key, title, _total(by_group[key]), tuple(by_group[key]), _ADD[key])
        for key, title, _ in GROUPS
        if by_group[key] or key != "paste"
    )


def _water_line(typed: Mapping[str, str], goods: Goods) -> str:
    """The line that takes the lye water: the only liquid of the lye whose amount is left to be worked out."""
    found = [
        one for one in line_ids(typed)
        if typed.get(f"line.{one}.stage") == "lye" and not typed.get(f"line.{one}.amount", "").strip()
        and _kind(typed, goods, one) not in ("alkali", "")
    ]  # fmt: skip
    return found[0] if len(found) == 1 else ""


def _kind(typed: Mapping[str, str], goods: Goods, one: str) -> str:
    material = _material(typed, goods, one)
    return "" if material is None else material.kind


def _material(typed: Mapping[str, str], goods: Goods, one: str) -> Material | None:
    try:
        return goods.material(typed.get(f"line.{one}.material", ""), typed.get(f"line.{one}.lot") or None)
    except KettleglassError:
        return None


def _row(typed: Mapping[str, str], read: FormRead, face: Face | None, goods: Goods, *, one: str, is_water: bool) -> Row:
    material_id = typed.get(f"line.{one}.material", "")
    material = _material(typed, goods, one)
    key = read.line_keys.get(one, "")
    weigh = face.readings.get(f"weigh.{key}") if face is not None and key else None
    step = _step(face, key)
    solved = not typed.get(f"line.{one}.amount", "").strip() and typed.get(f"line.{one}.stage") == "lye"
    return Row(
        one, material_id, shown_name(material.name) if material else material_id or "Unknown", _small(material),
        fill_of_kind(material.kind) if material else "other", solved, weigh, step, _beside(face, key, weigh),
        is_water, goods.lots(material_id), material is not None,
    )  # fmt: skip


def _step(face: Face | None, key: str) -> float:
    if face is None or key not in face.worked.sheet.keys:
        return 1.0
    return float(face.worked.weights.steps_g[face.worked.sheet.keys.index(key)])


def _small(material: Material | None) -> str:
    """The one figure that the weights rest on, with how it is known."""
    if material is None:
        return "not in the catalogue: left out of everything"
    for name in ("saponification_value", "purity", "strength"):
        figure = material.figures.get(name)
        if figure is not None:
            scale = 100.0 if figure.unit == "g/g" else 1.0
            unit = "%" if figure.unit == "g/g" else figure.unit
            low, high = f"{scale * figure.low:.4g}", f"{scale * figure.high:.4g}"
            span = low if low == high else f"{low}–{high}"
            known = ", from memory" if figure.provisional else ""
            return f"{span} {unit}{known}".strip()
    return material.kind


def _beside(face: Face | None, key: str, weigh: Reading | None) -> str:
    """Its share of the fats, or of the whole pot."""
    if face is None or weigh is None or not weigh.value:
        return ""
    stage = face.recipe.line(key).stage
    fats = face.readings.get("fats")
    if stage == "fats" and fats is not None and fats.value:
        return f"{number_text(100.0 * weigh.value / fats.value, 1)} %"
    total = face.worked.total_g
    return f"{number_text(100.0 * weigh.value / total, 1)} %" if total > 0.0 else ""


def _total(rows: list[Row]) -> str:
    """The group's weight in g as a person reads it."""
    grams = sum(row.weigh.value or 0.0 for row in rows if row.weigh is not None)
    return f"{grams:.0f} g" if grams > 0.0 else "nothing yet"
