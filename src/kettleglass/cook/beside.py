"""Other sizes and other ways of a recipe as plain data, full precision, with the units in the keys."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from kettleglass.cook.scale_up import Lost, Scaled
from kettleglass.cook.variants import Variant
from kettleglass.cook.warm import Change
from kettleglass.errors import Finding
from kettleglass.science.heat.warming import Band


def sizes_list(sizes: tuple[Scaled, ...]) -> list[dict[str, Any]]:
    """Each size: its kettle, heat, times, losses, and what to charge so that it finishes alike."""
    return [
        {
            "size_g": one.size_g,
            "kettle_inner_diameter_mm": one.kettle.diameter_mm,
            "heat_reaches_c": None if one.exotherm is None else _band(one.exotherm.reached_c),
            "melt_minutes": _minutes(one.pace.melt),
            "warm_minutes": _minutes(one.pace.warm),
            "cool_minutes": _minutes(one.pace.cool),
            "alcohol_lost": _lost(one.alcohol),
            "water_lost": _lost(one.water),
            "airflow_exposure_m3_h": None if one.air is None else one.air.exposure_m3_h,
            "charge": [
                {"key": line.key, "name": line.name, "by_scaling_g": line.scaled_g, "charge_g": line.grams}
                for line in (*one.charge.spirits, *one.charge.waters)
            ],
            "findings": _findings(one.findings),
        }
        for one in sizes
    ]


def ways_list(ways: tuple[Variant, ...]) -> list[dict[str, Any]]:
    """Each way: its spirit, bubble and flash points, losses, and the published windows that judge otherwise."""
    return [
        {
            "name": one.name,
            "route": one.route,
            "as_written": one.as_written,
            "spirits": [asdict(line) for line in one.spirits],
            "extra_water_g": one.extra_water_g,
            "boils_c": None if one.boils is None else asdict(one.boils),
            "margin_k": None if one.margin_k is None else _band(one.margin_k),
            "flash_c": one.flash_c,
            "alcohol_lost_g": {way: _band(getattr(one.loss, f"{way}_g")) for way in ("method", "covered", "open")},
            "windows_moved": [{"id": moved.window.id, "label": moved.window.label, "what": moved.what}
                              for moved in one.moved],
            "suits": one.suits,
            "cautions": [caution.text for caution in one.cautions],
            "findings": _findings(one.findings),
        }
        for one in ways
    ]  # fmt: skip


def _band(band: Band) -> dict[str, float]:
    return {"low": band.low, "likely": band.likely, "high": band.high}


def _minutes(change: Change | None) -> dict[str, float] | None:
    return None if change is None or change.minutes is None else _band(change.minutes)


def _lost(lost: Lost | None) -> dict[str, Any] | None:
    return None if lost is None else {"grams": _band(lost.grams), "fraction": _band(lost.share)}


def _findings(findings: tuple[Finding, ...]) -> list[dict[str, str]]:
    return [asdict(finding) for finding in findings]
