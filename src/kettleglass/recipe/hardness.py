"""Water hardness: what people say as mg/L, the lime soap that it makes, the chelator that it needs.

Hardness is given as calcium carbonate, whatever share of it is magnesium. Factors come from the definitions:
1 °dH is 10 mg of CaO per litre, 1 °fH 10 mg of CaCO3 per litre, 1 grain per gallon 64.79891 mg per 3.785411784 L
(US) or 4.54609 L (Clark degree). Atomic weights: IUPAC abridged values 2021.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Literal

from kettleglass.errors import Ambiguous, BadInput, Finding, OutOfRange, UnknownName
from kettleglass.science.species import ATOMIC_WEIGHT, formula_mass_g_mol
from kettleglass.units import parse_number

CALCIUM_G_MOL = 40.078
PHOSPHORUS_G_MOL = 30.974
CALCIUM_CARBONATE_G_MOL = CALCIUM_G_MOL + formula_mass_g_mol("CO3")
_CALCIUM_OXIDE_G_MOL = CALCIUM_G_MOL + formula_mass_g_mol("O")
_GRAIN_MG = 64.79891
DEGREE_DH_MG_L = 10.0 * CALCIUM_CARBONATE_G_MOL / _CALCIUM_OXIDE_G_MOL
"""1 German degree in mg/L as CaCO3: 17.848."""
GRAIN_PER_US_GALLON_MG_L = _GRAIN_MG / 3.785411784
"""1 grain per US gallon in mg/L as CaCO3: 17.118."""
GRAIN_PER_UK_GALLON_MG_L = _GRAIN_MG / 4.54609
"""1 grain per imperial gallon, the Clark degree, in mg/L as CaCO3: 14.254."""
_WATER_G_PER_L = 998.2  # at 20 °C
_HARDEST_MG_L = 5000.0

_NUMBER_AND_UNIT = re.compile(r"(?P<number>[-+−]?[\d.,/½¼¾ ]*[\d½¼¾](?:[eE][-+]?\d+)?)\s*(?P<unit>\D.*)?")
_WORDS: dict[float, tuple[str, ...]] = {
    1.0: ("mg/l", "ppm", "mg/lcaco3", "mg/lascaco3", "ppmcaco3", "ppmascaco3", "mgcaco3/l", "mg/kg"),
    1000.0: ("g/l",),
    DEGREE_DH_MG_L: ("°dh", "dh", "°d", "gh", "°gh", "dgh", "german", "germandegrees", "°german"),
    10.0: ("°fh", "fh", "°f", "°th", "french", "frenchdegrees", "°french"),
    GRAIN_PER_US_GALLON_MG_L: (
        "grain", "grains", "gpg", "gr/gal", "grains/gallon", "grainspergallon", "grainsperusgallon", "grains/usgallon",
    ),
    GRAIN_PER_UK_GALLON_MG_L: (
        "°e", "°clark", "clark", "clarkdegrees", "grainsperukgallon", "grainsperimperialgallon", "grains/ukgallon",
    ),
    CALCIUM_CARBONATE_G_MOL: ("mmol/l", "mmol"),
    CALCIUM_CARBONATE_G_MOL / CALCIUM_G_MOL: ("mg/lca", "mg/lasca", "mgca/l", "ppmca"),
    CALCIUM_CARBONATE_G_MOL / _CALCIUM_OXIDE_G_MOL: ("mg/lcao", "mg/lascao", "mgcao/l"),
}  # fmt: skip
_FACTORS = {word: factor for factor, words in _WORDS.items() for word in words}
_CLEAR = ("300 mg/L", "17 °dH", "30 °fH", "12 grains", "3 mmol/L")


def parse_hardness(text: str) -> float:
    """Water hardness in mg/L as CaCO3 from "300 mg/L", "17 °dH", "12 grains", "30 °fH", "3 mmol/L", "ppm".

    Grains alone mean the US gallon. Raises `Ambiguous` without a unit, `BadInput` if it cannot be read,
    `UnknownName` for a unit that is not known, `OutOfRange` beyond 5000 mg/L.
    """
    match = _NUMBER_AND_UNIT.fullmatch(text[:400].strip())
    if match is None:
        raise BadInput(
            f"“{_short(text)}” is not a water hardness.", remedy=f"Write a number and a unit, such as {_offers()}."
        )
    number, unit = parse_number(match["number"]), "".join((match["unit"] or "").lower().split()).replace("º", "°")
    if unit in ("", "°", "degree", "degrees"):
        raise Ambiguous(
            _short(text), (f"{number:g} mg/L", f"{number:g} °dH", f"{number:g} °fH", f"{number:g} grains"),
            why="The number alone does not say in which unit the hardness is meant.",
        )  # fmt: skip
    if unit not in _FACTORS:
        raise _unknown_unit(match["unit"], unit)
    hardness_mg_l = number * _FACTORS[unit]
    if not 0.0 <= hardness_mg_l <= _HARDEST_MG_L:
        raise OutOfRange("The water hardness", hardness_mg_l, 0.0, _HARDEST_MG_L, unit="mg/L as CaCO3")
    return hardness_mg_l


def _unknown_unit(said: str, unit: str) -> BadInput:
    near = get_close_matches(unit, _FACTORS, n=1, cutoff=0.5)
    offer = f"Did you mean “{near[0]}”? " if near else ""
    return BadInput(f"“{_short(said)}” is not a unit of water hardness.", remedy=f"{offer}Write it as {_offers()}.")


def _short(text: str) -> str:
    return text if len(text) <= 40 else f"{text[:40]}…"


def _offers() -> str:
    return ", ".join(f"“{clear}”" for clear in _CLEAR)


def hardness_in_degrees(hardness_mg_l: float) -> dict[str, float]:
    """The same hardness in the usual units: mg/L, °dH, °fH, US grains per gallon, mmol/L."""
    factors = {"mg/L": 1.0, "°dH": DEGREE_DH_MG_L, "°fH": 10.0, "grains": GRAIN_PER_US_GALLON_MG_L,
               "mmol/L": CALCIUM_CARBONATE_G_MOL}  # fmt: skip
    return {unit: hardness_mg_l / factor for unit, factor in factors.items()}


def calcium_mol(water_g: float, hardness_mg_l: float) -> float:
    """Calcium (with magnesium counted as calcium) in mol in that mass of water at 20 °C (998.2 g/L)."""
    for name, value in (("The water", water_g), ("The water hardness", hardness_mg_l)):
        if not (math.isfinite(value) and value >= 0.0):
            raise BadInput(f"{name} is {value:g}.", remedy="Give a number of at least 0.")
    return water_g / _WATER_G_PER_L * hardness_mg_l / 1000.0 / CALCIUM_CARBONATE_G_MOL


def lime_soap_g(water_g: float, hardness_mg_l: float, soap_anion_g_mol: float) -> float:
    """Lime soap in g that hard water makes in the pot: Ca + 2 soap anions -> Ca(soap)2, all calcium taken.

    Args:
        water_g: mass of the hard water in g, at least 0 (not the water of a syrup made with soft water).
        hardness_mg_l: hardness in mg/L as CaCO3, at least 0.
        soap_anion_g_mol: mean molar mass of the soap anions, above 0 (sodium soap less 22.99).
    """
    if not (math.isfinite(soap_anion_g_mol) and soap_anion_g_mol > 0.0):
        raise BadInput(f"The mean soap is {soap_anion_g_mol:g} g/mol.", remedy="Give a molar mass above 0.")
    return calcium_mol(water_g, hardness_mg_l) * (CALCIUM_G_MOL + 2.0 * soap_anion_g_mol)


ChelatorName = Literal["tetrasodium EDTA", "tetrasodium etidronate", "trisodium citrate"]


@dataclass(frozen=True, slots=True)
class Chelator:
    """A chelator as dry salt: molar mass in g/mol; it binds one calcium per mole."""

    name: ChelatorName
    molar_mass_g_mol: float
    holds: bool
    note: str = ""
    acid_g_mol: float | None = None

    @property
    def capacity_g_per_g(self) -> float:
        """Grams of CaCO3 bound per gram of the dry salt, at 1 : 1 by moles."""
        return CALCIUM_CARBONATE_G_MOL / self.molar_mass_g_mol


_ETIDRONIC_ACID_G_MOL = formula_mass_g_mol("C2H8O7") + 2.0 * PHOSPHORUS_G_MOL
_SODIUM_FOR_H = ATOMIC_WEIGHT["Na"] - ATOMIC_WEIGHT["H"]
CHELATORS: dict[ChelatorName, Chelator] = {
    "tetrasodium EDTA": Chelator(
        "tetrasodium EDTA", formula_mass_g_mol("C10H12N2O8Na4"), True,
        "Holds calcium against soap. Count the strength on the label: solutions are sold at about 40 %.",
    ),
    "tetrasodium etidronate": Chelator(
        "tetrasodium etidronate", _ETIDRONIC_ACID_G_MOL + 4.0 * _SODIUM_FOR_H, True,
        "Weaker than EDTA; the European Union allows 0.2 % in soap, counted as the acid (Annex III, 53).",
        _ETIDRONIC_ACID_G_MOL,
    ),
    "trisodium citrate": Chelator(
        "trisodium citrate", formula_mass_g_mol("C6H5O7Na3"), False,
        "Binds calcium weakly: much of it goes to the soap all the same. This mass is the least that could do;"
        " soft or distilled water, or EDTA, is surer.",
    ),
}  # fmt: skip
"""Stability constants with calcium, log K from memory: EDTA 10.7, etidronate about 6, citrate 3.5 to 5."""


@dataclass(frozen=True, slots=True)
class ChelatorNeed:
    """Dry chelator in g for the calcium of the water, and what to mind; `as_acid_g` is what a limit counts."""

    chelator: Chelator
    mass_g: float
    as_acid_g: float | None
    findings: tuple[Finding, ...]


def chelator_need(water_g: float, hardness_mg_l: float, name: ChelatorName = "tetrasodium EDTA") -> ChelatorNeed:
    """Dry chelator in g that binds all the hardness of that water, one mole per mole of calcium.

    Args:
        water_g: mass of the hard water in g, at least 0.
        hardness_mg_l: hardness in mg/L as CaCO3, at least 0.
        name: one of `CHELATORS`.

    Raises `UnknownName` for another chelator.
    """
    if name not in CHELATORS:
        raise UnknownName("chelator", name, CHELATORS)
    chelator = CHELATORS[name]
    moles = calcium_mol(water_g, hardness_mg_l)
    level: Literal["note", "caution"] = "note" if chelator.holds else "caution"
    mass_g = moles * chelator.molar_mass_g_mol
    said = Finding(
        level, "chelator-" + ("holds" if chelator.holds else "weak"),
        f"{mass_g:.3g} g of dry {name} for {water_g:.4g} g of water of {hardness_mg_l:.3g} mg/L.",
        chelator.note, "water hardness", "1 : 1 by moles; strengths of binding from memory",
    )  # fmt: skip
    as_acid = None if chelator.acid_g_mol is None else moles * chelator.acid_g_mol
    return ChelatorNeed(chelator, mass_g, as_acid, (said,) if moles > 0.0 else ())
