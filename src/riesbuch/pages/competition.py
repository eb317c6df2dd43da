"""A competition's pages: its table, its results and what is still to come, and its strikers."""

from collections.abc import Iterable, Sequence

from riesbuch.folder.archive import Archive
from riesbuch.pages.drawings import Drawing, shown
from riesbuch.pages.markdown import (
    NOTHING,
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
from riesbuch.pages.outcomes import (
    ToCome,
    fixtures_of,
    has_page,
    outcome_words,
    planned,
    played,
    recorded_in,
    sure_places_of,
    to_come,
)
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
from riesbuch.trade.course import TeamTotals, form, movement, result_for, totals
from riesbuch.trade.ids import TeamId
from riesbuch.trade.match import Depth, Outcome
from riesbuch.trade.rules import Award
from riesbuch.trade.season import Competition, CompetitionKind, Fixture
from riesbuch.trade.standings import Standing
from riesbuch.trade.strikers import Striker


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
        wording.figure_column("Rank"),
        wording.column("Team"),
        wording.figure_column("Played"),
        wording.figure_column("Won"),
        wording.figure_column("Drawn"),
        wording.figure_column("Lost"),
        wording.figure_column("Nummern"),
        wording.figure_column("Points"),
        wording.figure_column("Rank points"),
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
        wording.figure_column("Nummern"),
        wording.figure_column("Points"),
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


_WIDEST_CROSS_TABLE = 16
_WIDEST_ON_ONE_LINE = 8


class Course:
    """Of a competition's table."""

    def __init__(self, results: CompetitionResults) -> None:
        tallies = [each.tally for each in results.matches]
        self._form = form(tallies)
        self._movement = movement(
            tallies, results.standings, results.competition.teams, results.rules
        )

    @property
    def moved(self) -> bool:
        """Whether there was a table before, so that places can have changed."""
        return any(self._movement.values())

    def form(self, wording: Wording, row: Standing) -> Markdown:
        letters = [_letter(wording, result) for result in self._form.get(row.team, ())]
        # Not to be broken in a narrow column.
        return joined(letters, "\u00a0") or wording.unknown

    def rank(self, wording: Wording, row: Standing) -> Markdown:
        places = self._movement.get(row.team, 0)
        if places == 0:
            return wording.number(row.rank)
        sign = "▲" if places > 0 else "▼"
        return Markdown(f"{wording.number(row.rank)} {sign}{wording.number(abs(places))}")


def cross_table(wording: Wording, results: CompetitionResults, here: str) -> list[Markdown]:
    """All results of a league, who played at home along the rows."""
    played = [each for each in results.matches if each.tally.counts and has_page(each)]
    teams = [row.team for row in results.standings]
    if not is_league(results) or not played or len(teams) > _WIDEST_CROSS_TABLE:
        return []
    # Where there are many columns a host may break the figures, lest the last be cut off.
    between = ": " if len(teams) > _WIDEST_ON_ONE_LINE else ":"
    cells: dict[tuple[TeamId | None, TeamId | None], list[Markdown]] = {}
    for each in played:
        pair = each.tally.home.team, each.tally.away.team
        cells.setdefault(pair, []).append(_cell(wording, each, here, between))
    columns = [wording.column("At home")]
    columns += [Column(wording.number(number)) for number in range(1, len(teams) + 1)]
    rows = []
    for number, home in enumerate(teams, start=1):
        row = [Markdown(f"{number}\\. {wording.team(home)}")]
        for away in teams:
            found = cells.get((home, away), [])
            row.append(Markdown("·") if home == away else joined(found) or wording.unknown)
        rows.append(row)
    return [
        heading(2, wording.say("Cross table")),
        table(columns, rows),
        wording.say(
            "The home team stands at the left, the visitors above by their number in the"
            " table. W, D and L are the home team’s result, then both sides’ points; Nummern"
            " may have decided otherwise than points."
        ),
    ]


def _cell(wording: Wording, each: RecordedMatch, here: str, between: str) -> Markdown:
    home, away = each.tally.home, each.tally.away
    letter = _letter(wording, result_for(each.tally.winner, "home"))
    figures = f" {wording.number(home.points)}{between}{wording.number(away.points)}"
    if home.points is None and away.points is None:
        figures = ""
    return link(here, match_page(each.tally.sheet), Markdown(f"{letter}{figures}"))


def _letter(wording: Wording, result: str) -> Markdown:
    return {"won": wording.say("W"), "drawn": wording.say("D"), "lost": wording.say("L")}[result]


def season_totals(wording: Wording, results: CompetitionResults) -> list[Markdown]:
    """Points and Nummern of each team over the season."""
    found = totals(each.tally for each in results.matches)
    listed = [found[row.team] for row in results.standings if row.team in found]
    if not any(each.known or each.nummern_known for each in listed):
        return []
    columns = [
        wording.column("Team"),
        wording.figure_column("Matches"),
        wording.figure_column("Average"),
        wording.figure_column("Highest"),
        wording.figure_column("Lowest"),
        wording.figure_column("Best Ries"),
        wording.figure_column("Nummern struck"),
        wording.figure_column("Nummern conceded"),
        wording.figure_column("Clean"),
    ]
    remarks = [
        wording.say(
            "Average, highest and lowest are a team’s points in a match; clean are the"
            " matches in which it conceded no Nummer."
        )
    ]
    if any(each.known < each.sides or each.nummern_known < each.sides for each in listed):
        remarks.append(wording.say("Each figure rests on the matches of which it is known."))
    return [
        heading(2, wording.say("Totals and Nummern over the season")),
        table(columns, _totals_rows(wording, listed)),
        Markdown(" ".join(remarks)),
    ]


def _totals_rows(wording: Wording, listed: Sequence[TeamTotals]) -> list[list[Markdown]]:
    return [
        [
            wording.team(each.team),
            wording.number(each.sides),
            wording.number(_rounded(each.points, each.known)),
            wording.number(each.highest),
            wording.number(each.lowest),
            wording.number(each.best_ries),
            wording.number(each.caused),
            wording.number(each.conceded if each.nummern_known else None),
            wording.number(each.clean if each.nummern_known else None),
        ]
        for each in listed
    ]


def _rounded(whole: int, parts: int) -> int | None:
    """The average in whole points, a half rounded up."""
    return (2 * whole + parts) // (2 * parts) if parts else None


def strikers_text(archive: Archive, wording: Wording, results: CompetitionResults) -> str:

    here = strikers_page(results.year, results.competition.id)
    title = competition_title(wording, results.year, results.competition)
    return page(
        [
            heading(1, joined([wording.say("Striker table"), title], " – ")),
            joined(
                [
                    link(here, FRONT_PAGE, escape(archive.league.name)),
                    link(here, competition_page(results.year, results.competition.id), title),
                ],
                " · ",
            ),
            _rests_on(wording, results),
            *_awards(wording, results),
            _table(wording, here, results),
            wording.say(
                "The average is points a strike, over the matches known strike by strike; the"
                " best match is the most points in one. Rank points are earned match by match."
            )
            if results.strikers
            else NOTHING,
        ]
    )


def _rests_on(wording: Wording, results: CompetitionResults) -> Markdown:
    """On how many of the matches that were struck the table rests, and how fully."""
    struck = [
        each.tally
        for each in results.matches
        if each.tally.outcome in (Outcome.PLAYED, Outcome.ABANDONED)
        and not each.is_kept_out
        and not each.tally.is_draft
    ]
    used = [tally for tally in struck if tally.sheet in results.with_individuals]
    known = sum(
        tally.home.depth is Depth.STRIKES and tally.away.depth is Depth.STRIKES for tally in used
    )
    rests = wording.counted(
        len(struck),
        "This table rests on {used} of {count} match",
        "This table rests on {used} of {count} matches",
        used=wording.number(len(used)),
    )
    return joined(
        [rests, wording.say("; {known} known strike by strike.", known=wording.number(known))], ""
    )


def _table(wording: Wording, here: str, results: CompetitionResults) -> Markdown:
    if not results.strikers:
        return wording.say("No player's points are known yet.")
    columns = [
        wording.figure_column("Rank"),
        wording.column("Name"),
        wording.column("Team"),
        wording.figure_column("Played"),
        wording.figure_column("Strikes"),
        wording.figure_column("Points"),
        wording.figure_column("Average"),
        wording.figure_column("Best match"),
        wording.figure_column("Rank points"),
    ]
    return table(columns, [_row(wording, here, results.year, each) for each in results.strikers])


def _row(wording: Wording, here: str, season: int, striker: Striker) -> list[Markdown]:
    return [
        wording.number(striker.rank),
        wording.player(striker.player, season, here),
        wording.team(striker.team, here),
        wording.number(striker.matches),
        wording.number(striker.strikes or None),
        wording.number(striker.points),
        wording.ratio(striker.average),
        wording.number(striker.best),
        wording.number(striker.rank_points),
    ]


def _awards(wording: Wording, results: CompetitionResults) -> list[Markdown]:
    """Each award with those to whom it is the highest they reached."""
    awards = sorted(results.rules.awards, key=lambda each: -each.points)
    if not awards or not results.strikers:
        return []
    items: list[Markdown] = []
    above: Award | None = None
    for award in awards:
        most = None if above is None else above.points - 1
        reached = [
            wording.player(each.player, results.year)
            for each in results.strikers
            if each.points >= award.points and (most is None or each.points <= most)
        ]
        items.append(
            fill(
                wording.say("{name} (from {points} points): {players}")
                if most is None
                else wording.say("{name} ({points} to {most} points): {players}"),
                name=escape(award.name),
                points=wording.number(award.points),
                most=wording.number(most),
                players=wording.listed(reached) if reached else wording.say("nobody"),
            )
        )
        above = award
    return [
        heading(2, wording.say("Awards")),
        bullets(items),
        heading(2, wording.say("Striker table")),
    ]
