"""A match to come as a draft sheet, both its sides from the register and the sheets so far: who is
expected to strike is the batting order of a team's last match, without those who left."""

import datetime
from collections.abc import Container, Iterator, Mapping
from contextlib import closing
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import NamedTuple

from riesbuch.care.fixture_choice import MatchOrder, PlannedMatch, SeasonOfPair
from riesbuch.folder.archive import Archive
from riesbuch.folder.club_folder import ClubFolder
from riesbuch.folder.overlaid_folder import OverlaidFolder
from riesbuch.index.index import Index
from riesbuch.questions.sheets import Precedents
from riesbuch.text.layout import SHEET_SHAPE, canonical, written_scalar
from riesbuch.text.schemas import editor_line
from riesbuch.trade.ids import ClubId, PlayerId, SheetId, TeamId, club_of
from riesbuch.trade.match import Match, Row, Side
from riesbuch.trade.messages import Message
from riesbuch.trade.people import Membership, Register, belongs, membership
from riesbuch.trade.problems import Problem
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.strikes import BLANK, StrikeKind, write_strike


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


_FOLDERS_ABOVE = 3
_NOBODY = "nobody is known here: write `strikes:` with a line for each player, or `points:`"
_MEMBERS = "no earlier order is known: these are the club's members, to be sorted and thinned out"

_PROPOSED = "a proposal by form, steady ones first and the strongest last; the captain decides"


def draft_text(
    match: PlannedMatch, ground: str | None, home: Lineup, away: Lineup, rules: RuleSet
) -> str:
    """The sheet in the one layout. ``ground`` is that of the home club, if known."""
    head = [
        editor_line("sheet", _FOLDERS_ABOVE),
        f"competition: {match.competition}",
        *([f"part: {match.part}"] if match.part is not None else []),
        *([f"round: {match.round}"] if match.round is not None else []),
        f"date: {match.date}",
        *([f"ground: {written_scalar(ground, in_line=False)}"] if ground else []),
    ]
    lines = [*head, "", "home:", *_side(home, rules), "", "away:", *_side(away, rules)]
    return canonical("".join(f"{line}\n" for line in lines), SHEET_SHAPE)


def _side(lineup: Lineup, rules: RuleSet) -> Iterator[str]:
    yield f"  team: {lineup.team}"
    if not lineup.players:
        yield f"  # {_NOBODY}"
        return
    if lineup.captain is not None:
        yield f"  captain: {lineup.captain}"
    yield "  strikes:"
    if lineup.after is None:
        yield f"    # {_MEMBERS}"
    if lineup.proposed:
        yield f"    # {_PROPOSED}"
    for player in lineup.players:
        yield f"    {_row(player, rules)}"
    for aside in lineup.spare:
        yield f"    # {_row(aside.player, rules)}  # {aside.reason}"
    if lineup.supernumeraries:
        yield "  supernumeraries:"
        for player in lineup.supernumeraries:
            yield f"    {_row(player, rules)}"
    blank = write_strike(BLANK)
    ries = ", ".join([blank] * rules.ries_count)
    yield f"  paper: {{ries: [{ries}], points: {blank}, nummern: {blank}}}"


def _row(player: PlayerId, rules: RuleSet) -> str:
    return f"{player}: {write_strike(BLANK)}"


SEASONS_OF_LATE = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class DraftSheet:
    """``rules`` are the default ones where the competition's cannot be read."""

    match: PlannedMatch
    ground: str | None
    home: Lineup
    away: Lineup
    rules: RuleSet

    @property
    def content(self) -> bytes:
        """The draft sheet's bytes."""
        text = draft_text(self.match, self.ground, self.home, self.away, self.rules)
        return text.encode("utf-8")


def pairings(
    folder: ClubFolder, index: Index, past: Precedents, wanted: MatchOrder
) -> list[SeasonOfPair]:
    """The seasons that can be read, as far as they are about the two teams, from the newest."""
    found = []
    for year in reversed(folder.years()):
        archive = index.archive([year])
        if year in archive.seasons:
            found.append(
                SeasonOfPair(
                    season=archive.seasons[year],
                    fixtures=archive.fixtures.get(year, ()),
                    recorded=past.recorded(year, wanted.home, wanted.away),
                )
            )
    return found


def draft(archive: Archive, past: Precedents, match: PlannedMatch) -> DraftSheet:
    """The match with both sides; ``archive`` holds its season."""
    competition = archive.competition(match.year, match.competition)
    rules = archive.rules_of(competition, match.part) or RuleSet()
    home, away = lineups(archive, past, rules, match.date, (match.home, match.away))
    club = archive.register.clubs.get(club_of(match.home))
    return DraftSheet(
        match=match, ground=club.ground if club else None, home=home, away=away, rules=rules
    )


def lineups(
    archive: Archive,
    past: Precedents,
    rules: RuleSet,
    date: datetime.date,
    teams: tuple[TeamId, TeamId],
) -> tuple[Lineup, Lineup]:
    """Who is expected to strike that day, for the home and the away side. Nobody stands on both,
    nor where the register does not allow it, nor who plays elsewhere that day."""
    register = archive.register
    elsewhere = {
        player: Message("plays for {team} that day", team=register.team_name(team))
        for player, team in past.playing_elsewhere(date, teams).items()
    }
    found: dict[TeamId, Lineup] = {}
    last_played: dict[TeamId, datetime.date] = {}
    for team in teams:
        last = past.last_order(team, date)
        if last is not None:
            match, side = last
            lineup = from_last_match(match, side, team, register, rules, date.year)
            last_played[team] = match.date or date
            found[team] = without(lineup, {**elsewhere, **_unregistered(archive, lineup)})
    if len(found) == len(teams):
        _part(archive, found, last_played, date.year)
    for team in teams:
        if team not in found:
            since = date.year - SEASONS_OF_LATE
            club = register.clubs.get(club_of(team))
            recent = past.recent_players(club.team_ids() if club else (), since)
            is_first = not past.recent_players(club.team_ids() if club else (), 0)
            members = from_members(team, register, None if is_first else date.year, recent, since)
            in_other = {
                player: Message("stands in the order of {team}", team=register.team_name(other))
                for other, lineup in found.items()
                for player in lineup.everybody
            }
            found[team] = without(members, {**elsewhere, **in_other})
    return found[teams[0]], found[teams[1]]


def _unregistered(archive: Archive, lineup: Lineup) -> dict[PlayerId, str]:
    """Those whom `check` would not take: in an open register it takes everybody."""
    if not archive.league.strict:
        return {}
    everybody = [*lineup.everybody, *(aside.player for aside in lineup.spare)]
    return {
        player: Message("has no file in players/")
        for player in everybody
        if not archive.register.knows_player(player)
    }


def _part(
    archive: Archive,
    found: dict[TeamId, Lineup],
    last_played: dict[TeamId, datetime.date],
    year: int,
) -> None:
    """Who stands in the orders of both stays where he is a member, else where he played last."""
    register = archive.register
    first, second = found
    for player in sorted(set(found[first].everybody) & set(found[second].everybody)):
        now = membership(register, player, year)
        claims = {
            team: (
                now is not None and belongs(register, now.club, club_of(team)),
                last_played[team],
            )
            for team in found
        }
        keeps, gives = (first, second) if claims[first] >= claims[second] else (second, first)
        where = Message("stands in the order of {team}", team=register.team_name(keeps))
        found[gives] = without(found[gives], {player: where})


def problems_caused(
    folder: ClubFolder, index: Index, year: int, path: Path, content: bytes
) -> list[Problem]:
    """What `check` would say of the folder with ``content`` in ``path`` and does not say now, but
    for the draft itself."""
    _, before = index.problems([year])
    overlaid = OverlaidFolder(folder.root, {folder.relative(path): content})
    with closing(Index(overlaid, lambda _: None)) as beside:
        _, after = beside.problems([year])
    known = set(before)
    return [finding for finding in after if finding not in known and finding.code != "draft"]
