"""Everything of the catalogue that is not a fat: from the parts in the tables to mixtures with doubt.

A part is a species, a pure compound, or a fat of the catalogue; its share is printed as its source says it (% mass,
% vol, US proof) and converted here. A part with limits is exchanged against another part, so mass closes.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cache

from kettleglass.errors import BadInput, Finding, UnknownName
from kettleglass.materials.bibliography import source_of
from kettleglass.materials.figure import Figure
from kettleglass.materials.goods.fats import fat_ids, fat_material
from kettleglass.materials.goods.labels import label_names
from kettleglass.materials.material import Doubt, Material, closed, swap_direction
from kettleglass.materials.tables import Row, known_of, number, read_table, table_by, words
from kettleglass.science import mixture
from kettleglass.science.basis import acids_in
from kettleglass.science.species import PLAIN

REST = "rest"
"""Written instead of a share: what is left of the whole."""
TURNED = "sugar_to_acid_fraction"
"""The figure that says how much of a reducing sugar lye turns into acid."""

COMPOUNDS: Mapping[str, Mapping[str, int]] = {
    "sodium_hydroxide": {"sodium": 1, "hydroxide": 1},
    "potassium_hydroxide": {"potassium": 1, "hydroxide": 1},
    "sodium_carbonate": {"sodium": 2, "carbonate": 1},
    "potassium_carbonate": {"potassium": 2, "carbonate": 1},
    "sodium_chloride": {"sodium": 1, "chloride": 1},
    "sodium_lactate": {"sodium": 1, "lactate": 1},
    "trisodium_citrate": {"sodium": 3, "citrate": 1},
}
"""Pure salts as moles of their ions."""
_SPECIES = frozenset(species.id for species in PLAIN)
_MOLAR_MASS_G = {species.id: species.molar_mass_g_mol for species in PLAIN if species.molar_mass_g_mol}


def good_ids() -> tuple[str, ...]:
    """The ids of the goods, in the order of the table."""
    return tuple(row["good"] for row in read_table("goods"))


@cache
def pure(part: str) -> Mapping[str, float]:
    """A part as species in g/g: the ions of a compound, a fat of the catalogue, or the species itself.

    Raises `UnknownName` for anything else.
    """
    if part in COMPOUNDS:
        grams = {ion: count * _MOLAR_MASS_G[ion] for ion, count in COMPOUNDS[part].items()}
        total = sum(grams.values())
        return {ion: mass / total for ion, mass in grams.items()}
    if part in fat_ids():
        return fat_material(part).composition
    if part not in _SPECIES and not acids_in([part]):
        raise UnknownName("species or compound", part, [*_SPECIES, *COMPOUNDS, *fat_ids()])
    return {part: 1.0}


def mass_fraction(value: float, unit: str, part: str) -> float:
    """Grams of a part per gram from a share as people say it: ``% mass``, ``g/g``, ``% vol``, ``US proof``.

    Raises `BadInput` for another unit, or for a volume of something else than ethanol or propan-2-ol; `OutOfRange`
    beyond what the unit can say.
    """
    if unit == "g/g":
        return value
    if unit == "% mass":
        return value / 100.0
    if (unit, part) == ("% vol", "ethanol"):
        return mixture.ethanol_mass_fraction_from_abv(value / 100.0)
    if (unit, part) == ("% vol", "propan_2_ol"):
        return mixture.propan_2_ol_mass_fraction_from_volume_fraction(value / 100.0)
    if (unit, part) == ("US proof", "ethanol"):
        return mixture.ethanol_mass_fraction_from_us_proof(value)
    raise BadInput(f"{value:g} {unit} of {part} cannot be turned into a mass.", remedy="Give it in % mass.")


@dataclass(frozen=True, slots=True)
class Part:
    """A part of a good in g/g; `figure` and `against` are empty where its share is not in doubt."""

    name: str
    share: float
    low: float
    high: float
    figure_name: str
    against: str
    figure: Figure


@cache
def parts_of(good_id: str) -> tuple[Part, ...]:
    """The parts of a good; their shares sum to 1. Raises `BadInput` when the table gives more than the whole."""
    rows = table_by("goods_parts", "good")[good_id]
    said = [_part(row) for row in rows if row["percent"] != REST]
    left = 1.0 - sum(part.share for part in said)
    rest = [row for row in rows if row["percent"] == REST]
    if left < -1e-9 or len(rest) > 1 or (not rest and abs(left) > 1e-9):
        raise BadInput(f"The parts of “{good_id}” do not add up.", remedy="Let one part be the rest of the whole.")
    return (*said, *(_rest(row, max(0.0, left)) for row in rest))


def _part(row: Row) -> Part:
    value = float(row["percent"])
    low, high = (value if limit is None else limit for limit in (number(row, "low"), number(row, "high")))
    share, least, most = (mass_fraction(x, row["unit"], row["part"]) for x in (value, low, high))
    figure = _part_figure(row, value, low, high)
    return Part(row["part"], share, least, most, row["figure"], row["against"], figure)


def _part_figure(row: Row, value: float, low: float, high: float) -> Figure:
    """Purity is shown in g/g, every other share in the unit of its source."""
    unit, scale = ("g/g", 0.01) if row["figure"] == "purity" else (row["unit"], 1.0)
    return Figure(
        scale * value, scale * low, scale * high, unit, source_of(row["source_key"]).named(row["detail"]),
        known_of(row), note=row["note"], source_key=row["source_key"],
    )  # fmt: skip


def _rest(row: Row, left: float) -> Part:
    return Part(row["part"], left, left, left, "", "", _part_figure(row, 100.0 * left, 100.0 * left, 100.0 * left))


def good_material(good_id: str) -> Material:
    """A good of the catalogue. Raises `UnknownName` for an id that is not in the table."""
    rows = table_by("goods", "good").get(good_id)
    if rows is None:
        raise UnknownName("good", good_id, good_ids())
    row, parts = rows[0], parts_of(good_id)
    figures = {part.figure_name: part.figure for part in parts if part.figure_name} | _figures(good_id)
    density = figures.pop("density_g_ml", None) or _computed_density(parts)
    return Material(
        id=good_id, name=row["name"], kind=row["kind"], composition=_composition(parts),  # type: ignore[arg-type]
        doubts=tuple(_doubts(good_id, row["name"], parts, figures)), figures=figures,
        traits=frozenset(row["traits"].split()), names=label_names(good_id), density_g_ml=density,
        aliases=words(row["aliases"]), note=_note(row), remarks=_remarks(good_id), cas=row["cas"], origin=row["origin"],
    )  # fmt: skip


def _note(row: Row) -> str:
    hazards = f"Hazard statements of the undiluted good: {row['hazards']}." if row["hazards"] else ""
    return " ".join(part for part in (row["note"], hazards) if part)


def _composition(parts: tuple[Part, ...]) -> dict[str, float]:
    out: dict[str, float] = {}
    for part in parts:
        for species_id, share in pure(part.name).items():
            out[species_id] = out.get(species_id, 0.0) + part.share * share
    return closed(out)


def _doubts(good_id: str, name: str, parts: tuple[Part, ...], figures: Mapping[str, Figure]) -> list[Doubt]:
    doubts = []
    for part in parts:
        if part.figure_name and part.low < part.high:
            direction = swap_direction(pure(part.against), pure(part.name), 0.5 * (part.high - part.low))
            label = f"{_spoken(part.figure_name)} of {name}"
            doubts.append(Doubt(f"{good_id}/{part.figure_name}", label, direction, part.figure))
        if part.name in fat_ids():
            doubts += [_scaled(doubt, part.share, good_id, name) for doubt in fat_material(part.name).doubts]
        if part.name == "hexoses" and TURNED in figures:
            doubts.append(_turning(good_id, name, part.share, figures[TURNED]))
    return doubts


def _scaled(doubt: Doubt, share: float, good_id: str, name: str) -> Doubt:
    direction = {species_id: share * grams for species_id, grams in doubt.direction.items()}
    return replace(doubt, key=f"{good_id}/{doubt.key}", label=f"{doubt.label} in {name}", direction=direction)


def _turning(good_id: str, name: str, share: float, figure: Figure) -> Doubt:
    """C6H12O6 -> 2 C3H6O3: the masses are equal, so the direction closes by itself."""
    half = 0.5 * (figure.high - figure.low) * share
    direction = {"hexoses": -half, "lactic_acid": half}
    return Doubt(f"{good_id}/{TURNED}", f"sugar of {name} that turns into acid", direction, figure, credited=False)


def _spoken(figure_name: str) -> str:
    return {"water": "water", "fat": "fat content", "carrier": "carrier share"}.get(figure_name, figure_name)


def _figures(good_id: str) -> dict[str, Figure]:
    return {row["figure"]: _figure(row) for row in table_by("goods_figures", "good").get(good_id, ())}


def _figure(row: Row) -> Figure:
    value, low, high = (float(row[column]) for column in ("value", "low", "high"))
    return Figure(value, low, high, row["unit"], source_of(row["source_key"]).named(row["detail"]), known_of(row),
                  note=row["note"], source_key=row["source_key"])  # fmt: skip


def _remarks(good_id: str) -> tuple[Finding, ...]:
    return tuple(
        Finding(row["level"], row["code"], row["text"], row["advice"], good_id,  # type: ignore[arg-type]
                source_of(row["source_key"]).short if row["source_key"] else "")
        for row in table_by("goods_remarks", "good").get(good_id, ())
    )  # fmt: skip


def _computed_density(parts: tuple[Part, ...]) -> Figure | None:
    """Density in g/mL at 20 °C of a spirit, a syrup or glycerol with water; None for anything else."""
    if len(parts) != 2 or parts[1].name != "water":
        return None
    return density_with_water(parts[0].name, parts[0].share, parts[0].low, parts[0].high)


def density_with_water(species_id: str, share: float, low: float, high: float) -> Figure | None:
    """Density in g/mL at 20 °C of a mixture with water at these mass fractions; None where no formula is at hand."""
    if species_id not in _DENSITIES or (species_id == "sucrose" and high > 0.85):
        return None
    formula, key = _DENSITIES[species_id]
    values = [formula(fraction, 20.0) / 1000.0 for fraction in (share, low, high)]
    return Figure(values[0], min(values), max(values), "g/mL", source_of(key).named("20 °C"), "derived", source_key=key)


_DENSITIES: Mapping[str, tuple[Callable[[float, float], float], str]] = {
    "ethanol": (mixture.ethanol_water_density_kg_m3, "oiml-r22"),
    "propan_2_ol": (mixture.propan_2_ol_water_density_kg_m3, "crc-concentrative"),
    "sucrose": (mixture.sucrose_water_density_kg_m3, "icumsa"),
    "glycerol": (mixture.glycerol_water_density_kg_m3, "bosart-snoddy-1927"),
}
