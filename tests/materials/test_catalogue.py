"""The catalogue: everything loads, closes, carries its names and doubts, and is found by what people call it."""

from __future__ import annotations

import math
import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kettleglass.errors import Ambiguous, BadInput, UnknownName
from kettleglass.materials.bibliography import bibliography
from kettleglass.materials.catalogue import Catalogue, load_catalogue
from kettleglass.materials.fats import RESIDUE_LIMIT, residue_fraction
from kettleglass.materials.goods.denatured import denatured_ids
from kettleglass.materials.goods.parts import mass_fraction, parts_of
from kettleglass.materials.material import LabelNames, Material
from kettleglass.materials.tables import read_table
from kettleglass.science import pot as pots
from kettleglass.science.basis import acids_in, basis_for
from kettleglass.science.species import PLAIN

CATALOGUE = load_catalogue()
PLAIN_IDS = {species.id for species in PLAIN}
EVERY = pytest.mark.parametrize("material", CATALOGUE.materials, ids=lambda material: material.id)


@EVERY
def test_mass_and_charge_close_in_every_material_and_every_doubt(material: Material) -> None:
    assert math.fsum(material.composition.values()) == pytest.approx(1.0, abs=1e-12)
    assert all(species_id in PLAIN_IDS or acids_in([species_id]) for species_id in material.composition)
    basis = basis_for(acids_in(material.composition))
    pot = basis.vector(material.composition)
    assert float(pots.charge_balance_mol(basis, pot)) == pytest.approx(0.0, abs=1e-12)
    assert min(share for sid, share in material.composition.items() if not sid.endswith("residue")) >= 0.0
    for doubt in material.doubts:
        direction = basis_for(acids_in({**material.composition, **doubt.direction})).vector(doubt.direction)
        assert math.fsum(doubt.direction.values()) == pytest.approx(0.0, abs=1e-12)
        assert abs(direction).max() > 0.0
        assert doubt.key.startswith(f"{material.id}/")
        for z in (-1.0, 1.0):
            step = z - doubt.figure.z_nominal
            moved = {sid: material.composition.get(sid, 0.0) + step * grams for sid, grams in doubt.direction.items()}
            assert all(share > -1e-9 for sid, share in moved.items() if not sid.endswith("residue")), (doubt.key, z)


@EVERY
def test_figures_name_their_source(material: Material) -> None:
    figures = [*material.figures.values(), *([material.density_g_ml] if material.density_g_ml else [])]
    for figure in figures:
        assert figure.source_key in bibliography(), figure
        assert figure.source.startswith(bibliography()[figure.source_key].short), figure
    assert material.density_g_ml is None or 0.7 < material.density_g_ml.value < 1.6


def test_all_fats_and_the_goods_of_the_trade_are_there() -> None:
    assert len(CATALOGUE.of_kind("fat", "fatty acid")) == 60
    for material_id in (
        "sodium_hydroxide_flakes", "sodium_hydroxide_pearls", "sodium_hydroxide_50", "sodium_hydroxide_32",
        "potassium_hydroxide_flakes", "potassium_hydroxide_45", "potassium_hydroxide_50", "triethanolamine",
        "triethanolamine_85", "water", "water_distilled", "ethanol_96_vol", "ethanol_95_vol", "propan_2_ol_99_vol",
        "propan_2_ol_91_vol", "propan_2_ol_70_vol", "glycerol", "glycerol_86", "propylene_glycol",
        "dipropylene_glycol", "sorbitol_70", "sucrose", "syrup_2_1", "syrup_1_1", "invert_syrup", "honey", "milk",
        "beer", "citric_acid", "citric_acid_monohydrate", "lactic_acid_80", "lactic_acid_88", "tetrasodium_edta",
        "tetrasodium_etidronate", "sodium_gluconate", "sodium_citrate_dihydrate", "sodium_chloride",
        "sodium_lactate_60", "titanium_dioxide", "zinc_oxide", "fragrance_oil", "essential_oil", "bronopol",
        "dye_stock", "acid_violet_43",
    ):  # fmt: skip
        assert CATALOGUE.get(material_id).id == material_id
        assert material_id in CATALOGUE
    assert len(CATALOGUE) == sum(len(materials) for materials in CATALOGUE.by_kind().values()) > 150
    assert next(iter(CATALOGUE)).id == "coconut"


@pytest.mark.parametrize(
    ("material_id", "cation", "grams_of_alkali", "low", "high"),
    [
        ("sodium_hydroxide_flakes", "sodium", 0.98, 0.97, 0.99),
        ("sodium_hydroxide_pearls", "sodium", 0.99, 0.985, 0.995),
        ("sodium_hydroxide_50", "sodium", 0.5, 0.49, 0.51),
        ("potassium_hydroxide_flakes", "potassium", 0.9, 0.88, 0.92),
    ],
)
def test_lye_counts_its_alkali_its_water_and_its_carbonate(
    material_id: str, cation: str, grams_of_alkali: float, low: float, high: float
) -> None:
    material = CATALOGUE.get(material_id)
    whole = {"sodium": 39.997, "potassium": 56.106}[cation]
    assert material.share("hydroxide") * whole / 17.007 == pytest.approx(grams_of_alkali, rel=2e-5)
    purity = material.figures["purity"]
    assert (purity.value, purity.low, purity.high, purity.unit) == (grams_of_alkali, low, high, "g/g")
    assert 0.0 < material.share("carbonate") < 0.005
    assert material.share("water") > 0.0
    assert "caustic" in material.traits


def test_strengths_become_masses() -> None:
    # OIML R 22: 95 % vol is 92.41 % mass, 96 % vol 93.84 %; 27 CFR 30.66: 190 proof is 92.42 %
    for material_id, percent in (("ethanol_95_vol", 92.41), ("ethanol_96_vol", 93.84), ("ethanol_190_proof", 92.42)):
        assert 100.0 * CATALOGUE.get(material_id).share("ethanol") == pytest.approx(percent, abs=0.01)
    # a pharmacopoeia product sheet: 70 % (V/V) is about 62.8 % (m/m)
    assert CATALOGUE.get("propan_2_ol_70_vol").share("propan_2_ol") == pytest.approx(0.628, abs=0.001)
    density = CATALOGUE.get("ethanol_96_vol").density_g_ml
    assert density is not None
    assert density.value == pytest.approx(0.8074, abs=1e-4), "OIML R 22"
    syrup = CATALOGUE.get("syrup_1_1").density_g_ml
    assert syrup is not None
    assert syrup.value == pytest.approx(1.2297, abs=5e-4), "CRC Handbook, 50 °Brix: 1229.6 kg/m3"
    with pytest.raises(BadInput, match="% mass"):
        mass_fraction(50.0, "% vol", "glycerol")


def test_mixtures_bring_what_they_are_known_for() -> None:
    milk = CATALOGUE.get("milk")
    basis = basis_for(acids_in(milk.composition))
    moles = float(pots.need_hydroxide_mol(basis, basis.vector(milk.composition)))
    # 3.3 % fat of saponification value 230 takes 7.59 mg KOH a gram of milk
    assert moles * 56105.6 == pytest.approx(0.033 * 230.0, rel=1e-3)
    assert CATALOGUE.get("beer").share("ethanol") == 0.04
    for material_id in ("honey", "milk", "beer", "invert_syrup"):
        material = CATALOGUE.get(material_id)
        (turning,) = [doubt for doubt in material.doubts if doubt.key.endswith("sugar_to_acid_fraction")]
        assert set(turning.direction) == {"hexoses", "lactic_acid"}
        assert turning.figure.value == turning.figure.low == 0.0, "none, when it comes after the lye; never less"
        assert turning.figure.z_nominal == -1.0
        whole = material.share("hexoses") * 0.5 * turning.figure.high
        assert turning.direction["lactic_acid"] == pytest.approx(whole)
        assert "sugar-browns" in {remark.code for remark in material.remarks}
        assert "browns" in material.traits
    # White et al. 1962: water 17.2 %, reducing sugar 76.75 %, acidity 29.12 meq/kg
    honey = CATALOGUE.get("honey")
    assert (honey.share("water"), honey.share("hexoses")) == pytest.approx((0.172, 0.7675))
    assert 1000.0 * honey.share("lactic_acid") / 90.078 * 1000.0 == pytest.approx(29.12, abs=0.3)


def test_crystal_water_is_that_of_the_formula() -> None:
    # by hand: 18.015 of 210.14, 2 x 18.015 of 294.10, 4 x 18.015 of 452.23
    assert CATALOGUE.get("citric_acid_monohydrate").share("water") == pytest.approx(18.015 / 210.14, abs=2e-4)
    assert CATALOGUE.get("sodium_citrate_dihydrate").share("water") == pytest.approx(36.03 / 294.10, abs=2e-4)
    assert CATALOGUE.get("tetrasodium_edta").share("water") == pytest.approx(72.06 / 452.23, abs=4e-4)


def test_chelators_say_how_much_calcium_they_hold() -> None:
    # 1 : 1 by moles: 40.078 / 380.17 g Ca per g of dry tetrasodium EDTA
    capacity = CATALOGUE.get("tetrasodium_edta_39").figures["calcium_capacity_g_per_g"]
    assert capacity.value == pytest.approx(0.39 * 40.078 / 380.17, abs=1e-4)
    assert "calcium_capacity_g_per_g" not in CATALOGUE.get("sodium_gluconate").figures


def test_cautions_and_limits_travel_with_the_good() -> None:
    assert {"methanol", "unsuitable"} <= CATALOGUE.get("hardware_spirit").traits
    assert CATALOGUE.get("hardware_spirit").share("methanol") > 0.4
    assert "flammable" in CATALOGUE.get("ethanol_95_vol").traits
    assert "nitrosating" in CATALOGUE.get("bronopol").traits
    scent = CATALOGUE.get("fragrance_oil")
    assert scent.figures["use_limit_percent"].known == "assumed"
    assert scent.figures["flash_point_c"].low == 60.0
    assert scent.share("dipropylene_glycol") == pytest.approx(0.3)
    assert [remark.code for remark in CATALOGUE.get("prussian_blue").remarks] == ["dye-fails"]
    assert CATALOGUE.get("acid_violet_43").remarks == ()
    assert CATALOGUE.get("ultramarine").composition == {"insoluble": 1.0}
    assert "H314" in CATALOGUE.get("sodium_hydroxide_50").note


@pytest.mark.parametrize(
    ("material_id", "names"),
    [
        ("lauric_acid", LabelNames("Lauric Acid", "Lauric Acid", "Sodium Laurate", "Potassium Laurate", "TEA-Laurate")),
        ("glycerol_86", LabelNames("Glycerin", "Glycerin")),
        ("tallow", LabelNames("Adeps Bovis", "Tallow", "Sodium Tallowate", "Potassium Tallowate")),
        ("kokum", LabelNames("Garcinia Indica Seed Butter", "Garcinia Indica Seed Butter")),
        ("brilliant_blue", LabelNames("CI 42090", "Blue 1")),
        ("acid_violet_43", LabelNames("CI 60730", "Ext. Violet 2")),
    ],
)  # fmt: skip
def test_names_for_a_label(material_id: str, names: LabelNames) -> None:
    assert CATALOGUE.get(material_id).names == names


@pytest.mark.parametrize(
    ("text", "first"),
    [
        ("coconut", "coconut"),
        ("COCONUT OIL", "coconut"),
        ("cocunut", "coconut"),
        ("coco nut oil", "coconut"),
        ("lye", "sodium_hydroxide_flakes"),
        ("caustic soda", "sodium_hydroxide_flakes"),
        ("potash", "potassium_hydroxide_flakes"),
        ("IPA", "propan_2_ol_99_vol"),
        ("99 ipa", "propan_2_ol_99_vol"),
        ("rubbing alcohol", "propan_2_ol_91_vol"),
        ("surgical spirit", "surgical_spirit"),
        ("stearin", "stearic_acid_triple_pressed"),
        ("glycerine", "glycerol"),
        ("Karité", "shea_butter"),
        ("karite", "shea_butter"),
        ("shea buter", "shea_butter"),
        ("Ricinus communis", "castor"),
        ("8001-31-8", "coconut"),
        ("CAS 56-81-5", "glycerol"),
        ("1310-58-3", "potassium_hydroxide_flakes"),
        ("Theobroma", "cocoa_butter"),
        ("canola", "rapeseed_low_erucic"),
        ("corn oil", "maize"),
        ("E 330", "citric_acid"),
        ("simple syrup", "syrup_2_1"),
        ("soda ash", "sodium_carbonate"),
        ("NaOH", "sodium_hydroxide_flakes"),
        ("table sugar", "sucrose"),
        ("trietanolamine", "triethanolamine"),
        ("Sodium Cocoate", "coconut"),
        ("CI 42090", "brilliant_blue"),
        ("groundnut", "peanut"),
        ("ghee", "milk_fat"),
        ("titanium dioxid", "titanium_dioxide"),
    ],
)
def test_search_finds_what_people_say(text: str, first: str) -> None:
    assert CATALOGUE.find(text)[0].id == first, [material.id for material in CATALOGUE.find(text)]


def test_search_by_kind_limit_and_nothing() -> None:
    assert {material.kind for material in CATALOGUE.find("chelator", 20)} == {"chelator"}
    assert len(CATALOGUE.find("oil", 7)) == 7
    assert CATALOGUE.find("", 3) == CATALOGUE.materials[:3]
    assert CATALOGUE.find("xyzzy") == ()
    assert CATALOGUE.find("00-00-0") == ()


@EVERY
def test_every_material_is_found_by_its_name_and_its_aliases(material: Material) -> None:
    assert material in CATALOGUE.find(material.name, 40)
    for alias in material.aliases:
        assert material in CATALOGUE.find(alias, 40), alias


@given(st.text(max_size=60))
def test_no_text_breaks_the_search(text: str) -> None:
    assert len(CATALOGUE.find(text, 5)) <= 5


@given(st.one_of(st.text(max_size=40), st.from_regex(r"[0-9]{1,3} ?(%|proof|:1|°) ?[a-z ]{0,12}", fullmatch=True)))
def test_no_id_breaks_the_catalogue(text: str) -> None:
    try:
        assert CATALOGUE.get(text).id == text
    except (UnknownName, Ambiguous) as error:
        assert error.sentence


def test_unknown_ids_offer_near_ones() -> None:
    with pytest.raises(UnknownName, match="“coconut”") as caught:
        CATALOGUE.get("cocunut")
    assert len(set(caught.value.nearest)) == len(caught.value.nearest)
    with pytest.raises(KeyError):
        CATALOGUE.get("no such thing at all")


def test_a_strength_is_a_material() -> None:
    spirit = CATALOGUE.get("92.4 % mass ethanol")
    assert (spirit.id, spirit.kind, spirit.share("ethanol")) == ("92.4 % mass ethanol", "spirit", pytest.approx(0.924))
    assert spirit.density_g_ml is not None
    assert spirit.density_g_ml.value == pytest.approx(0.8114, abs=2e-4), "OIML R 22"
    assert spirit.names.eu == "Alcohol"
    assert "flammable" in spirit.traits
    syrup = CATALOGUE.get("66 °Brix")
    assert (syrup.kind, syrup.share("sucrose")) == ("sugar", pytest.approx(0.66))
    lye = CATALOGUE.get("50 % NaOH")
    assert lye.figures["purity"].value == pytest.approx(0.5)
    assert lye.doubts[0].key == "50 % NaOH/purity"
    with pytest.raises(Ambiguous, match="US proof"):
        CATALOGUE.get("190 proof")


def test_denatured_spirits_bring_their_denaturants() -> None:
    common = CATALOGUE.get("sda_40_b")
    # sda table: 1/8 gal tert-butanol in 100 gal, 1.25 mL/L, density 0.78: about 1 g in 812 g
    assert common.share("volatile_other") == pytest.approx(1.25 * 0.786 / 812.0, rel=0.03)
    assert (common.names.eu, common.names.us) == ("Alcohol Denat.", "SD Alcohol 40-B")
    assert not common.traits & {"unsuitable", "methanol", "caustic"}
    assert {"methanol", "unsuitable"} <= CATALOGUE.get("sda_3_a").traits
    caustic = CATALOGUE.get("sda_36")
    # the note on 27 CFR 21.63: about 10.5 g of NaOH in a litre (811 g) of the starting alcohol
    assert caustic.share("hydroxide") * 39.997 / 17.007 == pytest.approx(10.5 / 811.0, rel=0.03)
    assert "caustic" in caustic.traits
    assert not any(remark.where == "ammonia" for remark in caustic.remarks), "another version of the formula"
    assert CATALOGUE.find("SD alcohol 3-C")[0].id == "sda_3_c"
    assert CATALOGUE.find("denatured alcohol")[0].id == "hardware_spirit", "nobody says what is in it"


def test_the_makers_own_materials_stand_beside_it() -> None:
    own = Material("my oil", "My oil", "fat", {"unspecified": 1.0}, aliases=("grandmother's oil",))
    wider = CATALOGUE.with_own([own])
    assert wider.get("my oil") is own
    assert wider.find("grandmother")[0] is own
    assert wider.version == CATALOGUE.version
    assert "my oil" not in CATALOGUE
    with pytest.raises(BadInput, match="“coconut”"):
        CATALOGUE.with_own([Material("coconut", "Mine", "fat", {"unspecified": 1.0})])


def test_catalogues_are_the_same_every_time() -> None:
    assert load_catalogue() is CATALOGUE
    again = Catalogue(CATALOGUE.materials, CATALOGUE.version)
    assert [material.id for material in again] == [material.id for material in CATALOGUE]
    assert len(CATALOGUE.version) == 12


def test_parts_that_overflow_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    rows = [{"part": "water", "percent": "101", "low": "", "high": "", "unit": "% mass", "figure": "", "against": "",
             "source_key": "assumed", "detail": "", "known": "assumed", "note": ""}]  # fmt: skip
    monkeypatch.setattr("kettleglass.materials.goods.parts.table_by", lambda *_: {"flood": rows})
    with pytest.raises(BadInput, match="flood"):
        parts_of.__wrapped__("flood")


def test_the_page_of_the_catalogue_counts_and_names_what_is_there() -> None:
    page = (Path(__file__).parents[2] / "docs" / "catalogue.md").read_text(encoding="utf-8")
    kinds = {kind: len(materials) for kind, materials in CATALOGUE.by_kind().items()}
    denatured = len(denatured_ids())
    goods = len(CATALOGUE) - kinds["fat"] - kinds["fatty acid"] - kinds["dye"] - denatured
    for name, count in (("fats and fatty acids", kinds["fat"] + kinds["fatty acid"]), ("scents", goods),
                        ("version of a formula", denatured), ("dyes and pigments", kinds["dye"]),
                        ("all materials", len(CATALOGUE)),
                        ("names for labels", len(read_table("label_names")))):  # fmt: skip
        assert re.search(rf"^\| [^|]*{name} \| {count} \|", page, re.MULTILINE), (name, count)
    provisional = [m.name for m in CATALOGUE if "saponification_value" in m.provisional]
    assert f"these {len(provisional)}:" in page
    said = " ".join(page.split("## Provisional figures")[1].split("\n\nAlso")[0].split())
    for name in provisional:
        assert re.sub(r" \([^)]*\)|, .*", "", name) in said, name
    for trait in {trait for material in CATALOGUE for trait in material.traits}:
        assert f"`{trait}`" in page, trait
    for material in CATALOGUE.of_kind("fat"):
        gap = 100.0 * residue_fraction(material.composition)
        if abs(gap) > 100.0 * RESIDUE_LIMIT:
            shown = f"{gap:+.1f}".replace("-", "\N{MINUS SIGN}")
            assert f"{shown} % |" in page, (material.id, shown)


def test_a_strength_is_found_as_people_say_it() -> None:
    assert CATALOGUE.find("66 °Brix", 1)[0].share("sucrose") == pytest.approx(0.66, abs=1e-3)
    assert CATALOGUE.find("91 % isopropanol", 1)[0].share("propan_2_ol") > 0.85
    assert all(material.kind != "sugar" for material in CATALOGUE.find("190 proof", 3))
