"""Materials as plain documents (text, numbers, lists, mappings) for saving, and back without loss."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, fields
from typing import Any, TypeVar

from kettleglass.errors import BadInput, Finding
from kettleglass.materials.figure import Figure
from kettleglass.materials.material import Doubt, LabelNames, Material

SCHEMA = 1
"""Layout of the documents; a later layout has a higher number."""
_T = TypeVar("_T")


def figure_as_dict(figure: Figure) -> dict[str, Any]:
    """A figure as a document."""
    return asdict(figure)


def figure_from_dict(document: Mapping[str, Any]) -> Figure:
    """The figure of a document; raises `BadInput` for one that is not."""
    return _made(Figure, document)


def material_as_dict(material: Material) -> dict[str, Any]:
    """A material as a document that `material_from_dict` reads back."""
    return {
        "schema": SCHEMA, "id": material.id, "name": material.name, "kind": material.kind,
        "composition": dict(material.composition),
        "doubts": [_doubt_as_dict(doubt) for doubt in material.doubts],
        "figures": {name: figure_as_dict(figure) for name, figure in material.figures.items()},
        "traits": sorted(material.traits), "names": asdict(material.names),
        "density_g_ml": figure_as_dict(material.density_g_ml) if material.density_g_ml else None,
        "aliases": list(material.aliases), "note": material.note,
        "remarks": [asdict(remark) for remark in material.remarks], "cas": material.cas, "origin": material.origin,
    }  # fmt: skip


def material_from_dict(document: Mapping[str, Any]) -> Material:
    """The material of a document; raises `BadInput` for one that is not, or is of a later layout."""
    known = dict(document)
    schema = known.pop("schema", SCHEMA)
    if not isinstance(schema, int) or schema > SCHEMA:
        raise BadInput(f"A material is written in layout {schema!r}; this version reads up to {SCHEMA}.",
                       remedy="Update Kettleglass.")  # fmt: skip
    try:
        density = known.get("density_g_ml")
        known |= {
            "composition": {str(sid): float(share) for sid, share in known["composition"].items()},
            "doubts": tuple(_doubt_from_dict(doubt) for doubt in known.get("doubts", ())),
            "figures": {str(n): figure_from_dict(figure) for n, figure in known.get("figures", {}).items()},
            "traits": frozenset(known.get("traits", ())), "names": _made(LabelNames, known.get("names", {})),
            "density_g_ml": figure_from_dict(density) if density else None,
            "aliases": tuple(known.get("aliases", ())),
            "remarks": tuple(_made(Finding, remark) for remark in known.get("remarks", ())),
        }  # fmt: skip
    except (KeyError, TypeError, AttributeError) as error:
        raise BadInput("This is not the document of a material.", why=f"It lacks or mistakes {error}.") from error
    return _made(Material, known)


def _doubt_as_dict(doubt: Doubt) -> dict[str, Any]:
    return {
        "key": doubt.key, "label": doubt.label, "direction": dict(doubt.direction),
        "figure": figure_as_dict(doubt.figure), "agreeing": list(doubt.agreeing) if doubt.agreeing else None,
        "credited": doubt.credited,
    }  # fmt: skip


def _doubt_from_dict(document: Mapping[str, Any]) -> Doubt:
    agreeing = document.get("agreeing")
    return Doubt(document["key"], document["label"], dict(document["direction"]), figure_from_dict(document["figure"]),
                 (float(agreeing[0]), float(agreeing[1])) if agreeing else None,
                 bool(document.get("credited", True)))  # fmt: skip


def _made(kind: type[_T], document: Mapping[str, Any]) -> _T:
    names = {field.name for field in fields(kind)}  # type: ignore[arg-type]
    unknown = sorted(set(document) - names)
    if unknown:
        raise BadInput(f"The document of a {kind.__name__.lower()} says “{unknown[0]}”, which has no meaning here.")
    try:
        return kind(**document)
    except TypeError as error:
        raise BadInput(f"The document of a {kind.__name__.lower()} is not complete.", why=f"{error}.") from error
