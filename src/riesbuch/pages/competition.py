"""A competition's page: its table, its results, and what is still to come."""

from collections.abc import Iterable, Sequence

from riesbuch.folder.archive import Archive
from riesbuch.pages.competition_course import Course, cross_table, season_totals
from riesbuch.pages.completeness import (
    ToCome,
    fixtures_of,
    planned,
    played,
    recorded_in,
    sure_places_of,
    to_come,
)
from riesbuch.pages.drawings import Drawing, shown
from riesbuch.pages.markdown import (
    Column,
    Markdown,
    bullets,
    escape,
    fill,
    heading,
    joined,
    link,
    page,
    table,
)
from riesbuch.pages.outcomes import has_page, outcome_words
from riesbuch.pages.paths import (
    FRONT_PAGE,
    competition_page,
    match_page,
    season_page,
    strikers_page,
)
from riesbuch.pages.wording import Pen
from riesbuch.questions.results import CompetitionResults, RecordedMatch, is_league
from riesbuch.trade.certainty import SurePlaces
from riesbuch.trade.season import Competition, CompetitionKind, Fixture
from riesbuch.trade.standings import Standing


def competition_title(pen: Pen, year: int, competition: Competition) -> Markdown:
    return fill(pen.say.in_season, competition=escape(competition.name), year=Markdown(str(year)))


def season_title(pen: Pen, year: int) -> Markdown:
    return escape(f"{pen.say.season} {year}")


def competition_text(
    archive: Archive, pen: Pen, results: CompetitionResults, drawings: Sequence[Drawing] = ()
) -> str:

    here = competition_page(results.year, results.competition.id)
    fixtures = fixtures_of(archive, results)
    strikers = strikers_page(results.year, results.competition.id)
    return page(
        [
            heading(1, competition_title(pen, results.year, results.competition)),
            joined(
                [
                    link(here, FRONT_PAGE, escape(archive.league.name)),
                    link(here, season_page(results.year), season_title(pen, results.year)),
                    link(here, strikers, escape(pen.say.strikers)),
                ],
                " · ",
            ),
            _how_many(pen, results, fixtures),
            heading(2, escape(pen.say.standings)),
            *_standings(pen, results, sure_places_of(results, fixtures), here),
            *shown(here, drawings),
            *cross_table(pen, results, here),
            *season_totals(pen, results),
            heading(2, escape(pen.say.results)),
            *_results(pen, results, here),
            *_to_come(pen, results, fixtures),
        ]
    )


def _how_many(pen: Pen, results: CompetitionResults, fixtures: Sequence[Fixture]) -> Markdown:
    say = pen.say
    in_all = planned(results, fixtures)
    sentences = []
    if in_all is None:
        sentences.append(pen.counted(len(played(results)), say.matches_one, say.matches_many))
    else:
        sentences.append(
            fill(
                say.matches_of_planned,
                count=pen.number(len(played(results))),
                all=pen.number(in_all),
            )
        )
    if results.left_out:
        sentences.append(pen.counted(len(results.left_out), say.left_out_one, say.left_out_many))
    return joined(sentences, " ")


def _standings(
    pen: Pen, results: CompetitionResults, sure: SurePlaces, here: str
) -> list[Markdown]:
    say = pen.say
    if not results.standings:
        return [escape(say.no_teams)]
    kind = results.competition.kind
    ranked = kind in (CompetitionKind.LEAGUE, CompetitionKind.FESTIVAL)
    columns = [
        Column(escape(say.rank), figures=True),
        Column(escape(say.team)),
        *(
            Column(escape(title), figures=True)
            for title in (say.played, say.won, say.drawn, say.lost, say.nummern, say.points)
        ),
        Column(escape(say.rank_points), figures=True),
    ]
    columns.append(Column(escape(say.form)))
    kept = [
        index
        for index in range(len(columns))
        if (ranked or index > 0) and (is_league(results) or index < len(columns) - 2)
    ]
    lines = results.standings
    if kind is CompetitionKind.CUP:
        lines = tuple(sorted(lines, key=lambda each: -each.won))
    course = Course(results)
    rows = [
        [*_standing(pen, each, _marked(pen, results, each, sure, here)), course.form(pen, each)]
        for each in lines
    ]
    if is_league(results):
        for row, each in zip(rows, lines, strict=True):
            row[0] = course.rank(pen, each)
    remarks = [escape(say.nummern_conceded)]
    if is_league(results) and results.standings[0].played:
        remarks.append(escape(say.form_legend))
        remarks += [escape(say.movement_legend)] if course.moved else []
    return [
        table([columns[index] for index in kept], [[row[index] for index in kept] for row in rows]),
        joined(remarks, " "),
    ]


def _standing(pen: Pen, row: Standing, team: Markdown) -> list[Markdown]:
    return [
        pen.number(row.rank),
        team,
        pen.number(row.played),
        pen.number(row.won),
        pen.number(row.drawn),
        pen.number(row.lost),
        pen.at_least(row.nummern, row.nummern_unknown),
        pen.at_least(row.points, row.points_unknown),
        pen.number(row.rank_points),
    ]


def _marked(
    pen: Pen, results: CompetitionResults, row: Standing, sure: SurePlaces, here: str
) -> Markdown:
    """The team, marked if it goes up or down, whatever is still missing."""
    team = pen.team(row.team, here)
    if not is_league(results):
        return team
    if row.team in sure.promoted:
        return fill(pen.say.promoted, team=team)
    if row.team in sure.relegated:
        return fill(pen.say.relegated, team=team)
    return team


def _results(pen: Pen, results: CompetitionResults, here: str) -> list[Markdown]:
    say = pen.say
    if not results.matches:
        return [escape(say.no_matches)]
    by_round: dict[int | None, list[RecordedMatch]] = {}
    for each in results.matches:
        by_round.setdefault(each.tally.round, []).append(each)
    blocks: list[Markdown] = []
    for number in sorted(each for each in by_round if each is not None):
        title = fill(say.round, number=Markdown(str(number)))
        blocks += [heading(3, title), _match_table(pen, by_round[number], here)]
    if None in by_round:
        if len(by_round) > 1:
            blocks.append(heading(3, escape(say.without_round)))
        blocks.append(_match_table(pen, by_round[None], here))
    return blocks


def _match_table(pen: Pen, matches: Sequence[RecordedMatch], here: str) -> Markdown:
    say = pen.say
    columns = [
        Column(escape(say.date)),
        Column(escape(say.match)),
        Column(escape(say.nummern), figures=True),
        Column(escape(say.points), figures=True),
        Column(escape(say.outcome)),
    ]
    return table(columns, [_match_row(pen, each, here) for each in matches])


def _match_row(pen: Pen, each: RecordedMatch, here: str) -> list[Markdown]:
    home, away = each.tally.home, each.tally.away
    sides = joined([pen.team(home.team), pen.team(away.team)], " – ")
    listed = has_page(each)
    return [
        pen.date(each.tally.date),
        link(here, match_page(each.tally.sheet), sides) if listed else sides,
        pen.pair(home.nummern, away.nummern) if listed else pen.unknown,
        pen.pair(home.points, away.points) if listed else pen.unknown,
        outcome_words(pen, each),
    ]


def _to_come(pen: Pen, results: CompetitionResults, fixtures: Sequence[Fixture]) -> list[Markdown]:
    found = to_come(fixtures, recorded_in(results))
    return [heading(2, escape(pen.say.to_come)), listed_fixtures(pen, found)] if found else []


def listed_fixtures(pen: Pen, found: Iterable[ToCome]) -> Markdown:
    return bullets(
        fill(
            pen.say.fixture if fixture.round is None else pen.say.fixture_in_round,
            date=pen.date(day),
            home=pen.team(fixture.home),
            away=pen.team(fixture.away),
            number=Markdown(str(fixture.round)),
        )
        for day, fixture in found
    )
