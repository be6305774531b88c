"""The workshop book: opening, one visible transaction, backup, check. What is kept in it: one file a noun."""

from __future__ import annotations

import os
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import Self

from kettleglass.errors import Finding, KettleglassError
from kettleglass.workshop import changes, replay
from kettleglass.workshop.changes import Transaction, View, keepable
from kettleglass.workshop.engine import WAIT_S, Store, open_memory_store, open_store
from kettleglass.workshop.ids import Clock, Ids, IdSource
from kettleglass.workshop.schema import bring_up_to_date


class _Door:
    """Counts who is in the book, so that closing it can wait until they have left."""

    def __init__(self) -> None:
        self._moved, self._inside, self._closed = threading.Condition(), 0, False

    @contextmanager
    def inside(self) -> Iterator[None]:
        """Be in the book. Raises `KettleglassError` once it is closed."""
        with self._moved:
            if self._closed:
                raise KettleglassError("The workshop book is closed.", remedy="Open it again.")
            self._inside += 1
        try:
            yield
        finally:
            with self._moved:
                self._inside -= 1
                self._moved.notify_all()

    def close(self) -> None:
        """Let nobody in any more, and wait for those inside, but not for ever."""
        with self._moved:
            self._closed = True
            self._moved.wait_for(lambda: self._inside == 0, timeout=WAIT_S)


class Notebook:
    """An open workshop book with the clock and the person who signs. Safe to share between threads.

    What a thread has open belongs to that thread, so nothing may be awaited inside a transaction.
    """

    def __init__(self, store: Store, *, clock: Clock, who: str, new_id: IdSource | None = None) -> None:
        self._store, self._open_here = store, threading.local()
        self.clock, self.who, self.new_id = clock, keepable(who), new_id or Ids(clock)
        self._door = _Door()
        self.copied_to: Path | None = None

    @classmethod
    def open(cls, target: str | os.PathLike[str], *, clock: Clock, who: str, new_id: IdSource | None = None) -> Self:
        """The book at a path (made when missing) or at a database address, brought up to date.

        An older book is copied first, to `backups` beside it; `copied_to` says where. Raises
        `StoreTrouble`, `NotABook` or `NewerBook`, each of which leaves the file as it was.
        """
        return cls._up_to_date(open_store(target), clock, who, new_id)

    @classmethod
    def in_memory(cls, *, clock: Clock, who: str, new_id: IdSource | None = None) -> Self:
        """A new book that is forgotten when closed."""
        return cls._up_to_date(open_memory_store(), clock, who, new_id)

    @classmethod
    def _up_to_date(cls, store: Store, clock: Clock, who: str, new_id: IdSource | None) -> Self:
        notebook = cls(store, clock=clock, who=who, new_id=new_id)
        try:
            notebook.copied_to = bring_up_to_date(store, clock())
        except BaseException:
            store.close()
            raise
        return notebook

    @property
    def path(self) -> Path | None:
        """The file of the book; None in memory or on a server."""
        return self._store.path

    def signed_by(self, who: str) -> Notebook:
        """The same open book, signed by another person."""
        other = Notebook(self._store, clock=self.clock, who=who, new_id=self.new_id)
        other._open_here, other._door, other.copied_to = self._open_here, self._door, self.copied_to
        return other

    @contextmanager
    def transaction(self) -> Iterator[Transaction]:
        """All that is written inside is kept together at its end, or nothing of it when something raises.

        Inside another transaction of the same thread it becomes a part of that one: its own failure
        takes back only its own part, and it is kept only when the outer one is.
        """
        outer: View | None = getattr(self._open_here, "view", None)
        if outer is None:
            with self._door.inside(), self._store.writing() as connection:
                tx = Transaction(connection, self.clock(), self.who, self.new_id)
                with self._held(tx):
                    yield tx
        elif isinstance(outer, Transaction):
            with outer.connection.begin_nested():
                yield Transaction(outer.connection, outer.at, self.who, self.new_id)
        else:
            raise KettleglassError("A transaction was begun while only reading.", remedy="Begin it outside.")

    @contextmanager
    def reading(self) -> Iterator[View]:
        """One moment of the book to look at; never waits for a writer of a file."""
        outer: View | None = getattr(self._open_here, "view", None)
        if outer is not None:
            yield outer
        else:
            with self._door.inside(), self._store.reading() as connection:
                view = View(connection)
                with self._held(view):
                    yield view

    def position(self) -> int:
        """How far the log has come; unchanged means that nothing saved has changed (drafts are not saved)."""
        with self.reading() as view:
            return changes.position(view)

    def backup(self, path: str | os.PathLike[str]) -> Path:
        """The path of a whole copy in one file, made while others may go on writing.

        A file already there is replaced only once the copy is complete. Raises `StoreTrouble`.
        """
        if getattr(self._open_here, "view", None) is not None:
            raise KettleglassError("A backup was begun inside a transaction.", remedy="End the transaction first.")
        copy = Path(path).absolute()
        with self._door.inside():
            self._store.copy_to(copy)
        return copy

    def check(self) -> tuple[Finding, ...]:
        """What is wrong with the book: the database's own check, then the log against what is derived from it."""
        with self._door.inside():
            damage = self._store.damage()
        broken = tuple(
            Finding("danger", "book-file", f"The file is damaged: {said}.", "Open the latest backup copy.")
            for said in damage
        )
        if broken:
            return broken
        with self.reading() as view:
            return tuple(replay.faults(view))

    def close(self) -> None:
        """Close the book, once what other threads do in it is done; closing twice does no harm."""
        self._door.close()
        self._store.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    @contextmanager
    def _held(self, view: View) -> Iterator[None]:
        """Remember what this thread has open, so that what it calls joins in."""
        self._open_here.view = view
        try:
            yield
        finally:
            self._open_here.view = None
