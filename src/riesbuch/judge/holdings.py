"""What the checks beyond one sheet look at: the archive, and what sheets say of others."""

import datetime
from collections.abc import Iterator, Mapping
from itertools import chain
from typing import NamedTuple

from riesbuch.folder.archive import Archive
from riesbuch.trade.ids import (
    ClubId,
    CompetitionId,
    PartId,
    PlayerId,
    Position,
    SheetId,
    SideName,
    TeamId,
)
from riesbuch.trade.match import Match, Outcome
from riesbuch.trade.problems import Place, Problem, Severity, finding
from riesbuch.trade.strikes import StrikeKind


class Mention(NamedTuple):
    """A player named in a sheet. ``plays`` is False for a captain or one who made replacement
    strikes, named again in a row of their own."""

    player: PlayerId
    side: SideName
    position: Position
    plays: bool


class Mentions(NamedTuple):
    """Those of a sheet, side by side and column by column, since there are hundreds of thousands:
    the ``players``, how many of them, the first, are ``of_home``, the ``lines_and_columns`` where
    they stand, in turn, and the indexes of those ``not_playing``."""

    players: tuple[PlayerId, ...]
    of_home: int
    lines_and_columns: tuple[int, ...]
    not_playing: tuple[int, ...]

    @property
    def playing(self) -> list[PlayerId]:
        found = [*self.players]
        for index in reversed(self.not_playing):
            del found[index]
        return found

    def one_by_one(self) -> Iterator[Mention]:
        places = zip(self.lines_and_columns[::2], self.lines_and_columns[1::2], strict=True)
        for index, (player, position) in enumerate(zip(self.players, places, strict=True)):
            side: SideName = "home" if index < self.of_home else "away"
            yield Mention(player, side, position, index not in self.not_playing)


class ClubMention(NamedTuple):
    club: ClubId
    position: Position


class Agreement(NamedTuple):
    """The clubs that agreed to a correction."""

    clubs: tuple[ClubMention, ...]
    position: Position


class SheetEntry(NamedTuple):
    """``path`` is the file's, relative to the folder. ``positions`` has those of competition,
    round, date, the two teams and, where there are such, the part and the day that the match was
    moved to."""

    path: str
    sheet: SheetId
    season: int
    competition: CompetitionId | None
    round: int | None
    date: datetime.date | None
    outcome: Outcome
    home: TeamId | None
    away: TeamId | None
    is_draft: bool
    mentions: Mentions
    positions: Mapping[str, Position]
    agreements: tuple[Agreement, ...] = ()
    moved_to: datetime.date | None = None
    part: PartId | None = None

    def team(self, side: SideName) -> TeamId | None:
        return self.home if side == "home" else self.away


class Holdings(NamedTuple):
    """The archive with what is known of its sheets, in the order of their paths. ``unread`` are
    those sheets that are there but could not be read; no check reports what they might hold."""

    archive: Archive
    entries: tuple[SheetEntry, ...]
    unread: frozenset[SheetId] = frozenset()


_ENTRY_PLACES = ("competition", "round", "date", "home.team", "away.team")
_OTHER_PLACES = ("part", "moved_to")


def _mentions(match: Match) -> Mentions:
    players: list[PlayerId] = []
    positions: list[Position] = []
    not_playing: list[int] = []
    of_home = 0
    all_took_part = StrikeKind.NOT_STRUCK not in match.kinds and all(
        [any(shape) for traits in match.traits for shape in traits.shapes]
    )
    for name, side in match.sides:
        rows = side.individual_rows
        if not all_took_part:
            listed = enumerate(rows, len(players))
            not_playing += [index for index, row in listed if not row.took_part]
        if rows:
            of_rows, _, places, _ = zip(*rows, strict=True)
            players += of_rows
            positions += places
        players += [line.player for line in side.by_points]
        positions += [line.position for line in side.by_points]
        playing = len(players)
        players += [row.player for row in side.replacements]
        positions += [row.position for row in side.replacements]
        if side.captain is not None:
            players.append(side.captain)
            positions.append(match.position(f"{name}.captain"))
        not_playing += range(playing, len(players))
        if name == "home":
            of_home = len(players)
    return Mentions(
        tuple(players), of_home, tuple(chain.from_iterable(positions)), tuple(not_playing)
    )


def sheet_entry(path: str, match: Match) -> SheetEntry:
    return SheetEntry(
        path=path,
        sheet=match.sheet,
        season=match.season,
        competition=match.competition,
        round=match.round,
        date=match.date,
        outcome=match.outcome,
        home=match.home.team,
        away=match.away.team,
        is_draft=match.is_draft,
        mentions=_mentions(match),
        positions={place: match.position(place) for place in _ENTRY_PLACES}
        | {place: match.positions[place] for place in _OTHER_PLACES if getattr(match, place)},
        agreements=tuple(_agreements(match)),
        moved_to=match.moved_to,
        part=match.part,
    )


def _agreements(match: Match) -> Iterator[Agreement]:
    for number, correction in enumerate(match.corrections if match.whole else (), start=1):
        place = f"corrections.{number}.agreed"
        clubs = [
            ClubMention(ClubId(club), match.position(f"{place}.{index}"))
            for index, club in enumerate(correction.agreed, start=1)
        ]
        yield Agreement(tuple(clubs), match.position(place))


def problem_at(
    path: str,
    position: Position,
    code: str,
    said: str,
    hint: str = "",
    /,
    *,
    severity: Severity | None = None,
    related: tuple[Place, ...] = (),
    **values: object,
) -> Problem:
    """What is said, and the hint, are messages, or templates with gaps for the ``values``."""
    problem = finding(position, code, said, hint, **values).in_file(path)
    return problem._replace(severity=severity or problem.severity, related=related)
