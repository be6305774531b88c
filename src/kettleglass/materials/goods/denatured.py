"""Denatured spirits of the law's formulas as goods: one material for each version of each formula."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from functools import cache

from kettleglass.errors import Finding, UnknownName
from kettleglass.materials.bibliography import source_of
from kettleglass.materials.denaturing import USUAL_MASS_FRACTION, DenaturingFormula, formulas
from kettleglass.materials.figure import Figure
from kettleglass.materials.material import Doubt, LabelNames, Material
from kettleglass.science.mixture import ethanol_mass_fraction_from_us_proof, ethanol_water_density_kg_m3

PROOF = (185.0, 190.0, 200.0)
"""US proof of the alcohol that is denatured: at least 185 (27 CFR 21), taken as 190, at most pure; assumed."""

_SPOILS = ("component-unsuitable", "formula-spoiled", "formula-not-for-soap")


@cache
def _versions() -> Mapping[str, tuple[DenaturingFormula, int]]:
    found = {}
    for formula in formulas().values():
        for option in range(len(formula.options)):
            slug = re.sub(r"[^a-z0-9]+", "_", formula.id.lower()).strip("_")
            found[slug if option == 0 else f"{slug}_v{option + 1}"] = (formula, option)
    return found


def denatured_ids() -> tuple[str, ...]:
    """The ids of the denatured spirits; a formula with several versions has ``_v2``, ``_v3`` ... for the later ones."""
    return tuple(_versions())


def denatured_material(material_id: str) -> Material:
    """A denatured spirit with its denaturants. Raises `UnknownName` for another id."""
    if material_id not in _versions():
        raise UnknownName("denatured spirit", material_id, _versions())
    formula, option = _versions()[material_id]
    name, figure = _name(formula, option), _strength()
    composition, remarks = formula.mass_fractions(option), _remarks(formula, option)
    doubt = Doubt(f"{material_id}/strength", f"strength of {name}", _direction(formula, option), figure)
    return Material(
        id=material_id, name=name, kind="spirit", composition=composition, doubts=(doubt,),
        figures={"strength": figure}, traits=_traits(composition, remarks), names=_label(formula),
        density_g_ml=_density(composition), aliases=_aliases(formula), note=_note(formula), remarks=remarks,
        cas="64-17-5",
    )  # fmt: skip


def _remarks(formula: DenaturingFormula, option: int) -> tuple[Finding, ...]:
    """What to mind of this version alone; which version it is need no longer be asked."""
    parts = {added.denaturant.name for added in formula.options[option]}
    return tuple(
        remark for remark in formula.verdict
        if remark.code != "formula-version" and (not remark.code.startswith("component-") or remark.where in parts)
    )  # fmt: skip


def _name(formula: DenaturingFormula, option: int) -> str:
    name = f"{formula.id}, denatured ethanol"
    if len(formula.options) == 1:
        return name
    return f"{name} with {' and '.join(added.denaturant.name for added in formula.options[option])}"


def _strength() -> Figure:
    low, value, high = PROOF
    source = source_of("27-cfr-30-11").named("of the alcohol before it is denatured")
    note = "the formulas ask for 185 proof or more"
    return Figure(value, low, high, "US proof", source, "assumed", note=note, source_key="27-cfr-30-11")


def _direction(formula: DenaturingFormula, option: int) -> dict[str, float]:
    low, high = (ethanol_mass_fraction_from_us_proof(proof) for proof in (PROOF[0], PROOF[2]))
    weak, strong = formula.mass_fractions(option, low), formula.mass_fractions(option, high)
    return {sid: 0.5 * (strong.get(sid, 0.0) - weak.get(sid, 0.0)) for sid in {**weak, **strong}}


def _traits(composition: Mapping[str, float], remarks: Iterable[Finding]) -> frozenset[str]:
    marks = {
        "flammable": True,
        "methanol": composition.get("methanol", 0.0) > 0.0,
        "unsuitable": any(remark.code in _SPOILS for remark in remarks),
        "caustic": composition.get("hydroxide", 0.0) > 0.0,
    }
    return frozenset(mark for mark, holds in marks.items() if holds)


def _label(formula: DenaturingFormula) -> LabelNames:
    if formula.id.startswith("SDA "):
        return LabelNames("Alcohol Denat.", f"SD Alcohol {formula.id.removeprefix('SDA ')}")
    return LabelNames("Alcohol Denat.", "Alcohol Denat.")


def _aliases(formula: DenaturingFormula) -> tuple[str, ...]:
    names = ["denatured alcohol", "denatured spirit"]
    if formula.id.startswith("SDA "):
        number = formula.id.removeprefix("SDA ")
        names += [f"SD Alcohol {number}", f"SDA {number.replace('-', '')}", "specially denatured alcohol"]
    return tuple(names)


def _note(formula: DenaturingFormula) -> str:
    parts = (f"Denatured with {formula.denaturants} ({formula.authority}).", formula.conditions, formula.note)
    return " ".join(part if part.endswith(".") else f"{part[:1].upper()}{part[1:]}." for part in parts if part)


def _density(composition: Mapping[str, float]) -> Figure:
    """Density in g/mL at 20 °C of its ethanol and water alone; the denaturants are few or about as heavy."""
    ethanol, water = composition["ethanol"], composition["water"]
    fraction = ethanol / (ethanol + water)
    values = [ethanol_water_density_kg_m3(w, 20.0) / 1000.0 for w in (fraction, USUAL_MASS_FRACTION)]
    source = source_of("oiml-r22").named("20 °C, denaturants not counted")
    return Figure(values[0], min(values) - 0.01, max(values) + 0.01, "g/mL", source, "derived", source_key="oiml-r22")
