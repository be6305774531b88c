"""Readings of what the pot becomes: as added, after reaction, and as a finished base."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from kettleglass.recipe.hardness import chelator_need, lime_soap_g
from kettleglass.recipe.readings.reading import Pair, Reading
from kettleglass.recipe.work import Worked
from kettleglass.science.basis import Array
from kettleglass.science.descriptors import parts_g, total_fatty_matter_g
from kettleglass.science.pot import alkali_balance_mol
from kettleglass.science.saponify import NAOH_G_MOL

PART_LABELS: Mapping[str, str] = {
    "soap": "soap", "water": "water", "ethanol": "ethanol", "propan_2_ol": "propan-2-ol",
    "other_volatiles": "scent and other volatiles", "glycerol": "glycerol", "propylene_glycol": "propylene glycol",
    "sorbitol": "sorbitol", "other_polyols": "other polyols", "sugar": "sugar", "electrolyte": "salts and free alkali",
    "free_fat": "free fat", "free_acid": "free fatty acid", "unsaponifiable": "unsaponifiable",
    "triethanolamine": "triethanolamine", "surfactant": "surfactant", "insoluble": "insoluble", "other": "the rest",
}  # fmt: skip
_WORKING = {
    "soap": "Fatty acids taken up by the lye, with their sodium or potassium; no water in it.",
    "glycerol": "Glycerol poured in, and what the fats set free: a third of a mole for each mole of lye they take up.",
    "water": "Water of lye, spirit, syrup and glycerol, and what forms when acids meet lye.",
    "free_fat": "Fat that the lye did not reach, within the superfat asked for and the rounding of the lye.",
    "electrolyte": "All ions that are not soap: carbonate of the lye, salt, citrate, and alkali left over.",
}


def pot_readings(worked: Worked) -> Iterator[Reading]:
    """Totals, every part in three states (grams) and in % of the pot, total fatty matter, yield and volume."""
    total = worked.total_g
    yield Reading("pot.total", "in the pot", total, "g", "All weighed lines together.", decimals=0)
    if total <= 0.0:
        return
    for state, pot in (("added", worked.added), ("cooked", worked.cooked), ("finished", worked.finished)):
        yield from _parts(worked, state, pot)
    fatty = float(total_fatty_matter_g(worked.sheet.basis, worked.cooked))
    yield Reading(
        "pot.tfm",
        "total fatty matter",
        100 * fatty / total,
        "%",
        "Soap as fatty acids, free acid, free fat and unsaponifiable, in the sense of ISO 685.",
        *_band(worked, "total_fatty_matter"),
        sources=("ISO 685:1975",),
    )
    finished = float(worked.finished.sum())
    losses, stated = worked.losses, worked.recipe.losses
    said = "as stated" if stated.alcohol is not None and stated.water is not None else "as reckoned from the steps"
    yield Reading(
        "pot.yield",
        "finished base",
        finished,
        "g",
        f"The pot less {100 * (losses.alcohol or 0.0):.3g} % of its alcohol and {100 * (losses.water or 0.0):.3g} %"
        f" of its water, {said} under losses.",
        decimals=0,
    )
    low, likely, high = worked.volume_ml
    yield Reading(
        "pot.volume",
        "volume",
        likely / 1000,
        "L",
        "Partial volumes of the species added up; no density of cast soap has been read in a source, so"
        " mind the band. Your own density replaces it.",
        low / 1000,
        high / 1000,
        known="memory",
        decimals=2,
    )


def _band(worked: Worked, name: str) -> tuple[float | None, float | None]:
    band = worked.sure.bands.get(name) if worked.sure else None
    return band or (None, None)


def _parts(worked: Worked, state: str, pot: Array) -> Iterator[Reading]:
    total = float(pot.sum())
    if total <= 0.0:
        return
    shown = {name: float(grams) for name, grams in parts_g(worked.sheet.basis, pot).items()}
    for name, grams in shown.items():
        label = PART_LABELS[name]
        if abs(grams) < 5e-4 and name not in ("soap", "water"):
            continue
        inputs = _brought_by(worked, name) if state == "cooked" else ()
        yield Reading(
            f"{state}.{name}",
            label,
            grams,
            "g",
            _WORKING.get(name, "As the lines bring it."),
            inputs=inputs,
            decimals=1,
        )
        band = _band(worked, name) if state == "cooked" else (None, None)
        yield Reading(
            f"{state}.{name}.percent",
            label,
            100 * grams / total,
            "%",
            f"{grams:.1f} g of {total:.1f} g.",
            *band,
            inputs=inputs,
        )


def _brought_by(worked: Worked, part: str) -> tuple[Pair, ...]:
    """Which line brought how much of a part, largest first, at most six lines."""
    grams = parts_g(worked.sheet.basis, worked.ledger)[part]
    if part == "soap":
        grams = worked.ledger[worked.sheet.basis.soap].sum(axis=0)
    ranked = sorted(zip(grams, worked.sheet.materials, strict=True), key=lambda pair: -abs(float(pair[0])))
    return tuple((material.name, f"{float(g):.1f} g") for g, material in ranked[:6] if abs(float(g)) >= 0.05)


def water_sources(worked: Worked) -> tuple[tuple[str, str, float], ...]:
    """Line key, name and grams of water that each line brings as added, largest first."""
    water = worked.sheet.species("water") * worked.weights.weighed_g
    rows = sorted(range(len(water)), key=lambda row: -float(water[row]))
    return tuple(
        (worked.sheet.keys[r], worked.sheet.materials[r].name, float(water[r])) for r in rows if water[r] > 0.05
    )


def alkali_readings(worked: Worked) -> Iterator[Reading]:
    """Free alkali of the nominal pot, signed, in % NaOH."""
    if worked.total_g <= 0.0:
        return
    free_mol = float(alkali_balance_mol(worked.sheet.basis, worked.cooked))
    yield Reading(
        "pot.free_alkali",
        "free alkali less free fat",
        100 * free_mol * NAOH_G_MOL / worked.total_g,
        "% NaOH",
        "Hydroxide less fatty groups still to take it up, of the weights as rounded.",
        decimals=3,
    )


def hardness_readings(worked: Worked) -> Iterator[Reading]:
    """Lime soap from hard water, and the chelator that prevents it."""
    hardness, water = worked.recipe.water_hardness_mg_l, worked.hard_water_g
    if hardness <= 0.0 or water <= 0.0 or worked.mean_soap_g_mol <= 0.0:
        return
    yield Reading(
        "water.lime_soap",
        "lime soap",
        lime_soap_g(water, hardness, worked.mean_soap_g_mol),
        "g",
        f"{hardness:g} mg/L as CaCO3 in {water:.0f} g of water; each calcium takes two soap anions.",
        decimals=2,
    )
    yield Reading(
        "water.chelator",
        "tetrasodium EDTA against it",
        chelator_need(water, hardness).mass_g,
        "g",
        "One mole for each mole of calcium.",
        decimals=2,
    )
