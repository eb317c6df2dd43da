"""Records to JSON and back. A payload is only ever read by the tool that wrote it, whose reading
is part of the index's signature, so fields go by position."""

import datetime
import json
from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property
from typing import Any, TypeVar

from riesbuch.folder.archive import RegisterReading
from riesbuch.index.packed import pack_problems, unpack_problems
from riesbuch.judge.entry import Agreement, ClubMention, Mention, SheetEntry
from riesbuch.trade.ids import PlayerId, Position
from riesbuch.trade.keys import Key, keys_of
from riesbuch.trade.match import Depth, Outcome
from riesbuch.trade.people import Club, Player, Register
from riesbuch.trade.strikers import Performance
from riesbuch.trade.tally import SideTally, Tally

_Record = TypeVar("_Record", Club, Player)

# Calling the named tuple itself takes several times as long.
_new: Any = tuple.__new__


def pack(data: object) -> str:
    return json.dumps(data, separators=(",", ":"))


def unpack(payload: str) -> Any:
    return json.loads(payload)


def pack_entry(entry: SheetEntry) -> list[Any]:
    return [
        entry.path,
        entry.sheet,
        entry.season,
        entry.competition,
        entry.round,
        _date(entry.date),
        entry.outcome.value,
        entry.home,
        entry.away,
        entry.is_draft,
        entry.mentions,
        entry.positions,
        entry.agreements,
        _date(entry.moved_to),
    ]


def unpack_entry(packed: Sequence[Any]) -> SheetEntry:
    (path, sheet, season, competition, number, date, outcome, home, away, is_draft, mentions,
     positions, agreements, moved_to) = packed  # fmt: skip
    return SheetEntry(
        path=path,
        sheet=sheet,
        season=season,
        competition=competition,
        round=number,
        date=_read_date(date),
        outcome=Outcome(outcome),
        home=home,
        away=away,
        is_draft=is_draft,
        mentions=tuple(
            [
                _new(Mention, (player, side, tuple(position), plays))
                for player, side, position, plays in mentions
            ]
        ),
        positions=_positions(positions),
        agreements=tuple(
            [
                Agreement(
                    tuple([ClubMention(club, (at[0], at[1])) for club, at in clubs]),
                    (position[0], position[1]),
                )
                for clubs, position in agreements
            ]
        ),
        moved_to=_read_date(moved_to),
    )


def pack_tally(tally: Tally) -> list[Any]:
    return [
        tally.sheet,
        tally.season,
        tally.competition,
        tally.round,
        _date(tally.date),
        tally.outcome.value,
        _side(tally.home),
        _side(tally.away),
        tally.winner,
        tally.decided_by,
        tally.is_draft,
        tally.counts,
        tally.kept_out,
    ]


def _side(side: SideTally) -> list[Any]:
    return [side.team, side.depth.value, side.ries, side.points, side.nummern, side.rank_points]


def unpack_tally(packed: Sequence[Any]) -> Tally:
    (sheet, season, competition, number, date, outcome, home, away, winner, decided_by, is_draft,
     counts, kept_out) = packed  # fmt: skip
    return Tally(
        sheet=sheet,
        season=season,
        competition=competition,
        round=number,
        date=_read_date(date),
        outcome=Outcome(outcome),
        home=_unpack_side(home),
        away=_unpack_side(away),
        winner=winner,
        decided_by=decided_by,
        is_draft=is_draft,
        counts=counts,
        kept_out=kept_out,
    )


def _unpack_side(packed: Sequence[Any]) -> SideTally:
    team, depth, ries, points, nummern, rank_points = packed
    return SideTally(
        team=team,
        depth=Depth(depth),
        ries=None if ries is None else tuple(ries),
        points=points,
        nummern=nummern,
        rank_points=rank_points,
    )


def pack_performances(performances: Sequence[Performance]) -> list[Any]:
    """Without sheet and date, which are those of the tally beside them."""
    return [
        [each.player, each.team, each.points, each.strikes, each.rank_points]
        for each in performances
    ]


def unpack_performances(packed: Sequence[Any], tally: Tally) -> list[Performance]:
    if tally.date is None:
        return []
    sheet, date = tally.sheet, tally.date
    return [
        _new(
            Performance,
            (
                sheet,
                date,
                player,
                team,
                points,
                None if strikes is None else tuple(strikes),
                rank_points,
            ),
        )
        for player, team, points, strikes, rank_points in packed
    ]


def pack_record(record: Any) -> list[Any]:
    """A club or player: the identifier, the value of each key, the positions."""
    values = [getattr(record, key.field) for key in keys_of(record.__class__)]
    return [record.id, *values, record.positions]


def unpack_record(kind: type[_Record], packed: Sequence[Any]) -> _Record:
    record: type = kind
    identifier, *values, positions = packed
    given: dict[str, Any] = {
        key.field: value if value is None else _unpacked(key, value)
        for key, value in zip(keys_of(record), values, strict=True)
    }
    return kind(id=identifier, positions=_positions(positions), **given)


def _unpacked(key: Key, value: Any) -> Any:
    if key.form == "list":
        assert key.of is not None
        item = key.of.record
        return tuple(value) if item is None else tuple([item(*each) for each in value])
    return tuple(map(tuple, value)) if key.form == "teams" else value


class _KeptPlayers(Mapping[PlayerId, Player]):
    """Players by identifier, each unpacked where it is asked for: to judge a sheet takes no more
    than to know who there is, and to add it up not even that."""

    def __init__(self, packed: str) -> None:
        self._text = packed
        self._unpacked: dict[PlayerId, Player] = {}

    @cached_property
    def _packed(self) -> dict[PlayerId, Sequence[Any]]:
        return {PlayerId(each[0]): each for each in unpack(self._text)}

    def __getitem__(self, key: PlayerId) -> Player:
        if key not in self._unpacked:
            self._unpacked[key] = unpack_record(Player, self._packed[key])
        return self._unpacked[key]

    def __contains__(self, key: object) -> bool:
        return key in self._packed

    def __iter__(self) -> Iterator[PlayerId]:
        return iter(self._packed)

    def __len__(self) -> int:
        return len(self._packed)


def pack_register(reading: RegisterReading) -> str:
    register = reading.register
    return pack(
        [
            [pack_record(club) for club in register.clubs.values()],
            pack([pack_record(player) for player in register.players.values()]),
            sorted(register.unread_clubs),
            sorted(register.unread_players),
            pack_problems(reading.problems),
        ]
    )


def unpack_register(payload: str) -> RegisterReading:
    clubs, players, unread_clubs, unread_players, problems = unpack(payload)
    all_clubs = [unpack_record(Club, each) for each in clubs]
    return RegisterReading(
        register=Register(
            clubs={club.id: club for club in all_clubs},
            players=_KeptPlayers(players),
            unread_clubs=frozenset(unread_clubs),
            unread_players=frozenset(unread_players),
        ),
        problems=tuple(unpack_problems(problems)),
    )


def _date(date: datetime.date | None) -> str | None:
    return None if date is None else date.isoformat()


def _read_date(written: str | None) -> datetime.date | None:
    return None if written is None else datetime.date.fromisoformat(written)


def _positions(packed: dict[str, list[int]]) -> dict[str, Position]:
    return {place: (line, column) for place, (line, column) in packed.items()}
