"""The pictures that stand beside pages, drawn from the same figures as the pages."""

from collections.abc import Callable, Iterable, Sequence
from fractions import Fraction
from typing import NamedTuple

from riesbuch.pages.markdown import Markdown, image
from riesbuch.pages.past import Past
from riesbuch.pages.paths import Page, club_page, competition_page, match_page, player_page
from riesbuch.pages.pictures.canvas import Picture
from riesbuch.pages.pictures.career_line import CareerSeason, career_picture
from riesbuch.pages.pictures.match_course import (
    MatchCourse,
    SideCourse,
    match_course_picture,
)
from riesbuch.pages.pictures.season_course import (
    SeasonCourse,
    TeamCourse,
    season_course_picture,
)
from riesbuch.pages.pictures.strip import StripStrikes, strip_picture
from riesbuch.pages.wording import Wording
from riesbuch.questions.career import Career, StrikeCount, struck_by_player, struck_by_team
from riesbuch.questions.results import CompetitionResults, RecordedMatch, is_league
from riesbuch.trade.ids import PlayerId, SideName, TeamId
from riesbuch.trade.people import Club
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.standings import standings
from riesbuch.trade.tally import Tally

_FEWEST_ROUNDS = 2


class Drawing(NamedTuple):
    """``path`` is relative to the club folder."""

    path: str
    picture: Picture

    @property
    def told(self) -> str:
        """What it says to those who do not see it: what it shows, then what is to be seen."""
        return f"{self.picture.title}. {self.picture.sentence}"


def drawing_page(path: str, draw: Callable[[], Iterable[Drawing]]) -> Page:
    """The picture at ``path``, one of those that ``draw`` draws."""
    return Page.at(
        path,
        lambda: next((drawing.picture.svg for drawing in draw() if drawing.path == path), None),
    )


def shown(page: str, drawings: Iterable[Drawing]) -> list[Markdown]:
    """The pictures as they stand on ``page``, each with what it says to those who do not see it."""
    return [image(page, each.path, each.told) for each in drawings]


def match_drawings(wording: Wording, recorded: RecordedMatch) -> list[Drawing]:
    """How the match went from Ries to Ries."""
    tally = recorded.tally
    path = match_drawing_path(recorded)
    if path is None:
        return []

    def side(name: SideName) -> SideCourse:
        figures = tally.side(name)
        return SideCourse(
            name=_team(wording, figures.team),
            ries=figures.ries or (),
            points=figures.points,
            nummern=figures.nummern,
            won=tally.winner == name,
        )

    title = wording.words.say(
        "{home} – {away}: Ries by Ries",
        home=_team(wording, tally.home.team),
        away=_team(wording, tally.away.team),
    )
    course = MatchCourse(home=side("home"), away=side("away"))
    picture = match_course_picture(course, title, wording.words)
    return _drawn(path, picture)


def match_drawing_path(recorded: RecordedMatch) -> str | None:
    """None where no Ries total is known, so that there is nothing to draw."""
    tally = recorded.tally
    if not (tally.home.ries or tally.away.ries):
        return None
    return _beside(match_page(tally.sheet))


def season_drawings(wording: Wording, results: CompetitionResults) -> list[Drawing]:
    """Every team's place after each round of a league; without rounds after each day."""
    counted = [each.tally for each in results.matches if each.tally.counts]
    if not is_league(results) or not counted:
        return []
    by_round = all(each.round is not None for each in counted)
    stages: dict[object, list[Tally]] = {}
    for each in sorted(counted, key=lambda each: _stage(each, by_round)):
        stages.setdefault(_stage(each, by_round), []).append(each)
    if len(stages) < _FEWEST_ROUNDS:
        return []
    ranks: dict[TeamId, list[int | None]] = {}
    points: dict[TeamId, list[int | None]] = {}
    so_far: list[Tally] = []
    for number, of_stage in enumerate(stages.values()):
        so_far += of_stage
        for row in standings(so_far, results.competition.teams, results.rules):
            unplaced: list[int | None] = [None] * number
            ranks.setdefault(row.team, list(unplaced)).append(row.rank)
            points.setdefault(row.team, list(unplaced)).append(row.rank_points)
    listed = [team for team in results.competition.teams if team in ranks]
    listed += sorted(team for team in ranks if team not in listed)
    labels = [str(each[0].round) if by_round else str(number)
              for number, each in enumerate(stages.values(), start=1)]  # fmt: skip
    course = SeasonCourse(
        rounds=labels,
        teams=[
            TeamCourse(team=_team(wording, team), ranks=ranks[team], rank_points=points[team])
            for team in listed
        ],
    )
    name = f"{results.competition.name} {results.year}"
    title = wording.words.say("{name}: place after each round", name=name)
    picture = season_course_picture(course, title, wording.words)
    here = competition_page(results.year, results.competition.id)
    return _drawn(f"{here.rpartition('/')[0]}/course.svg", picture)


def _stage(tally: Tally, by_round: bool) -> tuple[int, str]:
    if by_round and tally.round is not None:
        return tally.round, ""
    return 0, tally.date.isoformat() if tally.date else ""


def player_drawings(past: Past, player: str, found: Career) -> list[Drawing]:
    """A player's career line, and where the strikes came down."""
    words, here = past.wording.words, player_page(player)
    name = past.wording.register.player_name(PlayerId(player))
    seasons: dict[int, tuple[int, int, int]] = {}
    for each in found.seasons:
        points, strikes, matches = seasons.get(each.season, (0, 0, 0))
        seasons[each.season] = (
            points + each.struck_points, strikes + each.strikes, matches + each.matches
        )  # fmt: skip
    line = {
        year: CareerSeason(figure=Fraction(points, strikes) if strikes else None, matches=matches)
        for year, (points, strikes, matches) in seasons.items()
    }
    if player not in past.with_strikes:
        return []
    title = words.say("{name}: points a strike, season by season", name=name)
    drawings = _drawn(_beside(here, "_career"), career_picture(line, title, words))
    counts = struck_by_player(past.tables, player)
    return drawings + _strip(past, _beside(here, "_strikes"), name, counts)


def player_drawing_paths(past: Past, player: str) -> list[str]:
    """Of everybody of whom a strike is known in a match that counts."""
    if player not in past.with_strikes:
        return []
    return [_beside(player_page(player), ending) for ending in ("_career", "_strikes")]


def club_drawings(past: Past, club: Club) -> list[Drawing]:
    """Where the strikes of each team came down in its last season known strike by strike."""
    drawings: list[Drawing] = []
    for team in club.team_ids():
        season, counts = struck_by_team(past.tables, team)
        name = f"{_team(past.wording, team)} {season}"
        drawings += _strip(past, team_drawing_path(team), name, counts)
    return drawings


def team_drawing_path(team: TeamId) -> str:
    """Beside its club's page."""
    club, _, letter = team.rpartition("-")
    return _beside(club_page(club), f"_{letter}")


def _strip(past: Past, path: str, name: str, counts: Sequence[StrikeCount]) -> list[Drawing]:
    zones: dict[int, int] = {}
    nummern: dict[int, int] = {}
    unknown = 0
    for each in counts:
        if each.points is None:
            unknown += each.number
            continue
        zones[each.points] = zones.get(each.points, 0) + each.number
        if each.is_nummer:
            nummern[each.points] = nummern.get(each.points, 0) + each.number
    if not zones:
        return []
    words = past.wording.words
    strikes = StripStrikes(
        zones=zones,
        nummern=nummern,
        unknown=unknown,
        last_zone=_last_zone(past.archive.rules.values()),
    )
    title = words.say("{name}: where the strikes came down", name=name)
    return _drawn(path, strip_picture(strikes, title, words))


def _last_zone(rules: Iterable[RuleSet]) -> int:
    """How far the strip goes under whichever rules it went farthest."""
    return max((each.nummer_zone.last for each in rules), default=RuleSet().nummer_zone.last)


def _team(wording: Wording, team: TeamId | None) -> str:
    return wording.unknown if team is None else wording.register.team_name(team)


def _beside(page: str, ending: str = "") -> str:
    # No identifier holds a `_`, so a picture never takes the name of another page's.
    return f"{page.removesuffix('.md')}{ending}.svg"


def _drawn(path: str, picture: Picture | None) -> list[Drawing]:
    return [] if picture is None else [Drawing(path, picture)]
