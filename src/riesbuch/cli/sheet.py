"""``riesbuch sheet``."""

from __future__ import annotations

import datetime
from dataclasses import replace
from typing import TYPE_CHECKING

import click

from riesbuch.cli.completion import teams
from riesbuch.cli.context import DAY, Number, Session, competition_option, part_option, pass_session
from riesbuch.show.output import say, write
from riesbuch.trade.messages import Message

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from riesbuch.care.draft import Lineup
    from riesbuch.care.fixture_choice import MatchOrder, PlannedMatch
    from riesbuch.folder.archive import Archive
    from riesbuch.folder.club_folder import ClubFolder
    from riesbuch.index.index import Index
    from riesbuch.pages.blank_paper import PaperSide
    from riesbuch.questions.sheets import Precedents
    from riesbuch.trade.ids import PartId
    from riesbuch.trade.rules import RuleSet
    from riesbuch.trade.season import Competition, Season


@click.command("sheet")
@click.argument("home", required=False, shell_complete=teams)
@click.argument("away", required=False, shell_complete=teams)
@click.option("--date", "date", type=DAY, help="The day of the match.")
@click.option("--round", "number", type=Number(), metavar="N", help="Every match of this round.")
@competition_option("The competition, where the teams meet in several.")
@part_option("The part, of a festival in parts.")
@click.option(
    "--blank-paper", is_flag=True, help="Print a page to write on at the strip; write no file."
)
@click.option(
    "--html", "as_html", is_flag=True, help="The blank paper for a browser, which prints it on A4."
)
@click.option(
    "--lineup",
    "by_form",
    is_flag=True,
    help="The players in the order that `riesbuch lineup` proposes for each team.",
)
@pass_session
def command(
    session: Session,
    home: str | None,
    away: str | None,
    date: datetime.date | None,
    number: int | None,
    competition: str | None,
    part: str | None,
    blank_paper: bool,
    as_html: bool,
    by_form: bool,
) -> int:
    """Write the draft of a match sheet: HOME receives AWAY, every strike still to be entered.

    Competition, round, date and ground come from the fixture, the batting orders from each
    team's last match, without those who left the club since. Without --date it is the next
    fixture of the two that has no sheet. A day without a fixture needs --competition too. No
    file is ever overwritten.

    Without HOME and AWAY, with --round or --date, one is written for each fixture of that round or
    day that has no sheet, in the newest season with --round.

    With --blank-paper a page in Markdown is printed instead, or with --html as HTML, with the
    players' names where HOME and AWAY are given.

    A report of a newspaper, with totals and the best few of a side, needs no draft: `riesbuch guide
    old-matches` shows how to write it.
    """
    from riesbuch.care.draft import pairings
    from riesbuch.care.fixture_choice import choose, wanted
    from riesbuch.questions.sheets import Precedents
    from riesbuch.trade.problems import UsageError

    if part is not None:
        part = _part_meant(session.archive().seasons, competition, part)
    is_of_one = home is not None and away is not None
    if not is_of_one and (home or away or (number, date, blank_paper) == (None, None, False)):
        raise UsageError(
            "name both teams, `riesbuch sheet HOME AWAY`, or all of a round or a day:"
            " `riesbuch sheet --round 6`"
        )
    if number is not None and (home is not None or blank_paper):
        raise UsageError("--round lays out all matches of a round: leave out teams and paper")
    if blank_paper and by_form:
        raise UsageError("--lineup is for a draft; --blank-paper takes the last order")
    if blank_paper:
        write(_paper_of(session, home, away, date, competition, part, as_html), ends_line=False)
        return 0
    if as_html:
        raise UsageError("--html goes with --blank-paper only")
    if home is None or away is None:
        return _write_drafts(session, number, date, competition, part, by_form)
    index = session.index()
    past = Precedents(session.folder, index)
    request = wanted(index.register().register, home, away, date, competition, part)
    match = choose(request, pairings(session.folder, index, past, request))
    return _write_draft(session, index, past, match, by_form)


def _part_meant(seasons: Mapping[int, Season], competition: str | None, written: str) -> PartId:
    """Of the competition, where one is named, else of any of the newest season that has it."""
    from riesbuch.trade.names import find_competition, find_part

    key = find_competition(seasons, competition) if competition is not None else None
    listed = [
        known
        for year in sorted(seasons, reverse=True)
        for known in seasons[year].competitions
        if known.id == key or (key is None and known.parts)
    ]
    return find_part(written, *listed)


def _write_drafts(
    session: Session,
    number: int | None,
    date: datetime.date | None,
    competition: str | None,
    part: str | None,
    by_form: bool,
) -> int:
    """One for each match of that round, or day, that has no sheet; the exit status."""
    from riesbuch.care.fixture_choice import of_round_or_day
    from riesbuch.questions.sheets import Precedents
    from riesbuch.trade.names import find_competition

    folder, index = session.folder, session.index()
    past = Precedents(folder, index)
    years = folder.years() if date is None else [date.year]
    archive = next(
        (read for year in reversed(years) if (read := index.archive([year])).fixtures.get(year)),
        index.archive([]),
    )
    if competition is not None:
        competition = find_competition(archive.seasons, competition)
    status = 0
    for match in of_round_or_day(archive, past, number, date, competition, part):
        path = _path_of(folder, match)
        there = match.sheet.path if match.sheet is not None else folder.relative(path)
        if match.sheet is not None or path.exists():
            say("{path} is there already and is left as it is", path=there)
        else:
            status = max(status, _write_draft(session, index, past, match, by_form))
    return status


def _path_of(folder: ClubFolder, match: PlannedMatch) -> Path:
    """With the part in its name where the two meet so in another part of the day too."""
    path = folder.matches(match.year) / f"{match.stem}.yaml"
    if match.part is not None and path.exists():
        return path.with_name(f"{match.stem[: 63 - len(match.part)]}-{match.part}.yaml")
    return path


def _write_draft(
    session: Session, index: Index, past: Precedents, match: PlannedMatch, by_form: bool
) -> int:
    from riesbuch.care.draft import draft, problems_caused
    from riesbuch.show.problems import has_errors, say_problems
    from riesbuch.show.secretary import say_draft
    from riesbuch.text.atomic import create_file
    from riesbuch.trade.problems import RiesbuchError

    folder = session.folder
    archive = index.archive([match.year])
    drafted = draft(archive, past, match)
    if by_form:
        from riesbuch.care.proposal import with_proposals

        drafted = with_proposals(archive, past, index.connection(with_trainings=True), drafted)
    path = _path_of(folder, match)
    relative = folder.relative(path)
    if path.exists() or path.is_symlink():
        raise RiesbuchError("{relative} is there already and is left as it is", relative=relative)
    content = drafted.content
    problems = problems_caused(folder, index, match.year, path, content)
    if has_errors(problems):
        say_problems(problems)
        say(
            "{relative} is not written: it would have these errors; mend their cause first",
            relative=relative,
        )
        return 1
    create_file(path, content)
    session.lay_out_schemas()
    write(Message("written: {relative}", relative=relative))
    say_draft(drafted, archive)
    say_problems(problems)
    return 0


def _paper_of(
    session: Session,
    home: str | None,
    away: str | None,
    date: datetime.date | None,
    competition: str | None,
    part: str | None,
    as_html: bool,
) -> str:
    """The page; teams, players and what the fixture says are filled in where ``home``
    and ``away`` are given."""
    from riesbuch.care.fixture_choice import wanted

    if home is None or away is None:
        return _without_names(session.archive(), date, competition, part, as_html)
    index = session.index()
    index.problems([])
    request = wanted(index.register().register, home, away, date, competition, part)
    return _with_names(session, index, request, as_html)


def _without_names(
    archive: Archive, date: datetime.date | None, key: str | None, part: str | None, as_html: bool
) -> str:
    from riesbuch.pages.blank_paper import PaperMatch, blank_paper

    competition, rules = _competition(archive, date, key, part)
    match = PaperMatch(
        competition=competition.name_in(part) if competition and (key or part) else "",
        date=date,
    )
    return blank_paper(match, rules, archive.league.language, as_html=as_html)


def _competition(
    archive: Archive, date: datetime.date | None, key: str | None, part: str | None
) -> tuple[Competition | None, RuleSet]:
    """The newest of that name, or the first of the newest season, with its rule set."""
    from riesbuch.trade.names import find_competition
    from riesbuch.trade.rules import RuleSet

    seasons = {
        year: season
        for year, season in archive.seasons.items()
        if date is None or year == date.year
    }
    if key is not None:
        key = find_competition(archive.seasons, key, date.year if date is not None else None)
    listed = [
        competition
        for year in sorted(seasons, reverse=True)
        for competition in seasons[year].competitions
        if key in (None, competition.id) and (key or not part or competition.part(part))
    ]
    competition = listed[0] if listed else None
    rules = archive.rules_of(competition, part)
    if rules is None:
        rules = RuleSet()
        say("laid out under the default rules: {name}", name=rules.name)
    elif key is None and competition is not None:
        say(
            "laid out for {name}: {other_name}; --competition chooses another",
            name=competition.name,
            other_name=rules.name,
        )
    return competition, rules


def _with_names(session: Session, index: Index, request: MatchOrder, as_html: bool) -> str:
    from riesbuch.care.draft import draft, lineups, pairings
    from riesbuch.care.fixture_choice import choose_for_paper
    from riesbuch.pages.blank_paper import PaperMatch, blank_paper
    from riesbuch.questions.sheets import Precedents
    from riesbuch.show.secretary import say_lineup

    past = Precedents(session.folder, index)
    planned = choose_for_paper(request, pairings(session.folder, index, past, request))
    if planned is None:
        say("no fixture of the two is open; what it would fill in is left for you to write")
        archive = session.archive()
        _, rules = _competition(archive, request.date, request.competition, request.part)
        newest = datetime.date(max(archive.seasons, default=datetime.MINYEAR), 12, 31)
        day = request.date or newest
        home, away = lineups(archive, past, rules, day, (request.home, request.away))
        match = PaperMatch(date=request.date)
    else:
        archive = index.archive([planned.year])
        drafted = draft(archive, past, planned)
        home, away, rules = drafted.home, drafted.away, drafted.rules
        competition = archive.competition(planned.year, planned.competition)
        match = PaperMatch(
            competition=competition.name_in(planned.part) if competition else planned.competition,
            round=str(planned.round) if planned.round is not None else "",
            date=planned.date,
            ground=drafted.ground or "",
        )
    for lineup in (home, away):
        say_lineup(lineup, archive)
    match = replace(match, home=_side(home, archive, rules), away=_side(away, archive, rules))
    return blank_paper(match, rules, archive.league.language, as_html=as_html)


def _side(lineup: Lineup, archive: Archive, rules: RuleSet) -> PaperSide:
    from riesbuch.pages.blank_paper import PaperSide

    register = archive.register
    # A club's many members are no batting order; a page has room for a team.
    players = lineup.players if len(lineup.players) <= rules.team_size else ()
    return PaperSide(
        team=register.team_name(lineup.team),
        players=[register.player_name(player) for player in players],
        supernumeraries=[register.player_name(player) for player in lineup.supernumeraries],
    )
