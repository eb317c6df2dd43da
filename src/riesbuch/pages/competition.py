"""A competition's pages: its table, its results and what is still to come, and its strikers."""

import datetime
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import groupby

from riesbuch.pages.drawings import Drawing, images
from riesbuch.pages.handed_down import told_striker_tables, told_tables
from riesbuch.pages.markdown import (
    NOTHING,
    Markdown,
    PageColumn,
    bullets,
    escape,
    in_chapters,
    joined,
    link,
    section,
    sentences,
    stacked,
    table,
)
from riesbuch.pages.outcomes import (
    ComingFixture,
    coming_fixtures,
    decided_in,
    fixtures_of,
    has_page,
    played,
    recorded_in,
    recorded_left_out,
    result_letter,
    result_words,
    sure_places_of,
)
from riesbuch.pages.past import Past
from riesbuch.pages.paths import competition_page, match_page, strikers_page
from riesbuch.pages.team import (
    Going,
    bracket_of,
    bracket_table,
    marked,
    rank_lists,
    rank_points_title,
    table_notes,
    team_table,
)
from riesbuch.pages.wording import MatchRow, Wording
from riesbuch.questions.match_lines import LeftOutSheet
from riesbuch.questions.results import CompetitionResults, RecordedMatch, is_league
from riesbuch.trade.bracket import Tie
from riesbuch.trade.certainty import SurePlaces, matches_planned
from riesbuch.trade.course import form, movement, totals
from riesbuch.trade.ids import PartId, TeamId, club_of
from riesbuch.trade.match import Depth, Outcome
from riesbuch.trade.rules import Award
from riesbuch.trade.season import CompetitionKind, Fixture, Part, Season
from riesbuch.trade.standings import Standing
from riesbuch.trade.strikers import AwardGiven, Striker
from riesbuch.trade.tally import result_for


def competition_text(
    past: Past, results: CompetitionResults, drawings: Sequence[Drawing] = ()
) -> str:
    wording = past.wording
    here = competition_page(results.year, results.competition.id)
    fixtures = fixtures_of(past.archive, results)
    of_season = past.left_out.get(results.year, ())
    left_out = [sheet for sheet in of_season if sheet.competition == results.competition.id]
    strikers = strikers_page(results.year, results.competition.id)
    lists = [*rank_lists(past, results)]
    key = results.year, results.competition.id
    told = told_tables(past, *key, here)
    sure = sure_places_of(results, fixtures, is_over=past.is_over(results.year))
    is_cup = results.competition.kind is CompetitionKind.CUP
    drawn = bracket_of(past.archive, results) if is_cup else None
    in_bracket = {
        tally.sheet
        for row in (drawn.rows if drawn else ())
        for cell in row
        if isinstance(cell, Tie)
        for tally in cell.tallies
    }
    unplaced = [match for match in results.matches if match.tally.sheet not in in_bracket]
    return wording.page(
        here,
        wording.competition_title(results.year, results.competition),
        how_many(wording, results, fixtures),
        told
        if told and not played(results)
        else wording.titled("Bracket", bracket_table(wording, results, drawn, here))
        if drawn
        else wording.titled(
            "Standings",
            _standings(past, results, sure, here),
            past.ruling_notes([key]),
            decisions(wording, results),
            decided_in(wording, results, fixtures, sure, is_over=past.is_over(results.year)),
        ),
        *(
            section(2, escape(ranks.part.name), ranks.table(past, key, here))
            for ranks in lists
            if ranks.part
        ),
        *images(here, drawings),
        _cross_table(wording, results, here),
        _season_totals(wording, results),
        told if played(results) else NOTHING,
        wording.titled("Best of each class", bullets(best_of_classes(wording, results, here))),
        wording.titled("Results", *_results(past, results, unplaced, left_out, here))
        if unplaced or left_out or not drawn
        else NOTHING,
        # What a cup has still to come stands in its bracket.
        NOTHING
        if drawn
        else wording.titled(
            "Still to come",
            listed_fixtures(
                wording,
                past.archive.seasons[results.year],
                coming_fixtures(fixtures, [*recorded_in(results), *recorded_left_out(left_out)]),
            ),
        ),
        ways=[
            wording.season_title(results.year, here),
            link(here, strikers, wording.say("Striker table")),
            *(link(here, ranks.path, ranks.title(wording)) for ranks in lists),
        ],
    )


def how_many(
    wording: Wording, results: CompetitionResults, fixtures: Sequence[Fixture]
) -> Markdown:
    in_all = matches_planned(results.competition, fixtures)
    known = len(played(results))
    return sentences(
        wording.counted(known, "In the tables: {count} match.", "In the tables: {count} matches.")
        if in_all is None
        else wording.say(
            "In the tables: {count} of {all} matches.",
            count=wording.number(known),
            all=wording.number(in_all),
        ),
        wording.left_out(len(results.left_out)),
        wording.say(
            "Not every ruling is in the table: rulings.toml has errors, and `riesbuch check` names"
            " them."
        )
        if results.lost_rulings
        else NOTHING,
    )


def _standings(past: Past, results: CompetitionResults, sure: SurePlaces, here: str) -> Markdown:
    if not results.standings:
        return past.wording.say("No team has played yet.")
    moved = moved_in(results)
    told = standings_table(past, results, here, moved, sure)
    formed = is_league(results) and results.standings[0].played > 0
    return stacked(told, table_notes(past.wording, formed=formed, moved=moved))


def moved_in(results: CompetitionResults) -> Mapping[TeamId, int]:
    """How many places each team of a league gained by the last round."""
    if not is_league(results):
        return {}
    tallies = [match.tally for match in results.matches]
    return movement(
        tallies, results.standings, results.competition.teams, results.rules, results.rulings
    )


def standings_table(
    past: Past,
    results: CompetitionResults,
    here: str,
    moved: Mapping[TeamId, int],
    sure: SurePlaces | None = None,
    most: int | None = None,
) -> Markdown:
    """With the form of a league's teams; where ``most`` is given not more rows than that."""
    kind = results.competition.kind
    rows = results.standings
    going: Going = "by figures" if results.by_figures else "by results"
    if kind not in (CompetitionKind.LEAGUE, CompetitionKind.FESTIVAL):
        going, rows = "unranked", tuple(sorted(rows, key=lambda row: -row.won))
    forms = form(match.tally for match in results.matches) if is_league(results) else None
    key = results.year, results.competition.id
    return team_table(past, key, rows, here, going, forms=forms, moved=moved, sure=sure, most=most)


def decisions(wording: Wording, results: CompetitionResults) -> Markdown:
    """Why those go up or down who do not by the table."""
    competition = results.competition
    up, down = (
        wording.text(note) if note is not None else None
        for note in (competition.promotion_note, competition.relegation_note)
    )
    return sentences(
        NOTHING if up is None else wording.say("Promoted by decision: {note}", note=up),
        NOTHING if down is None else wording.say("Relegated by decision: {note}", note=down),
    )


def marked_team(
    past: Past, results: CompetitionResults, row: Standing, sure: SurePlaces, here: str
) -> Markdown:
    """The team, marked if it goes up or down, whatever is still missing."""
    places = sure if is_league(results) else SurePlaces()
    return marked(past, (results.year, results.competition.id), row, here, places)


def _results(
    past: Past,
    results: CompetitionResults,
    matches: Sequence[RecordedMatch],
    left_out: Sequence[LeftOutSheet],
    here: str,
) -> Iterator[Markdown]:
    """Round by round, or part by part; a match whose sheet has errors stands in its place without
    a result."""
    wording = past.wording
    if not results.matches:
        yield wording.say("No match has been recorded yet.")
    parts = {part.id: part.name for part in results.competition.parts}

    def within(part: str | None, number: int | None) -> tuple[int, Markdown] | None:
        """By what its heading stands in order, and the heading."""
        if part in parts:
            return [*parts].index(PartId(part)) - len(parts), escape(parts[PartId(part)])
        if number is None:
            return None
        return number, wording.say("Round {number}", number=Markdown(str(number)))

    lines: list[tuple[str, tuple[int, Markdown] | None, MatchRow]] = []
    for recorded in matches:
        tally, row = recorded.tally, match_row(wording, recorded, here)
        lines.append((str(tally.date or ""), within(tally.part, tally.round), row))
    nothing, why = wording.unknown, wording.say("left out: the sheet has errors")
    for sheet in left_out:
        match = past.left_out_match(sheet, here)
        row = (wording.date(sheet.date), match, why, nothing)
        lines.append((sheet.date or "", within(sheet.part, sheet.round), row))
    without: list[MatchRow] = []
    by_round: dict[tuple[int, Markdown], list[MatchRow]] = {}
    for _, group, row in sorted(lines, key=lambda line: line[0]):
        (without if group is None else by_round.setdefault(group, [])).append(row)
    for (_, title), rows in sorted(by_round.items()):
        yield section(3, *round_of(wording, title, rows))
    rest = wording.match_table(without)
    yield wording.titled("Without a round", rest, level=3) if by_round else rest


def round_of(
    wording: Wording, title: Markdown, rows: Sequence[MatchRow]
) -> tuple[Markdown, Markdown]:
    """Its heading, with the day where all were played on one, and its matches."""
    days = {row[0] for row in rows}
    if len(days) > 1 or wording.unknown in days:
        return title, wording.match_table(rows)
    return joined([title, *days]), wording.match_table(rows, dated=False)


def match_row(wording: Wording, match: RecordedMatch, here: str) -> MatchRow:
    home, away = match.tally.home, match.tally.away
    sides = wording.sides(home.team, away.team)
    listed = has_page(match)
    return (
        wording.date(match.tally.date),
        link(here, match_page(match.tally.sheet), sides) if listed else sides,
        result_words(wording, match),
        wording.pair(home.nummern, away.nummern) if listed else wording.unknown,
    )


def listed_fixtures(
    wording: Wording, season: Season, coming: Iterable[ComingFixture], *, placed: bool = False
) -> Markdown:
    """A line for each day and round; with where they are played, as far as that is known."""

    def together(found: ComingFixture) -> tuple[datetime.date, Part | None, int | None]:
        part = season.part_of(found.fixture)
        return found.day, part, None if part else found.fixture.round

    def match(day: datetime.date, fixture: Fixture) -> Markdown:
        sides = wording.sides(fixture.home, fixture.away)
        # Of a match that was put off only the new day is known.
        if placed and fixture.time and day == fixture.date:
            sides = joined([Markdown(fixture.time), sides], " ")
        club = wording.register.clubs.get(club_of(fixture.home))
        competition = season.competition(fixture.competition)
        # A festival is played on one ground by all; nothing says on which.
        shared = competition is None or competition.kind is CompetitionKind.FESTIVAL
        if not placed or shared or club is None or club.ground is None:
            return sides
        ground = wording.text(club.ground, season.year)
        return Markdown(f"{sides} ({ground})")

    lines: list[tuple[Markdown, list[Markdown]]] = []
    for (day, part, number), of_it in groupby(sorted(coming, key=_in_order), together):
        when = joined([wording.date(day), *([escape(part.name)] if part else [])])
        if number is not None:
            when = wording.say("{date}, round {number}", date=when, number=Markdown(str(number)))
        lines.append((when, [match(found.day, found.fixture) for found in of_it]))
    if placed:
        return stacked(*(section(3, when, bullets(matches)) for when, matches in lines))
    return bullets(Markdown(f"{when}: {joined(matches, '; ')}") for when, matches in lines)


def _in_order(found: ComingFixture) -> tuple[datetime.date, str, int, str]:
    fixture = found.fixture
    return found.day, fixture.competition, fixture.round or 0, fixture.home


_WIDEST_CROSS_TABLE = 20
_WIDEST_WITH_POINTS = 12
_WIDEST_ON_ONE_LINE = 8


def _cross_table(wording: Wording, results: CompetitionResults, here: str) -> Markdown:
    """All results of a league, who played at home along the rows."""
    counted = [match for match in played(results) if has_page(match)]
    teams = fixed_order(results)
    if not is_league(results) or not counted or len(teams) > _WIDEST_CROSS_TABLE:
        return NOTHING
    # Where there are many columns a host may break the figures, lest the last be cut off.
    between = ": " if len(teams) > _WIDEST_ON_ONE_LINE else ":"
    points_between = between if len(teams) <= _WIDEST_WITH_POINTS else None
    cells: dict[tuple[TeamId | None, TeamId | None], list[Markdown]] = {}
    for match in counted:
        pair = match.tally.home.team, match.tally.away.team
        cells.setdefault(pair, []).append(_cell(wording, match, here, points_between))

    def visitors(number: int, away: TeamId) -> PageColumn[tuple[int, TeamId]]:
        def cell(row: tuple[int, TeamId]) -> Markdown:
            if row[1] == away:
                return Markdown("·")
            return joined(cells.get((row[1], away), ())) or wording.unknown

        return PageColumn(wording.number(number), cell)

    return wording.titled(
        "Cross table",
        table(
            [*enumerate(teams, start=1)],
            wording.column("At home", lambda row: Markdown(f"{row[0]}\\. {wording.team(row[1])}")),
            *(visitors(number, team) for number, team in enumerate(teams, start=1)),
        ),
        wording.say(
            "The home team stands at the left, the visitors above by the number before their name"
            " at the left. W, D and L are the home team’s result; Nummern may have decided"
            " otherwise than points."
        ),
    )


def _cell(wording: Wording, match: RecordedMatch, here: str, between: str | None) -> Markdown:
    home, away = match.tally.home.points, match.tally.away.points
    parts = [result_letter(wording, result_for(match.tally.winner, "home"))]
    if between is not None and (home is not None or away is not None):
        # Not grouped: each character counts here.
        known = [wording.unknown if points is None else Markdown(str(points))
                 for points in (home, away)]  # fmt: skip
        parts.append(joined(known, between))
    return link(here, match_page(match.tally.sheet), joined(parts, " "))


def fixed_order(results: CompetitionResults) -> list[TeamId]:
    """The teams as the season lists them, so that no round puts them in another order."""
    listed = {team: number for number, team in enumerate(results.competition.teams)}
    return sorted(
        (row.team for row in results.standings),
        key=lambda team: (listed.get(team, len(listed)), team),
    )


def _season_totals(wording: Wording, results: CompetitionResults) -> Markdown:
    """Points and Nummern of each team over the season."""
    of_teams = totals(match.tally for match in results.matches)
    rows = [of_teams[team] for team in fixed_order(results) if team in of_teams]
    if not any(row.known or row.nummern_known for row in rows):
        return NOTHING
    return wording.titled(
        "Totals and Nummern over the season",
        table(
            rows,
            wording.column("Team", lambda row: wording.team(row.team)),
            wording.figure_column("Average", lambda row: _rounded(row.points, row.known)),
            wording.figure_column("Highest", lambda row: row.highest),
            wording.figure_column("Lowest", lambda row: row.lowest),
            wording.figure_column("Best Ries", lambda row: row.best_ries),
            wording.figure_column("Nummern struck", lambda row: row.caused),
            wording.figure_column("Clean", lambda row: row.clean if row.nummern_known else None),
        ),
        sentences(
            wording.say(
                "Average, highest and lowest are a team’s points in a match; clean are the"
                " matches in which it conceded no Nummer."
            ),
            wording.say("Each figure rests on the matches of which it is known.")
            if any(row.known < row.sides or row.nummern_known < row.sides for row in rows)
            else NOTHING,
        ),
    )


def _rounded(whole: int, parts: int) -> int | None:
    """The average in whole points, a half rounded up."""
    return (2 * whole + parts) // (2 * parts) if parts else None


def strikers_text(past: Past, results: CompetitionResults) -> str:
    wording = past.wording
    year, competition = results.year, results.competition
    here = strikers_page(year, competition.id)
    title = wording.competition_title(year, competition)
    awards = _awards(wording, results)
    listed = stacked(
        _striker_chapters(past, here, results) or wording.say("No player's points are known yet."),
        wording.say(
            "The average is points per strike, over the matches known strike by strike; the"
            " best match is the most points in one. Rank points are earned match by match."
        )
        if results.strikers
        else NOTHING,
    )
    return wording.page(
        here,
        joined([wording.say("Striker table"), title], " – "),
        sentences(_rests_on(wording, results), wording.left_out(len(results.left_out))),
        wording.titled("Awards", awards),
        wording.titled("Striker table", listed) if awards or results.by_class else listed,
        wording.titled("Classes", *_classes(past, here, results)),
        told_striker_tables(past, year, competition.id, here),
        ways=[wording.competition_title(year, competition, here)],
    )


def _classes(past: Past, here: str, results: CompetitionResults) -> Iterator[Markdown]:
    for ranked in results.rules.classes:
        rows = striker_table(past, here, results, results.by_class[ranked.id])
        yield section(3, escape(ranked.name), rows)
    born = past.wording.register.birth_years
    undated = sum(row.player not in born for row in results.strikers)
    if undated and any(ranked.ages for ranked in results.rules.classes):
        yield past.wording.counted(
            undated,
            "{count} player has no year of birth on record and is in no class by age.",
            "{count} players have no year of birth on record and are in no class by age.",
        )


def best_of_classes(wording: Wording, results: CompetitionResults, here: str) -> list[Markdown]:
    """A line for each class that somebody is in."""
    return [
        wording.class_line(
            ranked.name,
            (row.player for row in results.by_class[ranked.id] if row.rank == 1),
            results.year,
            here,
        )
        for ranked in results.rules.classes
        if results.by_class[ranked.id]
    ]


def _rests_on(wording: Wording, results: CompetitionResults) -> Markdown:
    """On how many of the matches that were struck the table rests, and how fully."""
    struck = [
        match.tally
        for match in results.matches
        if match.tally.outcome in (Outcome.PLAYED, Outcome.ABANDONED)
        and not match.is_kept_out
        and not match.tally.is_draft
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
    fully = wording.say("; {known} known strike by strike.", known=wording.number(known))
    return joined([rests, fully], "")


_ROWS_TOGETHER = 50


def _striker_chapters(past: Past, here: str, results: CompetitionResults) -> Markdown:
    """Of a long table so many ranks at a time, with what leads to them."""
    wording, rows = past.wording, results.strikers
    if len(rows) <= _ROWS_TOGETHER:
        return striker_table(past, here, results, rows)

    def title(row: Striker) -> Markdown:
        first = (row.rank - 1) // _ROWS_TOGETHER * _ROWS_TOGETHER + 1
        return wording.say(
            "Ranks {first} to {last}",
            first=wording.number(first),
            last=wording.number(first + _ROWS_TOGETHER - 1),
        )

    return in_chapters(rows, title, lambda of_it: striker_table(past, here, results, of_it))


def striker_table(
    past: Past, here: str, results: CompetitionResults, rows: Sequence[Striker]
) -> Markdown:
    wording, year, competition = past.wording, results.year, results.competition.id
    return table(
        rows,
        wording.figure_column("Rank", lambda row: row.rank),
        wording.column("Name", lambda row: wording.player(row.player, year, here)),
        wording.figures(rank_points_title(wording), lambda row: row.rank_points),
        wording.figure_column("Points", lambda row: row.points),
        wording.figure_column("Played", lambda row: row.matches),
        wording.figure_column("Average", lambda row: wording.ratio(row.average)),
        wording.figure_column("Best match", lambda row: row.best),
        wording.column("Team", lambda row: past.team(here, year, competition, row.team)),
    )


def _awards(wording: Wording, results: CompetitionResults) -> Markdown:
    """Each award with those to whom it is the highest they reached."""
    awards = [
        given
        for given in results.awards
        if (given.teams if given.award.is_for_teams else results.strikers)
    ]
    by_rank = any(given.award.first for given in awards)

    def winners(given: AwardGiven) -> Markdown:
        teams = [wording.team(team) for team in given.teams]
        players = [wording.player(player, results.year) for player in given.players]
        return wording.listed(teams + players) if teams + players else wording.say("nobody")

    return stacked(
        bullets(
            wording.say(
                "{name} ({terms}): {players}",
                name=escape(given.award.name),
                terms=joined([*_terms(wording, results, given.award)]),
                players=winners(given),
            )
            for given in awards
        ),
        wording.say("All who are level at the last rank get what is given by rank.")
        if by_rank
        else NOTHING,
    )


def _terms(wording: Wording, results: CompetitionResults, award: Award) -> Iterator[Markdown]:
    """On which an award is given."""
    if award.is_for_teams:
        yield wording.say("teams")
    yield from (escape(known.name) for known in results.rules.classes if known.id == award.of_class)
    if award.first is not None:
        yield wording.counted(award.first, "the first", "the first {count}")
    if award.points is None:
        return
    higher = [
        other.points for other in results.rules.awards if other.points and other.outdoes(award)
    ]
    yield wording.say(
        "{points} to {most} points" if higher and award.first is None else "from {points} points",
        points=wording.number(award.points),
        most=wording.number(min(higher, default=0) - 1),
    )
