"""How the command line prints: tables, JSON, and the end of a command that cannot go on."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import NoReturn

import click

from kettleglass.cli.main import BAD_INPUT

DANGER = 1
"""Exit code: the recipe was read, and something in it is dangerous."""


def fail(*sentences: str) -> NoReturn:
    """End the command with sentences for a person, one a line, and exit code 2."""
    click.echo("\n".join(sentence for sentence in sentences if sentence), err=True)
    raise SystemExit(BAD_INPUT)


def as_json(data: Mapping[str, object]) -> None:
    """One JSON document on standard output, full precision, UTF-8."""
    click.echo(json.dumps(data, ensure_ascii=False, indent=2, allow_nan=False))


def table(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
    """A plain table: the first column left, the others right, two spaces apart."""
    if not rows:
        return
    widths = [max(len(row[i]) for row in (heads, *rows)) for i in range(len(heads))]
    for row in (heads, *rows):
        cells = [row[0].ljust(widths[0])] + [cell.rjust(width) for cell, width in zip(row[1:], widths[1:], strict=True)]
        click.echo("  ".join(cells).rstrip())
