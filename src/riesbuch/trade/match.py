"""One match as it was written down. Nothing here is computed; see `riesbuch.trade.tally`.

Every record keeps the positions of its values in the file; positions are left out of equality,
so that two sheets that say the same are equal whatever their layout.
"""

import datetime
import re
from collections.abc import Iterator, Sequence
from dataclasses import field
from enum import StrEnum
from functools import cached_property
from itertools import chain
from typing import Annotated, NamedTuple

from riesbuch.trade.agreement import Correction, Seal
from riesbuch.trade.ids import (
    CompetitionId,
    PartId,
    PlayerId,
    Position,
    Positions,
    SheetId,
    SideName,
    TeamId,
    Winner,
)
from riesbuch.trade.keys import COMPETITION, Key, keys_of, records, words
from riesbuch.trade.messages import Message
from riesbuch.trade.record import record
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.strikes import Inning, Strike, StrikeKind


class Outcome(StrEnum):
    PLAYED = "played"
    FORFEITED = "forfeited"
    ABANDONED = "abandoned"
    POSTPONED = "postponed"
    ANNULLED = "annulled"


class Depth(StrEnum):
    """How much is known of a side."""

    STRIKES = "strikes"
    PLAYERS = "players"
    RIES = "ries"
    POINTS = "points"
    NONE = "none"


class SourceKind(StrEnum):
    PAPER_SHEET = "paper-sheet"
    NEWSPAPER = "newspaper"
    MINUTE_BOOK = "minute-book"
    LETTER = "letter"
    MEMORY = "memory"
    OTHER = "other"


class CellPositions(NamedTuple):
    """Where the innings of a row stand, and the strikes of each."""

    innings: tuple[Position, ...]
    strikes: tuple[tuple[Position, ...], ...]


class RowText(NamedTuple):
    """A row as it stands within its line, spaced as ``[[18, 20], [17, 19]]``: all its positions
    follow from where it begins."""

    text: str
    position: Position

    def cell_positions(self) -> CellPositions:
        line, column = self.position
        innings: list[Position] = []
        strikes: list[tuple[Position, ...]] = []
        column += 1
        for inning in self.text[2:-2].split("], ["):
            innings.append((line, column))
            column += 1
            of_inning = []
            for written in inning.split(", "):
                of_inning.append((line, column))
                column += len(written) + 2
            strikes.append(tuple(of_inning))
            column += 1
        return CellPositions(tuple(innings), tuple(strikes))


class ShortRow(NamedTuple):
    """A row as it stands typed short, ``18 20 17 19``, with so many strikes in an inning; or as
    ``_`` alone for all ``ries_count`` blanks of one that is still to be entered."""

    text: str
    position: Position
    strikes_per_inning: int
    ries_count: int

    def cell_positions(self) -> CellPositions:
        line, column = self.position
        strikes = [(line, column + found.start()) for found in re.finditer(r"\S+", self.text)]
        if self.text == "_":
            strikes = [self.position] * self.ries_count
        size = self.strikes_per_inning
        innings = [tuple(strikes[at : at + size]) for at in range(0, len(strikes), size)]
        return CellPositions(tuple([inning[0] for inning in innings]), tuple(innings))


class _RowFields(NamedTuple):
    player: PlayerId
    innings: tuple[Inning, ...]
    position: Position
    cells: CellPositions | RowText | ShortRow


class Row(_RowFields):
    """One player's strikes, inning by inning. Also a replacement row, where ``player`` is who
    made the strikes. A tuple, since there are hundreds of thousands."""

    __slots__ = ()

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Row) and self[:2] == other[:2]

    def __hash__(self) -> int:
        return hash(self[:2])

    @property
    def inning_positions(self) -> tuple[Position, ...]:
        return self._cell_positions.innings

    @property
    def strike_positions(self) -> tuple[tuple[Position, ...], ...]:
        """Of each inning those of its strikes."""
        return self._cell_positions.strikes

    @property
    def _cell_positions(self) -> CellPositions:
        return self.cells if isinstance(self.cells, CellPositions) else self.cells.cell_positions()

    @property
    def strikes(self) -> tuple[Strike, ...]:
        """All strikes in the order of the Ries totals."""
        return tuple(chain.from_iterable(self.innings))

    @property
    def kinds(self) -> frozenset[StrikeKind]:
        """The kinds of strikes there are in the row."""
        return frozenset[StrikeKind]().union(*[inning.kinds for inning in self.innings])

    @property
    def struck(self) -> tuple[int, ...]:
        """The points of the strikes that are struck and known."""
        struck: tuple[int, ...] = ()
        for inning in self.innings:
            struck += inning.struck
        return struck

    @property
    def total(self) -> int | None:
        """The points of all strikes, or None while one of them is not known."""
        total = 0
        for inning in self.innings:
            if inning.total is None:
                return None
            total += inning.total
        return total

    @property
    def nummern(self) -> int:
        """How many of the strikes are Nummern."""
        return sum([len(inning.nummern) for inning in self.innings])

    @property
    def took_part(self) -> bool:
        """A row whose strikes are all `x` did not take part."""
        for inning in self.innings:  # noqa: SIM110  (asked by the million)
            if inning.is_played:
                return True
        return False


class RowTraits(NamedTuple):
    """What there is in several rows: the ``kinds`` of strikes, the ``highest``, the points of each
    of the ``nummern``, and as ``shapes`` the numbers of strikes in the innings of a row."""

    kinds: frozenset[StrikeKind]
    highest: int
    nummern: tuple[int, ...]
    shapes: frozenset[tuple[int, ...]]


_NO_ROWS = RowTraits(frozenset(), 0, (), frozenset())


def traits_of(rows: Sequence[Row]) -> RowTraits:
    if not rows:
        return _NO_ROWS
    in_rows = [row.innings for row in rows]
    traits = [inning.traits for innings in in_rows for inning in innings]
    if not traits:
        return _NO_ROWS._replace(shapes=frozenset([()]))
    kinds, highest, nummern, sizes = zip(*traits, strict=True)
    if len(set(sizes)) == 1:
        shapes = {sizes[:1] * number for number in set(map(len, in_rows))}
    else:
        shapes = {tuple(map(len, innings)) for innings in in_rows}
    return RowTraits(
        frozenset[StrikeKind]().union(*set(kinds)),
        max(highest),
        tuple(chain.from_iterable(nummern)),
        frozenset(shapes),
    )


@record
class PlayerPoints:
    """The match points of a player whose strikes are not known."""

    player: PlayerId
    points: int | None
    position: Position = field(compare=False)


_RIES = Key("ries", decides=True)
_DECIDING_NUMBER = Key("number", decides=True)
_DECIDING_ROWS = Key("rows", decides=True, block=True)


class PaperTotals(NamedTuple):
    """Totals as written on the signed paper; ``nummern`` are those the side conceded."""

    ries: Annotated[
        tuple[int, ...] | None, _RIES._replace(column="Ries totals as written on the paper")
    ] = None
    points: Annotated[
        int | None, _DECIDING_NUMBER._replace(column="points as written on the paper")
    ] = None
    nummern: Annotated[
        int | None, _DECIDING_NUMBER._replace(column="Nummern as written on the paper")
    ] = None


class Replacement(NamedTuple):
    """The keys of replacement strikes, which are read as a row."""

    by: Annotated[PlayerId, Key("identifier", required=True)]
    strikes: Annotated[Row, Key("written-row", required=True, decides=True)]


@record
class Side:
    """One side of a match in whatever depth is known; ``nummern`` are those it conceded. A Ries
    total that is not known is None. ``named`` are players whose match points are known though the
    others' are not.

    ``incomplete`` is whether a row of it could not be read, so that nothing can be added up."""

    team: Annotated[
        TeamId | None,
        Key(
            "identifier",
            True,
            decides=True,
            column="identifier of the team: club and letter",
            heads="mannschaft club klub verein gesellschaft",
        ),
    ]
    captain: Annotated[
        PlayerId | None,
        Key("identifier", column="player", tells="player", heads="kapitaen spielfuehrer"),
    ] = None
    rows: Annotated[tuple[Row, ...] | None, _DECIDING_ROWS._replace(name="strikes")] = None
    player_points: Annotated[
        tuple[PlayerPoints, ...] | None, Key("player-points", decides=True, block=True)
    ] = None
    ries: Annotated[tuple[int | None, ...] | None, _RIES._replace(heads="ries-totale")] = None
    points: Annotated[
        int | None,
        _DECIDING_NUMBER._replace(heads="punkte schlagpunkte total resultat ergebnis result pkt"),
    ] = None
    nummern: Annotated[int | None, _DECIDING_NUMBER._replace(heads="nummer nr nrn")] = None
    named: Annotated[tuple[PlayerPoints, ...], Key("player-points", decides=True, block=True)] = ()
    replacements: Annotated[
        tuple[Row, ...], Key("replacements", record=Replacement, decides=True, block=True)
    ] = ()
    supernumeraries: Annotated[tuple[Row, ...], _DECIDING_ROWS] = ()
    paper: Annotated[
        PaperTotals | None,
        Key(
            "record",
            record=PaperTotals,
            decides=True,
            what=Message("under `paper`"),
            column="paper_",
        ),
    ] = None
    incomplete: bool = False

    @property
    def depth(self) -> Depth:
        if self.rows or self.incomplete:
            return Depth.STRIKES
        if self.player_points:
            return Depth.PLAYERS
        if self.whole_ries is not None:
            return Depth.RIES
        if self.points is not None:
            return Depth.POINTS
        return Depth.NONE

    @property
    def whole_ries(self) -> tuple[int, ...] | None:
        """The Ries totals, where all of them are known."""
        known = tuple(total for total in self.ries or () if total is not None)
        return known if self.ries is not None and len(known) == len(self.ries) else None

    @property
    def by_points(self) -> tuple[PlayerPoints, ...]:
        """Everybody whose match points alone are known: all of the side, or the few named."""
        return self.named if self.player_points is None else self.player_points + self.named

    @cached_property
    def team_rows(self) -> tuple[Row, ...]:
        """The rows that count for the team: the batting order and the replacement strikes."""
        return (self.rows or ()) + self.replacements

    @property
    def individual_rows(self) -> tuple[Row, ...]:
        """The rows that count for their players: the batting order and the supernumeraries."""
        return (self.rows or ()) + self.supernumeraries

    @cached_property
    def traits(self) -> RowTraits:
        """Those of the rows that count for the team."""
        return traits_of(self.team_rows)

    @property
    def kinds(self) -> frozenset[StrikeKind]:
        """The kinds of strikes there are in the rows that count for the team."""
        return self.traits.kinds

    def holds(self, kind: StrikeKind) -> bool:
        """Whether a strike of ``kind`` stands in a row that counts for the team."""
        return kind in self.kinds


PLAYER_KEYS = tuple(key.name for key in keys_of(Side) if key.form in ("rows", "player-points"))
"""The keys of a side with an entry for each player."""


class Source(NamedTuple):
    kind: Annotated[
        SourceKind | None,
        Key(
            "choice",
            True,
            choices=words(SourceKind),
            column="kind of source",
            heads="art-der-quelle",
        ),
    ]
    reference: Annotated[
        str | None,
        Key(
            "text", column="where it is found", tells="text", heads="source quelle beleg fundstelle"
        ),
    ] = None
    transcribed_by: Annotated[
        str | None,
        Key("text", column="who copied it", tells="text", heads="abgeschrieben-von erfasst-von"),
    ] = None
    on: Annotated[datetime.date | None, Key("date", column="when it was copied")] = None


@record
class Doubt:
    """What whoever copied the sheet was not sure of."""

    at: Annotated[str, Key("text", required=True, column="place in the sheet", tells="text")]
    note: Annotated[str, Key("text", required=True, column="the doubt", tells="text")]
    position: Position = field(compare=False)


DOUBT = Key("doubt", record=Doubt, what=Message("in a doubt"))
_SIDE = Key("side", required=True, decides=True, record=Side, block=True)


@record
class Match:
    """A match sheet. ``competition``, ``date`` and a side's ``team`` are None only where the
    sheet's own value was missing or could not be read, which is then a reported error.
    ``whole`` is whether everything in the file could be read. Rows typed short were ``read_by``
    those rules; ``blank_totals`` are where `_` stands for a total of the paper."""

    sheet: SheetId
    season: int
    competition: Annotated[
        CompetitionId | None,
        COMPETITION._replace(decides=True, heads="wettbewerb liga league meisterschaft klasse"),
    ]
    part: Annotated[
        PartId | None,
        Key("identifier", decides=True, column="part of the competition", heads="teil durchgang"),
    ] = None
    round: Annotated[
        int | None, Key("number", least=1, column="round", heads="runde spielrunde spieltag")
    ] = None
    date: Annotated[
        datetime.date | None,
        Key("date", True, True, column="day", heads="datum tag day spieldatum wann"),
    ]
    ground: Annotated[
        str | None,
        Key("text", column="where it was played", tells="text", heads="platz ort spielort place"),
    ] = None
    weather: Annotated[
        str | None, Key("text", column="weather", tells="text", heads="wetter witterung")
    ] = None
    notes: Annotated[
        str | None,
        Key(
            "text",
            column="remarks",
            tells="text",
            heads="note bemerkung bemerkungen notiz notizen remarks",
        ),
    ] = None
    strikes_first: Annotated[
        SideName, Key("choice", choices=words(SideName), column="who strikes first")
    ] = "home"
    outcome: Annotated[
        Outcome,
        Key(
            "choice",
            choices=words(Outcome),
            decides=True,
            column="how it came out",
            heads="ausgang",
        ),
    ] = Outcome.PLAYED
    awarded: Annotated[
        SideName | None,
        Key(
            "choice",
            choices=words(SideName),
            decides=True,
            column="to which side",
            heads="zugesprochen",
        ),
    ] = None
    moved_to: Annotated[
        datetime.date | None, Key("date", column="new day of a postponed match")
    ] = None
    counts: Annotated[
        bool, Key("yes-no", decides=True, column="false where it is kept out of the tables")
    ] = True
    winner: Annotated[
        Winner | None, Key("choice", choices=words(Winner), decides=True, heads="sieger gewinner")
    ] = None
    referees: Annotated[
        tuple[str, ...],
        Key(
            "list",
            of=Key("text"),
            what=Message("names"),
            column="names of the referees",
            tells="text",
        ),
    ] = ()
    home: Annotated[Side, _SIDE]
    away: Annotated[Side, _SIDE]
    source: Annotated[
        Source | None,
        Key("record", record=Source, what=Message("under `source`"), column="source_"),
    ] = None
    doubts: Annotated[
        tuple[Doubt, ...], Key("list", of=DOUBT, what=Message("doubts"), block=True)
    ] = ()
    corrections: Annotated[
        tuple[Correction, ...],
        records(
            Correction,
            Message("in a correction"),
            decides=None,
            what=Message("corrections"),
            block=True,
        ),
    ] = ()
    seal: Annotated[
        Seal | None,
        Key("record", decides=None, record=Seal, what=Message("under `seal`"), column="seal_"),
    ] = None
    whole: bool = field(default=True, compare=False)
    read_by: RuleSet = field(default=RuleSet(), compare=False, repr=False)
    blank_totals: tuple[Position, ...] = field(default=(), compare=False, repr=False)
    positions: Positions = field(compare=False, repr=False)

    @cached_property
    def all_rows(self) -> tuple[Row, ...]:
        """Every row of the sheet, in the order of `placed_rows`."""
        home, away = self.home, self.away
        return (
            *home.individual_rows, *home.replacements, *away.individual_rows, *away.replacements,
        )  # fmt: skip

    @cached_property
    def traits(self) -> tuple[RowTraits, ...]:
        """Those of each side's rows, and of the supernumeraries'."""
        home, away = self.home, self.away
        supernumeraries = home.supernumeraries + away.supernumeraries
        return home.traits, away.traits, traits_of(supernumeraries)

    @cached_property
    def kinds(self) -> frozenset[StrikeKind]:
        """The kinds of strikes there are in the sheet."""
        return frozenset[StrikeKind]().union(*[traits.kinds for traits in self.traits])

    @cached_property
    def placed_rows(self) -> tuple[tuple[str, Row], ...]:
        """Every row with its place: ``home.strikes.aebi-ruedi``, of a replacement
        ``home.replacements.1.strikes``."""
        placed = []
        for name, side in self.sides:
            placed += [(f"{name}.strikes.{row.player}", row) for row in side.rows or ()]
            placed += [
                (f"{name}.supernumeraries.{row.player}", row) for row in side.supernumeraries
            ]
            placed += [
                (f"{name}.replacements.{number}.strikes", row)
                for number, row in enumerate(side.replacements, start=1)
            ]
        return tuple(placed)

    @property
    def sides(self) -> tuple[tuple[SideName, Side], tuple[SideName, Side]]:
        return ("home", self.home), ("away", self.away)

    def side(self, name: SideName) -> Side:
        return self.home if name == "home" else self.away

    @cached_property
    def is_draft(self) -> bool:
        """Whether a strike, or a total of the paper, is still to be entered."""
        return StrikeKind.BLANK in self.kinds or bool(self.blank_totals)

    @property
    def source_kind(self) -> str:
        """Empty where the sheet does not say where it comes from."""
        return self.source.kind.value if self.source and self.source.kind else ""

    def blank_positions(self) -> Iterator[Position]:
        """Where `_` stands for a strike, in the order of the file's sides and rows."""
        for _, side in self.sides:
            for row in side.team_rows + side.supernumeraries:
                for inning, positions in zip(row.innings, row.strike_positions, strict=True):
                    for strike, position in zip(inning, positions, strict=True):
                        if strike.kind is StrikeKind.BLANK:
                            yield position

    def position(self, place: str) -> Position:
        """Position of ``place``, or of the nearest place that encloses it and is written down."""
        while place not in self.positions:
            place = place.rpartition(".")[0]
            if not place:
                return 1, 1
        return self.positions[place]
