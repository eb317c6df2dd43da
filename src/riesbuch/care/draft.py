"""A match to come as a draft sheet: both its sides, from the register and the sheets so far."""

import datetime
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from riesbuch.care.fixture_choice import MatchOrder, PlannedMatch, SeasonOfPair
from riesbuch.care.lineup import Lineup, from_last_match, from_members, without
from riesbuch.folder.archive import Archive
from riesbuch.folder.club_folder import ClubFolder
from riesbuch.folder.overlaid_folder import OverlaidFolder
from riesbuch.index.index import Index
from riesbuch.questions.sheets import Precedents
from riesbuch.text.layout import SHEET_SHAPE, canonical, written_scalar
from riesbuch.text.schemas import editor_line
from riesbuch.trade.ids import PlayerId, TeamId, club_of
from riesbuch.trade.messages import Message
from riesbuch.trade.people import belongs, membership
from riesbuch.trade.problems import Problem
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.strikes import BLANK, write_strike

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
