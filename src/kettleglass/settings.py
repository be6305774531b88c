"""One frozen `Settings`: defaults, then `settings.toml` in the home folder, then the environment, then flags.

Later sources win. Everything that a person can set is a row of `READERS`; the name of a setting is its key in
the file, `KETTLEGLASS_` and the name in capitals is its environment variable, `--` and the name its flag.
"""

from __future__ import annotations

import os
import sys
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path
from types import MappingProxyType
from typing import Any

from kettleglass.errors import BadInput

PREFIX = "KETTLEGLASS_"
HOME_VARIABLE = f"{PREFIX}HOME"
FILE_NAME = "settings.toml"
OWN_BOOK = "workshop.db"
"""The maker's book in the home folder, where no database is named."""

Reader = Callable[[str, object], int | float]


@dataclass(frozen=True, slots=True)
class Settings:
    """How this workshop runs; made by `load_settings`."""

    home: Path
    """The folder that holds the book, the photos and `settings.toml`."""
    port: int = 8517
    """The port of the pages on this machine, 0-65535; 0 takes a free one."""
    altitude_m: float = 0.0
    """Height of the workshop above the sea, -430 to 5500 m: the pressure, so the boiling points, follow it."""
    seed: int = 1
    """Seed of the random pots, 0 to 2**63 - 1: the same seed gives the same figures."""
    scale_step_g: float = 1.0
    """Step of the maker's scale, 0.001-1000 g, for recipes that do not say their own."""


def default_home(environment: Mapping[str, str], platform: str, user: Path) -> Path:
    """The folder for this user's data, by the habit of the platform (`sys.platform`); `user` is their home."""
    if platform == "win32":
        return Path(environment.get("LOCALAPPDATA") or user / "AppData" / "Local") / "Kettleglass"
    if platform == "darwin":
        return user / "Library" / "Application Support" / "Kettleglass"
    shared = environment.get("XDG_DATA_HOME", "")
    return (Path(shared) if Path(shared).is_absolute() else user / ".local" / "share") / "kettleglass"


def load_settings(environment: Mapping[str, str] | None = None, flags: Mapping[str, object] | None = None) -> Settings:
    """The settings in force.

    `environment` is that of the process unless given; `flags` holds what the command line said, by setting
    name, with None for what it did not say. Raises BadInput for an unreadable file, an unknown name or a
    value that cannot be used, and says which source it came from.
    """
    environment = os.environ if environment is None else environment
    home = _home(environment)
    variables = {name: environment.get(_variable(name), "") for name in READERS}
    said = _read(_from_file(home / FILE_NAME), f"in {home / FILE_NAME}", str)
    said |= _read({name: _number(text) for name, text in variables.items() if text}, "in the environment", _variable)
    asked = {name: value for name, value in (flags or {}).items() if value is not None}
    said |= _read(asked, "on the command line", _flag)
    return Settings(home=home, **said)


def _variable(name: str) -> str:
    """The environment variable of a setting."""
    return PREFIX + name.upper()


def _flag(name: str) -> str:
    """The flag of a setting on the command line."""
    return "--" + name.replace("_", "-")


def _home(environment: Mapping[str, str]) -> Path:
    named = environment.get(HOME_VARIABLE)
    return Path(named).expanduser().absolute() if named else default_home(environment, sys.platform, Path.home())


def _from_file(path: Path) -> Mapping[str, object]:
    """What the file says; nothing if there is none."""
    try:
        return tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except FileNotFoundError:
        return {}
    except OSError as error:
        why = f"The system says: {error.strerror}."
        raise BadInput(f"{path} cannot be read.", why=why, remedy="Mend its permissions, or move it away.") from error
    except (UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        remedy = "Write one setting a line, as in: altitude_m = 540"
        raise BadInput(f"{path} is not a TOML file.", why=f"The reader says: {error}.", remedy=remedy) from error


def _read(given: Mapping[str, object], where: str, shown: Callable[[str], str]) -> dict[str, Any]:
    """The given values checked; `where` says where they stand, `shown` what a setting is called there."""
    values: dict[str, Any] = {}
    for name, value in given.items():
        if name not in READERS:
            near = get_close_matches(name, READERS, n=1)
            remedy = f"Did you mean “{near[0]}”?" if near else f"There are: {', '.join(READERS)}."
            raise BadInput(f"There is no setting “{name}” ({where}).", remedy=remedy)
        values[name] = READERS[name](f"The setting {shown(name)} {where}", value)
    return values


def _number(text: str) -> object:
    """A number out of a variable; text that is none is left for the reader to refuse."""
    for kind in (int, float):
        try:
            return kind(text.strip().replace(",", "."))
        except ValueError:
            continue
    return text


def _whole(low: int, high: int) -> Reader:
    """A reader of whole numbers from `low` to `high`."""

    def read(shown: str, value: object) -> int:
        if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
            raise BadInput(f"{shown} is {value!r}.", remedy=f"Give a whole number from {low} to {high}.")
        return value

    return read


def _between(low: float, high: float, unit: str) -> Reader:
    """A reader of numbers from `low` to `high`, both in `unit`."""

    def read(shown: str, value: object) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
            raise BadInput(f"{shown} is {value!r}.", remedy=f"Give a number from {low:g} to {high:g} {unit}.")
        return float(value)

    return read


READERS: Mapping[str, Reader] = MappingProxyType(
    {
        "port": _whole(0, 65535),
        "altitude_m": _between(-430.0, 5500.0, "metres"),
        "seed": _whole(0, 2**63 - 1),
        "scale_step_g": _between(0.001, 1000.0, "grams"),
    }
)
"""Every setting but the home folder, with the function that reads and checks it."""
