"""A material: a mixture of species with doubt, names and a source. Whatever is bought or made here is one."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Literal

from kettleglass.errors import BadInput, Finding
from kettleglass.materials.figure import Figure

Kind = Literal[
    "fat", "fatty acid", "alkali", "amine", "water", "spirit", "polyol", "sugar", "mixture", "acid", "salt",
    "chelator", "whitener", "fragrance", "dye", "made",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Doubt:
    """One way in which a composition may differ: composition + (z - z_nominal) * direction.

    `direction` is in g/g per unit z and sums to 0, so that mass closes in every draw. z runs from -1 to 1 over
    the limits of `figure`; `agreeing` is the part of that range in which the limits and the fatty acids agree.
    `key` names the lot and the figure: lines that share it share one draw. A doubt that is not `credited` may come
    about, but nobody can count on it (sugar that turns into acid): the chance of free alkali leaves it out.
    """

    key: str
    label: str
    direction: Mapping[str, float]
    figure: Figure
    agreeing: tuple[float, float] | None = None
    credited: bool = True

    def __post_init__(self) -> None:
        if abs(math.fsum(self.direction.values())) > 1e-9:
            raise BadInput(f"The doubt “{self.label}” adds or loses mass.", remedy="Let its direction sum to 0.")


@dataclass(frozen=True, slots=True)
class LabelNames:
    """Names for a label: as added (EU, US) and as the soap that forms."""

    eu: str = ""
    us: str = ""
    sodium_soap: str = ""
    potassium_soap: str = ""
    tea_soap: str = ""


@dataclass(frozen=True, slots=True)
class Material:
    """A mixture of species: `composition` in g/g sums to 1 (species ids as in `kettleglass.science.species`).

    `figures` are the facts it was built from; `traits` are marks that advice reads (``dark``, ``methanol``,
    ``lime`` ...); `density_g_ml` holds at about 20 °C, or as its note says, and lets it be measured by volume;
    `origin` is the plant or animal that it comes from.
    """

    id: str
    name: str
    kind: Kind
    composition: Mapping[str, float]
    doubts: tuple[Doubt, ...] = ()
    figures: Mapping[str, Figure] = field(default_factory=dict)
    traits: frozenset[str] = frozenset()
    names: LabelNames = LabelNames()
    density_g_ml: Figure | None = None
    aliases: tuple[str, ...] = ()
    note: str = ""
    remarks: tuple[Finding, ...] = ()
    cas: str = ""
    origin: str = ""

    def __post_init__(self) -> None:
        total = math.fsum(self.composition.values())
        if not abs(total - 1.0) <= 1e-6:
            raise BadInput(
                f"The parts of “{self.name}” add up to {total:.6g}, not to 1.",
                remedy="Name the rest “unspecified” if nobody knows what it is.",
            )

    @property
    def provisional(self) -> tuple[str, ...]:
        """The names of the figures that are known only from memory or assumed."""
        return tuple(name for name, figure in self.figures.items() if figure.provisional)

    def share(self, *species_ids: str) -> float:
        """Grams per gram of the named species together."""
        return math.fsum(self.composition.get(species_id, 0.0) for species_id in species_ids)


def closed(composition: Mapping[str, float], rest: str = "unspecified") -> dict[str, float]:
    """The composition with `rest` added so that it sums to 1; raises `BadInput` when it is already above 1."""
    total = math.fsum(composition.values())
    if total > 1.0 + 1e-9:
        raise BadInput(f"The parts add up to {100 * total:.4g} %.", remedy="They can be 100 % at most.")
    left = max(0.0, 1.0 - total)
    out = dict(composition)
    if left > 1e-12:
        out[rest] = out.get(rest, 0.0) + left
    return out


def swap_direction(out_of: Mapping[str, float], into: Mapping[str, float], amount: float) -> dict[str, float]:
    """A direction that turns `amount` g/g of one mixture into another (both sum to 1)."""
    ids = dict.fromkeys([*out_of, *into])
    return {sid: amount * (into.get(sid, 0.0) - out_of.get(sid, 0.0)) for sid in ids}


def blend(parts: Iterable[tuple[Material, float]]) -> dict[str, float]:
    """The composition of several materials together, by mass (shares are normalised)."""
    pairs = [(material, mass) for material, mass in parts if mass > 0.0]
    total = math.fsum(mass for _, mass in pairs)
    if not total > 0.0:
        raise BadInput("Nothing was put in.", remedy="Give at least one part with a mass above 0.")
    out: dict[str, float] = {}
    for material, mass in pairs:
        for species_id, share in material.composition.items():
            out[species_id] = out.get(species_id, 0.0) + share * mass / total
    return out
