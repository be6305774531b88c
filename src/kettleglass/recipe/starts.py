"""Where a new recipe begins: sensible lines for a purpose and a look, to be changed at will.

The clear start keeps to common practice (no source): superfat 0 %, a lye of 1:1.4, since the syrup brings water of its
own. Its fats (45 % palm, 40 % coconut, 15 % castor) and solvents lie inside the published windows that apply, but for
the water of the charges of 1922. What a translucent and an opaque base leave out (sugar, half of the alcohol) is common
practice, no source. None of them has been cooked.
"""

from __future__ import annotations

from dataclasses import dataclass

from kettleglass.recipe.place import one_of
from kettleglass.recipe.recipe import (
    LOOKS,
    PURPOSES,
    SOLVE,
    AlkaliPlan,
    Amount,
    BatchSize,
    By,
    Line,
    Look,
    LyeWater,
    Purpose,
    Recipe,
    Stage,
    WeighingScale,
)


@dataclass(frozen=True, slots=True)
class Start:
    """A way to begin: its look, and what it is in a sentence."""

    look: Look
    says: str


STARTS: tuple[Start, ...] = (
    Start("crystal clear", "Palm, coconut and castor with spirit, glycerol and sugar syrup."),
    Start("tinted", "As the clear one; dye goes in under Finishing."),
    Start("translucent", "As the clear one with less spirit and syrup."),
    Start("opaque white", "Palm, coconut and stearic acid with propylene glycol, no sugar."),
)
"""One start a look."""
_SIZE_G: dict[Purpose, float] = {
    "bar": 1000.0,
    "base for re-melting": 1000.0,
    "embed": 250.0,
    "first clear base": 500.0,
}

_Row = tuple[str, str, float, By, Stage]
_CLEAR: tuple[_Row, ...] = (
    ("palm", "palm", 45.0, "% of fats", "fats"),
    ("coconut", "coconut", 40.0, "% of fats", "fats"),
    ("castor", "castor", 15.0, "% of fats", "fats"),
    ("spirit", "ethanol_95_vol", 13.5, "% of whole", "clear"),
    ("glycerol", "glycerol", 4.0, "% of whole", "clear"),
    ("syrup", "syrup_2_1", 17.0, "% of whole", "syrup"),
)
_ROWS: dict[Look, tuple[_Row, ...]] = {
    "crystal clear": _CLEAR,
    "tinted": _CLEAR,
    "translucent": (
        *_CLEAR[:3],
        ("spirit", "ethanol_95_vol", 8.0, "% of whole", "clear"),
        ("glycerol", "glycerol", 6.0, "% of whole", "clear"),
        ("syrup", "syrup_2_1", 10.0, "% of whole", "syrup"),
    ),
    "opaque white": (
        ("palm", "palm", 45.0, "% of fats", "fats"),
        ("coconut", "coconut", 40.0, "% of fats", "fats"),
        ("stearic", "stearic_acid_triple_pressed", 15.0, "% of fats", "fats"),
        ("propylene glycol", "propylene_glycol", 12.0, "% of whole", "clear"),
        ("glycerol", "glycerol", 10.0, "% of whole", "clear"),
        ("white", "titanium_dioxide", 0.4, "% of whole", "finish"),
    ),
}


def starting_recipe(purpose: str, look: str, *, blank: bool = False) -> Recipe:
    """A recipe to begin with; `blank` leaves out all lines. Raises `UnknownName` for another purpose or look."""
    one_of("purpose", purpose, PURPOSES)
    one_of("look", look, LOOKS)
    known_purpose = next(one for one in PURPOSES if one == purpose)
    known_look = next(one for one in LOOKS if one == look)
    name = f"{purpose[:1].upper()}{purpose[1:]}, {look}"
    if blank:
        return Recipe(name, purpose=known_purpose, look=known_look)
    return Recipe(
        name, _lines(known_look), purpose=known_purpose, look=known_look,
        alkali=AlkaliPlan(1.0, water=LyeWater(2.0)) if known_look == "opaque white" else AlkaliPlan(),
        size=BatchSize("whole", _SIZE_G[known_purpose]), scale=WeighingScale(1.0, 0.1),
    )  # fmt: skip


def _lines(look: Look) -> tuple[Line, ...]:
    rows = [Line(key, material, Amount(value, by), stage) for key, material, value, by, stage in _ROWS[look]]
    fats = [line for line in rows if line.stage == "fats"]
    lye = [
        Line("lye", "sodium_hydroxide_flakes", SOLVE, "lye"),
        Line("lye water", "water_distilled", SOLVE, "lye"),
    ]
    return (*fats, *lye, *(line for line in rows if line.stage != "fats"))
