"""How strong it is, as people say it: "190 proof", "95 % vol", "91 % isopropanol", "2:1 syrup", "50 % NaOH".

A strength becomes mass fractions of species with a doubt, the way from the words to the figure, and its sources.
What the trade reads in two ways is asked (`Ambiguous`); what cannot be is refused (`BadInput`).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field

from kettleglass.errors import Ambiguous, BadInput, Finding, KettleglassError
from kettleglass.materials.figure import Figure
from kettleglass.materials.material import swap_direction
from kettleglass.materials.substances import Basis, Substance, substance_in, substance_named, tidy_words
from kettleglass.science import mixture
from kettleglass.science.alcoholometry import OIML, PROPAN_2_OL_SOURCE, UK_PROOF_SOURCE, US_PROOF_SOURCE
from kettleglass.science.heat.lye import KOH_SATURATED, NAOH_SATURATED
from kettleglass.science.syrup import SOLUBILITY_SOURCE
from kettleglass.units import Region, parse_number

PHARMACOPOEIA_PERCENT = {70.0: (68.0, 72.0), 91.0: (91.0, 93.0), 99.0: (99.0, 100.0)}
"""Limits of retail propan-2-ol in % vol: USP 32, Isopropyl Rubbing Alcohol, Azeotropic Isopropyl Alcohol and
Isopropyl Alcohol (the last stated without a basis)."""
LABEL_TOLERANCE_PERCENT = 0.3
"""What the label of a spirit may be off, in % vol (EU and US rules, recalled)."""
_LYE_LIMITS = {
    "sodium hydroxide": (NAOH_SATURATED, "Great Soviet Encyclopedia (1979): 109 g in 100 g of water at 20 °C"),
    "potassium hydroxide": (KOH_SATURATED, "Bureau of Indian Standards: 121 g in 100 mL of water at 25 °C"),
}


def _water() -> dict[str, float]:
    return {"water": 1.0}


@dataclass(frozen=True, slots=True)
class Strength:
    """A strength understood.

    `fraction` is the mass fraction of the substance in g/g with its limits; `pure` and `rest` are one gram of the
    substance and of what goes with it, as species; `working` says how the figure came about; `remarks` are things
    to mind.
    """

    text: str
    substance: str
    fraction: Figure
    pure: Mapping[str, float]
    working: str
    sources: tuple[str, ...] = ()
    remarks: tuple[Finding, ...] = ()
    rest: Mapping[str, float] = field(default_factory=_water)

    @property
    def mass_fractions(self) -> dict[str, float]:
        """Grams per gram of each species; sums to 1."""
        return self.at(self.fraction.value)

    @property
    def low(self) -> float:
        """Lowest likely mass fraction of the substance, g/g."""
        return self.fraction.low

    @property
    def high(self) -> float:
        """Highest likely mass fraction of the substance, g/g."""
        return self.fraction.high

    @property
    def direction(self) -> dict[str, float]:
        """Half of the range as a change of composition in g/g, as a doubt of a material takes it; sums to 0."""
        return swap_direction(self.rest, self.pure, 0.5 * (self.high - self.low))

    def at(self, fraction: float) -> dict[str, float]:
        """The species of one gram that holds this mass fraction (0 to 1) of the substance."""
        ids = dict.fromkeys([*self.pure, *self.rest])
        return {sid: fraction * self.pure.get(sid, 0.0) + (1.0 - fraction) * self.rest.get(sid, 0.0) for sid in ids}


@dataclass(frozen=True, slots=True)
class _Said:
    """A figure in the unit in which it was said, with its limits there, and the way to a mass fraction."""

    value: float
    low: float
    high: float
    unit: str
    to_fraction: Callable[[float], float]
    sources: tuple[str, ...] = ()


def _around(value: float, half: float, most: float) -> tuple[float, float, float]:
    return value, max(0.0, value - half), min(most, value + half)


def _of_percent(percent: float) -> float:
    return percent / 100.0


def parse_strength(text: str, substance_hint: str | None = None, region: Region | None = None) -> Strength:
    """The strength that a text means.

    Args:
        text: "190 US proof", "95 % vol", "92.4 % w/w", "97-99 % NaOH", "min. 99.5 % glycerol", "2 parts sugar to
            1 part water", "2:1 syrup" (sugar first), "66 °Brix" and the like.
        substance_hint: what it is of where the text does not say: a name or species id, such as "ethanol".
        region: "US" or "UK" settles which proof is meant.

    Raises `Ambiguous` with clear ways to say it, `BadInput` for what cannot be read or cannot be (over 100 %),
    `UnknownName` for an unknown hint.
    """
    hint = None if substance_hint is None else substance_named(substance_hint)
    said, text = tidy_words(text), text if len(text) <= 60 else f"{text[:60]}…"
    if re.match(r"-\s*[0-9.,]", said):
        raise BadInput(f"“{text}” is less than nothing.", remedy="Write the strength without a minus sign.")
    strength = (
        _proof(text, said, hint, region) or _brix(text, said) or _parts(text, said, hint) or _percent(text, said, hint)
    )
    if strength is None:
        raise BadInput(
            f"“{text}” does not say how strong it is.",
            remedy="Write it like “95 % vol”, “190 US proof”, “91 % isopropanol”, “2:1 syrup” or “66 °Brix”.",
        )
    return strength


_NUMBER = r"(?:[0-9][0-9.,]*(?<![.,])|[.,][0-9]+)"
_PLACE = r"(?P<{}>us|u s|american|uk|u k|british|imperial|sikes)"
_PROOF = re.compile(
    rf"(?:{_PLACE.format('before')}\s+)?(?P<number>{_NUMBER})\s*°?\s*(?:{_PLACE.format('mid')}\s+)?"
    rf"(?:degrees?\s+)?proof(?:\s+{_PLACE.format('after')}\b)?(?P<words>.*)"
)


def _proof(text: str, said: str, hint: Substance | None, region: Region | None) -> Strength | None:
    match = _PROOF.fullmatch(said)
    if match is None:
        return None
    substance = substance_in(text, match["words"]) or hint or substance_named("ethanol")
    if substance.name != "ethanol":
        raise BadInput(f"“{text}” gives a proof of {substance.name}.", remedy="Proof is of ethanol; give a percentage.")
    number, place = match["number"], match["before"] or match["mid"] or match["after"]
    if place is None and region is None:
        why = f"US proof is twice the % vol; British proof ends at {mixture.most_uk_proof():.0f}, for pure alcohol."
        raise Ambiguous(text, (f"{number} US proof", f"{number} UK proof"), why=why)
    if place.startswith(("us", "u s", "am")) if place else region == "US":
        said_so = _around(_possible(text, number, 200.0), max(_half_of(number), 2.0 * LABEL_TOLERANCE_PERCENT), 200.0)
        band = _Said(*said_so, " US proof", mixture.ethanol_mass_fraction_from_us_proof, (US_PROOF_SOURCE, OIML))
    else:
        most = mixture.most_uk_proof()
        remedy = f"Is “{number} US proof” meant? British proof ends at {most:.1f}, for pure alcohol."
        half = max(_half_of(number), 0.01 * most * LABEL_TOLERANCE_PERCENT)
        said_so = _around(_possible(text, number, most, remedy), half, most)
        band = _Said(*said_so, " UK proof", mixture.ethanol_mass_fraction_from_uk_proof, (UK_PROOF_SOURCE, OIML))
    return _strength(text, substance, band)


_BRIX = re.compile(rf"(?P<number>{_NUMBER})\s*°?\s*(?:degrees?\s+)?(?:brix|bx)(?P<words>.*)")


def _brix(text: str, said: str) -> Strength | None:
    match = _BRIX.fullmatch(said)
    if match is None:
        return None
    substance = substance_in(text, match["words"]) or substance_named("sucrose")
    if substance.name != "sucrose":
        raise BadInput(f"“{text}” gives °Brix of {substance.name}.", remedy="°Brix is of sugar; give a percentage.")
    value = _possible(text, match["number"], 100.0)
    source = "°Brix is the mass of sucrose in 100 g of syrup (ICUMSA)"
    band = _Said(*_around(value, max(_half_of(match["number"]), 0.2), 100.0), " °Brix", _of_percent, (source,))
    return _strength(text, substance, band)


_SMALL = r"(?:[0-9]+(?:[.,][0-9]+)?(?:\s[0-9]+/[0-9]+)?|[0-9]*[½¼¾⅓⅔])"
_PARTS = re.compile(
    rf"(?P<lead>[a-z ,-]*?)(?P<first>{_SMALL})(?P<one>[a-z ,-]*?)(?::|\bto\b|\band\b|,|\+|/)\s*"
    rf"(?P<second>{_SMALL})(?P<other>[a-z ,:+/-]*)"
)
_MEASURES = re.compile(r"\b(volume|vol|v/v|cups?|ml|litres?|liters?|l|tbsp|tsp|fl oz|pints?)\b")
_PARTS_WORDS = re.compile(r"\b(parts?|by weight|by mass|weight|mass|ratio|grams?|g|kg|oz|lbs?)\b")


def _parts(text: str, said: str, hint: Substance | None) -> Strength | None:
    match = _PARTS.fullmatch(said)
    if match is None:
        return None
    if _MEASURES.search(said):
        raise BadInput(
            f"“{text}” gives parts by volume.",
            why="How much a cup of sugar weighs depends on how it is filled.",
            remedy="Weigh both and write the parts by mass, such as “2 parts sugar to 1 part water”.",
        )
    first, second = (parse_number(match[name].replace(",", "."), at_least=0.0) for name in ("first", "second"))
    if not first + second > 0.0:
        raise BadInput(f"“{text}” holds nothing.", remedy="Give at least one part above 0.")
    substance, order = _what_in_parts(text, (match["lead"], match["one"], match["other"]), hint)
    solute, water = (second, first) if order == "water first" else (first, second)
    percent = 100.0 * solute / (solute + water)
    custom = f" ({substance.name} first, by custom)" if order == "not said" else ""
    working = f"{solute:g} / ({solute:g} + {water:g}) by mass{custom} = {percent:.4g} % {substance.name}"
    return _strength(text, substance, _Said(*_around(percent, 0.5, 100.0), " %", _of_percent), working=working)


def _what_in_parts(text: str, places: tuple[str, str, str], hint: Substance | None) -> tuple[Substance, str]:
    """The substance that goes with water, and which of the two comes first."""
    lead, one, other = (" ".join(_PARTS_WORDS.sub(" ", part).split()) for part in places)
    names = [one, other] if one.strip(" ,-") else [name.strip() for name in re.split(r"\bto\b|\band\b|[:+/,]", other)]
    names = [name for name in names if name]
    found = [substance_in(text, name) for name in (*names, lead) if name != "water"]
    substances = {substance.name: substance for substance in found if substance is not None}
    if len(substances) > 1:
        raise BadInput(f"“{text}” names two substances beside water.", remedy="Enter each on a line of its own.")
    substance = next(iter(substances.values()), hint)
    if substance is None:
        raise BadInput(f"“{text}” does not say what is mixed.", remedy="Write it like “2:1 syrup”.")
    if substance.name in ("ethanol", "propan-2-ol"):
        raise BadInput(
            f"“{text}” leaves open whether {substance.name} and water were measured or weighed.",
            remedy="Enter the spirit and the water on two lines, or give its strength in %.",
        )
    if names[:1] == ["water"]:
        return substance, "water first"
    return substance, "said" if len(names) > 1 or "water" in other else "not said"


_BASES: tuple[tuple[Basis | None, re.Pattern[str]], ...] = (
    (None, re.compile(r"\b[wm] ?/ ?v\b|\bg ?/ ?(?:l|100 ?ml)\b")),
    ("volume", re.compile(r"\balc(?:ohol)? ?(?:/|by) ?vol(?:ume)?\b|\babv\b|\bv ?/ ?v\b|\b(?:by )?vol(?:ume)?\b")),
    ("mass", re.compile(r"\babw\b|\b[wm] ?/ ?[wm]\b|\bby (?:weight|mass|wt)\b|\bmass\b|\bweight\b|\bwt\b")),
)
_PERCENT = re.compile(
    rf"(?P<lead>[^0-9]*?)(?P<least>≥|>=|>|min(?:imum)?|at least)?\s*(?P<number>{_NUMBER})"
    rf"\s*(?:%?\s*(?:-|to)\s*(?P<top>{_NUMBER}))?\s*(?P<sign>%)?(?P<words>.*)"
)


def _percent(text: str, said: str, hint: Substance | None) -> Strength | None:
    match = _PERCENT.fullmatch(said)
    if match is None:
        return None
    stated, words = _basis_in(text, f"{match['lead']} {match['words']}")
    if match["sign"] is None and stated is None:
        return None
    named = substance_in(text, words)
    substance = named or hint or substance_named("ethanol")
    limits = _limits(text, match, substance, stated)
    basis = stated or substance.custom or _either(limits[0]) or _ask_basis(text, match, named)
    remarks = []
    if named is None and hint is None and basis == "mass":
        remarks.append(_assumed_ethanol(text))
    if substance.name == "propan-2-ol" and stated is None:
        remarks.append(_by_custom(text, limits[0]))
    working = f"{limits[1]:.4g} to {limits[2]:.4g} %, the middle taken: " if match["top"] or match["least"] else ""
    return _strength(text, substance, _band(text, substance, basis, limits), prefix=working, remarks=tuple(remarks))


def _either(percent: float) -> Basis | None:
    """Nothing and everything are the same by volume and by mass."""
    return "mass" if percent in (0.0, 100.0) else None


def _basis_in(text: str, words: str) -> tuple[Basis | None, str]:
    """By volume or by mass, if that is said, and the words without it."""
    found: list[Basis] = []
    for basis, pattern in _BASES:
        rest = pattern.sub(" ", words)
        if rest == words:
            continue
        if basis is None:
            why = "That is neither a share by mass nor one by volume."
            raise BadInput(f"“{text}” gives grams in a volume.", why=why, remedy="Give it in % by mass.")
        found.append(basis)
        words = rest
    if len(found) > 1:
        raise BadInput(f"“{text}” speaks of volume and of mass.", remedy="Write “% vol” or “% mass”.")
    return (found[0] if found else None), words


def _limits(
    text: str, match: re.Match[str], substance: Substance, stated: Basis | None
) -> tuple[float, float, float]:  # fmt: skip
    """The figure said, in %, with its limits: a range, a minimum, or half a unit of the last digit written."""
    value = _possible(text, match["number"], 100.0)
    if match["top"]:
        top = _possible(text, match["top"], 100.0)
        if top < value:
            raise BadInput(f"“{text}” runs from high to low.", remedy=f"Write {match['top']}-{match['number']} %.")
        return 0.5 * (value + top), value, top
    if match["least"]:
        return 0.5 * (value + 100.0), value, 100.0
    by_volume = (stated or substance.custom) == "volume"
    if substance.name == "propan-2-ol" and by_volume and value in PHARMACOPOEIA_PERCENT:
        return (value, *PHARMACOPOEIA_PERCENT[value])
    return _around(value, max(_half_of(match["number"]), LABEL_TOLERANCE_PERCENT if by_volume else 0.0), 100.0)


def _band(text: str, substance: Substance, basis: Basis, limits: tuple[float, float, float]) -> _Said:
    if basis == "mass":
        return _Said(*limits, " % by mass", _of_percent)
    if substance.name == "ethanol":
        return _Said(*limits, " % vol at 20 °C", lambda p: mixture.ethanol_mass_fraction_from_abv(p / 100.0), (OIML,))
    if substance.name == "propan-2-ol":
        to_fraction = mixture.propan_2_ol_mass_fraction_from_volume_fraction
        return _Said(*limits, " % vol at 20 °C", lambda p: to_fraction(p / 100.0), (PROPAN_2_OL_SOURCE,))
    raise BadInput(
        f"“{text}” gives {substance.name} by volume.",
        why="Only alcohols are sold that way, and only for them are the densities at hand.",
        remedy="Give it in % by mass.",
    )


def _ask_basis(text: str, match: re.Match[str], named: Substance | None) -> Basis:
    number = match["number"] + (f"-{match['top']}" if match["top"] else "")
    name = f" {named.name}" if named else ""
    why = "A label in % of alcohol may mean by volume (the custom for spirits) or by mass."
    raise Ambiguous(text, (f"{number} % vol{name}", f"{number} % mass{name}"), why=why)


def _possible(text: str, number: str, most: float, remedy: str = "Check the number and its unit.") -> float:
    """The figure, if it lies from 0 to `most`."""
    try:
        return parse_number(number, at_least=0.0, at_most=most)
    except Ambiguous:
        raise
    except KettleglassError as error:
        raise BadInput(f"“{text}” cannot be: {most:.4g} is pure.", remedy=remedy) from error


def _half_of(number: str) -> float:
    """Half the value of the last digit written: 0.5 for "95", 0.05 for "92.4"."""
    match = re.search(r"[.,]([0-9]+)$", number)
    return 0.5 * 10.0 ** -len(match[1]) if match else 0.5


def _strength(
    text: str,
    substance: Substance,
    said: _Said,
    *,
    prefix: str = "",
    working: str = "",
    remarks: tuple[Finding, ...] = (),
) -> Strength:
    value, low, high = (float(said.to_fraction(figure)) for figure in (said.value, said.low, said.high))
    note = f"{said.low:.4g} to {said.high:.4g}{said.unit}"
    figure = Figure(value, low, high, "g/g", said.sources[0] if said.sources else "as stated", "maker", note=note)
    mass = "" if said.unit == " % by mass" else f" = {100.0 * value:.4g} % by mass"
    way = working or f"{prefix}{said.value:.4g}{said.unit}{mass} of {substance.name}"
    minded = (*remarks, *_saturated(substance.name, value))
    return Strength(text, substance.name, figure, substance.pure, way, said.sources, minded, {substance.rest: 1.0})


def _saturated(name: str, fraction: float) -> Iterator[Finding]:
    """What to mind of a solution that holds more than cold water dissolves; solids as bought are none."""
    if name == "sucrose" and mixture.sucrose_solubility_mass_fraction(20.0) < fraction < 0.98:
        boils_first = fraction > mixture.sucrose_solubility_mass_fraction(100.0)
        warm = 100.0 if boils_first else mixture.sucrose_saturation_temperature_c(fraction)
        said = "more than water dissolves at 100 °C" if boils_first else f"saturated at {warm:.0f} °C"
        yield Finding(
            "note" if warm <= 40.0 else "caution",
            "syrup-saturated",
            f"A syrup of {100.0 * fraction:.3g} °Brix is {said}: colder, sugar can crystallise.",
            "Use it warm, or make it with more water; 66 °Brix keeps at room temperature.",
            source=SOLUBILITY_SOURCE,
        )
    limit, source = _LYE_LIMITS.get(name, (1.0, ""))
    if limit < fraction < 0.8:
        yield Finding(
            "caution",
            "lye-saturated",
            f"A lye of {100.0 * fraction:.3g} % does not stay dissolved: cold water holds {100.0 * limit:.3g} %.",
            "Check the figure; if it is right, warm and stir it before weighing.",
            source=source,
        )


def _assumed_ethanol(text: str) -> Finding:
    advice = "Name it if it is something else, such as “99.5 % glycerol”."
    return Finding("note", "substance-assumed", f"“{text}” names no substance and is read as ethanol.", advice)


def _by_custom(text: str, percent: float) -> Finding:
    mass = 100.0 * mixture.propan_2_ol_mass_fraction_from_volume_fraction(percent / 100.0)
    return Finding(
        "note",
        "read-by-volume",
        f"“{text}” is read by volume, as retail bottles of isopropanol are by custom: {mass:.3g} % by mass.",
        f"If the label says by mass, write “{percent:g} % mass isopropanol”.",
        source="common practice, no source; limits of 70, 91 and 99 %: USP 32",
    )
