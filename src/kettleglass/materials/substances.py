"""What a strength can be of: the names people use, one gram of it as species, and the custom of the trade."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from kettleglass.errors import Ambiguous, BadInput, UnknownName
from kettleglass.science.species import PLAIN

Basis = Literal["volume", "mass"]
_G_MOL = {species.id: species.molar_mass_g_mol or 0.0 for species in PLAIN}


@dataclass(frozen=True, slots=True)
class Substance:
    """One gram of it as species (`pure`), and whether the trade gives its strength by volume or by mass.

    `custom` is None where the trade does both; `rest` is the species that makes up the other share as a rule.
    """

    name: str
    spellings: tuple[str, ...]
    pure: Mapping[str, float]
    custom: Basis | None = "mass"
    rest: str = "water"


def salt(*ions: str) -> dict[str, float]:
    """One gram of a salt as its ions, one of each."""
    total = sum(_G_MOL[ion] for ion in ions)
    return {ion: _G_MOL[ion] / total for ion in ions}


def _substance(
    name: str, spellings: str, *species: str, custom: Basis | None = "mass", rest: str = "water"
) -> Substance:  # fmt: skip
    return Substance(name, (name, *filter(None, spellings.split("|"))), salt(*species), custom, rest)


SUBSTANCES = (
    _substance(
        "ethanol", "ethyl alcohol|grain alcohol|neutral spirit|rectified spirit|alcohol|spirits|spirit|vodka",
        "ethanol", custom=None),
    _substance(
        "propan-2-ol", "isopropyl alcohol|isopropanol|isopropyl|ipa|propan 2 ol", "propan_2_ol", custom="volume"),
    _substance("methanol", "methyl alcohol|wood alcohol", "methanol"),
    _substance("glycerol", "vegetable glycerin|vegetable glycerine|glycerin|glycerine", "glycerol"),
    _substance("propylene glycol", "pg|monopropylene glycol", "propylene_glycol"),
    _substance("dipropylene glycol", "dpg", "dipropylene_glycol"),
    _substance("sorbitol", "sorbitol syrup", "sorbitol"),
    _substance("sucrose", "sugar syrup|simple syrup|cane sugar|beet sugar|sugar|syrup", "sucrose"),
    _substance("sodium hydroxide", "caustic soda|soda lye|naoh", "sodium", "hydroxide"),
    _substance("potassium hydroxide", "caustic potash|potash lye|koh", "potassium", "hydroxide"),
    # The other 15 % of "TEA 85" is diethanolamine in one grade and water in another (common practice, no source).
    _substance("triethanolamine", "tea", "triethanolamine", rest="unspecified"),
    _substance("citric acid", "", "citric_acid"),
    _substance("lactic acid", "", "lactic_acid"),
    _substance("sodium lactate", "", "sodium", "lactate"),
)  # fmt: skip
_BY_SPELLING = {spelling: substance for substance in SUBSTANCES for spelling in substance.spellings}
_LONGEST_FIRST = sorted(_BY_SPELLING, key=len, reverse=True)
_WITH_FIGURES = (
    (re.compile(r"\b(?:2-propanol|propan-2-ol)\b"), "isopropanol"),
    (re.compile(r"\b(?:propane?-1,2-diol|1,2-propanediol)\b"), "propylene glycol"),
)
_FILLER = frozenset({
    "a", "an", "the", "of", "in", "and", "with", "by", "aqueous", "solution", "water", "pure", "flakes", "flake",
    "pellets", "beads", "liquid", "usp", "bp", "ep", "grade", "food", "technical", "retail", "drugstore", "cosmetic",
    "strength", "pharmaceutical", "concentration", "bottle", "undenatured",
})  # fmt: skip


def tidy_words(text: str) -> str:
    """Lower case, one spelling for dashes, percent and names that hold figures; at most 200 characters."""
    said = text[:200].lower().translate(str.maketrans("–−º∶()[]_", "--°:     "))
    said = re.sub(r"per ?cent\b|pct\b", "%", said)
    for pattern, name in _WITH_FIGURES:
        said = pattern.sub(name, said)
    return " ".join(re.sub(r"(?<=[a-z])\.(?=\s|$|[a-z/])", "", said).split())


def substance_named(name: str) -> Substance:
    """The substance of a name or species id, such as "isopropanol" or "sodium_hydroxide".

    Raises `UnknownName`, which offers the nearest names.
    """
    substance = _BY_SPELLING.get(tidy_words(name))
    if substance is None:
        raise UnknownName("substance with a strength", name, _BY_SPELLING)
    return substance


def substance_in(text: str, words: str) -> Substance | None:
    """The one substance that tidy words name, None if they name none; `text` is what an error quotes.

    Raises `Ambiguous` for rubbing alcohol and lye, `BadInput` for denatured alcohol, unknown words and two names.
    """
    rest = f" {' '.join(re.sub(r'[^a-z0-9 -]', ' ', words).split())} "
    _ask_or_refuse(text, rest)
    found: dict[str, Substance] = {}
    for spelling in _LONGEST_FIRST:
        if f" {spelling} " in rest:
            found[_BY_SPELLING[spelling].name] = _BY_SPELLING[spelling]
            rest = rest.replace(f" {spelling} ", " ")
    if len(found) > 1 and " syrup " in f" {words} ":
        found.pop("sucrose", None)
    strange = [word for word in rest.split() if word not in _FILLER and word.strip("-")]
    if strange or len(found) > 1:
        what = f"“{strange[0]}” in “{text}” is not known" if strange else f"“{text}” names {' and '.join(found)}"
        raise BadInput(f"{what}.", remedy="Name one substance, such as ethanol, isopropanol, glycerol, sugar or NaOH.")
    return next(iter(found.values()), None)


def _ask_or_refuse(text: str, words: str) -> None:
    number = next(iter(re.findall(r"[0-9]+(?:[.,][0-9]+)?", text)), "70")
    if "rubbing alcohol" in words:
        choices = (f"{number} % vol isopropanol", f"{number} % vol ethanol")
        raise Ambiguous(text, choices, why="Rubbing alcohol is sold of either; the label says which.")
    if re.search(r" (denatured|methylated|denat|meths|fuel|stove) ", words):
        raise BadInput(
            f"“{text}” is alcohol with something in it, and one figure does not say what.",
            why="Denaturants can be methanol, ketones or petrol.",
            remedy="Enter its data sheet line by line, or its denaturing formula.",
        )
    if re.search(r"(?<!soda )(?<!potash )\blye\b", words) and not re.search(
        r"\b(naoh|koh|hydroxide|caustic)\b", words
    ):  # fmt: skip
        choices = (f"{number} % NaOH", f"{number} % KOH")
        raise Ambiguous(text, choices, why="Lye can be of sodium or of potassium hydroxide.")
