"""Saponification and iodine values against published limits, factors and molar masses; refusals; laws."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kettleglass.errors import BadInput, UnknownName
from kettleglass.materials.goods import fat_figures
from kettleglass.science.saponify import (
    IODINE_G_MOL,
    KOH_G_MOL,
    free_acid_saponification_value,
    iodine_value,
    saponification_value,
)
from kettleglass.science.species import fatty_acid

PUBLISHED = Path(__file__).parents[1] / "published"
ACIDS = ("8:0", "12:0", "16:0", "18:0", "18:1n-9", "18:2n-6", "18:1-OH")
mixtures = st.dictionaries(st.sampled_from(ACIDS), st.floats(0.01, 100.0), min_size=1)


def published(name: str) -> list[dict[str, str]]:
    with (PUBLISHED / f"{name}.csv").open(encoding="utf-8") as table:
        return list(csv.DictReader(table))


def row_name(row: dict[str, str]) -> str:
    return f"{row['kind']} {row['id']} {row['low']}"


def within(row: dict[str, str], value: float) -> bool:
    tolerance = float(row["tolerance"])
    return float(row["low"]) - tolerance <= value <= float(row["high"]) + tolerance


def acids_and_unsaponifiable(row: dict[str, str]) -> tuple[dict[str, float], float]:
    if row["kind"] != "fat":
        return {row["id"]: 1.0}, 0.0
    fat = fat_figures(row["id"])
    return dict(fat.acids), fat.unsaponifiable_fraction.value if fat.unsaponifiable_fraction else 0.0


@pytest.mark.parametrize("row", published("saponification"), ids=row_name)
def test_saponification_value_is_the_published_one(row: dict[str, str]) -> None:
    value = saponification_value(*acids_and_unsaponifiable(row))
    assert within(row, value), f"{row['source']}: {row['low']} to {row['high']}, computed {value:.2f}"


@pytest.mark.parametrize("row", published("iodine"), ids=row_name)
def test_iodine_value_is_the_published_one(row: dict[str, str]) -> None:
    if row["kind"] == "free acid":
        acid = fatty_acid(row["id"])
        value = 100.0 * acid.double_bonds * IODINE_G_MOL / acid.molar_mass_g_mol
    else:
        value = iodine_value(*acids_and_unsaponifiable(row))
    assert within(row, value), f"{row['source']}: {row['low']} to {row['high']}, computed {value:.2f}"


def test_a_free_acid_takes_one_mole_of_potash_a_mole() -> None:
    # neutralisation values: lauric 280.1, stearic 197.2, oleic 198.6 (handbooks, recalled)
    assert free_acid_saponification_value({"12:0": 1.0}) == pytest.approx(280.1, abs=0.05)
    assert free_acid_saponification_value({"18:0": 1.0}) == pytest.approx(197.2, abs=0.05)
    assert free_acid_saponification_value({"18:1n-9": 1.0}) == pytest.approx(198.6, abs=0.05)
    assert pytest.approx(56.1056, abs=5e-4) == KOH_G_MOL


@given(mixtures, st.floats(0.5, 50.0))
def test_only_the_proportions_count(acids: dict[str, float], factor: float) -> None:
    scaled = {acid: factor * share for acid, share in acids.items()}
    assert saponification_value(scaled) == pytest.approx(saponification_value(acids), rel=1e-12)
    assert iodine_value(scaled) == pytest.approx(iodine_value(acids), rel=1e-12, abs=1e-12)


@given(mixtures)
def test_a_mixture_lies_between_its_acids(acids: dict[str, float]) -> None:
    single = [saponification_value({acid: 1.0}) for acid in acids]
    assert min(single) - 1e-9 <= saponification_value(acids) <= max(single) + 1e-9
    single = [iodine_value({acid: 1.0}) for acid in acids]
    assert min(single) - 1e-9 <= iodine_value(acids) <= max(single) + 1e-9


@given(mixtures, st.floats(0.0, 0.5))
def test_what_does_not_saponify_takes_nothing(acids: dict[str, float], unsaponifiable: float) -> None:
    whole = saponification_value(acids)
    assert saponification_value(acids, unsaponifiable) == pytest.approx((1.0 - unsaponifiable) * whole, rel=1e-12)


def test_what_cannot_be_averaged_is_refused() -> None:
    with pytest.raises(UnknownName, match="18:1n-9"):
        saponification_value({"18:1n9": 1.0})
    with pytest.raises(KeyError):
        iodine_value({"oleic": 1.0})
    for shares in ({}, {"12:0": 0.0}, {"12:0": -1.0, "14:0": 2.0}, {"12:0": float("nan")}):
        with pytest.raises(BadInput, match="cannot be averaged"):
            saponification_value(shares)
    for unsaponifiable in (-0.1, 1.0, float("nan")):
        with pytest.raises(ValueError, match="unsaponifiable fraction"):
            saponification_value({"12:0": 1.0}, unsaponifiable)
    with pytest.raises(BadInput, match="resin"):
        saponification_value({"18:1n-9": 0.5, "resin-abietic": 0.5})
