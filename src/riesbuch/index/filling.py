"""Filling the tables that questions are asked of."""

from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from sqlite3 import Connection
from typing import Any, NamedTuple

from riesbuch.folder.archive import Archive
from riesbuch.index.codec import pack, unpack, unpack_performances, unpack_tally
from riesbuch.index.store import Result
from riesbuch.index.tables import (
    OF_A_SEASON,
    OF_COMPETITIONS,
    OF_SHEETS,
    OF_THE_REGISTER,
)
from riesbuch.trade.certainty import NOTHING_SURE, sure_places
from riesbuch.trade.ids import CompetitionId, Winner
from riesbuch.trade.people import Register
from riesbuch.trade.progress import is_complete, matches_planned
from riesbuch.trade.season import Competition
from riesbuch.trade.standings import standings
from riesbuch.trade.strikers import Performance, strikers
from riesbuch.trade.tally import SideTally, Tally


def fill_register(connection: Connection, register: Register) -> None:
    for table in OF_THE_REGISTER:
        connection.execute(f"DELETE FROM {table}")
    players = register.players.values()
    clubs = register.clubs.values()
    _insert(connection, "players", ((each.id, each.name, each.born) for each in players))
    _insert(
        connection,
        "spellings",
        ((each.id, name) for each in players for name in each.also_written),
    )
    _insert(
        connection,
        "parents",
        ((each.id, parent) for each in players for parent in dict.fromkeys(each.parents)),
    )
    _insert(connection, "clubs", ((each.id, each.name, each.founded, each.ground)
                                  for each in clubs))  # fmt: skip
    _insert(
        connection,
        "former_names",
        ((each.id, former.name, former.until) for each in clubs for former in each.formerly),
    )
    _insert(
        connection,
        "mergers",
        ((each.id, merged) for each in clubs for merged in each.merged_from),
    )
    _insert(
        connection,
        "teams",
        (
            (team, each.id, name)
            for each in clubs
            for team, (_, name) in zip(each.team_ids(), each.teams, strict=True)
        ),
    )


def clear_season(connection: Connection, year: int) -> None:
    for table in OF_A_SEASON:
        connection.execute(f"DELETE FROM {table} WHERE season = ?", (year,))


class _Unpacked(NamedTuple):
    """What a sheet adds up to. ``tally`` is None where it could not be read or has no rule set,
    ``facts`` are those of `riesbuch.index.facts`, packed."""

    tally: Tally | None
    performances: Sequence[Performance]
    facts: str
    errors: bool

    @property
    def competition(self) -> CompetitionId | None:
        return self.tally.competition if self.tally else None


def _unpacked(payload: str, *, errors: bool) -> _Unpacked:
    packed_tally, packed_performances, facts = payload.split("\n")
    if not packed_tally:
        return _Unpacked(None, (), "", errors)
    tally = unpack_tally(unpack(packed_tally))
    performances = () if errors else unpack_performances(unpack(packed_performances), tally)
    return _Unpacked(tally, performances, facts, errors)


def fill_season(
    connection: Connection,
    archive: Archive,
    year: int,
    figures: Mapping[str, Result],
    with_errors: Container[str],
    surroundings: bytes,
) -> None:
    """Put what a season's sheets, by path, add up to into the tables in place of what was there
    of it; rows of sheets that say the same as before stay, and those of a competition where all
    its sheets do.

    Sheets ``with_errors`` are in the tables, but count nowhere. ``surroundings`` is a digest of
    all other files that the season's tables rest on.
    """
    filled = {
        _path(written): (basis, bool(errors), competition)
        for written, basis, errors, competition in connection.execute(
            "SELECT path, basis, errors, competition FROM filled_sheets WHERE season = ?", (year,)
        )
    }
    competitions: dict[str, str | None] = {}
    new: dict[str, _Unpacked] = {}
    for path, result in figures.items():
        before, now = filled.get(path), (result.basis, path in with_errors)
        if before is not None and before[:2] == now:
            competitions[path] = before[2]
        else:
            new[path] = _unpacked(result.payload, errors=path in with_errors)
            competitions[path] = new[path].competition
    gone = [path for path in filled if path in new or path not in figures]
    _clear_sheets(connection, year, gone)
    rows = _SheetRows(archive, year)
    for path, sheet in new.items():
        rows.take(path, figures[path].basis, sheet)
    rows.insert(connection)

    season = archive.seasons.get(year)
    stale = {filled[path][2] for path in gone} | {each.competition for each in new.values()}
    # A sheet of which nobody knows the competition keeps each of them from being complete.
    if None in stale or not _is_filled_in(connection, year, surroundings):
        for table in OF_COMPETITIONS:
            connection.execute(f"DELETE FROM {table} WHERE season = ?", (year,))
        stale = {each.id for each in season.competitions} if season else set()
    for competition in season.competitions if season else ():
        if competition.id in stale:
            sheets = [
                new.get(path) or _unpacked(result.payload, errors=path in with_errors)
                for path, result in figures.items()
                if competitions[path] == competition.id
            ]
            _fill_competition(connection, archive, year, competition, sheets)
    connection.execute("INSERT OR REPLACE INTO filled_seasons VALUES (?, ?)", (year, surroundings))


def _is_filled_in(connection: Connection, year: int, surroundings: bytes) -> bool:
    query = "SELECT 1 FROM filled_seasons WHERE season = ? AND surroundings = ?"
    return connection.execute(query, (year, surroundings)).fetchone() is not None


def mark_played_out(connection: Connection) -> None:
    """A competition whose number of matches nobody knows is played out once a later season has a
    match that counts, unless a sheet of it is a draft or has errors."""
    connection.execute(
        "UPDATE competitions AS c SET complete = c.played > 0"
        " AND EXISTS (SELECT 1 FROM matches AS m WHERE m.season > c.season AND m.counts)"
        " AND NOT EXISTS (SELECT 1 FROM matches AS m"
        "  WHERE m.season = c.season AND m.competition = c.competition AND m.draft)"
        " AND NOT EXISTS (SELECT 1 FROM left_out AS l WHERE l.season = c.season"
        "  AND coalesce(l.competition, c.competition) = c.competition)"
        " WHERE c.planned IS NULL"
    )


def _clear_sheets(connection: Connection, year: int, paths: Iterable[str]) -> None:
    for path in paths:
        stem = _as_text(path).rpartition("/")[2].removesuffix(".yaml")
        sheet = (year, f"{year}/{stem}")
        connection.execute("DELETE FROM player_matches WHERE season = ? AND sheet = ?", sheet)
        connection.execute("DELETE FROM sides WHERE season = ? AND sheet = ?", sheet)
        connection.execute("DELETE FROM matches WHERE season = ? AND sheet = ?", sheet)
        connection.execute(
            "DELETE FROM left_out WHERE season = ? AND path = ?", (year, _as_text(path))
        )
        connection.execute(
            "DELETE FROM filled_sheets WHERE season = ? AND path = ?", (year, _written(path))
        )


# A file's name may be no text at all: its path is kept as bytes, and told as near as can be.
def _written(path: str) -> bytes:
    return path.encode("utf-8", "surrogateescape")


def _path(written: bytes) -> str:
    return written.decode("utf-8", "surrogateescape")


def _as_text(name: str) -> str:
    return name.encode("utf-8", "replace").decode("utf-8")


class _SheetRows:
    """The rows of a season's sheets, table by table."""

    def __init__(self, archive: Archive, year: int) -> None:
        self._archive = archive
        self._year = year
        self._rows: dict[str, list[tuple[Any, ...]]] = {table: [] for table in OF_SHEETS}

    def insert(self, connection: Connection) -> None:
        for table, rows in self._rows.items():
            _insert(connection, table, rows)

    def take(self, path: str, basis: bytes, unpacked: _Unpacked) -> None:
        added_up, performances, facts, errors = unpacked
        self._rows["filled_sheets"].append(
            (self._year, _written(path), basis, errors, unpacked.competition)
        )
        path = _as_text(path)
        if added_up is None or errors:
            self._rows["left_out"].append((self._year, path, unpacked.competition))
        if added_up is None:
            return
        sheet = _as_text(added_up.sheet)
        competition = self._archive.competition(self._year, added_up.competition)
        assert competition is not None
        counts = added_up.counts and not errors
        date = added_up.date.isoformat() if added_up.date else None
        ground, weather, notes, source, reference, people = unpack(facts)
        self._rows["matches"].append(
            (
                sheet, path, self._year, competition.id, competition.kind.value,
                added_up.round, date, added_up.outcome.value, added_up.home.team,
                added_up.away.team, added_up.winner, added_up.decided_by, added_up.is_draft,
                counts, errors, added_up.kept_out, ground, weather, notes, source, reference,
            )
        )  # fmt: skip
        for name, mine, theirs in (
            ("home", added_up.home, added_up.away),
            ("away", added_up.away, added_up.home),
        ):
            self._rows["sides"].append(self._side(sheet, added_up, name, mine, theirs, counts))
        # Of two rows of one player, a supernumerary who came in, the first has the rank points.
        earned = {each.player: each.rank_points for each in performances}
        counting = set(earned)
        rules = self._archive.rules_of(competition)
        per_inning = rules.strikes_per_inning if rules else None
        for seat, person in enumerate(people):
            side, role, player, strikes, struck, points, nummern, best = person
            team = added_up.home.team if side == "home" else added_up.away.team
            self._rows["player_matches"].append(
                (
                    sheet, side, seat, self._year, competition.id, date, team, player,
                    role, strikes, per_inning, struck, points,
                    nummern, best, earned.pop(player, None), player in counting,
                )
            )  # fmt: skip

    def _side(
        self,
        sheet: str,
        added_up: Tally,
        name: str,
        mine: SideTally,
        theirs: SideTally,
        counts: bool,
    ) -> tuple[Any, ...]:
        return (
            sheet, name, self._year, mine.team, theirs.team, mine.depth.value,
            mine.points, mine.nummern, mine.rank_points if counts else None,
            _result(added_up.winner, name), max(mine.ries, default=None) if mine.ries else None,
            None if mine.ries is None else pack(mine.ries),
        )  # fmt: skip


def _fill_competition(
    connection: Connection,
    archive: Archive,
    year: int,
    competition: Competition,
    sheets: Sequence[_Unpacked],
) -> None:
    """Put the tables that all ``sheets`` of the competition make in place of what was there."""
    key = (year, competition.id)
    for name in OF_COMPETITIONS:
        connection.execute(f"DELETE FROM {name} WHERE season = ? AND competition = ?", key)
    rules = archive.rules_of(competition)
    if rules is None:
        return
    tallies = [each.tally for each in sheets if each.tally is not None and not each.errors]
    performances = [each for sheet in sheets for each in sheet.performances]
    # Thousands of players need not be unpacked where nobody asks how old they are.
    by_age = "older" in rules.strikers.order
    born = archive.register.birth_years if by_age else {}
    fixtures = [
        each for each in archive.fixtures.get(year, ()) if each.competition == competition.id
    ]
    (left_out,) = connection.execute(
        "SELECT count(*) FROM left_out WHERE season = ? AND coalesce(competition, ?) = ?",
        (*key, competition.id),
    ).fetchone()
    table = standings(tallies, competition.teams, rules)
    # What a sheet with errors would say is not known, so nothing is sure beside it.
    sure = NOTHING_SURE if left_out else sure_places(competition, rules, table, tallies, fixtures)
    _insert(
        connection,
        "standings",
        (
            (*key, *row, row.team in sure.first, row.team in sure.promoted,
             row.team in sure.relegated)
            for row in table
        ),
    )  # fmt: skip
    _insert(
        connection,
        "strikers",
        (
            (*key, row.rank, row.player, row.team, row.matches, row.strikes, row.points,
             row.struck_points, row.best,
             row.rank_points)
            for row in strikers(performances, born, rules)
        ),
    )  # fmt: skip
    complete = not left_out and is_complete(competition, fixtures, tallies)
    _insert(
        connection,
        "competitions",
        [
            (*key, competition.name, competition.kind.value, competition.rules,
             len(competition.teams), matches_planned(competition, fixtures),
             sum(each.counts for each in tallies), complete, competition.promoted,
             competition.relegated)
        ],
    )  # fmt: skip


def _result(winner: Winner | None, side: str) -> str | None:
    if winner is None:
        return None
    if winner == "draw":
        return "drawn"
    return "won" if winner == side else "lost"


def _insert(connection: Connection, table: str, rows: Iterable[Sequence[Any]]) -> None:
    listed = iter(rows)
    first = next(listed, None)
    if first is None:
        return

    def all_rows() -> Iterator[Sequence[Any]]:
        yield first
        yield from listed

    marks = ", ".join("?" * len(first))
    connection.executemany(f"INSERT INTO {table} VALUES ({marks})", all_rows())
