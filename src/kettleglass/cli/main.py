"""The command `kettleglass`: a table of commands, each loaded only when it is called or asked for its help."""

from __future__ import annotations

import sys
from collections.abc import Mapping, Sequence
from difflib import get_close_matches
from importlib import import_module
from types import MappingProxyType
from typing import Any, NamedTuple

import click

from kettleglass import __version__
from kettleglass.errors import KettleglassError

BAD_INPUT = 2
"""Exit code: something given cannot be used; the sentences on standard error say what to do."""
OUR_FAULT = 3
"""Exit code: the program itself failed; a report file says how."""


class Entry(NamedTuple):
    """A command that is not loaded yet: where it is, and its line in the list of commands."""

    module: str
    name: str
    summary: str


COMMANDS: Mapping[str, Entry] = MappingProxyType(
    {
        "app": Entry("kettleglass.cli.app", "app", "Open the workbench in the browser."),
        "backup": Entry("kettleglass.cli.book", "backup", "Make a copy of your book."),
        "catalogue": Entry("kettleglass.cli.catalogue", "catalogue", "Find and show materials, with their sources."),
        "drying": Entry(
            "kettleglass.cli.drying", "drying", "Weights of drying pieces: the forecast, and whether they are ready."
        ),
        "export": Entry(
            "kettleglass.cli.book", "export", "Take everything out as open files: JSON lines, CSV, recipe files."
        ),
        "import": Entry("kettleglass.cli.book", "import_", "Make your book of the open files that were taken out."),
        "pot": Entry("kettleglass.cli.pot", "pot", "Boiling, losses, air and the plan of a cook."),
        "recipe": Entry("kettleglass.cli.recipe", "recipe", "Weigh out, check, balance and compare recipes."),
        "restore": Entry(
            "kettleglass.cli.book", "restore", "Put a copy in the place of your book, which is put aside."
        ),
    }
)
"""Every command; the summary is the first line of the command's own help, so that the list loads nothing."""


class CommandTable(click.Group):
    """A group whose commands load on first use, and which turns errors raised on purpose into sentences."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """The names of all commands."""
        return sorted(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of that name, loaded now, or None."""
        if cmd_name not in COMMANDS:
            return None
        entry = COMMANDS[cmd_name]
        command: click.Command = getattr(import_module(entry.module), entry.name)
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """As usual, but an unknown command is answered with the nearest known ones."""
        if args and args[0] not in COMMANDS and not args[0].startswith("-"):
            ctx.fail(_no_such_command(args[0]))
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The list of commands, from the table alone."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, COMMANDS[name].summary) for name in self.list_commands(ctx)])

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command; an error raised on purpose ends with its sentence and exit code 2."""
        try:
            return super().invoke(ctx)
        except KettleglassError as error:
            click.echo(error.sentence, err=True)
            ctx.exit(BAD_INPUT)
        except (click.ClickException, click.exceptions.Exit, click.Abort, SystemExit, BrokenPipeError):
            raise
        except Exception as error:  # noqa: BLE001 - whatever failed, the maker gets a sentence and a report
            click.echo(_our_fault(error), err=True)
            ctx.exit(OUR_FAULT)


def _our_fault(error: Exception) -> str:
    """What to say when the program itself fails; a report file is written where the home folder allows it."""
    from datetime import UTC, datetime

    from kettleglass.settings import load_settings
    from kettleglass.workshop.report import write_report

    said = "Kettleglass failed here. The fault is ours, not yours; nothing you saved is changed."
    try:
        path = write_report(load_settings().home, error, " ".join(sys.argv[1:]), where="command", now=datetime.now(UTC))
    except KettleglassError as trouble:
        return f"{said} No report could be written: {trouble.sentence}"
    return f"{said} Hand this report to whoever looks after Kettleglass: {path}"


def _no_such_command(name: str) -> str:
    near: Sequence[str] = get_close_matches(name, COMMANDS, n=3, cutoff=0.5)
    offers = " or ".join(f"“{one}”" for one in near)
    return f"There is no command “{name}”. " + (f"Did you mean {offers}?" if near else "See: kettleglass --help")


@click.group(cls=CommandTable, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="kettleglass", message="%(prog)s %(version)s")
def main() -> None:
    """The workbench for making clear, re-meltable soap bases from scratch."""
