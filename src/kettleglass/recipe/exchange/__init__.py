"""A recipe as a text file to keep and hand on (TOML, layout described in docs/recipe-file.md), and back."""

from kettleglass.recipe.exchange.quantities import amount_text, parse_amount
from kettleglass.recipe.exchange.reading import ReadResult, read_recipe
from kettleglass.recipe.exchange.schema import SECTIONS, FieldRule, Section, json_schema
from kettleglass.recipe.exchange.writing import write_recipe

__all__ = [
    "SECTIONS", "FieldRule", "ReadResult", "Section", "amount_text", "json_schema", "parse_amount", "read_recipe",
    "write_recipe",
]  # fmt: skip
