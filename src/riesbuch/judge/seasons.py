"""Rules for seasons: competitions, their rule sets, and fixtures."""

from collections.abc import Iterator

from riesbuch.folder.club_folder import Kind, season_path
from riesbuch.judge.holdings import Holdings, problem_at
from riesbuch.judge.schedule import contradictions, fixtures_path, meeting_of, misfits
from riesbuch.judge.sheets import part_at, team_at, unknown_competition, without_season
from riesbuch.trade.ids import SheetId
from riesbuch.trade.problems import Problem, all_of, did_you_mean
from riesbuch.trade.season import (
    PLACES_AND_NOTES,
    Competition,
    CompetitionKind,
    Part,
    without_sheet,
)
from riesbuch.trade.tally import OUTCOMES_IN_TABLES


def _season_path(year: int) -> str:
    return season_path(year, Kind.SEASON)


def rule_sets(holdings: Holdings) -> Iterator[Problem]:
    """The rule set of a competition, or of a part of one, has a file."""
    archive = holdings.archive
    for year, season in archive.seasons.items():
        for competition in season.competitions:
            all_scored: list[Competition | Part] = [competition, *competition.parts]
            for scored in all_scored:
                rules = scored.rules
                if rules and rules not in archive.rules and rules not in archive.unread_rules:
                    yield problem_at(
                        _season_path(year),
                        scored.positions["rules"],
                        "unknown-rules",
                        "the rule set `{rules}` has no file in rules/",
                        did_you_mean(rules, archive.rules),
                        rules=rules,
                    )


def competing_teams(holdings: Holdings) -> Iterator[Problem]:
    """A competition's teams are declared by their clubs, and those of them go up and down."""
    for year, season in holdings.archive.seasons.items():
        path = _season_path(year)
        for competition in season.competitions:
            positions = competition.positions
            for team in competition.teams:
                if not holdings.archive.register.knows_team(team):
                    place = path, positions, "teams"
                    yield from team_at(place, team, holdings, None, but=competition.teams)
            for key, _ in PLACES_AND_NOTES:
                places = getattr(competition, key)
                for team in () if isinstance(places, int) else places:
                    # One that no club declares is told where it is listed.
                    if team not in competition.teams:
                        place = path, positions, key
                        yield from team_at(place, team, holdings, competition, but=places)


def fixtures(holdings: Holdings) -> Iterator[Problem]:
    """A fixture is of a competition of its season, of a part that this has, between two of its
    teams, in its year."""
    archive = holdings.archive
    for year, listed in archive.fixtures.items():
        season = archive.seasons.get(year)
        if season is None:
            continue
        path = fixtures_path(year)
        for fixture in listed:
            positions = fixture.positions
            competition = season.competition(fixture.competition)
            if competition is None and season.whole:
                position = positions["competition"]
                yield unknown_competition(path, position, season, fixture.competition)
            elif competition is not None:
                if fixture.part is not None:
                    yield from part_at(path, positions, season, competition, fixture.part)
                sides = {"home": fixture.home, "away": fixture.away}
                for key, team in sides.items():
                    if team not in competition.teams:
                        place = path, positions, key
                        yield from team_at(place, team, holdings, competition, sides.values())
            if fixture.home == fixture.away:
                yield problem_at(
                    path,
                    fixture.positions["away"],
                    "same-team-twice",
                    "`{away}` stands on both sides",
                    away=fixture.away,
                )
            if fixture.date.year != year:
                yield problem_at(
                    path,
                    fixture.positions["date"],
                    "date-outside-season",
                    "{date} is not in the season {year}",
                    date=fixture.date,
                    year=year,
                )


def rulings(holdings: Holdings) -> Iterator[Problem]:
    """A ruling is on a team in a competition of its season, of that year or the winter after it,
    changes a figure, and stands once."""
    archive = holdings.archive
    for year, listed in archive.rulings.items():
        path, season = season_path(year, Kind.RULINGS), archive.seasons.get(year)
        for number, ruling in enumerate(listed):
            positions = ruling.positions
            competition = season.competition(ruling.competition) if season else None
            if competition is not None:
                place = path, positions, "team"
                yield from team_at(place, ruling.team, holdings, competition, but=())
            elif season is None and year not in archive.unread_seasons:
                yield without_season(path, positions["competition"], year, ruling.competition)
            elif season is not None and season.whole:
                position = positions["competition"]
                yield unknown_competition(path, position, season, ruling.competition)
            if not 0 <= ruling.on.year - year <= 1:
                yield problem_at(
                    path,
                    positions["on"],
                    "date-outside-season",
                    "{date} is not in the season {year}, nor in the winter after it",
                    date=ruling.on,
                    year=year,
                )
            rules = archive.rules_of(competition)
            if (
                ruling.rank_points
                and rules is not None
                and competition is not None
                and competition.kind is not CompetitionKind.LEAGUE
                and "rank_points" not in rules.standings_order
            ):
                yield problem_at(
                    path,
                    positions["rank_points"],
                    "ruling-without-figure",
                    "`rank_points` changes nothing in `{id}`, which is ranked by {order}",
                    "write one of these instead, with the figure that the commission added",
                    id=competition.id,
                    order=all_of(f"`{key}`" for key in rules.standings_order),
                )
            # A figure that cannot be read is told by then.
            if not ruling.changes_something and year not in archive.partial_rulings:
                yield problem_at(
                    path,
                    positions["team"],
                    "ruling-without-figure",
                    "the ruling changes no figure of the table",
                    "say what is added: rank_points = -2, or nummern or points",
                )
            if ruling in listed[:number]:
                yield problem_at(
                    path, positions["team"], "listed-twice", "the same ruling stands twice"
                )


def fixtures_played(holdings: Holdings) -> Iterator[Problem]:
    """A fixture before the last recorded match of its competition has a sheet."""
    for year, listed in holdings.archive.fixtures.items():
        of_season = [entry for entry in holdings.entries if entry.season == year]
        named = {entry.sheet for entry in of_season} | holdings.unread
        # By a wrong date all that was to be played before it would seem to be missing.
        right_days = {
            contradiction.entry.sheet: contradiction.fixture.date
            for contradiction in contradictions(holdings, year)
        }
        told_already = {misfit.exchanged for misfit in misfits(holdings, year)}
        for key in dict.fromkeys(fixture.competition for fixture in listed):
            entries = [entry for entry in of_season if entry.competition == key]
            fixtures_of_key = [fixture for fixture in listed if fixture.competition == key]
            recorded = [
                right_days.get(entry.sheet, entry.date)
                for entry in entries
                if entry.date is not None
                and entry.date.year == year
                and entry.outcome in OUTCOMES_IN_TABLES
                and not entry.is_draft
            ]
            for fixture in without_sheet(fixtures_of_key, [*map(meeting_of, entries)]):
                stem = fixture.stem
                is_past = bool(recorded) and fixture.date < max(recorded)
                if fixture in told_already:
                    continue
                if is_past and SheetId(f"{year}/{stem}") not in named:
                    yield problem_at(
                        fixtures_path(year),
                        fixture.positions["date"],
                        "fixture-without-sheet",
                        "{home} against {away} on {date} has no sheet, but later matches of"
                        " `{key}` have",
                        "the sheet would be seasons/{year}/matches/{stem}.yaml",
                        home=fixture.home,
                        away=fixture.away,
                        date=fixture.date,
                        key=key,
                        year=year,
                        stem=stem,
                    )
