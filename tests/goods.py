"""A handful of materials made up for tests, so that the laws of solving do not rest on the catalogue."""

from __future__ import annotations

from collections.abc import Mapping

from kettleglass.errors import UnknownName
from kettleglass.materials.fats import Build, FatFigures, composition_at, saponification_doubt
from kettleglass.materials.figure import Figure, exact
from kettleglass.materials.material import Doubt, Kind, Material, swap_direction
from kettleglass.recipe.recipe import SOLVE, Amount, Line, Recipe, Stage, WeighingScale
from kettleglass.science.species import ATOMIC_WEIGHT

SOURCE = "made up for tests"


def _fat(fat_id: str, low: float, high: float, acids: Mapping[str, float], build: Build = "triglyceride") -> Material:
    figure = Figure(0.5 * (low + high), low, high, "mg KOH/g", SOURCE, "read")
    fat = FatFigures(build, figure, None, None, acids, {})
    doubt = saponification_doubt(fat, fat_id, fat_id)
    kind: Kind = "fat" if build == "triglyceride" else "fatty acid"
    return Material(fat_id, fat_id, kind, composition_at(fat, figure.value), (doubt,) if doubt else (),
                    {"saponification_value": figure})  # fmt: skip


def _lye(lye_id: str, metal: str, cation: str, low: float, high: float) -> Material:
    hydroxide = ATOMIC_WEIGHT["O"] + ATOMIC_WEIGHT["H"]
    whole = ATOMIC_WEIGHT[metal] + hydroxide
    pure = {cation: ATOMIC_WEIGHT[metal] / whole, "hydroxide": hydroxide / whole}
    middle, half = 0.5 * (low + high), 0.5 * (high - low)
    composition = {name: middle * share for name, share in pure.items()} | {"water": 1.0 - middle}
    figure = Figure(middle, low, high, "g/g", SOURCE, "read")
    doubt = Doubt(f"{lye_id}/purity", f"purity of {lye_id}", swap_direction({"water": 1.0}, pure, half), figure)
    return Material(lye_id, lye_id, "alkali", composition, (doubt,), {"purity": figure})


def _plain(
    material_id: str, kind: Kind, composition: Mapping[str, float], density_g_ml: float | None = None
) -> Material:
    density = None if density_g_ml is None else exact(density_g_ml, "g/mL", SOURCE)
    return Material(material_id, material_id, kind, composition, density_g_ml=density)


GOODS: dict[str, Material] = {
    material.id: material
    for material in (
        _fat("coconut", 248, 265, {"8:0": 7, "10:0": 6.5, "12:0": 49, "14:0": 19, "16:0": 9, "18:0": 3, "18:1n-9": 7}),
        _fat("palm", 190, 209, {"16:0": 44, "18:0": 5, "18:1n-9": 40, "18:2n-6": 11}),
        _fat("castor", 176, 182, {"18:1-OH": 89, "18:1n-9": 4, "18:2n-6": 4, "16:0": 2, "18:0": 1}),
        _fat("stearic", 207, 212, {"16:0": 55, "18:0": 45}, "free acid"),
        _lye("soda", "Na", "sodium", 0.97, 0.99),
        _lye("potash", "K", "potassium", 0.88, 0.92),
        _lye("soda_50", "Na", "sodium", 0.495, 0.505),
        _plain("water", "water", {"water": 1.0}, 0.998),
        _plain("spirit", "spirit", {"ethanol": 0.924, "water": 0.076}, 0.812),
        _plain("glycerol", "polyol", {"glycerol": 0.995, "water": 0.005}),
        _plain("syrup", "sugar", {"sucrose": 2 / 3, "water": 1 / 3}),
        _plain("citric", "acid", {"citric_acid": 1.0}),
        _plain("amine", "amine", {"triethanolamine": 1.0}),
    )
}


def find(line: Line) -> Material:
    """The test material of a line."""
    if line.material_id not in GOODS:
        raise UnknownName("material", line.material_id, GOODS)
    return GOODS[line.material_id]


def line(key: str, amount: Amount | float, stage: Stage, share: float | None = None) -> Line:
    """A line whose key names its material (up to a slash, so that a material can come twice)."""
    wanted = amount if isinstance(amount, Amount) else Amount(amount)
    return Line(key, key.split("/", maxsplit=1)[0], wanted, stage, share=share)


DEMO = Recipe(
    "demo",
    (
        line("coconut", 200, "fats"), line("stearic", 140, "fats"), line("castor", 60, "fats"),
        line("soda", SOLVE, "lye"), line("water", SOLVE, "lye"), line("spirit", 150, "clear"),
        line("glycerol", 60, "clear"), line("syrup", 165, "syrup"),
    ),
    scale=WeighingScale(1.0, 0.01),
)  # fmt: skip
