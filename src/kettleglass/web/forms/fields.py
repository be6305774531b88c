"""The names of the fields of the recipe form, and the text that stands in them for a recipe.

A field is named after its place in the recipe file: ``alkali.superfat``, ``line.3.amount``, ``method.2.text``. The
number of a line or step stays with it however it is moved; the order is that of ``order.line`` and ``order.method``.
What begins with ``ui.`` belongs to the page alone.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any

from kettleglass.recipe.exchange import SECTIONS, FieldRule, Section, amount_text
from kettleglass.recipe.exchange.quantities import WRITERS
from kettleglass.recipe.exchange.schema import ATTRIBUTE_OF, RECIPE
from kettleglass.recipe.lyewater import plain_number
from kettleglass.recipe.recipe import Amount, Line, Recipe
from kettleglass.units import OUNCE_G, POUND_G, parse_mass

Typed = dict[str, str]
"""What stands in the fields, by name."""
NUMBERED = re.compile(r"(line|method)\.(\d{1,6})\.([a-z_]+)")
_ID = re.compile(r"\d{1,6}")
PAGE_ONLY = "ui."


def numbered_ids(typed: Mapping[str, str], name: str) -> list[str]:
    """The numbers of the lines or steps that have a field, in the order that ``order.<name>`` says."""
    there = dict.fromkeys(match[2] for field in typed if (match := NUMBERED.fullmatch(field)) and match[1] == name)
    wanted = dict.fromkeys(_ID.findall(typed.get(f"order.{name}", "")))
    return [one for one in wanted if one in there] + [one for one in there if one not in wanted]


def line_ids(typed: Mapping[str, str]) -> list[str]:
    """The numbers of the lines, in order."""
    return numbered_ids(typed, "line")


def step_ids(typed: Mapping[str, str]) -> list[str]:
    """The numbers of the maker's own steps, in order."""
    return numbered_ids(typed, "method")


def new_id(ids: Iterable[str]) -> str:
    """A number that no line or step has had."""
    return str(1 + max((int(one) for one in ids), default=0))


def typed_of(recipe: Recipe) -> Typed:
    """The fields of a recipe, every one of them; what is not said is an empty text."""
    typed: Typed = {}
    for section in SECTIONS:
        made: Any = recipe if section is RECIPE else getattr(recipe, ATTRIBUTE_OF[section.name])
        if not section.repeated:
            typed |= {f"{section.name}.{rule.name}": _said(rule, made, recipe) for rule in section.rules}
            continue
        for index, one in enumerate(made, 1):
            typed |= {f"{section.name}.{index}.{rule.name}": _said(rule, one, recipe) for rule in section.rules}
        typed[f"order.{section.name}"] = " ".join(str(index) for index in range(1, len(made) + 1))
    return typed


def blank(section: Section, **said: str) -> Typed:
    """The fields of a new line or step without its number: those given, the others empty."""
    return {rule.name: said.get(rule.name, "") for rule in section.rules}


def _said(rule: FieldRule, made: object, recipe: Recipe) -> str:
    value = None if made is None else getattr(made, rule.attribute)
    if value is None:
        return ""
    if isinstance(value, Amount):
        return _amount(value, recipe.scale.unit, in_fats=isinstance(made, Line) and made.stage == "fats")
    if rule.kind == "mass":
        return mass_said(float(value), recipe.scale.unit)
    if rule.kind == "yes or no":
        return "yes" if value else "no"
    if rule.quiet and rule.kind in ("mass", "length", "volume", "hardness") and value == 0.0:
        return ""
    return str(WRITERS[rule.kind](value))


def _amount(amount: Amount, unit: str, *, in_fats: bool) -> str:
    if amount.by == "solve":
        return ""
    if amount.by == "g":
        return mass_said(amount.value, unit)
    text = amount_text(amount)
    return text.removesuffix(" of fats") if in_fats else text


def mass_said(mass_g: float, unit: str) -> str:
    """A mass as its maker is likely to have said it; reads back as exactly the same number of grams."""
    grams = f"{plain_number(mass_g)} g"
    if mass_g == 0.0 or (unit == "g" and len(grams) < 10):
        return grams if mass_g else ""
    pounds, rest_g = divmod(mass_g, POUND_G)
    ounces = plain_number(round(rest_g / OUNCE_G, 3))
    for said in (f"{pounds:.0f} lb {ounces} oz", f"{pounds:.0f} lb", f"{plain_number(round(mass_g / OUNCE_G, 3))} oz"):
        if not said.startswith("0 ") and not said.endswith(" 0 oz") and parse_mass(said) == mass_g:
            return said
    return grams
