"""A question in SQL. The database itself sees to it that it only reads, and reads only what is
documented; nothing is judged by the look of the text."""

import math
import re
import sqlite3
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial
from sys import getsizeof

from riesbuch.trade.messages import Message, joined
from riesbuch.trade.problems import UsageError, did_you_mean

TABLES = (
    "matches", "sides", "player_matches", "strikes", "standings", "strikers", "competitions",
    "rulings", "players", "spellings", "parents", "clubs", "teams", "former_names", "mergers",
    "left_out", "class_strikers", "awards", "player_classes", "handed_down_standings",
    "handed_down_strikers", "titles",
)  # fmt: skip
"""What can be asked of; the guide's page `asking` explains every column."""

TRAININGS = ("trainings", "training_strikes")
"""What can be asked of besides by who asks for trainings."""

MOST_ROWS = 1_000_000
MOST_BYTES = 64_000_000
"""Of an answer, counted as Python holds it."""
MOST_VALUES = 2_000_000
"""That the medians of a statement are made of, together."""

# A look is only had between two steps, and one step may work through two such texts.
_LONGEST_TEXT = 250_000
_LONGEST_PATTERN = 1_000
_STEPS_BETWEEN_LOOKS = 1_000
# Of what the database itself holds meanwhile; once lowered it stays so in this process.
_MOST_MEMORY = 256_000_000
_READERS = frozenset({"json_each", "json_tree"})
_BEHIND = {"player_matches": ("player_rows",)}
_TRAINING_ROWS = "training_rows"
_BEHIND_TRAININGS = dict.fromkeys(TRAININGS, (_TRAINING_ROWS,))
# A subquery of a view is not told from one of the statement; there is nothing else in these.
_BEHIND_HANDED_DOWN = frozenset(
    f"handed_down_{kind}" for kind in ("competitions", "team_rows", "striker_rows", "honour_rows")
)
_WIDTH = 96
_NOT_ASKED = Message("trainings are only told with --trainings; they are for the club alone")
_TOO_LONG = Message(
    "the statement takes too long and was broken off; narrow it with WHERE, or give it more time"
    " with --seconds"
)

Value = str | int | float | bytes | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Reply:
    """``columns`` are all different: of two of the same name the second is ``name_2``."""

    columns: tuple[str, ...]
    rows: tuple[tuple[Value, ...], ...]


def ask(
    connection: sqlite3.Connection,
    statement: str,
    time_is_up: Callable[[], bool],
    *,
    with_trainings: bool = False,
) -> Reply:
    """What the one statement gives. It is broken off as soon as ``time_is_up``. Trainings are
    answered of only where it is said so."""
    try:
        statement.encode()
    except UnicodeEncodeError:
        raise UsageError("the statement is not UTF-8 text") from None
    stopped = False

    def look() -> bool:
        nonlocal stopped
        stopped = time_is_up()
        return stopped

    # Inside of one transaction the layout stays, so that nothing is looked up in it under watch.
    connection.execute("BEGIN")
    visible = _columns(connection, (*TABLES, *(TRAININGS if with_trainings else ())))
    connection.execute("SELECT 1 FROM json_each('[]'), json_tree('[]')").fetchall()
    connection.execute("PRAGMA query_only = ON")
    connection.execute(f"PRAGMA hard_heap_limit = {_MOST_MEMORY}")
    connection.setlimit(sqlite3.SQLITE_LIMIT_LENGTH, _LONGEST_TEXT)
    connection.setlimit(sqlite3.SQLITE_LIMIT_LIKE_PATTERN_LENGTH, _LONGEST_PATTERN)
    refused: list[Message] = []
    held: list[int] = [0]
    # The types of the standard library ask for what only window functions have.
    connection.create_aggregate("median", 1, partial(_Median, refused, held))  # type: ignore[arg-type]
    connection.create_aggregate("stddev", 1, partial(_Deviation, refused))  # type: ignore[arg-type]
    behind = _BEHIND | (_BEHIND_TRAININGS if with_trainings else {})
    connection.set_authorizer(_authorizer(frozenset(visible), behind, _hidden(connection), refused))
    connection.set_progress_handler(look, _STEPS_BETWEEN_LOOKS)
    try:
        cursor = connection.execute(statement)
        rows = _fetched(cursor, look)
    except MemoryError:
        raise UsageError(
            "the statement needs more than {most} MB of memory and was broken off; narrow it"
            " with WHERE or LIMIT",
            most=_MOST_MEMORY // 1_000_000,
        ) from None
    except (sqlite3.Error, sqlite3.Warning, ValueError) as error:
        if stopped:
            raise UsageError(_TOO_LONG) from error
        if refused:
            raise UsageError(refused[0]) from error
        if getattr(error, "sqlite_errorcode", None) == sqlite3.SQLITE_INTERRUPT:
            raise KeyboardInterrupt from error
        raise UsageError(_complaint(str(error), visible)) from error
    finally:
        connection.set_progress_handler(None, 0)
        connection.set_authorizer(None)
        connection.execute("PRAGMA query_only = OFF")
        connection.execute("ROLLBACK")
    if cursor.description is None:
        raise UsageError(_complaint(Message("there is no statement"), visible))
    return Reply(columns=_distinct([column[0] for column in cursor.description]), rows=tuple(rows))


class _RefusedError(Exception):
    """What an aggregate cannot take; the database tells of it without saying what it is."""


def _number(name: str, value: Value, refused: list[Message]) -> int | float | None:
    if isinstance(value, str | bytes):
        refused.append(Message("{function}(x) takes numbers, and x is a text here", function=name))
        raise _RefusedError
    return value


class _Median:
    """The value in the middle, of an even number the mean of the two there."""

    def __init__(self, refused: list[Message], held: list[int]) -> None:
        self._refused, self._held = refused, held
        self._values: list[int | float] = []

    def step(self, value: Value) -> None:
        number = _number("median", value, self._refused)
        if number is None:
            return
        self._held[0] += 1
        if self._held[0] > MOST_VALUES:
            self._refused.append(
                Message(
                    "median(x) takes {most:,} values at most; narrow it with WHERE",
                    most=MOST_VALUES,
                )
            )
            raise _RefusedError
        self._values.append(number)

    def finalize(self) -> int | float | None:
        values, middle = sorted(self._values), len(self._values) // 2
        if not values:
            return None
        return values[middle] if len(values) % 2 else (values[middle - 1] + values[middle]) / 2


class _Deviation:
    """The square root of the squared differences from the mean, added up and divided by one less
    than there are values. Mean and squares are kept as they go (Welford), lest great sums swallow
    small differences."""

    def __init__(self, refused: list[Message]) -> None:
        self._refused = refused
        self._values = 0
        self._mean = self._squares = 0.0

    def step(self, value: Value) -> None:
        number = _number("stddev", value, self._refused)
        if number is None:
            return
        self._values += 1
        beyond = number - self._mean
        self._mean += beyond / self._values
        self._squares += beyond * (number - self._mean)

    def finalize(self) -> float | None:
        return math.sqrt(self._squares / (self._values - 1)) if self._values > 1 else None


def _fetched(cursor: sqlite3.Cursor, look: Callable[[], bool]) -> list[tuple[Value, ...]]:
    """All rows; a row may be fat and have taken few steps, so the clock is asked at each."""
    rows: list[tuple[Value, ...]] = []
    size = 0
    for row in cursor:
        size += getsizeof(row) + sum(map(getsizeof, row))
        if size > MOST_BYTES:
            raise UsageError(
                "the answer was broken off after {rows:,} rows: it has more than {most} MB;"
                " narrow it with WHERE or LIMIT",
                rows=len(rows),
                most=MOST_BYTES // 1_000_000,
            )
        rows.append(row)
        if len(rows) > MOST_ROWS:
            raise UsageError(
                "the answer has more than {most:,} rows; narrow it with WHERE or LIMIT",
                most=MOST_ROWS,
            )
        if look():
            raise UsageError(_TOO_LONG)
    return rows


def _authorizer(
    visible: frozenset[str],
    behind: Mapping[str, tuple[str, ...]],
    hidden: frozenset[str],
    refused: list[Message],
) -> Callable[[int, str | None, str | None, str | None, str | None], int]:
    views: set[str] = set()

    def allowed(
        action: int, first: str | None, second: str | None, database: str | None, view: str | None
    ) -> int:
        if action in (sqlite3.SQLITE_SELECT, sqlite3.SQLITE_RECURSIVE):
            views.update([view.lower()] if view is not None else [])
            return sqlite3.SQLITE_OK
        if action == sqlite3.SQLITE_FUNCTION and second != "load_extension":
            return sqlite3.SQLITE_OK
        if action == sqlite3.SQLITE_READ and first is not None:
            table = first.lower()
            if table in visible or table in _READERS or table in _BEHIND_HANDED_DOWN:
                return sqlite3.SQLITE_OK
            if table == _TRAINING_ROWS and not visible.issuperset(TRAININGS):
                refused.append(_NOT_ASKED)
            if view is not None and table in behind.get(view.lower(), ()):
                return sqlite3.SQLITE_OK
            # Counting the rows of a name made up in the statement itself reads "no column" of it.
            made_up = not second and database is None
            if made_up and any(table in behind.get(name, ()) for name in views):
                # So does counting those of a view that asks for no more than their keys.
                return sqlite3.SQLITE_OK
            if made_up and table not in hidden and not table.startswith(("sqlite_", "pragma_")):
                return sqlite3.SQLITE_OK
        return sqlite3.SQLITE_DENY

    return allowed


def _hidden(connection: sqlite3.Connection) -> frozenset[str]:
    """What is there besides the documented tables."""
    tables = connection.execute("SELECT name FROM sqlite_schema").fetchall()
    modules = connection.execute("PRAGMA module_list").fetchall()
    return frozenset(name.lower() for (name,) in [*tables, *modules])


def _columns(connection: sqlite3.Connection, tables: Iterable[str]) -> dict[str, list[str]]:
    return {
        table: [row[1] for row in connection.execute(f"PRAGMA table_info({table})")]
        for table in tables
    }


def _distinct(names: list[str]) -> tuple[str, ...]:
    given: list[str] = []
    for name in names:
        chosen, number = name, 1
        while chosen in given or (number > 1 and chosen in names):
            number += 1
            chosen = f"{name}_{number}"
        given.append(chosen)
    return tuple(given)


def _complaint(sentence: str, visible: dict[str, list[str]]) -> str:
    """The database's sentence, what could be meant, and all that can be asked of."""
    known = {*visible, *(column for columns in visible.values() for column in columns)}
    what, _, name = sentence.rpartition(": ")
    near = re.fullmatch(r'near "(.*)": syntax error', sentence, re.DOTALL)
    advice = ""
    if what in ("no such table", "no such column"):
        advice = did_you_mean(name.rpartition(".")[2], known)
        sentence = Message(
            "no such table: {name}" if what.endswith("table") else "no such column: {name}",
            name=name,
        )
    elif near:
        sentence = Message("what stands at `{near}` is not understood", near=near[1])
    elif what == "unrecognized token":
        sentence = Message("what stands at `{near}` is not understood", near=name[1:-1])
    elif sentence == "incomplete input":
        sentence = Message("the statement is not complete")
    elif sentence == "not authorized":
        sentence = Message("not authorized")
    lines = [
        Message.layout("{complaint}; {advice}", complaint=sentence, advice=advice)
        if advice
        else sentence
    ]
    if sentence == "not authorized" or sentence.endswith(" is prohibited"):
        lines.append(Message("One statement that reads is answered, and nothing else."))
    lines.append(
        Message("These are the tables and their columns; `riesbuch guide asking` explains them:")
    )
    return joined("\n", (*lines, *_column_lines(visible)))


def _column_lines(visible: dict[str, list[str]]) -> Iterator[str]:
    width = max(map(len, visible))
    for table, columns in visible.items():
        line = f"  {table:<{width}}  "
        for number, column in enumerate(columns, start=1):
            piece = f"{column}," if number < len(columns) else column
            if len(line) + len(piece) > _WIDTH:
                yield line.rstrip()
                line = " " * (width + 4)
            line += f"{piece} "
        yield line.rstrip()
