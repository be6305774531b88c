"""Which cautions stand at which step of a cook, and the published limits for keeping alcohol.

The words are those of `kettleglass.recipe.method`; here a worked recipe says which of its lines can hurt. All of it
defers to local codes and licensed practice.
"""

from __future__ import annotations

from dataclasses import dataclass

from kettleglass.recipe.leaving import ALCOHOLS
from kettleglass.recipe.method import CAUTION, Caution, Hurtful, codes_at
from kettleglass.recipe.recipe import MethodStep
from kettleglass.recipe.work import Worked

DEFERS = (
    "Local codes and licensed practice come first: ask the fire authority, the insurer and, for sale, the safety"
    " assessor and the excise office."
)
LEAST_ALCOHOL = 0.01
"""Share of alcohol (g/g) from which a line counts as one that brings alcohol."""
LEAST_SUGAR = 0.05
"""Share of sugar (g/g) from which a line counts as syrup that can burn."""


@dataclass(frozen=True, slots=True)
class StorageLimit:
    """How much flammable liquid a published rule lets one keep, and where it holds."""

    where: str
    says: str
    source: str


STORAGE = (
    StorageLimit(
        "workplaces, United States",
        "Ethanol and propan-2-ol are category 2: glass or approved plastic up to 1 quart (0.95 L), metal or a safety"
        " can up to 5 gallons (19 L); a cabinet holds 60 gallons (227 L) at most and is marked “Flammable - Keep Fire"
        " Away”; outside of cabinets 120 gallons (454 L) in containers.",
        "29 CFR 1910.106 (2015 edition)",
    ),
    StorageLimit(
        "workplaces, United Kingdom",
        "At the place of work no more than half a day's or one shift's need; cabinets of 30 minutes' fire resistance"
        " hold up to 50 L of highly flammable liquid, with a sump for 110 %.",
        "HSE guidance to the Dangerous Substances and Explosive Atmospheres Regulations 2002 (DSEAR)",
    ),
    StorageLimit(
        "homes",
        "The local fire code and the insurer, often far less than a workplace may keep (5 to 10 gallons, recalled).",
        "International Fire Code, NFPA 1 and NFPA 30, recalled; to be checked locally",
    ),
)
"""Storage limits with their sources; laws change, so they are to be checked locally."""


def hurtful_of(worked: Worked) -> Hurtful:
    """Which lines of a recipe bring alcohol, alkali, sugar, scent."""
    alcohol = {
        line.key for line, material, _ in worked.in_use
        if sum(material.composition.get(name, 0.0) for name in ALCOHOLS) >= LEAST_ALCOHOL
    }  # fmt: skip
    caustic = {line.key for line, material, _ in worked.in_use if material.composition.get("hydroxide", 0.0) > 0.0}
    sugar = {
        line.key for line, material, _ in worked.in_use
        if sum(material.composition.get(name, 0.0) for name in ("sucrose", "hexoses")) >= LEAST_SUGAR
    }  # fmt: skip
    scent = {line.key for line, material, _ in worked.in_use if material.kind == "fragrance"}
    return Hurtful(frozenset(alcohol), frozenset(caustic), frozenset(sugar), frozenset(scent))


def cautions_at(method: tuple[MethodStep, ...], worked: Worked) -> tuple[tuple[Caution, ...], ...]:
    """The cautions of each step of a method, for what this recipe holds."""
    codes = codes_at(method, worked.stages, hurtful_of(worked))
    return tuple(tuple(CAUTION[code] for code in here) for here in codes)
