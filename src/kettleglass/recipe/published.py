"""Published soaps with complete amounts, as pots: what they hold and what came of them.

Every ingredient of a published charge is mapped to species in the table itself (column ``parts``); fats and
commercial acids take the catalogue's figures. What is charged reacts stage by stage, as in a recipe. Only worked
compositions with every amount are used; partial ones and claimed ranges are given by `left_out`, with the reason.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, cast

from kettleglass.errors import BadInput
from kettleglass.materials import Material
from kettleglass.materials.catalogue import load_catalogue
from kettleglass.materials.figure import KNOWN, Known
from kettleglass.materials.tables import read_table
from kettleglass.recipe.recipe import STAGES
from kettleglass.science import pot as pots
from kettleglass.science.basis import Array, Basis, acids_in, basis_for
from kettleglass.science.descriptors import clarity_of_one, window_quantities
from kettleglass.science.species import ATOMIC_WEIGHT, PLAIN, RESIDUE, fatty_acid

Outcome = Literal["clear", "not clear", "translucent", "less", "not stated"]
"""What the source says of clarity; ``less``: it clouded or faded where a sister batch did not."""
_OUTCOMES: dict[str, Outcome] = {"yes": "clear", "no": "not clear", "translucent": "translucent", "less": "less"}
_WHY_LEFT_OUT = {"partial": "some amounts are not published", "range": "claimed ranges, not a worked composition"}
_SALTS = {
    "sodium_hydroxide": {"sodium": 1, "hydroxide": 1},
    "potassium_hydroxide": {"potassium": 1, "hydroxide": 1},
    "sodium_carbonate": {"sodium": 2, "carbonate": 1},
    "sodium_chloride": {"sodium": 1, "chloride": 1},
}
"""Pure salts as moles of their ions."""
_MOLAR_MASS_G = {s.id: s.molar_mass_g_mol for s in PLAIN if s.molar_mass_g_mol}

Row = Mapping[str, str]
FindMaterial = Callable[[str], Material]
"""Gives the catalogue's material of an id; raises `UnknownName` when there is none."""


@dataclass(frozen=True, eq=False)
class PublishedBase:
    """One published composition with every amount. Pots are (S,) over `basis`, in g as printed (about 100 g).

    `charged` is what goes in, `reacted` what becomes of it, before anything evaporates. `outcome_known` tells a
    statement in the text (read) from a judgement by product class (memory). `known` is the least well known of the
    composition's rows, stand-ins included; `remarks` name every ingredient that had to be interpreted.
    """

    id: str
    title: str
    source_key: str
    detail: str
    year: int | None
    known: Known
    product_form: str
    outcome: Outcome
    outcome_known: Known
    outcome_note: str
    remarks: tuple[str, ...]
    basis: Basis
    charged: Array
    reacted: Array
    quantities: Mapping[str, float | None]
    descriptors: Mapping[str, float | None]

    @property
    def soap_percent(self) -> float:
        """Anhydrous soap after reaction, in % of the charge."""
        return cast(float, self.quantities["soap"])

    @property
    def water_percent(self) -> float:
        """All water after reaction, in % of the charge."""
        return cast(float, self.quantities["water"])

    @property
    def solvents_percent(self) -> float:
        """Alcohols, polyols (released glycerol included) and sugar, in % of the charge."""
        return cast(float, self.quantities["solvents"])

    @property
    def is_bar(self) -> bool:
        """Whether it is a bar, not a shaving soap, stick, soft or liquid soap."""
        return self.product_form == "bar"


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A published soap that cannot be drawn as a point, and why."""

    id: str
    title: str
    source_key: str
    reason: str


@lru_cache(maxsize=1)
def published_bases() -> tuple[PublishedBase, ...]:
    """Every published composition with complete amounts, with the packaged catalogue's fats; see `bases_from`."""
    return bases_from(load_catalogue().get)


def published_bars() -> tuple[PublishedBase, ...]:
    """The bars among the published bases: what a bar or a base for re-melting is fairly compared with."""
    return tuple(base for base in published_bases() if base.is_bar)


def bases_from(find: FindMaterial) -> tuple[PublishedBase, ...]:
    """Every published composition with complete amounts, in the order of the table; all share one basis.

    `find` gives the fats and acids. Raises `UnknownName` when it lacks one of them.
    """
    heads = [row for row in read_table("published_bases") if row["completeness"] == "full"]
    charges = {head["formula_id"]: _ingredients(head["formula_id"], find) for head in heads}
    mixtures = [mixture for charge in charges.values() for _, _, mixture in charge]
    basis = basis_for({acid for mixture in mixtures for acid in acids_in(mixture)})
    return tuple(_base(head, basis, charges[head["formula_id"]]) for head in heads)


def left_out() -> tuple[LeftOut, ...]:
    """The published soaps that are not among the bases, each with the reason."""
    return tuple(
        LeftOut(row["formula_id"], row["title"], row["source_key"], _WHY_LEFT_OUT[row["completeness"]])
        for row in read_table("published_bases")
        if row["completeness"] != "full"
    )


_Charge = list[tuple[Row, float, Mapping[str, float]]]
"""Rows of the table with their grams and their composition in g/g."""


def _ingredients(formula_id: str, find: FindMaterial) -> _Charge:
    rows = [row for row in read_table("published_formulas") if row["formula_id"] == formula_id]
    return [(row, float(row["mass_percent"]), mixture(row["parts"], find)) for row in rows]


def mixture(parts: str, find: FindMaterial) -> dict[str, float]:
    """A composition in g/g from text such as ``ethanol 0.924; water 0.076``; sums to 1.

    A part is a species id, a pure salt (``sodium_hydroxide``), a material of the catalogue (``fat:tallow``), or a
    dry sodium soap of one (``sodium_soap:tallow``) or of an acid (``sodium_soap_of:18:0``).
    Raises `BadInput` when the shares do not sum to 1.
    """
    out: dict[str, float] = {}
    for part in parts.split(";"):
        name, share = part.rsplit(maxsplit=1)
        for species_id, grams in _pure(name.strip(), find).items():
            out[species_id] = out.get(species_id, 0.0) + float(share) * grams
    if abs(math.fsum(out.values()) - 1.0) > 1e-6:
        raise BadInput(f"The parts “{parts}” do not add up to 1.", remedy="Give shares of mass that sum to 1.")
    return out


def _pure(name: str, find: FindMaterial) -> Mapping[str, float]:
    if name in _SALTS:
        grams = {ion: count * _MOLAR_MASS_G[ion] for ion, count in _SALTS[name].items()}
        return _shares(grams)
    kind, _, rest = name.partition(":")
    if kind == "fat":
        return find(rest).composition
    if kind == "sodium_soap":
        return _sodium_soap(_acid_moles(find(rest).composition))
    if kind == "sodium_soap_of":
        return _sodium_soap({rest: 1.0})
    return {name: 1.0}


def _shares(grams: Mapping[str, float]) -> dict[str, float]:
    total = math.fsum(grams.values())
    return {species_id: mass / total for species_id, mass in grams.items()}


def _acid_moles(composition: Mapping[str, float]) -> dict[str, float]:
    """Moles of each fatty acid, free or bound, in a gram of fat."""
    out: dict[str, float] = {}
    for species_id, grams in composition.items():
        form, _, acid_id = species_id.partition(".")
        if form in ("acyl", "acid") and acid_id != RESIDUE:
            acid = fatty_acid(acid_id)
            molar_mass_g = acid.acyl_g_mol if form == "acyl" else acid.molar_mass_g_mol
            out[acid_id] = out.get(acid_id, 0.0) + grams / molar_mass_g
    return out


def _sodium_soap(moles: Mapping[str, float]) -> dict[str, float]:
    """Dry sodium soap of these moles of fatty acids, without glycerol and unsaponifiable, in g/g."""
    grams = {f"soap.{acid}": n * fatty_acid(acid).soap_g_mol for acid, n in moles.items()}
    return _shares(grams | {"sodium": math.fsum(moles.values()) * ATOMIC_WEIGHT["Na"]})


def _base(head: Row, basis: Basis, charge: _Charge) -> PublishedBase:
    formula_id = head["formula_id"]
    reacted = _cooked(basis, charge)
    outcome = _outcome_row(formula_id)
    knowns = [head["known"], *(row["parts_known"] for row, _, _ in charge)]
    return PublishedBase(
        id=formula_id,
        title=head["title"],
        source_key=head["source_key"],
        detail=head["detail"],
        year=int(head["year"]) if head["year"] else None,
        known=KNOWN[max(KNOWN.index(cast(Known, known)) for known in knowns)],
        product_form=head["product_form"],
        outcome=_OUTCOMES.get(outcome.get("value", ""), "not stated"),
        outcome_known=cast(Known, outcome.get("known", "assumed")),
        outcome_note=outcome.get("method", ""),
        remarks=_remarks(row for row, _, _ in charge),
        basis=basis,
        charged=sum((grams * basis.vector(parts) for _, grams, parts in charge), basis.zeros()),
        reacted=reacted,
        quantities={key: _plain(value) for key, value in window_quantities(basis, reacted).items()},
        descriptors=clarity_of_one(basis, reacted),
    )


def _cooked(basis: Basis, charge: _Charge) -> Array:
    """The pot (S,) after all stages: what has met reacts once after each."""
    pot = basis.zeros()
    for stage in STAGES:
        for row, grams, parts in charge:
            if row["stage"] == stage:
                pot = pot + grams * basis.vector(parts)
        pot = pots.react(basis, pot)
    return pot


def _outcome_row(formula_id: str) -> Row:
    for row in read_table("published_outcomes"):
        if row["formula_id"] == formula_id and row["property"] == "transparent":
            return row
    return {}


def _remarks(rows: Iterable[Row]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(f"{row['ingredient']}: {row['parts_note']}" for row in rows if row["parts_note"]))


def _plain(value: Array) -> float | None:
    return None if math.isnan(value) else float(value)
