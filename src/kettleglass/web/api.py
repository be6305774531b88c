"""The JSON interface: a recipe in, everything that is worked out of it; and the catalogue. See docs/web.md."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from typing import Any

from pydantic import BaseModel, ConfigDict, Field, ValidationError
from starlette.responses import JSONResponse, Response

from kettleglass.cook.plan import Plan, plan, plan_dict
from kettleglass.cook.preview import Preview, preview_dict
from kettleglass.errors import BadInput, Finding
from kettleglass.materials import Figure, Material
from kettleglass.recipe.exchange import read_recipe
from kettleglass.recipe.exchange.schema import SECTIONS
from kettleglass.recipe.exchange.toml import entry, heading
from kettleglass.recipe.recipe import SCHEMA
from kettleglass.web.asking import Ask
from kettleglass.web.at_work import face_of

MOST_FOUND = 200


class RecipeTables(BaseModel):
    """A recipe as JSON: the tables and fields of a recipe file, ``line`` and ``method`` as lists."""

    model_config = ConfigDict(extra="allow", populate_by_name=True)

    schema_number: int = Field(default=SCHEMA, alias="schema")
    recipe: dict[str, Any]
    line: list[dict[str, Any]] = Field(default_factory=list)
    method: list[dict[str, Any]] = Field(default_factory=list)


class Remark(BaseModel):
    """One finding as JSON."""

    level: str
    code: str
    text: str
    advice: str
    where: str
    source: str

    @classmethod
    def of(cls, finding: Finding) -> Remark:
        """The finding as JSON."""
        return cls(
            level=finding.level, code=finding.code, text=finding.text, advice=finding.advice, where=finding.where,
            source=finding.source,
        )  # fmt: skip


class FoundMaterial(BaseModel):
    """A material in a list."""

    id: str
    name: str
    kind: str
    cas: str
    aliases: tuple[str, ...]

    @classmethod
    def of(cls, material: Material) -> FoundMaterial:
        """The material as it stands in a list."""
        return cls(id=material.id, name=material.name, kind=material.kind, cas=material.cas, aliases=material.aliases)


class KnownFigure(BaseModel):
    """A figure with its range, source and how it is known."""

    value: float
    low: float
    high: float
    unit: str
    source: str
    known: str
    note: str

    @classmethod
    def of(cls, figure: Figure) -> KnownFigure:
        """The figure as JSON."""
        return cls(
            value=figure.value, low=figure.low, high=figure.high, unit=figure.unit, source=figure.source,
            known=figure.known, note=figure.note,
        )  # fmt: skip


class WholeMaterial(FoundMaterial):
    """A material with what is known of it; `composition` in g/g by species id, sums to 1."""

    composition: dict[str, float]
    figures: dict[str, KnownFigure]
    doubts: tuple[str, ...]
    traits: tuple[str, ...]
    note: str
    remarks: tuple[Remark, ...]


def preview_of(ask: Ask) -> Response:
    """Readings, weights, findings and windows of the recipe that was sent, as TOML or as JSON."""
    return _worked(ask, preview_dict)


def plan_of(ask: Ask) -> Response:
    """The plan of the cook of the recipe that was sent, as TOML or as JSON."""
    return _worked(ask, lambda shown: plan_dict(_planned(shown)))


def _planned(shown: Preview) -> Plan:
    return plan(shown.worked, shown.hot.course, shown.hot.boiling, shown.hot.around)


def _worked(ask: Ask, answer: Callable[[Preview], dict[str, object]]) -> Response:
    """What is asked of the recipe that was sent; its findings where it cannot be used."""
    kind = ask.request.headers.get("content-type", "").partition(";")[0].strip().lower()
    text = _text_of_json(ask.body) if kind == "application/json" else ask.body
    read = read_recipe(text)
    if read.recipe is None:
        said = [Remark.of(finding).model_dump() for finding in read.findings]
        error = {"what": "This is not a recipe that can be used.", "why": "", "remedy": "See the findings."}
        return JSONResponse({"error": error, "findings": said}, 422)
    face = face_of(ask, read.recipe, ask.desk.shelf(invented=ask.invented), read.findings)
    return JSONResponse(answer(face.shown))


def _text_of_json(body: bytes) -> str:
    """The recipe file that says the same as the JSON; raises `BadInput`."""
    try:
        tables = RecipeTables.model_validate(json.loads(body))
    except (ValidationError, ValueError, RecursionError) as error:
        raise BadInput(
            "The JSON is not a recipe.", why=_first_line(error),
            remedy="Send the tables of a recipe file: {\"recipe\": {\"name\": …}, \"line\": […]}.",
        ) from error  # fmt: skip
    return _file_text(tables.model_dump(by_alias=True))


def _first_line(error: Exception) -> str:
    if isinstance(error, ValidationError):
        first = error.errors()[0]
        return f"{'.'.join(str(part) for part in first['loc'])}: {first['msg']}."
    return f"{str(error)[:200]}."


def _file_text(tables: Mapping[str, Any]) -> str:
    names = [section.name for section in SECTIONS]
    blocks = [f"schema = {tables['schema']}"]
    for name in [*names, *(name for name in tables if name not in names and name != "schema")]:
        table = tables.get(name)
        if isinstance(table, Mapping):
            blocks.append("\n".join([heading(name), *_entries(table)]))
        elif isinstance(table, list) and all(isinstance(one, Mapping) for one in table):
            blocks += ["\n".join([heading(name, repeated=True), *_entries(one)]) for one in table]
        elif table is not None:
            blocks.insert(1, entry(name, table))
    return "\n\n".join(blocks) + "\n"


def _entries(table: Mapping[str, Any]) -> list[str]:
    return [entry(str(name), value) for name, value in table.items() if value is not None]


def catalogue(ask: Ask) -> Response:
    """The materials that a text can mean, best first; all of them for none."""
    shelf = ask.desk.shelf(invented=ask.invented)
    said = ask.query("limit", "20")
    limit = min(int(said), MOST_FOUND) if said.isascii() and said.isdigit() and len(said) < 6 else 20
    found = shelf.catalogue.find(ask.query("q"), max(1, limit))
    return JSONResponse({"materials": [FoundMaterial.of(material).model_dump() for material in found]})


def material(ask: Ask) -> Response:
    """One material with its composition, figures and doubts."""
    found = ask.desk.shelf(invented=ask.invented).catalogue.get(ask.path("id"))
    whole = WholeMaterial(
        **FoundMaterial.of(found).model_dump(), composition=dict(found.composition),
        figures={name: KnownFigure.of(figure) for name, figure in found.figures.items()},
        doubts=tuple(doubt.label for doubt in found.doubts), traits=tuple(sorted(found.traits)), note=found.note,
        remarks=tuple(Remark.of(remark) for remark in found.remarks),
    )  # fmt: skip
    return JSONResponse(whole.model_dump())
