"""The tables: every cell that should be a number is one, every source is written out once, nothing was lost."""

from __future__ import annotations

from collections import Counter

import pytest

from kettleglass.errors import BadInput, UnknownName
from kettleglass.materials import tables
from kettleglass.materials.bibliography import bibliography, source_of
from kettleglass.materials.figure import KNOWN
from kettleglass.materials.goods.parts import pure
from kettleglass.materials.tables import known_of, number, read_table, table_by, table_names, tables_version, words
from kettleglass.science.species import fatty_acid

NUMBERS = {
    "fat_properties": ("min", "max", "typical", "temperature_c", "reference_c"),
    "fat_fatty_acids": ("min_pct", "max_pct", "typical_pct"),
    "fatty_acids": ("molar_mass_g_mol", "double_bonds", "melting_point_C"),
    "goods_parts": ("low", "high"),
    "goods_figures": ("value", "low", "high"),
    "sources": ("year",),
}
KEYS = {
    "fats": "fat", "fatty_acids": "fatty_acid", "goods": "good", "dyes": "dye", "label_names": "label",
    "sources": "key",
}  # fmt: skip
UNITS = {
    "saponification_value": "mg KOH/g", "acid_value": "mg KOH/g", "hydroxyl_value": "mg KOH/g",
    "iodine_value": "g I2/100 g", "unsaponifiable_pct": "% m/m", "titre_C": "degC", "melting_point_C": "degC",
    "refractive_index": "index", "relative_density": "ratio",
}  # fmt: skip
ROWS = [(name, place, row) for name in table_names() for place, row in enumerate(read_table(name), start=2)]


def test_numbers_are_numbers_and_in_order() -> None:
    for name, columns in NUMBERS.items():
        for row in read_table(name):
            for column in columns:
                number(row, column)
    for name, low, high in (("fat_properties", "min", "max"), ("fat_fatty_acids", "min_pct", "max_pct"),
                            ("goods_parts", "low", "high"), ("goods_figures", "low", "high")):  # fmt: skip
        for row in read_table(name):
            least, most = number(row, low), number(row, high)
            assert least is None or most is None or least <= most, row


def test_every_row_says_how_it_is_known_and_from_where() -> None:
    cited: set[str] = set()
    for name, place, row in ROWS:
        if "known" in row:
            assert row["known"] in KNOWN, (name, place)
        keys = {*words(row.get("source_key", "")), *words(row.get("source_keys", ""))}
        unsourced = name.startswith("sources") or name in ("goods", "goods_remarks", "published_formulas")
        assert keys or unsourced, (name, place)
        for key in keys:
            assert source_of(key).citation, (name, place)
        cited |= keys
    assert {"codex-210", "thomssen-1922", "usp-nf"} <= cited


def test_a_source_is_written_out_once() -> None:
    citations = Counter(source.citation for source in bibliography().values())
    assert max(citations.values()) == 1
    shorts = Counter(source.short for source in bibliography().values())
    assert max(shorts.values()) == 1
    assert source_of("thomssen-1922").historic
    assert not source_of("codex-210").historic
    with pytest.raises(UnknownName, match="codex-210"):
        source_of("codex210")


@pytest.mark.parametrize(("name", "column"), KEYS.items())
def test_keys_are_unique_and_plain(name: str, column: str) -> None:
    keys = [row[column] for row in read_table(name)]
    assert len(set(keys)) == len(keys)
    assert all(key == key.strip() and key for key in keys)


def test_rows_speak_of_things_that_exist() -> None:
    fats = {row["fat"] for row in read_table("fats")}
    goods = {row["good"] for row in read_table("goods")}
    materials = fats | goods | {row["dye"] for row in read_table("dyes")}
    assert {row["fat"] for row in read_table("fat_properties")} <= fats
    assert {row["fat"] for row in read_table("fat_fatty_acids")} <= fats
    assert {row["good"] for row in read_table("goods_parts")} == goods
    assert {row["good"] for row in read_table("goods_figures")} <= goods
    assert {row["good"] for row in read_table("goods_remarks")} <= goods
    named = [material for row in read_table("label_names") for material in row["materials"].split()]
    assert set(named) <= materials
    assert len(set(named)) == len(named), "a material has one row of label names"
    acids = {row["fatty_acid"] for row in read_table("fatty_acids")}
    assert {row["fatty_acid"] for row in read_table("fat_fatty_acids")} <= acids
    for acid in acids:
        assert fatty_acid(acid).carbons >= 4


def test_units_are_those_of_the_quantity() -> None:
    for row in read_table("fat_properties"):
        assert UNITS[row["property"]] == row["unit"], row
        if row["property"] == "relative_density" and row["reference_c"]:
            assert 4.0 <= float(row["reference_c"]) <= 30.0


def test_figures_are_near_their_neighbours() -> None:
    """A slip of typing shows as a value far from all others of its kind."""
    usual = {"saponification_value": (85, 290), "iodine_value": (0, 215), "relative_density": (0.85, 0.99),
             "refractive_index": (1.44, 1.53), "titre_C": (-10, 75), "melting_point_C": (-20, 140),
             "unsaponifiable_pct": (0, 60), "acid_value": (0, 290), "hydroxyl_value": (150, 165)}  # fmt: skip
    for row in read_table("fat_properties"):
        low, high = usual[row["property"]]
        for column in ("min", "max", "typical"):
            value = number(row, column)
            assert value is None or low <= value <= high, row


def test_parts_are_species_compounds_or_fats() -> None:
    for row in read_table("goods_parts"):
        assert sum(pure(row["part"]).values()) == pytest.approx(1.0, abs=1e-12)
        assert bool(row["figure"]) == bool(row["against"]), row
    with pytest.raises(UnknownName, match="sodium_hydroxide"):
        pure("sodium hydroxid")


def test_no_row_was_lost() -> None:
    """Rows of the literature search, counted when they were entered, and those of milk fat."""
    searched = {"fats": 59, "fat_properties": 350, "fat_fatty_acids": 640, "fatty_acids": 35, "dyes": 27}
    milk_fat = {"fats": 1, "fat_properties": 5, "fat_fatty_acids": 16, "fatty_acids": 1}
    for name, rows in searched.items():
        assert len(read_table(name)) == rows + milk_fat.get(name, 0), name
    assert sum(row["kind"] != "additive" for row in read_table("label_names")) == 56
    assert len(read_table("label_names")) == 93 + 8


def test_reading_refuses_what_is_not_a_table() -> None:
    with pytest.raises(UnknownName, match="fats"):
        read_table("fat")
    assert read_table("fats") is read_table("fats"), "read once"
    assert table_by("fats", "fat")["coconut"][0]["build"] == "triglyceride"
    assert len(tables_version()) == 12
    row = {"a": "1,5", "b": "x", "known": "heard"}
    with pytest.raises(BadInput, match="“1,5” in the column “a”"):
        number(row, "a")
    with pytest.raises(BadInput, match="“nan”"):
        number({"a": "nan"}, "a")
    with pytest.raises(BadInput, match="heard"):
        known_of(row)


def test_a_ragged_row_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tables, "_contents", lambda: {"odd": b"a,b\n1,2\n3,4,5\n"})
    with pytest.raises(BadInput, match="3 cells where there are 2 columns"):
        tables.read_table.__wrapped__("odd")
