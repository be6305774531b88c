"""Fats: which figure counts, what they are made of, and how their figures agree."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kettleglass.errors import UnknownName, Unwelcome
from kettleglass.materials.fats import RESIDUE_LIMIT, composition_at, residue_fraction, saponification_limits_of_acids
from kettleglass.materials.goods import (
    acid_shares,
    computed_saponification_value,
    evidence,
    fat_figures,
    fat_ids,
    fat_material,
    published_shares,
)
from kettleglass.science.saponify import KOH_G_MOL, MG_KOH_PER_MOL
from kettleglass.science.species import fatty_acid

FATS = fat_ids()
DISAGREE = {"shea_butter", "mango_kernel", "avocado", "rosin"}
"""Known exceptions; `docs/catalogue.md` says why each of them is one."""


def equivalents_mol(composition: dict[str, float]) -> float:
    """Moles of acid groups in a gram, counted acid by acid."""
    total = 0.0
    for species_id, grams in composition.items():
        form, _, acid = species_id.partition(".")
        if form in ("acyl", "acid") and acid != "residue":
            total += grams / (fatty_acid(acid).acyl_g_mol if form == "acyl" else fatty_acid(acid).molar_mass_g_mol)
    return total


@pytest.mark.parametrize("fat_id", FATS)
def test_a_gram_of_fat_is_a_gram_and_takes_its_saponification_value(fat_id: str) -> None:
    material = fat_material(fat_id)
    assert math.fsum(material.composition.values()) == pytest.approx(1.0, abs=1e-12)
    value = material.figures["saponification_value"]
    assert equivalents_mol(dict(material.composition)) * MG_KOH_PER_MOL == pytest.approx(value.value, rel=1e-12)
    (doubt,) = material.doubts
    assert math.fsum(doubt.direction.values()) == pytest.approx(0.0, abs=1e-12)
    assert doubt.figure is value
    assert value.low < value.value < value.high
    assert doubt.key == f"{fat_id}/saponification_value"


@pytest.mark.parametrize("fat_id", FATS)
def test_the_doubt_leads_to_the_ends_of_the_range(fat_id: str) -> None:
    material, fat = fat_material(fat_id), fat_figures(fat_id)
    (doubt,) = material.doubts
    for z, value in ((-1.0, doubt.figure.low), (1.0, doubt.figure.high)):
        step = z - doubt.figure.z_nominal
        wanted = composition_at(fat, value)
        for species_id in {*wanted, *doubt.direction}:
            moved = material.composition.get(species_id, 0.0) + step * doubt.direction.get(species_id, 0.0)
            assert moved == pytest.approx(wanted.get(species_id, 0.0), abs=1e-12)


def test_the_three_fats_of_the_demo_take_91_37_g_of_potash() -> None:
    """By hand: 200 x 256.5 + 140 x 209.5 + 60 x 179.0 = 91 370 mg KOH."""
    grams = {"coconut": (200.0, 256.5), "stearic_acid_triple_pressed": (140.0, 209.5), "castor": (60.0, 179.0)}
    total = 0.0
    for fat_id, (mass, value) in grams.items():
        material = fat_material(fat_id)
        assert material.figures["saponification_value"].value == value
        total += mass * equivalents_mol(dict(material.composition)) * KOH_G_MOL
    assert total == pytest.approx(91.370, abs=1e-3)


@pytest.mark.parametrize(
    ("fat_id", "low", "high", "known", "source"),
    [
        ("coconut", 248, 265, "read", "Codex CXS 210-1999, Table 2, read in a per-oil transcription"),
        ("castor", 176, 182, "memory", "USP-NF, Castor Oil, older editions"),
        ("tallow", 190, 200, "read", "Malaysia, Food Regulations 1985, reg. 181 Suet"),
        ("palm_olein", 195, 205, "read", None),
        ("stearic_acid_95", 195, 200, "read", None),
        ("tall_oil_fatty_acid", 190, 198, "memory", "Trade ranges, North American distilled grades"),
        ("wheat_germ", 183.4, 188.9, "read", None),
        ("rosin", 169.7, 179.6, "read", None),
    ],
)  # fmt: skip
def test_which_saponification_value_counts(
    fat_id: str, low: float, high: float, known: str, source: str | None
) -> None:  # fmt: skip
    figure = fat_figures(fat_id).saponification_value
    assert (figure.low, figure.high, figure.known, figure.unit) == (low, high, known, "mg KOH/g")
    assert source is None or figure.source == source


def test_historic_compilations_stand_back_behind_recalled_standards() -> None:
    rows = [row for row in evidence("castor") if row.quantity == "saponification value"]
    assert [(row.low, row.high, row.known, row.counts) for row in rows] == [
        (176.0, 182.0, "memory", True), (178.0, 186.0, "read", False)
    ]  # fmt: skip


def test_evidence_counts_one_row_of_each_property() -> None:
    for fat_id in FATS:
        rows = evidence(fat_id)
        counted = [row.quantity for row in rows if row.counts]
        assert len(set(counted)) == len(counted), fat_id
        assert {share.acid for share in acid_shares(fat_id)} <= set(counted)


def test_a_single_value_gets_an_assumed_range() -> None:
    figure = fat_figures("jojoba").saponification_value
    assert (figure.value, figure.known) == (92.2, "assumed")
    assert (figure.low, figure.high) == pytest.approx((0.97 * 92.2, 1.03 * 92.2))
    assert [remark.code for remark in fat_material("jojoba").remarks] == ["range-assumed"]


def test_one_source_is_taken_whole_and_only_filled_up() -> None:
    coconut = acid_shares("coconut")
    assert {share.source_key for share in coconut} == {"codex-210"}
    assert sum(published_shares("coconut").values()) == pytest.approx(1.0)
    sunflower = {share.acid: share.known for share in acid_shares("sunflower")}
    assert {acid for acid, known in sunflower.items() if known == "read"} == {"18:1n-9", "18:2n-6"}
    assert sunflower["16:0"] == "memory"
    for fat_id in FATS:
        acids = [share.acid for share in acid_shares(fat_id)]
        assert len(set(acids)) == len(acids), "summing all rows would give 200 % of some fats"
        percent = sum(share.percent for share in acid_shares(fat_id))
        assert not acids or 75.0 < percent < 120.0, (fat_id, percent)


@pytest.mark.parametrize("fat_id", FATS)
def test_saponification_value_and_fatty_acids_agree_but_for_the_known_exceptions(fat_id: str) -> None:
    material = fat_material(fat_id)
    gap = abs(residue_fraction(material.composition))
    said = [remark for remark in material.remarks if remark.code == "fat-figures-disagree"]
    assert (gap > RESIDUE_LIMIT) == (fat_id in DISAGREE)
    assert bool(said) == (fat_id in DISAGREE)
    if said:
        explanation = said[0].text.split("of the fat. ")[1]
        assert len(explanation) > 40, "an exception is explained"


def test_residues_are_those_of_a_first_trial() -> None:
    # worked out before this program: coconut -1.6 %, palm -1.0 %, stearic acid +-0.1 % of the fat
    for fat_id, percent in (("coconut", -1.6), ("palm", -1.0), ("stearic_acid_triple_pressed", -0.1)):
        assert 100.0 * residue_fraction(fat_material(fat_id).composition) == pytest.approx(percent, abs=0.06)


@pytest.mark.parametrize("fat_id", FATS)
def test_where_limits_and_acids_agree_lies_within_the_limits(fat_id: str) -> None:
    (doubt,) = fat_material(fat_id).doubts
    limits = saponification_limits_of_acids(fat_figures(fat_id))
    if doubt.agreeing is None:
        return
    low, high = doubt.agreeing
    assert -1.0 <= low < high <= 1.0
    assert limits is not None
    middle, half = 0.5 * (doubt.figure.low + doubt.figure.high), 0.5 * (doubt.figure.high - doubt.figure.low)
    assert middle + low * half >= limits[0] - 1e-9 or low == -1.0
    assert middle + high * half <= limits[1] + 1e-9 or high == 1.0


def test_where_the_acids_of_two_fats_allow_their_value() -> None:
    # worked out before this program: palm 195-200 of 190-209, hydrogenated soya 188-192 of 175-205
    assert saponification_limits_of_acids(fat_figures("palm")) == pytest.approx((195.0, 200.0), abs=1.5)
    assert saponification_limits_of_acids(fat_figures("hydrogenated_soybean")) == pytest.approx((188.0, 192.0), abs=3.0)


@given(st.sampled_from([f for f in FATS if fat_figures(f).acid_ranges]), st.randoms(use_true_random=False))
def test_no_mixture_within_the_limits_beats_the_greedy_ends(fat_id: str, random: object) -> None:
    """Any fatty-acid profile inside its ranges gives a saponification value between the two ends."""
    fat = fat_figures(fat_id)
    limits = saponification_limits_of_acids(fat)
    if limits is None:
        return
    lows = {acid: low for acid, (low, _) in fat.acid_ranges.items()}
    left = 1.0 - sum(lows.values())
    order = list(lows)
    random.shuffle(order)  # type: ignore[attr-defined]
    for acid in order:
        step = min(left, fat.acid_ranges[acid][1] - lows[acid])
        lows[acid] += step
        left -= step
    value = computed_saponification_value(type(fat)(**{**_as_dict(fat), "acids": lows}), fat_id).value
    assert limits[0] - 1e-9 <= value <= limits[1] + 1e-9


def _as_dict(fat: object) -> dict[str, object]:
    return {name: getattr(fat, name) for name in type(fat).__slots__}


@pytest.mark.parametrize("fat_id", ["jojoba", "lanolin", "rosin"])
def test_waxes_and_resins_refuse_the_triglyceride_formula(fat_id: str) -> None:
    with pytest.raises(Unwelcome, match="triglycerides with known fatty acids"):
        computed_saponification_value(fat_figures(fat_id), fat_id)


def test_builds() -> None:
    assert fat_figures("coconut").build == "triglyceride"
    assert fat_figures("stearic_acid_50").build == "free acid"
    assert "bound_glycerol" not in fat_material("stearic_acid_50").composition
    assert fat_material("stearic_acid_50").kind == "fatty acid"
    wax = fat_material("jojoba")
    assert wax.composition["bound_alcohol"] == pytest.approx(0.5)
    assert "bound_glycerol" not in wax.composition
    assert set(fat_material("lanolin").composition) == {"acyl.unknown", "acid.unknown", "bound_alcohol", "acyl.residue"}
    resin = fat_material("rosin")
    assert resin.composition["acid.resin-abietic"] > 0.9
    assert resin.kind == "fat"
    olive = fat_material("olive")
    assert olive.composition["unsaponifiable"] == pytest.approx(0.0075), "middle of 0 to 1.5 %"
    free = sum(share for sid, share in fat_material("castor").composition.items() if sid.startswith("acid."))
    assert free == pytest.approx(0.75 / 56105.6 * 295.0, rel=0.02), "middle of an acid value of 0 to 1.5"


def test_the_limits_of_one_side_are_no_range() -> None:
    assert evidence("castor")[7].quantity == "hydroxyl value"
    assert "hydroxyl_value" not in fat_material("castor").figures, "at least 160 says no value"


def test_dark_and_hazing_fats_are_marked() -> None:
    dark = {fat_id for fat_id in FATS if "dark" in fat_material(fat_id).traits}
    assert {"olive", "avocado", "rice_bran", "neem", "hempseed", "linseed"} <= dark
    assert not dark & {"coconut", "castor", "stearic_acid_triple_pressed", "palm_kernel", "tallow", "babassu"}
    assert "haze" in fat_material("shea_butter").traits


def test_densities_are_in_grams_per_millilitre_at_a_temperature() -> None:
    olive = fat_material("olive").density_g_ml
    assert olive is not None
    assert (olive.value, olive.low) == pytest.approx((0.913 * 0.9982, 0.910 * 0.9982), abs=1e-5)
    assert olive.note == "at 20 °C"
    for fat_id in FATS:
        density = fat_material(fat_id).density_g_ml
        assert density is None or 0.85 < density.low <= density.value <= density.high < 0.98, fat_id


def test_a_fat_without_published_value_is_computed() -> None:
    figure = computed_saponification_value(fat_figures("palm"), "palm oil")
    assert figure.known == "derived"
    assert figure.low <= figure.value <= figure.high
    assert figure.value == pytest.approx(197.5, abs=0.1)


def test_unknown_fats_are_refused_with_near_names() -> None:
    with pytest.raises(UnknownName, match="coconut"):
        fat_material("cocnut")
