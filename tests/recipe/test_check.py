"""What to mind: each remark speaks up when it should, and stays silent when it should not."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kettleglass.errors import Finding, UnknownName
from kettleglass.materials.figure import Figure, exact
from kettleglass.materials.material import Material
from kettleglass.recipe.check import what_to_mind
from kettleglass.recipe.recipe import SOLVE, AlkaliPlan, Kettle, Line, LyeWater, Recipe, WeighingScale
from kettleglass.recipe.work import work_out
from tests.goods import DEMO, GOODS, find, line

EXTRA = {
    "olive": replace(GOODS["palm"], id="olive", name="olive oil", traits=frozenset({"dark"})),
    "nitrite": Material(
        "nitrite", "a nitrite preservative", "salt", {"salt_other": 1.0}, traits=frozenset({"nitrosating"})
    ),
    "wood_spirit": Material(
        "wood_spirit",
        "hardware-store spirit",
        "spirit",
        {"methanol": 0.5, "ethanol": 0.5},
        traits=frozenset({"unsuitable"}),
    ),
    "ipa": Material("ipa", "propan-2-ol", "spirit", {"propan_2_ol": 1.0}),
    "salt": Material("salt", "salt", "salt", {"sodium": 0.3934, "chloride": 0.6066}),
    "recalled": replace(
        GOODS["castor"],
        id="recalled",
        figures={"saponification_value": Figure(179, 176, 182, "mg KOH/g", "recalled", "memory")},
    ),
    "scent": Material(
        "scent",
        "scent",
        "fragrance",
        {"volatile_other": 1.0},
        figures={"use_limit_percent": exact(1.0, "%", "its supplier")},
    ),
    "distilled": Material("distilled", "distilled water", "water", {"water": 1.0}, traits=frozenset({"soft"})),
    "honey": Material(
        "honey",
        "honey",
        "mixture",
        {"hexoses": 0.8, "water": 0.2},
        remarks=(Finding("note", "browns", "Honey browns in lye.", "Expect amber."),),
    ),
}


def find_extra(wanted: Line) -> Material:
    return EXTRA[wanted.material_id] if wanted.material_id in EXTRA else find(wanted)


def codes(recipe: Recipe) -> dict[str, Finding]:
    return {finding.code: finding for finding in what_to_mind(work_out(recipe, find_extra))}


def plus(*lines: Line) -> Recipe:
    return replace(DEMO, lines=(*DEMO.lines, *lines))


def water(value: float, by: str) -> Recipe:
    return replace(DEMO, alkali=AlkaliPlan(water=LyeWater(value, by)))  # type: ignore[arg-type]


ALUMINIUM = replace(DEMO, kettle=Kettle(metal="aluminium"))
SPOKEN: dict[str, Recipe] = {
    "lye-not-soluble": water(0.56, "strength"),
    "water-under-lye": water(0.51, "strength"),
    "lye-near-limit": water(0.48, "strength"),
    "free-alkali-chance": DEMO,
    "negative-superfat": replace(DEMO, alkali=AlkaliPlan(-2.0)),
    "free-fat-clouds": replace(DEMO, alkali=AlkaliPlan(3.0)),
    "no-lye": replace(DEMO, lines=DEMO.lines[:3]),
    "too-much-water": water(5.0, "ratio"),
    "methanol": plus(line("wood_spirit", 50, "clear")),
    "unsuitable-spirit": plus(line("wood_spirit", 50, "clear")),
    "hot-alcohol": DEMO,
    "aluminium": ALUMINIUM,
    "nitrosating": plus(line("amine", 5, "clear"), line("nitrite", 1, "finish")),
    "kettle-full": replace(DEMO, kettle=Kettle(inner_diameter_mm=100, height_mm=130)),
    "above-use-limit": plus(line("scent", 30, "finish")),
    "dark-fats": plus(line("olive", 50, "fats")),
    "salts-cloud": plus(line("salt", 30, "finish")),
    "hard-water": replace(DEMO, water_hardness_mg_l=300.0),
    "propan-2-ol": plus(line("ipa", 100, "clear")),
    "solvents-missing": replace(DEMO, lines=DEMO.lines[:6]),
    "opaque-sugar": replace(DEMO, look="opaque white"),
    "from-memory": plus(line("recalled", 40, "fats")),
    "browns": plus(line("honey", 40, "syrup")),
    "below-scale": replace(plus(line("citric", 2, "finish")), scale=WeighingScale(1.0)),
    "free-alkali-measured": replace(DEMO, measured_free_alkali_percent=0.3),
    "titrated-with-amine": replace(plus(line("amine", 5, "clear")), measured_free_alkali_percent=0.02),
    "unknown-material": plus(line("no such thing", 5, "finish")),
    "lye-stronger-than-stock": replace(
        DEMO,
        lines=(*DEMO.lines[:3], line("soda_50", SOLVE, "lye"), *DEMO.lines[4:]),
        alkali=AlkaliPlan(water=LyeWater(0.6, "strength")),
    ),
}


@pytest.mark.parametrize("code", SPOKEN)
def test_it_is_said(code: str) -> None:
    finding = codes(SPOKEN[code])[code]
    assert finding.text.endswith((".", "?")) and finding.advice, "what is so, then what to do"


SILENT: dict[str, Recipe] = {
    "hard-water": replace(
        DEMO, lines=(*DEMO.lines[:4], line("distilled", SOLVE, "lye"), *DEMO.lines[5:]), water_hardness_mg_l=300.0
    ),
    "hot-alcohol": replace(DEMO, lines=DEMO.lines[:5]),
    "dark-fats": replace(plus(line("olive", 50, "fats")), look="tinted"),
    "free-fat-clouds": replace(DEMO, alkali=AlkaliPlan(3.0), look="opaque white"),
    "solvents-missing": replace(DEMO, lines=DEMO.lines[:5], look="opaque white"),
    "too-much-water": replace(water(5.0, "ratio"), look="opaque white"),
    "salts-cloud": replace(plus(line("salt", 30, "finish")), look="opaque white"),
    "propan-2-ol": replace(plus(line("ipa", 100, "clear")), look="opaque white"),
    "free-alkali-chance": replace(DEMO, measured_free_alkali_percent=0.02),
    "lye-near-limit": DEMO,
    "kettle-full": DEMO,
    "from-memory": DEMO,
    "opaque-sugar": DEMO,
    "no-lye": Recipe("empty"),
}


@pytest.mark.parametrize("code", SILENT)
def test_it_is_not_said(code: str) -> None:
    assert code not in codes(SILENT[code])


def test_propan_2_ol_is_a_mere_note_in_an_embed() -> None:
    recipe = SPOKEN["propan-2-ol"]
    assert codes(recipe)["propan-2-ol"].level == "caution"
    assert codes(replace(recipe, purpose="embed"))["propan-2-ol"].level == "note"


def test_the_most_serious_comes_first() -> None:
    levels = [finding.level for finding in what_to_mind(work_out(ALUMINIUM, find))]
    assert levels == sorted(levels, key=["danger", "caution", "note"].index)


def test_free_alkali_comes_with_its_cure() -> None:
    finding = codes(replace(DEMO, scale=WeighingScale(1.0, 0.01)))["free-alkali-chance"]
    assert "Three pots in ten" in finding.text
    assert "Test the paste before the solvents" in finding.advice
    assert "superfat" in finding.advice


def test_an_empty_recipe_is_worked_out_quietly() -> None:
    worked = work_out(Recipe("empty"), find)
    assert worked.total_g == 0.0
    assert worked.sure is None
    assert what_to_mind(worked) == ()


def test_a_line_that_is_not_known_is_left_out_and_the_rest_stays() -> None:
    worked = work_out(SPOKEN["unknown-material"], find)
    assert worked.total_g == pytest.approx(work_out(DEMO, find).total_g)
    with pytest.raises(UnknownName, match="no such thing"):
        find(line("no such thing", 1, "finish"))
