"""The denaturing formulas of the law: what they add to alcohol, and whether soap may and should be made with them."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Literal, cast

from kettleglass.errors import BadInput, Finding, UnknownName, most_serious_first
from kettleglass.materials.denaturants import Denaturant, denaturants, source_text
from kettleglass.materials.figure import Known
from kettleglass.materials.tables import Row, known_of, read_table, words
from kettleglass.science.mixture import ethanol_water_density_kg_m3
from kettleglass.units import LOCAL_VOLUME_ML, OUNCE_G, POUND_G

ToiletSoap = Literal["yes", "no", "no list"]
USUAL_MASS_FRACTION = 0.924
"""Ethanol in the alcohol that is denatured: 95 % vol, 190 US proof."""
_ML = {"gal": LOCAL_VOLUME_ML["gallon"]["US"], "l": 1000.0}
_G = {"oz": OUNCE_G, "lb": POUND_G, "g": 1.0, "kg": 1000.0}


@dataclass(frozen=True, slots=True)
class Added:
    """One denaturant of a formula, in grams per litre of the alcohol that it goes into."""

    denaturant: Denaturant
    grams_per_litre: float


@dataclass(frozen=True, slots=True)
class DenaturingFormula:
    """A denaturing formula of the law.

    `options` are the versions that it allows, each a list of what is added; empty where the amount is not known.
    `toilet_soap` says whether its authority lists it for toilet soap ("no list" where it keeps none), `use` under
    which code or for whom.
    """

    id: str
    authority: str
    denaturants: str
    options: tuple[tuple[Added, ...], ...]
    toilet_soap: ToiletSoap
    use: str
    methanol: bool
    conditions: str
    note: str
    source: str
    known: Known

    @property
    def authorised_toilet_soap(self) -> bool:
        """Whether its authority lists it for toilet soap."""
        return self.toilet_soap == "yes"

    @property
    def suitable(self) -> bool:
        """Whether soap may lawfully be made with it and every version holds nothing that spoils it."""
        return not any(finding.code in _SPOILED for finding in self.verdict)

    @property
    def verdict(self) -> tuple[Finding, ...]:
        """What to mind, most serious first: parts that spoil soap, what the law says, which version it is."""
        return most_serious_first(dict.fromkeys((*self._on_parts(), *self._on_law())))

    def mass_fractions(self, option: int = 0, ethanol_mass_fraction: float = USUAL_MASS_FRACTION) -> dict[str, float]:
        """Grams per gram of each species, for the alcohol of this strength with the denaturants of one version.

        Volumes are taken at 20 °C. Raises `BadInput` for a version that the formula does not have.
        """
        if not 0 <= option < len(self.options):
            has = f"It has {len(self.options)}." if self.options else "How much it adds is not known."
            raise BadInput(
                f"{self.id} has no version {option + 1}.", why=has, remedy="Enter the data sheet line by line."
            )
        alcohol_g = ethanol_water_density_kg_m3(ethanol_mass_fraction, 20.0)
        grams = {"ethanol": ethanol_mass_fraction * alcohol_g, "water": (1.0 - ethanol_mass_fraction) * alcohol_g}
        for added in self.options[option]:
            for species_id, share in added.denaturant.species.items():
                grams[species_id] = grams.get(species_id, 0.0) + share * added.grams_per_litre
        total = sum(grams.values())
        return {species_id: mass / total for species_id, mass in grams.items()}

    def _on_parts(self) -> Iterator[Finding]:
        alcohol_g = ethanol_water_density_kg_m3(USUAL_MASS_FRACTION, 20.0)
        seen: set[str] = set()
        for option in self.options:
            whole = alcohol_g + sum(part.grams_per_litre for part in option)
            for part in option:
                fraction = part.grams_per_litre / whole
                found = part.denaturant.finding(fraction, f"about {100.0 * fraction:.2g} % by mass")
                if found is not None and part.denaturant.name not in seen:
                    yield found
                seen.add(part.denaturant.name)

    def _on_law(self) -> Iterator[Finding]:
        if "completely denatured" in self.conditions or "fuel use" in self.conditions:
            text = f"{self.id} is {self.conditions}: ketones, petrol or esters stay in it."
            yield Finding(
                "danger", "formula-spoiled", text, "Never make soap with it.", where=self.id, source=self.source
            )
        elif self.toilet_soap == "no":
            text = f"{self.id} is not on the list of formulas for toilet soap."
            advice = "Ask for SDA 3-C or SDA 40-B."
            yield Finding("caution", "formula-not-for-soap", text, advice, where=self.id, source=self.source)
        elif "pressurised" in self.conditions:
            text = f"{self.id} is {self.conditions}."
            yield Finding(
                "caution", "formula-not-for-soap", text, "Ask for SDA 40-B.", where=self.id, source=self.source
            )
        if self.id.startswith("SDA"):
            text = "Specially denatured alcohol needs a user permit before it is bought, used or recovered."
            advice = "Check local law and take licensed advice."
            yield Finding("note", "permit-needed", text, advice, where=self.id, source="27 CFR 20.41(b)")
        elif "permit" in self.conditions or "authorisation" in self.conditions:
            text, advice = f"{self.id}: {self.conditions}.", "Check local law and take licensed advice."
            yield Finding("note", "permit-needed", text, advice, where=self.id, source=self.source)
        if len(self.options) > 1:
            text = f"{self.id} allows {len(self.options)} versions that differ in what they add."
            yield Finding(
                "note", "formula-version", text, "Ask the supplier which it is.", where=self.id, source=self.source
            )


_SPOILED = {"component-unsuitable", "formula-spoiled", "formula-not-for-soap"}


def _added(part: str, litres: float) -> Added:
    """What one part, such as 4 gal methanol, adds to each of so many litres of alcohol."""
    amount, unit, name = part.split(" ", 2)
    denaturant = denaturants()[name]
    grams = float(amount) * (_G[unit] if unit in _G else _ML[unit] * (denaturant.density_g_ml or 1.0))
    return Added(denaturant, grams / litres)


def _formula(row: Row) -> DenaturingFormula:
    litres = float(row["basis_l"])
    options = tuple(tuple(_added(part, litres) for part in words(option, "+")) for option in words(row["options"]))
    return DenaturingFormula(
        id=row["id"],
        authority=row["authority"],
        denaturants=row["denaturants"],
        options=options,
        toilet_soap=cast(ToiletSoap, row["toilet_soap"]),
        use=row["use"],
        methanol=row["methanol"] == "yes",
        conditions=row["conditions"],
        note=row["note"],
        source=source_text(row),
        known=known_of(row),
    )


@cache
def formulas() -> Mapping[str, DenaturingFormula]:
    """Every denaturing formula by its id, such as "SDA 40-B" or "EU common CDA"."""
    return {row["id"]: _formula(row) for row in read_table("sda")}


def _key(name: str) -> str:
    said = re.sub(r"\b(specially denatured alcohol|sd alcohol|alcohol|formula|u\.?s\.?)\b", " ", name.lower())
    return re.sub(r"^sda?(?=\d)", "", re.sub(r"[^a-z0-9]", "", said))


@cache
def _by_key() -> Mapping[str, str]:
    rows = read_table("sda")
    return {_key(name): row["id"] for row in rows for name in (row["id"], *words(row["aliases"]))}


def sda(name: str) -> DenaturingFormula:
    """The denaturing formula of a name: "SDA 40-B", "40b", "SD Alcohol 3-C", "UK TSDA", "EU common CDA".

    Raises `UnknownName`, which offers the nearest.
    """
    found = _by_key().get(_key(name))
    if found is None:
        raise UnknownName("denaturing formula", name, formulas())
    return formulas()[found]
