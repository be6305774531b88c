"""Lots: what a certificate says of one drum or jar, and “same as X, but” for the maker's own material.

A certificate shortens the doubt: what it states replaces the published figure, known = maker, its ± taken as 95 %.
Compositions are linear in saponification value, purity and strength, so they are moved along the doubt's direction.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from kettleglass.errors import BadInput, UnknownName
from kettleglass.materials.catalogue import Catalogue
from kettleglass.materials.fats import FatFigures, composition_at
from kettleglass.materials.figure import Figure
from kettleglass.materials.goods.fats import FREE_ACIDS, fat_doubts, fat_remarks
from kettleglass.materials.goods.parts import density_with_water, mass_fraction
from kettleglass.materials.material import Doubt, Material
from kettleglass.science.species import RESIDUE, UNKNOWN_ACID, fatty_acid

FAT_FIGURES: Mapping[str, str] = {
    "saponification_value": "mg KOH/g", "acid_value": "mg KOH/g", "unsaponifiable_fraction": "g/g",
}  # fmt: skip
"""Figures that rebuild a fat, with their units."""
USUAL_PLUS_MINUS = {"saponification_value": 1.0, "acid_value": 0.3, "purity": 0.003}
"""± taken where a certificate states none; assumed."""
OPENED_LOSES = 0.02
"""How much lower the lower end of a solid alkali's purity is taken once the jar is open, g/g; assumed."""


@dataclass(frozen=True, slots=True)
class Measured:
    """What a certificate says: a value and its ± (None: not stated), in the figure's own unit unless `unit` is “%”."""

    value: float
    plus_minus: float | None = None
    unit: str = ""

    def __post_init__(self) -> None:
        numbers = (self.value, 0.0 if self.plus_minus is None else self.plus_minus)
        if not all(math.isfinite(number) and number >= 0.0 for number in numbers):
            raise BadInput("A measured figure has to be a number of at least 0.", remedy="Write it like 257 ± 1.")


@dataclass(frozen=True, slots=True)
class Price:
    """What was paid for a mass in g; `currency` as written, such as EUR."""

    amount: float
    currency: str
    mass_g: float

    def __post_init__(self) -> None:
        numbers = math.isfinite(self.amount) and math.isfinite(self.mass_g)
        if not (numbers and self.amount >= 0.0 and self.mass_g > 0.0):
            raise BadInput("This is not a price.", remedy="Give an amount of at least 0 for a mass above 0.")

    @property
    def per_kg(self) -> float:
        """Price of one kilogram."""
        return 1000.0 * self.amount / self.mass_g


@dataclass(frozen=True, slots=True)
class Lot:
    """One lot on the shelf. `figures` override the material's by name, `acids` its fatty acids (% by mass of the
    acids), `traits` set or clear its marks (``dark``: False for a refined, pale oil)."""

    id: str
    material_id: str
    supplier_lot: str = ""
    supplier: str = ""
    figures: Mapping[str, Measured] = field(default_factory=dict)
    acids: Mapping[str, float] = field(default_factory=dict)
    traits: Mapping[str, bool] = field(default_factory=dict)
    opened: date | None = None
    best_before: date | None = None
    price: Price | None = None
    note: str = ""

    @property
    def label(self) -> str:
        """How the lot is called beside its material."""
        return f"lot {self.supplier_lot or self.id}"

    def as_dict(self) -> dict[str, Any]:
        """The lot as a document that `lot_from_dict` reads back."""
        return {
            "id": self.id, "material_id": self.material_id,
            "supplier_lot": self.supplier_lot, "supplier": self.supplier,
            "figures": {name: {"value": m.value, "plus_minus": m.plus_minus, "unit": m.unit}
                        for name, m in self.figures.items()},
            "acids": dict(self.acids), "traits": dict(self.traits), "opened": _iso(self.opened),
            "best_before": _iso(self.best_before), "note": self.note,
            "price": None if self.price is None else
                     {"amount": self.price.amount, "currency": self.price.currency, "mass_g": self.price.mass_g},
        }  # fmt: skip


def _iso(day: date | None) -> str | None:
    return None if day is None else day.isoformat()


def lot_from_dict(document: Mapping[str, Any]) -> Lot:
    """The lot of a document; raises `BadInput` for one that is not."""
    known = dict(document)
    try:
        known["figures"] = {name: Measured(**said) for name, said in (known.get("figures") or {}).items()}
        for day in ("opened", "best_before"):
            known[day] = date.fromisoformat(known[day]) if known.get(day) else None
        known["price"] = Price(**known["price"]) if known.get("price") else None
        return Lot(**known)
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        if isinstance(error, BadInput):
            raise
        raise BadInput("This is not the document of a lot.", why=f"{error}.") from error


def lot_material(lot: Lot, catalogue: Catalogue) -> Material:
    """The material of a lot: its catalogue material with what the certificate says, named after both.

    Raises `UnknownName` for a material or figure that is not there, `BadInput` for figures that cannot be.
    """
    base = catalogue.get(lot.material_id)
    said = {name: _certificate(base, name, measured, lot.label) for name, measured in lot.figures.items()}
    material = adjusted(base, said, lot.acids, key=lot.id, name=f"{base.name}, {lot.label}")
    if lot.opened is not None and base.kind == "alkali" and "purity" not in lot.figures:
        material = _opened(material)
    traits = frozenset({**dict.fromkeys(material.traits, True), **lot.traits}.items())
    return replace(
        material, id=lot.id, traits=frozenset(trait for trait, on in traits if on),
        note=" ".join(filter(None, (lot.note, base.note))),
    )  # fmt: skip


def _certificate(base: Material, name: str, measured: Measured, label: str) -> Figure:
    """What the certificate says as a figure in the unit of the material's own."""
    unit = _unit_of(base, name)
    scale = 0.01 if unit == "g/g" and measured.unit.startswith("%") else 1.0
    value, plus_minus, note = scale * measured.value, measured.plus_minus, ""
    if plus_minus is None:
        plus_minus = USUAL_PLUS_MINUS.get(name, 0.0)
        note = f"±{plus_minus:g} {unit} is assumed, none is stated" if plus_minus else ""
    else:
        plus_minus *= scale
    return Figure(value, max(0.0, value - plus_minus), value + plus_minus, unit, label, "maker", "normal", note)


def _unit_of(base: Material, name: str) -> str:
    if name == "density_g_ml":
        return "g/mL"
    if name in base.figures:
        return base.figures[name].unit
    if name in FAT_FIGURES and "saponification_value" in base.figures:
        return FAT_FIGURES[name]
    offers = [*base.figures, "density_g_ml", *(FAT_FIGURES if "saponification_value" in base.figures else ())]
    raise UnknownName(f"figure of {base.name}", name, dict.fromkeys(offers))


def adjusted(
    base: Material, figures: Mapping[str, Figure], acids: Mapping[str, float] | None = None, *, key: str, name: str
) -> Material:
    """`base` with some of its figures replaced: composition and doubts follow. `key` names its doubts (a lot's id).

    Fats are rebuilt from their figures; anything else moves along the doubt of the figure. Raises `BadInput` where a
    share would fall below 0.
    """
    material = replace(base, name=name, doubts=tuple(_renamed(doubt, base, key, name) for doubt in base.doubts))
    figures = dict(figures)
    density = figures.pop("density_g_ml", None)
    if "saponification_value" in base.figures and (acids or set(figures) & set(FAT_FIGURES)):
        material = _rebuilt_fat(material, figures, acids or {}, key)
    elif acids:
        raise BadInput(f"{base.name} has no fatty acids to be replaced.", remedy="Leave them out.")
    for figure_name, figure in figures.items():
        if figure_name not in FAT_FIGURES:
            material = moved(material, figure_name, figure)
    if density is None:
        density = base.density_g_ml if material.composition == base.composition else _density(material, base)
    return replace(material, figures=dict(material.figures) | figures, density_g_ml=density)


def _density(material: Material, base: Material) -> Figure | None:
    """Density of a mixture with water whose strength has moved, else that of its material."""
    others = [species_id for species_id, share in material.composition.items() if species_id != "water" and share > 0.0]
    if len(others) != 1 or base.density_g_ml is None:
        return base.density_g_ml
    share = material.composition[others[0]]
    half = sum(abs(doubt.direction.get(others[0], 0.0)) for doubt in material.doubts)
    return density_with_water(others[0], share, max(0.0, share - half), min(1.0, share + half)) or base.density_g_ml


def _renamed(doubt: Doubt, base: Material, key: str, name: str) -> Doubt:
    own = doubt.key.removeprefix(f"{base.id}/")
    return replace(doubt, key=f"{key}/{own}", label=doubt.label.replace(base.name, name))


def moved(material: Material, figure_name: str, figure: Figure) -> Material:
    """The material with its composition moved to the figure's value, and its doubt cut to the figure's range."""
    found = [doubt for doubt in material.doubts if doubt.key.endswith(f"/{figure_name}")]
    if not found:
        return material
    doubt, old = found[0], found[0].figure
    part = _gains(doubt)
    at = {name: mass_fraction(value, old.unit, part) for name, value in (
        ("old", old.value), ("old low", old.low), ("old high", old.high),
        ("new", figure.value), ("low", figure.low), ("high", figure.high),
    )}  # fmt: skip
    half = 0.5 * (at["old high"] - at["old low"])
    composition = _sum(material.composition, doubt.direction, (at["new"] - at["old"]) / half)
    if min(composition.values()) < -1e-9:
        raise BadInput(f"{figure.value:g} {figure.unit} leaves less than nothing of the rest of {material.name}.",
                       remedy="Check the figure and its unit.")  # fmt: skip
    kept = tuple(other for other in material.doubts if other is not doubt)
    if figure.low < figure.high:
        scale = 0.5 * (at["high"] - at["low"]) / half
        direction = {species_id: scale * grams for species_id, grams in doubt.direction.items()}
        kept = (*kept, replace(doubt, direction=direction, figure=figure, agreeing=None))
    figures = dict(material.figures) | {figure_name: figure}
    return replace(material, composition=composition, doubts=kept, figures=figures)


def _gains(doubt: Doubt) -> str:
    """The species that grows most along a doubt."""
    return max(doubt.direction, key=lambda species_id: doubt.direction[species_id])


def _sum(composition: Mapping[str, float], direction: Mapping[str, float], times: float) -> dict[str, float]:
    ids = dict.fromkeys([*composition, *direction])
    moved_to = {sid: composition.get(sid, 0.0) + times * direction.get(sid, 0.0) for sid in ids}
    return {sid: 0.0 if abs(grams) < 1e-15 else grams for sid, grams in moved_to.items()}


def _opened(material: Material) -> Material:
    """A solid alkali from an open jar: its purity may lie lower than the label says."""
    figure = material.figures.get("purity")
    if figure is None or material.share("water") > 0.2:
        return material
    note = f"opened: its lower end is taken {100 * OPENED_LOSES:g} points lower, assumed"
    return moved(material, "purity", replace(figure, low=figure.low - OPENED_LOSES, note=note))


def fat_figures_of(material: Material) -> FatFigures:
    """The figures that a fat was built from, read back off the material; ranges of its fatty acids are not kept."""
    moles: dict[str, float] = {}
    for species_id, grams in material.composition.items():
        form, _, acid_id = species_id.partition(".")
        if form in ("acyl", "acid") and acid_id not in (RESIDUE, UNKNOWN_ACID):
            acid = fatty_acid(acid_id)
            grams_per_mol = acid.acyl_g_mol if form == "acyl" else acid.molar_mass_g_mol
            moles[acid_id] = moles.get(acid_id, 0.0) + grams / grams_per_mol
    acids = {acid_id: amount * fatty_acid(acid_id).molar_mass_g_mol for acid_id, amount in moles.items()}
    wax, bound = "bound_alcohol" in material.composition, "bound_glycerol" in material.composition
    build = "wax" if wax else "triglyceride" if bound else "resin" if material.kind == "fat" else "free acid"
    return FatFigures(
        build, material.figures["saponification_value"],  # type: ignore[arg-type]
        None if build in FREE_ACIDS else material.figures.get("acid_value"),
        material.figures.get("unsaponifiable_fraction"), acids, {},
    )  # fmt: skip


def _rebuilt_fat(material: Material, figures: Mapping[str, Figure], acids: Mapping[str, float], key: str) -> Material:
    fat = fat_figures_of(material)
    value = figures.get("saponification_value")
    if value is None and fat.build in FREE_ACIDS:
        value = figures.get("acid_value")
    fat = replace(
        fat,
        saponification_value=value or fat.saponification_value,
        acid_value=None if fat.build in FREE_ACIDS else figures.get("acid_value", fat.acid_value),
        unsaponifiable_fraction=figures.get("unsaponifiable_fraction", fat.unsaponifiable_fraction),
        acids={acid: share for acid, share in acids.items() if share > 0.0} or fat.acids,
    )
    doubts = fat_doubts(fat, key, material.name)
    if value is None:  # the published range stays, and so does the part of it that the fatty acids allow
        doubts = tuple(replace(new, agreeing=old.agreeing) for new, old in zip(doubts, material.doubts, strict=True))
    return replace(
        material, composition=composition_at(fat, fat.saponification_value.value), doubts=doubts,
        figures={"saponification_value": fat.saponification_value} | {
            name: figure for name, figure in material.figures.items() if name != "saponification_value"},
        remarks=fat_remarks(fat, material.name),
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Like:
    """The maker's own material as “same as X, but”: a name, and figures, fatty acids or marks that differ."""

    id: str
    name: str
    material_id: str
    figures: Mapping[str, Measured] = field(default_factory=dict)
    acids: Mapping[str, float] = field(default_factory=dict)
    traits: Mapping[str, bool] = field(default_factory=dict)
    aliases: tuple[str, ...] = ()
    note: str = ""


def like_material(like: Like, catalogue: Catalogue) -> Material:
    """The material of “same as X, but”; errors as `lot_material`."""
    lot = Lot(
        like.id, like.material_id, like.name, figures=like.figures, acids=like.acids, traits=like.traits, note=like.note
    )  # fmt: skip
    material = lot_material(lot, catalogue)
    doubts = tuple(replace(doubt, label=doubt.label.replace(material.name, like.name)) for doubt in material.doubts)
    return replace(material, name=like.name, aliases=like.aliases, doubts=doubts)
