"""What is kept: saved recipes, materials and lots, their history, and the verbs that every door calls.

The names below load on first use, so that a command which keeps nothing never loads the database library.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from kettleglass.workshop.changes import Change, Latest, Listed, Transaction, View, folded, matching
    from kettleglass.workshop.copies import (
        BookCopy,
        Held,
        Made,
        Restored,
        backup_book,
        copy_named,
        list_copies,
        look_into,
        restore_book,
        size_said,
    )
    from kettleglass.workshop.drafts import Draft, clear_draft, draft_history, keep_draft, list_drafts, take_draft
    from kettleglass.workshop.export import Exported, export_book
    from kettleglass.workshop.ids import Clock, Ids, IdSource, utc_now
    from kettleglass.workshop.importing import import_book
    from kettleglass.workshop.materials import (
        list_lots,
        list_materials,
        load_lot,
        load_material,
        lot_history,
        material_history,
        remove_lot,
        remove_material,
        save_lot,
        save_material,
        undo_lot,
        undo_material,
    )
    from kettleglass.workshop.notebook import Notebook
    from kettleglass.workshop.recipes import (
        SavedRecipe,
        copy_recipe,
        list_recipes,
        load_recipe,
        recipe_history,
        redo_recipe,
        remove_recipe,
        rename_recipe,
        restore_recipe,
        save_recipe,
        undo_recipe,
    )
    from kettleglass.workshop.refusals import (
        NewerBook,
        NoSuchEntry,
        NotABook,
        NothingToUndo,
        Stale,
        StoreTrouble,
        Taken,
        UnusableCopy,
    )
    from kettleglass.workshop.report import report_text, write_report

__all__ = [
    "BookCopy",
    "Change",
    "Clock",
    "Draft",
    "Exported",
    "Held",
    "IdSource",
    "Ids",
    "Latest",
    "Listed",
    "Made",
    "NewerBook",
    "NoSuchEntry",
    "NotABook",
    "Notebook",
    "NothingToUndo",
    "Restored",
    "SavedRecipe",
    "Stale",
    "StoreTrouble",
    "Taken",
    "Transaction",
    "UnusableCopy",
    "View",
    "backup_book",
    "clear_draft",
    "copy_named",
    "copy_recipe",
    "draft_history",
    "export_book",
    "folded",
    "import_book",
    "keep_draft",
    "list_copies",
    "list_drafts",
    "list_lots",
    "list_materials",
    "list_recipes",
    "load_lot",
    "load_material",
    "load_recipe",
    "look_into",
    "lot_history",
    "matching",
    "material_history",
    "recipe_history",
    "redo_recipe",
    "remove_lot",
    "remove_material",
    "remove_recipe",
    "rename_recipe",
    "report_text",
    "restore_book",
    "restore_recipe",
    "save_lot",
    "save_material",
    "save_recipe",
    "size_said",
    "take_draft",
    "undo_lot",
    "undo_material",
    "undo_recipe",
    "utc_now",
    "write_report",
]

_NAMES = {
    "changes": "Change Latest Listed Transaction View folded matching",
    "copies": "BookCopy Held Made Restored backup_book copy_named list_copies look_into restore_book size_said",
    "drafts": "Draft clear_draft draft_history keep_draft list_drafts take_draft",
    "export": "Exported export_book",
    "ids": "Clock Ids IdSource utc_now",
    "importing": "import_book",
    "materials": "list_lots list_materials load_lot load_material lot_history material_history remove_lot"
    " remove_material save_lot save_material undo_lot undo_material",
    "notebook": "Notebook",
    "recipes": "SavedRecipe copy_recipe list_recipes load_recipe recipe_history redo_recipe remove_recipe"
    " rename_recipe restore_recipe save_recipe undo_recipe",
    "refusals": "NewerBook NoSuchEntry NotABook NothingToUndo Stale StoreTrouble Taken UnusableCopy",
    "report": "report_text write_report",
}
_FILE_OF = {name: file for file, names in _NAMES.items() for name in names.split()}


def __getattr__(name: str) -> Any:
    if name not in _FILE_OF:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_FILE_OF[name]}"), name)


def __dir__() -> list[str]:
    return sorted({*globals(), *_FILE_OF})
