"""Lots and “same as X, but”: a certificate shortens the doubt, mass closes, documents lose nothing."""

from __future__ import annotations

import json
import math
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kettleglass.errors import BadInput, OutOfRange, UnknownName
from kettleglass.materials.catalogue import load_catalogue
from kettleglass.materials.documents import figure_as_dict, figure_from_dict, material_as_dict, material_from_dict
from kettleglass.materials.goods import fat_figures, fat_ids
from kettleglass.materials.lots import (
    Like,
    Lot,
    Measured,
    Price,
    adjusted,
    fat_figures_of,
    like_material,
    lot_from_dict,
    lot_material,
)
from kettleglass.materials.material import Material
from kettleglass.science.saponify import MG_KOH_PER_MOL
from tests.materials.test_fats import equivalents_mol

CATALOGUE = load_catalogue()
FULL = Lot(
    id="shelf-7", material_id="coconut", supplier_lot="A 12/3", supplier="a supplier",
    figures={"saponification_value": Measured(257.0, 1.0)}, acids={"12:0": 48.0, "14:0": 52.0}, traits={"dark": False},
    opened=date(2026, 3, 1), best_before=date(2027, 3, 1), price=Price(31.5, "EUR", 5000.0), note="top shelf",
)  # fmt: skip


def closes(material: Material) -> None:
    assert math.fsum(material.composition.values()) == pytest.approx(1.0, abs=1e-12)
    for doubt in material.doubts:
        assert math.fsum(doubt.direction.values()) == pytest.approx(0.0, abs=1e-12)


def test_a_certificate_moves_the_value_and_shortens_the_doubt() -> None:
    lot = lot_material(Lot("L1", "coconut", "A12", figures={"saponification_value": Measured(257.0, 1.0)}), CATALOGUE)
    closes(lot)
    figure = lot.figures["saponification_value"]
    assert (figure.value, figure.low, figure.high) == (257.0, 256.0, 258.0)
    assert (figure.known, figure.shape, figure.source) == ("maker", "normal", "lot A12")
    assert equivalents_mol(dict(lot.composition)) * MG_KOH_PER_MOL == pytest.approx(257.0, rel=1e-12)
    (doubt,) = lot.doubts
    assert (doubt.key, doubt.agreeing) == ("L1/saponification_value", None)
    assert doubt.label == "saponification value of coconut oil, lot A12"
    before = CATALOGUE.get("coconut").doubts[0].direction
    assert doubt.direction["acyl.12:0"] == pytest.approx(before["acyl.12:0"] * 1.0 / 8.5, rel=1e-9), "±1 of ±8.5"
    assert lot.name == "coconut oil, lot A12"
    assert lot.id == "L1"


@pytest.mark.parametrize("fat_id", fat_ids())
def test_a_lot_that_states_what_is_published_changes_nothing(fat_id: str) -> None:
    base = CATALOGUE.get(fat_id)
    lot = lot_material(Lot("L", fat_id, figures={"saponification_value": Measured(
        base.figures["saponification_value"].value, 1.0)}), CATALOGUE)  # fmt: skip
    for species_id in {*base.composition, *lot.composition}:
        assert lot.composition.get(species_id, 0.0) == pytest.approx(base.composition.get(species_id, 0.0), abs=1e-12)


@pytest.mark.parametrize("fat_id", fat_ids())
def test_a_fat_can_be_read_back_off_its_composition(fat_id: str) -> None:
    fat, read = fat_figures(fat_id), fat_figures_of(CATALOGUE.get(fat_id))
    assert (read.build, read.saponification_value) == (fat.build, fat.saponification_value)
    total = sum(fat.acids.values()) or 1.0
    read_total = sum(read.acids.values()) or 1.0
    assert set(read.acids) == set(fat.acids)
    for acid, share in fat.acids.items():
        assert read.acids[acid] / read_total == pytest.approx(share / total, rel=1e-9)


@given(st.sampled_from(fat_ids()), st.floats(0.85, 1.15), st.floats(0.0, 3.0))
def test_every_lot_of_every_fat_closes(fat_id: str, factor: float, acid_value: float) -> None:
    value = factor * CATALOGUE.get(fat_id).figures["saponification_value"].value
    figures = {"saponification_value": Measured(value, 0.8), "acid_value": Measured(acid_value, 0.1)}
    material = lot_material(Lot("L", fat_id, figures=figures), CATALOGUE)
    closes(material)
    assert equivalents_mol(dict(material.composition)) * MG_KOH_PER_MOL == pytest.approx(value, rel=1e-9)


def test_acid_value_unsaponifiable_and_fatty_acids_can_be_stated_too() -> None:
    figures = {"acid_value": Measured(5.6, 0.2), "unsaponifiable_fraction": Measured(1.2, 0.1, "%")}
    lot = Lot("L", "olive", figures=figures, acids={"18:1n-9": 80.0, "16:0": 20.0},
              traits={"dark": False, "virgin": True})  # fmt: skip
    olive = lot_material(lot, CATALOGUE)
    closes(olive)
    assert olive.composition["unsaponifiable"] == pytest.approx(0.012)
    assert olive.figures["unsaponifiable_fraction"].unit == "g/g"
    free_mol = olive.composition["acid.18:1n-9"] / 282.468 + olive.composition["acid.16:0"] / 256.430
    assert free_mol * 56105.3 == pytest.approx(5.6, rel=1e-4)
    acyls = {species_id for species_id in olive.composition if species_id.startswith("acyl.")}
    assert acyls == {"acyl.18:1n-9", "acyl.16:0", "acyl.residue"}
    assert "dark" not in olive.traits
    assert "virgin" in olive.traits
    published = CATALOGUE.get("olive").doubts[0]
    assert olive.doubts[0].agreeing == published.agreeing, "the published range of the saponification value stays"


def test_a_free_acid_may_state_its_acid_value_alone() -> None:
    lot = lot_material(Lot("L", "stearic_acid_50", figures={"acid_value": Measured(208.0, 0.5)}), CATALOGUE)
    assert lot.figures["saponification_value"].value == 208.0
    assert equivalents_mol(dict(lot.composition)) * MG_KOH_PER_MOL == pytest.approx(208.0, rel=1e-12)


def test_purity_and_strength_move_along_their_doubt() -> None:
    flakes = lot_material(Lot("L", "sodium_hydroxide_flakes", figures={"purity": Measured(98.7, 0.3, "%")}), CATALOGUE)
    closes(flakes)
    assert flakes.share("hydroxide") * 39.997 / 17.007 == pytest.approx(0.987, rel=2e-5)
    assert flakes.figures["purity"].low == pytest.approx(0.984)
    assert flakes.doubts[0].direction["water"] == pytest.approx(-0.003)
    assert flakes.share("carbonate") == CATALOGUE.get("sodium_hydroxide_flakes").share("carbonate")
    spirit = lot_material(Lot("L", "ethanol_95_vol", figures={"strength": Measured(96.0, 0.1)}), CATALOGUE)
    assert 100.0 * spirit.share("ethanol") == pytest.approx(93.84, abs=0.01), "OIML R 22: 96 % vol"
    assert spirit.density_g_ml is not None
    assert spirit.density_g_ml.value == pytest.approx(0.8074, abs=1e-4)
    assert spirit.density_g_ml.low < spirit.density_g_ml.value < spirit.density_g_ml.high
    exact = lot_material(Lot("L", "glycerol", figures={"strength": Measured(99.7, 0.0)}), CATALOGUE)
    assert exact.doubts == ()


def test_any_other_figure_is_taken_as_stated() -> None:
    figures = {"use_limit_percent": Measured(4.5), "flash_point_c": Measured(93.0),
               "density_g_ml": Measured(0.98, 0.01), "carrier": Measured(0.0, 0.0)}  # fmt: skip
    scent = lot_material(Lot("L", "fragrance_oil", figures=figures), CATALOGUE)
    closes(scent)
    assert scent.figures["use_limit_percent"].value == 4.5
    assert scent.density_g_ml is not None
    assert scent.density_g_ml.value == 0.98
    assert scent.share("volatile_other") == pytest.approx(1.0)


def test_an_unstated_plus_minus_is_assumed_and_said() -> None:
    lot = lot_material(Lot("L", "castor", figures={"saponification_value": Measured(180.0)}), CATALOGUE)
    figure = lot.figures["saponification_value"]
    assert (figure.low, figure.high) == (179.0, 181.0)
    assert "assumed" in figure.note


def test_an_opened_jar_of_flakes_may_have_lost_strength() -> None:
    opened = lot_material(Lot("L", "sodium_hydroxide_flakes", opened=date(2026, 1, 2)), CATALOGUE)
    closes(opened)
    assert opened.figures["purity"].low == pytest.approx(0.95)
    assert opened.figures["purity"].value == 0.98
    assert opened.figures["purity"].high == 0.99
    assert opened.doubts[0].direction["water"] == pytest.approx(-0.02)
    certificate = {"purity": Measured(98.0, 0.3, "%")}
    certified = Lot("L", "sodium_hydroxide_flakes", opened=date(2026, 1, 2), figures=certificate)
    assert lot_material(certified, CATALOGUE).figures["purity"].low == pytest.approx(0.977)
    solution = lot_material(Lot("L", "sodium_hydroxide_50", opened=date(2026, 1, 2)), CATALOGUE)
    assert solution.figures["purity"].low == pytest.approx(0.49), "a solution takes up no water"


def test_lots_of_milk_keep_the_doubt_of_its_fat() -> None:
    milk = lot_material(Lot("L", "milk", figures={"fat": Measured(3.8, 0.1)}), CATALOGUE)
    closes(milk)
    assert {doubt.key for doubt in milk.doubts} == {
        "L/fat", "L/milk_fat/saponification_value", "L/sugar_to_acid_fraction"
    }  # fmt: skip


def test_what_cannot_be_is_refused() -> None:
    for figures, message in (
        ({"saponifcation_value": Measured(257.0)}, "saponification_value"),
        ({"purity": Measured(98.0)}, "figure of coconut oil"),
    ):
        with pytest.raises(UnknownName, match=message):
            lot_material(Lot("L", "coconut", figures=figures), CATALOGUE)
    with pytest.raises(UnknownName, match="coconut"):
        lot_material(Lot("L", "cocnut"), CATALOGUE)
    with pytest.raises(BadInput, match="less than nothing"):
        lot_material(Lot("L", "sodium_hydroxide_flakes", figures={"purity": Measured(103.0, 0.1, "%")}), CATALOGUE)
    with pytest.raises(OutOfRange):
        lot_material(Lot("L", "ethanol_95_vol", figures={"strength": Measured(130.0)}), CATALOGUE)
    with pytest.raises(BadInput, match="no fatty acids"):
        lot_material(Lot("L", "glycerol", acids={"12:0": 1.0}), CATALOGUE)
    with pytest.raises(UnknownName, match="fatty acid"):
        lot_material(Lot("L", "coconut", acids={"lauric": 1.0}), CATALOGUE)
    for value in (-1.0, float("nan")):
        with pytest.raises(BadInput, match="number"):
            Measured(value)
    with pytest.raises(BadInput, match="price"):
        Price(1.0, "EUR", 0.0)


def test_a_lot_survives_its_document() -> None:
    again = lot_from_dict(json.loads(json.dumps(FULL.as_dict())))
    assert again == FULL
    assert lot_from_dict(Lot("a", "coconut").as_dict()) == Lot("a", "coconut")
    assert FULL.price is not None
    assert FULL.price.per_kg == pytest.approx(6.3)
    assert lot_material(again, CATALOGUE) == lot_material(FULL, CATALOGUE)
    with pytest.raises(BadInput):
        lot_from_dict({"id": "x"})
    for broken in ({"opened": "yesterday"}, {"colour": 1}, {"figures": {"a": {"value": -1}}}, {"price": {"amount": 1}}):
        with pytest.raises(BadInput):
            lot_from_dict(FULL.as_dict() | broken)


@pytest.mark.parametrize("material", CATALOGUE.materials, ids=lambda material: material.id)
def test_a_material_survives_its_document(material: Material) -> None:
    assert material_from_dict(json.loads(json.dumps(material_as_dict(material)))) == material


def test_documents_that_are_none_are_refused() -> None:
    sound = material_as_dict(CATALOGUE.get("castor"))
    figure = sound["figures"]["saponification_value"]
    assert figure_as_dict(figure_from_dict(figure)) == figure
    for broken in (
        {}, {**sound, "schema": 99}, {**sound, "schema": "1"}, {**sound, "colour": "red"},
        {**sound, "composition": None}, {**sound, "doubts": [{}]}, {**sound, "figures": {"a": {"value": 1}}},
        {**sound, "composition": {"water": 0.5}},
        {key: value for key, value in sound.items() if key != "name"},
    ):  # fmt: skip
        with pytest.raises(BadInput):
            material_from_dict(broken)


def test_same_as_but_is_a_material_of_its_own() -> None:
    mine = like_material(
        Like("village-olive", "Village olive oil", "olive", {"saponification_value": Measured(189.0, 1.5)},
             traits={"dark": True}, aliases=("aunt's oil",), note="first press"), CATALOGUE,
    )  # fmt: skip
    assert (mine.id, mine.name, mine.kind) == ("village-olive", "Village olive oil", "fat")
    assert mine.doubts[0].label == "saponification value of Village olive oil"
    assert mine.names == CATALOGUE.get("olive").names
    assert mine.note.startswith("first press")
    wider = CATALOGUE.with_own([mine])
    assert wider.find("aunts oil")[0].id == "village-olive"
    lot = Lot("L9", "village-olive", "9", figures={"saponification_value": Measured(190.0, 1.0)})
    second = lot_material(lot, wider)
    assert second.figures["saponification_value"].value == 190.0, "a lot of the maker's own material"


def test_adjusting_nothing_changes_nothing_but_names() -> None:
    base = CATALOGUE.get("honey")
    again = adjusted(base, {}, key="honey", name=base.name)
    assert again == base
