"""The file of the index: what was worked out, by what it depends on, and what files looked like.

Whatever happens to it (another program's file, damage, a full disk, a folder that cannot be
written to), the store goes on in memory; nothing that is asked of it can be wrong, only slow. A
file that is not just as a command of this user left it is thrown away (`Witness`), whole.
"""

import contextlib
import sqlite3
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from itertools import chain
from pathlib import Path
from typing import Any, NamedTuple

from riesbuch.index.witness import Witness, blake2b
from riesbuch.text.plain import told, what_is
from riesbuch.trade.messages import Message

INDEX_FILE = "index.sqlite"
_APPLICATION_ID = 0x52494553
_SECONDS_TO_WAIT = 30.0
_SECONDS_TO_WAIT_BESIDE = 10.0

_ROWS_AT_ONCE = (72, 18, 1)
"""So many rows are put in by one statement, in less than half of the time, where it has no more
values than any SQLite takes."""
_MOST_VALUES = 999


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


class KnownSeason(NamedTuple):
    """What was found in a season whose files, and all that they are judged by, had the digest
    ``basis``: how many sheets, and all problems, packed. ``is_filled`` is whether its tables are
    those of that basis."""

    basis: bytes
    sheets: int
    problems: str
    is_filled: bool


class Surroundings(NamedTuple):
    """``digest`` is one of all files of a season, and of none, but its sheets, ``of_tables`` the
    same without clubs and players; ``beside`` the problems that the sheets have beside one another,
    packed, of ``entries`` with ``beside_basis``: of each sheet its own problems and what it says of
    others, packed."""

    digest: bytes
    of_tables: bytes
    beside_basis: bytes
    beside: str
    entries: bytes


class KnownSheet(NamedTuple):
    """``basis`` is a digest of all that the sheet's problems and rows depend on but the ``errors``:
    whether it has any, be it beside others. Its ``number`` is that of its row in `matches`."""

    basis: bytes
    errors: bool
    competition: str | None
    number: int


class OvertakenError(Exception):
    """Another command has written to the index meanwhile, or files were changed."""


class UnwritableError(Exception):
    """The file cannot be written to."""


def digest_of(*parts: bytes) -> bytes:
    """16 bytes for the parts; parts are told apart from their neighbours."""
    whole = blake2b(digest_size=16)
    for part in parts:
        whole.update(len(part).to_bytes(8, "little"))
        whole.update(part)
    return whole.digest()


def seal_of(*values: object) -> bytes:
    """By which a row is known to be as it was written. Long texts need not be quoted for that."""
    parts = [
        b"s" + value.encode() if isinstance(value, str) else repr(value).encode()
        for value in values
    ]
    return digest_of(*parts)[:8]


class Store:
    """``signature`` stands for the tool's own way of reading; another one's index is discarded.
    ``tell`` is called with a sentence where the index has to stay in memory. All that is kept is
    reached by the ``connection``, be it to the file or to memory."""

    connection: sqlite3.Connection
    keeps_files = True
    _witness: Witness
    _inode = 0
    is_in_memory = False

    def __init__(self, derived: Path, signature: bytes, tell: Callable[[str], None]) -> None:
        self._path = derived / INDEX_FILE
        self._signature = signature
        self._tell = tell
        try:
            self.connection = self._open()
        except (sqlite3.Error, OSError) as error:
            self._cannot_be_used(error)

    def close(self) -> None:
        self.connection.close()

    def version(self) -> int:
        """Another number than before if another command has written meanwhile."""
        (number,) = self.connection.execute("PRAGMA data_version").fetchone()
        return int(number)

    def listings(self) -> dict[str, KnownListing]:
        """Every directory by its path, as it was when it was last looked at."""
        rows = self.connection.execute("SELECT directory, looks, digest FROM listings")
        return {as_path(row[0]): KnownListing(row[1], row[2]) for row in rows}

    def files(self, directory: str) -> dict[str, FileState]:
        """The files of a directory by their paths, as they were when they were last looked at."""
        prefix = as_bytes(f"{directory}/" if directory else "")
        rows = self.connection.execute(
            "SELECT path, size, modified, changed, inode, digest FROM files"
            " WHERE path >= ? AND path < ?",
            (prefix, prefix + b"\xff"),
        )
        return {
            as_path(row[0]): FileState._make(row[1:])
            for row in rows
            if b"/" not in row[0][len(prefix) :]
        }

    def seasons(self) -> dict[int, KnownSeason]:
        """All seasons whose rows are as they were written, damage or not."""
        rows = self.connection.execute(
            "SELECT season, basis, sheets, problems, filled, seal FROM seasons"
        )
        return {
            row[0]: KnownSeason._make(row[1:-1]) for row in rows if row[-1] == seal_of(*row[:-2])
        }

    def surroundings(self, year: int) -> Surroundings | None:
        row = self.connection.execute(
            "SELECT surroundings, of_tables, beside_basis, beside, entries, seal_beside"
            " FROM seasons WHERE season = ?",
            (year,),
        ).fetchone()
        is_sound = row is not None and row[-1] == seal_of(*row[:-1])
        return Surroundings._make(row[:-1]) if is_sound else None

    def keep_season(self, year: int, season: KnownSeason, surroundings: Surroundings) -> None:
        basis, sheets, problems, is_filled = season
        self.connection.execute(
            "INSERT OR REPLACE INTO seasons VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
            (
                year, basis, sheets, problems, seal_of(year, basis, sheets, problems), is_filled,
                *surroundings, seal_of(*surroundings),
            ),
        )  # fmt: skip

    def sheets(self, year: int) -> dict[str, KnownSheet]:
        """The season's sheets by path."""
        rows = self.connection.execute(
            "SELECT path, basis, errors, competition, number FROM read_sheets WHERE season = ?",
            (year,),
        )
        return {as_path(row[0]): KnownSheet._make(row[1:]) for row in rows}

    def seals(self, year: int) -> list[tuple[str, str]]:
        """Of each sheet of the season whose seal fits it the path, and the seal, packed."""
        rows = self.connection.execute(
            "SELECT path, seal FROM read_sheets WHERE season = ? AND seal IS NOT NULL"
            " ORDER BY path",
            (year,),
        )
        return [(as_path(path), seal) for path, seal in rows]

    def result(self, kind: str, basis: bytes) -> str | None:
        """The payload kept for that basis, or None."""
        row = self.connection.execute(
            "SELECT payload, seal FROM results WHERE kind = ? AND basis = ?", (kind, basis)
        ).fetchone()
        return str(row[0]) if row and row[1] == seal_of(kind, basis, row[0]) else None

    def results_by_year(self, kind: str) -> dict[int, tuple[bytes, str]]:
        """Basis and payload of what is kept as ``kind`` and a year, by year."""
        rows = self.connection.execute(
            "SELECT kind, basis, payload, seal FROM results WHERE kind >= ? AND kind < ?",
            (f"{kind} ", f"{kind} :"),
        )
        return {
            int(name.rpartition(" ")[2]): (basis, payload)
            for name, basis, payload, seal in rows
            if seal == seal_of(name, basis, payload)
        }

    def keep_files(
        self,
        files: Mapping[str, Mapping[str, FileState]],
        listings: Mapping[str, KnownListing],
        gone: Collection[str],
    ) -> None:
        """Put the ``files`` of directories that look otherwise and these directories' ``listings``
        in place of what was known, and forget the directories that are ``gone``."""
        for directory in (*files, *gone):
            before, now = self.files(directory), files.get(directory, {})
            self.connection.executemany(
                "DELETE FROM files WHERE path = ?",
                [(as_bytes(path),) for path in before if path not in now],
            )
            self.connection.executemany(
                "INSERT OR REPLACE INTO files VALUES (?, ?, ?, ?, ?, ?)",
                [
                    (as_bytes(path), *state)
                    for path, state in now.items()
                    if before.get(path) != state
                ],
            )
            self.connection.execute(
                "DELETE FROM listings WHERE directory = ?", (as_bytes(directory),)
            )
        self.connection.executemany(
            "INSERT INTO listings VALUES (?, ?, ?)",
            [(as_bytes(directory), *listing) for directory, listing in listings.items()],
        )

    def keep_result(self, kind: str, basis: bytes, payload: str) -> None:
        self.connection.execute(
            "INSERT OR REPLACE INTO results VALUES (?, ?, ?, ?)",
            (kind, basis, payload, seal_of(kind, basis, payload)),
        )

    @contextlib.contextmanager
    def writing(self, version: int) -> Iterator[sqlite3.Connection]:
        """A transaction, taken back where anything is raised within. Nobody else writes to the
        file meanwhile, and it is only written to where it still is as it was left. Raises
        OvertakenError where it is not at that ``version`` any more, UnwritableError where it
        cannot be written to."""
        with contextlib.ExitStack() as closing:
            if not self.is_in_memory:
                try:
                    witness = closing.enter_context(self._witness.alone())
                except OSError as error:
                    raise UnwritableError(str(error)) from error
                if not witness.vouches() or witness.inode() != self._inode:
                    raise UnwritableError("its file was changed meanwhile")
            try:
                with self._transaction(version):
                    yield self.connection
            except sqlite3.Error as error:
                raise UnwritableError(str(error)) from error
            if not self.is_in_memory:
                # What cannot be noted is made anew the next time.
                with contextlib.suppress(OSError):
                    witness.put_down()

    @contextlib.contextmanager
    def _transaction(self, version: int) -> Iterator[None]:
        self.connection.execute("BEGIN IMMEDIATE")
        try:
            if self.version() != version:
                raise OvertakenError
            yield
            self.connection.execute("COMMIT")
        except BaseException:
            with contextlib.suppress(sqlite3.Error):
                self.connection.execute("ROLLBACK")
            raise

    def stay_in_memory(self, error: UnwritableError) -> None:
        """Go on with a copy of the file in memory; what was not written has to be written again."""
        assert not self.is_in_memory, "memory can always be written to"
        self._tell(
            Message(
                "the index cannot be written ({error}); the answer is right all the same",
                error=error,
            )
        )
        copy = sqlite3.connect(":memory:", isolation_level=None)
        try:
            self.connection.backup(copy)
        except sqlite3.Error:
            copy = self._blank()
        self.connection.close()
        self.connection, self.is_in_memory = copy, True

    def give_up(self, error: sqlite3.Error) -> None:
        """The file is damaged: what it held is worked out anew, into a new file next time."""
        if self.is_in_memory:
            raise error
        self.close()
        self._discard()
        self._cannot_be_used(error)

    def _discard(self) -> None:
        with contextlib.suppress(OSError), self._witness.alone() as witness:
            if witness.inode() == self._inode:
                witness.discard()

    def _cannot_be_used(self, error: Exception) -> None:
        self.connection, self.is_in_memory = self._blank(), True
        self._tell(
            Message(
                "the index cannot be used ({error}); the answer is worked out without it",
                error=told(error) if isinstance(error, OSError) else error,
            )
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
        with contextlib.suppress(sqlite3.DatabaseError):
            connection = self._connect()
            with contextlib.suppress(sqlite3.DatabaseError):
                if self._is_ours(connection):
                    return connection
            connection.close()
        return None

    def _made_anew(self) -> sqlite3.Connection:
        self._witness.discard()
        connection = self._connect()
        connection.execute("BEGIN IMMEDIATE")
        self._lay_out(connection)
        connection.execute("COMMIT")
        self._witness.put_down()
        return connection

    def _connect(self) -> sqlite3.Connection:
        """To the file; nothing has been read of it yet."""
        connection = sqlite3.connect(
            self._path, timeout=_SECONDS_TO_WAIT, isolation_level=None, cached_statements=32
        )
        try:
            connection.execute("PRAGMA synchronous = OFF")
        except UnicodeDecodeError as error:
            # What is said of a damaged layout quotes the damage.
            connection.close()
            raise sqlite3.DatabaseError("its layout is damaged") from error
        # Some SQLites write nulls over what is deleted, for which the first question waits; all
        # that stands in the file stands in the folder too, and in what git keeps of it.
        connection.execute("PRAGMA secure_delete = OFF")
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
        from riesbuch.index.layout import LAYOUT

        for statement in LAYOUT.split(";"):
            connection.execute(statement)
        connection.execute("INSERT INTO reading VALUES (?)", (self._signature,))
        connection.execute(f"PRAGMA application_id = {_APPLICATION_ID}")

    def _blank(self) -> sqlite3.Connection:
        blank = sqlite3.connect(":memory:", isolation_level=None)
        self._lay_out(blank)
        return blank


class OverlaidStore(Store):
    """For a folder whose contents are taken for others than those that lie there.

    What is kept is used where it fits, and the file is not written to: what is new is put into a
    transaction that never ends but by being taken back, and whose pages never leave memory. While
    it lasts, until the store is closed, other commands can read the file, and wait with writing to
    it. What ails the file is told by whoever keeps it."""

    keeps_files = False

    def __init__(self, derived: Path, signature: bytes, tell: Callable[[str], None]) -> None:
        super().__init__(derived, signature, lambda sentence: None)

    @contextlib.contextmanager
    def writing(self, version: int) -> Iterator[sqlite3.Connection]:
        try:
            if not self.connection.in_transaction:
                self.connection.execute("BEGIN IMMEDIATE")
                if self.version() != version:
                    raise OvertakenError
            yield self.connection
        except BaseException as error:
            with contextlib.suppress(sqlite3.Error):
                self.connection.rollback()
            if isinstance(error, sqlite3.Error):
                raise UnwritableError(str(error)) from error
            raise

    def _discard(self) -> None:
        """Nothing: the file is left to whoever keeps it."""

    def _open(self) -> sqlite3.Connection:
        self._witness = Witness(self._path)
        if not self._witness.vouches():
            with self._witness.alone():
                # Another command may have been writing.
                if not self._witness.vouches():
                    raise sqlite3.OperationalError("not as it was left")
        connection = sqlite3.connect(
            f"{self._path.absolute().as_uri()}?mode=rw",
            uri=True,
            timeout=_SECONDS_TO_WAIT_BESIDE,
            isolation_level=None,
            cached_statements=32,
        )
        try:
            if not self._is_ours(connection):
                raise sqlite3.OperationalError("another program's index")
            # What a transaction changes stays in memory, so that not even a kill leaves a trace.
            connection.execute("PRAGMA cache_spill = OFF")
            if connection.execute("PRAGMA journal_mode").fetchone() == ("delete",):
                connection.execute("PRAGMA journal_mode = MEMORY")
        except BaseException:
            connection.close()
            raise
        return connection


def insert_rows(connection: sqlite3.Connection, table: str, rows: Iterable[Sequence[Any]]) -> None:
    listed = list(rows)
    if listed:
        insert_values(connection, table, len(listed[0]), [*chain.from_iterable(listed)])


def insert_values(
    connection: sqlite3.Connection, table: str, columns: int, values: Sequence[Any]
) -> None:
    """``values`` are those of all rows, one after the other."""
    marks = f"({', '.join('?' * columns)})"
    first = 0
    for rows in _ROWS_AT_ONCE:
        step = rows * columns
        last = len(values) - (len(values) - first) % step
        if step > _MOST_VALUES or first == last:
            continue
        connection.executemany(
            f"INSERT INTO {table} VALUES {', '.join([marks] * rows)}",
            [values[start : start + step] for start in range(first, last, step)],
        )
        first = last


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


# A file's name may be no text at all: its path is kept as bytes.
def as_bytes(path: str) -> bytes:
    return path.encode("utf-8", "surrogateescape")


def as_path(kept: Any) -> str:
    return kept.decode("utf-8", "surrogateescape") if isinstance(kept, bytes) else str(kept)
