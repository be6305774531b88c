"""The layout of a recipe file, field by field: read, write, document and JSON Schema all follow this table."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Literal

from kettleglass.recipe import recipe as made
from kettleglass.recipe.place import DRAUGHTS, HEATINGS, Place
from kettleglass.recipe.recipe import SCHEMA

Kind = Literal[
    "text", "choice", "whole number", "yes or no", "amount", "mass", "length", "volume", "percent", "share",
    "lye water", "hardness", "temperature", "time", "altitude", "pressure", "power", "room", "airflow",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class FieldRule:
    """One field: its name in the file, the attribute it fills, how it is written, what it says.

    A `quiet` field is left out of a written file while it has its default value.
    """

    name: str
    attribute: str
    kind: Kind
    says: str
    example: str
    choices: tuple[str, ...] = ()
    required: bool = False
    quiet: bool = False


@dataclass(frozen=True, slots=True)
class Section:
    """One table of the file, `[name]`, or `[[name]]` if it may come often, and the class that it becomes."""

    name: str
    makes: type
    says: str
    rules: tuple[FieldRule, ...]
    repeated: bool = False

    @property
    def header(self) -> str:
        """As it stands in a file."""
        return f"[[{self.name}]]" if self.repeated else f"[{self.name}]"

    def default(self, rule: FieldRule) -> object:
        """The value of a field that is left out; raises `KeyError` for one without a default."""
        return _DEFAULTS[self.makes][rule.attribute]


_R = FieldRule
RECIPE = Section("recipe", made.Recipe, "What it is and what it is for.", (
    _R("name", "name", "text", "What the recipe is called.", "Clear base 3", required=True),
    _R("purpose", "purpose", "choice", "What it is made for; the advice follows it.", "bar", made.PURPOSES),
    _R("look", "look", "choice", "How it shall look; an opaque base is not judged by clarity.", "tinted", made.LOOKS),
    _R("water_hardness", "water_hardness_mg_l", "hardness", "Hardness of the water used (mg/L, °dH, °fH, grains).",
       "17 °dH", quiet=True),
    _R("measured_free_alkali", "measured_free_alkali_percent", "percent",
       "Free alkali of the finished pot by titration, as NaOH; negative for free acid.", "0.04 %", quiet=True),
    _R("invented", "invented", "yes or no", "Whether it is an invented example.", "true", quiet=True),
    _R("note", "note", "text", "Anything else.", "Best on a dry day.", quiet=True),
))  # fmt: skip
ALKALI = Section("alkali", made.AlkaliPlan, "How the lye is found for lines whose amount is “solve”.", (
    _R("superfat", "superfat_percent", "percent", "Share of the fats without lye; negative: lye in excess.", "1 %"),
    _R("share_by", "share_by", "choice", "Whether the shares of several alkalis are by moles or by mass.", "mole",
       ("mole", "mass")),
    _R("lye_water", "water", "lye water", "Water per part of alkali, strength of the lye, share of the fats, or mass.",
       "1:1.4"),
))  # fmt: skip
SIZE = Section("size", made.BatchSize, "What the batch is scaled to.", (
    _R("by", "by", "choice", "What gives the size.", "fats", made.SIZES),
    _R("mass", "value_g", "mass", "How much of it.", "1 kg", quiet=True),
    _R("line", "line_key", "text", "The key of the line, if the size is given by one.", "castor", quiet=True),
))  # fmt: skip
SCALE = Section("scale", made.WeighingScale, "The scales that the weights are rounded to.", (
    _R("step", "step_g", "mass", "Step of the scale for fats and solvents.", "1 g"),
    _R("lye_step", "lye_step_g", "mass", "Step of a finer scale for the lye, if there is one.", "0.1 g", quiet=True),
    _R("unit", "unit", "choice", "The unit shown on the weigh sheet.", "lb oz", ("g", "lb oz")),
))  # fmt: skip
KETTLE = Section("kettle", made.Kettle, "The vessel.", (
    _R("name", "name", "text", "What it is called.", "tall kettle"),
    _R("metal", "metal", "choice", "What it is made of.", "enamel", made.METALS),
    _R("inner_diameter", "inner_diameter_mm", "length", "Inner diameter; left out: not measured.", "220 mm",
       quiet=True),
    _R("height", "height_mm", "length", "Inner height.", "180 mm"),
    _R("head_room", "head_room", "share", "Share kept free for foam.", "35 %"),
    _R("mass", "mass_g", "mass", "Weight of the empty kettle.", "1.8 kg", quiet=True),
))  # fmt: skip
MOULD = Section("mould", made.Mould, "The mould, by its inner measures or by its cavities.", (
    _R("shape", "shape", "choice", "Which measures count.", "box", ("box", "cylinder", "cavities"), required=True),
    _R("length", "length_mm", "length", "Length of a box.", "250 mm", quiet=True),
    _R("width", "width_mm", "length", "Width of a box.", "80 mm", quiet=True),
    _R("height", "height_mm", "length", "Height of a box or cylinder.", "70 mm", quiet=True),
    _R("diameter", "diameter_mm", "length", "Diameter of a cylinder.", "76 mm", quiet=True),
    _R("cavities", "cavities", "whole number", "How many of them.", "12", quiet=True),
    _R("volume", "volume_ml", "volume", "Volume of one cavity.", "90 mL", quiet=True),
))  # fmt: skip
PLACE = Section("place", Place, "Where it is cooked: the air around the pot, and what warms it.", (
    _R("name", "name", "text", "What the place is called.", "back room"),
    _R("altitude", "altitude_m", "altitude", "Height above the sea; left out: that of the workshop.", "540 m",
       quiet=True),
    _R("pressure", "pressure_hpa", "pressure", "What a barometer there shows, not reduced to sea level.", "955 hPa",
       quiet=True),
    _R("room_temperature", "room_c", "temperature", "Temperature of the room.", "20 °C"),
    _R("draught", "draught", "choice", "How the air moves over the open pot.", "usual", DRAUGHTS),
    _R("room", "room_m3", "room", "Size of the room.", "40 m3", quiet=True),
    _R("airflow", "airflow_m3_h", "airflow", "Fresh air drawn through it.", "120 m3/h", quiet=True),
    _R("heating", "heating", "choice", "What warms the kettle.", "water bath", HEATINGS),
    _R("heater", "heater_w", "power", "Power of the heater.", "800 W", quiet=True),
))  # fmt: skip
LOSSES = Section("losses", made.Losses, "What leaves between the pot and the finished base; left out: reckoned.", (
    _R("alcohol", "alcohol", "share", "Share of the alcohols that is lost.", "20 %", quiet=True),
    _R("water", "water", "share", "Share of the water that is lost.", "3 %", quiet=True),
))  # fmt: skip
CERTAINTY = Section("certainty", made.Certainty, "How the chance of free alkali is worked out.", (
    _R("free_alkali_limit", "free_alkali_limit_percent", "percent", "The most free alkali wanted, as NaOH.", "0.05 %"),
    _R("chance", "target_chance", "share", "The chance of exceeding it that is still acceptable.", "5 %"),
    _R("limits", "limits", "choice", "Which limits of the fats are drawn from.", "published limits", made.LIMITS),
    _R("draws", "draws", "whole number", "How many random pots.", "10000"),
    _R("seed", "seed", "whole number", "The same seed gives the same random pots.", "1"),
))  # fmt: skip
LINE = Section("line", made.Line, "One ingredient; lines keep the order of the file.", (
    _R("key", "key", "text", "Its own name within the recipe.", "coconut", required=True),
    _R("material", "material_id", "text", "The material, by its id in the catalogue.", "coconut", required=True),
    _R("lot", "lot_id", "text", "The lot, if its own figures shall count.", "C-3", quiet=True),
    _R("amount", "amount", "amount", "How much, by mass, share or volume, or “solve” for lye and lye water.", "200 g",
       required=True),
    _R("stage", "stage", "choice", "When it goes into the pot.", "fats", made.STAGES, required=True),
    _R("share", "share", "share", "Share of the alkali that this line brings; left out: the rest.", "75 %", quiet=True),
    _R("note", "note", "text", "Anything else.", "warm it first", quiet=True),
), repeated=True)  # fmt: skip
METHOD = Section("method", made.MethodStep, "One step of the method, in order.", (
    _R("text", "text", "text", "What to do.", "Melt the fats.", required=True),
    _R("stage", "stage", "choice", "The stage to which it belongs.", "fats", made.STAGES, required=True),
    _R("temperature", "temperature_c", "temperature", "The temperature to hold to.", "70 °C", quiet=True),
    _R("time", "minutes", "time", "How long.", "30 min", quiet=True),
    _R("covered", "covered", "yes or no", "Whether the pot is covered.", "true", quiet=True),
), repeated=True)  # fmt: skip
SECTIONS = (RECIPE, ALKALI, SIZE, SCALE, KETTLE, MOULD, PLACE, LOSSES, CERTAINTY, LINE, METHOD)
BY_NAME = {section.name: section for section in SECTIONS}
ATTRIBUTE_OF = {
    "alkali": "alkali", "size": "size", "scale": "scale", "kettle": "kettle", "mould": "mould", "place": "place",
    "losses": "losses", "certainty": "certainty", "line": "lines", "method": "method",
}  # fmt: skip
"""Which attribute of `Recipe` a section fills; `[recipe]` itself fills the recipe's own."""


def _defaults(cls: type) -> dict[str, object]:
    return {field.name: field.default for field in fields(cls)}


_DEFAULTS = {section.makes: _defaults(section.makes) for section in SECTIONS}
_QUANTITY = r"^\s*[-+−]?[\d.,½¼¾/ ]+\s*[^\d\s].*$"
_PERCENT = r"^[^%]*[\d½¼¾]\s*(%|percent|per cent).*$"
_PATTERNS: dict[Kind, str] = {
    "amount": rf"(^\s*solve\s*$)|({_QUANTITY})", "mass": _QUANTITY, "length": _QUANTITY, "volume": _QUANTITY,
    "percent": _PERCENT, "share": _PERCENT, "hardness": _QUANTITY, "temperature": _QUANTITY, "time": _QUANTITY,
    "altitude": _QUANTITY, "pressure": _QUANTITY, "power": _QUANTITY, "room": _QUANTITY, "airflow": _QUANTITY,
    "lye water": r"\d",
}  # fmt: skip
_TYPES: dict[Kind, str] = {"whole number": "integer", "yes or no": "boolean"}


def json_schema() -> dict[str, object]:
    """The layout as JSON Schema 2020-12; unknown fields are allowed, since a reader keeps them."""
    properties: dict[str, object] = {"schema": {"const": SCHEMA, "description": "The number of this layout."}}
    for section in SECTIONS:
        table = _table_schema(section)
        properties[section.name] = {"type": "array", "items": table} if section.repeated else table
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": f"urn:kettleglass:recipe:{SCHEMA}",
        "title": "Recipe file",
        "description": "A recipe in TOML, as docs/recipe-file.md describes it.",
        "type": "object",
        "required": ["schema", "recipe"],
        "properties": properties,
    }


def _table_schema(section: Section) -> dict[str, object]:
    return {
        "type": "object",
        "description": section.says,
        "required": [rule.name for rule in section.rules if rule.required],
        "properties": {rule.name: _field_schema(rule) for rule in section.rules},
    }


def example_of(rule: FieldRule) -> object:
    """The example of a field as it stands in a parsed file."""
    if rule.kind == "whole number":
        return int(rule.example)
    return rule.example == "true" if rule.kind == "yes or no" else rule.example


def _field_schema(rule: FieldRule) -> dict[str, object]:
    kind = _TYPES.get(rule.kind, "string")
    out: dict[str, object] = {"type": kind, "description": rule.says, "examples": [example_of(rule)]}
    if rule.choices:
        out["enum"] = list(rule.choices)
    if rule.kind in _PATTERNS:
        out["pattern"] = _PATTERNS[rule.kind]
    return out
