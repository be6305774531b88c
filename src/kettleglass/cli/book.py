"""``kettleglass backup``, ``restore``, ``export`` and ``import``: copies of your book, and all of it as open files."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import click

from kettleglass.cli.show import as_json
from kettleglass.errors import BadInput
from kettleglass.settings import OWN_BOOK, load_settings
from kettleglass.workshop import (
    Held,
    Notebook,
    backup_book,
    export_book,
    import_book,
    restore_book,
    size_said,
    utc_now,
)

AS_JSON = click.option("--json", "wants_json", is_flag=True, help="As JSON, with the units in the keys.")


@click.command()
@click.option("-o", "--output", metavar="FILE", help="Where to, instead of the folder of copies.")
@click.option(
    "--keep-automatic", metavar="N", type=click.IntRange(0), help="Remove all but the N newest automatic copies."
)
@AS_JSON
def backup(output: str | None, keep_automatic: int | None, wants_json: bool) -> None:
    """Make a copy of your book."""
    with _own_book() as book:
        made = backup_book(book, Path(output) if output else None, keep_automatic=keep_automatic)
    if wants_json:
        said = {"path": str(made.path), "size_bytes": made.size_bytes, **_held_dict(made.held)}
        as_json({**said, "removed": [str(path) for path in made.removed]})
        return
    click.echo(f"{made.path}: {size_said(made.size_bytes)}, {_said(made.held)}.")
    for path in made.removed:
        click.echo(f"Removed: {path}")


@click.command()
@click.argument("file", metavar="FILE")
@AS_JSON
def restore(file: str, wants_json: bool) -> None:
    """Put a copy in the place of your book, which is put aside."""
    done = restore_book(_path(), Path(file), clock=utc_now)
    if wants_json:
        aside = None if done.put_aside is None else str(done.put_aside)
        as_json({"book": str(_path()), **_held_dict(done.held), "put_aside": aside})
        return
    click.echo(f"In place: {_said(done.held)}.")
    click.echo(f"The book as it was before: {done.put_aside}" if done.put_aside else "There was no book before.")


@click.command()
@click.argument("target", metavar="TARGET")
@AS_JSON
def export(target: str, wants_json: bool) -> None:
    """Take everything out as open files: JSON lines, CSV, recipe files."""
    with _own_book() as book:
        done = export_book(book, Path(target))
    if wants_json:
        as_json({"path": str(done.path), "size_bytes": done.size_bytes, "counts": dict(done.counts)})
        return
    counts = ", ".join(f"{number} {name}" for name, number in done.counts.items())
    click.echo(f"{done.path}: {size_said(done.size_bytes)}, {counts}. README.txt says what is where.")


@click.command("import")
@click.argument("source", metavar="SOURCE")
@click.option("--into", metavar="FILE", help="Make this book, instead of your own in the home folder.")
@AS_JSON
def import_(source: str, into: str | None, wants_json: bool) -> None:
    """Make your book of the open files that were taken out."""
    book = Path(into).absolute() if into else _path()
    held = import_book(Path(source), book, clock=utc_now)
    if wants_json:
        as_json({"book": str(book), **_held_dict(held)})
        return
    click.echo(f"{book}: {_said(held)}.")


def _said(held: Held) -> str:
    """What a book holds, in words."""
    last = f", the last of {held.last_change:%Y-%m-%d %H:%M} UTC" if held.last_change else ""
    return f"{held.said}{last}"


def _held_dict(held: Held) -> Mapping[str, object]:
    last = None if held.last_change is None else held.last_change.isoformat()
    return {"entries": held.entries, "changes": held.changes, "last_change": last}


def _path() -> Path:
    return load_settings().home / OWN_BOOK


def _own_book() -> Notebook:
    path = _path()
    if not path.exists():
        remedy = "Begin one on the pages (kettleglass app), or name its folder with KETTLEGLASS_HOME."
        raise BadInput(f"There is no book of your own in {path.parent}.", remedy=remedy)
    return Notebook.open(path, clock=utc_now, who="")
