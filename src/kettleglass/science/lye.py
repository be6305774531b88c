"""How strong a lye can be: saturated solutions, and when crystals come back."""

from __future__ import annotations

NAOH_SATURATED, KOH_SATURATED = 0.522, 0.548
"""Alkali by mass in a saturated lye: NaOH 52.2 % at 20 °C (Great Soviet Encyclopedia 1979: 109 g in 100 g of water),
KOH 54.8 % at 25 °C (Bureau of Indian Standards, code of safety: 121 g in 100 mL of water)."""
NAOH_CRYSTALS_C, KOH_CRYSTALS_C = 15.0, 6.0
"""First crystals in °C near 40 to 50 %: NaOH 12 to 15 (Dow; handbooks, recalled), KOH 6 (handbooks, recalled)."""


def saturated_fraction(potassium_mole_fraction: float) -> float:
    """Largest share of alkali by mass in a lye whose cations are potassium to that mole fraction (0-1), linear."""
    return NAOH_SATURATED + potassium_mole_fraction * (KOH_SATURATED - NAOH_SATURATED)
