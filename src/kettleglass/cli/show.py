"""How the command line prints: tables, JSON, and the end of a command that cannot go on."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from typing import NoReturn

import click

from kettleglass.cli.main import BAD_INPUT
from kettleglass.errors import Finding

DANGER = 1
"""Exit code: the recipe was read, and something in it is dangerous."""


def fail(*sentences: str) -> NoReturn:
    """End the command with sentences for a person, one a line, and exit code 2."""
    click.echo("\n".join(sentence for sentence in sentences if sentence), err=True)
    raise SystemExit(BAD_INPUT)


def say(findings: Iterable[Finding], *, err: bool = False) -> None:
    """What to mind, each remark once: its level and text, and under it what to do; on standard error for JSON."""
    for finding in dict.fromkeys(findings):
        click.echo(f"{finding.level}: {finding.text}\n    {finding.advice}".rstrip(), err=err)


def end_if_left_out(left_out: Sequence[Finding]) -> None:
    """End with exit code 1 when a line of the recipe could not be counted: what was said is not of the whole pot."""
    if left_out:
        raise SystemExit(DANGER)


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
