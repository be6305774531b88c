"""The program against three pots worked by hand, every species to 0.01 g (docs/hand-calculation.md)."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from kettleglass.materials import Material
from kettleglass.materials.catalogue import load_catalogue
from kettleglass.recipe.published import published_bases
from kettleglass.recipe.recipe import SOLVE, Amount, Line, Recipe
from kettleglass.recipe.sheet import charge_sheet, cook
from kettleglass.recipe.solve import solve
from kettleglass.science import pot as pots

DOC = Path(__file__).parents[2] / "docs" / "hand-calculation.md"
TOLERANCE_G = 0.0101
"""0.01 g, and half of the last digit that the document prints."""


def by_hand(heading: str) -> dict[str, float]:
    """The table of species under a heading of the document."""
    section = DOC.read_text(encoding="utf-8").split(f"## {heading}")[1].split("\n## ")[0]
    return {species: float(grams) for species, grams in re.findall(r"\| `(.+?)` \| (-?[\d.]+) \|", section)}


def find(line: Line) -> Material:
    return load_catalogue().get(line.material_id)


def grams(recipe: Recipe) -> tuple[dict[str, float], dict[str, float]]:
    """Weights by line key, and the species of the pot, before any rounding."""
    solved = solve(recipe, charge_sheet(recipe, find))
    pot = cook(solved.sheet, solved.masses_g)
    return dict(zip(solved.sheet.keys, solved.masses_g.tolist(), strict=True)), solved.sheet.basis.as_dict(pot)


def assert_same(program: dict[str, float], hand: dict[str, float]) -> None:
    for species in sorted({*program, *hand}):
        assert program.get(species, 0.0) == pytest.approx(hand.get(species, 0.0), abs=TOLERANCE_G), species


def added(key: str, mass_g: float, stage: str, material: str = "") -> Line:
    return Line(key, material or key, Amount(mass_g), stage)  # type: ignore[arg-type]


def test_the_demo_base() -> None:
    recipe = Recipe(
        "demo",
        (
            added("coconut", 200, "fats"),
            added("stearic_acid_triple_pressed", 140, "fats"),
            added("castor", 60, "fats"),
            Line("lye", "sodium_hydroxide_flakes", SOLVE, "lye"),
            Line("water", "water", SOLVE, "lye"),
            added("ethanol_95_vol", 150, "clear"),
            added("glycerol", 60, "clear"),
            added("syrup_2_1", 165, "syrup"),
        ),
    )
    weights, species = grams(recipe)
    assert weights["lye"] == pytest.approx(66.4659, abs=1e-3)
    assert weights["water"] == pytest.approx(90.1942, abs=1e-3)
    assert_same(species, by_hand("1. The demo base"))


def test_a_worked_charge_of_1922() -> None:
    """Thomssen, Soap-Making Manual (1922): +0.6 to 1.4 % NaOH beyond what the fats take up."""
    base = next(base for base in published_bases() if base.id == "THO22-TYP")
    assert_same(base.basis.as_dict(base.reacted), by_hand("2. A worked charge of 1922"))
    free = float(pots.alkali_balance_mol(base.basis, base.reacted)) * 39.9968 / float(base.reacted.sum())
    assert 100 * free == pytest.approx(0.64, abs=0.03)


def test_soda_potash_and_triethanolamine() -> None:
    recipe = Recipe(
        "three alkalis",
        (
            added("palm", 100, "fats"),
            added("coconut", 200, "fats"),
            added("castor", 60, "fats"),
            added("sunflower_high_oleic", 40, "fats"),
            Line("soda", "sodium_hydroxide_flakes", SOLVE, "lye", share=0.8),
            Line("potash", "potassium_hydroxide_flakes", SOLVE, "lye", share=0.2),
            Line("water", "water", SOLVE, "lye"),
            added("stearic_acid_triple_pressed", 40, "clear"),
            added("triethanolamine", 25, "clear"),
            added("citric_acid", 3, "clear"),
        ),
    )
    weights, species = grams(recipe)
    hand = by_hand("3. Soda, potash and triethanolamine")
    assert_same(species, hand)
    assert weights["soda"] / weights["potash"] == pytest.approx(0.8 / 0.2 * 39.9968 / 56.1053 * 0.90 / 0.98, rel=1e-4)
