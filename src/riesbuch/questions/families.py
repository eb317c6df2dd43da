"""Parents and children in the records: their lines, and who struck beside whom."""

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from sqlite3 import Connection
from typing import NamedTuple

from riesbuch.questions.match_lines import names_of, number_of, sheets_with_errors
from riesbuch.questions.who import NameOfClub, Party, find_party, former_names, player_names


class Kin(NamedTuple):
    """One person of a line; ``seasons`` are those of the matches that count."""

    player: str
    name: str
    seasons: tuple[int, ...]
    teams: tuple[str, ...]


class InTeam(NamedTuple):
    """A line of people who each struck for ``team`` at some time, the oldest first."""

    team: str
    players: tuple[str, ...]


class Together(NamedTuple):
    """A line of people who struck on one side of one match, so many times."""

    team: str
    players: tuple[str, ...]
    matches: int
    first: str | None
    first_sheet: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Families:
    """``matches`` count; of these the strikers of a whole side are known in ``players_known``, and
    ``with_errors`` are sheets left out. ``party`` is the club or team that was asked of,
    ``formerly`` are its names at the time."""

    lines: tuple[tuple[Kin, ...], ...]
    in_teams: tuple[InTeam, ...]
    together: tuple[Together, ...]
    names: Mapping[str, str]
    team_names: Mapping[str, str]
    matches: int
    strike_by_strike: int
    players_known: int
    with_errors: int
    party: Party | None
    formerly: tuple[NameOfClub, ...]


_Chain = tuple[str, ...]
_Children = Mapping[str, Collection[str]]


class _FamilySide(NamedTuple):
    """Those of a side who have parents or children on file."""

    sheet: str
    season: int
    date: str | None
    team: str
    people: frozenset[str]


@dataclass(slots=True)
class _Records:
    """What the related struck: seasons and teams by person, and people by season and team."""

    seasons: dict[str, set[int]]
    teams: dict[str, set[str]]
    of_season: dict[tuple[int, str], set[str]]
    sides: list[_FamilySide]

    def of_team(self, team: str) -> set[str]:
        return {player for player, teams in self.teams.items() if team in teams}


def families(connection: Connection, club: str | None = None) -> Families:
    """All lines of parents and children; with ``club``, those in which somebody struck for it or
    for a club it was merged from."""
    party = find_party(connection, club) if club is not None else None
    wanted = None if party is None else {team for team, _ in party.teams}
    children: dict[str, list[str]] = defaultdict(list)
    query = "SELECT parent, player FROM parents ORDER BY parent, player"
    for parent, child in connection.execute(query):
        children[parent].append(child)
    names = player_names(connection)
    related = {*children, *(child for theirs in children.values() for child in theirs)}
    records = _records(connection, related)

    def kin(player: str) -> Kin:
        seasons = tuple(sorted(records.seasons.get(player, ())))
        return Kin(
            player, names.get(player, player), seasons, tuple(sorted(records.teams.get(player, ())))
        )

    lines = [tuple(map(kin, chain)) for chain in _whole_lines(children)]
    if wanted is not None:
        lines = [line for line in lines if any(wanted.intersection(kin.teams) for kin in line)]
    lines.sort(
        key=lambda line: (
            -len(line),
            [kin.seasons[0] if kin.seasons else 9999 for kin in line],
            [kin.player for kin in line],
        )
    )
    struck_for = sorted({team for _, team in records.of_season})
    teams = [team for team in struck_for if wanted is None or team in wanted]
    matches, strike_by_strike, players_known = _basis(connection)
    return Families(
        lines=tuple(lines),
        in_teams=_in_teams(teams, children, records),
        together=_together(teams, children, records),
        names=names,
        team_names=names_of(connection, "team"),
        matches=matches,
        strike_by_strike=strike_by_strike,
        players_known=players_known,
        with_errors=sheets_with_errors(connection),
        party=party,
        formerly=() if party is None else former_names(connection, party, _first(lines)),
    )


def _first(lines: Collection[tuple[Kin, ...]]) -> int | None:
    """The first season in which anybody of the lines struck."""
    return min((kin.seasons[0] for line in lines for kin in line if kin.seasons), default=None)


def _records(connection: Connection, related: set[str]) -> _Records:
    records = _Records(
        seasons=defaultdict(set), teams=defaultdict(set), of_season=defaultdict(set), sides=[]
    )
    if not related:
        return records
    # A side at a time, in the order of the table: by person it takes six times as long.
    rows = connection.execute(
        "SELECT sheet, season, date, team, group_concat(player) FROM player_matches"
        " WHERE strikes IS NOT NULL OR points IS NOT NULL GROUP BY season, sheet, side"
    )
    without = {
        sheet for (sheet,) in connection.execute("SELECT sheet FROM matches WHERE NOT counts")
    }
    for sheet, season, date, team, players in rows:
        people = related.intersection(players.split(","))
        if not people or team is None or sheet in without:
            continue
        records.of_season[season, team] |= people
        records.sides.append(_FamilySide(sheet, season, date, team, frozenset(people)))
    for (season, team), everybody in records.of_season.items():
        for player in everybody:
            records.seasons[player].add(season)
            records.teams[player].add(team)
    return records


def _in_teams(teams: Collection[str], children: _Children, records: _Records) -> tuple[InTeam, ...]:
    found = [
        InTeam(team, chain)
        for team in teams
        for chain in _whole_lines(_among(children, records.of_team(team)))
    ]
    return tuple(sorted(found, key=lambda line: (-len(line.players), line.team, line.players)))


def _together(
    teams: Collection[str], children: _Children, records: _Records
) -> tuple[Together, ...]:
    """Every line of parents and children on a side, longer ones with the shorter ones in them."""
    parts = {
        (season, team): [(chain, frozenset(chain)) for chain in _parts(_among(children, people))]
        for (season, team), people in records.of_season.items()
        if team in teams
    }
    sides: dict[tuple[str, _Chain], list[_FamilySide]] = defaultdict(list)
    for side in records.sides:
        for chain, people in parts.get((side.season, side.team), ()):
            if people <= side.people:
                sides[side.team, chain].append(side)
    found = []
    for (team, players), places in sides.items():
        first = min(places, key=lambda side: (side.season, side.date or "", side.sheet))
        found.append(Together(team, players, len(places), first.date, first.sheet))
    found.sort(key=lambda line: (-len(line.players), -line.matches, line.team, line.players))
    return tuple(found)


def _among(children: _Children, people: Collection[str]) -> dict[str, list[str]]:
    """Who of ``people`` is a child of whom of them."""
    among: dict[str, list[str]] = {}
    for parent in sorted(people):
        theirs = [child for child in children.get(parent, ()) if child in people]
        if theirs:
            among[parent] = theirs
    return among


def _whole_lines(children: _Children) -> list[_Chain]:
    """Every line from somebody without parents to somebody without children. Who is an own
    ancestor, which is an error in the files, begins no line."""
    has_parents = {child for theirs in children.values() for child in theirs}
    waiting: list[_Chain] = [(parent,) for parent in children if parent not in has_parents]
    lines = []
    while waiting:
        chain = waiting.pop()
        further = [child for child in children.get(chain[-1], ()) if child not in chain]
        waiting += [(*chain, child) for child in further]
        if not further and len(chain) > 1:
            lines.append(chain)
    return lines


def _parts(children: _Children) -> list[_Chain]:
    """Every line of two or more people, wherever it begins and ends."""
    waiting: list[_Chain] = [(parent,) for parent in children]
    parts = []
    while waiting:
        chain = waiting.pop()
        for child in children.get(chain[-1], ()):
            if child not in chain:
                parts.append((*chain, child))
                waiting.append((*chain, child))
    return parts


def _basis(connection: Connection) -> tuple[int, int, int]:
    """How many matches count, how many of them are known strike by strike on both sides, and of
    how many the people of at least one side are known."""
    strike_by_strike, players_known = connection.execute(
        "SELECT coalesce(sum(strikes = 2), 0), coalesce(sum(known > 0), 0) FROM ("
        " SELECT sheet, sum(depth = 'strikes') AS strikes,"
        " sum(depth IN ('strikes', 'players')) AS known FROM sides GROUP BY season, sheet)"
        " WHERE sheet NOT IN (SELECT sheet FROM matches WHERE NOT counts)"
    ).fetchone()
    return number_of(connection, "matches WHERE counts"), strike_by_strike, players_known
