"""Filling the tables that questions are asked of."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from sqlite3 import Connection
from typing import Any

from riesbuch.archive import Archive
from riesbuch.index.codec import pack, unpack, unpack_performances, unpack_tally
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
    payloads: Mapping[str, str],
    with_errors: Iterable[str],
) -> None:
    """Put a season's sheets, by path, into the tables in place of what was there of it.

    Sheets ``with_errors`` are in the tables, but count nowhere.
    """
    clear_season(connection, year)
    filler = _SeasonFiller(archive, year, frozenset(with_errors))
    for path, payload in payloads.items():
        filler.take(path, payload)
    _insert(connection, "matches", filler.matches)
    _insert(connection, "sides", filler.sides)
    _insert(connection, "player_matches", filler.people)
    _insert(connection, "left_out", filler.left_out)
    season = archive.seasons.get(year)
    for competition in season.competitions if season else ():
        rules = archive.rules_of(competition)
        if rules is not None:
            filler.tables(connection, competition, rules)


class _SeasonFiller:
    def __init__(self, archive: Archive, year: int, with_errors: frozenset[str]) -> None:
        self.archive = archive
        self.year = year
        self.with_errors = with_errors
        self.matches: list[tuple[Any, ...]] = []
        self.sides: list[tuple[Any, ...]] = []
        self.people: list[tuple[Any, ...]] = []
        self.tallies: dict[CompetitionId, list[Tally]] = {}
        self.performances: dict[CompetitionId, list[Performance]] = {}
        self.left_out: list[tuple[Any, ...]] = []

    def take(self, path: str, payload: str) -> None:
        _, _, packed_tally, packed_performances, facts = unpack(payload)
        errors = path in self.with_errors
        # Tables hold texts, and a file's name may be none.
        path = path.encode("utf-8", "replace").decode("utf-8")
        if packed_tally is None:
            self.left_out.append((self.year, path, None))
            return
        added_up = unpack_tally(packed_tally)
        sheet = added_up.sheet.encode("utf-8", "replace").decode("utf-8")
        if errors:
            self.left_out.append((self.year, path, added_up.competition))
        competition = self.archive.competition(self.year, added_up.competition)
        assert competition is not None
        counts = added_up.counts and not errors
        performances = [] if errors else unpack_performances(packed_performances, added_up)
        if not errors:
            self.tallies.setdefault(competition.id, []).append(added_up)
            self.performances.setdefault(competition.id, []).extend(performances)
        date = added_up.date.isoformat() if added_up.date else None
        ground, weather, notes, source, reference, people = facts
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
                    role, None if strikes is None else pack(strikes), per_inning, struck, points,
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
        born = self.archive.register.birth_years
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
                for row in strikers(self.performances.get(competition.id, []), born, rules)
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
