"""A competition's table of teams, as its page, the season's and the front page show it; the rank
lists of a festival in parts; a cup's bracket; and the page of a team in a competition: how it went
match by match, and how its players struck."""

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import partial
from typing import Literal, NamedTuple

from riesbuch.folder.archive import Archive
from riesbuch.pages.markdown import (
    NOTHING,
    Markdown,
    PageColumn,
    escape,
    joined,
    link,
    sentences,
    stacked,
    strong,
    table,
)
from riesbuch.pages.outcomes import (
    fixtures_of,
    has_page,
    outcome_words,
    result_letter,
    result_words,
)
from riesbuch.pages.past import Past
from riesbuch.pages.paths import (
    Page,
    competition_page,
    match_page,
    rank_list_page,
    strikers_page,
    team_page,
)
from riesbuch.pages.wording import Wording
from riesbuch.questions.honours import TableRow
from riesbuch.questions.results import CompetitionResults, RecordedMatch, is_league
from riesbuch.trade.bracket import Alone, Bracket, Row, Tie, bracket
from riesbuch.trade.certainty import SurePlaces
from riesbuch.trade.course import FORM_LENGTH, Stage
from riesbuch.trade.ids import (
    SIDES,
    CompetitionId,
    PlayerId,
    SideName,
    TeamId,
    club_of,
    opponent_of,
)
from riesbuch.trade.match import Outcome
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.season import Part
from riesbuch.trade.standings import Standing, standings
from riesbuch.trade.strikers import AwardGiven, Performance, Striker
from riesbuch.trade.tally import SideTally, Tally, result_for

TeamRow = Standing | TableRow
Going = Literal["by results", "by figures", "unranked"]

MOST_ROWS = 16
"""Of a table beside others; of a longer one, such as a festival's, those in front."""


def team_table(
    past: Past,
    of: tuple[int, str],
    rows: Sequence[TeamRow],
    here: str,
    going: Going,
    *,
    forms: Mapping[TeamId, Sequence[str]] | None = None,
    moved: Mapping[TeamId, int] | None = None,
    sure: SurePlaces | None = None,
    won: Mapping[TeamId, Sequence[Markdown]] | None = None,
    most: int | None = None,
) -> Markdown:
    """What a phone shows without moving it comes first. ``forms`` are the teams' last results and
    ``moved`` how many places they gained, of leagues alone; ``sure`` who goes up or down, ``won``
    the names of awards. Where ``most`` is given there are not more rows than that."""
    wording, moved = past.wording, moved or {}
    last = {
        # Not to be broken in a narrow column.
        team: joined([result_letter(wording, result) for result in listed], "\u00a0")
        for team, listed in (forms or {}).items()
    }
    played, *others = wording.total_columns(by_figures=going == "by figures")
    if going == "by figures":
        # What ranks them comes first, and under a head as narrow as a phone wants it.
        nummern, points = others
        played, others = nummern._replace(title=wording.say("Nr.")), [points, played]
    shown = table(
        rows[:most],
        wording.figure_column("Rank", lambda row: _rank(wording, row, moved))
        if going != "unranked"
        else None,
        wording.column("Team", lambda row: marked(past, of, row, here, sure or SurePlaces())),
        played,
        wording.figures(rank_points_title(wording), lambda row: row.rank_points)
        if forms is not None
        else None,
        *others,
        wording.column("Form", lambda row: last.get(TeamId(row.team), wording.unknown))
        if last
        else None,
        wording.column("Awards", lambda row: joined((won or {}).get(TeamId(row.team), ())))
        if won
        else None,
    )
    if most is None or len(rows) <= most:
        return shown
    numbers = {"shown": wording.number(most), "count": wording.number(len(rows))}
    return stacked(shown, wording.say("The first {shown} of {count} teams.", **numbers))


def rank_points_title(wording: Wording) -> Markdown:
    return Markdown(wording.words.pgettext("may be broken", "Rank points"))


def table_notes(wording: Wording, *, formed: bool, moved: Mapping[TeamId, int]) -> Markdown:
    """What is to be known of the signs in it."""
    return sentences(
        wording.say("Nummern are those a side conceded in the field: the fewer, the better."),
        wording.say(
            "Form: the last five matches, the newest to the right (W won, D drawn, L lost)."
        )
        if formed
        else NOTHING,
        wording.say("▲ and ▼: places gained and lost by the last round.")
        if formed and any(moved.values())
        else NOTHING,
    )


def best_strikers(
    past: Past, of: tuple[int, str], strikers: Sequence[tuple[str, str | None, int, int]], here: str
) -> Markdown:
    """Who struck best: player, team, points and rank points of each, these where they decide."""
    wording = past.wording
    competition = past.archive.competition(of[0], CompetitionId(of[1]))
    rules = past.archive.rules_of(competition) if competition else None
    ranked = rules is not None and rules.strikers.order[0] == "rank_points"
    lines = (
        wording.say(
            "{player} ({team}), {figure} rank points"
            if ranked
            else "{player} ({team}), {figure} points",
            player=wording.player(player, of[0], here),
            team=wording.team(team),
            figure=wording.number(rank_points if ranked else points),
        )
        for player, team, points, rank_points in strikers
    )
    told = joined(lines, "; ")
    return wording.say("Best strikers: {players}.", players=told) if told else NOTHING


def _rank(wording: Wording, row: TeamRow, moved: Mapping[TeamId, int]) -> Markdown:
    """With how many places were gained by the last round; below nought they were lost."""
    places = moved.get(TeamId(row.team), 0)
    if places == 0:
        return wording.number(row.rank)
    sign = "▲" if places > 0 else "▼"
    return Markdown(f"{wording.number(row.rank)} {sign}{wording.number(abs(places))}")


def marked(past: Past, of: tuple[int, str], row: TeamRow, here: str, sure: SurePlaces) -> Markdown:
    """The team, marked if it goes up or down, whatever is still missing."""
    wording, team = past.wording, past.team(here, *of, row.team)
    if row.team in sure.promoted:
        return wording.say("{team} (promoted)", team=team)
    if row.team in sure.relegated:
        return wording.say("{team} (relegated)", team=team)
    return team


class RankList(NamedTuple):
    """Over all parts where ``part`` is None; ``matches`` is how many of them it rests on."""

    part: Part | None
    path: str
    rules: RuleSet
    rows: Sequence[Standing]
    matches: int
    awards: Sequence[AwardGiven]

    def title(self, wording: Wording) -> Markdown:
        if self.part is None:
            return wording.say("Rank list")
        return wording.say("Rank list: {part}", part=escape(self.part.name))

    def table(self, past: Past, of: tuple[int, str], here: str) -> Markdown:
        going: Going = "by figures" if self.rules.ranks_by_figures else "by results"
        won: dict[TeamId, list[Markdown]] = defaultdict(list)
        for given in self.awards:
            for team in given.teams:
                won[team].append(escape(given.award.name))
        return team_table(past, of, self.rows, here, going, won=won)


def rank_lists(past: Past, results: CompetitionResults) -> Iterator[RankList]:
    """Over all, then of each part; of those that have a result, and of a festival in parts."""
    competition = results.competition
    tallies = [match.tally for match in results.matches if match.tally.counts]
    for part in (None, *competition.parts) if competition.parts else ():
        of_it = [tally for tally in tallies if part is None or tally.part == part.id]
        rules = past.archive.rules_of(competition, part.id) if part else results.rules
        if of_it and rules is not None:
            path = rank_list_page(results.year, competition.id, part.id if part else None)
            table = standings(of_it, competition.teams, rules) if part else results.standings
            rows = [row for row in table if row.played]
            awards = () if part else results.awards
            yield RankList(part, path, rules, rows, len(of_it), awards)


def rank_list_text(past: Past, results: CompetitionResults, ranks: RankList) -> str:
    wording, year, here = past.wording, results.year, ranks.path
    competition = results.competition
    return wording.page(
        here,
        joined([ranks.title(wording), wording.competition_title(year, competition)]),
        ranks.table(past, (year, competition.id), here),
        sentences(
            wording.counted(
                ranks.matches, "In the tables: {count} match.", "In the tables: {count} matches."
            ),
            wording.left_out(len(results.left_out)),
        ),
        NOTHING if ranks.part else past.ruling_notes([(year, competition.id)]),
        ways=[
            wording.season_title(year, here),
            link(here, competition_page(year, competition.id), escape(competition.name)),
        ],
    )


def bracket_of(archive: Archive, results: CompetitionResults) -> Bracket | None:
    tallies = [match.tally for match in results.matches]
    return bracket(results.competition.teams, fixtures_of(archive, results), tallies)


def bracket_table(
    wording: Wording, results: CompetitionResults, drawn: Bracket, here: str
) -> Markdown:
    recorded = {match.tally.sheet: match for match in results.matches}

    def cell(found: Tie | Alone | None) -> Markdown:
        if found is None:
            return Markdown("")
        if isinstance(found, Alone):
            team = wording.team(found.team)
            return wording.say("{team}: bye", team=team) if found.later else Markdown(f"{team} – ?")
        sides = wording.sides(*found.teams)
        if not found.tallies:
            day = wording.date(found.fixture.date if found.fixture else None)
            return joined([sides, day])
        return joined(map(played, found.tallies), "; ")

    def played(tally: Tally) -> Markdown:
        match = recorded[tally.sheet]
        home, away = match.tally.home, match.tally.away
        sides = wording.sides(home.team, away.team)
        nummern = Markdown(wording.pair(home.nummern, away.nummern).replace(" ", "\u00a0"))
        words = [result_words(wording, match)]
        if home.nummern is not None or away.nummern is not None:
            words.append(wording.say("Nummern {figures}", figures=nummern))
        if has_page(match):
            sides = link(here, match_page(match.tally.sheet), sides)
        return joined([sides, joined(words)], " ")

    def of_round(index: int, number: int) -> PageColumn[Row]:
        is_final = drawn.final is not None and drawn.final.round == number
        title = wording.say("Round {number}", number=Markdown(str(number)))
        return PageColumn(wording.say("Final") if is_final else title, lambda row: cell(row[index]))

    winner = drawn.final.gone_on if drawn.final is not None else None
    return stacked(
        NOTHING
        if winner is None
        else wording.say("Winner of the final: {team}.", team=wording.team(winner)),
        table(drawn.rows, *(of_round(index, number) for index, number in enumerate(drawn.rounds))),
        sentences(
            wording.say("In bold the points of the side that won and went on."),
            wording.say("Nummern are those a side conceded in the field: the fewer, the better."),
        ),
    )


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
    club = club_of(row.team)
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
        club = wording.register.clubs.get(club_of(fixture.home))
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
