"""What to mind about clarity: nothing here speaks up for an opaque base."""

from __future__ import annotations

from collections.abc import Iterator

from kettleglass.errors import Finding, Level
from kettleglass.recipe.hardness import calcium_mol, lime_soap_g
from kettleglass.recipe.work import Worked
from kettleglass.science.descriptors import parts_g

SALT_PERCENT = 1.0
CALCIUM_G_MOL = 40.078
UNSAPONIFIABLE_PERCENT = 1.5


def dark_fats(worked: Worked) -> Iterator[Finding]:
    """Dark oils tint a base that is to be crystal clear."""
    if worked.recipe.look != "crystal clear":
        return
    dark = worked.lines_with("dark")
    if dark:
        names = ", ".join(material.name for _, material in dark)
        yield Finding(
            "caution",
            "dark-fats",
            f"{names} will tint a crystal clear base.",
            "Use a pale or refined fat, or call the base tinted.",
            dark[0][0].key,
            "common practice, no source",
        )


def salts(worked: Worked) -> Iterator[Finding]:
    """Salt salts soap out, a stearic base far more than a coconut one."""
    if not worked.recipe.wants_clarity:
        return
    percent = 100.0 * salts_g(worked) / worked.total_g if worked.total_g > 0.0 else 0.0
    if percent > SALT_PERCENT:
        yield Finding(
            "caution",
            "salts-cloud",
            f"Salts are {percent:.1f} % of the pot; they push soap out of solution.",
            "Leave out salt, and prefer fatty acid to citric acid for neutralising.",
            "",
            "Simmons & Appleton 1908 ch. I; Lin et al. 2005",
        )


def salts_g(worked: Worked) -> float:
    """Salts in g with their cations, without the hydroxide of free alkali."""
    return float(parts_g(worked.sheet.basis, worked.cooked)["electrolyte"]) - worked.grams("hydroxide")


def wax_alcohols(worked: Worked) -> Iterator[Finding]:
    """What no lye takes up stays as haze: wax alcohols and other unsaponifiable matter."""
    percent = worked.percent("unsaponifiable", "bound_alcohol")
    if worked.recipe.look == "crystal clear" and percent > UNSAPONIFIABLE_PERCENT:
        yield Finding(
            "caution",
            "unsaponifiable-clouds",
            f"{percent:.1f} % of the pot is unsaponifiable (wax alcohols, sterols); it stays as haze.",
            "Leave out jojoba, lanolin and unrefined butters, or call the base translucent.",
            "fats",
            "common practice, no source",
        )


def hard_water(worked: Worked) -> Iterator[Finding]:
    """Hard water makes lime soap: opaque streaks."""
    recipe = worked.recipe
    added = worked.hard_water_g
    if recipe.water_hardness_mg_l <= 0.0 or added <= 0.0 or worked.mean_soap_g_mol <= 0.0:
        return
    calcium_g = calcium_mol(added, recipe.water_hardness_mg_l) * CALCIUM_G_MOL
    held = sum(
        material.figures["calcium_capacity_g_per_g"].value * mass
        for _, material, mass in worked.in_use
        if "calcium_capacity_g_per_g" in material.figures
    )
    if held >= calcium_g:
        return
    lime = lime_soap_g(added, recipe.water_hardness_mg_l, worked.mean_soap_g_mol) * (1.0 - held / calcium_g)
    level: Level = "caution" if recipe.wants_clarity and lime > 2e-4 * worked.total_g else "note"
    yield Finding(
        level,
        "hard-water",
        f"Your water makes about {lime:.2g} g of lime soap in this pot.",
        "Use distilled water, or the chelator worked out under What it becomes.",
        "water",
        "Simmons & Appleton 1908: hard water gives opaque streaks",
    )


def weaker_alcohol(worked: Worked) -> Iterator[Finding]:
    """Propan-2-ol stands in for ethanol less well; fine for embeds."""
    if worked.percent("propan_2_ol") > 1.0 and worked.recipe.look == "crystal clear":
        level: Level = "note" if worked.recipe.purpose == "embed" else "caution"
        yield Finding(
            level,
            "propan-2-ol",
            "Propan-2-ol clears less per gram than ethanol and lathers less.",
            "Fine for embeds. For a crystal clear bar use ethanol, and test a small cup first.",
            "clear",
            "common practice, no source; no published clear cast bar with it was found",
        )


def missing_partner(worked: Worked) -> Iterator[Finding]:
    """Alcohol, glycerol and sugar act together."""
    if not worked.recipe.wants_clarity or worked.soap_g <= 0.0:
        return
    absent = [
        name for name, species in (
            ("alcohol or glycol", ("ethanol", "propan_2_ol", "propylene_glycol", "dipropylene_glycol")),
            ("glycerol", ("glycerol",)), ("sugar", ("sucrose", "sorbitol", "hexoses")),
        ) if worked.percent(*species) < 0.5
    ]  # fmt: skip
    if absent:
        yield Finding(
            "caution",
            "solvents-missing",
            f"There is no {' and no '.join(absent)} in it; alcohol, glycerol and sugar act together.",
            "Alcohol brings most of the clarity, glycerol the re-melting, sugar clarity and lather.",
            "clear",
            "common practice, no source",
        )


def no_nagging(worked: Worked) -> Iterator[Finding]:
    """What an opaque base can do without."""
    if worked.recipe.look == "opaque white" and worked.percent("sucrose", "sorbitol", "hexoses") > 5.0:
        yield Finding(
            "note",
            "opaque-sugar",
            "An opaque base hardly needs sugar.",
            "Halve the alcohol and glycerol, leave out the syrup.",
            "syrup",
            "common practice, no source",
        )
