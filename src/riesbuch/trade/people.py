"""Clubs, their teams, and the people of the register."""

from collections.abc import Mapping
from dataclasses import field
from functools import cached_property
from typing import Annotated, NamedTuple, get_args

from riesbuch.trade.ids import ClassId, ClubId, PlayerId, Positions, TeamId, club_of
from riesbuch.trade.keys import Key, records
from riesbuch.trade.messages import Message
from riesbuch.trade.names import MinorsNamed, PublicNames, Whereabouts, marks_apart
from riesbuch.trade.record import record

MOST_PARENTS = 2


class FormerName(NamedTuple):
    name: Annotated[str, Key("text", required=True, column="name")]
    until: Annotated[int | None, Key("year", required=True)]


@record
class Club:
    """``teams`` pairs each team's letter with its name."""

    id: ClubId
    name: Annotated[str, Key("text", required=True, column="name")]
    founded: Annotated[int | None, Key("year", column="year of foundation")] = None
    ground: Annotated[str | None, Key("text", column="where it plays", tells="text")] = None
    teams: Annotated[tuple[tuple[str, str], ...], Key("teams")] = ()
    formerly: Annotated[
        tuple[FormerName, ...],
        records(FormerName, Message("in a former name"), what=Message("former names")),
    ] = ()
    merged_from: Annotated[
        tuple[ClubId, ...], Key("list", of=Key("identifier"), what=Message("clubs"))
    ] = ()
    positions: Positions = field(compare=False, repr=False)

    def team_ids(self) -> tuple[TeamId, ...]:
        return tuple(TeamId(f"{self.id}-{letter}") for letter, _ in self.teams)


class Membership(NamedTuple):
    club: Annotated[ClubId, Key("identifier", required=True, column="identifier of the club")]
    since: Annotated[int | None, Key("year", name="from")]


@record
class Player:
    """One person, once, for life. ``born`` is a year; who is ``private`` is named on no page.
    ``classes`` are those of the rules that go by listing, not by age."""

    id: PlayerId
    name: Annotated[str, Key("text", required=True, column="name")]
    born: Annotated[int | None, Key("year", column="year of birth")] = None
    clubs: Annotated[
        tuple[Membership, ...],
        records(Membership, Message("in a player's club"), what=Message("clubs")),
    ] = ()
    parents: Annotated[
        tuple[PlayerId, ...],
        Key("list", of=Key("identifier"), what=Message("players"), most=MOST_PARENTS),
    ] = ()
    also_written: Annotated[
        tuple[str, ...],
        Key("list", of=Key("text"), what=Message("names"), column="other spellings of the name"),
    ] = ()
    private: Annotated[bool, Key("yes-no")] = False
    classes: Annotated[
        tuple[ClassId, ...],
        Key("list", of=Key("identifier"), what=Message("classes"), column="classes by listing"),
    ] = ()
    positions: Positions = field(compare=False, repr=False)

    @property
    def current_club(self) -> Membership | None:
        """The last of the player's clubs; those without a year come first."""
        by_year = sorted(self.clubs, key=lambda club: club.since or 0)
        return by_year[-1] if by_year else None


@record
class Register:
    """Everybody the folder knows. ``unread`` are the files that are there but could not be read:
    what they would have declared must not be reported as unknown."""

    clubs: Mapping[ClubId, Club]
    players: Mapping[PlayerId, Player]
    unread_clubs: frozenset[ClubId] = frozenset()
    unread_players: frozenset[PlayerId] = frozenset()

    @cached_property
    def team_names(self) -> Mapping[TeamId, str]:
        return {
            TeamId(f"{club.id}-{letter}"): name
            for club in self.clubs.values()
            for letter, name in club.teams
        }

    @cached_property
    def names(self) -> Mapping[str, str]:
        """Names of teams and players by identifier."""
        names: dict[str, str] = dict(self.team_names.items())
        names.update((player, self.player_name(player)) for player in self.players)
        return names

    @cached_property
    def birth_years(self) -> Mapping[PlayerId, int]:
        """Of those who have one on record."""
        return {
            player.id: player.born for player in self.players.values() if player.born is not None
        }

    @cached_property
    def public_names(self) -> Mapping[MinorsNamed, PublicNames]:
        """How people are named where everybody can read it, by how minors are."""
        return {minors: PublicNames(self, minors) for minors in get_args(MinorsNamed)}

    def knows_team(self, team: TeamId) -> bool:
        club = club_of(team)
        return team in self.team_names or club in self.unread_clubs

    def knows_player(self, player: PlayerId) -> bool:
        return player in self.players or player in self.unread_players

    def knows_club(self, club: ClubId) -> bool:
        return club in self.clubs or club in self.unread_clubs

    def team_name(self, team: TeamId) -> str:
        """The team's name, or its identifier where no file declares it."""
        return self.team_names.get(team, team)

    @cached_property
    def marks(self) -> Mapping[PlayerId, str]:
        """What tells those of one name apart, by the clubs that their files name."""
        names = {player.id: player.name for player in self.players.values()}
        return marks_apart(names, self.whereabouts)

    def whereabouts(self, player: PlayerId) -> Whereabouts:
        """The last of the clubs that the player's file names."""
        at = self.players[player].current_club
        if at is None:
            return Whereabouts()
        club = self.clubs.get(at.club)
        return Whereabouts(club.name if club else at.club, at.since)

    def player_name(self, player: PlayerId) -> str:
        """The player's name, with club and years where another has the same."""
        known = self.players.get(player)
        if known is None:
            return player
        mark = self.marks.get(player)
        return f"{known.name} ({mark})" if mark else known.name


def membership(register: Register, player: PlayerId, year: int | None) -> Membership | None:
    """The last membership that had begun by that year, of all where none is given."""
    known = register.players.get(player)
    begun = [
        (membership.since or 0, number, membership)
        for number, membership in enumerate(known.clubs if known else ())
        if membership.since is None or year is None or membership.since <= year
    ]
    return max(begun)[2] if begun else None


def belongs(register: Register, member_of: ClubId, club: ClubId) -> bool:
    """Whether a member of one club is one of the other, which may carry on its history."""
    carried_on = [club]
    for other in carried_on:
        known = register.clubs.get(other)
        carried_on += [
            merged for merged in (known.merged_from if known else ()) if merged not in carried_on
        ]
    return member_of in carried_on
