"""The hot pot as plain data, full precision, with the units in the keys: for JSON and for scripts."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from typing import Any

from kettleglass.cook.back import AddBack
from kettleglass.cook.boil import Boils
from kettleglass.cook.course import WAYS
from kettleglass.cook.preview import Preview
from kettleglass.errors import Finding
from kettleglass.recipe.leaving import ALCOHOLS

HOT_CODES = (
    "boil", "premix", "flash", "alcohol", "room-air", "kettle", "steps", "lye", "hot", "loss-", "thickens", "spirit",
)  # fmt: skip
"""Beginnings and parts of the codes of remarks that belong to the hot pot."""


def boil_dict(shown: Preview) -> dict[str, Any]:
    """Bubble and flash points of pot, premix and steps, and the lye's temperature."""
    boiling, around = shown.hot.boiling, shown.hot.around
    premix = boiling.premix
    return {
        "name": shown.recipe.name,
        "pressure_pa": around.pressure_pa,
        "pot": _boils(boiling.boils, boiling.flash_c),
        "premix": None if premix is None else {"lines": list(premix.keys), **_boils(premix.boils, premix.flash_c)},
        "steps": [
            {"text": step.leg.step.text, "held_c": step.temperature_c, "margin_k": step.margin_k,
             **_boils(step.boils, step.flash_c)}
            for step in boiling.steps
        ],
        "why_not": boiling.why,
        "readings": _readings(shown, ("pot.boil", "pot.margin", "pot.flash", "premix.", "lye.reached", "lye.boils")),
        "findings": findings_of(shown),
    }  # fmt: skip


def _boils(boils: Boils | None, flash_c: float | None) -> dict[str, float | None]:
    return {
        "boils_c": None if boils is None else boils.likely_c,
        "boils_low_c": None if boils is None else boils.low_c,
        "boils_high_c": None if boils is None else boils.high_c,
        "flash_c": flash_c,
    }


def loss_dict(shown: Preview) -> dict[str, Any]:
    """What leaves: by the method, always covered, always open; and step by step."""
    course = shown.hot.course
    return {
        "name": shown.recipe.name,
        "losses": {
            way: {kind: dict(_band(shown, species, way)) for kind, species in _KINDS} for way in WAYS
        },
        "steps": [
            {"text": leg.step.text, "minutes": leg.minutes, "held_c": leg.step.temperature_c,
             "covered": leg.step.covered,
             **{f"{kind}_g": leg.lost_of_g(*species) for kind, species in _KINDS}}
            for leg in course.legs
        ],
        "counted_alcohol_fraction": shown.worked.losses.alcohol,
        "counted_water_fraction": shown.worked.losses.water,
        "findings": findings_of(shown),
    }  # fmt: skip


_KINDS: tuple[tuple[str, tuple[str, ...]], ...] = (("alcohol", ALCOHOLS), ("water", ("water",)))


def _band(shown: Preview, species: tuple[str, ...], way: str) -> Iterator[tuple[str, float]]:
    course = shown.hot.course
    there = course.charged_g(*species)
    for name, grams in zip(("low", "likely", "high"), course.lost_band_g(*species, way=way), strict=True):
        yield f"{name}_g", grams
        yield f"{name}_fraction", min(1.0, grams / there) if there > 0.0 else 0.0


def air_dict(shown: Preview) -> dict[str, Any]:
    """Vapour and the flows of fresh air."""
    air = shown.hot.air
    return {
        "name": shown.recipe.name,
        "air": None if air is None else {
            "species": air.release.species,
            "vapour_g_per_min": {"low": air.release.low_g_min, "likely": air.release.likely_g_min,
                                 "high": air.release.high_g_min},
            "airflow_lel_25_m3_h": air.lel_25_m3_h, "airflow_lel_10_m3_h": air.lel_10_m3_h,
            "airflow_exposure_m3_h": air.exposure_m3_h, "room_fraction_of_lel": air.share_of_lel, "room_ppm": air.ppm,
        },
        "findings": findings_of(shown),
    }  # fmt: skip


def back_dict(found: AddBack) -> dict[str, Any]:
    """What to add back."""
    return asdict(found)


def findings_of(shown: Preview) -> list[dict[str, str]]:
    """The remarks that belong to the hot pot, most serious first."""
    return [asdict(finding) for finding in shown.findings if _is_hot(finding)]


def _is_hot(finding: Finding) -> bool:
    return any(part in finding.code for part in HOT_CODES)


def _readings(shown: Preview, starts: tuple[str, ...]) -> dict[str, object]:
    return {key: one.as_dict() for key, one in shown.readings.items() if key.startswith(starts)}
