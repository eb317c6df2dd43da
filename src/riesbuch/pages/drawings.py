"""The pictures that stand beside pages, drawn from the same figures as the pages."""

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from fractions import Fraction
from typing import NamedTuple

from riesbuch.pages.markdown import Markdown, image
from riesbuch.pages.past import Past
from riesbuch.pages.paths import Page, club_page, competition_page, player_page
from riesbuch.pages.pictures.canvas import Picture
from riesbuch.pages.pictures.over_years import FEWEST_SEASONS, Place, career_picture, places_picture
from riesbuch.pages.pictures.season_course import TeamCourse, season_course_picture
from riesbuch.pages.pictures.strip import StripStrikes, strip_picture
from riesbuch.pages.wording import Wording
from riesbuch.questions.career import Career
from riesbuch.questions.results import CompetitionResults, is_league
from riesbuch.questions.strikes import StrikeCount, struck_by_player, struck_by_team
from riesbuch.trade.course import Stage
from riesbuch.trade.ids import TeamId
from riesbuch.trade.people import Club
from riesbuch.trade.rules import RuleSet

_FEWEST_ROUNDS = 2


class Drawing(NamedTuple):
    """``path`` is relative to the club folder."""

    path: str
    picture: Picture

    @property
    def description(self) -> str:
        """What it says to those who do not see it: what it shows, then what is to be seen."""
        return f"{self.picture.title}. {self.picture.sentence}"


def drawing_page(path: str, draw: Callable[[], Iterable[Drawing]]) -> Page:
    """The picture at ``path``, one of those that ``draw`` draws."""
    return Page.at(
        path,
        lambda: next((drawing.picture.svg for drawing in draw() if drawing.path == path), None),
    )


def images(page: str, drawings: Iterable[Drawing]) -> list[Markdown]:
    """The pictures as they stand on ``page``, each with what it says to those who do not see it."""
    return [image(page, drawing.path, drawing.description) for drawing in drawings]


def season_drawings(
    past: Past, results: CompetitionResults, course: Sequence[Stage]
) -> list[Drawing]:
    """Every team's place after each of the stages of a league, with room for those to come."""
    wording = past.wording
    if not is_league(results) or len(course) < _FEWEST_ROUNDS:
        return []
    ranks: dict[TeamId, list[int | None]] = {}
    points: dict[TeamId, list[int | None]] = {}
    for number, stage in enumerate(course):
        for row in stage.table:
            unplaced: list[int | None] = [None] * number
            ranks.setdefault(row.team, list(unplaced)).append(row.rank)
            points.setdefault(row.team, list(unplaced)).append(row.rank_points)
    listed = [team for team in results.competition.teams if team in ranks]
    listed += sorted(team for team in ranks if team not in listed)
    fixtures = past.archive.fixtures_of(results.year, results.competition)
    rounds = [stage.round or number for number, stage in enumerate(course, start=1)]
    last = len({fixture.date for fixture in fixtures})
    if course[-1].round is not None:
        last = max((fixture.round or 0 for fixture in fixtures), default=0)
    rounds += range(rounds[-1] + 1, last + 1)
    courses = [
        TeamCourse(team=_team(wording, team), ranks=ranks[team], rank_points=points[team])
        for team in listed
    ]
    name = f"{results.competition.name} {results.year}"
    title = wording.words.say("{name}: place after each round", name=name)
    picture = season_course_picture([*map(str, rounds)], courses, title, wording.words)
    here = competition_page(results.year, results.competition.id)
    return _drawings(f"{here.rpartition('/')[0]}/course.svg", picture)


def player_drawings(past: Past, player: str, found: Career) -> list[Drawing]:
    """A player's career line, and where the strikes came down."""
    if player not in past.with_strikes:
        return []
    words, here = past.wording.words, player_page(player)
    name = past.wording.full_name(player)
    points, strikes, matches = Counter[int](), Counter[int](), Counter[int]()
    expected: dict[int, Fraction] = {}
    for season in found.seasons:
        if season.strikes:
            year, mean = season.season, past.means[season.season, season.competition]
            points[year] += season.struck_points
            strikes[year] += season.strikes
            matches[year] += season.matches
            # Each competition weighs as much as the player struck there.
            of_all = Fraction(mean.points * season.strikes, mean.strikes)
            expected[year] = expected.get(year, Fraction()) + of_all
    picture = career_picture(
        {year: Fraction(points[year], number) for year, number in strikes.items()},
        {year: of_all / strikes[year] for year, of_all in expected.items()},
        matches,
        words.say("{name}: points per strike, season by season", name=name),
        words,
    )
    drawings = _drawings(_svg_path(here, "_career"), picture)
    counts = struck_by_player(past.tables, player, past.under_way)
    return drawings + _strip(past, _svg_path(here, "_strikes"), name, counts)


def player_drawing_paths(past: Past, player: str) -> list[str]:
    """Of everybody of whom a strike is known in a match that counts."""
    seasons = past.with_strikes.get(player, 0)
    endings = ("_career", "_strikes") if seasons >= FEWEST_SEASONS else ("_strikes",)
    return [_svg_path(player_page(player), ending) for ending in endings if seasons]


def club_drawings(past: Past, club: Club) -> list[Drawing]:
    """The places of its teams over the years, and where the strikes of each came down in its last
    season known strike by strike."""
    drawings = _drawings(club_places_path(club), _places(past, club))
    for team in club.team_ids():
        season, counts = struck_by_team(past.tables, team, past.under_way)
        name = f"{_team(past.wording, team)} {season}"
        drawings += _strip(past, team_drawing_path(team), name, counts)
    return drawings


def club_places_path(club: Club) -> str:
    return _svg_path(club_page(club.id), "_places")


class _PlaceKnown(NamedTuple):
    competition: str
    rank: int
    teams: int
    qualified: str = ""


def _places(past: Past, club: Club) -> Picture | None:
    words = past.wording.words
    divisions: dict[str, str] = {}
    for known in past.overview:
        if known.kind == "league":
            divisions.setdefault(known.competition, known.name)
    of_teams = {_team(past.wording, team): _places_of(past, team) for team in club.team_ids()}
    own = {place.competition for places in of_teams.values() for place in places.values()}
    order = [division for division in divisions if division in own]
    return places_picture(
        [divisions[division] for division in order],
        {
            team: {
                year: Place(order.index(place.competition), *place[1:])
                for year, place in places.items()
            }
            for team, places in of_teams.items()
        },
        words.say("{name}: places over the years", name=club.name),
        words,
    )


def _places_of(past: Past, team: TeamId) -> dict[int, _PlaceKnown]:
    """By year, in the first league of a year that is over; by its sheets, else handed down."""
    words = past.wording.words
    found: dict[int, _PlaceKnown] = {}
    for row in past.rows_of_teams.get(team, ()):
        known = past.competitions.get((row.season, row.competition))
        is_over = row.played and not past.under_way.holds(row.season, row.competition)
        if known is not None and known.kind == "league" and is_over:
            qualified = "" if known.complete else words.say("on record")
            place = _PlaceKnown(row.competition, row.rank, row.teams, qualified)
            found.setdefault(row.season, place)
    for key, told in past.told.items():
        known = past.competitions.get(key)
        if known is None or known.kind != "league" or past.under_way.holds(*key):
            continue
        for rows in told.tables.values():
            for handed_down in rows:
                if handed_down.team == team and handed_down.rank is not None:
                    rank, qualified = handed_down.rank, words.say("handed down")
                    place = _PlaceKnown(key[1], rank, len(rows), qualified)
                    found.setdefault(key[0], place)
    return found


def team_drawing_path(team: TeamId) -> str:
    """Beside its club's page."""
    club, _, letter = team.rpartition("-")
    return _svg_path(club_page(club), f"_{letter}")


def _strip(past: Past, path: str, name: str, counts: Sequence[StrikeCount]) -> list[Drawing]:
    zones, nummern = Counter[int](), Counter[int]()
    unknown = 0
    for count in counts:
        if count.points is None:
            unknown += count.number
            continue
        zones[count.points] += count.number
        if count.is_nummer:
            nummern[count.points] += count.number
    if not zones:
        return []
    words = past.wording.words
    strikes = StripStrikes(
        zones=zones,
        nummern=nummern,
        unknown=unknown,
        # How far the strip goes under whichever rules it went farthest.
        last_zone=max(
            (rules.nummer_zone.last for rules in past.archive.rules.values()),
            default=RuleSet().nummer_zone.last,
        ),
    )
    title = words.say("{name}: where the strikes came down", name=name)
    return _drawings(path, strip_picture(strikes, title, words))


def _team(wording: Wording, team: TeamId | None) -> str:
    return wording.unknown if team is None else wording.register.team_name(team)


def _svg_path(page: str, ending: str = "") -> str:
    # No identifier holds a `_`, so a picture never takes the name of another page's.
    return f"{page.removesuffix('.md')}{ending}.svg"


def _drawings(path: str, picture: Picture | None) -> list[Drawing]:
    return [] if picture is None else [Drawing(path, picture)]
