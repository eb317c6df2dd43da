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
    return pen.say(
        "{competition}, {year}", competition=escape(competition.name), year=Markdown(str(year))
    )


def season_title(pen: Pen, year: int) -> Markdown:
    return pen.say("Season {year}", year=Markdown(str(year)))


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
                    link(here, strikers, pen.say("Striker table")),
                ],
                " · ",
            ),
            _how_many(pen, results, fixtures),
            heading(2, pen.say("Standings")),
            *_standings(pen, results, sure_places_of(results, fixtures), here),
            *shown(here, drawings),
            *cross_table(pen, results, here),
            *season_totals(pen, results),
            heading(2, pen.say("Results")),
            *_results(pen, results, here),
            *_to_come(pen, results, fixtures),
        ]
    )


def _how_many(pen: Pen, results: CompetitionResults, fixtures: Sequence[Fixture]) -> Markdown:
    in_all = planned(results, fixtures)
    sentences = []
    if in_all is None:
        sentences.append(
            pen.counted(
                len(played(results)),
                "In the tables: {count} match.",
                "In the tables: {count} matches.",
            )
        )
    else:
        sentences.append(
            pen.say(
                "In the tables: {count} of {all} matches.",
                count=pen.number(len(played(results))),
                all=pen.number(in_all),
            )
        )
    if results.left_out:
        sentences.append(
            pen.counted(
                len(results.left_out),
                "{count} sheet has an error and is left out of everything here; `riesbuch"
                " check` names it.",
                "{count} sheets have errors and are left out of everything here; `riesbuch"
                " check` names them.",
            )
        )
    return joined(sentences, " ")


def _standings(
    pen: Pen, results: CompetitionResults, sure: SurePlaces, here: str
) -> list[Markdown]:
    if not results.standings:
        return [pen.say("No team has played yet.")]
    kind = results.competition.kind
    ranked = kind in (CompetitionKind.LEAGUE, CompetitionKind.FESTIVAL)
    columns = [
        pen.figures("Rank"),
        pen.column("Team"),
        pen.figures("Played"),
        pen.figures("Won"),
        pen.figures("Drawn"),
        pen.figures("Lost"),
        pen.figures("Nummern"),
        pen.figures("Points"),
        pen.figures("Rank points"),
    ]
    columns.append(pen.column("Form"))
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
    remarks = [pen.say("Nummern are those a side conceded in the field: the fewer, the better.")]
    if is_league(results) and results.standings[0].played:
        remarks.append(
            pen.say(
                "Form: the last five matches, the newest to the right (W won, D drawn, L lost)."
            )
        )
        remarks += (
            [pen.say("▲ and ▼: places gained and lost by the last round.")] if course.moved else []
        )
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
        return pen.say("{team} (promoted)", team=team)
    if row.team in sure.relegated:
        return pen.say("{team} (relegated)", team=team)
    return team


def _results(pen: Pen, results: CompetitionResults, here: str) -> list[Markdown]:
    if not results.matches:
        return [pen.say("No match has been recorded yet.")]
    by_round: dict[int | None, list[RecordedMatch]] = {}
    for each in results.matches:
        by_round.setdefault(each.tally.round, []).append(each)
    blocks: list[Markdown] = []
    for number in sorted(each for each in by_round if each is not None):
        title = pen.say("Round {number}", number=Markdown(str(number)))
        blocks += [heading(3, title), _match_table(pen, by_round[number], here)]
    if None in by_round:
        if len(by_round) > 1:
            blocks.append(heading(3, pen.say("Without a round")))
        blocks.append(_match_table(pen, by_round[None], here))
    return blocks


def _match_table(pen: Pen, matches: Sequence[RecordedMatch], here: str) -> Markdown:
    columns = [
        pen.column("Date"),
        pen.column("Match"),
        pen.figures("Nummern"),
        pen.figures("Points"),
        pen.column("Winner"),
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
    return [heading(2, pen.say("Still to come")), listed_fixtures(pen, found)] if found else []


def listed_fixtures(pen: Pen, found: Iterable[ToCome]) -> Markdown:
    return bullets(
        fill(
            pen.say("{date}: {home} – {away}")
            if fixture.round is None
            else pen.say("{date}, round {number}: {home} – {away}"),
            date=pen.date(day),
            home=pen.team(fixture.home),
            away=pen.team(fixture.away),
            number=Markdown(str(fixture.round)),
        )
        for day, fixture in found
    )
