"""Free alkali by titration, the trap of its printed factors, and the dose that puts a pot right.

One sign everywhere: free alkali above 0 is lye in excess, below 0 is acid in excess. The titration is that of
soap dissolved in hot neutral ethanol with phenolphthalein (SNI 06-3532-1994, read in a reproduced copy: 25 g of
soap, 75 mL of ethanol, 1 N acid; W. H. Simmons and H. A. Appleton, The Handbook of Soap Manufacture, London
1908: 2 g, N/10). Carbonate is filtered off or precipitated first, or it is counted as caustic.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, get_args

from kettleglass.errors import BadInput, Finding, OutOfRange, UnknownName, Unwelcome
from kettleglass.science.saponify import KOH_G_MOL, NAOH_G_MOL
from kettleglass.science.species import PLAIN, fatty_acid, formula_mass_g_mol

AlkaliName = Literal["NaOH", "KOH", "Na2O"]
ALKALI_G_PER_MOL: dict[AlkaliName, float] = {
    "NaOH": NAOH_G_MOL, "KOH": KOH_G_MOL, "Na2O": formula_mass_g_mol("Na2O") / 2.0,
}  # fmt: skip
"""Grams per mole of hydroxide, by the name under which free alkali is printed."""
_MOL_PER_G = {s.id: 1.0 / s.molar_mass_g_mol for s in PLAIN if s.molar_mass_g_mol}
_WEAK_ACIDS = {"citric_acid": 3.0, "lactic_acid": 1.0}
_STEP_SLACK = 1e-9
_SOURCE = "SNI 06-3532-1994 (reproduced copy); Simmons and Appleton 1908"


def _at_least(name: str, value: float, low: float, *, unit: str, above: bool = False) -> None:
    if not (math.isfinite(value) and (value > low if above else value >= low)):
        word = "above" if above else "of at least"
        raise BadInput(f"{name} is {value:g} {unit}.", remedy=f"Give a number {word} {low:g} {unit}.")


def refuse_triethanolamine(composition: Mapping[str, float]) -> None:
    """Raise `Unwelcome` when a mixture holds triethanolamine, free or as its soap.

    `composition`: any amounts by species id (`kettleglass.science.species`), in g or g/g.
    """
    if composition.get("triethanolamine", 0.0) > 0.0 or composition.get("triethanolammonium", 0.0) > 0.0:
        raise Unwelcome(
            "A simple titration does not give the free alkali of a pot with triethanolamine.",
            why="Triethanolamine is itself a base: it colours phenolphthalein and takes up acid, so the amine would be"
            " counted as lye.",
            remedy="Titrate the paste before the triethanolamine goes in, or have the caustic and the amine determined"
            " side by side (a potentiometric titration that is read at both steps).",
        )


@dataclass(frozen=True, slots=True)
class Titration:
    """One titration: sample in g, standard solution in mL and mol of acid or base per L (its normality).

    `titrant` says what was in the burette: ``acid`` when the sample turned pink, ``alkali`` when it did not.
    The blank is the same solvent without soap. Raises `BadInput` for values that cannot be.
    """

    sample_g: float
    volume_ml: float
    normality: float
    blank_ml: float = 0.0
    titrant: Literal["acid", "alkali"] = "acid"

    def __post_init__(self) -> None:
        _at_least("The sample", self.sample_g, 0.0, unit="g", above=True)
        _at_least("The normality", self.normality, 0.0, unit="mol/L", above=True)
        _at_least("The volume", self.volume_ml, 0.0, unit="mL")
        _at_least("The blank", self.blank_ml, 0.0, unit="mL")
        if self.titrant not in ("acid", "alkali"):
            raise UnknownName("titrant", self.titrant, ("acid", "alkali"))
        if self.blank_ml > self.volume_ml:
            raise BadInput(
                f"The blank took {self.blank_ml:g} mL, more than the sample with {self.volume_ml:g} mL.",
                why="The solvent was not neutral, or the two were swapped.",
                remedy="Neutralise the ethanol to the first lasting pink, then titrate both again.",
            )

    @property
    def free_alkali_mol_per_g(self) -> float:
        """Free alkali in mol of hydroxide per g of sample; negative for free acid."""
        moles = (self.volume_ml - self.blank_ml) * self.normality / 1000.0 / self.sample_g
        return moles if self.titrant == "acid" else -moles

    def free_alkali_percent(self, as_: AlkaliName = "NaOH", composition: Mapping[str, float] | None = None) -> float:
        """Free alkali in % of the sample, (V - V0) N M / (10 m); negative for free acid.

        With 1 mol/L acid this is 4.0 V/m as NaOH, 5.6 V/m as KOH and 3.1 V/m as Na2O, the factor that older
        books print. With the `composition` of the pot at hand, raises `Unwelcome` if triethanolamine is in it.
        """
        if composition is not None:
            refuse_triethanolamine(composition)
        return 100.0 * self.free_alkali_mol_per_g * _alkali_g_mol(as_)

    def free_acid_percent(self, acid_g_mol: float) -> float:
        """Free fatty acid in % of the sample, as an acid of that molar mass (oleic acid: 282.47); 0 if alkaline."""
        _at_least("The molar mass of the acid", acid_g_mol, 0.0, unit="g/mol", above=True)
        return max(0.0, -100.0 * self.free_alkali_mol_per_g * acid_g_mol)


def _alkali_g_mol(name: str) -> float:
    for known, grams in ALKALI_G_PER_MOL.items():
        if known == name:
            return grams
    raise UnknownName("way to state free alkali", name, get_args(AlkaliName))


def restated_percent(percent: float, given_as: AlkaliName, wanted_as: AlkaliName = "NaOH") -> float:
    """The same free alkali in % under another name: 0.31 % Na2O is 0.40 % NaOH."""
    return percent * _alkali_g_mol(wanted_as) / _alkali_g_mol(given_as)


def titrant_volume_ml(free_alkali_percent: float, sample_g: float, normality: float, blank_ml: float = 0.0) -> float:
    """The volume in mL that a sample of that free alkali (% NaOH, either sign) takes: acid above 0, base below.

    Tells how large a sample must be for the burette to be read well.
    """
    _at_least("The sample", sample_g, 0.0, unit="g", above=True)
    _at_least("The normality", normality, 0.0, unit="mol/L", above=True)
    return abs(free_alkali_percent) / 100.0 * sample_g / NAOH_G_MOL / normality * 1000.0 + blank_ml


def alkali_of_factor(factor: float) -> AlkaliName:
    """What a printed factor really counts, whatever its power of ten: 3.1 Na2O, 4.0 NaOH, 5.6 KOH.

    The trap: SNI 06-3532-1994 (3.1 V/W with 1 N acid) and Simmons and Appleton 1908 (0.0031 g per mL of N/10)
    give % Na2O; as NaOH it is 4.0 V/W, 1.29 times as much. Raises `BadInput` for a factor of neither.
    """
    _at_least("The factor", factor, 0.0, unit="", above=True)
    lead = factor / 10.0 ** math.floor(math.log10(factor))
    for name, grams in ALKALI_G_PER_MOL.items():
        if abs(lead / (grams / 10.0) - 1.0) <= 0.02:
            return name
    raise BadInput(
        f"The factor {factor:g} belongs to no alkali that is known here.",
        why="Factors with these figures: 3.1 for Na2O, 4.0 for NaOH, 5.6 for KOH.",
        remedy="Look up what the method counts, or give the sample, the volume and the normality.",
    )


def factor_trap(percent: float, given_as: AlkaliName) -> Finding | None:
    """A caution when free alkali is stated as Na2O, with its value as NaOH; None for any other name."""
    if given_as != "Na2O":
        return None
    as_naoh = restated_percent(percent, "Na2O")
    return Finding(
        "caution", "free-alkali-as-na2o",
        f"{percent:.3g} % stated as Na2O is {as_naoh:.3g} % as NaOH: a factor of 3.1 counts Na2O, one of 4.0 NaOH.",
        f"Enter {as_naoh:.3g} % NaOH. Limits such as 0.1 % are meant as NaOH.", "measured free alkali", _SOURCE,
    )  # fmt: skip


def acid_mol_per_g(composition: Mapping[str, float]) -> float:
    """Free acid that a material brings, in mol per g: fatty acids, citric (3 per mole) and lactic acid, less lye.

    `composition` in g/g by species id. Bound fat does not count: it reacts too slowly to correct a finished pot.
    """
    fatty = sum(
        share / fatty_acid(species_id.removeprefix("acid.")).molar_mass_g_mol
        for species_id, share in composition.items()
        if species_id.startswith("acid.") and species_id != "acid.residue"
    )
    weak = sum(composition.get(name, 0.0) * _MOL_PER_G[name] * n for name, n in _WEAK_ACIDS.items())
    return fatty + weak - alkali_mol_per_g(composition)


def alkali_mol_per_g(composition: Mapping[str, float]) -> float:
    """Hydroxide that a material brings, in mol per g."""
    return composition.get("hydroxide", 0.0) * _MOL_PER_G["hydroxide"]


@dataclass(frozen=True, slots=True)
class Dose:
    """What to add: `kind`, exact and weighable mass in g, and the free alkali (% NaOH) that this leaves."""

    kind: Literal["fatty acid", "lye", "nothing"]
    exact_g: float
    mass_g: float
    left_percent: float
    findings: tuple[Finding, ...] = ()


def correction(
    pot_g: float, measured_percent: float, *, acid_mol_per_g: float, lye_mol_per_g: float, step_g: float,
    target_percent: float = 0.0,
) -> Dose:  # fmt: skip
    """The mass to add so that a pot reaches its target, rounded down to the scale's step: it never overshoots.

    With n the excess over the target in mol and t the target in mol per g, fatty acid of a mol/g needs
    n / (a + t) g, lye of b mol/g needs -n / (b - t) g, since the pot grows by what is added.

    Args:
        pot_g: mass of the whole pot in g, above 0.
        measured_percent: free alkali in % NaOH, from -20 to 20; negative: free acid. Neutral fat is not counted.
        acid_mol_per_g: strength of the fatty acid at hand (`acid_mol_per_g`), above 0.
        lye_mol_per_g: strength of the lye at hand (`alkali_mol_per_g`), above 0.
        step_g: the step of the scale in g, above 0.
        target_percent: free alkali to reach in % NaOH, from -20 to 20.

    Raises `BadInput` for values that cannot be, `OutOfRange` for a percentage beyond 20.
    """
    _at_least("The pot", pot_g, 0.0, unit="g", above=True)
    _at_least("The scale's step", step_g, 0.0, unit="g", above=True)
    for name, percent in (("The measured free alkali", measured_percent), ("The target", target_percent)):
        if not -20.0 <= percent <= 20.0:
            raise OutOfRange(name, percent, -20.0, 20.0, unit="% NaOH", remedy="Check the titration.")
    goal = target_percent / 100.0 / NAOH_G_MOL
    excess_mol = (measured_percent - target_percent) / 100.0 / NAOH_G_MOL * pot_g
    if excess_mol == 0.0:
        return Dose("nothing", 0.0, 0.0, measured_percent)
    kind: Literal["fatty acid", "lye"]
    if excess_mol > 0.0:
        _stronger("fatty acid", acid_mol_per_g, -goal)
        kind, exact_g, mol_per_g = "fatty acid", excess_mol / (acid_mol_per_g + goal), -acid_mol_per_g
    else:
        _stronger("lye", lye_mol_per_g, goal)
        kind, exact_g, mol_per_g = "lye", -excess_mol / (lye_mol_per_g - goal), lye_mol_per_g
    mass_g = math.floor(exact_g / step_g + _STEP_SLACK) * step_g
    moles = measured_percent / 100.0 / NAOH_G_MOL * pot_g + mol_per_g * mass_g
    left_percent = 100.0 * moles * NAOH_G_MOL / (pot_g + mass_g)
    return Dose(kind, exact_g, mass_g, left_percent, tuple(_cautions(kind, exact_g, mass_g, step_g)))


def _stronger(kind: str, mol_per_g: float, than_mol_per_g: float) -> None:
    if not (math.isfinite(mol_per_g) and mol_per_g > max(0.0, than_mol_per_g)):
        raise BadInput(
            f"With {mol_per_g:g} mol per g the {kind} cannot bring the pot to its target.",
            remedy=f"Choose a stronger {kind}, or a target nearer to 0.",
        )


def _cautions(kind: str, exact_g: float, mass_g: float, step_g: float) -> list[Finding]:
    where = "correction"
    if mass_g <= 0.0:
        return [
            Finding("note", "dose-below-step",
                    f"{exact_g:.3g} g of {kind} is less than one step of the scale ({step_g:g} g).",
                    "Add nothing, or weigh on a finer scale.", where)
        ]  # fmt: skip
    again = Finding(
        "note", "titrate-again", f"One titration decides about {mass_g:g} g of {kind}.",
        "Add about half, keep the pot hot and covered until it is even, titrate again, then add the rest.",
        where, "common practice, no source",
    )  # fmt: skip
    if kind == "fatty acid":
        return [again]
    hot = Finding(
        "danger", "lye-into-hot-pot", "Lye that meets a hot pot with alcohol can spit and boil over.",
        "Heat off, no flame, goggles, gloves and apron on; let the pot cool below 70 °C, dissolve the lye in cold water"
        " first and let it run in slowly while stirring. Follow the safety data sheet and local rules.",
        where, "usual words of safety data sheets",
    )  # fmt: skip
    return [hot, again]
