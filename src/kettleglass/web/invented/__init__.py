"""The invented workshop that a first visitor meets: its recipes, each marked as invented."""

from __future__ import annotations

from importlib.resources import files

from kettleglass.recipe.exchange import read_recipe
from kettleglass.workshop import Notebook, list_recipes, save_recipe


def recipe_texts() -> tuple[tuple[str, str], ...]:
    """Name and text of every invented recipe, the last one first in the list of recipes."""
    found = sorted((entry for entry in files(__name__).iterdir() if entry.name.endswith(".toml")), key=lambda e: e.name)
    texts = [entry.read_text(encoding="utf-8") for entry in reversed(found)]
    return tuple((_name(text), text) for text in texts)


def _name(text: str) -> str:
    recipe = read_recipe(text).recipe
    return recipe.name if recipe is not None else "Invented recipe"


def invent(book: Notebook) -> None:
    """Fill an empty book with the invented recipes; a book with anything in it stays as it is."""
    if not list_recipes(book) and not list_recipes(book, removed=True):
        with book.transaction():
            for name, text in recipe_texts():
                save_recipe(book, None, text, name, 0)
