"""The blank page of ``riesbuch sheet --blank-paper``."""

from __future__ import annotations

import datetime
from typing import TYPE_CHECKING

from riesbuch.cli.context import Session
from riesbuch.cli.output import say

if TYPE_CHECKING:
    from riesbuch.archive import Archive
    from riesbuch.reports.blank_paper import PaperSide
    from riesbuch.season.choosing import Wanted
    from riesbuch.season.lineup import Lineup
    from riesbuch.trade.rules import RuleSet
    from riesbuch.trade.season import Competition


def paper_of(
    session: Session,
    home: str | None,
    away: str | None,
    date: datetime.date | None,
    competition: str | None,
) -> str:
    """The page as Markdown; teams, players and what the fixture says are filled in where ``home``
    and ``away`` are given."""
    from riesbuch.season.choosing import wanted

    index = session.index()
    index.problems([])
    if home is None or away is None:
        return _without_names(session, date, competition)
    request = wanted(index.register().register, home, away, date, competition)
    return _with_names(session, request)


def _without_names(session: Session, date: datetime.date | None, key: str | None) -> str:
    from riesbuch.problems import UsageError, did_you_mean
    from riesbuch.reports.blank_paper import PaperMatch, blank_paper
    from riesbuch.trade.rules import RuleSet

    archive = session.archive()
    listed = [
        each
        for year in sorted(archive.seasons, reverse=True)
        if date is None or year == date.year
        for each in archive.seasons[year].competitions
        if key is None or each.id == key
    ]
    if key is not None and not listed:
        known = {each.id for season in archive.seasons.values() for each in season.competitions}
        advice = did_you_mean(key, known) or f"there are {', '.join(sorted(known)) or 'none'}"
        raise UsageError(f"there is no competition `{key}`; {advice}")
    rules = archive.rules_of(listed[0]) if listed else None
    if rules is None:
        rules = RuleSet()
        say(f"laid out under the default rules: {rules.name}")
    elif key is None:
        say(f"laid out for {listed[0].name}: {rules.name}; --competition chooses another")
    match = PaperMatch(
        competition=listed[0].name if key is not None else "",
        date=date.isoformat() if date is not None else "",
    )
    return blank_paper(match, rules, archive.league.language)


def _with_names(session: Session, request: Wanted) -> str:
    from riesbuch.cli.sheet import tell_lineup
    from riesbuch.reports.blank_paper import PaperMatch, blank_paper
    from riesbuch.season.drafting import draft, find_match
    from riesbuch.season.past import Past

    index = session.index()
    past = Past(session.folder, index)
    planned = find_match(session.folder, index, past, request, for_paper=True)
    archive = index.archive([planned.year])
    drafted = draft(archive, past, planned)
    if planned.sheet is not None:
        say(f"filled in as in {planned.sheet.path}")
    for lineup in (drafted.home, drafted.away):
        tell_lineup(lineup, archive)
    competition = archive.competition(planned.year, planned.competition)
    match = PaperMatch(
        competition=_name(competition, planned.competition),
        round=str(planned.round) if planned.round is not None else "",
        date=planned.date.isoformat(),
        ground=drafted.ground or "",
        home=_side(drafted.home, archive, drafted.rules),
        away=_side(drafted.away, archive, drafted.rules),
    )
    return blank_paper(match, drafted.rules, archive.league.language)


def _name(competition: Competition | None, key: str) -> str:
    return competition.name if competition else key


def _side(lineup: Lineup, archive: Archive, rules: RuleSet) -> PaperSide:
    from riesbuch.reports.blank_paper import PaperSide

    register = archive.register
    # A club's many members are no batting order; a page has room for a team.
    players = lineup.players if len(lineup.players) <= rules.team_size else ()
    return PaperSide(
        team=register.team_name(lineup.team),
        players=[register.player_name(each) for each in players],
        supernumeraries=[register.player_name(each) for each in lineup.supernumeraries],
    )
