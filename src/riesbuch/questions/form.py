"""The form of a team's players in a season, what is to be expected of each, and who trained."""

import datetime
import json
from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import groupby
from sqlite3 import Connection
from typing import NamedTuple

from riesbuch.index.team_seasons import ROWS_OF_SIDES
from riesbuch.trade.form import Form, Outing, Spread, Weights, best_weights
from riesbuch.trade.ids import ClubId, PlayerId, TeamId, club_of
from riesbuch.trade.messages import Message, joined
from riesbuch.trade.problems import UsageError

_LAST_DAY = "9999"


class Strikes(NamedTuple):
    """The strikes of a player that are known: how many, the sum of their points and that of the
    squares of these."""

    number: int = 0
    points: int = 0
    squares: int = 0

    @property
    def spread(self) -> float | None:
        """Their standard deviation as of a sample; None of fewer than two."""
        if self.number < 2:
            return None
        of_mean = self.number * self.squares - self.points**2
        return float((of_mean / (self.number * (self.number - 1))) ** 0.5)


class PlayerForm(NamedTuple):
    """One player's season so far, over the matches for the team that are known strike by strike;
    of one who has only trained, and struck for no team of the club, there are none.
    ``recent`` are the strikes of the last of them, ``nuller`` those worth nothing, ``nummern``
    those the player struck, which the opponents conceded. ``expected`` is in points per strike, by
    the ``weight`` the player's own mean; ``nuller_expected`` is a share of all strikes."""

    player: PlayerId
    matches: int
    strikes: Strikes
    recent: Strikes
    nuller: int
    nummern: int
    trainings: int
    expected: float
    weight: float
    nuller_expected: float


class TeamForm(NamedTuple):
    """``players`` have the highest expectation first. Of the ``matches`` that were struck, count
    and are up to the day ``until`` so many are ``known`` strike by strike; the last ``recent``
    matches of a player are told apart. Without any strike ``spread`` is None, and there is
    nobody. ``earlier`` is whether there are strikes of these players of the season before, and
    ``trained`` whether there are any of trainings. The last match was on ``last_day``."""

    team: TeamId
    season: int
    until: datetime.date | None
    recent: int
    matches: int
    known: int
    players: tuple[PlayerForm, ...]
    spread: Spread | None
    weights: Weights
    earlier: bool
    trained: bool
    last_day: datetime.date
    competition: str
    part: str | None


class _Row(NamedTuple):
    """What a player struck in one match; in a training where there is no ``sheet``."""

    date: str
    season: int
    sheet: str
    player: PlayerId
    strikes: tuple[int, ...]
    nummern: int = 0


def team_form(
    connection: Connection,
    team: TeamId,
    season: int | None = None,
    until: datetime.date | None = None,
    recent: int = 5,
) -> TeamForm:
    """Of a season, of the last that has a match of the team where none is given. Raises UsageError
    where there is none."""
    day = until.isoformat() if until else _LAST_DAY
    found = connection.execute(
        # The other columns are those of the match with the last day.
        "SELECT s.season, count(*), sum(s.depth = 'strikes'), max(m.date), m.competition, m.part"
        " FROM sides AS s JOIN matches AS m USING (season, sheet) WHERE s.team = ? AND m.counts"
        " AND m.outcome <> 'forfeited' AND m.date <= ? AND s.season = coalesce(?, s.season)"
        " GROUP BY s.season ORDER BY s.season DESC LIMIT 1",
        (team, day, season),
    ).fetchone()
    if found is None:
        raise no_match(team, season, until)
    season, matches, known, last_day, competition, part = found
    rows = _rows(connection, team, season, day)
    trainings = _trainings(connection, team, season, day)
    outings = _outings([*trainings, *rows])
    weights, form = best_weights(outings, season), Form(outings, season)
    nuller = Form([_nuller(outing) for outing in outings if not outing.is_training], season)
    of_players: dict[PlayerId, list[_Row]] = {
        row.player: [] for row in rows if row.season == season
    }
    if of_players:
        elsewhere = _struck_elsewhere(connection, team, season)
        of_players |= {
            row.player: []
            for row in trainings
            if row.season == season and row.player not in of_players.keys() | elsewhere
        }
    for row in rows:
        if row.season == season:
            of_players[row.player].append(row)
    attended = Counter(row.player for row in trainings if row.season == season)
    players = []
    for player, struck in of_players.items():
        strength, chance = form.strength(player, weights), nuller.strength(player, weights)
        # Somebody struck, which makes both known.
        assert strength is not None
        assert chance is not None
        players.append(
            PlayerForm(
                player=player,
                matches=len(struck),
                strikes=_strikes(struck),
                recent=_strikes(struck[-recent:]),
                nuller=sum(row.strikes.count(0) for row in struck),
                nummern=sum(row.nummern for row in struck),
                trainings=attended[player],
                expected=strength.expected,
                weight=strength.weight,
                nuller_expected=chance.expected,
            )
        )
    players.sort(key=lambda row: (-row.expected, row.player))
    return TeamForm(
        *(team, season, until, recent, matches, known, tuple(players)),
        spread=form.spread(weights),
        weights=weights,
        earlier=any(row.season == season - 1 and row.player in of_players for row in rows),
        trained=any(row.season == season and row.strikes for row in trainings),
        last_day=datetime.date.fromisoformat(last_day),
        competition=competition,
        part=part,
    )


def no_match(
    team: TeamId, season: int | None, until: datetime.date | None = None, since: int | None = None
) -> UsageError:
    asked = (
        Message("in {year}", year=season) if season is not None else None,
        Message("since {year}", year=since) if since is not None else None,
        Message("up to {day}", day=until) if until is not None else None,
    )
    when = [each for each in asked if each is not None]
    if not when:
        return UsageError("no match of {team} that counts is on record yet", team=team)
    return UsageError(
        "no match of {team} that counts is on record {when}; leave that out for the last season"
        " that has one",
        team=team,
        when=joined(", ", when),
    )


def _rows(connection: Connection, team: TeamId, season: int, until: str) -> list[_Row]:
    """Of the season and the two before it, by date. A supernumerary who came in has two rows in a
    sheet, which are one."""
    found: dict[tuple[str, PlayerId], _Row] = {}
    for date, year, sheet, player, listed, nummern in connection.execute(
        f"SELECT m.date, m.season, m.sheet, r.player, r.strikes, r.nummern FROM {ROWS_OF_SIDES}"
        " WHERE s.team = ? AND m.season BETWEEN ? AND ? AND m.date <= ? AND r.counts AND r.struck"
        " ORDER BY m.date, coalesce(m.round, 0), m.sheet, r.id",
        (team, season - 2, season, until),
    ):
        struck = tuple(int(each.rstrip("N")) for each in json.loads(listed) if each[0].isdecimal())
        before = found.get((sheet, player), _Row(date, year, sheet, player, ()))
        found[sheet, player] = before._replace(
            strikes=before.strikes + struck, nummern=before.nummern + nummern
        )
    return list(found.values())


def _trainings(connection: Connection, team: TeamId, season: int, until: str) -> list[_Row]:
    """Of the team's club."""
    rows = connection.execute(
        "SELECT date, season, player, strikes FROM training_rows WHERE club = ? AND season"
        " BETWEEN ? AND ? AND date <= ? ORDER BY date, player",
        (club_of(team), season - 2, season, until),
    )
    return [
        _Row(date, year, "", player, tuple(each for each in json.loads(listed) if each is not None))
        for date, year, player, listed in rows
    ]


def _struck_elsewhere(connection: Connection, team: TeamId, season: int) -> set[str]:
    """Who struck for another team of the club that season."""
    rows = connection.execute(
        f"SELECT DISTINCT r.player FROM {ROWS_OF_SIDES} WHERE s.team IN (SELECT team FROM teams"
        " WHERE club = ?) AND s.team <> ? AND m.season = ? AND r.strikes IS NOT NULL",
        (club_of(team), team, season),
    )
    return {player for (player,) in rows}


def _outings(rows: Sequence[_Row]) -> list[Outing]:
    """By date, of a day a training before a match."""
    in_order = sorted(rows, key=lambda row: (row.date, row.sheet != ""))
    return [
        Outing(season, {row.player: row.strikes for row in of_it}, is_training=not sheet)
        for (season, _, sheet), of_it in groupby(
            in_order, key=lambda row: (row.season, row.date, row.sheet)
        )
    ]


def _nuller(outing: Outing) -> Outing:
    """Of each strike whether it is one, as 1 or 0."""
    return outing._replace(
        strikes={
            player: [int(not points) for points in strikes]
            for player, strikes in outing.strikes.items()
        }
    )


def _strikes(rows: Sequence[_Row]) -> Strikes:
    points = [each for row in rows for each in row.strikes]
    return Strikes(len(points), sum(points), sum(each * each for each in points))


class Attendance(NamedTuple):
    """One player on one evening; ``points`` are those of each strike, None where it was not written
    down, and none at all of who was only there."""

    season: int
    date: datetime.date
    club: ClubId
    player: PlayerId
    points: tuple[int | None, ...]


def attendances(connection: Connection) -> Iterator[Attendance]:
    """By day, club and player; of all years."""
    rows = connection.execute(
        "SELECT season, date, club, player, strikes FROM training_rows ORDER BY date, club, player"
    )
    for season, date, club, player, strikes in rows:
        day = datetime.date.fromisoformat(date)
        yield Attendance(season, day, club, player, tuple(json.loads(strikes)))


def number_of_evenings(connection: Connection) -> int:
    (number,) = connection.execute(
        "SELECT count(*) FROM (SELECT DISTINCT date, club FROM training_rows)"
    ).fetchone()
    return int(number)
