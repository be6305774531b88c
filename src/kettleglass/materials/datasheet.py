"""The data sheet of a spirit, typed line by line: what it is made of, and whether soap can be made with it."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from kettleglass.errors import BadInput, Finding, most_serious_first
from kettleglass.materials.denaturants import Denaturant, denaturants, find_denaturant, undeclared_spirit
from kettleglass.materials.denaturing import Added, DenaturingFormula, formulas, sda
from kettleglass.materials.figure import Figure
from kettleglass.materials.material import Doubt, swap_direction
from kettleglass.units import parse_number

__all__ = [
    "Added", "Component", "DataSheet", "Denaturant", "DenaturingFormula", "denaturants", "formulas", "read_datasheet",
    "sda", "undeclared_spirit",
]  # fmt: skip

MOST_UNNAMED = 0.15
"""A larger share without a name leaves open what is bought (house rule): water in spirits is at most about that."""
MOST_UNKNOWN = 0.01
"""Up to so much of a substance that the table does not know (house rule)."""
_TRACE = 0.001


@dataclass(frozen=True, slots=True)
class Component:
    """One line of a data sheet: limits and the share taken, mass fractions in g/g; `denaturant` None if unknown."""

    said: str
    low: float
    high: float
    share: float
    species: Mapping[str, float]
    denaturant: Denaturant | None

    @property
    def name(self) -> str:
        """Its name in the table, or as it was typed."""
        return self.denaturant.name if self.denaturant else self.said

    @property
    def range_text(self) -> str:
        """The limits as people say them, in %."""
        low, high = f"{100.0 * self.low:.3g}", f"{100.0 * self.high:.3g}"
        return f"up to {high} %" if self.low == 0.0 else f"{low} %" if low == high else f"{low} to {high} %"


@dataclass(frozen=True, slots=True)
class DataSheet:
    """A spirit as its data sheet describes it.

    `unnamed` is the share that no line names (value, low and high in g/g). `verdict` is what to mind, most serious
    first; `suitable` whether soap can be made with it as far as the sheet goes; `mass_fractions` the species of one
    gram, of which what nobody names is `unspecified`.
    """

    components: tuple[Component, ...]
    unnamed: Figure
    verdict: tuple[Finding, ...]
    suitable: bool
    mass_fractions: Mapping[str, float]

    @property
    def unnamed_low(self) -> float:
        """The least that no line names, g/g."""
        return self.unnamed.low

    @property
    def unnamed_high(self) -> float:
        """The most that no line names, g/g."""
        return self.unnamed.high

    def doubts(self, key: str) -> tuple[Doubt, ...]:
        """One doubt for each line with a range: more of it in place of everything else. `key` names the lot."""
        out = []
        for place, part in enumerate(self.components, 1):
            half = 0.5 * (part.high - part.low)
            if half > 1e-6 and part.share < 1.0:
                others = _others(self.mass_fractions, part)
                figure = Figure(part.share, part.low, part.high, "g/g", "data sheet", "maker")
                out.append(Doubt(f"{key}/{place}", part.name, swap_direction(others, part.species, half), figure))
        return tuple(out)


def _others(whole: Mapping[str, float], part: Component) -> dict[str, float]:
    """One gram of the mixture without that part."""
    left = {sid: max(0.0, mass - part.share * part.species.get(sid, 0.0)) for sid, mass in whole.items()}
    total = math.fsum(left.values())
    return {sid: mass / total for sid, mass in left.items()}


def read_datasheet(lines: Iterable[tuple[str, str]]) -> DataSheet:
    """What the lines of a data sheet say, each a substance (name or CAS number) and a share by mass.

    Shares: "80-95 %", "<5", "≥ 99.5 %", "5 %", "50 ppm", "trace", "balance". Within its limits each share is taken in
    the middle, all a little lower if the middles exceed 100 %; what is left over is unnamed.

    Raises `BadInput` for no lines, shares that cannot be read or exceed 100 % together, and mistyped CAS numbers.
    """
    read = [_line(substance, share) for substance, share in lines]
    if not read:
        raise BadInput("The data sheet has no lines.", remedy="Enter each substance of section 3 with its share.")
    components, unnamed = _shares(read)
    findings = (*_on_parts(components), *_on_unnamed(unnamed, components))
    spoiled = any(finding.code in _SPOILED for finding in findings)
    composition: dict[str, float] = {"unspecified": unnamed.value} if unnamed.value > 0.0 else {}
    for part in components:
        for species_id, share in part.species.items():
            composition[species_id] = composition.get(species_id, 0.0) + share * part.share
    if not spoiled:
        findings = (*findings, _good(components))
    return DataSheet(components, unnamed, most_serious_first(findings), not spoiled, composition)


@dataclass(frozen=True, slots=True)
class _Line:
    said: str
    low: float
    high: float
    balance: bool
    denaturant: Denaturant | None


_NUMBER = r"[0-9][0-9.,]*(?<![.,])|[.,][0-9]+"
_SHARE = re.compile(
    rf"(?P<mark>[<>≤≥=~ ]*)(?P<first>{_NUMBER})\s*%?\s*(?:(?:-|to|and)\s*(?P<mark2>[<>≤≥= ]*)(?P<second>{_NUMBER}))?"
    r"\s*(?P<unit>%|ppm)?"
)
_BY_MASS = re.compile(r"\b[wm] ?/ ?[wm]\b|\bwt\b\.?|\bby (?:weight|mass)\b|\bweight\b|\bmass\b")


def _line(substance: str, share: str) -> _Line:
    said = " ".join(substance.split())[:120]
    if not said:
        raise BadInput("A line of the data sheet names no substance.", remedy="Write its name or CAS number.")
    limits = _limits(said, share)
    low, high = limits or (0.0, 1.0)
    return _Line(said, low, high, limits is None, None if undeclared_spirit(said) else find_denaturant(said))


def _limits(said: str, share: str) -> tuple[float, float] | None:
    """Low and high mass fraction of a share as typed; None for the balance."""
    text = " ".join(share[:80].lower().replace("–", "-").replace("−", "-").replace("percent", "%").split())
    if text in ("balance", "remainder", "rest", "q.s.", "qs", "to 100 %", "to 100"):
        return None
    if text in ("trace", "traces", "tr"):
        return 0.0, _TRACE
    if re.search(r"\bvol\b|v ?/ ?v|by volume", text):
        why = "A mixture by volume cannot be added up."
        raise BadInput(f"{said}: “{share[:80]}” is by volume.", why=why, remedy="Give each share in % by mass.")
    match = _SHARE.fullmatch(" ".join(_BY_MASS.sub(" ", text.replace("<=", "≤").replace(">=", "≥")).split()))
    if match is None:
        raise BadInput(
            f"{said}: “{share[:80]}” is not a share.",
            remedy="Write it like “80-95 %”, “<5 %”, “≥ 99.5 %”, “5 %”, “50 ppm”, “trace” or “balance”.",
        )
    return _range(said, match)


def _range(said: str, match: re.Match[str]) -> tuple[float, float]:
    scale, most = (1e-6, 1e6) if match["unit"] == "ppm" else (0.01, 100.0)
    first = parse_number(match["first"], at_least=0.0, at_most=most)
    if match["second"]:
        second = parse_number(match["second"], at_least=0.0, at_most=most)
        if second < first:
            raise BadInput(f"{said}: “{match[0]}” runs from high to low.", remedy="Write the lower share first.")
        return scale * first, scale * second
    if set("<≤") & set(match["mark"]):
        return 0.0, scale * first
    if set(">≥") & set(match["mark"]):
        return scale * first, 1.0
    if first == most:
        return 1.0, 1.0
    decimals = re.search(r"[.,]([0-9]+)$", match["first"])
    half = 0.5 * 10.0 ** -(len(decimals[1]) if decimals else 0)
    return scale * max(0.0, first - half), scale * min(most, first + half)


def _shares(lines: list[_Line]) -> tuple[tuple[Component, ...], Figure]:
    """The share taken of each line, and what is left without a name."""
    given = [line for line in lines if not line.balance]
    lowest, highest = (math.fsum(values) for values in ([g.low for g in given], [g.high for g in given]))
    if lowest > 1.0 + 5e-4:
        raise BadInput(
            f"The shares add up to at least {100.0 * lowest:.4g} %.", remedy="Together they can be 100 % at most."
        )  # fmt: skip
    middle = math.fsum(0.5 * (line.low + line.high) for line in given)
    pull = min(1.0, max(0.0, 1.0 - lowest) / (middle - lowest)) if middle > lowest else 1.0
    fit = 1.0 / lowest if lowest > 1.0 else 1.0
    taken = {id(line): fit * (line.low + pull * 0.5 * (line.high - line.low)) for line in given}
    left = max(0.0, 1.0 - math.fsum(taken.values()))
    least, most = max(0.0, 1.0 - highest), max(left, 1.0 - lowest)
    balances = [line for line in lines if line.balance]
    components = [
        _component(
            line, (least, most, left / len(balances)) if line.balance else (line.low, line.high, taken[id(line)])
        )
        for line in lines
    ]
    rest = (0.0, 0.0, 0.0) if balances else (left, min(least, left), most)
    return tuple(components), Figure(*rest, "g/g", "data sheet", "derived")


def _component(line: _Line, limits: tuple[float, float, float]) -> Component:
    low, high, share = limits
    if line.denaturant is not None:
        species: Mapping[str, float] = line.denaturant.species
    else:
        species = {"volatile_other" if undeclared_spirit(line.said) else "unspecified": 1.0}
    return Component(line.said, min(low, share), max(high, share), share, species, line.denaturant)


_SPOILED = {"component-unsuitable", "spirit-undeclared", "component-unknown", "sheet-incomplete"}


def _on_parts(components: tuple[Component, ...]) -> Iterator[Finding]:
    for part in components:
        undeclared = undeclared_spirit(part.said)
        if undeclared is not None:
            yield undeclared
        elif part.denaturant is not None:
            found = part.denaturant.finding(part.high, part.range_text)
            if found is not None:
                yield found
        else:
            yield _unknown(part)
    yield from _on_lye(components)


def _unknown(part: Component) -> Finding:
    small = part.high <= MOST_UNKNOWN
    return Finding(
        "note" if small else "caution",
        "component-unknown-trace" if small else "component-unknown",
        f"“{part.said}”, {part.range_text}, is not in the table: nobody has judged it here.",
        "Ask the supplier what it is, and enter its CAS number.",
        where=part.said,
    )


def _on_lye(components: tuple[Component, ...]) -> Iterator[Finding]:
    for cation, name in (("sodium", "sodium hydroxide"), ("potassium", "potassium hydroxide")):
        bringing = [part for part in components if cation in part.species]
        grams = 100.0 * math.fsum(
            part.share * (part.species[cation] + part.species["hydroxide"]) for part in bringing
        )  # fmt: skip
        if grams > 0.0:
            yield Finding(
                "caution", "spirit-brings-lye", f"100 g of it bring {grams:.2g} g of {name}.",
                "It is counted in the lye: the recipe takes that much less.", where=name,
            )  # fmt: skip


def _on_unnamed(unnamed: Figure, components: tuple[Component, ...]) -> Iterator[Finding]:
    if unnamed.high <= 0.005:
        return
    much = unnamed.value > MOST_UNNAMED
    said = f"{100.0 * unnamed.low:.3g} to {100.0 * unnamed.high:.3g} % of it has no name on the sheet."
    if unnamed.low == 0.0:
        said = f"Up to {100.0 * unnamed.high:.3g} % of it has no name on the sheet."
    water = any(part.name == "water" for part in components)
    usual = "" if water else " Often it is water, but the sheet does not say so."
    yield Finding(
        "caution" if much else "note",
        "sheet-incomplete" if much else "sheet-rest",
        said + usual,
        "Ask the supplier, and add a line “water, balance” if that is what it is.",
    )


def _good(components: tuple[Component, ...]) -> Finding:
    named = ", ".join(f"{part.name} {100.0 * part.share:.3g} %" for part in components if part.share >= 0.0005)
    return Finding("note", "spirit-suitable", f"Nothing named spoils soap: {named}, by mass.")
