"""All meetings of two teams or two clubs, what they come to, and every club's balance."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product, takewhile
from sqlite3 import Connection
from typing import NamedTuple

from riesbuch.questions.chronicle import told_teams
from riesbuch.questions.match_lines import MatchLine, match_lines, unreadable_sheets
from riesbuch.questions.under_way import ALL_IS_OVER, UnderWay
from riesbuch.questions.who import NameOfClub, Party, find_party, former_names
from riesbuch.trade.ids import club_of
from riesbuch.trade.problems import UsageError

CRITERIA = ("nummern", "points", "longest_ries", "award", "recorded")
DRAW = "draw"

_TeamsOfEither = tuple[tuple[str, ...], tuple[str, ...]]


class PlayedMeeting(NamedTuple):
    """``winner`` is the identifier of one of the two parties, or "draw"; the points and Nummern
    are those of the first party and of the second."""

    line: MatchLine
    winner: str
    points: tuple[int | None, int | None]
    nummern: tuple[int | None, int | None]


class Win(NamedTuple):
    """A party's biggest win by one measure; of several alike the first."""

    meeting: PlayedMeeting
    by: int


class Balance(NamedTuple):
    """One party's side of the matter."""

    party: Party
    won: int
    by_points: Win | None
    by_nummern: Win | None


class Streak(NamedTuple):
    """How often the last result came in a row; ``winner`` is a party or "draw"."""

    winner: str
    matches: int
    since: str | None


class TablesMet(NamedTuple):
    """A table handed down that has both parties, and each one's best rank in it, where told."""

    season: int
    competition: str
    first: int | None
    second: int | None
    source: str | None
    reference: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Meetings:
    """``teams`` are those that were looked for, of either party; ``not_counted`` is how many
    meetings there are besides that count nowhere, ``unreadable`` how many sheets may be meetings;
    ``claimed_twice`` are teams that belong to
    both parties alike and were therefore left out. ``formerly`` are the names that either's clubs
    had since the first meeting."""

    balances: tuple[Balance, Balance]
    teams: _TeamsOfEither
    claimed_twice: tuple[str, ...]
    formerly: tuple[NameOfClub, ...]
    meetings: tuple[PlayedMeeting, ...]
    drawn: int
    decided_by: tuple[tuple[str, int], ...]
    run: Streak | None
    not_counted: int
    unreadable: int
    strike_by_strike: int
    told: tuple[TablesMet, ...] = ()


def meetings(connection: Connection, first: str, second: str) -> Meetings:
    """What there is between the two, each written as a team or a club."""
    parties = (find_party(connection, first), find_party(connection, second))
    _must_differ(parties)
    teams, claimed_twice = _teams_of_either(parties)
    lines = _lines(connection, teams)
    found = tuple(_meeting(line, parties, teams) for line in lines if line.counts)
    since = min((met.line.season for met in found), default=None)
    return Meetings(
        balances=(_balance(parties[0], 0, found), _balance(parties[1], 1, found)),
        teams=teams,
        claimed_twice=claimed_twice,
        formerly=_formerly(connection, parties, teams, since),
        meetings=found,
        drawn=sum(met.winner == DRAW for met in found),
        decided_by=tuple(
            (criterion, sum(met.line.decided_by == criterion for met in found))
            for criterion in CRITERIA
        ),
        run=_run(found),
        not_counted=sum(not line.counts for line in lines),
        unreadable=unreadable_sheets(connection),
        strike_by_strike=sum(met.line.strike_by_strike for met in found),
        told=tuple(_told(connection, teams)),
    )


def _told(connection: Connection, teams: _TeamsOfEither) -> Iterator[TablesMet]:
    """The newest first, of competitions without a match that counts."""
    places: dict[tuple[int, str, str | None, str | None], list[list[int | None]]] = {}
    for row in told_teams(
        connection,
        "NOT EXISTS (SELECT 1 FROM matches AS m WHERE m.counts AND m.season ="
        " handed_down_standings.season AND m.competition = handed_down_standings.competition)",
    ):
        of_table = places.setdefault((*row[:2], *row[-2:]), [[], []])
        for ranks, own in zip(of_table, teams, strict=True):
            if row.team in own:
                ranks.append(row.rank)
    for (season, competition, source, reference), of_parties in places.items():
        if all(of_parties):
            first, second = (
                min((rank for rank in ranks if rank), default=None) for ranks in of_parties
            )
            yield TablesMet(season, competition, first, second, source, reference)


def _formerly(
    connection: Connection,
    parties: tuple[Party, Party],
    teams: _TeamsOfEither,
    since: int | None,
) -> tuple[NameOfClub, ...]:
    """Each club's names once, and none of a predecessor that does not stand for the party here."""
    found: dict[NameOfClub, None] = {}
    for party, own in zip(parties, teams, strict=True):
        clubs = {party.club, *map(club_of, own)}
        found.update((name, None) for name in former_names(connection, party, since)
                     if name.club in clubs)  # fmt: skip
    return tuple(found)


def _must_differ(parties: tuple[Party, Party]) -> None:
    first, second = parties
    if first.id == second.id:
        raise UsageError(
            "`{party}` cannot meet itself; name two teams or two clubs", party=first.id
        )
    if first.club == second.club and (first.is_club or second.is_club):
        club, team = (first, second) if first.is_club else (second, first)
        raise UsageError(
            "`{team}` is a team of `{club}` itself; name two teams, or another club",
            team=team.id,
            club=club.id,
        )


def _teams_of_either(
    parties: tuple[Party, Party],
) -> tuple[_TeamsOfEither, tuple[str, ...]]:
    """The teams that stand for either. A team that both carry on stands for the one that is
    nearer to it by mergers: asked about a club and one that was merged into it later, the
    latter's matches against the former are what is meant."""
    first, second = (dict(party.teams) for party in parties)
    alike = [team for team in first if first[team] == second.get(team)]
    of_first = tuple(team for team in first if team not in second or first[team] < second[team])
    of_second = tuple(team for team in second if team not in first or second[team] < first[team])
    return (of_first, of_second), tuple(sorted(alike))


def _lines(connection: Connection, teams: _TeamsOfEither) -> tuple[MatchLine, ...]:
    marks = [", ".join("?" * len(own)) for own in teams]
    condition = (
        f"(m.home IN ({marks[0]}) AND m.away IN ({marks[1]})"
        f" OR m.home IN ({marks[1]}) AND m.away IN ({marks[0]}))"
    )
    return match_lines(connection, condition, [*teams[0], *teams[1], *teams[1], *teams[0]])


def _meeting(line: MatchLine, parties: tuple[Party, Party], teams: _TeamsOfEither) -> PlayedMeeting:
    first_at_home = line.home in teams[0]
    points = (line.home_points, line.away_points)
    nummern = (line.home_nummern, line.away_nummern)
    if line.winner == DRAW:
        winner = DRAW
    else:
        winner = parties[0 if (line.winner == "home") == first_at_home else 1].id
    if not first_at_home:
        points, nummern = points[::-1], nummern[::-1]
    return PlayedMeeting(line, winner, points, nummern)


def _balance(party: Party, place: int, found: Sequence[PlayedMeeting]) -> Balance:
    won = [met for met in found if met.winner == party.id]
    other = 1 - place
    return Balance(
        party,
        len(won),
        by_points=_biggest([(met, met.points[place], met.points[other]) for met in won]),
        by_nummern=_biggest([(met, met.nummern[other], met.nummern[place]) for met in won]),
    )


def _biggest(wins: Sequence[tuple[PlayedMeeting, int | None, int | None]]) -> Win | None:
    """The win with the greatest lead; one without a lead is no win by that measure."""
    best: Win | None = None
    for meeting, more, less in wins:
        if more is None or less is None:
            continue
        if more - less > (best.by if best else 0):
            best = Win(meeting, more - less)
    return best


def _run(found: Sequence[PlayedMeeting]) -> Streak | None:
    if not found:
        return None
    last = found[-1].winner
    run = list(takewhile(lambda met: met.winner == last, reversed(found)))
    return Streak(last, len(run), run[-1].line.date)


@dataclass(slots=True, kw_only=True)
class ClubBalance:
    """As `meetings` of the two clubs counts: with all teams, and those of predecessors. ``last``
    is the day of the last one, and ``last_sheet`` its sheet; of several of a day the one that is
    last by its name."""

    opponent: str
    won: int = 0
    drawn: int = 0
    lost: int = 0
    last: str | None = None
    last_sheet: str = ""

    @property
    def matches(self) -> int:
        return self.won + self.drawn + self.lost


def balances(
    connection: Connection, under_way: UnderWay = ALL_IS_OVER
) -> Mapping[str, tuple[ClubBalance, ...]]:
    """Of each club its balances, most matches first, without what is ``under_way``."""
    clubs = [club for (club,) in connection.execute("SELECT club FROM clubs ORDER BY club")]
    nearness = {club: dict(find_party(connection, club).teams) for club in clubs}
    carried_on = defaultdict[str, list[str]](list)
    for club, teams in nearness.items():
        for team in teams:
            carried_on[team].append(club)
    found: dict[tuple[str, str], ClubBalance] = {}
    for home, away, winner, number, last in connection.execute(
        "SELECT home, away, winner, count(*), max(coalesce(date, '') || ' ' || sheet) FROM matches"
        f" WHERE counts AND {under_way.beside('matches')} GROUP BY home, away, winner"
        " ORDER BY home, away, winner"
    ):
        for first, second in product(carried_on[home], carried_on[away]):
            if _stand_for(nearness, first, home, second, away):
                _add(found, first, second, winner, "home", number, last)
                _add(found, second, first, winner, "away", number, last)
    listed = defaultdict[str, list[ClubBalance]](list)
    for (club, _), balance in found.items():
        listed[club].append(balance)
    return {
        club: tuple(sorted(of_club, key=lambda balance: (-balance.matches, balance.opponent)))
        for club, of_club in listed.items()
    }


def _stand_for(
    nearness: Mapping[str, Mapping[str, int]], first: str, home: str, second: str, away: str
) -> bool:
    """Whether ``home`` stands for ``first`` and ``away`` for ``second`` where these two meet: of
    two clubs that carry a team on, it stands for the nearer one."""
    if first == second:
        return False
    far = 1_000_000
    of_first, of_second = nearness[first], nearness[second]
    is_home = of_first[home] < of_second.get(home, far)
    return is_home and of_second[away] < of_first.get(away, far)


def _add(
    found: dict[tuple[str, str], ClubBalance],
    club: str,
    opponent: str,
    winner: str,
    side: str,
    number: int,
    last: str,
) -> None:
    balance = found.setdefault((club, opponent), ClubBalance(opponent=opponent))
    if winner == "draw":
        balance.drawn += number
    elif winner == side:
        balance.won += number
    else:
        balance.lost += number
    day, _, sheet = last.partition(" ")
    if (day, sheet) > (balance.last or "", balance.last_sheet):
        balance.last, balance.last_sheet = day or None, sheet
