"""What training evenings say, kept year by year; only who asks for trainings has them looked at."""

import json
from collections.abc import Collection, Mapping
from sqlite3 import Connection
from typing import Any, NamedTuple

from riesbuch.folder.archive import Archive
from riesbuch.folder.club_folder import TRAININGS
from riesbuch.index.store import Store


class YearOfTrainings(NamedTuple):
    """``rows`` are those of `training_rows`, ``problems`` packed."""

    basis: bytes
    problems: str
    rows: list[tuple[Any, ...]]


def work_out(archive: Archive, year: int, basis: bytes) -> YearOfTrainings:
    """Read and judge the evenings of the year; one with errors counts nowhere."""
    from riesbuch.index.codec import pack
    from riesbuch.index.packed import pack_problems
    from riesbuch.judge.trainings import examine_trainings

    sound, problems = examine_trainings(archive, year)
    rows = [
        (year, str(training.date), training.club, player, json.dumps(points))
        for training in sound.values()
        for player, points in training.attended.items()
    ]
    return YearOfTrainings(basis, pack(pack_problems(problems)), rows)


def put_years(
    store: Store,
    connection: Connection,
    years: Mapping[int, YearOfTrainings],
    gone: Collection[int],
) -> None:
    for year in (*years, *gone):
        connection.execute("DELETE FROM training_rows WHERE season = ?", (year,))
        connection.execute("DELETE FROM results WHERE kind = ?", (f"{TRAININGS} {year}",))
    for year, found in years.items():
        connection.executemany("INSERT INTO training_rows VALUES (?, ?, ?, ?, ?)", found.rows)
        store.keep_result(f"{TRAININGS} {year}", found.basis, found.problems)
