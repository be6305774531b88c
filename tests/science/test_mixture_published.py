"""Every published row of the mixtures against the formulas; each row carries its source and tolerance."""

from __future__ import annotations

import csv
from collections.abc import Callable
from pathlib import Path

import pytest

from kettleglass.science import mixture

PUBLISHED = Path(__file__).parent.parent / "published"
Row = dict[str, str]


def rows(name: str) -> list[Row]:
    with (PUBLISHED / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def label(row: Row) -> str:
    return f"{row['quantity']} {row['strength']} {row['strength_unit']} {row['temperature']} {row['temperature_unit']}"


def temperature_c(row: Row) -> float:
    degrees = float(row["temperature"])
    return (degrees - 32.0) / 1.8 if row["temperature_unit"] == "F" else degrees


SIXTY_F_C = (60.0 - 32.0) / 1.8


def ethanol_fraction(row: Row) -> float:
    strength = float(row["strength"])
    return {
        "mass%": lambda: strength / 100.0,
        "%vol": lambda: mixture.ethanol_mass_fraction_from_abv(strength / 100.0),
        "%vol at 60 F": lambda: mixture.ethanol_mass_fraction_from_us_proof(2.0 * strength),
        "US proof": lambda: mixture.ethanol_mass_fraction_from_us_proof(strength),
    }[row["strength_unit"]]()


def strength_at_60_f_percent(row: Row) -> float:
    """By the definition, from the density alone: volume of pure alcohol in a volume of spirit, both at 60 °F."""
    w = mixture.ethanol_mass_fraction_from_us_proof(float(row["value"]))
    density, pure = (mixture.ethanol_water_density_kg_m3(p, SIXTY_F_C) for p in (w, 1.0))
    return 100.0 * w * density / pure


def water_parts(row: Row) -> float:
    w, t = ethanol_fraction(row), temperature_c(row)
    density, water = (mixture.ethanol_water_density_kg_m3(p, t) for p in (w, 0.0))
    return 100.0 * (1.0 - w) * density / water


def specific_gravity(row: Row) -> float:
    w, t = ethanol_fraction(row), temperature_c(row)
    return mixture.ethanol_water_density_kg_m3(w, t) / mixture.ethanol_water_density_kg_m3(0.0, t)


def propan_2_ol_fraction(row: Row) -> float:
    strength = float(row["strength"]) / 100.0
    by_volume = row["strength_unit"] == "%vol"
    return mixture.propan_2_ol_mass_fraction_from_volume_fraction(strength) if by_volume else strength


def propan_2_ol_density(row: Row) -> float:
    density, water = (
        mixture.propan_2_ol_water_density_kg_m3(w, temperature_c(row)) for w in (propan_2_ol_fraction(row), 0.0)
    )
    return density / {"g/cm3": 1000.0, "kg/m3": 1.0, "relative to water": water}[row["unit"]]


ALCOHOL: dict[str, Callable[[Row], float]] = {
    "ethanol density": lambda row: mixture.ethanol_water_density_kg_m3(ethanol_fraction(row), temperature_c(row)),
    "ethanol mass fraction": lambda row: 100.0 * ethanol_fraction(row),
    "ethanol strength": lambda row: 100.0 * mixture.abv_from_ethanol_mass_fraction(ethanol_fraction(row)),
    "US proof": lambda row: 2.0 * strength_at_60_f_percent(row),
    "UK proof": lambda row: mixture.uk_proof_from_ethanol_mass_fraction(ethanol_fraction(row)),
    "water parts": water_parts,
    "specific gravity": specific_gravity,
    "contraction": lambda row: 0.5 * float(row["strength"]) + water_parts(row) - 100.0,
    "propan-2-ol density": propan_2_ol_density,
    "propan-2-ol mass fraction": lambda row: 100.0 * propan_2_ol_fraction(row),
    "propan-2-ol strength": lambda row: (
        100.0 * mixture.propan_2_ol_volume_fraction_from_mass_fraction(propan_2_ol_fraction(row))
    ),
}


@pytest.mark.parametrize("row", rows("alcoholometry.csv"), ids=label)
def test_alcoholometry(row: Row) -> None:
    assert ALCOHOL[row["quantity"]](row) == pytest.approx(float(row["value"]), abs=float(row["tolerance"])), row[
        "source"
    ]


def brix(row: Row) -> float:
    return float(row["strength"]) / 100.0


def relative_density(row: Row) -> float:
    syrup, water = (mixture.sucrose_water_density_kg_m3(w, temperature_c(row)) for w in (brix(row), 0.0))
    return 1000.0 * syrup / water


def solubility_g_per_100_g_water(row: Row) -> float:
    w = mixture.sucrose_solubility_mass_fraction(temperature_c(row))
    return 100.0 * w / (1.0 - w)


SUGAR: dict[str, Callable[[Row], float]] = {
    "density": lambda row: mixture.sucrose_water_density_kg_m3(brix(row), temperature_c(row)),
    "refractive index": lambda row: mixture.sucrose_water_refractive_index(brix(row)),
    "relative density": relative_density,
    "solubility": solubility_g_per_100_g_water,
}


@pytest.mark.parametrize("row", rows("sucrose.csv"), ids=label)
def test_sucrose(row: Row) -> None:
    assert SUGAR[row["quantity"]](row) == pytest.approx(float(row["value"]), abs=float(row["tolerance"])), row["source"]


def glycerol_density(row: Row) -> float:
    density = mixture.glycerol_water_density_kg_m3(float(row["strength"]) / 100.0, temperature_c(row))
    return density / (1000.0 if row["unit"] == "g/cm3" else 1.0)


GLYCEROL: dict[str, Callable[[Row], float]] = {
    "density": glycerol_density,
    "refractive index": lambda row: mixture.glycerol_water_refractive_index(float(row["strength"]) / 100.0),
    "viscosity": lambda row: mixture.glycerol_water_viscosity_mpa_s(float(row["strength"]) / 100.0, temperature_c(row)),
}


@pytest.mark.parametrize("row", rows("glycerol.csv"), ids=label)
def test_glycerol(row: Row) -> None:
    assert GLYCEROL[row["quantity"]](row) == pytest.approx(float(row["value"]), abs=float(row["tolerance"])), row[
        "source"
    ]
