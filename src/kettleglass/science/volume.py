"""Volume of a pot from its species, as a band: no density of cast soap has been read in a source."""

from __future__ import annotations

from kettleglass.science.basis import Array, Basis
from kettleglass.science.pot import ROW

SPECIFIC_VOLUME_ML_G: dict[str, tuple[float, float, float]] = {
    "water": (0.99, 1.00, 1.03),
    "ethanol": (1.18, 1.22, 1.32),
    "propan_2_ol": (1.18, 1.23, 1.33),
    "methanol": (1.20, 1.26, 1.33),
    "volatile_other": (1.0, 1.1, 1.3),
    "glycerol": (0.79, 0.79, 0.82),
    "propylene_glycol": (0.96, 0.965, 1.0),
    "dipropylene_glycol": (0.97, 0.98, 1.02),
    "sorbitol": (0.66, 0.67, 0.69),
    "sucrose": (0.61, 0.62, 0.63),
    "hexoses": (0.61, 0.62, 0.63),
}
"""Partial specific volumes in mL/g (low, likely, high): densities of the pure liquids at 20 °C (ethanol 0.789,
glycerol 1.261, propylene glycol 1.036) with contraction on mixing and expansion to 80 °C as the limits; sugar
about 0.62 in syrups. From handbooks, recalled."""
SOAP_ML_G = (0.91, 0.95, 1.00)
"""Anhydrous soap 1.00-1.10 g/mL: recalled, no source read; the maker's own density replaces the whole band."""
FAT_ML_G = (1.07, 1.09, 1.13)
_SALT_ML_G = (0.30, 0.40, 0.55)
_OTHER_ML_G = (0.6, 0.9, 1.1)


def volume_ml(basis: Basis, pot: Array) -> tuple[float, float, float]:
    """Volume of one pot (S,) in mL: low, likely, high; 20 to 80 °C lies within the band."""
    soap = float(pot[basis.soap].sum())
    fat = float(pot[basis.acyl].sum() + pot[basis.acid].sum() + pot[ROW["bound_glycerol"]] + pot[ROW["unsaponifiable"]])
    ions = float(sum(pot[ROW[name]] for name in ("sodium", "potassium", "triethanolammonium")))
    salts = float(sum(pot[ROW[n]] for n in ("hydroxide", "carbonate", "chloride", "citrate", "lactate", "salt_other")))
    parts = [(soap + ions, SOAP_ML_G), (fat, FAT_ML_G), (salts, _SALT_ML_G)]
    parts += [(float(pot[ROW[name]]), band) for name, band in SPECIFIC_VOLUME_ML_G.items()]
    rest = float(pot.sum()) - sum(grams for grams, _ in parts)
    parts.append((max(0.0, rest), _OTHER_ML_G))
    low, likely, high = (sum(grams * band[end] for grams, band in parts) for end in range(3))
    return low, likely, high
