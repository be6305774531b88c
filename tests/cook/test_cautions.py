"""Which lines can hurt, which cautions follow, and the published limits for keeping alcohol."""

from __future__ import annotations

from dataclasses import replace

from kettleglass.cook.cautions import DEFERS, STORAGE, cautions_at, hurtful_of
from kettleglass.cook.samples import COOLED_SAMPLE, DRYING, FILM, FREE_ALKALI, SAMPLE_TESTS
from kettleglass.materials.material import Material
from kettleglass.recipe.method import ALCOHOL_CODES, CAUTION, LYE_CODES
from kettleglass.recipe.recipe import Line, MethodStep, Recipe
from kettleglass.recipe.work import Worked, work_out
from tests.goods import DEMO, find, line

EXTRA = {
    "tincture": Material("tincture", "tincture", "mixture", {"ethanol": 0.4, "water": 0.6}),
    "rose": Material("rose", "rose water", "mixture", {"ethanol": 0.005, "water": 0.995}),
    "glycol": Material("glycol", "propylene glycol", "polyol", {"propylene_glycol": 1.0}),
}


def find_extra(wanted: Line) -> Material:
    return EXTRA.get(wanted.material_id) or find(wanted)


def worked(recipe: Recipe) -> Worked:
    return work_out(recipe, find_extra, random_pots=False)


def test_alcohol_and_alkali_are_found_by_what_the_lines_hold() -> None:
    more = replace(DEMO, lines=(*DEMO.lines, line("tincture", 20.0, "finish"), line("rose", 20.0, "finish"),
                                line("soda/drop", 2.0, "finish"), line("spirit/none", 0.0, "clear")))  # fmt: skip
    hurtful = hurtful_of(worked(more))
    assert hurtful.alcohol == {"spirit", "tincture"}
    assert hurtful.caustic == {"soda", "soda/drop"}


def test_a_tincture_at_the_end_is_hot_alcohol_too() -> None:
    dry = tuple(one for one in DEMO.lines if one.key != "spirit")
    method = (MethodStep("cook", "paste", 80.0, 30.0), MethodStep("scent", "finish", 70.0, 5.0, covered=False))
    late = worked(replace(DEMO, lines=(*dry, line("tincture", 20.0, "finish")), method=method))
    first, last = cautions_at(method, late)
    assert {CAUTION[code] for code in LYE_CODES} <= set(first)
    assert {CAUTION[code] for code in ALCOHOL_CODES} <= set(last)
    assert not {CAUTION[code] for code in ALCOHOL_CODES} & set(first)


def test_glycols_alone_are_no_alcohol() -> None:
    opaque = worked(replace(DEMO, lines=(*(one for one in DEMO.lines if one.stage in ("fats", "lye")),
                                         line("glycol", 60.0, "clear"))))  # fmt: skip
    method = (MethodStep("all", "clear", 80.0, 30.0),)
    assert not {one.code for one in cautions_at(method, opaque)[0]} & set(ALCOHOL_CODES)


def test_what_must_be_said_of_fire_is_said() -> None:
    """Class B by the sections 5 of data sheets for ethanol (H225); a metre's zone is common practice."""
    zone, extinguisher, vessel = (
        CAUTION[code].text for code in ("alcohol-zone", "alcohol-extinguisher", "alcohol-vessel")
    )
    for word in ("flame", "hot plate element", "sparking switch", "plugged-in device", "a metre", "average"):
        assert word in zone
    for word in ("class B", "dry powder", "CO2", "alcohol-resistant foam", "lid", "blanket", "never a water jet"):
        assert word in extinguisher
    assert "sealed" in vessel and "tightly wrapped" in vessel and "electric pads" in vessel
    spray = CAUTION["alcohol-spray"].text
    assert "covered and skim" in spray and "weighed" in spray


def test_storage_limits_have_their_citations_and_defer() -> None:
    """29 CFR 1910.106 (2015): 60 gallons in a cabinet, 1 quart of glass; 1 US gallon is 3.785 L."""
    federal = next(one for one in STORAGE if "1910.106" in one.source)
    assert f"60 gallons ({60 * 3.785:.0f} L)" in federal.says and f"120 gallons ({120 * 3.785:.0f} L)" in federal.says
    assert any("DSEAR" in one.source and "50 L" in one.says and "110 %" in one.says for one in STORAGE)
    assert any("recalled" in one.source for one in STORAGE), "what was not read is marked"
    assert "Local codes and licensed practice come first" in DEFERS


def test_each_test_has_results_with_a_meaning_and_a_source() -> None:
    for one in SAMPLE_TESTS.values():
        assert len(one.results) >= 2
        assert all(result.means and result.do and result.source for result in one.results)
        assert any(result.verdict == "go on" for result in one.results)
        assert any(result.verdict != "go on" for result in one.results)


def test_the_cooled_sample_is_read_as_in_the_old_books() -> None:
    """Thomssen 1922: not clear wants alcohol. Simmons & Appleton 1908: firm but opaque wants syrup, soft but clear has
    too much water, greasy is not saponified."""
    read = {result.seen: (result.means, result.source) for result in COOLED_SAMPLE.results}
    assert read["clear and firm"][0] == "ready"
    assert "alcohol" in read["not clear"][0] and "Thomssen 1922" in read["not clear"][1]
    assert "syrup" in read["firm but opaque"][0] and "1908" in read["firm but opaque"][1]
    assert "too much water" in read["soft but clear"][0] and "1908" in read["soft but clear"][1]
    assert "not saponified" in read["greasy, or soft and cloudy"][0]


def test_the_film_and_drying_are_two_tests() -> None:
    assert "also means drying" in FILM.not_this
    assert FILM.code != DRYING.code and "Weigh" in DRYING.how and "Another test" in DRYING.not_this


def test_the_gate_is_passed_by_chemistry_never_by_mouth_nor_by_ph() -> None:
    assert "phenolphthalein" in FREE_ALKALI.how and "titrate" in FREE_ALKALI.how
    assert "pH does not measure free caustic" in FREE_ALKALI.not_this and "Never by mouth" in FREE_ALKALI.not_this
