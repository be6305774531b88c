"""Fields to recipe: whatever is typed, the answer is a recipe and a sentence at each field that cannot be read.

A field that cannot be read counts with what could last be read in it; a line that never could is left out.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import MISSING, dataclass, field
from typing import Any

from kettleglass.errors import BadInput, KettleglassError
from kettleglass.recipe.exchange.quantities import READERS
from kettleglass.recipe.exchange.schema import ATTRIBUTE_OF, BY_NAME, RECIPE, SECTIONS, FieldRule, Section
from kettleglass.recipe.recipe import Line, MethodStep, Mould, Recipe
from kettleglass.web.forms.fields import Typed, line_ids, step_ids

UNNAMED = "Recipe without a name"
MOST_ROWS = 500
_BARE_PERCENT = re.compile(r"[-+−]?[\d.,½¼¾/ ]*[\d½¼¾]\s*(%|percent|per cent)")
_BARE_NUMBER = re.compile(r"[-+−]?[\d.,½¼¾⅓⅔⅛/' ]*[\d½¼¾⅓⅔⅛][.,]?")
_YES = {"yes": True, "on": True, "true": True, "no": False, "": False, "off": False, "false": False}


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong in a field, what to write, and what counts meanwhile; `waiting`: it was only not filled in yet."""

    text: str
    advice: str = ""
    meanwhile: str = ""
    waiting: bool = False


@dataclass(frozen=True, slots=True)
class FormRead:
    """What the fields came to: the recipe, the faults by field, and the last readable text of every field.

    `line_keys` gives the key in the recipe for the number of each line that counts.
    """

    recipe: Recipe
    faults: Mapping[str, Fault]
    good: Typed
    line_keys: Mapping[str, str]


@dataclass(slots=True)
class _Reader:
    typed: Mapping[str, str]
    good: Mapping[str, str]
    unit: str = "g"
    faults: dict[str, Fault] = field(default_factory=dict)
    read: Typed = field(default_factory=dict)

    def one(self, section: Section, prefix: str) -> dict[str, Any]:
        """The values of a table by attribute: as typed, else as last readable, else as by default."""
        values: dict[str, Any] = {}
        for rule in section.rules:
            name = f"{prefix}.{rule.name}"
            if name not in self.typed and name not in self.good:
                continue
            try:
                value = self._value(rule, prefix, self.typed.get(name, self.good.get(name, "")))
            except KettleglassError as error:
                value = self.last(rule, prefix, name, error)
            else:
                self.read[name] = self.typed.get(name, self.good.get(name, ""))
            if value is not MISSING:
                values[rule.attribute] = value
        return values

    def _value(self, rule: FieldRule, prefix: str, text: str) -> object:
        said = text.strip()
        if said and rule.kind == "text":
            return text
        if not said and rule.kind != "amount":
            if rule.required:
                raise BadInput("Nothing stands here.", remedy=f"Write “{rule.example}”, for example.")
            return MISSING
        return READERS[rule.kind](rule, self._fuller(rule, prefix, said))

    def _fuller(self, rule: FieldRule, prefix: str, said: str) -> object:
        """The text as the recipe file would say it: units that the field itself implies are added."""
        if rule.kind == "amount":
            return self._fuller_amount(prefix, said)
        if rule.kind == "yes or no":
            return _YES.get(said.lower(), said)
        if rule.kind == "whole number":
            return int(said) if re.fullmatch(r"-?\d{1,19}", said) else said
        if rule.kind in ("percent", "share") and _BARE_NUMBER.fullmatch(said):
            return f"{said} %"
        return said

    def _fuller_amount(self, prefix: str, said: str) -> str:
        stage = self.typed.get(f"{prefix}.stage", "")
        if not said:
            if stage == "lye":
                return "solve"
            raise BadInput("How much of it?", remedy="Write “200 g” or “35 %”, for example. Until then it is left out.")
        if stage == "fats" and _BARE_PERCENT.fullmatch(said):
            return f"{said} of fats"
        return f"{said} g" if self.unit == "g" and _BARE_NUMBER.fullmatch(said) else said

    def last(self, rule: FieldRule, prefix: str, name: str, error: KettleglassError) -> object:
        """The last readable value, and the fault kept at the field; MISSING when there never was one."""
        kept: object = MISSING
        text = self.good.get(name)
        if text is not None:
            try:
                kept = self._value(rule, prefix, text)
            except KettleglassError:
                text = None
            else:
                self.read[name] = text
        meanwhile = f"Meanwhile “{text.strip()}” counts." if text and text.strip() else ""
        waiting = not self.typed.get(name, "").strip()
        self.faults[name] = Fault(f"{error.what} {error.why}".strip(), error.remedy, meanwhile, waiting)
        return kept

    def made(self, section: Section, prefix: str) -> Any:
        """The object of a table; None when something that it needs was never readable."""
        values = self.one(section, prefix)
        if any(rule.required and rule.attribute not in values for rule in section.rules):
            return None
        try:
            return section.makes(**values)
        except KettleglassError as error:
            return self._without_culprit(section, prefix, values, error)

    def _without_culprit(self, section: Section, prefix: str, values: dict[str, Any], error: KettleglassError) -> Any:
        """The object with the last readable values in place of those that are not possible."""
        needed = {rule.attribute: values[rule.attribute] for rule in section.rules if rule.required}
        for rule in section.rules:
            if rule.attribute not in values or rule.required:
                continue
            try:
                section.makes(**needed, **{rule.attribute: values[rule.attribute]})
            except KettleglassError as cause:
                del values[rule.attribute]
                self.read.pop(f"{prefix}.{rule.name}", None)
                last = self.last(rule, prefix, f"{prefix}.{rule.name}", cause)
                if last is not MISSING:
                    values[rule.attribute] = last
        try:
            return section.makes(**values)
        except KettleglassError:
            name = f"{prefix}.{section.rules[0].name}"
            self.faults.setdefault(name, Fault(f"{error.what} {error.why}".strip(), error.remedy))
            return None


def read_form(typed: Mapping[str, str], good: Mapping[str, str], base: Recipe) -> FormRead:
    """The recipe that the fields mean.

    `good` is the last readable text of each field (as this function gave it, or `typed_of` a saved recipe); `base`
    brings what has no field (extras, the mark of an invented recipe). Never raises on any text.
    """
    reader = _Reader(typed, good)
    parts: dict[str, Any] = {}
    for section in SECTIONS:
        if section is not RECIPE and not section.repeated and section is not BY_NAME["mould"]:
            made = reader.made(section, section.name)
            parts[ATTRIBUTE_OF[section.name]] = section.makes() if made is None else made
    reader.unit = parts["scale"].unit
    parts["mould"] = _mould(reader)
    lines, keys = _lines(reader)
    steps = [reader.made(BY_NAME["method"], f"method.{one}") for one in step_ids(typed)[:MOST_ROWS]]
    parts["lines"] = tuple(lines)
    parts["method"] = tuple(step for step in steps if isinstance(step, MethodStep))
    own = reader.one(RECIPE, "recipe")
    own.setdefault("name", base.name or UNNAMED)
    recipe = _whole(reader, own | parts | {"extras": base.extras, "invented": base.invented})
    orders = {name: text for name, text in typed.items() if name.startswith("order.")}
    return FormRead(recipe, reader.faults, {**reader.read, **orders}, keys)


def _mould(reader: _Reader) -> Mould | None:
    if not reader.typed.get("mould.shape", reader.good.get("mould.shape", "")).strip():
        return None
    made = reader.made(BY_NAME["mould"], "mould")
    return made if isinstance(made, Mould) else None


def _lines(reader: _Reader) -> tuple[list[Line], dict[str, str]]:
    """The lines that count, each with a key of its own, and their keys by number."""
    lines: list[Line] = []
    keys: dict[str, str] = {}
    for one in line_ids(reader.typed)[:MOST_ROWS]:
        line = reader.made(BY_NAME["line"], f"line.{one}")
        if not isinstance(line, Line):
            continue
        key = unused_key(line.key, keys.values())
        if key != line.key:
            line = Line(key, line.material_id, line.amount, line.stage, line.lot_id, line.share, line.note)
        lines.append(line)
        keys[one] = key
    return lines, keys


def unused_key(key: str, taken: Any) -> str:
    """The key, with a number behind it when it is taken."""
    known, count, unused = set(taken), 1, key
    while unused in known:
        count += 1
        unused = f"{key} {count}"
    return unused


def _whole(reader: _Reader, values: dict[str, Any]) -> Recipe:
    """The recipe; a value of its own that is not possible gives way to what could last be read."""
    for rule in RECIPE.rules:
        if rule.attribute in values and rule.attribute not in ("name", "invented"):
            try:
                Recipe("probe", **{rule.attribute: values[rule.attribute]})
            except KettleglassError as error:
                del values[rule.attribute]
                last = reader.last(rule, "recipe", f"recipe.{rule.name}", error)
                if last is not MISSING:
                    values[rule.attribute] = last
    return Recipe(**values)
