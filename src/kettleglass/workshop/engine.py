"""Everything that depends on which database holds the book. No other file may know it is SQLite."""

from __future__ import annotations

import os
import sqlite3
import threading
import uuid
from collections.abc import Iterator
from contextlib import AbstractContextManager, closing, contextmanager, nullcontext
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, make_url, text
from sqlalchemy.exc import DBAPIError
from sqlalchemy.exc import TimeoutError as PoolTimeout
from sqlalchemy.pool import StaticPool

from kettleglass.errors import BadInput, KettleglassError
from kettleglass.workshop.refusals import NotABook, StoreTrouble

WAIT_S = 5.0
_PRAGMAS = (
    "PRAGMA busy_timeout=5000",
    "PRAGMA journal_mode=WAL",
    "PRAGMA foreign_keys=ON",
    "PRAGMA synchronous=FULL",
)
_WRITES = "kettleglass_writes"
_SAFE = "Nothing was saved just now; what was saved before is untouched."


class Store:
    """One database and the turns taken on it: connections for reading, for writing, for rebuilding."""

    def __init__(self, engine: Engine, path: Path | None) -> None:
        self.engine, self.path = engine, path
        self.is_sqlite = engine.dialect.name == "sqlite"
        self._turn = threading.Lock()
        self._one_connection = isinstance(engine.pool, StaticPool)

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """A connection that sees one moment of the book; any number at once."""
        with self._turn_of(writes=False), self._connection(writes=False) as connection:
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """The connection of one transaction: kept as a whole at the end, or not at all."""
        with self._turn_of(writes=True), self._connection(writes=True) as connection:
            yield connection

    @contextmanager
    def rebuilding(self) -> Iterator[Connection]:
        """As `writing`, with references between tables checked once at the end instead of at each row."""
        with self._turn_of(writes=True), _told(), self.engine.connect() as connection:
            raw = connection.connection.driver_connection
            if self.is_sqlite and raw is not None:
                raw.execute("PRAGMA foreign_keys=OFF")
            try:
                with connection.execution_options(**{_WRITES: True}).begin():
                    yield connection
                    self._refuse_loose_references(connection)
            finally:
                if self.is_sqlite and raw is not None:
                    raw.execute("PRAGMA foreign_keys=ON")

    def damage(self) -> tuple[str, ...]:
        """What the database's own check finds wrong, one sentence a fault; empty when sound."""
        if not self.is_sqlite:
            return ()
        with self.reading() as connection:
            said = [str(row[0]) for row in connection.execute(text("PRAGMA integrity_check"))]
            loose = connection.execute(text("PRAGMA foreign_key_check")).all()
        faults = [line for line in said if line != "ok"]
        return (*faults, *(f"table {row[0]}, row {row[1]} refers to a missing row of {row[2]}" for row in loose))

    def copy_to(self, path: Path) -> None:
        """Write a whole, single-file copy, also while others write; beside first, then swapped in."""
        if not self.is_sqlite:
            raise KettleglassError(
                "This book lives on a database server, which makes its own copies.",
                remedy="Use the server's backup program (for PostgreSQL: pg_dump).",
            )
        if self.path is not None and path.exists() and path.samefile(self.path):
            raise BadInput("The backup cannot be written over the book itself.", remedy="Choose another name.")
        with self._turn_of(writes=False), _told(OSError), self.engine.connect() as connection:
            source = connection.connection.driver_connection
            if not isinstance(source, sqlite3.Connection):
                raise TypeError("the SQLite driver handed out an unknown kind of connection")
            _write_whole(source, path)

    def close(self) -> None:
        """Give all connections back; the last one folds the write-ahead file into the book."""
        self.engine.dispose()

    @contextmanager
    def _connection(self, *, writes: bool) -> Iterator[Connection]:
        options: dict[str, Any] = {_WRITES: writes}
        if not (self.is_sqlite or writes):
            options["isolation_level"] = "REPEATABLE READ"
        with _told(), self.engine.connect() as connection, connection.execution_options(**options).begin():
            yield connection

    @contextmanager
    def _turn_of(self, *, writes: bool) -> Iterator[None]:
        """Writers in this program wait in line here instead of polling the file; so do all on one connection."""
        if not (self.is_sqlite and (writes or self._one_connection)):
            yield
            return
        if not self._turn.acquire(timeout=WAIT_S):
            raise _busy()
        try:
            yield
        finally:
            self._turn.release()

    def _refuse_loose_references(self, connection: Connection) -> None:
        if self.is_sqlite and connection.execute(text("PRAGMA foreign_key_check")).first() is not None:
            raise StoreTrouble("The book could not be brought up to date.", why=_SAFE, remedy="Send a report file.")


def open_store(target: str | os.PathLike[str]) -> Store:
    """The store at a path, or at a database address such as `postgresql+psycopg://…`."""
    named = os.fspath(target)
    if "://" in named:
        url = make_url(named)
        if url.get_backend_name() != "sqlite":
            return Store(create_engine(url, hide_parameters=True), None)
        named = url.database or ""
    if not named or named == ":memory:":
        raise BadInput("The workshop book needs a file.", remedy="Give a path, or open one in memory.")
    path = Path(named).absolute()
    with _told(OSError):
        path.parent.mkdir(parents=True, exist_ok=True)
    options: dict[str, Any] = {"pool_size": 5, "max_overflow": 40, "pool_timeout": WAIT_S, "hide_parameters": True}
    return Store(_with_pragmas(create_engine(_address(path), **options)), path)


def open_memory_store() -> Store:
    """A store that lives only in memory, on one connection that all threads share in turn."""
    options: dict[str, Any] = {"poolclass": StaticPool, "connect_args": {"check_same_thread": False}}
    return Store(_with_pragmas(create_engine("sqlite://", hide_parameters=True, **options)), None)


def copy_file(source: Path, target: Path) -> None:
    """Write what a database file holds to another file; the first is only read. Raises `NotABook`, `StoreTrouble`."""
    with _told(OSError), closing(sqlite3.connect(f"{source.absolute().as_uri()}?mode=ro", uri=True)) as held:
        _write_whole(held, target, checked=False)


def put_over(book: Path, content: Path, aside: Path) -> bool:
    """Give a book what another file holds, after keeping what it held in `aside`; False when there was no book.

    One transaction of the database: whoever opens the book later finds the old content or the new. A file too damaged
    to be opened is kept byte by byte, and the other takes its name. Raises `StoreTrouble` while another program, or
    another part of this one, has the book open; then nothing was changed.
    """
    with _told(OSError):
        existed = book.exists()
        if existed and _put_into(book, content, aside):
            return True
        if existed:
            _refuse_other_programs(book)
            aside.write_bytes(book.read_bytes())
        set_aside_journals(book, aside)
        content.replace(book)
        return existed


def _put_into(book: Path, content: Path, aside: Path) -> bool:
    """Write another file's content into a book; False, and nothing done, where the book is too damaged for it."""
    try:
        with closing(_alone(book)) as held:
            _write_whole(held, aside, checked=False)
            with closing(sqlite3.connect(content)) as new:
                _match_pages(new, held)
                new.backup(held)
    except sqlite3.DatabaseError as error:
        if getattr(error, "sqlite_errorcode", 0) & 0xFF not in _DAMAGED:
            raise
        return False
    return True


def _match_pages(content: sqlite3.Connection, book: sqlite3.Connection) -> None:
    """Give a file the page size of the book, without which it cannot be written into it."""
    wanted = book.execute("PRAGMA page_size").fetchone()
    if content.execute("PRAGMA page_size").fetchone() != wanted:
        for said in ("PRAGMA journal_mode=DELETE", f"PRAGMA page_size={wanted[0]}", "VACUUM"):
            content.execute(said)


def set_aside_journals(book: Path, aside: Path) -> None:
    """Keep what a book left in files beside it, so that another file may take its name without taking them for its own.

    Their names beside `aside` are those under which the database finds them there.
    """
    for end in ("-wal", "-journal"):
        left = Path(f"{book}{end}")
        if left.exists():
            aside.parent.mkdir(parents=True, exist_ok=True)
            Path(f"{aside}{end}").write_bytes(left.read_bytes())
            left.unlink()
    Path(f"{book}-shm").unlink(missing_ok=True)


_DAMAGED = (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB)
_LOCKED = (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)
_SHARED_LOCKS = (510, 0x40000002)
"""Length and first byte of the range of a file that SQLite locks for reading (its file format, lock-byte page)."""


def _alone(book: Path) -> sqlite3.Connection:
    """The only connection to a book: nobody else may read or write it until it is closed."""
    held = sqlite3.connect(book, isolation_level=None, timeout=WAIT_S)
    try:
        for said in ("PRAGMA locking_mode=EXCLUSIVE", "PRAGMA synchronous=FULL", "BEGIN EXCLUSIVE", "COMMIT"):
            held.execute(said)
    except sqlite3.Error as error:
        held.close()
        if getattr(error, "sqlite_errorcode", 0) & 0xFF in _LOCKED:
            raise _in_use() from error
        raise
    return held


def _refuse_other_programs(book: Path) -> None:
    """As `_alone`, for a file that the database itself cannot open; where files cannot be locked, nothing."""
    try:
        import fcntl
    except ImportError:  # Windows, where a file that is open elsewhere cannot be replaced anyway
        return
    with book.open("rb+") as file:
        try:
            fcntl.lockf(file, fcntl.LOCK_EX | fcntl.LOCK_NB, *_SHARED_LOCKS)
        except OSError as error:
            raise _in_use() from error


def _write_whole(source: sqlite3.Connection, path: Path, *, checked: bool = True) -> None:
    """Write all that a connection sees to one file: beside first, then swapped in."""
    beside = path.with_name(f"{path.name}.{uuid.uuid4().hex[:8]}.part")
    path.parent.mkdir(parents=True, exist_ok=True)
    try:
        with closing(sqlite3.connect(beside)) as target:
            source.backup(target)
            target.execute("PRAGMA journal_mode=DELETE")
            said = target.execute("PRAGMA quick_check").fetchone() if checked else ("ok",)
        if said != ("ok",):
            raise StoreTrouble("The copy did not come out whole.", why=str(said), remedy="Try another disk.")
        with beside.open("rb+") as written:
            os.fsync(written.fileno())
        beside.replace(path)
    finally:
        beside.unlink(missing_ok=True)


def against_rivals(connection: Connection) -> AbstractContextManager[object]:
    """Around rows that another writer may add at the same moment: the transaction outlives that refusal.

    SQLite has one writer at a time, so there are no rivals and nothing to guard.
    """
    return nullcontext() if connection.dialect.name == "sqlite" else connection.begin_nested()


def forbid_rewriting(connection: Connection, table: str) -> None:
    """Make the database itself refuse to alter or delete rows of `table` (a name of ours, never typed)."""
    for verb in ("UPDATE", "DELETE"):
        if connection.dialect.name == "sqlite":
            connection.execute(
                text(
                    f"CREATE TRIGGER {table}_no_{verb.lower()} BEFORE {verb} ON {table} "
                    f"BEGIN SELECT RAISE(ABORT, '{table} only grows'); END"
                )
            )
        elif connection.dialect.name == "postgresql":
            for part in _FORBID_POSTGRESQL:
                connection.execute(text(part.format(table=table, verb=verb, name=f"{table}_no_{verb.lower()}")))


_FORBID_POSTGRESQL = (
    """CREATE OR REPLACE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS
    $$ BEGIN RAISE EXCEPTION '{table} only grows' USING ERRCODE = 'restrict_violation'; END $$""",
    "CREATE TRIGGER {name} BEFORE {verb} ON {table} FOR EACH STATEMENT EXECUTE FUNCTION {name}()",
)


@contextmanager
def _told(*also: type[Exception]) -> Iterator[None]:
    """Turn what the driver says, and errors `also` named, into a sentence where it is about disk or server."""
    caught: tuple[type[Exception], ...] = (DBAPIError, sqlite3.Error, *also)
    try:
        yield
    except PoolTimeout as error:
        raise _busy() from error
    except caught as error:
        told = trouble(error)
        if told is None:
            raise
        raise told from error


def trouble(error: BaseException) -> KettleglassError | None:
    """The sentence for a failure of disk, file or server; None when the failure is ours."""
    cause: BaseException | None = error
    for _ in range(10):  # a full disk may be hidden behind the failure to clean up after it
        if cause is None:
            break
        if found := _saying(cause) if cause is error or not isinstance(cause, OSError) else None:
            return found
        cause = cause.__cause__ or cause.__context__
    return None


def _saying(error: BaseException) -> KettleglassError | None:
    inner = getattr(error, "orig", None) or error
    if isinstance(inner, OSError):
        why = f"{inner.strerror or inner}. {_SAFE}"
        return StoreTrouble("The home folder cannot be written.", why=why, remedy=_CHECK_FOLDER)
    code = getattr(inner, "sqlite_errorcode", None)
    if code is not None and (code & 0xFF) in _SAYINGS:
        kind, what, remedy = _SAYINGS[code & 0xFF]
        return kind(what, why=_SAFE, remedy=remedy)
    state = str(getattr(inner, "sqlstate", None) or "")
    for start, (what, remedy) in _SERVER_SAYINGS.items():
        if state.startswith(start):
            return StoreTrouble(what, why=_SAFE, remedy=remedy)
    if isinstance(error, DBAPIError) and error.connection_invalidated:
        return StoreTrouble("The database server does not answer.", why=_SAFE, remedy=_CHECK_SERVER)
    return None


_CHECK_FOLDER = "Check that the folder exists, is not write-protected and belongs to you, then try again."
_CHECK_SERVER = "Check that it runs, then try again."
_CHECK_DISK = "Check that it is connected and has space."
_RESTORE = "Stop, keep the file as it is, and open the latest backup copy."
_SAYINGS: dict[int, tuple[type[KettleglassError], str, str]] = {
    sqlite3.SQLITE_FULL: (StoreTrouble, "The disk is full.", "Free some space, then save again."),
    sqlite3.SQLITE_READONLY: (StoreTrouble, "The workshop book is write-protected.", _CHECK_FOLDER),
    sqlite3.SQLITE_CANTOPEN: (StoreTrouble, "The workshop book cannot be opened.", _CHECK_FOLDER),
    sqlite3.SQLITE_PERM: (StoreTrouble, "The workshop book may not be opened.", _CHECK_FOLDER),
    sqlite3.SQLITE_IOERR: (StoreTrouble, "The disk refused to write or read.", _CHECK_DISK),
    sqlite3.SQLITE_BUSY: (StoreTrouble, "The workshop book is busy.", "Wait a moment, then save again."),
    sqlite3.SQLITE_LOCKED: (StoreTrouble, "The workshop book is busy.", "Wait a moment, then save again."),
    sqlite3.SQLITE_TOOBIG: (StoreTrouble, "That is too much for one entry.", "Split it in two."),
    sqlite3.SQLITE_CORRUPT: (StoreTrouble, "The workshop book is damaged.", _RESTORE),
    sqlite3.SQLITE_NOTADB: (NotABook, "This file is not a workshop book.", "Choose another file."),
}
_SERVER_SAYINGS = {
    "53100": ("The disk of the database server is full.", "Free some space there, then save again."),
    "25006": ("The database server is write-protected just now.", "Try again when it accepts changes."),
    "08": ("The connection to the database server was lost.", _CHECK_SERVER),
    "40": ("Two people saved at the same moment.", "Save again."),
}


def _busy() -> StoreTrouble:
    return StoreTrouble("The workshop book is busy.", why=_SAFE, remedy="Wait a moment, then save again.")


def _in_use() -> StoreTrouble:
    return StoreTrouble(
        "The workshop book is open in another Kettleglass.",
        why="Nothing was put in its place; it is as it was.",
        remedy="Close that one (Ctrl+C where it was started), then try again.",
    )


def _address(path: Path) -> Any:
    return make_url("sqlite://").set(database=str(path))


def _with_pragmas(engine: Engine) -> Engine:
    event.listen(engine, "connect", _on_connect)
    event.listen(engine, "begin", _on_begin)
    return engine


def _on_connect(raw: Any, _record: object) -> None:
    raw.isolation_level = None  # we say BEGIN ourselves, so that nothing is committed behind our back
    for pragma in _PRAGMAS:
        raw.execute(pragma)


def _on_begin(connection: Connection) -> None:
    writes = connection.get_execution_options().get(_WRITES, False)
    raw: Any = connection.connection.driver_connection
    raw.execute("BEGIN IMMEDIATE" if writes else "BEGIN")
