"""Density, strength, refractive index and viscosity of the mixtures that go into a kettle: one door to the formulas.

Every function takes floats or numpy arrays (a float in gives a float out) and raises `OutOfRange`, a `ValueError`,
outside the range of its source.
"""

from __future__ import annotations

from kettleglass.science.alcoholometry import (
    abv_from_ethanol_mass_fraction,
    ethanol_mass_fraction_from_abv,
    ethanol_mass_fraction_from_uk_proof,
    ethanol_mass_fraction_from_us_proof,
    ethanol_water_density_kg_m3,
    most_uk_proof,
    propan_2_ol_mass_fraction_from_volume_fraction,
    propan_2_ol_volume_fraction_from_mass_fraction,
    propan_2_ol_water_density_kg_m3,
    uk_proof_from_ethanol_mass_fraction,
    us_proof_from_ethanol_mass_fraction,
)
from kettleglass.science.syrup import (
    glycerol_water_density_kg_m3,
    glycerol_water_refractive_index,
    glycerol_water_viscosity_mpa_s,
    sucrose_mass_fraction_from_density,
    sucrose_mass_fraction_from_refractive_index,
    sucrose_saturation_temperature_c,
    sucrose_solubility_mass_fraction,
    sucrose_water_density_kg_m3,
    sucrose_water_refractive_index,
)

__all__ = [
    "abv_from_ethanol_mass_fraction",
    "ethanol_mass_fraction_from_abv",
    "ethanol_mass_fraction_from_uk_proof",
    "ethanol_mass_fraction_from_us_proof",
    "ethanol_water_density_kg_m3",
    "glycerol_water_density_kg_m3",
    "glycerol_water_refractive_index",
    "glycerol_water_viscosity_mpa_s",
    "most_uk_proof",
    "propan_2_ol_mass_fraction_from_volume_fraction",
    "propan_2_ol_volume_fraction_from_mass_fraction",
    "propan_2_ol_water_density_kg_m3",
    "sucrose_mass_fraction_from_density",
    "sucrose_mass_fraction_from_refractive_index",
    "sucrose_saturation_temperature_c",
    "sucrose_solubility_mass_fraction",
    "sucrose_water_density_kg_m3",
    "sucrose_water_refractive_index",
    "uk_proof_from_ethanol_mass_fraction",
    "us_proof_from_ethanol_mass_fraction",
]
