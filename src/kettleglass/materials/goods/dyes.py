"""Dyes and pigments of the catalogue, with what lye does to them."""

from __future__ import annotations

from kettleglass.errors import Finding, Level, UnknownName
from kettleglass.materials.bibliography import source_of
from kettleglass.materials.goods.labels import label_names
from kettleglass.materials.material import LabelNames, Material
from kettleglass.materials.tables import Row, read_table, table_by, words

_IN_SOAP: dict[str, tuple[Level, str] | None] = {
    "holds": None,
    "shifts": ("note", "changes shade or fades in lye"),
    "glows": ("caution", "glows yellow-green in lye"),
    "fails": ("caution", "does not last in soap"),
}
"""What the column `in_soap` means: level and words of the remark, none where the colour holds."""


_SAID = {
    "Dissolves in": "solvent", "In lye": "alkali_stability", "In light": "light_stability",
    "Permitted": "permitted_in",
}  # fmt: skip
"""Columns that make up the note of a dye."""


def dye_ids() -> tuple[str, ...]:
    """The ids of the dyes and pigments, in the order of the table."""
    return tuple(row["dye"] for row in read_table("dyes"))


def dye_material(dye_id: str) -> Material:
    """A dye as dry powder. Raises `UnknownName` for an id that is not in the table.

    A soluble dye counts as unspecified (its grams matter, its chemistry does not), a pigment as insoluble.
    """
    rows = table_by("dyes", "dye").get(dye_id)
    if rows is None:
        raise UnknownName("dye", dye_id, dye_ids())
    row = rows[0]
    pigment = row["form"] == "pigment"
    return Material(
        id=dye_id, name=row["name"], kind="dye", composition={"insoluble" if pigment else "unspecified": 1.0},
        traits=frozenset({"pigment"} if pigment else {"oil-soluble"} if row["form"] == "oil" else set()),
        names=_names(dye_id, row), aliases=_aliases(row), note=_note(row), remarks=_remarks(dye_id, row),
    )  # fmt: skip


def _names(dye_id: str, row: Row) -> LabelNames:
    found = label_names(dye_id)
    if found.eu:
        return found
    eu, _, us = row["inci"].partition(" (US label: ")
    return LabelNames(eu, us.removesuffix(")").partition(";")[0])


def _aliases(row: Row) -> tuple[str, ...]:
    numbers = [f"CI {part.strip()}" for part in row["ci_number"].split("/") if part.strip()[:1].isdigit()]
    others = [part for part in words(row["e_or_fdc"]) if part != "-"]
    return tuple(dict.fromkeys([*words(row["synonyms"]), *numbers, *others, row["source_name"]]))


def _note(row: Row) -> str:
    parts = [f"{label}: {row[column]}." for label, column in _SAID.items()]
    if row["lambda_max_nm"] not in ("", "-"):
        parts.append(f"Absorbs most at {row['lambda_max_nm']} nm.")
    return " ".join(parts)


def _remarks(dye_id: str, row: Row) -> tuple[Finding, ...]:
    said = _IN_SOAP[row["in_soap"]]
    if said is None:
        return ()
    keys = words(row["source_keys"])
    return (
        Finding(said[0], f"dye-{row['in_soap']}", f"{row['name']} {said[1]}: {row['alkali_stability']}.",
                "Colour one cup and watch it for a week before the whole pot.", dye_id, source_of(keys[0]).short),
    )  # fmt: skip
