"""The titration fields of the recipe page: free alkali worked out from the burette, or restated as NaOH."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Literal

from kettleglass.errors import BadInput, KettleglassError
from kettleglass.recipe.lyewater import plain_number
from kettleglass.recipe.titration import ALKALI_G_PER_MOL, Titration, factor_trap, restated_percent
from kettleglass.units import parse_mass, parse_number, parse_percent, parse_volume
from kettleglass.web.forms import Typed
from kettleglass.web.forms.reading import Fault

PREFIX = "titration."
GIVEN_AS = tuple(ALKALI_G_PER_MOL)
_READERS: Mapping[str, Callable[[str], float]] = {
    "sample": parse_mass,
    "volume": parse_volume,
    "blank": parse_volume,
    "normality": lambda text: parse_number(text.lower().removesuffix("mol/l").removesuffix("n").strip()),
    "percent": lambda text: 100.0 * parse_percent(text, at_least_percent=-100.0),
}


def worked_out(typed: Mapping[str, str], composition: Mapping[str, float]) -> Typed:
    """The fields with the measured free alkali filled in; unchanged where the titration cannot be worked out."""
    filled = any(typed.get(PREFIX + name, "").strip() for name in _READERS)
    if not filled or faults(typed, composition):
        return dict(typed)
    percent = _percent(typed, composition)
    said = plain_number(round(percent, 4))
    return {**typed, "recipe.measured_free_alkali": f"{said} %"}


def faults(typed: Mapping[str, str], composition: Mapping[str, float]) -> dict[str, Fault]:
    """What is wrong in the titration fields; nothing while they are all empty."""
    filled = {name: typed.get(PREFIX + name, "").strip() for name in _READERS}
    if not any(filled.values()):
        return {}
    found: dict[str, Fault] = {}
    for name, said in filled.items():
        if said:
            _try(found, name, lambda name=name, said=said: _READERS[name](said))  # type: ignore[misc]
    if not found and not filled["percent"]:
        for name, example in (("sample", "10 g"), ("volume", "1.2 mL"), ("normality", "0.1")):
            if not filled[name]:
                found[PREFIX + name] = Fault("This is needed too.", f"Write “{example}”, for example.", waiting=True)
    if not found:
        _try(found, "percent" if filled["percent"] else "sample", lambda: _percent(typed, composition))
    return found


def _try(found: dict[str, Fault], name: str, read: Callable[[], Any]) -> None:
    try:
        read()
    except KettleglassError as error:
        found[PREFIX + name] = Fault(f"{error.what} {error.why}".strip(), error.remedy)


def _percent(typed: Mapping[str, str], composition: Mapping[str, float]) -> float:
    """Free alkali in % as NaOH; raises `BadInput` or `Unwelcome`."""
    said = {name: typed.get(PREFIX + name, "").strip() for name in (*_READERS, "titrant", "given_as")}
    if said["percent"]:
        given_as = said["given_as"] or "NaOH"
        if given_as not in GIVEN_AS:
            raise BadInput(f"“{given_as[:20]}” is not a way to state free alkali.", remedy="Choose one of the list.")
        return restated_percent(_READERS["percent"](said["percent"]), given_as)
    read = {name: reader(said[name]) for name, reader in _READERS.items() if said[name]}
    titrant: Literal["acid", "alkali"] = "alkali" if said["titrant"] == "alkali" else "acid"
    titrated = Titration(read["sample"], read["volume"], read["normality"], read.get("blank", 0.0), titrant)
    return titrated.free_alkali_percent(composition=composition)


def trap(typed: Mapping[str, str]) -> str:
    """The warning about figures printed as something else than NaOH, or nothing."""
    given_as, said = typed.get(PREFIX + "given_as", ""), typed.get(PREFIX + "percent", "").strip()
    if given_as not in GIVEN_AS or not said:
        return ""
    try:
        finding = factor_trap(_READERS["percent"](said), given_as)
    except KettleglassError:
        return ""
    return "" if finding is None else f"{finding.text} {finding.advice}".strip()
