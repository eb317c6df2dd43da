"""Clubs and players: from their trees to records with positions."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from riesbuch.text.fields import Fields
from riesbuch.text.nodes import Entries, Node
from riesbuch.text.yaml_tree import RefusedFileError, decode, read_tree
from riesbuch.trade.ids import ClubId, PlayerId, is_identifier
from riesbuch.trade.people import Club, FormerName, Membership, Player
from riesbuch.trade.problems import Finding

CLUB_KEYS = ("name", "founded", "ground", "teams", "formerly", "merged_from")
FORMER_NAME_KEYS = ("name", "until")
PLAYER_KEYS = ("name", "born", "clubs", "parents", "also_written", "private")
MEMBERSHIP_KEYS = ("club", "from")

_YES_NO = {"true": True, "false": False}

_MOST_PARENTS = 2

_Record = TypeVar("_Record")
Reader = Callable[[Node, str], object]


@dataclass(frozen=True, slots=True, kw_only=True)
class RegisterReading(Generic[_Record]):
    """``record`` is None where the file could not be read as one at all."""

    record: _Record | None
    findings: tuple[Finding, ...]


def read_club(content: bytes, club: ClubId) -> RegisterReading[Club]:
    reader = _RegisterFields()
    tree = _open(content, reader)
    record = reader.club(tree, club) if tree else None
    return RegisterReading(record=record, findings=tuple(reader.findings))


def read_player(content: bytes, player: PlayerId) -> RegisterReading[Player]:
    reader = _RegisterFields()
    tree = _open(content, reader)
    record = reader.player(tree, player) if tree else None
    return RegisterReading(record=record, findings=tuple(reader.findings))


def _open(content: bytes, reader: Fields) -> Entries | None:
    try:
        tree, findings = read_tree(decode(content))
    except RefusedFileError as refused:
        tree, findings = None, [refused.finding]
    reader.findings.extend(findings)
    return tree


class _RegisterFields(Fields):
    def club(self, tree: Entries, club: ClubId) -> Club:
        readers: dict[str, Reader] = {
            "name": self.text,
            "founded": self.year,
            "ground": self.text,
            "teams": self.teams,
            "formerly": lambda node, place: self.listed(
                node, place, self.former_name, "former names"
            ),
            "merged_from": lambda node, place: self.listed(node, place, self.identifier, "clubs"),
        }
        values = self.keyed(tree, "", readers, required=("name",), what="in a club's file")
        given: dict[str, Any] = {key: value for key, value in values.items() if value is not None}
        given.setdefault("name", club)
        return Club(id=club, positions=self.positions, **given)

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
                    f"a team's letter is `{letter.text}`; it must be made of a-z and 0-9",
                )
                continue
            name = self.text(value, team_place)
            teams.append((letter.text, name or letter.text))
        return tuple(teams)

    def former_name(self, node: Node, place: str) -> FormerName | None:
        entries = self.mapping(node, f"`{place}`")
        if entries is None:
            return None
        values: dict[str, Any] = self.keyed(
            entries,
            place,
            {"name": self.text, "until": self.year},
            required=FORMER_NAME_KEYS,
            what="in a former name",
        )
        if values.get("name") is None:
            return None
        return FormerName(name=values["name"], until=values.get("until"))

    def player(self, tree: Entries, player: PlayerId) -> Player:
        readers: dict[str, Reader] = {
            "name": self.text,
            "born": self.year,
            "clubs": lambda node, place: self.listed(node, place, self.membership, "clubs"),
            "parents": self.parents,
            "also_written": lambda node, place: self.listed(node, place, self.text, "names"),
            "private": lambda node, place: self.choice(node, place, _YES_NO),
        }
        values = self.keyed(tree, "", readers, required=("name",), what="in a player's file")
        given: dict[str, Any] = {key: value for key, value in values.items() if value is not None}
        given.setdefault("name", player)
        return Player(id=player, positions=self.positions, **given)

    def membership(self, node: Node, place: str) -> Membership | None:
        entries = self.mapping(node, f"`{place}`")
        if entries is None:
            return None
        values: dict[str, Any] = self.keyed(
            entries,
            place,
            {"club": self.identifier, "from": self.year},
            required=("club",),
            what="in a player's club",
        )
        if values.get("club") is None:
            return None
        return Membership(club=values["club"], since=values.get("from"))

    def parents(self, node: Node, place: str) -> tuple[PlayerId, ...]:
        parents = self.listed(node, place, self.identifier, "players")
        if len(parents) > _MOST_PARENTS:
            self.report(
                node.position,
                "wrong-shape",
                f"`{place}` names more than {_MOST_PARENTS} people",
            )
        return tuple(PlayerId(parent) for parent in parents)
