"""What a recipe file takes from its maker: materials and lots of their own, and what their weighed kettles taught."""

from __future__ import annotations

from kettleglass.cook.around import Learnt
from kettleglass.materials.catalogue import load_catalogue
from kettleglass.recipe.recipe import Recipe
from kettleglass.recipe.sheet import Find
from kettleglass.recipe.work import finder
from kettleglass.settings import OWN_BOOK, load_settings


def shelf(recipe: Recipe) -> Find:
    """How to find the materials of a recipe; the book is opened only for a lot or a material of the maker's own."""
    catalogue = load_catalogue()
    if all(line.lot_id is None and line.material_id in catalogue for line in recipe.lines):
        return finder(catalogue.get, {})
    path = load_settings().home / OWN_BOOK
    if not path.exists():
        return finder(catalogue.get, {})
    from kettleglass.workshop import Notebook, utc_now
    from kettleglass.workshop.shelf import stock_of

    with Notebook.open(path, clock=utc_now, who="") as book:
        return stock_of(book, catalogue).find


def learnt(recipe: Recipe) -> Learnt:
    """What the weighings of this kettle in this place have taught; nothing where there is no book."""
    path = load_settings().home / OWN_BOOK
    if not path.exists():
        return Learnt()
    from kettleglass.cook.weighed import learnt_from
    from kettleglass.workshop import Notebook, utc_now
    from kettleglass.workshop.kettles import kettle_weighings

    with Notebook.open(path, clock=utc_now, who="") as book:
        kept = kettle_weighings(book).of(recipe.kettle.name, recipe.place.name)
    return learnt_from(one.weighing for one in kept)
