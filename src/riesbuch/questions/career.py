"""Players: one's matches, strikes and seasons, and how many there were each year."""

import json
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from sqlite3 import Connection
from typing import NamedTuple

from riesbuch.index.store import digest_of
from riesbuch.index.team_seasons import NAMED_BY, TOOK_PART, UNKNOWN_RESULT
from riesbuch.questions.chronicle import Title, ToldStriker, told_strikers, told_titles
from riesbuch.questions.match_lines import number_of, unreadable_sheets
from riesbuch.questions.strikes import means
from riesbuch.questions.under_way import ALL_IS_OVER, UnderWay, playing
from riesbuch.questions.who import Person

_MATCHES = (1, 50)
_EVERY_MATCHES = 100
_POINTS = (1000,)
_EVERY_POINTS = 5000


class Appearance(NamedTuple):
    """One match with known match points, against ``opponent``. ``strikes`` counts those struck,
    None where only the match points are known; ``nummern`` are those struck for the team. Of one
    who is `NAMED_BY` somebody, they alone are known of the side."""

    sheet: str
    season: int
    date: str
    team: str
    strikes: int | None
    points: int
    nummern: int
    best_strike: int | None
    opponent: str | None
    named_by: str | None


class Outing(NamedTuple):
    """An appearance as it was struck: on which ``side`` and ``ground``, at which ``place`` of the
    batting order (None of supernumeraries, and where it is not known), and by ``innings`` each
    strike as written, None where only the match points are known."""

    appearance: Appearance
    competition: str
    side: str
    ground: str | None
    place: int | None
    innings: tuple[tuple[str, ...], ...] | None
    rank_points: int | None


class Split(NamedTuple):
    """What the matches with the same ``value`` of one kind come to: ``by`` place, inning, side or
    ground. ``points`` are those of all of them, ``struck_points`` those of the ``strikes``; by
    inning and place only matches known strike by strike are told."""

    by: str
    value: int | str | None
    matches: int
    strikes: int
    points: int
    struck_points: int


class SeasonOfPlayer(NamedTuple):
    """The player's row in a striker table of ``ranked`` players; ``team`` is the one last played
    for, and ``struck_points`` are those of the ``strikes``, which are the ones known. Matches in
    which the player is only ``named`` are in it too, but earn nothing; where there are no others,
    there is no rank."""

    season: int
    competition: str
    team: str
    matches: int
    strikes: int
    points: int
    struck_points: int
    best: int
    rank_points: int
    rank: int | None
    ranked: int
    named: int = 0


class Distinction(NamedTuple):
    """What somebody won in a competition that is played out: the first place of the class
    ``of_class``, else an ``award``."""

    season: int
    competition: str
    of_class: str | None
    award: str | None


_DISTINCTIONS = (
    "SELECT d.player, d.season, d.competition, d.class, d.award FROM (SELECT player, season,"
    " competition, name AS class, NULL AS award FROM class_strikers WHERE rank = 1 UNION ALL SELECT"
    " player, season, competition, NULL, award FROM awards) AS d JOIN competitions AS c USING"
    " (season, competition) WHERE c.complete AND {} ORDER BY d.player, d.season, d.competition,"
    " d.class IS NULL, d.class, d.award"
)


class TimeInTeam(NamedTuple):
    team: str
    matches: int
    first: str
    last: str


class Milestone(NamedTuple):
    """The match in which the ``number``-th match or point (``of``) was reached."""

    of: str
    number: int
    date: str
    sheet: str


class Run(NamedTuple):
    """The dates of the first and the last match, and all sheets in the order of play."""

    team: str
    since: str
    until: str
    sheets: tuple[str, ...]


class Career(NamedTuple):
    """``appearances`` are in the order of play. ``unknown`` counts the matches that the player
    took part in, but of which a strike of the player's cannot be read, ``with_errors`` the
    sheets with errors that the player stands in, ``unreadable`` those that may be the player's.
    ``told`` are the seasons of which no sheet has the player, but a table handed down; they are in
    no sum."""

    person: Person
    appearances: tuple[Appearance, ...]
    seasons: tuple[SeasonOfPlayer, ...]
    teams: tuple[TimeInTeam, ...]
    milestones: tuple[Milestone, ...]
    distinctions: tuple[Distinction, ...]
    longest_runs: tuple[Run, ...]
    unknown: int
    with_errors: int
    unreadable: int
    told: tuple[ToldStriker, ...] = ()

    @property
    def points(self) -> int:
        return sum(match.points for match in self.appearances)

    @property
    def strikes(self) -> int:
        return sum(match.strikes or 0 for match in self.appearances)

    @property
    def nummern(self) -> int:
        return sum(match.nummern for match in self.appearances)

    @property
    def strike_by_strike(self) -> int:
        return sum(match.strikes is not None for match in self.appearances)

    @property
    def struck_points(self) -> int:
        """The points of the matches known strike by strike."""
        return sum(match.points for match in self.appearances if match.strikes is not None)

    @property
    def named(self) -> int:
        """Of how many matches no more is known than that the player is named, with the points."""
        return sum(match.named_by is not None for match in self.appearances)

    @property
    def best(self) -> tuple[Appearance, ...]:
        """The matches with most points, all with the same."""
        most = max((match.points for match in self.appearances), default=None)
        return tuple(match for match in self.appearances if match.points == most)

    @property
    def best_strikes(self) -> tuple[Appearance, ...]:
        """The matches with the highest strike."""
        strikes = [match.best_strike for match in self.appearances]
        highest = max((strike for strike in strikes if strike is not None), default=-1)
        return tuple(match for match in self.appearances if match.best_strike == highest)


def career(connection: Connection, person: Person, under_way: UnderWay = ALL_IS_OVER) -> Career:
    """The career of ``person`` over all seasons and competitions that are not ``under_way``."""
    appearances = tuple(_appearances(connection, person.id, under_way))
    seasons = tuple(_seasons(connection, person.id, under_way))
    told: dict[tuple[int, str], ToldStriker] = {}
    for row in told_strikers(connection, "player = ?", (person.id,)):
        # Several sources may tell of the same matches; the one that tells most of them does.
        known = told.get(row[:2])
        if under_way.holds(*row[:2]):
            continue
        if known is None or known.count(None) > row.count(None):
            told[row[:2]] = row
    struck = f"p.strikes IS NOT NULL AND m.counts = 1 AND {under_way.beside('p')}"
    return Career(
        person=person,
        appearances=appearances,
        seasons=seasons,
        teams=_teams(appearances),
        milestones=tuple(_milestones(appearances)),
        distinctions=tuple(
            Distinction(*row[1:])
            for row in connection.execute(_DISTINCTIONS.format("d.player = ?"), (person.id,))
        ),
        longest_runs=tuple(_longest_presence(connection, person.id, under_way))
        if appearances
        else (),
        unknown=_left_out(connection, person.id, struck),
        with_errors=_left_out(connection, person.id, "m.errors = 1"),
        unreadable=unreadable_sheets(connection),
        told=tuple(told[key] for key in sorted(told.keys() - {row[:2] for row in seasons})),
    )


def _appearances(connection: Connection, player: str, under_way: UnderWay) -> Iterator[Appearance]:
    # A supernumerary who came in has two rows, which are one match. Nummern off the strikes of a
    # supernumerary count not at all.
    for row in connection.execute(
        "SELECT p.sheet, p.season, p.date, p.team, sum(p.struck), sum(p.points), coalesce(sum(CASE"
        " WHEN p.role = 'team' THEN p.nummern END), 0), max(p.best_strike), CASE p.side WHEN 'home'"
        f" THEN m.away ELSE m.home END, max({NAMED_BY})"
        " FROM player_matches p JOIN matches m ON m.sheet = p.sheet"
        f" WHERE p.player = ? AND p.counts = 1 AND {under_way.beside('p')} GROUP BY p.sheet, p.side"
        " ORDER BY p.date, m.round, p.sheet",
        (player,),
    ):
        yield Appearance(*row)


def outings(connection: Connection, career: Career) -> tuple[Outing, ...]:
    """The matches of ``career``, one by one; of a few it looks into their sheets alone."""
    found: dict[tuple[str, str], Outing] = {}
    by_match = {(match.sheet, match.team): match for match in career.appearances}
    for sheet, team, competition, side, ground, place, rank_points, *struck in connection.execute(
        "SELECT p.sheet, p.team, p.competition, p.side, m.ground, CASE p.role WHEN 'team' THEN"
        " (SELECT count(*) FROM player_matches o WHERE o.sheet = p.sheet AND o.side = p.side"
        " AND o.role = 'team' AND o.seat <= p.seat) END, p.rank_points, p.strikes, p.per_inning"
        " FROM player_matches p JOIN matches m ON m.sheet = p.sheet"
        " WHERE +p.player = ? AND p.counts = 1 AND p.sheet IN (SELECT value FROM json_each(?))"
        " ORDER BY p.sheet, p.seat",
        (career.person.id, json.dumps([match.sheet for match in career.appearances])),
    ):
        innings = _innings(*struck)
        before = found.get((sheet, side))
        if before is not None:
            # A supernumerary who came in has two rows.
            innings = (*(before.innings or ()), *(innings or ()))
            place = place if before.place is None else before.place
            rank_points = rank_points if before.rank_points is None else before.rank_points
        found[sheet, side] = Outing(
            by_match[sheet, team], competition, side, ground, place, innings, rank_points
        )
    order = {match.sheet: number for number, match in enumerate(career.appearances)}
    return tuple(sorted(found.values(), key=lambda outing: order[outing.appearance.sheet]))


def _innings(strikes: str | None, per_inning: int) -> tuple[tuple[str, ...], ...] | None:
    if strikes is None:
        return None
    struck = json.loads(strikes)
    starts = range(0, len(struck), per_inning)
    return tuple(tuple(struck[start : start + per_inning]) for start in starts)


def splits(found: Sequence[Outing]) -> tuple[Split, ...]:
    """All matches by place in the order, inning, side and ground, each in its order."""
    added: dict[tuple[str, int | str | None], list[tuple[int, int, int]]] = {}
    for outing in found:
        match = outing.appearance
        whole = match.strikes or 0, match.points, match.points if match.strikes else 0
        for by, value in (("side", outing.side), ("ground", outing.ground)):
            added.setdefault((by, value), []).append(whole)
        if outing.place is not None:
            added.setdefault(("place", outing.place), []).append(whole)
        for number, inning in enumerate(outing.innings or (), start=1):
            points = [int(each.rstrip("N")) for each in inning if each[0].isdigit()]
            if points:
                figures = len(points), sum(points), sum(points)
                added.setdefault(("inning", number), []).append(figures)
    kinds = ("place", "inning", "side", "ground")

    def order(key: tuple[str, int | str | None]) -> tuple[object, ...]:
        by, value = key
        number, text = (value, "") if isinstance(value, int) else (0, str(value))
        return kinds.index(by), number, value is None, value != "home" if by == "side" else text

    return tuple(
        Split(*key, len(added[key]), *map(sum, zip(*added[key], strict=True)))
        for key in sorted(added, key=order)
    )


def _seasons(connection: Connection, player: str, under_way: UnderWay) -> list[SeasonOfPlayer]:
    found = {
        row[:2]: SeasonOfPlayer(*row)
        for row in connection.execute(
            "SELECT s.season, s.competition, s.team, s.matches, s.strikes, s.points,"
            " s.struck_points, s.best, s.rank_points, s.rank, (SELECT count(*) FROM strikers o"
            " WHERE o.season = s.season AND o.competition = s.competition)"
            f" FROM strikers s WHERE s.player = ? AND {under_way.beside('s')}",
            (player,),
        )
    }
    for season, competition, team, points, is_last in connection.execute(
        "SELECT n.season, n.competition, n.team, n.points, n.date || n.sheet > coalesce((SELECT"
        " max(p.date || p.sheet) FROM player_matches p WHERE p.player = n.player AND p.season ="
        " n.season AND p.competition = n.competition AND p.counts AND p.role <> 'named'), '')"
        f" FROM named_players n WHERE n.player = ? AND {under_way.beside('n')}"
        " ORDER BY n.date, n.sheet",
        (player,),
    ):
        key = season, competition
        known = found.get(key) or SeasonOfPlayer(*key, team, *(0,) * 6, None, 0)
        found[key] = known._replace(
            team=team if is_last else known.team,
            matches=known.matches + 1,
            points=known.points + points,
            best=max(known.best, points),
            named=known.named + 1,
        )
    return [found[key] for key in sorted(found)]


def _teams(appearances: Sequence[Appearance]) -> tuple[TimeInTeam, ...]:
    by_team: dict[str, list[Appearance]] = {}
    for match in appearances:
        by_team.setdefault(match.team, []).append(match)
    return tuple(
        TimeInTeam(team, len(listed), listed[0].date, listed[-1].date)
        for team, listed in by_team.items()
    )


def _milestones(appearances: Sequence[Appearance]) -> Iterator[Milestone]:
    points = 0
    for number, match in enumerate(appearances, start=1):
        if number in _MATCHES or number % _EVERY_MATCHES == 0:
            yield Milestone("matches", number, match.date, match.sheet)
        before, points = points, points + match.points
        first = (before // _EVERY_POINTS + 1) * _EVERY_POINTS
        reached = [*_POINTS, *range(first, points + 1, _EVERY_POINTS)]
        for number_of_points in reached:
            if before < number_of_points <= points:
                yield Milestone("points", number_of_points, match.date, match.sheet)


def stretches(seasons: Sequence[int], holds: Sequence[bool]) -> Iterator[tuple[int, int]]:
    """From where and up to where matches, in the order of play, make a run: they all hold, and
    no year is without a match, since nothing is known of what was played then."""
    start = last_season = 0
    for index, (season, held) in enumerate(zip(seasons, holds, strict=True)):
        if season > last_season + 1 and start < index:
            yield start, index
            start = index
        if not held:
            if start < index:
                yield start, index
            start = index + 1
        last_season = season
    if start < len(holds):
        yield start, len(holds)


def _longest_presence(connection: Connection, player: str, under_way: UnderWay) -> list[Run]:
    """The longest runs of matches of one team in all of which the player took part, from the
    earliest on; a single match is none. A match of
    which the individuals are not known ends a run; a forfeited one, which nobody struck in, is
    passed over."""
    present: set[tuple[str, str]] = set()
    span: dict[str, tuple[int, int]] = {}
    for sheet, season, team in connection.execute(
        "SELECT DISTINCT p.sheet, p.season, p.team FROM player_matches p"
        " JOIN matches m ON m.sheet = p.sheet"
        " WHERE p.player = ? AND p.date IS NOT NULL AND p.team IS NOT NULL"
        f" AND {TOOK_PART} AND {under_way.beside('m')}"
        f" AND (m.counts = 1 OR {UNKNOWN_RESULT})",
        (player,),
    ):
        present.add((sheet, team))
        first, last = span.get(team, (season, season))
        span[team] = min(first, season), max(last, season)
    found: list[Run] = []
    for team, (first, last) in sorted(span.items()):
        matches = connection.execute(
            "SELECT s.season, m.date, s.sheet FROM sides s JOIN matches m ON m.sheet = s.sheet"
            " WHERE s.team = ? AND s.season BETWEEN ? AND ? AND m.date IS NOT NULL"
            f" AND m.outcome <> 'forfeited' AND (m.counts = 1 OR {UNKNOWN_RESULT})"
            f" AND {under_way.beside('m')} ORDER BY m.date, m.round, s.sheet",
            (team, first, last),
        ).fetchall()
        seasons = [season for season, _, _ in matches]
        for start, stop in stretches(
            seasons, [(sheet, team) in present for _, _, sheet in matches]
        ):
            sheets = tuple(sheet for _, _, sheet in matches[start:stop])
            found.append(Run(team, matches[start][1], matches[stop - 1][1], sheets))
    length = max((len(run.sheets) for run in found), default=0)
    level = [run for run in found if len(run.sheets) == length > 1]
    return sorted(level, key=lambda run: (run.since, run.until, run.team, run.sheets))


def _left_out(connection: Connection, player: str, why: str) -> int:
    return number_of(
        connection,
        "(SELECT DISTINCT p.sheet FROM player_matches p JOIN matches m ON m.sheet = p.sheet"
        f" WHERE p.player = ? AND p.counts = 0 AND {why})",
        (player,),
    )


def career_digests(
    connection: Connection, sheet_digests: Mapping[str, bytes], under_way: UnderWay
) -> Mapping[str, bytes]:
    """Of everybody in a sheet what the career rests on beside the files that belong to no season,
    in a digest; of what is ``under_way`` only for whom the player strikes. ``sheet_digests`` are
    those of all sheets, by path.

    Since a match without the player ends a run, each rests on all that the team played from the
    player's first to the last season in it."""
    of_team: dict[str | None, dict[int, list[bytes]]] = defaultdict(lambda: defaultdict(list))
    for team, season, path in connection.execute(
        "SELECT s.team, s.season, m.path FROM sides s JOIN matches m ON m.sheet = s.sheet"
        f" WHERE NOT m.errors AND {under_way.beside('m')} ORDER BY s.team, m.path"
    ):
        of_team[team][season].append(sheet_digests[path])
    played = {
        team: {season: b"".join(digests) for season, digests in sorted(seasons.items())}
        for team, seasons in of_team.items()
    }
    rests_on: dict[str, list[bytes]] = defaultdict(list)
    # A side at a time, in the order of the table: by person it takes twice as long.
    struck: dict[tuple[int, str | None], set[str]] = defaultdict(set)
    for season, team, players in connection.execute(
        "SELECT season, team, group_concat(player) FROM player_matches WHERE"
        f" {under_way.beside('player_matches')} GROUP BY season, sheet, side ORDER BY season, team"
    ):
        struck[season, team].update(players.split(","))
    in_team: dict[tuple[str, str | None], list[int]] = defaultdict(list)
    for (season, team), people in struck.items():
        for player in people:
            in_team[player, team].append(season)
    for (player, team), years in in_team.items():
        rests_on[player] += [
            digests
            for season, digests in played.get(team, {}).items()
            if years[0] <= season <= years[-1]
        ]
    of_all = means(connection)
    for player, *row in connection.execute(
        "SELECT s.player, s.season, s.competition, c.name, c.kind, s.team, s.matches, s.strikes,"
        " s.points, s.struck_points, s.best, s.rank_points, s.rank, c.complete FROM strikers s JOIN"
        " competitions c ON c.season = s.season AND c.competition = s.competition WHERE"
        f" {under_way.beside('s')} ORDER BY s.player, s.season, s.competition"
    ):
        rests_on[player].append(repr((row, of_all[row[0], row[1]])).encode())
    # What they are called, and whether anything is played: then their teams have pages.
    newest = connection.execute(
        "SELECT competition, name, kind, complete, EXISTS (SELECT 1 FROM standings s WHERE s.season"
        " = c.season AND s.competition = c.competition AND s.played > 0) FROM competitions c WHERE"
        " season = ? ORDER BY competition",
        (under_way.season,),
    ).fetchall()
    for player, teams in playing(connection, under_way).items():
        rests_on[player].append(repr((under_way.season, teams, newest)).encode())
    for player, *row in connection.execute(
        "SELECT DISTINCT n.player, n.season, n.competition, c.name, c.kind FROM named_players n"
        " JOIN competitions c ON c.season = n.season AND c.competition = n.competition WHERE"
        f" {under_way.beside('n')} ORDER BY 1, 2, 3"
    ):
        rests_on[player].append(repr(row).encode())
    for player, *row in connection.execute(_DISTINCTIONS.format("1")):
        rests_on[player].append(repr(row).encode())
    told: tuple[ToldStriker | Title, ...] = told_strikers(connection, "player IS NOT NULL")
    for of_player in (*told, *told_titles(connection)):
        if of_player.player is not None:
            rests_on[of_player.player].append(repr(of_player).encode())
    return {player: digest_of(*parts) for player, parts in rests_on.items()}


BANDS = (19, 39, 59)
"""The last age of each band but the last one, which is open; all minors stand in the first."""

FEWEST = 5
"""A first band with fewer people is told together with the second: nobody's age can be read off."""


class YearOfPeople(NamedTuple):
    """``people`` have match points in a striker table of the ``season``; ``new`` had none before.
    ``bands`` hold how many were of what age by the end of the year, where the year of birth is
    on record; the first is None where its people are counted in the second."""

    season: int
    people: int
    new: int
    bands: tuple[int | None, ...]
    not_known: int


class Span(NamedTuple):
    """The first and the last season of somebody who stands in a sheet without errors."""

    first: int
    last: int


def spans(connection: Connection) -> Mapping[str, Span]:
    """Of everybody in the sheets without errors, by identifier."""
    return {
        player: Span(first, last)
        for player, first, last in connection.execute(
            "SELECT player, min(season), max(season) FROM player_matches WHERE sheet NOT IN"
            " (SELECT sheet FROM matches WHERE errors) GROUP BY player ORDER BY player"
        )
    }


def participation(connection: Connection) -> tuple[YearOfPeople, ...]:
    """Year by year, the newest first."""
    born = dict(connection.execute("SELECT player, born FROM players WHERE born IS NOT NULL"))
    seen: set[str] = set()
    by_year: dict[int, list[str]] = {}
    for season, player in connection.execute(
        "SELECT season, player FROM strikers UNION SELECT season, player FROM named_players"
        " ORDER BY season, player"
    ):
        by_year.setdefault(season, []).append(player)
    years = []
    for season, players in by_year.items():
        ages = [season - born[player] for player in players if player in born]
        new, not_known = len(set(players) - seen), len(players) - len(ages)
        years.append(YearOfPeople(season, len(players), new, _bands(ages), not_known))
        seen.update(players)
    return tuple(reversed(years))


def _bands(ages: Sequence[int]) -> tuple[int | None, ...]:
    limits = (-1, *BANDS, 1000)
    counts: list[int | None] = [
        sum(above < age <= upto for age in ages) for above, upto in pairwise(limits)
    ]
    first, second = counts[0] or 0, counts[1] or 0
    if 0 < first < FEWEST:
        counts[:2] = [None, first + second]
    return tuple(counts)
