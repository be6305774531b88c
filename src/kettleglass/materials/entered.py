"""The maker's own materials, entered by what is known of them: a fat from its certificate, a mixture, a bought paste.

What is not known is taken from a wide range and marked assumed, so that ignorance shows as doubt.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from kettleglass.errors import Ambiguous, BadInput, Finding
from kettleglass.materials.fats import Build, FatFigures, composition_at
from kettleglass.materials.figure import Figure
from kettleglass.materials.goods.fats import (
    FREE_ACIDS,
    computed_saponification_value,
    fat_doubts,
    fat_kind,
    fat_remarks,
)
from kettleglass.materials.goods.parts import pure
from kettleglass.materials.lots import USUAL_PLUS_MINUS, Measured
from kettleglass.materials.material import Doubt, Kind, Material, blend, closed, swap_direction
from kettleglass.science import pot as pots
from kettleglass.science.basis import acids_in, basis_for
from kettleglass.science.saponify import KOH_G_MOL, NAOH_G_MOL
from kettleglass.science.species import ATOMIC_WEIGHT, UNKNOWN_ACID, fatty_acid, formula_mass_g_mol

Cation = Literal["sodium", "potassium"]
_HYDROXIDE_G_MOL: Mapping[Cation, float] = {"sodium": NAOH_G_MOL, "potassium": KOH_G_MOL}
_CATION_G_MOL: Mapping[Cation, float] = {"sodium": ATOMIC_WEIGHT["Na"], "potassium": ATOMIC_WEIGHT["K"]}
_OH_G_MOL = formula_mass_g_mol("OH")

UNSAID_SOLIDS = Figure(60.0, 40.0, 80.0, "%", "not stated", "assumed", note="oven solids were not stated")
UNSAID_FREE_ALKALI = Figure(0.0, -0.5, 0.5, "% as NaOH", "not stated", "assumed", note="free alkali was not titrated")
UNSAID_GLYCEROL = Figure(
    0.5, 0.0, 1.0, "g/g", "not stated", "assumed", note="whether its glycerol is still in it was not stated"
)  # fmt: skip


def own_figure(measured: Measured, name: str, unit: str) -> Figure:
    """What the maker measured or read off a certificate, ± as 95 %; the usual ± where none is stated."""
    plus_minus = measured.plus_minus
    note = ""
    if plus_minus is None:
        plus_minus = USUAL_PLUS_MINUS.get(name, 0.0)
        note = f"±{plus_minus:g} {unit} is assumed, none is stated" if plus_minus else ""
    value = measured.value
    return Figure(value, value - plus_minus, value + plus_minus, unit, "the maker's own", "maker", "normal", note)


def own_fat(
    material_id: str, name: str, *, build: Build = "triglyceride", saponification_value: Measured | None = None,
    acid_value: Measured | None = None, unsaponifiable_percent: float | None = None,
    acids: Mapping[str, float] | None = None, aliases: tuple[str, ...] = (), traits: frozenset[str] = frozenset(),
    note: str = "",
) -> Material:  # fmt: skip
    """A fat or fatty acid of the maker's own, from what its certificate says.

    Args:
        material_id: its id.
        name: what it is called.
        build: ``triglyceride``, ``free acid``, ``wax`` or ``resin``.
        saponification_value: in mg KOH/g; for free acids the acid value does. None: computed from the fatty acids.
        acid_value: in mg KOH/g.
        unsaponifiable_percent: in % by mass.
        acids: fatty acids in % by mass of the acids, on any scale, such as ``{"12:0": 48, "14:0": 19}``.
        aliases: other names to find it by.
        traits: marks that advice reads, such as ``dark``.
        note: what to remember of it.

    Raises `Unwelcome` where neither a value nor fatty acids are given, `UnknownName` for an unknown fatty acid.
    """
    shares = {acid: share for acid, share in (acids or {}).items() if share > 0.0}
    for acid in shares:
        fatty_acid(acid)
    value = saponification_value or (acid_value if build in FREE_ACIDS else None)
    unsaponifiable = None if unsaponifiable_percent is None else _exact(0.01 * unsaponifiable_percent, "g/g")
    acid_figure = None if acid_value is None else own_figure(acid_value, "acid_value", "mg KOH/g")
    free = None if build in FREE_ACIDS else acid_figure
    fat = FatFigures(build, _exact(0.0, "mg KOH/g"), free, unsaponifiable, shares, {})
    figure = (
        computed_saponification_value(fat, name) if value is None
        else own_figure(value, "saponification_value", "mg KOH/g")
    )  # fmt: skip
    fat = replace(fat, saponification_value=figure)
    figures = {"saponification_value": figure, "acid_value": acid_figure, "unsaponifiable_fraction": unsaponifiable}
    return Material(
        id=material_id, name=name, kind=fat_kind(build), composition=composition_at(fat, figure.value),
        doubts=fat_doubts(fat, material_id, name), figures={n: f for n, f in figures.items() if f is not None},
        traits=traits, aliases=aliases, note=note, remarks=fat_remarks(fat, name),
    )  # fmt: skip


def _exact(value: float, unit: str) -> Figure:
    return Figure(value, value, value, unit, "the maker's own", "maker")


def own_mixture(
    material_id: str, name: str, kind: Kind, parts: Mapping[str, Measured], *, rest: str = "unspecified",
    density_g_ml: float | None = None, aliases: tuple[str, ...] = (), traits: frozenset[str] = frozenset(),
    note: str = "",
) -> Material:  # fmt: skip
    """A mixture of the maker's own: parts in % by mass, by species or pure compound (``sodium_hydroxide``).

    Each ± is exchanged against `rest`, which closes the whole. Raises `BadInput` for parts above 100 %, `UnknownName`
    for a part that is no species, compound or fat.
    """
    names = {part: "strength" if len(parts) == 1 else f"{part}_percent" for part in parts}
    figures = {names[part]: own_figure(measured, "", "% mass") for part, measured in parts.items()}
    shares = [_scaled(pure(part), 0.01 * figures[names[part]].value) for part in parts]
    return Material(
        id=material_id, name=name, kind=kind, composition=closed(_total(*shares), rest), figures=figures,
        doubts=tuple(
            Doubt(f"{material_id}/{names[part]}", f"{part.replace('_', ' ')} in {name}",
                  swap_direction(pure(rest), pure(part), 0.01 * _half(figures[names[part]])), figures[names[part]])
            for part in parts if _half(figures[names[part]]) > 0.0
        ),
        traits=traits, aliases=aliases, note=note,
        density_g_ml=None if density_g_ml is None else _exact(density_g_ml, "g/mL"),
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class PasteKnown:
    """What is known of a bought paste; None for what is not.

    `fats` by mass (any scale); `alkali` “sodium” or “potassium”, which has to be known; `oven_solids_percent` what is
    left after drying at 105 °C; `free_alkali_percent` by titration, as NaOH; `glycerol_kept` whether the glycerol of
    its fats is still in it.
    """

    fats: Sequence[tuple[Material, float]] = ()
    alkali: Cation | None = None
    oven_solids_percent: Measured | None = None
    free_alkali_percent: Measured | None = None
    glycerol_kept: bool | None = None


def bought_paste(material_id: str, name: str, known: PasteKnown) -> Material:
    """A bought paste, entered by what is known of it; the unknown widens its doubt and is remarked on.

    Its soap is that of the fats; dry matter is soap, glycerol, unsaponifiable and free alkali, the rest is water.
    Raises `Ambiguous` where the alkali is not said: sodium and potassium soap differ by 16 g a mole.
    """
    if known.alkali is None:
        why = "A paste can be of sodium soap (hard) or of potassium soap (soft)."
        raise Ambiguous(name, ("sodium", "potassium"), why=why)
    solids = _or_assumed(known.oven_solids_percent, "%", UNSAID_SOLIDS)
    free = _or_assumed(known.free_alkali_percent, "% as NaOH", UNSAID_FREE_ALKALI)
    kept = UNSAID_GLYCEROL if known.glycerol_kept is None else _exact(float(known.glycerol_kept), "g/g")
    if not 0.0 < solids.value < 100.0:
        raise BadInput(f"Oven solids of {solids.value:g} % are not a paste.", remedy="Give what drying leaves, in %.")
    soap, glycerol = _dry_soap(known)
    lye, per_percent = _alkali(known.alkali), 0.01 * _HYDROXIDE_G_MOL[known.alkali] / NAOH_G_MOL
    dry_g = 0.01 * solids.value - per_percent * free.value
    dry = _with_glycerol(soap, glycerol, kept.value)
    composition = _total(
        _scaled(dry, dry_g), _scaled(lye, per_percent * free.value), {"water": 1.0 - 0.01 * solids.value}
    )  # fmt: skip
    figures = {"oven_solids": solids, "free_alkali": free, "glycerol_kept": kept}
    water = {"water": 1.0}
    directions = {
        "oven_solids": swap_direction(water, dry, 0.01 * _half(solids)),
        "free_alkali": swap_direction(water, lye, per_percent * _half(free)),
        "glycerol_kept": swap_direction(soap, {"glycerol": 1.0}, _half(kept) * glycerol * dry_g),
    }
    return Material(
        id=material_id, name=name, kind="made", composition=composition, figures=figures,
        doubts=tuple(
            Doubt(f"{material_id}/{key}", f"{key.replace('_', ' ')} of {name}", directions[key], figure)
            for key, figure in figures.items() if figure.low < figure.high
        ),
        remarks=_unknowns(name, known, figures),
    )  # fmt: skip


def _or_assumed(measured: Measured | None, unit: str, assumed: Figure) -> Figure:
    return assumed if measured is None else own_figure(measured, "", unit)


def _half(figure: Figure) -> float:
    return 0.5 * (figure.high - figure.low)


def _scaled(composition: Mapping[str, float], factor: float) -> dict[str, float]:
    return {species_id: factor * grams for species_id, grams in composition.items()}


def _total(*compositions: Mapping[str, float]) -> dict[str, float]:
    out: dict[str, float] = {}
    for composition in compositions:
        for species_id, grams in composition.items():
            out[species_id] = out.get(species_id, 0.0) + grams
    return {species_id: grams for species_id, grams in out.items() if grams != 0.0}


def _alkali(cation: Cation) -> dict[str, float]:
    whole = _HYDROXIDE_G_MOL[cation]
    return {cation: _CATION_G_MOL[cation] / whole, "hydroxide": _OH_G_MOL / whole}


def _dry_soap(known: PasteKnown) -> tuple[dict[str, float], float]:
    """One gram of dry soap of the fats without glycerol, and the grams of glycerol set free with it."""
    cation = known.alkali or "sodium"
    fats = blend(known.fats) if known.fats else {f"acid.{UNKNOWN_ACID}": 1.0}
    basis = basis_for(acids_in(fats))
    pot = basis.vector(fats)
    moles = float(pots.need_hydroxide_mol(basis, pot))
    pot[basis.row(cation)] += moles * _CATION_G_MOL[cation]
    pot[basis.row("hydroxide")] += moles * _OH_G_MOL
    made = basis.as_dict(pots.react(basis, pot))
    glycerol = made.pop("glycerol", 0.0)
    made.pop("water", None)
    dry = {species_id: grams for species_id, grams in made.items() if abs(grams) > 1e-12}
    whole = math.fsum(dry.values())
    return _scaled(dry, 1.0 / whole), glycerol / whole


def _with_glycerol(soap: Mapping[str, float], glycerol: float, kept: float) -> dict[str, float]:
    """One gram of dry matter: soap with the share of its glycerol that is still there."""
    part = kept * glycerol
    return _total(_scaled(soap, 1.0 / (1.0 + part)), {"glycerol": part / (1.0 + part)})


def _unknowns(name: str, known: PasteKnown, figures: Mapping[str, Figure]) -> tuple[Finding, ...]:
    unsaid = [figure.note for figure in figures.values() if figure.known == "assumed"]
    if not known.fats:
        unsaid.append("its fats were not stated, so a nominal acid of 280 g/mol stands for them")
    if not unsaid:
        return ()
    return (
        Finding("caution", "paste-unknown", f"Of {name}: {'; '.join(unsaid)}.",
                "Dry 10 g in the oven and titrate a gram: both take an hour and remove most of the doubt.", name),
    )  # fmt: skip
