"""What the folder's sheets tell of a match to be drafted: those of the same match, the last ones
of its teams, and who plays elsewhere that day."""

import datetime
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from riesbuch.folder.club_folder import ClubFolder
from riesbuch.index.index import Index
from riesbuch.text.sheet import read_sheet
from riesbuch.trade.ids import CompetitionId, PlayerId, SheetId, SideName, TeamId
from riesbuch.trade.match import Depth, Match, Outcome, Side
from riesbuch.trade.strikes import StrikeKind


class RecordedMatch(NamedTuple):
    """A sheet; ``path`` is relative to the folder."""

    sheet: SheetId
    path: str
    competition: CompetitionId | None
    round: int | None
    date: datetime.date | None
    outcome: Outcome
    moved_to: datetime.date | None
    is_draft: bool

    @property
    def is_to_be_replayed(self) -> bool:
        """Whether the match may have another sheet."""
        return self.outcome in (Outcome.POSTPONED, Outcome.ANNULLED)


_NOT_PLAYED = (Outcome.POSTPONED.value, Outcome.FORFEITED.value)
_WITH_NAMES = (Depth.STRIKES.value, Depth.PLAYERS.value)


class Past:
    """The sheets of all seasons as they are when it is made."""

    def __init__(self, folder: ClubFolder, index: Index) -> None:
        self._folder = folder
        self._ask = index.connection().execute

    def recorded(self, year: int, home: TeamId, away: TeamId) -> list[RecordedMatch]:
        """The sheets of that season in which ``home`` receives ``away``, by date."""
        rows = self._ask(
            "SELECT sheet, path, competition, round, date, outcome, draft, CASE outcome"
            " WHEN 'postponed' THEN moved_to END FROM matches"
            " WHERE season = ? AND home = ? AND away = ? ORDER BY date, sheet",
            (year, home, away),
        ).fetchall()
        return [
            RecordedMatch(
                sheet=SheetId(sheet),
                path=path,
                competition=CompetitionId(competition) if competition else None,
                round=number,
                date=datetime.date.fromisoformat(date) if date else None,
                outcome=Outcome(outcome),
                moved_to=datetime.date.fromisoformat(moved_to) if moved_to else None,
                is_draft=bool(draft),
            )
            for sheet, path, competition, number, date, outcome, draft, moved_to in rows
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
        names: dict[str, SideName] = {"home": "home", "away": "away"}
        for sheet, side in rows:
            yield SheetId(sheet), names[side]

    def playing_elsewhere(
        self, date: datetime.date, teams: Sequence[TeamId]
    ) -> dict[PlayerId, TeamId]:
        """Who plays that day for a team that is none of ``teams``."""
        rows = self._ask(
            "SELECT player, team FROM player_matches JOIN matches"
            " ON matches.sheet = player_matches.sheet"
            " WHERE matches.date = ? AND outcome NOT IN (?, ?)"
            " AND (role = 'points' OR strikes IS NOT NULL) ORDER BY matches.sheet, side, seat",
            (date.isoformat(), *_NOT_PLAYED),
        ).fetchall()
        found: dict[PlayerId, TeamId] = {}
        for player, team in rows:
            if team is not None and team not in teams:
                found.setdefault(PlayerId(player), TeamId(team))
        return found

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
        try:
            content = self._folder.read(self._folder.sheet_file(sheet))
        except OSError:
            return None
        return read_sheet(content, sheet, int(sheet.partition("/")[0])).match
