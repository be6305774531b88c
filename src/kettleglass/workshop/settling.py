"""New files beside the book: finished under another name first, then settled, and never over something else."""

from __future__ import annotations

import os
import shutil
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from kettleglass.workshop.engine import trouble
from kettleglass.workshop.refusals import Taken

_UNFINISHED = ".kettleglass-unfinished-"
_LEFT_OVER_S = 86_400.0
_MOST_NAMES = 1000


@contextmanager
def told() -> Iterator[None]:
    """Turn what the system says about files and folders into a sentence."""
    try:
        yield
    except OSError as error:
        said = trouble(error)
        if said is None:
            raise
        raise said from error


@contextmanager
def workroom(folder: Path) -> Iterator[Path]:
    """A folder inside `folder` for what is not finished, gone at the end; so is a day-old one of a killed program."""
    with told():
        folder.mkdir(parents=True, exist_ok=True)
        for left in folder.glob(f"{_UNFINISHED}*"):
            if time.time() - left.stat().st_mtime > _LEFT_OVER_S:
                shutil.rmtree(left, ignore_errors=True)
        room = tempfile.TemporaryDirectory(prefix=_UNFINISHED, dir=folder, ignore_cleanup_errors=True)
    with room as path:
        yield Path(path)


def settle(finished: Path, target: Path) -> Path:
    """The finished file under its name, as one step. Raises `Taken` where something has that name."""
    with told():
        target.parent.mkdir(parents=True, exist_ok=True)
        try:
            os.link(finished, target)
        except FileExistsError as error:
            raise Taken(target) from error
        except OSError:  # a file system without links: the name is looked at, then taken
            if target.exists():
                raise Taken(target) from None
            shutil.move(finished, target)
        else:
            finished.unlink()
    return target


def settle_near(finished: Path, target: Path) -> Path:
    """As `settle`, under the first free name: that of `target`, else the same with -2, -3 and so on."""
    for number in range(1, _MOST_NAMES):
        try:
            return settle(finished, numbered(target, number))
        except Taken:
            continue
    raise Taken(target)


def free_name(target: Path) -> Path:
    """The first free name as in `settle_near`, held from now on by an empty file."""
    with told():
        target.parent.mkdir(parents=True, exist_ok=True)
        for number in range(1, _MOST_NAMES):
            try:
                numbered(target, number).touch(exist_ok=False)
            except FileExistsError:
                continue
            return numbered(target, number)
    raise Taken(target)


def numbered(target: Path, number: int) -> Path:
    """The path with the number before its ending; 1 is the path itself."""
    return target if number == 1 else target.with_name(f"{target.stem}-{number}{target.suffix}")
