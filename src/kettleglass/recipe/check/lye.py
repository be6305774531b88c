"""What to mind about the lye: its strength, its water, the chance of free alkali and its cure."""

from __future__ import annotations

from collections.abc import Iterator

from kettleglass.errors import Finding, Unwelcome
from kettleglass.recipe.alkali import pure_alkali_g
from kettleglass.recipe.doubt import HowSure
from kettleglass.recipe.titration import refuse_triethanolamine
from kettleglass.recipe.work import Worked
from kettleglass.science.pot import ROW
from kettleglass.science.saponify import NAOH_G_MOL
from kettleglass.science.species import fatty_acid

NAOH_LIMIT, KOH_LIMIT = 0.522, 0.548
"""Saturated lye at 20 and 25 °C: NaOH 52.2 % (Great Soviet Encyclopedia 1979), KOH 54.8 % (BIS code of safety)."""
NEAR_LIMIT = 0.9
STOP_PERCENT = 0.1
"""Free alkali above which toilet soap fails (SNI 06-3532-1994: 0.1 % as NaOH)."""


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
    strength = alkali / (alkali + water)
    limit = NAOH_LIMIT + potassium * (KOH_LIMIT - NAOH_LIMIT)
    if strength > limit:
        yield Finding(
            "danger",
            "lye-not-soluble",
            f"A lye of {100 * strength:.0f} % does not dissolve: cold water holds {100 * limit:.0f} % at most.",
            f"Give the lye at least {alkali * (1 / limit - 1):.0f} g of water.",
            "lye water",
            "Great Soviet Encyclopedia (1979); BIS code of safety, potassium hydroxide",
        )
    elif water < alkali * (1.0 - 1e-6):
        yield Finding(
            "danger",
            "water-under-lye",
            f"There is less water ({water:.0f} g) than alkali ({alkali:.0f} g).",
            "Never go below one part of water to one part of alkali.",
            "lye water",
            "common practice, no source",
        )
    elif strength > NEAR_LIMIT * limit:
        yield Finding(
            "caution",
            "lye-near-limit",
            f"A lye of {100 * strength:.0f} % is near its limit of {100 * limit:.0f} %: it gets very hot, and crystals"
            " come back when it cools below about 15 °C.",
            "Use it warm and at once, or give it a little more water.",
            "lye water",
            "Great Soviet Encyclopedia (1979); Dow, Caustic soda physical properties",
        )


def free_alkali(worked: Worked) -> Iterator[Finding]:
    """The chance of free alkali, with its cure beside it; or what the maker measured instead."""
    measured = worked.recipe.measured_free_alkali_percent
    if measured is not None:
        yield from _with_amine(worked)
        if measured > STOP_PERCENT:
            yield Finding(
                "danger",
                "free-alkali-measured",
                f"You measured {measured:.2f} % of free alkali: too much for skin.",
                "Cook in the fatty acid worked out under How sure, and test again before anyone uses it.",
                "measured",
                "SNI 06-3532-1994: 0.1 % as NaOH at most",
            )
        return
    sure = worked.sure
    if sure is None or sure.chance_free_alkali <= worked.recipe.certainty.target_chance:
        return
    tens = max(1, round(10 * sure.chance_free_alkali))
    yield Finding(
        "danger" if sure.chance_free_alkali >= 0.1 else "caution",
        "free-alkali-chance",
        f"{_count(tens)} in ten would keep more than {sure.limit_percent:g} % of free alkali.",
        _cure(worked, sure),
        "alkali",
    )


def _with_amine(worked: Worked) -> Iterator[Finding]:
    """A simple titration counts triethanolamine as lye."""
    try:
        refuse_triethanolamine(worked.sheet.basis.as_dict(worked.cooked))
    except Unwelcome as error:
        yield Finding("danger", "titrated-with-amine", f"{error.what} {error.why}", error.remedy, "measured")


_WORDS = (
    "no pot",
    "One pot",
    "Two pots",
    "Three pots",
    "Four pots",
    "Five pots",
    "Six pots",
    "Seven pots",
    "Eight pots",
    "Nine pots",
    "Ten pots",
)


def _count(tens: int) -> str:
    return _WORDS[tens]


def trim_acid_g(worked: Worked, sure: HowSure) -> float:
    """Stearic acid (284.5 g/mol) in g that takes up the free alkali of 95 pots in 100."""
    moles = max(0.0, sure.high) / 100.0 * worked.total_g / NAOH_G_MOL
    return moles * fatty_acid("18:0").molar_mass_g_mol


def _cure(worked: Worked, sure: HowSure) -> str:
    trim = trim_acid_g(worked, sure)
    text = (
        f"Test the paste before the solvents go in, and set {max(1.0, trim):.0f} g of extra stearic acid aside for the"
        " trim."
    )
    if sure.cure_superfat_percent is not None:
        text += f" A superfat of {sure.cure_superfat_percent:.1f} % would do it too" + (
            ", at some clarity." if worked.recipe.wants_clarity else "."
        )
    return text


def superfat(worked: Worked) -> Iterator[Finding]:
    """Lye in excess on purpose, and free fat in a base that is to be clear."""
    percent = worked.weights.superfat_percent
    if worked.recipe.alkali.superfat_percent < 0.0:
        yield Finding(
            "danger",
            "negative-superfat",
            f"A superfat of {worked.recipe.alkali.superfat_percent:g} % is lye in excess.",
            "Neutralise it with fatty acid before the solvents, and do not pour until a test shows none is left.",
            "superfat",
        )
    elif worked.recipe.look == "crystal clear" and percent > 1.0:
        yield Finding(
            "caution",
            "free-fat-clouds",
            f"{percent:.1f} % of the fat stays unsaponified; free fat clouds a clear base.",
            "Go to 0 %; no published clear bar was found with more than about 1 % and no extra polyol.",
            "superfat",
        )


def no_lye(worked: Worked) -> Iterator[Finding]:
    """Fats without any alkali."""
    needs = float(worked.added.sum()) > 0.0 and pure_alkali_g(worked.sheet, worked.weights.weighed_g) <= 0.0
    bound = float(worked.cooked[worked.sheet.basis.acyl].sum() + worked.cooked[worked.sheet.basis.acid].sum())
    if needs and bound > 0.0:
        yield Finding(
            "danger",
            "no-lye",
            "There is fat but no lye in this recipe.",
            "Add NaOH or KOH under Lye and leave its amount to be solved.",
            "lye",
        )


def lye_water_said(worked: Worked) -> Iterator[Finding]:
    """Where the water comes from, and why the lye has so little of it."""
    alkali, water, _ = lye_mixed_g(worked)
    total = worked.grams("water")
    if alkali <= 0.0 or not worked.recipe.wants_clarity or total <= 0.0:
        return
    share = 100.0 * total / worked.total_g
    if share > 30.0:
        yield Finding(
            "caution",
            "too-much-water",
            f"Water is {share:.0f} % of the pot: too much of it turns a base rubbery.",
            f"Cut the lye water ({water:.0f} g of {total:.0f} g); syrup and spirit bring water of their own.",
            "lye water",
            "Simmons & Appleton 1908: too much water softens without clouding",
        )
