"""What to mind about free alkali: its chance with its cure, what was measured, superfat as weighed, the paste gate."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from kettleglass.errors import Finding, Unwelcome
from kettleglass.recipe.alkali import fat_equivalents_mol
from kettleglass.recipe.doubt import HowSure
from kettleglass.recipe.sheet import cook_paste
from kettleglass.recipe.titration import refuse_triethanolamine
from kettleglass.recipe.trim import measured_trim, trim_acid_g
from kettleglass.recipe.work import Worked
from kettleglass.science import pot as pots
from kettleglass.science.saponify import NAOH_G_MOL

STOP_PERCENT = 0.1
"""Free alkali above which toilet soap fails (SNI 06-3532-1994: 0.1 % as NaOH)."""
_MUCH_EXCESS_PERCENT = 0.5
_IDLE_AMINE_PERCENT = 0.5


def free_alkali(worked: Worked) -> Iterator[Finding]:
    """The chance of free alkali, with its cure beside it; or what the maker measured instead."""
    if worked.recipe.measured_free_alkali_percent is not None:
        yield from _measured(worked, worked.recipe.measured_free_alkali_percent)
        return
    sure = worked.sure
    if sure is None or sure.chance_free_alkali <= worked.recipe.certainty.target_chance or worked.soap_g <= 0.0:
        return
    yield Finding(
        "danger" if sure.chance_free_alkali >= 0.1 else "caution",
        "free-alkali-chance",
        f"{pots_said(sure.chance_free_alkali)} would keep more than {sure.limit_percent:g} % of free alkali.",
        _cure(worked, sure),
        "alkali",
    )


_WORDS = ["One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine", "Ten"]


def pots_said(chance: float) -> str:
    """A chance (0-1, above 0) as counts: “Three pots in ten”, “4 pots in 100”, “4 pots in 1000”."""
    if chance >= 0.095:
        tens = min(10, round(10 * chance))
        return f"{_WORDS[tens - 1]} pot{'' if tens == 1 else 's'} in ten"
    whole = 100 if chance >= 0.0095 else 1000
    count = max(1, round(whole * chance))
    return f"{count} pot{'' if count == 1 else 's'} in {whole}"


def _cure(worked: Worked, sure: HowSure) -> str:
    trim = trim_acid_g(worked, sure)
    text = (
        f"Test the paste before the solvents go in, and set {trim:.{0 if trim >= 10 else 1}f} g of extra stearic acid"
        " aside for the trim."
    )
    cure = sure.cure_superfat_percent
    if cure is not None and cure > worked.recipe.alkali.superfat_percent:
        but = ", but free fat may cloud it." if worked.recipe.wants_clarity else "."
        text += f" A superfat of {cure:.1f} % would do it too{but}"
    return text


def _measured(worked: Worked, measured: float) -> Iterator[Finding]:
    try:
        refuse_triethanolamine(worked.sheet.basis.as_dict(worked.cooked))
    except Unwelcome as error:
        yield Finding("danger", "titrated-with-amine", f"{error.what} {error.why}", error.remedy, "measured")
        return
    limit = worked.recipe.certainty.free_alkali_limit_percent
    if measured > limit:
        too_much = measured > STOP_PERCENT
        yield Finding(
            "danger" if too_much else "caution",
            "free-alkali-measured",
            f"You measured {measured:.2f} % of free alkali: "
            + ("too much for skin." if too_much else f"above your limit of {limit:g} %."),
            "Cook in the fatty acid worked out under How sure, and test again before anyone uses it.",
            "measured",
            "SNI 06-3532-1994: 0.1 % as NaOH at most",
        )
    trim = measured_trim(worked)
    if trim is not None:
        yield from trim.dose.findings


def superfat(worked: Worked) -> Iterator[Finding]:
    """Lye in excess, planned or as weighed, and free fat in a base that is to be clear."""
    asked, weighed = worked.recipe.alkali.superfat_percent, worked.weights.superfat_percent
    if worked.soap_g <= 0.0:
        return
    if asked < 0.0:
        yield Finding(
            "danger",
            "negative-superfat",
            f"A superfat of {asked:g} % is lye in excess.",
            "Neutralise it with fatty acid before the solvents, and do not pour until a test shows none is left.",
            "superfat",
        )
    elif weighed < -_MUCH_EXCESS_PERCENT:
        moles = -weighed / 100.0 * fat_equivalents_mol(worked.sheet, worked.weights.weighed_g)
        yield Finding(
            "danger",
            "lye-in-excess",
            f"As weighed there is more lye than the fats take up, by {moles * NAOH_G_MOL:.1f} g as NaOH.",
            "Lower the lye that has a fixed amount, or leave it to be solved.",
            "lye",
        )
    elif worked.recipe.look == "crystal clear" and weighed > 1.0:
        yield Finding(
            "caution",
            "free-fat-clouds",
            f"{weighed:.1f} % of the fat stays unsaponified; free fat clouds a clear base.",
            "Go to 0 %; no published clear bar was found with more than about 1 % and no extra polyol.",
            "superfat",
        )


def paste_gate(worked: Worked) -> Iterator[Finding]:
    """By plan the paste still holds lye, for an acid that comes later; the test before the solvents must allow it."""
    paste = cook_paste(worked.sheet, worked.weights.weighed_g)
    free_mol = float(pots.alkali_balance_mol(worked.sheet.basis, paste))
    percent = 100.0 * free_mol * NAOH_G_MOL / float(paste.sum()) if float(paste.sum()) > 0.0 else 0.0
    final_mol = float(pots.alkali_balance_mol(worked.sheet.basis, worked.cooked))
    if abs(percent) <= 0.2 or abs(free_mol - final_mol) * NAOH_G_MOL * 100.0 <= 0.2 * float(paste.sum()):
        return
    later = [
        material.name
        for line, material, _ in worked.in_use
        if line.stage in ("clear", "syrup", "finish") and _acts(material.composition)
    ]
    kind = "lye" if percent > 0.0 else "fat"
    yield Finding(
        "caution",
        "paste-not-neutral",
        f"By plan the paste itself still holds {abs(percent):.1f} % of free {kind} (as NaOH), until"
        f" {', '.join(later) or 'the rest'} goes in.",
        "At the test before the solvents expect that much; trim only what is beyond it.",
        "paste",
    )


def _acts(composition: Mapping[str, float]) -> bool:
    return any(
        i.startswith(("acid.", "acyl.")) or i in ("citric_acid", "lactic_acid", "hydroxide") for i in composition
    )


def idle_amine(worked: Worked) -> Iterator[Finding]:
    """Triethanolamine that found no acid to neutralise."""
    percent = worked.percent("triethanolamine")
    if percent > _IDLE_AMINE_PERCENT:
        yield Finding(
            "caution",
            "amine-idle",
            f"{percent:.1f} % of the pot is free triethanolamine: it found no acid, since lye takes acids first.",
            "Add fatty acid after the paste, with the amine, or use less of it.",
            "paste",
        )


def agreeing_limits(worked: Worked) -> Iterator[Finding]:
    """Fats whose nominal value lies outside of where their limits and fatty acids agree."""
    if worked.recipe.certainty.limits == "published limits":
        return
    outside = [
        doubt.label
        for doubt in worked.sheet.doubts
        if doubt.agreeing and not doubt.agreeing[0] <= doubt.figure.z_nominal <= doubt.agreeing[1]
    ]
    if outside:
        yield Finding(
            "caution",
            "nominal-outside-agreeing",
            f"The weights use the middle of the published limits, which lies outside of where limits and fatty acids"
            f" agree for the {', '.join(dict.fromkeys(outside))}.",
            "Read this chance as a warning about that value, and use a certificate of your lot.",
            "alkali",
        )
