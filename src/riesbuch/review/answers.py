"""What a club folder says at one revision, as far as a change can bear on it."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, NamedTuple

from riesbuch.index.index import Index, Progress, Tables
from riesbuch.questions.honours import Honours, honours
from riesbuch.questions.match_lines import player_names, team_names
from riesbuch.questions.records import record_book
from riesbuch.questions.scope import Record, Scope
from riesbuch.questions.tables import WHO, TableName, rows_of_season
from riesbuch.trade.problems import RiesbuchError

if TYPE_CHECKING:
    from riesbuch.folder.club_folder import ClubFolder
    from riesbuch.trade.tally import Tally


LEAST_STRIKES = 40
"""From how many strikes in a season on an average can be a record."""


class RowKey(NamedTuple):
    """Where a row of a table stands; ``who`` is the team or the player."""

    season: int
    competition: str
    who: str


Row = Mapping[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Answers:
    """Of the seasons asked for: ``tallies`` of the sheets by path, the paths of those
    ``with_errors``, and both tables. Records and honours are those of all seasons, empty where
    they were not asked for. ``trouble`` is why there is nothing at all."""

    tallies: Mapping[str, Tally | None] = field(default_factory=dict)
    with_errors: frozenset[str] = frozenset()
    standings: Mapping[RowKey, Row] = field(default_factory=dict)
    strikers: Mapping[RowKey, Row] = field(default_factory=dict)
    records: tuple[Record, ...] = ()
    honours: Mapping[tuple[int, str], Honours] = field(default_factory=dict)
    teams: Mapping[str, str] = field(default_factory=dict)
    players: Mapping[str, str] = field(default_factory=dict)
    trouble: str = ""


NOTHING = Answers()


def answers(
    folder: ClubFolder,
    years: Collection[int] | None,
    *,
    of_all_seasons: bool,
    tell: Callable[[str], None],
    progress: Progress,
) -> Answers:
    """What ``folder`` says of the seasons ``years``, all where not given; records and honours
    where ``of_all_seasons`` is asked for."""
    there = folder.years()
    asked = there if years is None else [year for year in there if year in years]
    index = Index(folder, tell, progress)
    try:
        tables = index.connection(None if of_all_seasons else asked)
        tallies: dict[str, Tally | None] = {}
        with_errors: frozenset[str] = frozenset()
        for season in index.seasons_as_seen(asked):
            tallies.update((path, tally) for path, (tally, _) in season.tallies.items())
            with_errors |= season.with_errors
        return Answers(
            tallies=tallies,
            with_errors=with_errors,
            standings=_rows(tables, "standings", asked),
            strikers=_rows(tables, "strikers", asked),
            records=record_book(tables, Scope(), LEAST_STRIKES, ages=False).records
            if of_all_seasons
            else (),
            honours={(season.season, season.competition): season for season in honours(tables)}
            if of_all_seasons
            else {},
            teams=team_names(tables),
            players=player_names(tables),
        )
    except RiesbuchError as error:
        return Answers(trouble=str(error))
    finally:
        index.close()


def warm_up(folder: ClubFolder, tell: Callable[[str], None], progress: Progress) -> None:
    """Have all that ``folder`` says kept, so that what revisions share with it is worked out
    once."""
    index = Index(folder, tell, progress)
    try:
        # A folder that cannot be worked out is no trouble of the revisions.
        with contextlib.suppress(RiesbuchError):
            index.connection()
    finally:
        index.close()


def _rows(tables: Tables, table: TableName, years: Collection[int]) -> dict[RowKey, Row]:
    """The rows of a table by where they stand, their other columns by name."""
    found: dict[RowKey, Row] = {}
    for row in (row for year in years for row in rows_of_season(tables, table, year)):
        key = RowKey(row.pop("season"), row.pop("competition"), row[WHO[table]])
        # What is sure of a place is told by the honours.
        found[key] = {name: row[name] for name in row if not name.endswith("_for_sure")}
    return found
