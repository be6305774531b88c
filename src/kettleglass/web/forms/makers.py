"""The ways to enter a material of one's own: which fields each has, and what becomes of them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from kettleglass.errors import BadInput, Finding
from kettleglass.materials.catalogue import Catalogue
from kettleglass.materials.datasheet import read_datasheet
from kettleglass.materials.entered import PasteKnown, bought_paste, own_fat, own_mixture
from kettleglass.materials.fats import Build
from kettleglass.materials.goods import material_of_strength
from kettleglass.materials.lots import FAT_FIGURES, Like, Lot, Measured, like_material, lot_material
from kettleglass.materials.made import dye_stock, mixed, stock_lye
from kettleglass.materials.material import Kind, LabelNames, Material
from kettleglass.materials.strength import parse_strength
from kettleglass.recipe.lyewater import plain_number
from kettleglass.web.forms.own import (
    AtField,
    Entry,
    Made,
    Make,
    Typed,
    acids,
    aliases,
    day,
    material_named,
    measured,
    named,
    percent,
    read_field,
    rows,
    weighed_rows,
    yes_no,
)

BUILDS: dict[str, Build] = {
    "oil, butter or fat": "triglyceride", "free fatty acid": "free acid", "wax": "wax", "resin": "resin",
}  # fmt: skip
STIRRED = ("premix", "stock lye", "syrup", "dye stock")
KINDS: tuple[Kind, ...] = ("mixture", "spirit", "polyol", "sugar", "alkali", "acid", "salt", "chelator", "whitener")
FLAMMABLE = 0.3
"""Share of ethanol and propan-2-ol from which a spirit is marked flammable."""
FIGURE_WORDS: Mapping[str, tuple[str, str]] = {
    "saponification_value": ("Saponification value", "mg KOH/g, such as 257 ± 1"),
    "acid_value": ("Acid value", "mg KOH/g"),
    "unsaponifiable_fraction": ("Unsaponifiable matter", "%"),
    "purity": ("Purity", "%, such as 98.4 ± 0.3"),
    "strength": ("Strength", "in the unit of the material"),
    "density_g_ml": ("Density", "g/mL at about 20 °C"),
}
"""Figures that a certificate can replace, in words, with the unit asked for."""


def adjustable(material: Material) -> tuple[str, ...]:
    """The figures of a material that a certificate can replace."""
    fat = tuple(FAT_FIGURES) if "saponification_value" in material.figures else ()
    moved = tuple(doubt.key.rpartition("/")[2] for doubt in material.doubts)
    return tuple(dict.fromkeys((*fat, *(name for name in moved if name in material.figures), "density_g_ml")))


def figure_words(material: Material, name: str) -> tuple[str, str, str]:
    """The name of a figure, its unit, and what the catalogue says of it."""
    words, unit = FIGURE_WORDS.get(name, (name.replace("_", " ").capitalize(), ""))
    figure = material.density_g_ml if name == "density_g_ml" else material.figures.get(name)
    if figure is None:
        return words, unit, ""
    scale, shown = (100.0, "%") if figure.unit == "g/g" else (1.0, figure.unit)
    low, high = f"{scale * figure.low:.5g}", f"{scale * figure.high:.5g}"
    return words, unit if name in FIGURE_WORDS else shown, f"{low if low == high else f'{low} to {high}'} {shown}"


def figures_of(typed: Typed, material: Material) -> dict[str, Measured]:
    """The figures that were typed over those of a material."""
    found: dict[str, Measured] = {}
    for name in adjustable(material):
        said = read_field(typed, f"figure.{name}", measured)
        if said is not None:
            of_whole = name == "density_g_ml" or material.figures.get(name, None) is None or (
                material.figures[name].unit != "g/g"
            )  # fmt: skip
            percentage = name == "unsaponifiable_fraction" or not of_whole
            found[name] = replace(said, unit="%" if percentage else "")
    return found


def base_of(typed: Typed, catalogue: Catalogue) -> Material:
    """The material that a lot is of, or that another is like."""
    return read_field(typed, "base", lambda text: material_named(catalogue, text))


def lot_of(typed: Typed, catalogue: Catalogue, lot_id: str) -> Lot:
    """The lot of the fields."""
    base = base_of(typed, catalogue)
    return Lot(
        id=lot_id, material_id=base.id if base.id in catalogue else typed["base"].strip(),
        supplier_lot=" ".join(typed.get("supplier_lot", "").split())[:100],
        supplier=" ".join(typed.get("supplier", "").split())[:200], figures=figures_of(typed, base),
        acids=read_field(typed, "acids", acids), traits=_marks(typed),
        opened=read_field(typed, "opened", day), best_before=read_field(typed, "best_before", day),
        note=typed.get("note", "")[:2000],
    )  # fmt: skip


def typed_of_lot(lot: Lot, catalogue: Catalogue) -> dict[str, str]:
    """The fields of a lot, which `lot_of` reads back; what was paid has no field."""
    base = lot.material_id
    figures = {f"figure.{name}": _measured_said(said) for name, said in lot.figures.items()}
    pale = "" if "dark" not in lot.traits else "no" if lot.traits["dark"] else "yes"
    return figures | {
        "base": catalogue.get(base).name if base in catalogue else base, "supplier_lot": lot.supplier_lot,
        "supplier": lot.supplier, "acids": "\n".join(f"{acid} {plain_number(x)}" for acid, x in lot.acids.items()),
        "pale": pale, "opened": lot.opened.isoformat() if lot.opened else "",
        "best_before": lot.best_before.isoformat() if lot.best_before else "", "note": lot.note,
    }  # fmt: skip


def _measured_said(said: Measured) -> str:
    value = plain_number(said.value)
    return value if said.plus_minus is None else f"{value} ± {plain_number(said.plus_minus)}"


def _marks(typed: Typed) -> dict[str, bool]:
    pale = yes_no(typed.get("pale", ""))
    return {} if pale is None else {"dark": not pale}


def lot(entry: Entry) -> Made:
    """A lot with what its certificate says."""
    material = lot_material(lot_of(entry.typed, entry.catalogue, entry.id), entry.catalogue)
    return Made(material, material.remarks)


def like(entry: Entry) -> Made:
    """The same as another material, but."""
    typed = entry.typed
    base = base_of(typed, entry.catalogue)
    said = Like(
        entry.id, named(typed), base.id if base.id in entry.catalogue else typed["base"].strip(),
        figures_of(typed, base), read_field(typed, "acids", acids), _marks(typed), aliases(typed),
        typed.get("note", "")[:2000],
    )  # fmt: skip
    material = like_material(said, entry.catalogue)
    return Made(material, material.remarks)


def fat(entry: Entry) -> Made:
    """A fat or fatty acid from its certificate alone."""
    typed = entry.typed
    material = own_fat(
        entry.id, named(typed), build=BUILDS.get(typed.get("build", ""), "triglyceride"),
        saponification_value=read_field(typed, "figure.saponification_value", measured),
        acid_value=read_field(typed, "figure.acid_value", measured),
        unsaponifiable_percent=read_field(typed, "figure.unsaponifiable_fraction", percent),
        acids=read_field(typed, "acids", acids), aliases=aliases(typed),
        traits=frozenset({"dark"} if yes_no(typed.get("pale", "")) is False else ()), note=typed.get("note", "")[:2000],
    )  # fmt: skip
    return Made(material, material.remarks)


def strength(entry: Entry) -> Made:
    """A spirit, syrup, glycerol or lye by its strength as people say it."""
    typed = entry.typed
    understood = read_field(typed, "text", lambda text: parse_strength(text, typed.get("what") or None))
    material = material_of_strength(understood, entry.id, typed.get("name", "").strip()[:200] or None)
    findings = (Finding("note", "strength", understood.working), *understood.remarks)
    return Made(replace(material, aliases=(*material.aliases, *aliases(typed))), findings)


def sheet(entry: Entry) -> Made:
    """A spirit by its data sheet, line by line."""
    typed = entry.typed
    read = read_datasheet((substance, share) for _, substance, share in rows(typed, "substance", "share"))
    spirit = math.fsum(read.mass_fractions.get(one, 0.0) for one in ("ethanol", "propan_2_ol"))
    traits = {"flammable"} if spirit >= FLAMMABLE else set()
    traits |= {"methanol"} if read.mass_fractions.get("methanol", 0.0) > 0.0 else set()
    traits |= set() if read.suitable else {"unsuitable"}
    material = Material(
        entry.id, named(typed), "spirit" if spirit > 0.0 else "mixture", dict(read.mass_fractions),
        read.doubts(entry.id), traits=frozenset(traits), names=LabelNames(eu="Alcohol", us="Alcohol"),
        aliases=aliases(typed), note=typed.get("note", "")[:2000],
        remarks=tuple(finding for finding in read.verdict if finding.level != "note"),
    )  # fmt: skip
    return Made(material, read.verdict)


def stirred(entry: Entry) -> Made:
    """What was stirred together here: a premix, stock lye, a syrup, a dye stock."""
    typed = entry.typed
    parts, name, kind = weighed_rows(typed, entry.catalogue), named(typed), typed.get("kind", STIRRED[0])
    if not parts:
        raise AtField("material.0", BadInput("Nothing was put in yet.", remedy="Name a material and its weight."))
    if kind == "stock lye":
        return Made(_lye(entry.id, name, parts))
    if kind == "dye stock":
        (dye, dye_g), *carriers = parts
        return Made(dye_stock(entry.id, name, dye, dye_g, carriers))
    own = mixed(
        entry.id, name, parts, kind="sugar" if kind == "syrup" else "mixture", note=typed.get("note", "")[:2000]
    )
    return Made(replace(own, aliases=aliases(typed)), own.remarks)


def _lye(material_id: str, name: str, parts: list[tuple[Material, float]]) -> Material:
    alkali = [part for part in parts if part[0].kind == "alkali"]
    water = [part for part in parts if part[0].kind == "water"]
    if len(alkali) != 1 or len(water) != 1 or len(parts) != 2:
        raise BadInput("A stock lye is made of one alkali and one water.", remedy="Name NaOH or KOH, and water.")
    return stock_lye(
        material_id, name, alkali=alkali[0][0], alkali_g=alkali[0][1], water=water[0][0], water_g=water[0][1]
    )


def paste(entry: Entry) -> Made:
    """A bought paste by what is known of it."""
    typed = entry.typed
    said = typed.get("alkali", "")
    known = PasteKnown(
        fats=weighed_rows(typed, entry.catalogue),
        alkali="sodium" if said == "sodium" else "potassium" if said == "potassium" else None,
        oven_solids_percent=read_field(typed, "solids", measured),
        free_alkali_percent=read_field(typed, "free_alkali", measured),
        glycerol_kept=yes_no(typed.get("glycerol", "")),
    )
    material = bought_paste(entry.id, named(typed), known)
    return Made(replace(material, aliases=aliases(typed), note=typed.get("note", "")[:2000]), material.remarks)


def mixture(entry: Entry) -> Made:
    """Anything else, by its parts in %."""
    typed = entry.typed
    parts: dict[str, Measured] = {}
    for place, part, _ in rows(typed, "part", "percent"):
        share = read_field(typed, f"percent.{place}", measured)
        if not part or share is None:
            raise AtField(f"percent.{place}", BadInput("A part needs a name and its %.", remedy="Write “12 ± 1”."))
        parts[part] = replace(share, unit="")
    said = typed.get("kind", "")
    kind: Kind = next((one for one in KINDS if one == said), "mixture")
    density = read_field(typed, "figure.density_g_ml", measured)
    material = own_mixture(
        entry.id, named(typed), kind, parts, density_g_ml=None if density is None else density.value,
        aliases=aliases(typed), note=typed.get("note", "")[:2000],
    )  # fmt: skip
    return Made(material, material.remarks)


@dataclass(frozen=True, slots=True)
class How:
    """A way to enter something: its name in the address, its title, what it is for, and what makes it."""

    key: str
    title: str
    says: str
    make: Make


HOWS: Mapping[str, How] = {
    how.key: how
    for how in (
        How("lot", "A lot of something in the catalogue", "One drum or jar with what its certificate says.", lot),
        How("like", "The same as something else, but", "Your own name, and the figures that differ.", like),
        How("strength", "A strength", "“190 US proof”, “91 % isopropanol”, “2 parts sugar to 1 part water”.", strength),
        How(
            "sheet",
            "A spirit by its data sheet",
            "Each substance with its share; what spoils soap is named.",
            sheet,
        ),
        How("stirred", "Something stirred together here", "A premix, a stock lye, a syrup, a dye stock.", stirred),
        How("paste", "A bought paste", "By its fats, its alkali, what drying leaves and a titration.", paste),
        How("fat", "A fat from its certificate alone", "By saponification value and fatty acids.", fat),
        How("mixture", "Anything else", "By its parts in %.", mixture),
    )
}
"""All ways, in the order in which they are offered."""
