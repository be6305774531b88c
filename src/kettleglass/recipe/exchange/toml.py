"""TOML text to plain tables, with limits and with advice that fits the line; plain tables to TOML text."""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Mapping
from datetime import date, datetime, time

from kettleglass.errors import BadInput, Finding

MOST_BYTES = 1_000_000
DEEPEST = 16
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_KEY = r"""(?:[A-Za-z0-9_-]++|"[^"\n]*+"|'[^'\n]*+')"""
_LONG_KEY = re.compile(rf"(?:^|[\[{{,])[ \t]*+(?:{_KEY}[ \t]*+\.[ \t]*+){{{DEEPEST}}}", re.MULTILINE)
_AT = re.compile(r"\(at line (\d+), column \d+\)")
_UNQUOTED = re.compile(r"""\s*([A-Za-z0-9_-]+)\s*=\s*([^"'\[{\s][^"'#\n]*?)\s*(?:#.*)?""")


def text_of(data: str | bytes) -> str | Finding:
    """The text of a file without byte-order mark and Windows line ends; a finding if it is not UTF-8 or too large."""
    size = len(data) if isinstance(data, bytes) else len(data.encode("utf-8", "surrogatepass"))
    if size > MOST_BYTES:
        return _bad("too-large", f"The file has {size / 1e6:.3g} MB; a recipe may have 1 MB at most.",
                    "Check that it is a recipe; put pictures and long texts elsewhere.")  # fmt: skip
    try:
        text = data.decode("utf-8") if isinstance(data, bytes) else data
        text.encode("utf-8")
    except UnicodeError:
        return _bad("not-utf-8", "The file is not text in UTF-8.", "Save it again as plain text, encoding UTF-8.")
    return text.removeprefix("\ufeff").replace("\r\n", "\n")


def tables_of(text: str) -> dict[str, object] | Finding:
    """The tables of a TOML text; a finding that points at the line if it is not TOML or nested too deeply."""
    long_key = _LONG_KEY.search(text)
    if long_key is not None:
        return _too_deep(f"line {text.count(chr(10), 0, long_key.end()) + 1}")
    try:
        tables = tomllib.loads(text)
    except RecursionError:
        return _too_deep("")
    except ValueError as error:
        return _not_toml(text, str(error))
    return _too_deep("") if _deeper_than(tables, DEEPEST) else tables


def _bad(code: str, text: str, advice: str, where: str = "") -> Finding:
    return Finding("danger", code, text, advice, where)


def _too_deep(where: str) -> Finding:
    return _bad("too-deep", f"The file nests tables more than {DEEPEST} deep.",
                "A recipe needs two levels: [recipe] and its fields. Take the rest out.", where)  # fmt: skip


def _deeper_than(value: object, depth: int) -> bool:
    level: list[object] = [value]
    for _ in range(depth + 1):
        level = [
            part for item in level if isinstance(item, dict | list)
            for part in (item.values() if isinstance(item, dict) else item)
        ]  # fmt: skip
        if not level:
            return False
    return True


def _not_toml(text: str, message: str) -> Finding:
    match = _AT.search(message)
    rows = text.split("\n")
    number = min(int(match[1]), len(rows)) if match else len(rows)
    row = rows[number - 1]
    shown = f": {_clipped(row.strip())}" if row.strip() else "."
    return _bad("not-toml", f"Line {number} cannot be read{shown}", _toml_advice(row, message), f"line {number}")


def _toml_advice(row: str, message: str) -> str:
    if any(not char.isprintable() and char != "\t" for char in row):
        return "It holds a character that cannot be seen; delete the line and type it again."
    if "overwrite" in message or "twice" in message or "declare" in message:
        return "The same name stands twice; keep one of them. Write each ingredient under its own [[line]]."
    match = _UNQUOTED.fullmatch(row)
    if match is not None:
        return f"Put what you write in quotes: {match[1]} = {_basic_string(_clipped(match[2]))}."
    if row.count('"') % 2 or row.count("'") % 2:
        return "A quote is opened and not closed; add the missing one."
    return 'Write lines such as amount = "200 g" under headings such as [recipe] or [[line]].'


def _clipped(text: str) -> str:
    return text if len(text) <= 60 else f"{text[:60]}…"


def heading(name: str, *, repeated: bool = False) -> str:
    """A heading such as [recipe] or [[line]]."""
    return f"[[{_key(name)}]]" if repeated else f"[{_key(name)}]"


def entry(name: str, value: object) -> str:
    """One line “name = value”. Raises `BadInput` for a value that TOML has no form for."""
    return f"{_key(name)} = {_value(value, 0)}"


def _key(name: str) -> str:
    return name if _BARE_KEY.fullmatch(name) else _basic_string(name)


def _value(value: object, depth: int) -> str:
    if depth > DEEPEST:
        raise BadInput("A field nests too deeply for a recipe file.", remedy=f"Use at most {DEEPEST} levels.")
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return _long_string(value) if "\n" in value and depth == 0 else _basic_string(value)
    if isinstance(value, int):
        return hex(value) if value > 0 and value.bit_length() > 10_000 else str(value)
    if isinstance(value, float):
        return repr(value) if math.isfinite(value) else {math.inf: "inf", -math.inf: "-inf"}.get(value, "nan")
    if isinstance(value, datetime | date | time):
        return value.isoformat()
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{_key(str(k))} = {_value(v, depth + 1)}" for k, v in value.items()) + "}"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(_value(item, depth + 1) for item in value) + "]"
    raise BadInput(
        f"A recipe file cannot hold a value of the type {type(value).__name__}.",
        remedy="Use text, numbers, true or false, dates, lists or tables.",
    )


def _escaped(char: str) -> str:
    if char in '"\\':
        return "\\" + char
    code = ord(char)
    if 0xD800 <= code <= 0xDFFF:
        return "\ufffd"
    return {"\n": "\\n", "\t": "\\t", "\r": "\\r"}.get(char) or (f"\\u{code:04X}" if code < 32 or code == 127 else char)


def _basic_string(text: str) -> str:
    return '"' + "".join(map(_escaped, text)) + '"'


def _long_string(text: str) -> str:
    return '"""\n' + "".join("\n" if char == "\n" else _escaped(char) for char in text) + '"""'
