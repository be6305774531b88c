"""What to mind about the lye itself: its strength, its water, and whether there is any."""

from __future__ import annotations

from collections.abc import Iterator

from kettleglass.errors import Finding
from kettleglass.recipe.alkali import pure_alkali_g
from kettleglass.recipe.work import Worked
from kettleglass.science.heat.lye import first_crystals_c, saturated_fraction
from kettleglass.science.pot import ROW

NEAR_LIMIT = 0.9
SLACK = 0.02
"""A lye of one to one, rounded to a scale's step, is still one to one."""
MUCH_WATER_PERCENT = 30.0


def lye_mixed_g(worked: Worked) -> tuple[float, float, float]:
    """Pure alkali, water, and the potassium share of the cations by mole, of what is mixed as lye."""
    sheet, masses = worked.sheet, worked.weights.weighed_g
    rows = [r for r, line in enumerate(sheet.lines) if line.stage == "lye"]
    lye = sheet.compositions[:, rows] @ masses[rows] if rows else sheet.basis.zeros()
    sodium, potassium = (lye[ROW[name]] * sheet.basis.mol_per_g[ROW[name]] for name in ("sodium", "potassium"))
    share = potassium / (sodium + potassium) if sodium + potassium > 0.0 else 0.0
    return pure_alkali_g(sheet, masses), float(lye[ROW["water"]]), float(share)


def lye_strength(worked: Worked) -> Iterator[Finding]:
    """Lye that will not dissolve, or nearly not; water below the mass of the alkali."""
    alkali, water, potassium = lye_mixed_g(worked)
    if alkali <= 0.0:
        return
    strength, limit = alkali / (alkali + water), saturated_fraction(potassium)
    if strength > limit:
        needed = alkali * (1 / limit - 1)
        do = f"Give the lye at least {needed:.0f} g of water in all, {needed - water:.0f} g more."
        if not worked.has_lye_water:
            do = f"Add water under Lye and leave its amount open; it takes at least {needed - water:.0f} g."
        yield Finding(
            "danger",
            "lye-not-soluble",
            f"A lye of {100 * strength:.0f} % does not dissolve: cold water holds {100 * limit:.0f} % at most.",
            do,
            "lye water",
            "Great Soviet Encyclopedia (1979); BIS code of safety, potassium hydroxide",
        )
    elif water < alkali * (1.0 - SLACK):
        yield Finding(
            "danger",
            "water-under-lye",
            f"There is less water ({water:.0f} g) than alkali ({alkali:.0f} g).",
            "Never go below one part of water to one part of alkali.",
            "lye water",
            "common practice, no source",
        )
    elif strength > NEAR_LIMIT * limit:
        crystals = first_crystals_c(strength, potassium)
        yield Finding(
            "caution",
            "lye-near-limit",
            f"A lye of {100 * strength:.0f} % is near its limit of {100 * limit:.0f} %: it gets very hot, and crystals"
            f" come back when it cools below about {crystals:.0f} °C.",
            "Use it warm and at once, or give it a little more water.",
            "lye water",
            "Great Soviet Encyclopedia (1979); Dow, Caustic soda physical properties",
        )


def lye_there(worked: Worked) -> Iterator[Finding]:
    """Fats without alkali, alkali without fats, and alkali too little for the scale."""
    sheet, basis = worked.sheet, worked.sheet.basis
    masses, exact = worked.weights.weighed_g, worked.weights.exact_g
    fatty = float(worked.added[basis.acyl].sum() + worked.added[basis.acid].sum())
    soap = float(worked.added[basis.soap].sum())
    bases = sheet.species("hydroxide") + sheet.species("triethanolamine")
    if fatty > 0.0 and soap <= 0.0 and float(bases @ exact) <= 0.0:
        yield Finding(
            "danger",
            "no-lye",
            "There is fat but no lye in this recipe.",
            "Add NaOH or KOH under Lye and leave its amount to be solved.",
            "lye",
        )
    elif fatty > 0.0 and float(bases @ exact) > 0.0 and float(bases @ masses) <= 0.0:
        yield Finding(
            "danger",
            "lye-below-scale",
            "The lye of this batch is less than one step of the scale, so it rounds to nothing.",
            "Use a finer scale for the lye, or make a larger batch.",
            "scale",
        )
    elif fatty + soap <= 0.0 and float(sheet.species("hydroxide") @ masses) > 0.0:
        yield Finding(
            "danger",
            "lye-without-fat",
            "There is lye but no fat to take it up: this pot is plain caustic.",
            "Add fats, or take the lye out.",
            "fats",
        )
    elsewhere = [
        material.name for line, material, _ in worked.in_use if line.stage != "lye" and material.kind == "alkali"
    ]
    if elsewhere:
        yield Finding(
            "caution",
            "lye-elsewhere",
            f"{', '.join(elsewhere)} does not stand under Lye, so its strength and its water are not looked at.",
            "Put it under Lye.",
            "lye",
        )


def alkali_shares(worked: Worked) -> Iterator[Finding]:
    """Alkali shares that do not add up to 1 were stretched to do so."""
    shares = [line.share for line in worked.sheet.lines if line.amount.by == "solve" and line.share is not None]
    solved = [line for line in worked.sheet.lines if line.amount.by == "solve" and line.stage == "lye"]
    alkali = [line for line in solved if worked.sheet.species("hydroxide")[worked.sheet.keys.index(line.key)] > 0.0]
    total = sum(shares)
    if shares and (total > 1.0005 or (len(shares) == len(alkali) and total < 0.9995)):
        yield Finding(
            "caution",
            "alkali-shares",
            f"The shares of the alkali add up to {100 * total:.4g} %.",
            "They were taken in these proportions; let them add up to 100 %, or leave one of them out.",
            "lye",
        )


def lye_water_said(worked: Worked) -> Iterator[Finding]:
    """Too much water, and where it comes from."""
    alkali, water, _ = lye_mixed_g(worked)
    total = worked.grams("water")
    if alkali <= 0.0 or not worked.recipe.wants_clarity or total <= 0.0:
        return
    share = 100.0 * total / worked.total_g
    if share > MUCH_WATER_PERCENT:
        yield Finding(
            "caution",
            "too-much-water",
            f"Water is {share:.0f} % of the pot: too much of it turns a base rubbery.",
            f"Cut the lye water ({water:.0f} g of {total:.0f} g); syrup and spirit bring water of their own.",
            "lye water",
            "Simmons & Appleton 1908: too much water softens without clouding",
        )
