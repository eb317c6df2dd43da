"""The page of a team in a competition: how it went match by match, and how its players struck."""

from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from typing import NamedTuple

from riesbuch.pages.markdown import (
    NOTHING,
    Markdown,
    joined,
    link,
    sentences,
    stacked,
    strong,
    table,
)
from riesbuch.pages.outcomes import has_page, outcome_words, result_letter
from riesbuch.pages.past import Past
from riesbuch.pages.paths import Page, match_page, strikers_page, team_page
from riesbuch.questions.results import CompetitionResults, RecordedMatch, is_league
from riesbuch.trade.course import FORM_LENGTH, Stage, result_for
from riesbuch.trade.ids import SIDES, ClubId, PlayerId, SideName, TeamId, opponent_of
from riesbuch.trade.match import Outcome
from riesbuch.trade.standings import Standing
from riesbuch.trade.strikers import Performance, Striker
from riesbuch.trade.tally import SideTally, Tally

_MOST_ON_ONE_LINE = 16
"""A team's matches, up to which each player's points in all of them are told when it is over."""
_UNBROKEN = "\u00a0"


class _Side(NamedTuple):
    """The team in one of its matches; ``place`` is that after the round, in a league."""

    match: RecordedMatch
    name: SideName
    place: int | None

    @property
    def tally(self) -> Tally:
        return self.match.tally


def team_pages(
    past: Past, results: CompetitionResults, course: Callable[[], Sequence[Stage]]
) -> Iterator[Page]:
    """Of each team of a competition whose teams have one; ``course`` is that of the table."""
    for row in results.standings:
        path = past.team_page(results.year, results.competition.id, row.team)
        if path is not None:
            yield Page.at(path, partial(_team_text, past, results, row, course))


def _team_text(
    past: Past, results: CompetitionResults, row: Standing, course: Callable[[], Sequence[Stage]]
) -> str:
    wording, year, competition = past.wording, results.year, results.competition
    here = team_page(year, competition.id, row.team)
    places = {
        tally.sheet: after.rank
        for stage in (course() if is_league(results) else ())
        for after in stage.table
        if after.team == row.team
        for tally in stage.played
    }
    sides = [
        _Side(match, name, places.get(match.tally.sheet))
        for match in results.matches
        for name in SIDES
        if match.tally.side(name).team == row.team
    ]
    club = ClubId(row.team.rpartition("-")[0])
    return wording.page(
        here,
        joined([wording.team(row.team), wording.competition_title(year, competition)], " – "),
        sentences(_stands(past, results, row), wording.left_out(len(results.left_out))),
        _next(past, results, row.team, here),
        wording.titled("Results", _results(past, results, sides, here)),
        wording.titled("Players", *_players(past, results, row.team, sides, here)),
        ways=[
            wording.competition_title(year, competition, here),
            link(here, strikers_page(year, competition.id), wording.say("Striker table")),
            *([wording.club(club, here)] if club in wording.register.clubs else ()),
        ],
    )


def _stands(past: Past, results: CompetitionResults, row: Standing) -> Markdown:
    """The place in the table, and on how much of the competition it rests."""
    wording = past.wording
    known = past.competitions.get((results.year, results.competition.id))
    if not row.played:
        return wording.say("No match of the team is in the tables.")
    matches = wording.counted(row.played, "{count} match", "{count} matches")
    if is_league(results):
        rank = wording.say(
            "{rank} of {all}",
            rank=strong(wording.number(row.rank)),
            all=wording.number(len(results.standings)),
        )
        stands = wording.say(
            "Rank {rank}: {rank_points}, {matches}.",
            rank=wording.qualified(rank, known),
            rank_points=wording.counted(
                row.rank_points, "{count} rank point", "{count} rank points"
            ),
            matches=matches,
        )
    else:
        won = wording.number(row.won)
        stands = wording.say("{matches}, of which {won} won.", matches=matches, won=won)
    extent = wording.extent(known)
    return sentences(
        stands, wording.say("In the tables: {matches}.", matches=extent) if extent else NOTHING
    )


def _next(past: Past, results: CompetitionResults, team: TeamId, here: str) -> Markdown:
    """The next match, where the season is under way."""
    wording, key = past.wording, results.competition.id
    for day, fixture in past.coming if past.is_under_way(results.year) else ():
        if fixture.competition != key or team not in (fixture.home, fixture.away):
            continue
        club = wording.register.clubs.get(ClubId(fixture.home.rpartition("-")[0]))
        place = [wording.text(club.ground)] if club and club.ground else []
        is_home = fixture.home == team
        return wording.say(
            "Next match: {when}, at home against {team}."
            if is_home
            else "Next match: {when}, away against {team}.",
            when=joined([strong(wording.date(day)), *place]),
            team=past.team(here, results.year, key, fixture.away if is_home else fixture.home),
        )
    return NOTHING


def _results(
    past: Past, results: CompetitionResults, sides: Sequence[_Side], here: str
) -> Markdown:
    wording = past.wording

    def opponent(side: _Side) -> Markdown:
        other = side.tally.side(opponent_of(side.name)).team
        name = past.team(here, results.year, results.competition.id, other)
        return wording.say("{team} (home)" if side.name == "home" else "{team} (away)", team=name)

    def pair(side: _Side, figure: Callable[[SideTally], int | None]) -> Markdown:
        mine, theirs = side.tally.side(side.name), side.tally.side(opponent_of(side.name))
        return wording.pair(figure(mine), figure(theirs))

    def result(side: _Side) -> Markdown:
        words = outcome_words(wording, side.match)
        if side.tally.counts and side.tally.outcome is not Outcome.FORFEITED:
            letter = result_letter(wording, result_for(side.tally.winner, side.name))
            points = pair(side, lambda struck: struck.points).replace(" ", _UNBROKEN)
            words = joined([letter, Markdown(points)], _UNBROKEN)
        return link(here, match_page(side.tally.sheet), words) if has_page(side.match) else words

    def date(side: _Side) -> Markdown:
        return wording.day(side.tally.date) if side.tally.date else wording.unknown

    shown = table(
        sides,
        wording.column("Date", date),
        wording.column("Opponent", opponent),
        wording.column("Result", result),
        wording.figure_column("Place", lambda side: side.place) if is_league(results) else None,
        wording.figure_column("Nr.", lambda side: pair(side, lambda struck: struck.nummern)),
    )
    note = wording.say(
        "W won, D drawn, L lost; points and Nummern conceded of this team first, place after the"
        " round."
        if is_league(results)
        else "W won, D drawn, L lost; points and Nummern conceded of this team first."
    )
    return stacked(shown, note) if shown else NOTHING


def _players(
    past: Past, results: CompetitionResults, team: TeamId, sides: Sequence[_Side], here: str
) -> Iterator[Markdown]:
    wording = past.wording
    struck: dict[PlayerId, list[Performance]] = defaultdict(list)
    for performance in results.performances:
        struck[performance.player].append(performance)
    teams = {player: {each.team for each in listed} for player, listed in struck.items()}
    rows = [striker for striker in results.strikers if team in teams[striker.player]]
    if not rows:
        return
    known = past.competitions.get((results.year, results.competition.id))
    played = [
        side.tally.sheet
        for side in sides
        if side.tally.counts and side.tally.outcome is not Outcome.FORFEITED
    ]
    whole = known is not None and known.complete and len(played) <= _MOST_ON_ONE_LINE

    def name(striker: Striker) -> Markdown:
        told = wording.player(striker.player, results.year, here)
        others = sorted(teams[striker.player] - {team})
        if not others:
            return told
        listed = wording.listed(map(wording.team, others))
        return wording.say("{name} (also for {teams})", name=told, teams=listed)

    def points(striker: Striker) -> Markdown:
        by_sheet = {each.sheet: each.points for each in struck[striker.player]}
        shown = map(by_sheet.get, played) if whole else [*by_sheet.values()][-FORM_LENGTH:]
        return joined(map(wording.number, shown), _UNBROKEN)

    yield table(
        rows,
        wording.figures(
            wording.say("Rank of {count}", count=wording.number(len(results.strikers))),
            lambda striker: striker.rank,
        ),
        wording.column("Name", name),
        None if whole else wording.column("Last five", points),
        wording.figure_column("Points", lambda striker: striker.points),
        wording.figure_column("Average", lambda striker: striker.average)
        if any(striker.strikes for striker in rows)
        else None,
        wording.figure_column("Best", lambda striker: striker.best),
        wording.figure_column("Matches", lambda striker: striker.matches),
    )
    of_team = {each.sheet for each in results.performances if each.team == team}
    with_figures = len(of_team.intersection(played))
    yield sentences(
        wording.say("Average: points per strike; best: the most points in a match."),
        wording.say(
            "What each player struck is known in {known} of the team’s {all} matches; the figures"
            " are those on record.",
            known=wording.number(with_figures),
            all=wording.number(len(played)),
        )
        if with_figures < len(played)
        else NOTHING,
    )
    if whole:
        shown = table(
            rows,
            wording.column("Name", lambda striker: wording.player(striker.player, results.year)),
            wording.column("Points", points),
        )
        yield wording.titled("Points match by match", shown, level=3)
