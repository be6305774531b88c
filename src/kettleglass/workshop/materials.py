"""The verbs of the maker's own materials and of the lots on the shelf, each kept as a document.

What a document says is the business of the materials room; here it is a mapping of names to text,
numbers, lists and mappings, with a `name`, and for a lot the `material_id` it is a lot of.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from kettleglass.errors import BadInput
from kettleglass.workshop import changes
from kettleglass.workshop.changes import Change, Latest
from kettleglass.workshop.notebook import Notebook

MATERIAL, LOT = "material", "lot"


def save_material(
    notebook: Notebook, material_id: str | None, body: Mapping[str, Any], expected_version: int | None
) -> Latest:
    """The maker's own material as now kept; `material_id` None makes a new one. Raises `Stale`."""
    return _save(notebook, MATERIAL, material_id, body, expected_version)


def load_material(notebook: Notebook, material_id: str) -> Latest:
    """One of the maker's own materials, also a removed one. Raises `NoSuchEntry`."""
    with notebook.reading() as view:
        return changes.latest(view, MATERIAL, material_id)


def list_materials(notebook: Notebook, *, removed: bool = False) -> tuple[Latest, ...]:
    """The maker's own materials, last changed first."""
    with notebook.reading() as view:
        return changes.all_latest(view, MATERIAL, removed=removed)


def remove_material(notebook: Notebook, material_id: str, expected_version: int | None = None) -> Latest:
    """The material, now out of the list; saving it again or undoing brings it back."""
    return _remove(notebook, MATERIAL, material_id, expected_version)


def material_history(notebook: Notebook, material_id: str) -> tuple[Change, ...]:
    """Every change of a material, oldest first. Raises `NoSuchEntry`."""
    with notebook.reading() as view:
        return changes.history(view, MATERIAL, material_id)


def undo_material(notebook: Notebook, material_id: str, expected_version: int | None = None) -> Latest:
    """The material one step further back. Raises `NothingToUndo` at its first version."""
    return _undo(notebook, MATERIAL, material_id, expected_version)


def save_lot(notebook: Notebook, lot_id: str | None, body: Mapping[str, Any], expected_version: int | None) -> Latest:
    """The lot as now kept; `lot_id` None makes a new one. Raises `Stale`, `BadInput` without `material_id`."""
    if not isinstance(body.get("material_id"), str):
        raise BadInput("A lot does not say what it is a lot of.", remedy="Choose its material.")
    return _save(notebook, LOT, lot_id, body, expected_version)


def load_lot(notebook: Notebook, lot_id: str) -> Latest:
    """One lot, also a removed one. Raises `NoSuchEntry`."""
    with notebook.reading() as view:
        return changes.latest(view, LOT, lot_id)


def list_lots(notebook: Notebook, material_id: str | None = None, *, removed: bool = False) -> tuple[Latest, ...]:
    """The lots of one material or of all, last changed first."""
    with notebook.reading() as view:
        lots = changes.all_latest(view, LOT, removed=removed)
    return tuple(lot for lot in lots if material_id is None or lot.content["material_id"] == material_id)


def remove_lot(notebook: Notebook, lot_id: str, expected_version: int | None = None) -> Latest:
    """The lot, now out of the list; saving it again or undoing brings it back."""
    return _remove(notebook, LOT, lot_id, expected_version)


def lot_history(notebook: Notebook, lot_id: str) -> tuple[Change, ...]:
    """Every change of a lot, oldest first. Raises `NoSuchEntry`."""
    with notebook.reading() as view:
        return changes.history(view, LOT, lot_id)


def undo_lot(notebook: Notebook, lot_id: str, expected_version: int | None = None) -> Latest:
    """The lot one step further back. Raises `NothingToUndo` at its first version."""
    return _undo(notebook, LOT, lot_id, expected_version)


def _save(
    notebook: Notebook, kind: str, entity_id: str | None, body: Mapping[str, Any], expected: int | None
) -> Latest:
    with notebook.transaction() as tx:
        which = entity_id or tx.new_id()
        changes.append(tx, kind, which, "save", body, expected_version=expected if entity_id else 0)
        return changes.latest(tx, kind, which)


def _remove(notebook: Notebook, kind: str, entity_id: str, expected: int | None) -> Latest:
    with notebook.transaction() as tx:
        changes.append(tx, kind, entity_id, "remove", None, expected_version=expected)
        return changes.latest(tx, kind, entity_id)


def _undo(notebook: Notebook, kind: str, entity_id: str, expected: int | None) -> Latest:
    with notebook.transaction() as tx:
        changes.undo(tx, kind, entity_id, expected_version=expected)
        return changes.latest(tx, kind, entity_id)
