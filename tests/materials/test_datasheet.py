"""Data sheets of spirits and denaturing formulas: what is in them, and whether soap can be made with them."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kettleglass.errors import BadInput, UnknownName
from kettleglass.materials.datasheet import DataSheet, denaturants, formulas, read_datasheet, sda, undeclared_spirit
from kettleglass.materials.denaturants import cas_number, find_denaturant, spirit_sources
from kettleglass.materials.tables import read_table
from kettleglass.science.species import PLAIN

SPECIES = {species.id for species in PLAIN}


def named(sheet: DataSheet, level: str) -> set[str]:
    return {finding.where for finding in sheet.verdict if finding.level == level}


# The table of parts


def test_every_cas_number_has_its_check_digit() -> None:
    """The last digit of a CAS number is the sum of the others, each times its place from the right, modulo 10."""
    for entry in denaturants().values():
        for cas in entry.cas:
            body, check = cas.replace("-", "")[:-1], int(cas[-1])
            assert sum(place * int(digit) for place, digit in enumerate(reversed(body), 1)) % 10 == check, entry.name
            assert find_denaturant(cas) is entry


def test_every_part_closes_and_has_a_source_and_a_reason() -> None:
    for entry in denaturants().values():
        assert set(entry.species) <= SPECIES
        assert math.fsum(entry.species.values()) == pytest.approx(1.0)
        assert entry.source
        assert entry.reason or not entry.remark
        assert all(find_denaturant(name) is entry for name in entry.names)
    names = [name for entry in denaturants().values() for name in (*entry.names, *entry.cas)]
    assert len(names) == len(set(names))


def test_every_source_key_is_in_the_bibliography() -> None:
    for table in ("denaturants", "sda"):
        assert {row["source_key"] for row in read_table(table)} <= set(spirit_sources())


def test_a_mistyped_cas_number_is_noticed() -> None:
    assert cas_number("Ethanol (CAS 64-17-5)") == "64-17-5"
    assert cas_number("ethanol") is None
    with pytest.raises(BadInput, match="64-17-6 is not a CAS number"):
        read_datasheet([("64-17-6", "90 %")])


# Data sheets


@pytest.mark.parametrize(
    "culprit",
    [
        "methanol", "acetone", "methyl ethyl ketone", "methyl isobutyl ketone", "gasoline", "kerosene", "benzene",
        "naphtha",
        "pyridine", "heptane", "toluene", "ethyl acetate", "wood naphtha", "diethylene glycol", "nitropropanes",
        "turpentine",
    ],
)  # fmt: skip
def test_the_unsuitable_component_is_named(culprit: str) -> None:
    for said in (culprit, culprit.upper(), *denaturants()[culprit].names, *denaturants()[culprit].cas):
        sheet = read_datasheet([("Ethanol", "80-90 %"), (said, "1-5 %"), ("water", "balance")])
        assert not sheet.suitable
        assert named(sheet, "danger") == {culprit}
        assert sheet.verdict[0].advice


def test_methanol_is_said_to_blind_and_kept_as_methanol() -> None:
    sheet = read_datasheet([("64-17-5", "40-60 %"), ("67-56-1", "30-60 %"), ("108-10-1", "1-5 %")])
    assert "blinds" in next(finding.text for finding in sheet.verdict if finding.where == "methanol")
    assert sheet.mass_fractions["methanol"] == pytest.approx(0.45)
    assert sheet.mass_fractions["volatile_other"] == pytest.approx(0.03)
    assert sheet.mass_fractions["unspecified"] == pytest.approx(0.02)
    assert (sheet.unnamed_low, sheet.unnamed_high) == pytest.approx((0.0, 0.29))


def test_a_trace_of_methanol_is_let_pass() -> None:
    assert read_datasheet([("ethanol", "99.9 %"), ("methanol", "trace")]).suitable
    assert read_datasheet([("ethanol", "99.9 %"), ("methanol", "200 ppm")]).suitable
    assert not read_datasheet([("ethanol", "99 %"), ("methanol", "0-1 %")]).suitable


def test_a_cosmetic_grade_is_suitable() -> None:
    sheet = read_datasheet([
        ("Ethyl alcohol (CAS 64-17-5)", "92-93 %"), ("Water", "balance"), ("tert-Butyl alcohol", "0.1-0.2 %"),
        ("Denatonium benzoate 3734-33-6", "<0.01 %"),
    ])  # fmt: skip
    assert sheet.suitable
    assert {finding.level for finding in sheet.verdict} == {"note"}
    assert sheet.mass_fractions["ethanol"] == pytest.approx(0.925)
    assert sheet.mass_fractions["water"] == pytest.approx(1.0 - 0.925 - 0.0015 - 0.00005)
    assert sheet.unnamed.value == 0.0


def test_the_eu_common_denaturing_is_minded_but_let_pass() -> None:
    """1 L of methyl ethyl ketone in 1 hL: Regulation (EC) 3199/93, Annex I."""
    sheet = read_datasheet(
        [("ethanol", "90-92 %"), ("propan-2-ol", "0.9 %"), ("butanone", "1.0 %"), ("water", "balance")]
    )
    assert sheet.suitable
    assert named(sheet, "caution") == {"methyl ethyl ketone"}
    assert sheet.mass_fractions["propan_2_ol"] == pytest.approx(0.009)


@pytest.mark.parametrize(
    "name", ["denatured alcohol", "Denatured Alcohol, hardware store", "methylated spirit", "meths", "stove fuel"]
)
def test_an_undeclared_mix_is_explained(name: str) -> None:
    found = undeclared_spirit(name)
    assert found is not None
    assert found.level == "danger"
    assert "methanol" in found.text
    sheet = read_datasheet([(name, "100 %")])
    assert not sheet.suitable
    assert sheet.mass_fractions == {"volatile_other": 1.0}


@pytest.mark.parametrize("name", ["ethanol", "64-17-5 denatured alcohol", "isopropanol", "water"])
def test_a_declared_substance_is_not_called_undeclared(name: str) -> None:
    assert undeclared_spirit(name) is None


def test_lye_in_the_spirit_counts_as_lye() -> None:
    """SDA 36 with caustic: about 10.5 g of NaOH in a litre; sodium hydroxide is 57.5 % sodium by mass."""
    sheet = read_datasheet([("ethanol", "91 %"), ("caustic soda", "1.3 %"), ("water", "balance")])
    assert sheet.mass_fractions["sodium"] == pytest.approx(0.013 * 22.98977 / 39.99677, rel=1e-5)
    assert sheet.mass_fractions["hydroxide"] == pytest.approx(0.013 * 17.007 / 39.99677, rel=1e-5)
    assert any("1.3 g of sodium hydroxide" in finding.text for finding in sheet.verdict)
    assert named(sheet, "caution") == {"sodium hydroxide"}


def test_what_nobody_names_is_unspecified_and_minded() -> None:
    little, much = (read_datasheet([("ethanol", share)]) for share in ("90-95 %", "40-50 %"))
    assert little.suitable
    assert {finding.code for finding in little.verdict} == {"sheet-rest", "spirit-suitable"}
    assert little.mass_fractions["unspecified"] == pytest.approx(0.075)
    assert (little.unnamed.low, little.unnamed.high) == pytest.approx((0.05, 0.10))
    assert not much.suitable
    assert [finding.code for finding in much.verdict] == ["sheet-incomplete"]


def test_an_unknown_substance_is_not_judged() -> None:
    sheet = read_datasheet([("ethanol", "90 %"), ("mystery oil", "3 %"), ("water", "7 %")])
    assert not sheet.suitable
    assert sheet.mass_fractions["unspecified"] == pytest.approx(0.03)
    assert "mystery oil" in sheet.verdict[0].text
    assert read_datasheet([("ethanol", "99 %"), ("secret marker", "0.1-0.5 %")]).suitable


@pytest.mark.parametrize(
    ("said", "low", "high"),
    [
        ("80-95 %", 0.80, 0.95), ("80 – 95", 0.80, 0.95), ("≥ 80 - < 95 %", 0.80, 0.95),
        (">= 80 - <= 95 %", 0.80, 0.95),
        ("80 to 95 percent", 0.80, 0.95), ("80 % - 95 %", 0.80, 0.95), ("<5", 0.0, 0.05), ("≤ 5 %", 0.0, 0.05),
        ("> 90 %", 0.9, 1.0),
        ("5 %", 0.045, 0.055), ("5,0 %", 0.0495, 0.0505), ("100 %", 1.0, 1.0), ("0.1 - <1 % w/w", 0.001, 0.01),
        ("92.4 wt%", 0.9235, 0.9245), ("10-50 ppm", 1e-5, 5e-5), ("trace", 0.0, 0.001),
        ("5 % by weight", 0.045, 0.055),
    ],
)  # fmt: skip
def test_shares_as_data_sheets_write_them(said: str, low: float, high: float) -> None:
    part = read_datasheet([("ethanol", said)]).components[0]
    assert (part.low, part.high) == pytest.approx((low, high))


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        ([], "no lines"), ([("ethanol", "many")], "not a share"), ([("ethanol", "")], "not a share"),
        ([("", "5 %")], "names no substance"),
        ([("ethanol", "95 % vol")], "by volume"), ([("ethanol", "95-80 %")], "high to low"),
        ([("ethanol", "120 %")], "more than 100"),
        ([("ethanol", "80-90 %"), ("methanol", "60 %")], "add up to at least 139.5 %"),
        ([("ethanol", "x" * 500)], "not a share"),
    ],
)  # fmt: skip
def test_sheets_that_cannot_be(lines: list[tuple[str, str]], said: str) -> None:
    with pytest.raises(BadInput, match=said) as refused:
        read_datasheet(lines)
    assert refused.value.remedy


def test_middles_above_a_hundred_are_pulled_down_within_the_limits() -> None:
    sheet = read_datasheet([("ethanol", "80-100 %"), ("water", "5-20 %")])
    assert sheet.unnamed.value == pytest.approx(0.0, abs=1e-12)
    for part in sheet.components:
        assert part.low <= part.share <= part.high
    assert math.fsum(sheet.mass_fractions.values()) == pytest.approx(1.0)


PARTS = st.sampled_from(
    ["ethanol", "water", "methanol", "propan-2-ol", "acetone", "sodium hydroxide", "something else"]
)
RANGES = st.tuples(st.integers(0, 60), st.integers(0, 60)).map(sorted)


@given(lines=st.lists(st.tuples(PARTS, RANGES), min_size=1, max_size=6), balance=st.booleans())
def test_any_sheet_closes_and_its_doubts_keep_mass(lines: list[tuple[str, list[int]]], balance: bool) -> None:
    sheet_lines = [(name, f"{low}-{high} %") for name, (low, high) in lines] + [("water", "balance")] * balance
    if sum(low for _, (low, _) in lines) > 100:
        with pytest.raises(BadInput):
            read_datasheet(sheet_lines)
        return
    sheet = read_datasheet(sheet_lines)
    assert math.fsum(sheet.mass_fractions.values()) == pytest.approx(1.0, abs=1e-12)
    assert all(-1e-12 <= share <= 1.0 + 1e-12 for share in sheet.mass_fractions.values())
    assert all(part.low - 1e-12 <= part.share <= part.high + 1e-12 for part in sheet.components)
    assert sheet.unnamed.low <= sheet.unnamed.value <= sheet.unnamed.high
    for doubt in sheet.doubts("lot"):
        assert math.fsum(doubt.direction.values()) == pytest.approx(0.0, abs=1e-12)


@given(name=st.text(max_size=40), share=st.text(alphabet="0123456789 .,-<>≥≤%ptoav", max_size=20))
def test_whatever_is_typed_is_read_or_refused(name: str, share: str) -> None:
    try:
        sheet = read_datasheet([(name, share)])
    except BadInput as refused:
        assert refused.what
    else:
        assert math.fsum(sheet.mass_fractions.values()) == pytest.approx(1.0)


def test_a_doubt_reaches_both_ends_of_its_line() -> None:
    sheet = read_datasheet([("ethanol", "90-94 %"), ("water", "balance")])
    ethanol = next(doubt for doubt in sheet.doubts("lot 7") if doubt.label == "ethanol")
    assert ethanol.key == "lot 7/1"
    assert sheet.mass_fractions["ethanol"] + ethanol.direction["ethanol"] == pytest.approx(0.94)
    assert sheet.mass_fractions["water"] + ethanol.direction["water"] == pytest.approx(0.06)


# Denaturing formulas


def test_the_toilet_soap_list_is_that_of_the_regulation() -> None:
    """27 CFR 20.119 (2016): toilet soap, code 142."""
    listed = {key.removeprefix("SDA ") for key, formula in formulas().items() if formula.authorised_toilet_soap}
    assert listed == {"1", "3-A", "3-C", "23-A", "30", "36", "38-B", "39-B", "39-C", "40", "40-A", "40-B", "40-C"}


def test_methanol_is_in_the_formulas_that_the_regulation_says() -> None:
    """27 CFR 21.151: methanol in SDA 1, 3-A and 30 only; SI 2005/1524: in UK IDA."""
    said = {key for key, formula in formulas().items() if formula.methanol}
    assert said == {"SDA 1", "SDA 3-A", "SDA 30", "UK IDA"}
    for key, formula in formulas().items():
        holds = any("methanol" in formula.mass_fractions(option) for option in range(len(formula.options)))
        assert holds == (key in said), key


@pytest.mark.parametrize(
    ("name", "percent_of_ethanol"), [("SDA 3-A", 5.3), ("SDA 30", 10.5), ("SDA 1", 4.2)]
)  # fmt: skip
def test_methanol_against_the_european_limit(name: str, percent_of_ethanol: float) -> None:
    """Worked at 190 proof for the limit of 5 % of the ethanol (Annex III 52): 3-A and 30 exceed it, 1 does not."""
    shares = sda(name).mass_fractions()
    assert 100.0 * shares["methanol"] / shares["ethanol"] == pytest.approx(percent_of_ethanol, abs=0.06)


@pytest.mark.parametrize(
    ("name", "denaturant", "grams_per_litre"),
    [
        ("SDA 40-B", "denatonium benzoate", 0.0047), ("SDA 40-B", "tert-butanol", 1.25 * 0.781),
        ("SDA 3-C", "propan-2-ol", 50 * 0.785),
        ("UK TSDA", "denatonium benzoate", 0.010), ("EU common CDA", "methyl ethyl ketone", 10 * 0.805),
        ("DE cosmetic a", "diethyl phthalate", 5.0),
    ],
)  # fmt: skip
def test_what_a_litre_gets(name: str, denaturant: str, grams_per_litre: float) -> None:
    """The worked figures of the regulations' notes: 4.7 mg denatonium and 1.25 mL tert-butanol a litre in SDA 40-B."""
    added = {part.denaturant.name: part.grams_per_litre for part in sda(name).options[0]}
    assert added[denaturant] == pytest.approx(grams_per_litre, rel=0.01)


def test_the_caustic_formula_counts_in_the_lye() -> None:
    """27 CFR 21.63: 17.5 lb of 50 % or 12 lb of 73 % caustic soda in 100 gal, both about 10.5 g NaOH a litre."""
    formula = sda("SDA 36")
    for option in (0, 1):
        added = formula.options[option][0]
        naoh = added.grams_per_litre * (added.denaturant.species["sodium"] + added.denaturant.species["hydroxide"])
        assert naoh == pytest.approx(10.5, abs=0.05)
        assert formula.mass_fractions(option)["hydroxide"] > 0.005
    assert "hydroxide" not in formula.mass_fractions(2)
    assert any("counts in the lye" in finding.text for finding in formula.verdict)
    assert any(finding.code == "formula-version" for finding in formula.verdict)


def test_every_formula_closes() -> None:
    for formula in formulas().values():
        for option in range(len(formula.options)):
            shares = formula.mass_fractions(option, 0.9)
            assert math.fsum(shares.values()) == pytest.approx(1.0)
            assert set(shares) <= SPECIES
        with pytest.raises(BadInput, match="no version"):
            formula.mass_fractions(len(formula.options))
        assert formula.source
        assert formula.denaturants


@pytest.mark.parametrize(
    ("name", "suitable"),
    [
        ("SDA 40-B", True), ("SDA 3-C", True), ("SDA 40-A", True), ("SDA 36", True), ("SDA 38-B", True),
        ("UK TSDA", True),
        ("EU common CDA", True), ("DE cosmetic d", True), ("SDA 1", False), ("SDA 3-A", False), ("SDA 30", False),
        ("SDA 23-A", False),
        ("SDA 23-H", False), ("SDA 3-B", False), ("SDA 31-A", False), ("SDA 40-C", False), ("CDA 18", False),
        ("CDA 19", False),
        ("CDA 20", False), ("CDA 35", False), ("UK IDA", False), ("UK CDA", False),
    ],
)  # fmt: skip
def test_which_formulas_make_soap(name: str, suitable: bool) -> None:
    formula = sda(name)
    assert formula.suitable is suitable
    levels = [finding.level for finding in formula.verdict]
    assert levels == sorted(levels, key=["danger", "caution", "note"].index)


@pytest.mark.parametrize(
    ("said", "found"),
    [
        ("40-B", "SDA 40-B"), ("40b", "SDA 40-B"), ("sda 40 b", "SDA 40-B"), ("SD Alcohol 40-B", "SDA 40-B"),
        ("SDA-3C", "SDA 3-C"),
        ("Specially denatured alcohol 3-A", "SDA 3-A"), ("SDA 1", "SDA 1"), ("cda 19", "CDA 19"),
        ("TSDA", "UK TSDA formula (a)"),
        ("eurodenaturant", "EU common CDA"), ("IMS", "UK IDA"),
    ],
)  # fmt: skip
def test_formulas_by_the_names_people_use(said: str, found: str) -> None:
    assert sda(said).id == found


def test_an_unknown_formula_offers_the_nearest() -> None:
    with pytest.raises(UnknownName) as unknown:
        sda("SDA 40-D")
    assert "SDA 40-B" in unknown.value.nearest or "SDA 40-C" in unknown.value.nearest
