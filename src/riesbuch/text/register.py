"""Clubs and players: from their trees to records with positions."""

from typing import TypeVar

from riesbuch.text.fields import Fields, reader_of
from riesbuch.text.nodes import FileReading, Node
from riesbuch.text.yaml_tree import RefusedFileError, decode, read_tree
from riesbuch.trade.ids import ClubId, PlayerId, is_identifier
from riesbuch.trade.keys import Key
from riesbuch.trade.messages import Message
from riesbuch.trade.people import Club, Player

_Record = TypeVar("_Record")


def read_club(content: bytes, club: ClubId) -> FileReading[Club]:
    return _read(content, Club, club, Message("in a club's file"))


def read_player(content: bytes, player: PlayerId) -> FileReading[Player]:
    return _read(content, Player, player, Message("in a player's file"))


def _read(content: bytes, kind: type[_Record], identifier: str, what: str) -> FileReading[_Record]:
    fields = _RegisterFields()
    try:
        tree, findings = read_tree(decode(content))
    except RefusedFileError as refused:
        tree, findings = None, [refused.finding]
    fields.findings.extend(findings)
    record = tree and fields.made(
        tree, "", kind, what, id=identifier, name=identifier, positions=fields.positions
    )
    return FileReading(record=record, findings=tuple(fields.findings))


_read_text = reader_of(Key("text"))


class _RegisterFields(Fields):
    def teams(self, node: Node, place: str) -> tuple[tuple[str, str], ...]:
        entries = self.mapping(node, f"`{place}`")
        teams = []
        for letter, value in entries.entries if entries else ():
            team_place = f"{place}.{letter.text}"
            self.positions[team_place] = letter.position
            if not is_identifier(letter.text) or "-" in letter.text:
                self.report(
                    letter.position,
                    "bad-identifier",
                    "a team's letter is `{text}`; it must be made of a-z and 0-9",
                    text=letter.text,
                )
                continue
            name = _read_text(self, value, team_place)
            teams.append((letter.text, name or letter.text))
        return tuple(teams)
