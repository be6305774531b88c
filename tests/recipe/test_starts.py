"""Where a new recipe begins: common practice, nothing dangerous, and hardly outside of any published window."""

from __future__ import annotations

import pytest

from kettleglass.cook.preview import preview
from kettleglass.errors import UnknownName
from kettleglass.materials.catalogue import load_catalogue
from kettleglass.recipe.recipe import LOOKS, PURPOSES
from kettleglass.recipe.starts import starting_recipe
from kettleglass.recipe.work import finder

FIND = finder(load_catalogue().get, {})


@pytest.mark.parametrize("look", LOOKS)
@pytest.mark.parametrize("purpose", PURPOSES)
def test_every_start_can_be_cooked_as_it_stands(purpose: str, look: str) -> None:
    shown = preview(starting_recipe(purpose, look), FIND)
    dangers = {finding.code for finding in shown.findings if finding.level == "danger"}
    assert dangers <= {"free-alkali-chance"}
    assert shown.worked.total_g == pytest.approx(shown.recipe.size.value_g, rel=0.01)


def test_the_clear_start_keeps_to_common_practice() -> None:
    """Common practice, no source: superfat 0 %, 1 part of alkali to 1.4 parts of water."""
    recipe = starting_recipe("base for re-melting", "crystal clear")
    assert recipe.alkali.superfat_percent == 0.0
    assert (recipe.alkali.water.by, recipe.alkali.water.value) == ("ratio", 1.4)
    outside = {j.window.quantity for j in preview(recipe, FIND).judgements if j.position == "outside"}
    assert outside <= {"water", "solvents_per_water", "sugar_per_water", "water_per_soap", "soap"}


def test_a_blank_start_has_no_lines_and_an_unknown_look_is_refused() -> None:
    assert starting_recipe("bar", "tinted", blank=True).lines == ()
    with pytest.raises(UnknownName):
        starting_recipe("bar", "glittering")
