"""Records to plain data and back. It is only ever read by the tool that wrote it, whose reading is
part of the index's signature, so fields go by position."""

import datetime
import json
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, TypeVar

from riesbuch.folder.archive import RegisterReading
from riesbuch.index.packed import pack_problems, unpack_problems
from riesbuch.judge.examination import ExaminedSheet
from riesbuch.judge.holdings import Agreement, ClubMention, Mentions, SheetEntry
from riesbuch.trade.ids import PlayerId, Position
from riesbuch.trade.keys import Key, keys_of
from riesbuch.trade.match import Outcome
from riesbuch.trade.people import Club, Player, Register
from riesbuch.trade.signing import PlacedSignature, SignedSeal, signed_seal

_Record = TypeVar("_Record", Club, Player)

# One for all: to make it takes longer than most of what is written with it.
_ENCODER = json.JSONEncoder(separators=(",", ":"))


def pack(data: object) -> str:
    return _ENCODER.encode(data)


def unpack(payload: str) -> Any:
    return json.loads(payload)


def pack_entry(entry: SheetEntry) -> list[Any]:
    """In nothing but what `marshal` knows."""
    return [
        *entry[:5],
        _date(entry.date),
        entry.outcome.value,
        *entry[7:10],
        tuple(entry.mentions),
        {place: tuple(position) for place, position in entry.positions.items()},
        [
            (
                [(mention.club, tuple(mention.position)) for mention in agreement.clubs],
                tuple(agreement.position),
            )
            for agreement in entry.agreements
        ],
        _date(entry.moved_to),
        entry.part,
    ]


def unpack_entry(packed: Sequence[Any]) -> SheetEntry:
    (path, sheet, season, competition, number, date, outcome, home, away, is_draft, mentions,
     positions, agreements, moved_to, part) = packed  # fmt: skip
    agreed = [
        Agreement(tuple([ClubMention(*mention) for mention in clubs]), position)
        for clubs, position in agreements
    ]
    return SheetEntry(
        path, sheet, season, competition, number, read_date(date), Outcome(outcome), home, away,
        is_draft, Mentions(*mentions), positions, tuple(agreed), read_date(moved_to), part,
    )  # fmt: skip


def pack_seal(sheet: ExaminedSheet) -> str | None:
    """Of a sheet that has one which fits it."""
    match = sheet.match
    if match is None or match.seal is None or not match.whole:
        return None
    if any(problem.code == "seal-broken" for problem in sheet.problems):
        return None
    seal = signed_seal(match)
    return pack([seal.sheet, seal.on.isoformat(), *seal[2:]])


def unpack_seal(packed: str) -> SignedSeal:
    sheet, on, meeting, stated, signatures, position = unpack(packed)
    return SignedSeal(
        sheet=sheet,
        on=datetime.date.fromisoformat(on),
        meeting=tuple(meeting),
        statement=stated,
        signatures=tuple(
            PlacedSignature(club, by, signature, tuple(at))
            for club, by, signature, at in signatures
        ),
        position=tuple(position),
    )


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
        return tuple(value) if item is None else tuple([item(*values) for values in value])
    return tuple(map(tuple, value)) if key.form == "teams" else value


class _KeptPlayers(Mapping[PlayerId, Player]):
    """Players by identifier, each unpacked where it is asked for: to judge a sheet takes no more
    than to know who there is, and to add it up not even that."""

    def __init__(self, players: Sequence[PlayerId], lines: str) -> None:
        self._packed = dict(zip(players, lines.split("\n"), strict=False))
        self._unpacked: dict[PlayerId, Player] = {}

    def __getitem__(self, key: PlayerId) -> Player:
        if key not in self._unpacked:
            self._unpacked[key] = unpack_record(Player, unpack(self._packed[key]))
        return self._unpacked[key]

    def __contains__(self, key: object) -> bool:
        return key in self._packed

    def __iter__(self) -> Iterator[PlayerId]:
        return iter(self._packed)

    def __len__(self) -> int:
        return len(self._packed)


def pack_register(reading: RegisterReading) -> str:
    """Everything but the players in the first line, which names them, then each in one."""
    register = reading.register
    first = [
        [pack_record(club) for club in register.clubs.values()],
        [*register.players],
        sorted(register.unread_clubs),
        sorted(register.unread_players),
        pack_problems(reading.problems),
    ]
    return "\n".join(map(pack, [first, *map(pack_record, register.players.values())]))


def unpack_register(payload: str) -> RegisterReading:
    first, _, lines = payload.partition("\n")
    clubs, players, unread_clubs, unread_players, problems = unpack(first)
    all_clubs = [unpack_record(Club, club) for club in clubs]
    return RegisterReading(
        register=Register(
            clubs={club.id: club for club in all_clubs},
            players=_KeptPlayers(players, lines),
            unread_clubs=frozenset(unread_clubs),
            unread_players=frozenset(unread_players),
        ),
        problems=tuple(unpack_problems(problems)),
    )


def _date(date: datetime.date | None) -> str | None:
    return None if date is None else date.isoformat()


def read_date(written: str | None) -> datetime.date | None:
    return None if written is None else datetime.date.fromisoformat(written)


def _positions(packed: dict[str, list[int]]) -> dict[str, Position]:
    return {place: (line, column) for place, (line, column) in packed.items()}
