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
from riesbuch.pages.wording import Wording
from riesbuch.questions.results import CompetitionResults, RecordedMatch, is_league
from riesbuch.trade.certainty import SurePlaces
from riesbuch.trade.season import Competition, CompetitionKind, Fixture
from riesbuch.trade.standings import Standing


def competition_title(wording: Wording, year: int, competition: Competition) -> Markdown:
    return wording.say(
        "{competition}, {year}", competition=escape(competition.name), year=Markdown(str(year))
    )


def season_title(wording: Wording, year: int) -> Markdown:
    return wording.say("Season {year}", year=Markdown(str(year)))


def competition_text(
    archive: Archive,
    wording: Wording,
    results: CompetitionResults,
    drawings: Sequence[Drawing] = (),
) -> str:

    here = competition_page(results.year, results.competition.id)
    fixtures = fixtures_of(archive, results)
    strikers = strikers_page(results.year, results.competition.id)
    return page(
        [
            heading(1, competition_title(wording, results.year, results.competition)),
            joined(
                [
                    link(here, FRONT_PAGE, escape(archive.league.name)),
                    link(here, season_page(results.year), season_title(wording, results.year)),
                    link(here, strikers, wording.say("Striker table")),
                ],
                " · ",
            ),
            _how_many(wording, results, fixtures),
            heading(2, wording.say("Standings")),
            *_standings(wording, results, sure_places_of(results, fixtures), here),
            *shown(here, drawings),
            *cross_table(wording, results, here),
            *season_totals(wording, results),
            heading(2, wording.say("Results")),
            *_results(wording, results, here),
            *_to_come(wording, results, fixtures),
        ]
    )


def _how_many(
    wording: Wording, results: CompetitionResults, fixtures: Sequence[Fixture]
) -> Markdown:
    in_all = planned(results, fixtures)
    sentences = []
    if in_all is None:
        sentences.append(
            wording.counted(
                len(played(results)),
                "In the tables: {count} match.",
                "In the tables: {count} matches.",
            )
        )
    else:
        sentences.append(
            wording.say(
                "In the tables: {count} of {all} matches.",
                count=wording.number(len(played(results))),
                all=wording.number(in_all),
            )
        )
    if results.left_out:
        sentences.append(
            wording.counted(
                len(results.left_out),
                "{count} sheet has an error and is left out of everything here; `riesbuch"
                " check` names it.",
                "{count} sheets have errors and are left out of everything here; `riesbuch"
                " check` names them.",
            )
        )
    return joined(sentences, " ")


def _standings(
    wording: Wording, results: CompetitionResults, sure: SurePlaces, here: str
) -> list[Markdown]:
    if not results.standings:
        return [wording.say("No team has played yet.")]
    kind = results.competition.kind
    ranked = kind in (CompetitionKind.LEAGUE, CompetitionKind.FESTIVAL)
    columns = [
        wording.figures("Rank"),
        wording.column("Team"),
        wording.figures("Played"),
        wording.figures("Won"),
        wording.figures("Drawn"),
        wording.figures("Lost"),
        wording.figures("Nummern"),
        wording.figures("Points"),
        wording.figures("Rank points"),
    ]
    columns.append(wording.column("Form"))
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
        [
            *_standing(wording, each, _marked(wording, results, each, sure, here)),
            course.form(wording, each),
        ]
        for each in lines
    ]
    if is_league(results):
        for row, each in zip(rows, lines, strict=True):
            row[0] = course.rank(wording, each)
    remarks = [
        wording.say("Nummern are those a side conceded in the field: the fewer, the better.")
    ]
    if is_league(results) and results.standings[0].played:
        remarks.append(
            wording.say(
                "Form: the last five matches, the newest to the right (W won, D drawn, L lost)."
            )
        )
        remarks += (
            [wording.say("▲ and ▼: places gained and lost by the last round.")]
            if course.moved
            else []
        )
    return [
        table([columns[index] for index in kept], [[row[index] for index in kept] for row in rows]),
        joined(remarks, " "),
    ]


def _standing(wording: Wording, row: Standing, team: Markdown) -> list[Markdown]:
    return [
        wording.number(row.rank),
        team,
        wording.number(row.played),
        wording.number(row.won),
        wording.number(row.drawn),
        wording.number(row.lost),
        wording.at_least(row.nummern, row.nummern_unknown),
        wording.at_least(row.points, row.points_unknown),
        wording.number(row.rank_points),
    ]


def _marked(
    wording: Wording, results: CompetitionResults, row: Standing, sure: SurePlaces, here: str
) -> Markdown:
    """The team, marked if it goes up or down, whatever is still missing."""
    team = wording.team(row.team, here)
    if not is_league(results):
        return team
    if row.team in sure.promoted:
        return wording.say("{team} (promoted)", team=team)
    if row.team in sure.relegated:
        return wording.say("{team} (relegated)", team=team)
    return team


def _results(wording: Wording, results: CompetitionResults, here: str) -> list[Markdown]:
    if not results.matches:
        return [wording.say("No match has been recorded yet.")]
    by_round: dict[int | None, list[RecordedMatch]] = {}
    for each in results.matches:
        by_round.setdefault(each.tally.round, []).append(each)
    blocks: list[Markdown] = []
    for number in sorted(each for each in by_round if each is not None):
        title = wording.say("Round {number}", number=Markdown(str(number)))
        blocks += [heading(3, title), _match_table(wording, by_round[number], here)]
    if None in by_round:
        if len(by_round) > 1:
            blocks.append(heading(3, wording.say("Without a round")))
        blocks.append(_match_table(wording, by_round[None], here))
    return blocks


def _match_table(wording: Wording, matches: Sequence[RecordedMatch], here: str) -> Markdown:
    columns = [
        wording.column("Date"),
        wording.column("Match"),
        wording.figures("Nummern"),
        wording.figures("Points"),
        wording.column("Winner"),
    ]
    return table(columns, [_match_row(wording, each, here) for each in matches])


def _match_row(wording: Wording, each: RecordedMatch, here: str) -> list[Markdown]:
    home, away = each.tally.home, each.tally.away
    sides = joined([wording.team(home.team), wording.team(away.team)], " – ")
    listed = has_page(each)
    return [
        wording.date(each.tally.date),
        link(here, match_page(each.tally.sheet), sides) if listed else sides,
        wording.pair(home.nummern, away.nummern) if listed else wording.unknown,
        wording.pair(home.points, away.points) if listed else wording.unknown,
        outcome_words(wording, each),
    ]


def _to_come(
    wording: Wording, results: CompetitionResults, fixtures: Sequence[Fixture]
) -> list[Markdown]:
    found = to_come(fixtures, recorded_in(results))
    return (
        [heading(2, wording.say("Still to come")), listed_fixtures(wording, found)] if found else []
    )


def listed_fixtures(wording: Wording, found: Iterable[ToCome]) -> Markdown:
    return bullets(
        fill(
            wording.say("{date}: {home} – {away}")
            if fixture.round is None
            else wording.say("{date}, round {number}: {home} – {away}"),
            date=wording.date(day),
            home=wording.team(fixture.home),
            away=wording.team(fixture.away),
            number=Markdown(str(fixture.round)),
        )
        for day, fixture in found
    )
