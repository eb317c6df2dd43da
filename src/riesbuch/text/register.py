"""Clubs and players: from their trees to records with positions."""

from riesbuch.text.fields import Fields, reader_of
from riesbuch.text.nodes import FileReading, Node
from riesbuch.trade.ids import ClubId, PlayerId, is_identifier
from riesbuch.trade.keys import Key
from riesbuch.trade.messages import Message
from riesbuch.trade.people import Club, Player


def read_club(content: bytes, club: ClubId) -> FileReading[Club]:
    where = Message("in a club's file")
    return _RegisterFields().read(content, Club, where, id=club, name=club)


def read_player(content: bytes, player: PlayerId) -> FileReading[Player]:
    where = Message("in a player's file")
    return _RegisterFields().read(content, Player, where, id=player, name=player)


_read_text = reader_of(Key("text"))


class _RegisterFields(Fields):
    def teams(self, node: Node, place: str) -> tuple[tuple[str, str], ...]:
        entries = self.mapping(node, f"`{place}`")
        teams = []
        for letter, value in entries.entries if entries else ():
            team_place = f"{place}.{letter.text}"
            self.positions[team_place] = letter.position
            if not is_identifier(letter.text) or "-" in letter.text:
                self.wrong(
                    letter,
                    "bad-identifier",
                    "a team's letter is `{text}`; it must be made of a-z and 0-9",
                )
                continue
            name = _read_text(self, value, team_place)
            teams.append((letter.text, name or letter.text))
        return tuple(teams)
