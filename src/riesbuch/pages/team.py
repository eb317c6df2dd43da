"""The page of a team in a competition: how it went match by match, and how its players struck."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import partial
from typing import NamedTuple

from riesbuch.pages.markdown import (
    NOTHING,
    Markdown,
    PageColumn,
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
from riesbuch.pages.wording import Wording
from riesbuch.questions.results import CompetitionResults, RecordedMatch, is_league
from riesbuch.trade.course import FORM_LENGTH, Stage, result_for
from riesbuch.trade.ids import SIDES, ClubId, PlayerId, SheetId, SideName, TeamId, opponent_of
from riesbuch.trade.match import Outcome
from riesbuch.trade.standings import Standing
from riesbuch.trade.strikers import Performance, Striker

_MOST_ON_ONE_LINE = 16
"""A team's matches, up to which each player's points in all of them are told when it is over."""
_UNBROKEN = "\u00a0"


class _Side(NamedTuple):
    """The team in one of its matches."""

    match: RecordedMatch
    name: SideName


class _Team(NamedTuple):
    team: TeamId
    row: Standing
    matches: Sequence[_Side]
    ranks: Mapping[SheetId, int]
    """The team's place after the round of each match."""
    struck: Mapping[PlayerId, Sequence[Performance]]
    """Of everybody who struck for the team, what they struck in the competition, by date."""


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
    of_team = _of_team(results, row, course() if is_league(results) else ())
    here = team_page(year, competition.id, row.team)
    return wording.page(
        here,
        joined([wording.team(row.team), wording.competition_title(year, competition)], " – "),
        sentences(_stands(past, results, of_team), wording.left_out(len(results.left_out))),
        _next(past, results, row.team, here),
        wording.titled("Results", _results(past, results, of_team, here)),
        wording.titled("Players", _players(past, results, of_team, here)),
        ways=[
            wording.competition_title(year, competition, here),
            link(here, strikers_page(year, competition.id), wording.say("Striker table")),
            *_club(wording, row.team, here),
        ],
    )


def _club(wording: Wording, team: TeamId, here: str) -> Iterator[Markdown]:
    club = ClubId(team.rpartition("-")[0])
    if club in wording.register.clubs:
        yield wording.club(club, here)


def _of_team(results: CompetitionResults, row: Standing, course: Sequence[Stage]) -> _Team:
    matches = [
        _Side(match, name)
        for match in results.matches
        for name in SIDES
        if match.tally.side(name).team == row.team
    ]
    ranks = {
        tally.sheet: after.rank
        for stage in course
        for after in stage.table
        if after.team == row.team
        for tally in stage.played
    }
    struck: dict[PlayerId, list[Performance]] = defaultdict(list)
    for performance in results.performances:
        struck[performance.player].append(performance)
    own = {
        player: listed
        for player, listed in struck.items()
        if any(performance.team == row.team for performance in listed)
    }
    return _Team(row.team, row, matches, ranks, own)


def _stands(past: Past, results: CompetitionResults, of_team: _Team) -> Markdown:
    """The place in the table, and on how much of the competition it rests."""
    wording, row = past.wording, of_team.row
    known = past.competitions.get((results.year, results.competition.id))
    if not row.played:
        return wording.say("No match of the team is in the tables.")
    matches = wording.counted(row.played, "{count} match", "{count} matches")
    if known is not None and known.planned is not None and not known.complete:
        qualified = wording.say(
            "Of the competition {played} of {all} matches are in the tables."
            if past.is_under_way(results.year)
            else "Of the competition {played} of {all} matches are on record.",
            played=wording.number(known.played),
            all=wording.number(known.planned),
        )
    else:
        qualified = NOTHING
    if not is_league(results):
        return sentences(wording.say("{matches}, of which {won} won.", won=wording.number(row.won),
                                     matches=matches), qualified)  # fmt: skip
    return sentences(
        wording.say(
            "Rank {rank} of {teams}: {rank_points}, {matches}.",
            rank=strong(wording.number(row.rank)),
            teams=wording.number(len(results.standings)),
            rank_points=wording.counted(
                row.rank_points, "{count} rank point", "{count} rank points"
            ),
            matches=matches,
        ),
        qualified,
    )


def _next(past: Past, results: CompetitionResults, team: TeamId, here: str) -> Markdown:
    """The next match, where the season is under way."""
    wording = past.wording
    coming = [
        game
        for game in past.coming
        if past.is_under_way(results.year)
        and game.fixture.competition == results.competition.id
        and team in (game.fixture.home, game.fixture.away)
    ]
    for day, fixture in coming[:1]:
        away = fixture.home if fixture.away == team else fixture.away
        club = wording.register.clubs.get(ClubId(fixture.home.rpartition("-")[0]))
        place = [wording.text(club.ground)] if club and club.ground else []
        return wording.say(
            "Next match: {when}, at home against {team}."
            if fixture.home == team
            else "Next match: {when}, away against {team}.",
            when=joined([strong(wording.date(day)), *place]),
            team=past.team(here, results.year, results.competition.id, away),
        )
    return NOTHING


def _results(past: Past, results: CompetitionResults, of_team: _Team, here: str) -> Markdown:
    wording = past.wording

    def opponent(side: _Side) -> Markdown:
        other = side.match.tally.side(opponent_of(side.name)).team
        if other is None:
            return wording.unknown
        name = past.team(here, results.year, results.competition.id, other)
        if side.name == "home":
            return wording.say("{team} (home)", team=name)
        return wording.say("{team} (away)", team=name)

    def result(side: _Side) -> Markdown:
        tally = side.match.tally
        mine, theirs = tally.side(side.name), tally.side(opponent_of(side.name))
        if not tally.counts or tally.outcome is Outcome.FORFEITED:
            words = outcome_words(wording, side.match)
        else:
            letter = result_letter(wording, result_for(tally.winner, side.name))
            pair = wording.pair(mine.points, theirs.points).replace(" ", _UNBROKEN)
            words = joined([letter, Markdown(pair)], _UNBROKEN)
        return link(here, match_page(tally.sheet), words) if has_page(side.match) else words

    def nummern(side: _Side) -> Markdown:
        tally = side.match.tally
        return wording.pair(
            tally.side(side.name).nummern, tally.side(opponent_of(side.name)).nummern
        )

    place: PageColumn[_Side] = wording.figure_column(
        "Place", lambda side: of_team.ranks.get(side.match.tally.sheet)
    )
    shown = table(
        of_team.matches,
        wording.column("Date", lambda side: _day(wording, side.match)),
        wording.column("Opponent", opponent),
        wording.column("Result", result),
        place if of_team.ranks else None,
        wording.figure_column("Nummern", nummern),
    )
    note = wording.say(
        "W won, D drawn, L lost; points and Nummern conceded of this team first, place after the"
        " round."
        if of_team.ranks
        else "W won, D drawn, L lost; points and Nummern conceded of this team first."
    )
    return stacked(shown, note) if shown else NOTHING


def _day(wording: Wording, match: RecordedMatch) -> Markdown:
    date = match.tally.date
    return wording.unknown if date is None else wording.day(date)


def _players(past: Past, results: CompetitionResults, of_team: _Team, here: str) -> Markdown:
    wording = past.wording
    rows = [striker for striker in results.strikers if striker.player in of_team.struck]
    known = past.competitions.get((results.year, results.competition.id))
    is_over = known is not None and known.complete
    struck = [
        side.match.tally.sheet
        for side in of_team.matches
        if side.match.tally.counts and side.match.tally.outcome is not Outcome.FORFEITED
    ]
    whole = is_over and len(struck) <= _MOST_ON_ONE_LINE

    def name(striker: Striker) -> Markdown:
        told = wording.player(striker.player, results.year, here)
        teams = [performance.team for performance in of_team.struck[striker.player]]
        others = {team for team in teams if team != of_team.team}
        if not others:
            return told
        listed = wording.listed(map(wording.team, sorted(others)))
        return wording.say("{name} (also for {teams})", name=told, teams=listed)

    def points(shown: Iterable[int | None]) -> Markdown:
        return joined(map(wording.number, shown), _UNBROKEN)

    def last(striker: Striker) -> Markdown:
        return points(each.points for each in of_team.struck[striker.player][-FORM_LENGTH:])

    def match_by_match(striker: Striker) -> Markdown:
        by_sheet = {each.sheet: each.points for each in of_team.struck[striker.player]}
        return points(map(by_sheet.get, struck))

    return stacked(
        table(
            rows,
            wording.figures(
                wording.say("Rank of {count}", count=wording.number(len(results.strikers))),
                lambda striker: striker.rank,
            ),
            wording.column("Name", name),
            None if whole else wording.column("Last five", last),
            wording.figure_column("Points", lambda striker: striker.points),
            wording.figure_column("Average", lambda striker: striker.average)
            if any(striker.strikes for striker in rows)
            else None,
            wording.figure_column("Best", lambda striker: striker.best),
            wording.figure_column("Matches", lambda striker: striker.matches),
        ),
        _players_note(wording, of_team, struck) if rows else NOTHING,
        wording.titled(
            "Points match by match",
            table(
                rows,
                wording.column(
                    "Name", lambda striker: wording.player(striker.player, results.year)
                ),
                wording.column("Points", match_by_match),
            ),
            level=3,
        )
        if whole
        else NOTHING,
    )


def _players_note(wording: Wording, of_team: _Team, struck: Sequence[SheetId]) -> Markdown:
    """On how many of the team's matches the figures rest, where not on all."""
    with_figures = {
        performance.sheet
        for listed in of_team.struck.values()
        for performance in listed
        if performance.team == of_team.team
    }
    known = len(with_figures.intersection(struck))
    return sentences(
        wording.say("Average: points per strike; best: the most points in a match."),
        wording.say(
            "What each player struck is known in {known} of the team’s {all} matches; the figures"
            " are those on record.",
            known=wording.number(known),
            all=wording.number(len(struck)),
        )
        if known < len(struck)
        else NOTHING,
    )
