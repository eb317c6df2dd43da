"""The file of the index: results kept by what they depend on, and what files looked like.

Whatever happens to it (another program's file, damage, a full disk, a folder that cannot be
written to), the store goes on in memory; nothing that is asked of it can be wrong, only slow. A
file that is not just as a command of this user left it is thrown away (`Witness`), whole.
"""

import contextlib
import hashlib
import sqlite3
from collections.abc import Callable, Collection, Iterator, Mapping
from pathlib import Path
from typing import Any, NamedTuple

from riesbuch.index import tables
from riesbuch.index.witness import Witness
from riesbuch.text.plain import what_is

INDEX_FILE = "index.sqlite"
_APPLICATION_ID = 0x52494553
_SECONDS_TO_WAIT = 30.0

_LAYOUT = f"""
CREATE TABLE reading (signature BLOB NOT NULL);
CREATE TABLE files (
    path BLOB PRIMARY KEY, size INTEGER, modified INTEGER, changed INTEGER, inode INTEGER,
    digest BLOB NOT NULL
) WITHOUT ROWID;
CREATE TABLE listings (
    directory BLOB PRIMARY KEY, looks BLOB NOT NULL, digest BLOB NOT NULL
) WITHOUT ROWID;
CREATE TABLE results (
    kind TEXT NOT NULL, key BLOB NOT NULL, basis BLOB NOT NULL, payload TEXT NOT NULL,
    seal BLOB NOT NULL, PRIMARY KEY (kind, key)
) WITHOUT ROWID;
{tables.LAYOUT}
"""


class FileState(NamedTuple):
    """What the file system says of a file, and the digest its bytes had then. ``changed`` is -1
    where the file was so young that it may have changed again without showing it."""

    size: int
    modified: int
    changed: int
    inode: int
    digest: bytes


class KnownListing(NamedTuple):
    """What all files of a directory looked like together, and a digest of their names and
    bytes."""

    looks: bytes
    digest: bytes


class Result(NamedTuple):
    """``basis`` is a digest of all that ``payload`` depends on."""

    basis: bytes
    payload: str


DIGEST_SIZE = 16


def digest_of(*parts: bytes) -> bytes:
    """`DIGEST_SIZE` bytes for the parts; parts are told apart from their neighbours."""
    whole = hashlib.blake2b(digest_size=DIGEST_SIZE)
    for part in parts:
        whole.update(len(part).to_bytes(8, "little"))
        whole.update(part)
    return whole.digest()


class Store:
    """``signature`` stands for the tool's own way of reading; another one's index is discarded.
    ``tell`` is called with a sentence once where the index has to stay in memory."""

    def __init__(self, derived: Path, signature: bytes, tell: Callable[[str], None]) -> None:
        self._path = derived / INDEX_FILE
        self._signature = signature
        self._tell = tell
        self._new_results: dict[tuple[str, str], Result] = {}
        self._found: dict[tuple[str, str], Result] = {}
        self._connection: sqlite3.Connection | None = None
        try:
            self._connection = self._open()
        except (sqlite3.Error, OSError) as error:
            self._stay_in_memory(error)

    _witness: Witness
    _inode = 0

    def close(self) -> None:
        if self._connection is not None:
            self._connection.close()
            self._connection = None

    def listings(self) -> dict[str, KnownListing]:
        """Every directory by its path, as it was when it was last looked at."""
        query = "SELECT directory, looks, digest FROM listings"
        return {_text(row[0]): KnownListing(row[1], row[2]) for row in self._rows(query)}

    def files(self, directory: str) -> dict[str, FileState]:
        """The files of a directory by their paths, as they were when they were last looked at."""
        prefix = _bytes(f"{directory}/" if directory else "")
        query = "SELECT path, size, modified, changed, inode, digest FROM files WHERE path >= ?"
        rows = self._rows(f"{query} AND path < ?", (prefix, prefix + b"\xff"))
        return {
            _text(row[0]): FileState._make(row[1:])
            for row in rows
            if b"/" not in row[0][len(prefix) :]
        }

    def result(self, kind: str, key: str, basis: bytes) -> str | None:
        """The payload kept for that basis, or None."""
        new = self._new_results.get((kind, key))
        if new is not None:
            return new.payload if new.basis == basis else None
        if (kind, key) in self._found and self._found[kind, key].basis == basis:
            return self._found[kind, key].payload
        query = "SELECT basis, payload, seal FROM results WHERE kind = ? AND key = ?"
        for kept, payload, seal in self._rows(query, (kind, _bytes(key))):
            if kept == basis and _is_sound(kind, key, kept, payload, seal):
                self._found[kind, key] = Result(kept, payload)
                return str(payload)
        return None

    def results(self, kind: str, prefix: str = "") -> dict[str, Result]:
        """All sound results of a kind whose key begins with ``prefix``, by key."""
        query = "SELECT key, basis, payload, seal FROM results WHERE kind = ? AND key >= ?"
        found: dict[str, Result] = {}
        parameters: tuple[str | bytes, ...] = (kind, _bytes(prefix))
        if prefix:
            query += " AND key < ?"
            parameters = (*parameters, _bytes(prefix) + b"\xff")
        for written, basis, payload, seal in self._rows(query, parameters):
            key = _text(written)
            if _is_sound(kind, key, basis, payload, seal):
                found[key] = Result(basis, payload)
        if not prefix:
            self._found.update(((kind, key), result) for key, result in found.items())
        for (new_kind, key), result in self._new_results.items():
            if new_kind == kind and key.startswith(prefix):
                found[key] = result
        return found

    def fill_tables(
        self,
        bases: Mapping[str, bytes],
        scopes_there: Collection[str],
        fill: Callable[[sqlite3.Connection, list[str]], None],
    ) -> sqlite3.Connection:
        """The connection with the tables for questions, after ``fill`` has filled those scopes
        that were not filled for these ``bases``, and emptied those that are no longer there.

        Where the file cannot be written to, the tables are filled in memory.
        """
        for connection in (self._connection, None):
            if connection is None:
                connection = sqlite3.connect(":memory:", isolation_level=None)
                self._lay_out(connection)
            try:
                if not scopes_to_fill(connection, bases, scopes_there):
                    return connection
                with self._writing(connection):
                    scopes = scopes_to_fill(connection, bases, scopes_there)
                    fill(connection, scopes)
                    connection.executemany(
                        "DELETE FROM filled WHERE scope = ?", ((scope,) for scope in scopes)
                    )
                    connection.executemany(
                        "INSERT INTO filled VALUES (?, ?)",
                        ((scope, bases[scope]) for scope in scopes if scope in bases),
                    )
                return connection
            except sqlite3.Error as error:
                self._tell(f"the index cannot be written ({error}); the answer is right all the"
                           " same")  # fmt: skip
        raise AssertionError("tables in memory can always be filled")

    def forget_new(self) -> None:
        """Drop what was kept since the last writing."""
        self._new_results.clear()

    def keep(self, kind: str, key: str, basis: bytes, payload: str) -> None:
        self._new_results[kind, key] = Result(basis, payload)

    def write(
        self,
        files: Mapping[str, Mapping[str, FileState]],
        listings: Mapping[str, KnownListing],
        gone: Collection[str],
        gone_seasons: Collection[str],
    ) -> None:
        """Put the new results, the ``files`` of directories that look otherwise and these
        directories' ``listings`` into the index in one transaction, and take out the
        directories and seasons that are gone, with what was kept of them."""
        if self._connection is None or not (self._new_results or files or gone or gone_seasons):
            return
        try:
            with self._writing(self._connection) as connection:
                for directory in (*files, *gone):
                    self._replace_files(connection, directory, files.get(directory, {}))
                connection.executemany(
                    "DELETE FROM listings WHERE directory = ?",
                    [(_bytes(directory),) for directory in (*files, *gone)],
                )
                connection.executemany(
                    "INSERT INTO listings VALUES (?, ?, ?)",
                    [(_bytes(directory), *each) for directory, each in listings.items()],
                )
                connection.executemany(
                    "DELETE FROM results WHERE key = ? AND kind IN"
                    " ('season', 'bases', 'beside', 'added-up')",
                    [(_bytes(season),) for season in gone_seasons],
                )
                connection.executemany(
                    "INSERT OR REPLACE INTO results VALUES (?, ?, ?, ?, ?)",
                    (
                        (kind, _bytes(key), basis, payload, _seal(kind, key, basis, payload))
                        for (kind, key), (basis, payload) in self._new_results.items()
                    ),
                )
        except sqlite3.Error as error:
            # What is new stays at hand in memory.
            self._tell(f"the index cannot be written ({error}); the answer is right all the same")
            return
        self._new_results.clear()

    def _replace_files(
        self, connection: sqlite3.Connection, directory: str, files: Mapping[str, FileState]
    ) -> None:
        before = self.files(directory)
        gone = [(_bytes(path),) for path in before if path not in files]
        connection.executemany("DELETE FROM files WHERE path = ?", gone)
        connection.executemany(
            "DELETE FROM results WHERE kind IN ('sheet', 'figures') AND key = ?", gone
        )
        connection.executemany(
            "INSERT OR REPLACE INTO files VALUES (?, ?, ?, ?, ?, ?)",
            [(_bytes(path), *state) for path, state in files.items() if before.get(path) != state],
        )

    def _open(self) -> sqlite3.Connection:
        what = what_is(self._path.parent)
        if what:
            raise OSError(f"{self._path.parent.name} is {what}")
        self._path.parent.mkdir(exist_ok=True)
        self._witness = Witness(self._path)
        connection = self._as_left()
        if connection is None:
            with self._witness.alone():
                # Another command may have made it meanwhile.
                connection = self._as_left() or self._made_anew()
        self._inode = self._witness.inode()
        return connection

    def _as_left(self) -> sqlite3.Connection | None:
        """A connection to the file if it is as it was left, and by this version of the tool."""
        if not self._witness.vouches():
            return None
        connection = self._connect()
        with contextlib.suppress(sqlite3.DatabaseError):
            if self._is_ours(connection):
                return connection
        connection.close()
        return None

    def _made_anew(self) -> sqlite3.Connection:
        self._witness.discard()
        connection = self._connect()
        with self._transaction(connection):
            self._lay_out(connection)
        self._witness.put_down()
        return connection

    def _connect(self) -> sqlite3.Connection:
        """To the file; nothing has been read of it yet."""
        connection = sqlite3.connect(
            self._path, timeout=_SECONDS_TO_WAIT, isolation_level=None, cached_statements=32
        )
        connection.execute("PRAGMA synchronous = OFF")
        # A writer that is killed leaves a file that is thrown away, not one to be repaired.
        connection.execute("PRAGMA journal_mode = MEMORY")
        return connection

    def _is_ours(self, connection: sqlite3.Connection) -> bool:
        (application,) = connection.execute("PRAGMA application_id").fetchone()
        if application != _APPLICATION_ID:
            return False
        row = connection.execute("SELECT signature FROM reading").fetchone()
        return row is not None and row[0] == self._signature

    def _lay_out(self, connection: sqlite3.Connection) -> None:
        for statement in _LAYOUT.split(";"):
            connection.execute(statement)
        connection.execute("INSERT INTO reading VALUES (?)", (self._signature,))
        connection.execute(f"PRAGMA application_id = {_APPLICATION_ID}")

    @contextlib.contextmanager
    def _writing(self, connection: sqlite3.Connection) -> Iterator[sqlite3.Connection]:
        """A transaction. If it is one on the file nobody else writes meanwhile, and the file is
        only written to where it still is as it was left."""
        if connection is not self._connection:
            with self._transaction(connection):
                yield connection
            return
        with contextlib.ExitStack() as closing:
            try:
                witness = closing.enter_context(self._witness.alone())
            except OSError as error:
                raise sqlite3.OperationalError(str(error)) from error
            if not witness.vouches() or witness.inode() != self._inode:
                raise sqlite3.OperationalError("its file was changed meanwhile")
            with self._transaction(connection):
                yield connection
            # What cannot be noted is made anew the next time.
            with contextlib.suppress(OSError):
                witness.put_down()

    @contextlib.contextmanager
    def _transaction(self, connection: sqlite3.Connection) -> Iterator[sqlite3.Connection]:
        connection.execute("BEGIN IMMEDIATE")
        try:
            yield connection
            connection.execute("COMMIT")
        except BaseException:
            with contextlib.suppress(sqlite3.Error):
                connection.execute("ROLLBACK")
            raise

    def _rows(self, query: str, parameters: tuple[str | bytes, ...] = ()) -> list[tuple[Any, ...]]:
        if self._connection is None:
            return []
        try:
            return self._connection.execute(query, parameters).fetchall()
        except sqlite3.Error as error:
            self._give_up(error)
            return []

    def _give_up(self, error: sqlite3.Error) -> None:
        """The file is damaged: what it held is worked out anew, into a new file next time."""
        self.close()
        with contextlib.suppress(OSError), self._witness.alone() as witness:
            if witness.inode() == self._inode:
                witness.discard()
        self._stay_in_memory(error)

    def _stay_in_memory(self, error: Exception) -> None:
        self._connection = None
        self._tell(f"the index cannot be used ({error}); the answer is worked out without it")


def throw_away(derived: Path) -> bool:
    """Take the index away, whoever made it; whether there was one that could be."""
    try:
        witness = Witness(derived / INDEX_FILE)
        with witness.alone():
            was_there = witness.inode() != 0
            witness.discard()
    except OSError:
        return False
    return was_there


def scopes_to_fill(
    connection: sqlite3.Connection, bases: Mapping[str, bytes], scopes_there: Collection[str]
) -> list[str]:
    """Scopes whose tables are not those of these ``bases``, or that are not there any more."""
    filled = dict(connection.execute("SELECT scope, basis FROM filled").fetchall())
    stale = [scope for scope, basis in bases.items() if filled.get(scope) != basis]
    return stale + sorted(scope for scope in filled if scope not in scopes_there)


def _seal(kind: str, key: str, basis: bytes, payload: str) -> bytes:
    return digest_of(kind.encode(), _bytes(key), basis, payload.encode())[:8]


def _is_sound(kind: str, key: str, basis: object, payload: object, seal: object) -> bool:
    """Whether a row is as it was written, damage or not."""
    return (
        isinstance(basis, bytes)
        and isinstance(payload, str)
        and _seal(kind, key, basis, payload) == seal
    )


# A file's name may be no text at all, so paths are kept as bytes.
def _bytes(path: str) -> bytes:
    return path.encode("utf-8", "surrogateescape")


def _text(path: object) -> str:
    return path.decode("utf-8", "surrogateescape") if isinstance(path, bytes) else str(path)
