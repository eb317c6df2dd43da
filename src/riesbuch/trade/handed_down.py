"""What is known of a season without its sheets: tables of teams and individuals, and titles."""

from collections.abc import Mapping
from dataclasses import field
from typing import Annotated, Literal

from riesbuch.trade.ids import CompetitionId, PlayerId, Positions, TeamId
from riesbuch.trade.keys import COMPETITION, Key, records, words
from riesbuch.trade.match import Source
from riesbuch.trade.messages import Message
from riesbuch.trade.record import record
from riesbuch.trade.season import CompetitionKind

Distinction = Literal["champion", "runner-up", "promoted", "relegated", "best-striker", "award"]


def _figure(column: str, heads: str) -> Key:
    return Key("number", column=column, heads=heads)


_RANK = Key("number", least=1, column="rank", heads="rang platz")
_POINTS = _figure("points", "punkte schlagpunkte pkt total")
_RANK_POINTS = _figure("rank points", "rangpunkte rp rank-points")
_TEAM = Key("identifier", column="identifier of the team: club and letter")
_PLAYER = Key("identifier", column="player", tells="player")
_COMPETITION_NAME = Key("text", column="name of the competition")
_KIND = Key("choice", choices=words(CompetitionKind), column="kind of competition")
_SOURCE = Key(
    "record", required=True, record=Source, what=Message("under `source`"), column="source_"
)


@record
class TableRow:
    """A team's row; None is not handed down. ``name`` is that of a team no club declares."""

    rank: Annotated[int | None, _RANK]
    team: Annotated[
        TeamId | None, _TEAM._replace(heads="mannschaft verein gesellschaft klub club sektion name")
    ]
    name: Annotated[str | None, Key("text", column="name of a team that no club declares")]
    played: Annotated[int | None, _figure("matches played", "spiele sp gespielt matches")]
    won: Annotated[int | None, _figure("matches won", "siege s gewonnen gew wins")]
    drawn: Annotated[int | None, _figure("matches drawn", "unentschieden unent u remis draws")]
    lost: Annotated[int | None, _figure("matches lost", "niederlagen n verloren verl losses")]
    nummern: Annotated[int | None, _figure("Nummern conceded", "nummer nr nrn")]
    points: Annotated[int | None, _POINTS]
    rank_points: Annotated[int | None, _RANK_POINTS]
    positions: Positions = field(compare=False, repr=False)


@record
class HandedDownTable:
    """A table of teams; ``name`` and ``kind`` are for a competition that season.toml lacks."""

    competition: Annotated[CompetitionId, COMPETITION]
    name: Annotated[str | None, _COMPETITION_NAME]
    kind: Annotated[CompetitionKind | None, _KIND]
    source: Annotated[Source, _SOURCE]
    rows: Annotated[
        tuple[TableRow, ...],
        records(TableRow, Message("in a row of a table"), required=True),
    ]
    positions: Positions = field(compare=False, repr=False)


@record
class StrikerRow:
    """An individual's row; None is not handed down. ``name`` is that of somebody without a file,
    ``team_name`` that of a team no club declares."""

    rank: Annotated[int | None, _RANK]
    player: Annotated[PlayerId | None, _PLAYER]
    name: Annotated[str | None, Key("text", column="name of somebody without a file", tells="text")]
    team: Annotated[
        TeamId | None, _TEAM._replace(heads="gesellschaft mannschaft verein klub club sektion")
    ]
    team_name: Annotated[str | None, Key("text", column="name of a team that no club declares")]
    matches: Annotated[int | None, _figure("matches", "spiele sp")]
    strikes: Annotated[int | None, _figure("strikes", "streiche")]
    points: Annotated[int | None, _POINTS]
    best: Annotated[
        int | None,
        _figure("highest match points", "hoechstes-resultat bestes"),
    ]
    rank_points: Annotated[int | None, _RANK_POINTS]
    positions: Positions = field(compare=False, repr=False)


@record
class HandedDownStrikers:
    """A table of individuals; ``name`` and ``kind`` are as in `HandedDownTable`."""

    competition: Annotated[CompetitionId, COMPETITION]
    name: Annotated[str | None, _COMPETITION_NAME]
    kind: Annotated[CompetitionKind | None, _KIND]
    source: Annotated[Source, _SOURCE]
    rows: Annotated[
        tuple[StrikerRow, ...],
        records(StrikerRow, Message("in a row of a striker table"), required=True),
    ]
    positions: Positions = field(compare=False, repr=False)


@record
class Honour:
    """One distinction. ``name`` is who got it where neither a team nor a player of the register
    did; of an award it is the award's, and ``holder`` is who got it."""

    what: Annotated[
        Distinction, Key("choice", True, choices=words(Distinction), column="distinction")
    ]
    competition: Annotated[CompetitionId, COMPETITION]
    competition_name: Annotated[str | None, _COMPETITION_NAME]
    kind: Annotated[CompetitionKind | None, _KIND]
    team: Annotated[TeamId | None, _TEAM]
    player: Annotated[PlayerId | None, _PLAYER]
    name: Annotated[
        str | None, Key("text", column="name of who got it, or of the award", tells="text")
    ]
    holder: Annotated[str | None, Key("text", column="name of who got an award", tells="text")]
    source: Annotated[Source, _SOURCE]
    positions: Positions = field(compare=False, repr=False)

    @property
    def award(self) -> str | None:
        return self.name if self.what == "award" else None

    @property
    def holder_name(self) -> str | None:
        """Who got it, where it is neither a team nor a player of the register."""
        return self.holder if self.what == "award" else self.name or self.holder


@record
class HandedDown:
    """All that handed-down.toml says of a season."""

    tables: Annotated[
        tuple[HandedDownTable, ...],
        records(HandedDownTable, Message("in a table"), name="table"),
    ] = ()
    striker_tables: Annotated[
        tuple[HandedDownStrikers, ...],
        records(HandedDownStrikers, Message("in a striker table"), name="striker_table"),
    ] = ()
    honours: Annotated[
        tuple[Honour, ...],
        records(Honour, Message("in an honour"), name="honour"),
    ] = ()

    def competitions(self) -> Mapping[CompetitionId, tuple[str | None, CompetitionKind | None]]:
        """Name and kind, as far as they are given here, of each competition named here, in the
        order of the file."""
        found: dict[CompetitionId, tuple[str | None, CompetitionKind | None]] = {}
        named = [(each.competition, each.name, each.kind) for each in self.tables]
        named += [(each.competition, each.name, each.kind) for each in self.striker_tables]
        named += [(each.competition, each.competition_name, each.kind) for each in self.honours]
        for competition, name, kind in named:
            known = found.get(competition, (None, None))
            found[competition] = known[0] or name, known[1] or kind
        return found
