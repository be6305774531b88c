"""Recipe to recipe text: everything that counts written out, so that a later default changes nothing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import MISSING

from kettleglass.errors import BadInput
from kettleglass.recipe.exchange.quantities import WRITERS, amount_text
from kettleglass.recipe.exchange.schema import ATTRIBUTE_OF, BY_NAME, RECIPE, SECTIONS, Section
from kettleglass.recipe.exchange.toml import entry, heading
from kettleglass.recipe.recipe import SCHEMA, Amount, Line, Recipe


def write_recipe(recipe: Recipe) -> str:
    """TOML text from which `read_recipe` makes an equal recipe, unknown fields included.

    Raises `BadInput` for another schema number, or for extras that TOML has no form for.
    """
    if recipe.schema != SCHEMA:
        raise BadInput(f"A recipe of schema {recipe.schema} cannot be written.", remedy=f"Use schema {SCHEMA}.")
    extras = recipe.extras
    foreign = {name: value for name, value in extras.items() if name not in BY_NAME and name != "schema"}
    blocks = [[f"schema = {SCHEMA}", *(entry(k, v) for k, v in foreign.items() if not isinstance(v, Mapping))]]
    blocks.append(_block(RECIPE, recipe, recipe, extras.get(RECIPE.name)))
    for section in SECTIONS[1:]:
        blocks += _blocks(section, recipe)
    for name, table in foreign.items():
        if isinstance(table, Mapping):
            blocks.append([heading(name), *(entry(str(key), value) for key, value in table.items())])
    return "\n\n".join("\n".join(block) for block in blocks) + "\n"


def _blocks(section: Section, recipe: Recipe) -> list[list[str]]:
    made = getattr(recipe, ATTRIBUTE_OF[section.name])
    extras = recipe.extras.get(section.name)
    if made is None:
        return []
    if not section.repeated:
        return [_block(section, recipe, made, extras)]
    blocks = []
    for index, one in enumerate(made):
        called = one.key if isinstance(one, Line) else f"step {index + 1}"
        own = extras.get(called) if isinstance(extras, Mapping) else None
        blocks.append(_block(section, recipe, one, own))
    return blocks


def _block(section: Section, recipe: Recipe, made: object, extras: object) -> list[str]:
    rows = [heading(section.name, repeated=section.repeated)]
    for rule in section.rules:
        value = getattr(made, rule.attribute)
        default = section.default(rule)
        if value is None or (rule.quiet and default is not MISSING and value == default):
            continue
        if isinstance(value, Amount):
            rows.append(entry(rule.name, amount_text(value, recipe.scale.unit)))
        else:
            rows.append(entry(rule.name, WRITERS[rule.kind](value)))
    if isinstance(extras, Mapping):
        known = {rule.name for rule in section.rules}
        rows += [entry(str(name), value) for name, value in extras.items() if name not in known]
    return rows
