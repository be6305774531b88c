"""Recipe text to recipe: whatever is typed, the answer is a recipe, findings that point at the line, or both."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import cast

from kettleglass.errors import Finding, KettleglassError, Level, most_serious_first
from kettleglass.recipe.exchange.quantities import READERS, clipped
from kettleglass.recipe.exchange.rows import rows_of
from kettleglass.recipe.exchange.schema import ATTRIBUTE_OF, BY_NAME, RECIPE, SECTIONS, FieldRule, Section
from kettleglass.recipe.exchange.toml import tables_of, text_of
from kettleglass.recipe.recipe import SCHEMA, Recipe

MOST_LINES = 500
_MOST_FINDINGS = 50
_LONGEST_SENTENCE = 400


@dataclass(frozen=True, slots=True)
class ReadResult:
    """What a recipe text came to. `recipe` is None when something that it needs could not be understood.

    `text` is what was given, so that a door can keep it whatever happened.
    """

    recipe: Recipe | None
    findings: tuple[Finding, ...]
    text: str = ""


def read_recipe(text: str | bytes) -> ReadResult:
    """A recipe from TOML text (or the bytes of a file) and what to mind about it. Never raises on any text."""
    kept = text if isinstance(text, str) else text.decode("utf-8", "replace")
    clean = text_of(text)
    if isinstance(clean, Finding):
        return ReadResult(None, (clean,), kept)
    tables = tables_of(clean)
    if isinstance(tables, Finding):
        return ReadResult(None, (tables,), kept)
    refused = _wrong_schema(tables.get("schema", SCHEMA))
    if refused is not None:
        return ReadResult(None, (refused,), kept)
    reader = _Reader(rows_of(clean))
    recipe = reader.recipe(tables)
    return ReadResult(recipe, reader.ordered_findings, kept)


def _wrong_schema(number: object) -> Finding | None:
    if not isinstance(number, int) or isinstance(number, bool):
        said, advice = "The schema is not a whole number.", f"Write schema = {SCHEMA} in the first line."
    elif number == SCHEMA:
        return None
    elif number > SCHEMA:
        said = f"The file has a newer layout (schema {_shown(number)}); this version reads schema {SCHEMA}."
        advice = "Open it with the version that wrote it, or install that one here. The text is kept as it is."
    else:
        said = f"The file says schema {_shown(number)}, but the oldest layout is schema 1."
        advice = f"If it is laid out as docs/recipe-file.md says, write schema = {SCHEMA}. The text is kept as it is."
    return Finding("danger", "schema", said, advice, "schema")


def _shown(number: int) -> str:
    return str(number) if number.bit_length() <= 64 else "of very many digits"


@dataclass(frozen=True, slots=True)
class _Place:
    """A table of the file: its section, which of several it is (from 0), and what a person calls it."""

    section: Section
    index: int = 0
    called: str = ""

    def label(self, name: str) -> str:
        return f"{name} of {self.called}" if self.called else f"[{self.section.name}] {name}".rstrip()

    @property
    def extras_path(self) -> tuple[str, ...]:
        return (self.section.name, self.called) if self.section.repeated else (self.section.name,)


@dataclass(slots=True)
class _Reader:
    rows: Mapping[tuple[str, int, str], int]
    findings: list[Finding] = field(default_factory=list)
    extras: dict[str, object] = field(default_factory=dict)
    faulty: bool = False

    @property
    def ordered_findings(self) -> tuple[Finding, ...]:
        """Most serious first, cut where nobody would read on."""
        ordered = most_serious_first(self.findings)
        if len(ordered) <= _MOST_FINDINGS:
            return ordered
        more = Finding(
            "note", "more-findings", f"{len(ordered) - _MOST_FINDINGS} or more further remarks are not shown.",
            "Put these right first, then read the file again.",
        )  # fmt: skip
        return (*ordered[:_MOST_FINDINGS], more)

    def recipe(self, tables: Mapping[str, object]) -> Recipe | None:
        """The recipe of these tables, or None after a fault."""
        if "schema" not in tables:
            self.say("note", "schema", f"The file has no schema number; it was read as schema {SCHEMA}.",
                     f"Write schema = {SCHEMA} in the first line.", "schema")  # fmt: skip
        self._unknown_sections(tables)
        parts: dict[str, object] = {}
        for section in SECTIONS:
            if section is RECIPE:
                parts |= self._table(_Place(RECIPE), tables.get(RECIPE.name, {})) or {}
            elif section.name in tables:
                read = self._many if section.repeated else self._one
                parts[ATTRIBUTE_OF[section.name]] = read(section, tables[section.name])
        if self.faulty:
            return None
        return cast("Recipe | None", self._made(_Place(RECIPE), {**parts, "extras": self.extras}))

    def say(self, level: Level, code: str, text: str, advice: str, where: str) -> None:
        """Keep a remark, no longer than anyone would read."""
        self.findings.append(Finding(level, code, _cut(text), _cut(advice), _cut(where)))

    def _fault(self, code: str, text: str, advice: str, place: _Place, name: str = "") -> None:
        self.faulty = True
        self.say("danger", code, text, advice, self._where(place, name))

    def _where(self, place: _Place, name: str = "") -> str:
        section = place.section.name
        row = self.rows.get((section, place.index, name)) or self.rows.get((section, place.index, ""))
        label = place.label(name) if name else place.called or place.section.header
        return f"line {row}, {label}" if row else label

    def _made(self, place: _Place, values: Mapping[str, object]) -> object | None:
        try:
            return cast(object, place.section.makes(**values))
        except KettleglassError as error:
            self._fault("not-possible", f"{error.what} {error.why}".strip(), error.remedy or "Change it.", place)
            return None

    def _one(self, section: Section, given: object) -> object | None:
        place = _Place(section)
        if isinstance(given, list):
            self._fault("double-heading", f"{section.name} stands more than once or in double brackets.",
                        f"Write one heading {section.header}.", place)  # fmt: skip
            return None
        values = self._table(place, given)
        return None if values is None else self._made(place, values)

    def _many(self, section: Section, given: object) -> tuple[object, ...]:
        place = _Place(section)
        if not isinstance(given, list):
            self._fault("single-heading", f"{section.name} must be a list of tables, one for each.",
                        f"Write {section.header} in double brackets above each of them.", place)  # fmt: skip
            return ()
        if len(given) > MOST_LINES:
            self._fault("too-many", f"There are {len(given)} tables {section.header}; {MOST_LINES} is the most.",
                        "Split the recipe, or make a premix of its own.", place)  # fmt: skip
            return ()
        read = []
        for index, table in enumerate(given):
            at = _Place(section, index, _called(section, index, table))
            values = self._table(at, table)
            read.append(None if values is None else self._made(at, values))
        return tuple(read)

    def _table(self, place: _Place, given: object) -> dict[str, object] | None:
        """The values of one table by attribute; None if one of them could not be understood."""
        section = place.section
        if not isinstance(given, dict):
            self._fault("not-a-table", f"{section.name} must be a table with fields.",
                        f"Write {section.header} in a line of its own and the fields below it.", place)  # fmt: skip
            return None
        known = {rule.name: rule for rule in section.rules}
        free = [name for name in known if name not in given]
        values: dict[str, object] = {}
        sound = True
        for name in [*given, *(r.name for r in section.rules if r.required and r.name not in given)]:
            rule = known.get(name)
            if rule is None:
                self._keep(place, name, given[name], free)
            elif not self._field(place, rule, given, values):
                sound = False
        return values if sound else None

    def _field(self, place: _Place, rule: FieldRule, given: Mapping[str, object], values: dict[str, object]) -> bool:
        if rule.name not in given:
            self._fault("missing", f"“{rule.name}” is missing{f' for {place.called}' if place.called else ''}.",
                        f'Write {rule.name} = "{rule.example}", for example.', place)  # fmt: skip
            return False
        try:
            values[rule.attribute] = READERS[rule.kind](rule, given[rule.name])
        except KettleglassError as error:
            advice = error.remedy or f'Write {rule.name} = "{rule.example}", for example.'
            self._fault("not-understood", f"{error.what} {error.why}".strip(), advice, place, rule.name)
            return False
        return True

    def _keep(self, place: _Place, name: str, value: object, free: Sequence[str]) -> None:
        """Keep a field that is not known, and say so."""
        table = self.extras
        for step in place.extras_path:
            table = cast("dict[str, object]", table.setdefault(step, {}))
        table[name] = value
        if len(self.findings) > 4 * _MOST_FINDINGS:
            return
        near = get_close_matches(clipped(name), free, n=1, cutoff=0.6)
        kinds = {rule.name: rule.kind for rule in place.section.rules}
        level: Level = "note" if not near else "caution" if kinds[near[0]] == "text" else "danger"
        advice = f"Did you mean “{near[0]}”? Then write it so." if near else "Nothing, unless it should count."
        self.say(level, "unknown-field", f"“{clipped(name)}” is not a field of {place.section.header}; it is kept,"
                 " but does not count.", advice, self._where(place, name))  # fmt: skip

    def _unknown_sections(self, tables: Mapping[str, object]) -> None:
        free = [known for known in BY_NAME if known not in tables]
        for name in [name for name in tables if name not in BY_NAME and name != "schema"]:
            self.extras[name] = tables[name]
            if len(self.findings) > 4 * _MOST_FINDINGS:
                continue
            near = get_close_matches(clipped(name), free, n=1, cutoff=0.6)
            level: Level = "danger" if near else "note"
            header = BY_NAME[near[0]].header if near else ""
            advice = f"Did you mean {header}? Then write it so." if near else self._home_of(name)
            self.say(level, "unknown-table", f"“{clipped(name)}” is not part of a recipe file; it is kept, but does not"
                     " count.", advice, f"line {row}" if (row := self.rows.get((name, 0, ""))) else name)  # fmt: skip

    def _home_of(self, name: str) -> str:
        homes = [section.header for section in SECTIONS if name in _names(section)]
        return f"Write it below {' or '.join(homes)}." if homes else "Nothing, unless it should count."


def _cut(text: str) -> str:
    return text if len(text) <= _LONGEST_SENTENCE else f"{text[:_LONGEST_SENTENCE]}…"


def _names(section: Section) -> tuple[str, ...]:
    return tuple(rule.name for rule in section.rules)


def _called(section: Section, index: int, table: object) -> str:
    key = table.get("key") if section.name == "line" and isinstance(table, dict) else None
    if isinstance(key, str) and key.strip():
        return key
    return f"ingredient {index + 1}" if section.name == "line" else f"step {index + 1}"
