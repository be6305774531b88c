"""What to mind: remarks on a worked recipe, most serious first. A new check is one function in this list."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from kettleglass.errors import Finding, most_serious_first
from kettleglass.recipe.check import alkali, clarity, figures, lye, safety
from kettleglass.recipe.work import Worked

Check = Callable[[Worked], Iterator[Finding]]

CHECKS: tuple[Check, ...] = (
    figures.from_weights,
    safety.methanol,
    safety.unsuitable_spirit,
    lye.lye_strength,
    lye.lye_there,
    lye.alkali_shares,
    safety.aluminium,
    safety.nitrosating,
    alkali.free_alkali,
    alkali.superfat,
    alkali.paste_gate,
    alkali.idle_amine,
    alkali.agreeing_limits,
    safety.kettle_room,
    safety.scent,
    safety.hot_alcohol,
    clarity.dark_fats,
    clarity.missing_partner,
    clarity.weaker_alcohol,
    clarity.wax_alcohols,
    clarity.salts,
    clarity.hard_water,
    lye.lye_water_said,
    clarity.no_nagging,
    figures.of_materials,
    figures.provisional,
)


def what_to_mind(worked: Worked) -> tuple[Finding, ...]:
    """All remarks on a worked recipe, most serious first, otherwise in the order of `CHECKS`."""
    return most_serious_first(finding for check in CHECKS for finding in check(worked))
