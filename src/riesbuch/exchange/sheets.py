"""Written matches, and everybody in them known, the records that sheets are written from."""

import datetime
import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from riesbuch.trade.ids import (
    LONGEST_IDENTIFIER,
    CompetitionId,
    PlayerId,
    SheetId,
    SideName,
    TeamId,
    Winner,
)
from riesbuch.trade.keys import names_of
from riesbuch.trade.match import (
    CellPositions,
    Match,
    Outcome,
    PaperTotals,
    PlayerPoints,
    Row,
    Side,
    Source,
    SourceKind,
)
from riesbuch.trade.messages import Message
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.strikes import UNREADABLE, Inning, StrikeKind, read_strike


class Fault(NamedTuple):
    """Something in the file that cannot be right. ``row`` counts as the spreadsheet does,
    ``cell`` within the row from 0."""

    row: int
    cell: int
    message: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenPlayer:
    """``strikes`` are inning by inning in their one spelling, or flat where ``in_innings`` is
    False; what was written and is no strike is "". ``role`` is team, supernumerary, replacement,
    named."""

    row: int
    name: str
    role: str
    points: int | None
    strikes: tuple[tuple[str, ...], ...] | None
    in_innings: bool


@dataclass(slots=True, kw_only=True)
class WrittenSide:
    team: str
    captain: str | None = None
    points: int | None = None
    nummern: int | None = None
    ries: tuple[int, ...] | None = None
    players: list[WrittenPlayer] = field(default_factory=list)


@dataclass(slots=True, kw_only=True)
class WrittenMatch:
    """A match as a row or a group of rows has it. ``date`` is None only where a question is open
    or a fault was told. ``texts`` are those of `TEXTS` that are given."""

    rows: list[int]
    season: int | None
    competition: str
    date: datetime.date | None
    round: int | None
    home: WrittenSide
    away: WrittenSide
    outcome: Outcome = Outcome.PLAYED
    awarded: str | None = None
    winner: str | None = None
    source_kind: SourceKind | None = None
    texts: dict[str, str] = field(default_factory=dict)

    @property
    def row(self) -> int:
        return self.rows[0]


_ROLES = {"supernumerary": Message("supernumerary"), "replacement": Message("replacement")}
_NOWHERE = (1, 1)
_NO_CELLS = CellPositions((), ())


class NamesOfMatch(NamedTuple):
    """Who is meant in one written match; ``players`` by the row that names them, ``captains`` by
    the side."""

    competition: CompetitionId
    home: TeamId
    away: TeamId
    players: Mapping[int, PlayerId]
    captains: Mapping[SideName, PlayerId]


def _new_row(player: PlayerId, innings: Sequence[Sequence[str]]) -> Row:
    """A row of strikes in their spelling, that stands in no file yet."""
    read = tuple(
        Inning([read_strike(strike) or UNREADABLE for strike in inning]) for inning in innings
    )
    return Row._make((player, read, _NOWHERE, _NO_CELLS))


def sheet_stem(date: datetime.date, home: str, away: str) -> str:
    """The usual name of a sheet's file, cut where it would be too long."""
    stem = f"{date}-{home}-{away}"
    if len(stem) <= LONGEST_IDENTIFIER - 4:
        return stem
    half = (LONGEST_IDENTIFIER - 4 - len(f"{date}-") - 1) // 2
    return f"{date}-{home[:half].strip('-')}-{away[:half].strip('-')}"


def _fingerprint(written: WrittenMatch) -> str:
    """The same for the same match of the same file, wherever its row has gone and whatever has
    been corrected in its sheet."""
    said = (
        written.competition, written.date, written.round, written.home.team, written.away.team,
        *filter(None, [written.texts.get("part")]),
    )  # fmt: skip
    return hashlib.sha256("|".join(map(str, said)).encode()).hexdigest()[:8]


def _result(written: WrittenMatch) -> tuple[SideName | None, Winner | None]:
    """To whom the match is awarded, and who won."""
    sides: dict[str | None, SideName] = {"home": "home", "away": "away"}
    awarded, side = sides.get(written.awarded), sides.get(written.winner)
    winner: Winner | None = "draw" if written.winner == "draw" else side
    if written.outcome is Outcome.FORFEITED and awarded is None and winner != "draw":
        return side, None
    return awarded, winner


class Builder:
    """Makes one match. ``remarks`` say what of the file a sheet cannot hold."""

    def __init__(self, written: WrittenMatch, names: NamesOfMatch, rules: RuleSet) -> None:
        self.written = written
        self.names = names
        self.rules = rules
        self.is_unread = False
        self.faults: list[Fault] = []
        self.remarks: list[str] = []

    def match(self, kind: SourceKind, file: str) -> Match | None:
        """None where there are faults, or a strike is none. ``kind`` is the source's where the row
        does not say it; ``file`` is named as the reference, with the row and the match's
        fingerprint."""
        written, names = self.written, self.names
        home = self.side("home", written.home, names.home)
        away = self.side("away", written.away, names.away)
        if self.faults or self.is_unread or written.date is None or written.season is None:
            return None
        place = f"{file}, row {written.row} ({_fingerprint(written)})"
        awarded, winner = _result(written)
        of_match: dict[str, Any] = {
            key: text for key, text in written.texts.items() if key in names_of(Match)
        }
        reference = written.texts.get("reference")
        return Match(
            sheet=SheetId(f"{written.season}/{sheet_stem(written.date, names.home, names.away)}"),
            season=written.season,
            competition=names.competition,
            date=written.date,
            home=home,
            away=away,
            round=written.round,
            **of_match,
            outcome=written.outcome,
            source=Source(
                kind=written.source_kind or kind,
                reference=f"{reference}; {place}" if reference else place,
                transcribed_by=written.texts.get("transcribed_by"),
            ),
            positions={},
            awarded=awarded,
            winner=winner,
        )

    def fault(self, said: str, row: int, **values: object) -> None:
        self.faults.append(Fault(row, 0, Message.of(said, values)))

    def side(self, name: SideName, side: WrittenSide, team: TeamId) -> Side:
        captain = self.names.captains.get(name)
        # Whose row is ignored as decided, is nobody.
        side.players = [player for player in side.players if player.row in self.names.players]
        told = [player for player in side.players if player.strikes is not None]
        self.expect_once(side)
        if all(player.role == "named" and player.strikes is None for player in side.players):
            return Side(
                team=team,
                captain=captain,
                ries=side.ries,
                points=side.points if side.ries is None else None,
                nummern=side.nummern,
                named=self.points_of(side),
            )
        for player in side.players:
            if player.role == "named":
                self.fault(
                    "{name} is `named`, but of others of {team} strikes or points are known as of"
                    " a whole side – leave the role empty, or write `named` for each of them",
                    player.row,
                    name=player.name,
                    team=side.team,
                )
                return Side(team=team)
        if told and len(told) < len(side.players):
            untold = next(player for player in side.players if player.strikes is None)
            self.fault(
                "{name} has points only, but others of {team} have strikes – give the"
                " strikes of all, or the points of all",
                untold.row,
                name=untold.name,
                team=side.team,
            )
            return Side(team=team)
        if told:
            return self.by_strikes(side, team, captain)
        return self.by_points(side, team, captain)

    def expect_once(self, side: WrittenSide) -> None:
        seen: dict[tuple[PlayerId, bool], int] = {}
        for player in side.players:
            if player.role == "replacement":
                continue
            key = (self.names.players[player.row], player.role == "team")
            if key in seen:
                self.fault(
                    "{name} stands on this side in row {seen} already – delete one of the rows,"
                    " or name the one who is meant",
                    player.row,
                    name=player.name,
                    seen=seen[key],
                )
            seen.setdefault(key, player.row)

    def by_strikes(self, side: WrittenSide, team: TeamId, captain: PlayerId | None) -> Side:
        rows: dict[str, list[Row]] = {"team": [], "supernumerary": [], "replacement": []}
        for player in side.players:
            row = _new_row(self.names.players[player.row], self.innings(player))
            if player.points is not None and row.total is not None and row.total != player.points:
                self.fault(
                    "the strikes of {name} add up to {total}, but the points are {points} –"
                    " correct the one that is wrong, or leave the points out",
                    player.row,
                    name=player.name,
                    total=row.total,
                    points=player.points,
                )
            self.is_unread |= StrikeKind.UNREADABLE in row.kinds
            rows[player.role].append(row)
        paper = PaperTotals(ries=side.ries, points=side.points, nummern=side.nummern)
        return Side(
            team=team,
            captain=captain,
            rows=tuple(rows["team"]),
            supernumeraries=tuple(rows["supernumerary"]),
            replacements=tuple(rows["replacement"]),
            paper=paper if any(total is not None for total in paper) else None,
        )

    def innings(self, player: WrittenPlayer) -> Sequence[Sequence[str]]:
        assert player.strikes is not None
        if player.in_innings:
            return player.strikes
        (strikes,) = player.strikes or ((),)
        a_row, an_inning = self.rules.ries_count, self.rules.strikes_per_inning
        ended_early = self.written.outcome is Outcome.ABANDONED
        if len(strikes) != a_row and not (ended_early and len(strikes) < a_row):
            self.fault(
                "{name} has {strikes} strikes; the rule set `{rules}` has {a_row} – write x for"
                " those that were not struck, or choose another rule set",
                player.row,
                name=player.name,
                strikes=len(strikes),
                rules=self.rules.name,
                a_row=a_row,
            )
        return [strikes[at : at + an_inning] for at in range(0, len(strikes), an_inning)]

    def by_points(self, side: WrittenSide, team: TeamId, captain: PlayerId | None) -> Side:
        for player in side.players:
            if player.role != "team":
                self.fault(
                    "{name} is a {role} of whom no strikes are known – only beside strikes can a"
                    " sheet hold one; leave the row out, and say it in the notes",
                    player.row,
                    name=player.name,
                    role=_ROLES[player.role],
                )
        points = self.points_of(side)
        total = sum(known.points or 0 for known in points)
        ries = None if side.ries is None else sum(side.ries)
        for what, figure in ((Message("points"), side.points), (Message("Ries totals"), ries)):
            if figure is not None and figure != total:
                self.fault(
                    "the players of {team} have {total} points together, but the {what} say"
                    " {figure} – give all players, or write `named` in a column `role` of each of"
                    " the few that are known",
                    side.players[0].row,
                    team=side.team,
                    total=total,
                    what=what,
                    figure=figure,
                )
        if side.ries is not None:
            self.remarks.append(
                Message(
                    "row {row}: the Ries totals of {team} are not kept beside the points of"
                    " its players; a sheet has one or the other",
                    row=side.players[0].row,
                    team=side.team,
                )
            )
        return Side(team=team, captain=captain, player_points=points, nummern=side.nummern)

    def points_of(self, side: WrittenSide) -> tuple[PlayerPoints, ...]:
        return tuple(
            PlayerPoints(
                player=self.names.players[player.row], points=player.points or 0, position=_NOWHERE
            )
            for player in side.players
        )
