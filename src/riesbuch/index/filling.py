"""Filling the tables that questions are asked of."""

from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from sqlite3 import Connection
from typing import Any

from riesbuch.archive import Archive
from riesbuch.index.codec import pack, unpack, unpack_performances, unpack_tally
from riesbuch.index.store import Result
from riesbuch.index.tables import OF_A_SEASON, OF_THE_REGISTER
from riesbuch.trade.ids import CompetitionId, Winner
from riesbuch.trade.people import Register
from riesbuch.trade.progress import is_complete, matches_planned
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.season import Competition, Meeting
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


def fill_season(
    connection: Connection,
    archive: Archive,
    year: int,
    figures: Mapping[str, Result],
    with_errors: Container[str],
) -> None:
    """Put what a season's sheets, by path, add up to into the tables in place of what was there
    of it; rows of sheets that say the same as before stay.

    Sheets ``with_errors`` are in the tables, but count nowhere.
    """
    filled = {
        path: (basis, bool(errors))
        for path, basis, errors in connection.execute(
            "SELECT path, basis, errors FROM filled_sheets WHERE season = ?", (year,)
        )
    }
    now = {
        path.encode("utf-8", "surrogateescape"): (result.basis, path in with_errors)
        for path, result in figures.items()
    }
    _clear_sheets(connection, year, [path for path in filled if filled[path] != now.get(path)])
    filler = _SeasonFiller(archive, year)
    for path, result in figures.items():
        key = path.encode("utf-8", "surrogateescape")
        is_new = filled.get(key) != now[key]
        filler.take(path, result.payload, errors=path in with_errors, is_new=is_new)
        if is_new:
            filler.filled.append((year, key, *now[key]))
    _insert(connection, "filled_sheets", filler.filled)
    _insert(connection, "matches", filler.matches)
    _insert(connection, "sides", filler.sides)
    _insert(connection, "player_matches", filler.people)
    _insert(connection, "left_out", filler.new_left_out)
    for table in ("standings", "strikers", "competitions"):
        connection.execute(f"DELETE FROM {table} WHERE season = ?", (year,))
    season = archive.seasons.get(year)
    for competition in season.competitions if season else ():
        rules = archive.rules_of(competition)
        if rules is not None:
            filler.tables(connection, competition, rules)


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


def _clear_sheets(connection: Connection, year: int, paths: Sequence[bytes]) -> None:
    for written in paths:
        path = _as_text(written.decode("utf-8", "surrogateescape"))
        stem = path.rpartition("/")[2].removesuffix(".yaml")
        sheet = (year, f"{year}/{stem}")
        connection.execute("DELETE FROM player_matches WHERE season = ? AND sheet = ?", sheet)
        connection.execute("DELETE FROM sides WHERE season = ? AND sheet = ?", sheet)
        connection.execute("DELETE FROM matches WHERE season = ? AND sheet = ?", sheet)
        connection.execute("DELETE FROM left_out WHERE season = ? AND path = ?", (year, path))
        connection.execute(
            "DELETE FROM filled_sheets WHERE season = ? AND path = ?", (year, written)
        )


def _as_text(name: str) -> str:
    """Tables hold texts, and a file's name may be none."""
    return name.encode("utf-8", "replace").decode("utf-8")


class _SeasonFiller:
    def __init__(self, archive: Archive, year: int) -> None:
        self.archive = archive
        self.year = year
        self.filled: list[tuple[Any, ...]] = []
        self.matches: list[tuple[Any, ...]] = []
        self.sides: list[tuple[Any, ...]] = []
        self.people: list[tuple[Any, ...]] = []
        self.tallies: dict[CompetitionId, list[Tally]] = {}
        self.performances: dict[CompetitionId, list[Performance]] = {}
        self.left_out: list[tuple[int, str, str | None]] = []
        self.new_left_out: list[tuple[int, str, str | None]] = []

    def take(self, path: str, payload: str, *, errors: bool, is_new: bool) -> None:
        packed_tally, packed_performances, facts = unpack(payload)
        path = _as_text(path)
        added_up = unpack_tally(packed_tally) if packed_tally is not None else None
        if added_up is None or errors:
            left_out = (self.year, path, added_up.competition if added_up else None)
            self.left_out.append(left_out)
            if is_new:
                self.new_left_out.append(left_out)
        if added_up is None:
            return
        sheet = _as_text(added_up.sheet)
        competition = self.archive.competition(self.year, added_up.competition)
        assert competition is not None
        counts = added_up.counts and not errors
        performances = [] if errors else unpack_performances(packed_performances, added_up)
        if not errors:
            self.tallies.setdefault(competition.id, []).append(added_up)
            self.performances.setdefault(competition.id, []).extend(performances)
        if not is_new:
            return
        date = added_up.date.isoformat() if added_up.date else None
        ground, weather, notes, source, reference, people = unpack(facts)
        self.matches.append(
            (
                sheet, path, self.year, competition.id, competition.kind.value,
                added_up.round, date, added_up.outcome.value, added_up.home.team,
                added_up.away.team, added_up.winner, added_up.decided_by, added_up.is_draft,
                counts, errors, ground, weather, notes, source, reference,
            )
        )  # fmt: skip
        for name, mine, theirs in (
            ("home", added_up.home, added_up.away),
            ("away", added_up.away, added_up.home),
        ):
            self.sides.append(self._side(sheet, added_up, name, mine, theirs, counts))
        # Of two rows of one player, a supernumerary who came in, the first has the rank points.
        earned = {each.player: each.rank_points for each in performances}
        counting = set(earned)
        rules = self.archive.rules_of(competition)
        per_inning = rules.strikes_per_inning if rules else None
        for seat, person in enumerate(people):
            side, role, player, strikes, struck, points, nummern, best = person
            team = added_up.home.team if side == "home" else added_up.away.team
            self.people.append(
                (
                    sheet, side, seat, self.year, competition.id, date, team, player,
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
            sheet, name, self.year, mine.team, theirs.team, mine.depth.value,
            mine.points, mine.nummern, mine.rank_points if counts else None,
            _result(added_up.winner, name), max(mine.ries, default=None) if mine.ries else None,
            None if mine.ries is None else pack(mine.ries),
        )  # fmt: skip

    def tables(self, connection: Connection, competition: Competition, rules: RuleSet) -> None:
        tallies = self.tallies.get(competition.id, [])
        performances = self.performances.get(competition.id, [])
        # Thousands of players need not be unpacked where nobody asks how old they are.
        by_age = "older" in rules.strikers.order
        born = self.archive.register.birth_years if by_age else {}
        key = (self.year, competition.id)
        _insert(
            connection,
            "standings",
            (
                (*key, row.rank, row.team, row.played, row.won, row.drawn, row.lost, row.nummern,
                 row.points, row.rank_points)
                for row in standings(tallies, competition.teams, rules)
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
        fixtures = [
            each
            for each in self.archive.fixtures.get(self.year, ())
            if each.competition == competition.id
        ]
        # A match that is kept out of the tables is settled all the same.
        settled = [
            Meeting(each.round, each.date, each.home.team, each.away.team)
            for each in tallies
            if each.winner is not None
        ]
        counted = sum(each.counts for each in tallies)
        whole = all(key not in (None, competition.id) for _, _, key in self.left_out)
        complete = whole and is_complete(competition, fixtures, settled)
        _insert(
            connection,
            "competitions",
            [
                (*key, competition.name, competition.kind.value, competition.rules,
                 len(competition.teams), matches_planned(competition, fixtures), counted,
                 complete, competition.promoted, competition.relegated)
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
