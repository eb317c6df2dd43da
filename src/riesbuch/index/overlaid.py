"""The index for a folder whose contents are taken for others than those that lie there.

What is kept is used where it fits, and nothing is written: what is new stays in memory, and the
tables for questions are filled within a transaction that never ends but by being taken back.
"""

import contextlib
import sqlite3
from collections.abc import Callable, Collection, Iterator, Mapping

from riesbuch.index.store import (
    FileState,
    KnownListing,
    Result,
    Store,
    scopes_to_fill,
)
from riesbuch.index.witness import Witness

_SECONDS_TO_WAIT = 10.0


class OverlaidStore(Store):
    """While tables are filled for it, until it is closed, other commands can read the file of the
    index, and wait with writing to it. What ails the file is told by whoever keeps it."""

    _kept: dict[tuple[str, str], dict[str, Result]]
    _copied: sqlite3.Connection | None = None

    def write(
        self,
        files: Mapping[str, Mapping[str, FileState]],
        listings: Mapping[str, KnownListing],
        gone: Collection[str],
        gone_seasons: Collection[str],
    ) -> None:
        """Nothing: all that is new is at hand in memory."""

    def results(self, kind: str, prefix: str = "") -> dict[str, Result]:
        # Another command may replace what is kept by what is in the folder, which is not ours.
        if (kind, prefix) not in self._kept:
            self._kept[kind, prefix] = {
                key: result
                for key, result in super().results(kind, prefix).items()
                if (kind, key) not in self._new_results
            }
        new = {
            key: result
            for (of_kind, key), result in self._new_results.items()
            if of_kind == kind and key.startswith(prefix)
        }
        return {**self._kept[kind, prefix], **new}

    def fill_tables(
        self,
        bases: Mapping[str, bytes],
        scopes_there: Collection[str],
        fill: Callable[[sqlite3.Connection, list[str]], None],
    ) -> sqlite3.Connection:
        """As of a `Store`, for this command only: the connection lasts until `close`. Where the
        file cannot be written to, a copy in memory is filled."""
        for connection in self._places():
            try:
                self._fill(connection, bases, scopes_there, fill)
                return connection
            except sqlite3.Error:
                with contextlib.suppress(sqlite3.Error):
                    connection.rollback()
        raise AssertionError("tables in memory can always be filled")

    def _places(self) -> Iterator[sqlite3.Connection]:
        """Where tables may be filled: the file, a copy of it, and where it is damaged nothing."""
        if self._copied is None and self._connection is not None:
            yield self._connection
        if self._copied is None:
            self._copied = self._copy()
        yield self._copied
        self._copied = self._blank()
        yield self._copied

    def _fill(
        self,
        connection: sqlite3.Connection,
        bases: Mapping[str, bytes],
        scopes_there: Collection[str],
        fill: Callable[[sqlite3.Connection, list[str]], None],
    ) -> None:
        scopes = scopes_to_fill(connection, bases, scopes_there)
        if not scopes:
            return
        if not connection.in_transaction:
            connection.execute("BEGIN IMMEDIATE")
            scopes = scopes_to_fill(connection, bases, scopes_there)
        fill(connection, scopes)
        connection.executemany(
            "INSERT OR REPLACE INTO filled VALUES (?, ?)",
            ((scope, bases[scope]) for scope in scopes if scope in bases),
        )
        gone = [(scope,) for scope in scopes if scope not in bases]
        connection.executemany("DELETE FROM filled WHERE scope = ?", gone)

    def _copy(self) -> sqlite3.Connection:
        if self._connection is not None:
            copy = sqlite3.connect(":memory:", isolation_level=None)
            with contextlib.suppress(sqlite3.Error):
                self._connection.backup(copy)
                return copy
        return self._blank()

    def _blank(self) -> sqlite3.Connection:
        blank = sqlite3.connect(":memory:", isolation_level=None)
        self._lay_out(blank)
        return blank

    def _open(self) -> sqlite3.Connection:
        self._kept = {}
        self._witness = Witness(self._path)
        if not self._witness.vouches():
            with self._witness.alone():
                # Another command may have been writing.
                if not self._witness.vouches():
                    raise sqlite3.OperationalError("not as it was left")
        connection = sqlite3.connect(
            f"{self._path.absolute().as_uri()}?mode=rw",
            uri=True,
            timeout=_SECONDS_TO_WAIT,
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

    def _give_up(self, error: sqlite3.Error) -> None:
        self.close()

    def _stay_in_memory(self, error: Exception) -> None:
        self._connection = None
