"""The sheets of seasons: what tells them apart, what they say, and those that precede a draft."""

import datetime
import json
from collections.abc import Iterable, Iterator, Sequence
from sqlite3 import Connection
from typing import NamedTuple

from riesbuch.folder.archive import read_bytes, rules_by_key
from riesbuch.folder.club_folder import ClubFolder
from riesbuch.index.index import Index
from riesbuch.index.team_seasons import ROWS_OF_SIDES, TOOK_PART
from riesbuch.text.sheet import read_sheet
from riesbuch.trade.appointments import Recorded
from riesbuch.trade.ids import CompetitionId, PartId, PlayerId, SheetId, SideName, TeamId
from riesbuch.trade.match import Depth, Match, Outcome, Side
from riesbuch.trade.season import Meeting
from riesbuch.trade.strikes import StrikeKind


class SheetOnRecord(NamedTuple):
    """What tells a match from others, and the source's reference."""

    sheet: SheetId
    competition: str | None
    date: datetime.date | None
    home: str | None
    away: str | None
    round: int | None
    reference: str | None
    part: str | None = None

    @property
    def pair(self) -> frozenset[str | None]:
        return frozenset((self.home, self.away))


def known_sheets(
    connection: Connection, folder: ClubFolder, years: Sequence[int]
) -> list[SheetOnRecord]:
    """All sheets of these seasons that can be read; ``connection`` is to their tables."""
    found = []
    listed: set[str] = set()
    for year in years:
        for path, sheet, competition, date, *others in connection.execute(
            "SELECT path, sheet, competition, date, home, away, round, reference, part"
            " FROM matches WHERE season = ?",
            (year,),
        ):
            listed.add(path)
            found.append(SheetOnRecord(SheetId(sheet), competition, _day(date), *others))
        for path in folder.sheet_files(year):
            # A sheet without a rule set adds up to nothing, and is in no table.
            if folder.relative(path) not in listed:
                found += _read(folder, year, folder.relative(path))
    return sorted(found, key=lambda known: known.sheet)


def _read(folder: ClubFolder, year: int, relative: str) -> Iterable[SheetOnRecord]:
    path = folder.root / relative
    content, _ = read_bytes(folder, path)
    sheet = SheetId(f"{year}/{path.stem}")
    by_rules = rules_by_key(folder, year)
    match = read_sheet(content, sheet, year, by_rules).match if content is not None else None
    if match is not None:
        yield known_as(match)


def known_as(match: Match) -> SheetOnRecord:
    reference = match.source.reference if match.source else None
    teams = match.home.team, match.away.team
    return SheetOnRecord(
        match.sheet, match.competition, match.date, *teams, match.round, reference, match.part
    )


def recorded_sheets(connection: Connection, season: int) -> list[Recorded[None]]:
    """What the season's sheets say of when teams meet. Those that were laid out and not filled in
    yet enter nothing."""
    found = []
    query = (
        "SELECT competition, round, date, home, away, kept_out OR outcome IN ('postponed',"
        " 'annulled'), part, outcome, moved_to FROM matches"
        " WHERE season = ? AND NOT draft ORDER BY sheet"
    )
    for (competition, number, written, home, away, is_void, part, outcome, moved_to,
         ) in connection.execute(query, (season,)):  # fmt: skip
        new_day = _day(moved_to) if outcome == Outcome.POSTPONED else None
        meeting = Meeting(number, _day(written), home, away, bool(is_void), part)
        found.append(Recorded(competition, meeting, Outcome(outcome), new_day, None))
    return found


def _day(written: str | None) -> datetime.date | None:
    return datetime.date.fromisoformat(written) if written else None


class SideFigures(NamedTuple):
    """What a side adds up to, None where unknown; ``ries`` are its totals of each Ries."""

    points: int | None
    nummern: int | None
    ries: list[int | None] | None
    rank_points: int | None


class ResultOfSheet(NamedTuple):
    """A sheet without errors as it is decided; ``home`` and ``away`` are its sides' figures."""

    path: str
    sheet: SheetId
    winner: str | None
    decided_by: str | None
    is_draft: bool
    home: SideFigures
    away: SideFigures


def results_of_sheets(connection: Connection, season: int) -> Iterator[ResultOfSheet]:
    """Of all the season's sheets without errors."""
    for path, sheet, winner, decided_by, draft, *figures in connection.execute(
        "SELECT m.path, m.sheet, m.winner, m.decided_by, m.draft, h.points, h.nummern, h.ries,"
        " h.rank_points, a.points, a.nummern, a.ries, a.rank_points FROM matches AS m JOIN sides AS"
        " h ON h.season = m.season AND h.sheet = m.sheet AND h.side = 'home' JOIN sides AS a ON"
        " a.season = m.season AND a.sheet = m.sheet AND a.side = 'away' WHERE m.season = ? AND NOT"
        " m.errors ORDER BY m.sheet",
        (season,),
    ):
        home, away = _figures(*figures[:4]), _figures(*figures[4:])
        yield ResultOfSheet(path, SheetId(sheet), winner, decided_by, bool(draft), home, away)


def _figures(
    points: int | None, nummern: int | None, ries: str | None, rank_points: int | None
) -> SideFigures:
    return SideFigures(points, nummern, json.loads(ries) if ries is not None else None, rank_points)


class SheetOfMatch(NamedTuple):
    """A sheet; ``path`` is relative to the folder."""

    sheet: SheetId
    path: str
    competition: CompetitionId | None
    round: int | None
    date: datetime.date | None
    outcome: Outcome
    moved_to: datetime.date | None
    is_draft: bool
    part: PartId | None

    @property
    def is_to_be_replayed(self) -> bool:
        """Whether the match may have another sheet."""
        return self.outcome in (Outcome.POSTPONED, Outcome.ANNULLED)


_NOT_PLAYED = (Outcome.POSTPONED.value, Outcome.FORFEITED.value)
_WITH_NAMES = (Depth.STRIKES.value, Depth.PLAYERS.value)


class Precedents:
    """The sheets of all seasons as they are when it is made."""

    def __init__(self, folder: ClubFolder, index: Index) -> None:
        self._folder = folder
        self._ask = index.connection().execute

    def recorded(self, year: int, home: TeamId, away: TeamId) -> list[SheetOfMatch]:
        """The sheets of that season in which ``home`` receives ``away``, by date."""
        rows = self._ask(
            "SELECT sheet, path, competition, round, date, outcome, draft, CASE outcome"
            " WHEN 'postponed' THEN moved_to END, part FROM matches"
            " WHERE season = ? AND home = ? AND away = ? ORDER BY date, sheet",
            (year, home, away),
        ).fetchall()
        return [
            SheetOfMatch(
                SheetId(sheet),
                path,
                CompetitionId(competition) if competition else None,
                number,
                _day(date),
                Outcome(outcome),
                _day(moved_to),
                bool(draft),
                part,
            )
            for sheet, path, competition, number, date, outcome, draft, moved_to, part in rows
        ]

    def last_order(self, team: TeamId, until: datetime.date) -> tuple[Match, Side] | None:
        """The last match of ``team`` up to that day whose sheet names its players, and its side.
        A sheet of which nothing is entered yet tells of no match, unless there is no other."""
        blank: tuple[Match, Side] | None = None
        for sheet, name in self._sheets_with_names(team, until):
            match = self.match(sheet)
            if match is None:
                continue
            side = match.side(name)
            if side.player_points or not side.kinds <= {StrikeKind.BLANK}:
                return match, side
            blank = blank or (match, side)
        return blank

    def _sheets_with_names(
        self, team: TeamId, until: datetime.date
    ) -> Iterator[tuple[SheetId, SideName]]:
        rows = self._ask(
            "SELECT sides.sheet, side FROM sides JOIN matches ON matches.sheet = sides.sheet"
            " WHERE sides.team = ? AND depth IN (?, ?) AND outcome NOT IN (?, ?) AND date <= ?"
            " ORDER BY date DESC, round DESC, sides.sheet DESC",
            (team, *_WITH_NAMES, *_NOT_PLAYED, until.isoformat()),
        ).fetchall()
        for sheet, side in rows:
            yield SheetId(sheet), "home" if side == "home" else "away"

    def playing_elsewhere(
        self, date: datetime.date, teams: Sequence[TeamId]
    ) -> dict[PlayerId, TeamId]:
        """Who plays that day for a team that is none of ``teams``."""
        rows = self._ask(
            "SELECT p.player, p.team FROM player_matches AS p JOIN matches AS m ON m.sheet ="
            f" p.sheet WHERE m.date = ? AND m.outcome NOT IN (?, ?) AND {TOOK_PART}"
            " ORDER BY m.sheet, p.side, p.seat",
            (date.isoformat(), *_NOT_PLAYED),
        ).fetchall()
        found: dict[PlayerId, TeamId] = {}
        for player, team in rows:
            if team is not None and team not in teams:
                found.setdefault(PlayerId(player), TeamId(team))
        return found

    def struck_later(
        self,
        team: TeamId,
        others: Sequence[TeamId],
        season: int,
        before: datetime.date | None,
    ) -> dict[PlayerId, TeamId]:
        """Whose last match of the season, before that day, was for one of ``others``, and for
        which; of two matches of a day that for ``team`` is the last."""
        marks = ", ".join("?" * (len(others) + 1))
        rows = self._ask(
            f"SELECT r.player, s.team FROM {ROWS_OF_SIDES} WHERE s.team IN ({marks}) AND"
            " m.season = ? AND m.counts AND m.date < ? AND (r.strikes IS NOT NULL OR"
            " r.points IS NOT NULL) ORDER BY m.date, s.team = ?, m.sheet",
            (team, *others, season, before.isoformat() if before else "9999", team),
        ).fetchall()
        last = {PlayerId(player): TeamId(of) for player, of in rows}
        return {player: of for player, of in last.items() if of != team}

    def recent_players(self, teams: Iterable[TeamId], since: int) -> frozenset[PlayerId]:
        """Who stands in a sheet of one of ``teams`` from the season ``since`` on."""
        found: set[PlayerId] = set()
        for team in teams:
            rows = self._ask(
                "SELECT DISTINCT player FROM player_matches WHERE team = ? AND season >= ?",
                (team, since),
            )
            found.update(PlayerId(player) for (player,) in rows)
        return frozenset(found)

    def match(self, sheet: SheetId) -> Match | None:
        """The sheet as far as it can be read."""
        content = self._folder.content(self._folder.sheet_file(sheet))
        if content is None:
            return None
        year = int(sheet.partition("/")[0])
        return read_sheet(content, sheet, year, rules_by_key(self._folder, year)).match
