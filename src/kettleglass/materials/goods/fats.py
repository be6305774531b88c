"""Fats of the catalogue: from the rows that books print to a mixture with its doubt.

Which row counts: modern before historic (from before 1950), read before derived before recalled, then the narrower
range. Fatty acids are taken from one source as a whole; the next one only fills in acids that the first lacks.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache

from kettleglass.errors import Finding, UnknownName, Unwelcome
from kettleglass.materials.bibliography import source_of
from kettleglass.materials.fats import (
    Build,
    FatFigures,
    composition_at,
    plausibility,
    saponification_doubt,
    saponification_limits_of_acids,
)
from kettleglass.materials.figure import KNOWN, Figure, Known
from kettleglass.materials.goods.labels import label_names
from kettleglass.materials.material import Doubt, Kind, LabelNames, Material
from kettleglass.materials.tables import Row, known_of, number, only, read_table, table_by, words
from kettleglass.science.mixture import sucrose_water_density_kg_m3
from kettleglass.science.saponify import free_acid_saponification_value, saponification_value

ASSUMED_RANGE = 0.03
"""Half-width taken, as a share of the value, where nobody states a range."""
FREE_ACIDS: tuple[Build, ...] = ("free acid", "resin")

_FIGURES = {
    "saponification_value": "saponification_value", "acid_value": "acid_value",
    "unsaponifiable_pct": "unsaponifiable_fraction", "iodine_value": "iodine_value",
    "hydroxyl_value": "hydroxyl_value", "titre_C": "titre_c", "melting_point_C": "melting_point_c",
    "refractive_index": "refractive_index",
}  # fmt: skip
"""Properties of the table and the names of the figures made of them."""
_UNITS = {"degC": "°C", "index": ""}
_FROM_ZERO = ("acid_value", "unsaponifiable_pct", "iodine_value")
"""Where an upper limit alone means a range that starts at 0."""


@dataclass(frozen=True, slots=True)
class AcidShare:
    """One fatty acid of a fat in % of its acids, as its source gives it: value (typical or mid-range) and limits."""

    acid: str
    percent: float
    low_percent: float
    high_percent: float
    source: str
    source_key: str
    known: Known


def fat_ids() -> tuple[str, ...]:
    """The ids of all fats and fatty acids of the catalogue, in the order of the table."""
    return tuple(row["fat"] for row in read_table("fats"))


def rank(row: Row) -> tuple[bool, int]:
    """How far back a published row stands: historic last, then by how it is known."""
    return source_of(row["source_key"]).historic, KNOWN.index(known_of(row))


def chosen_row(fat_id: str, property_name: str) -> Row | None:
    """The row of a property that counts, None where no row gives a value or a range."""
    rows = [row for row in only(table_by("fat_properties", "fat").get(fat_id, ()), "property", property_name)
            if _range(row) is not None]  # fmt: skip
    return min(rows, key=lambda row: (*rank(row), _width(row))) if rows else None


def _range(row: Row) -> tuple[float, float, float] | None:
    """Value, low and high of a row in the unit of its source; None for a limit on one side only."""
    low, high, typical = (number(row, column) for column in ("min", "max", "typical"))
    if low is None and high is not None and row["property"] in _FROM_ZERO:
        low = 0.0
    if typical is None and (low is None or high is None):
        return None
    if typical is None:
        typical = 0.5 * (low + high)  # type: ignore[operator]
    return typical, typical if low is None else low, typical if high is None else high


def _width(row: Row) -> float:
    found = _range(row)
    if found is None or found[1] == found[2]:
        return float("inf")
    return found[2] - found[1]


def figure_of(row: Row) -> Figure:
    """A row of the table as a figure; % of mass become g/g."""
    value, low, high = _range(row) or (0.0, 0.0, 0.0)
    unit, scale = (_UNITS.get(row["unit"], row["unit"]), 1.0) if row["unit"] != "% m/m" else ("g/g", 0.01)
    key = row["source_key"]
    return Figure(scale * value, scale * low, scale * high, unit, source_of(key).named(row["detail"]), known_of(row),
                  note=row["conditions"], source_key=key)  # fmt: skip


def acid_shares(fat_id: str) -> tuple[AcidShare, ...]:
    """The fatty acids of a fat: one source taken whole, what it lacks from the next; empty where none is published."""
    groups: dict[tuple[str, str], list[Row]] = {}
    for row in table_by("fat_fatty_acids", "fat").get(fat_id, ()):
        groups.setdefault((row["source_key"], row["known"]), []).append(row)
    shares: dict[str, AcidShare] = {}
    for rows in sorted(groups.values(), key=_acids_rank):
        for row in rows:
            shares.setdefault(row["fatty_acid"], _acid_share(row))
    return tuple(shares.values())


def _acids_rank(rows: Sequence[Row]) -> tuple[bool, int, int]:
    return (*rank(rows[0]), -len(rows))


def _acid_share(row: Row) -> AcidShare:
    low, high, typical = (number(row, f"{column}_pct") for column in ("min", "max", "typical"))
    if low is None:
        low = 0.0 if typical is None else typical
    if high is None:
        high = 100.0 if typical is None else typical
    source = source_of(row["source_key"])
    return AcidShare(
        row["fatty_acid"], 0.5 * (low + high) if typical is None else typical, low, high,
        source.named(row["detail"]), source.key, known_of(row),
    )  # fmt: skip


@cache
def fat_figures(fat_id: str) -> FatFigures:
    """What is published of a fat, ready to be built. Raises `UnknownName` for another id."""
    row = _row(fat_id)
    build: Build = row["build"]  # type: ignore[assignment]
    shares = acid_shares(fat_id)
    fat = FatFigures(
        build=build,
        saponification_value=_placeholder(),
        acid_value=None if build in FREE_ACIDS else _figure(fat_id, "acid_value"),
        unsaponifiable_fraction=_figure(fat_id, "unsaponifiable_pct"),
        acids={share.acid: share.percent for share in shares if share.percent > 0.0},
        acid_ranges={share.acid: (share.low_percent / 100.0, share.high_percent / 100.0) for share in shares},
    )
    return replace(fat, saponification_value=_saponification_figure(fat_id, fat))


def _row(fat_id: str) -> Row:
    rows = table_by("fats", "fat").get(fat_id)
    if rows is None:
        raise UnknownName("fat", fat_id, fat_ids())
    return rows[0]


def _placeholder() -> Figure:
    return Figure(0.0, 0.0, 0.0, "mg KOH/g", "", "assumed")


def _figure(fat_id: str, property_name: str) -> Figure | None:
    row = chosen_row(fat_id, property_name)
    return None if row is None else figure_of(row)


def _saponification_figure(fat_id: str, fat: FatFigures) -> Figure:
    """Published, for free acids else the acid value, else computed from the fatty acids."""
    figure = _figure(fat_id, "saponification_value")
    if figure is None and fat.build in FREE_ACIDS:
        figure = _figure(fat_id, "acid_value")
        figure = figure and replace(figure, note="acid value; every acid of it is free")
    if figure is None:
        return computed_saponification_value(fat, _name(_row(fat_id)["common_name"])[0])
    return figure if figure.low < figure.high else _with_assumed_range(figure)


def _with_assumed_range(figure: Figure) -> Figure:
    half = ASSUMED_RANGE * figure.value
    note = f"{figure.known} as {figure.value:g}; no range is published, so ±{100 * ASSUMED_RANGE:g} % is assumed"
    return replace(figure, low=figure.value - half, high=figure.value + half, known="assumed", note=note)


def computed_saponification_value(fat: FatFigures, name: str) -> Figure:
    """The saponification value in mg KOH/g that the fatty acids give, with the range that their limits allow.

    Triglycerides by the formula of AOCS Cd 1c-85, free acids as acids. Raises `Unwelcome` for a wax, a resin, or a fat
    without published fatty acids: the formula does not hold for them.
    """
    if fat.build not in ("triglyceride", "free acid") or not fat.acids:
        raise Unwelcome(
            f"A saponification value cannot be computed for {name}.",
            why=f"The formula holds for triglycerides with known fatty acids; this is a {fat.build}.",
            remedy="Use the saponification or acid value of its certificate.",
        )
    if fat.build == "free acid":
        value = free_acid_saponification_value(fat.acids)
    else:
        unsaponifiable = fat.unsaponifiable_fraction.value if fat.unsaponifiable_fraction else 0.0
        value = saponification_value(fat.acids, unsaponifiable)
    limits = saponification_limits_of_acids(fat)
    if limits is None:
        limits = (value * (1.0 - ASSUMED_RANGE), value * (1.0 + ASSUMED_RANGE))
    low, high = min(limits[0], value), max(limits[1], value)
    return Figure(value, low, high, "mg KOH/g", "computed from the fatty acids", "derived", source_key="aocs-cd-1c-85")


def fat_material(fat_id: str) -> Material:
    """A fat or fatty acid of the catalogue. Raises `UnknownName` for another id."""
    row, fat = _row(fat_id), fat_figures(fat_id)
    name, aside = _name(row["common_name"])
    return Material(
        id=fat_id, name=name, kind=fat_kind(fat.build), composition=composition_at(fat, fat.saponification_value.value),
        doubts=fat_doubts(fat, fat_id, name), figures=_figures(fat_id, fat), traits=frozenset(row["traits"].split()),
        names=_names(fat_id, row["inci_name"]), density_g_ml=_density(fat_id), aliases=words(row["aliases"]),
        note=" ".join(part for part in (_sentence(aside), _sentence(row["colour_note"]), row["note"]) if part),
        remarks=fat_remarks(fat, name, row["note"]), cas=row["cas"], origin=row["botanical_or_animal_source"],
    )  # fmt: skip


def fat_kind(build: Build) -> Kind:
    """The kind of a material of this build."""
    return "fatty acid" if build == "free acid" else "fat"


def fat_doubts(fat: FatFigures, key: str, name: str) -> tuple[Doubt, ...]:
    """The doubt of its saponification value, or none."""
    doubt = saponification_doubt(fat, key, name)
    return (doubt,) if doubt else ()


def _figures(fat_id: str, fat: FatFigures) -> dict[str, Figure]:
    out = {"saponification_value": fat.saponification_value}
    for property_name, figure_name in _FIGURES.items():
        figure = _figure(fat_id, property_name)
        if figure is not None and figure_name not in out:
            out[figure_name] = figure
    return out


def fat_remarks(fat: FatFigures, name: str, explanation: str = "") -> tuple[Finding, ...]:
    """What to mind about a fat's own figures: they disagree, a range is assumed, its acids are unknown."""
    remarks = [replace(remark, text=f"{remark.text} {explanation}".strip()) for remark in plausibility(fat, name)]
    figure = fat.saponification_value
    if figure.known == "assumed":
        remarks.append(
            Finding("note", "range-assumed", f"No range is published for the saponification value of {name}.",
                    f"±{100 * ASSUMED_RANGE:g} % is assumed; the certificate of your lot is surer.", name)
        )  # fmt: skip
    if not fat.acids:
        remarks.append(
            Finding("note", "acids-unknown", f"The fatty acids of {name} are not published.",
                    "Its soap is counted with a nominal acid of 280 g/mol; only the lye it takes is sure.", name)
        )  # fmt: skip
    return tuple(remarks)


def _names(fat_id: str, inci_name: str) -> LabelNames:
    """Names for a label; an INCI name such as ``Adeps Bovis (EU) / Tallow (US)`` is split where no row has them."""
    found = label_names(fat_id)
    if found.eu:
        return found
    eu, _, us = inci_name.partition(" (EU) / ")
    return replace(found, eu=eu, us=us.removesuffix(" (US)") or eu)


def density_row(fat_id: str) -> Row | None:
    """The relative density that counts: among the best rows the one at the temperature nearest to 20 °C."""
    rows = [row for row in only(table_by("fat_properties", "fat").get(fat_id, ()), "property", "relative_density")
            if row["temperature_c"] and _range(row) is not None]  # fmt: skip
    if not rows:
        return None
    return min(rows, key=lambda row: (*rank(row), abs(float(row["temperature_c"]) - 20.0), _width(row)))


def _density(fat_id: str) -> Figure | None:
    """Density in g/mL at the temperature of its row; relative ones times that of water."""
    row = density_row(fat_id)
    if row is None:
        return None
    figure = figure_of(row)
    water = _water_g_ml(float(row["reference_c"])) if row["reference_c"] else 1.0
    return replace(figure, value=water * figure.value, low=water * figure.low, high=water * figure.high,
                   unit="g/mL", note=f"at {row['temperature_c']} °C")  # fmt: skip


@cache
def _water_g_ml(temperature_c: float) -> float:
    return sucrose_water_density_kg_m3(0.0, temperature_c) / 1000.0


def _name(common_name: str) -> tuple[str, str]:
    """The name and what stands in brackets behind it, such as “free acid”."""
    name, _, aside = common_name.partition(" (") if common_name.endswith(")") else (common_name, "", "")
    return name, aside.removesuffix(")")


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}." if text else ""


def published_shares(fat_id: str) -> Mapping[str, float]:
    """Mass shares of the fatty acids of a fat, normalised to 1; empty where none is published."""
    acids = fat_figures(fat_id).acids
    total = sum(acids.values())
    return {acid: share / total for acid, share in acids.items()}
