"""Who is expected to strike: the batting order of a team's last match, without those who left."""

from collections.abc import Container, Mapping
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from riesbuch.trade.ids import ClubId, PlayerId, SheetId, TeamId, club_of
from riesbuch.trade.match import Match, Row, Side
from riesbuch.trade.messages import Message
from riesbuch.trade.people import Membership, Register, belongs, membership
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.strikes import StrikeKind


class Aside(NamedTuple):
    """One who is not among the players, and why."""

    player: PlayerId
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Lineup:
    """A side to come. ``after`` is the sheet that it was taken from, None where no earlier one
    names players; then ``players`` are the club's members.

    ``spare`` are those of the last match who are not in the order but may be needed, ``dropped``
    those who are not. Where it is ``proposed``, the order is by form, and not that of ``after``."""

    team: TeamId
    players: tuple[PlayerId, ...] = ()
    supernumeraries: tuple[PlayerId, ...] = ()
    captain: PlayerId | None = None
    after: SheetId | None = None
    spare: tuple[Aside, ...] = ()
    dropped: tuple[Aside, ...] = field(default=())
    proposed: bool = False

    @property
    def everybody(self) -> tuple[PlayerId, ...]:
        return self.players + self.supernumeraries


def from_last_match(
    match: Match, side: Side, team: TeamId, register: Register, rules: RuleSet, year: int
) -> Lineup:
    """The order of ``side`` for a match of ``year``. Where more struck than a team has, as with
    those who came in for others, the last of them who were not there from the start are spare."""
    order, spare = _order(side, rules.team_size)
    supernumeraries = [
        row.player for row in side.supernumeraries if row.took_part and row.player not in order
    ]
    lineup = Lineup(
        team=team,
        players=tuple(order),
        supernumeraries=tuple(dict.fromkeys(supernumeraries)),
        captain=side.captain,
        after=match.sheet,
        spare=tuple(aside for aside in spare if aside.player not in supernumeraries),
    )
    left = {
        player: _member_of(now, register)
        for player in (
            *lineup.everybody,
            *(aside.player for aside in lineup.spare),
            *([side.captain] if side.captain else ()),
        )
        if (now := membership(register, player, year)) is not None
        and not belongs(register, now.club, club_of(team))
    }
    return without(lineup, left)


def _member_of(membership: Membership, register: Register) -> str:
    known = register.clubs.get(membership.club)
    club = known.name if known else membership.club
    if membership.since is None:
        return Message("a member of {club}", club=club)
    return Message("a member of {club} since {since}", club=club, since=membership.since)


def _order(side: Side, team_size: int) -> tuple[list[PlayerId], list[Aside]]:
    listed = [known.player for known in side.player_points or ()]
    rows = list(side.rows or ())
    spare = [
        Aside(row.player, Message("did not strike last time")) for row in rows if not row.took_part
    ]
    struck = [row for row in rows if row.took_part]
    came_in = [row for row in struck if _came_in(row)]
    while len(struck) > team_size and came_in:
        last = came_in.pop()
        struck.remove(last)
        spare.insert(0, Aside(last.player, Message("came in for another last time")))
    order = list(dict.fromkeys([*(row.player for row in struck), *listed]))
    beyond = [Aside(player, Message("beyond the team size")) for player in order[team_size:]]
    order = order[:team_size]
    return order, [aside for aside in (*beyond, *spare) if aside.player not in order]


def _came_in(row: Row) -> bool:
    return row.strikes[0].kind is StrikeKind.NOT_STRUCK


def from_members(
    team: TeamId, register: Register, year: int | None, recent: Container[PlayerId], since: int
) -> Lineup:
    """The members of the team's club, where no sheet tells of an order; without a ``year``, as
    before the club's first sheet, it is all, whenever they joined."""
    members = active_members(club_of(team), register, year, recent, since)
    return Lineup(team=team, players=members)


def active_members(
    club: ClubId, register: Register, year: int | None, recent: Container[PlayerId], since: int
) -> tuple[PlayerId, ...]:
    """Those of the club's members of the ``year`` who struck for it lately or joined ``since``
    then, else all of them; all also without a year."""
    members = {
        player: now
        for player in sorted(register.players)
        if (now := membership(register, player, year)) is not None
        and belongs(register, now.club, club)
    }
    lately = [
        player
        for player, now in members.items()
        if year is not None and (player in recent or (now.since or 0) >= since)
    ]
    return tuple(lately or members)


def without(lineup: Lineup, reasons: Mapping[PlayerId, str]) -> Lineup:
    """The lineup without those who have a reason to be dropped."""
    asides = [*lineup.everybody, *(aside.player for aside in lineup.spare)]
    dropped = [Aside(player, reasons[player]) for player in asides if player in reasons]
    return replace(
        lineup,
        players=tuple(player for player in lineup.players if player not in reasons),
        supernumeraries=tuple(player for player in lineup.supernumeraries if player not in reasons),
        captain=lineup.captain if lineup.captain not in reasons else None,
        spare=tuple(aside for aside in lineup.spare if aside.player not in reasons),
        dropped=(*lineup.dropped, *dict.fromkeys(dropped)),
    )
