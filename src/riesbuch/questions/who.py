"""Which player, club, team or competition is meant; clubs over time: mergers, former names."""

from collections.abc import Callable, Sequence
from sqlite3 import Connection
from typing import TYPE_CHECKING, NamedTuple

from riesbuch.questions.match_lines import number_of
from riesbuch.trade.ids import club_of

if TYPE_CHECKING:
    from riesbuch.trade.ids import CompetitionId, TeamId
    from riesbuch.trade.people import Register


class Person(NamedTuple):
    """``name`` is the identifier where no file says another, and marked where another has it too;
    ``born`` is a year."""

    id: str
    name: str
    born: int | None = None


def born_since(connection: Connection, year: int) -> tuple[str, ...]:
    found = connection.execute(
        "SELECT player FROM players WHERE born >= ? ORDER BY player", (year,)
    )
    return tuple(player for (player,) in found)


def find_player(connection: Connection, written: str) -> Person:
    """The player who is meant, also one whom only sheets name; raises UsageError."""
    known = _person(connection, written)
    if known is None:
        from riesbuch.trade.ids import PlayerId
        from riesbuch.trade.names import player_directory

        marks = {PlayerId(player): mark for player, mark in player_marks(connection).items()}
        meant = player_directory(_people(connection), marks).meant(written)
        if len(meant) != 1:
            # To list all whom sheets name takes longer than all the rest.
            strangers = connection.execute("SELECT DISTINCT player FROM player_matches")
            people = _people(connection, [player for (player,) in strangers])
            meant = [player_directory(people, marks).find(written)]
        known = _person(connection, meant[0])
        assert known is not None
    return known


def _person(connection: Connection, player: str) -> Person | None:
    row = connection.execute(
        "SELECT name, born FROM players WHERE player = ?", (player,)
    ).fetchone()
    if row is not None:
        (name, born), mark = row, player_marks(connection).get(player)
        return Person(player, f"{name} ({mark})" if mark else name, born)
    # An open register takes people in sheets who have no file.
    in_a_sheet = connection.execute(
        "SELECT 1 FROM player_matches WHERE player = ? LIMIT 1", (player,)
    ).fetchone()
    return Person(id=player, name=player) if in_a_sheet else None


def player_names(
    connection: Connection, all_seasons: Callable[[], Connection] | None = None
) -> dict[str, str]:
    """Of all who have a file, those of one name with what tells them apart. Where ``connection``
    has not all seasons, ``all_seasons`` gives one that has."""
    names = dict(connection.execute("SELECT player, name FROM players").fetchall())
    if len(set(names.values())) < len(names):
        for player, mark in player_marks(all_seasons() if all_seasons else connection).items():
            names[player] += f" ({mark})"
    return names


def player_marks(
    connection: Connection, is_named: Callable[[str], bool] = lambda player: True
) -> dict[str, str]:
    """What tells those of one name apart, by the last of their clubs and the years on record; who
    struck in the newest season is still there. Who is not to be named lends nobody a mark."""
    names = {
        player: name
        for player, name in connection.execute(
            "SELECT player, name FROM players WHERE name IN"
            " (SELECT name FROM players GROUP BY name HAVING count(*) > 1) ORDER BY player"
        )
        if is_named(player)
    }
    if not names:
        return {}
    from riesbuch.trade.names import Whereabouts, marks_apart

    (newest,) = connection.execute("SELECT max(season) FROM strikers").fetchone()

    def whereabouts(player: str) -> Whereabouts:
        club, since, first, last = connection.execute(
            "SELECT coalesce(c.name, p.club), p.since, min(s.season), max(s.season) FROM players p"
            " LEFT JOIN clubs c ON c.club = p.club LEFT JOIN strikers s ON s.player = p.player"
            " WHERE p.player = ?",
            (player,),
        ).fetchone()
        begun = min((year for year in (since, first) if year is not None), default=None)
        return Whereabouts(club, begun, last if last != newest else None)

    return marks_apart(names, whereabouts)


def _people(connection: Connection, others: Sequence[str] = ()) -> "Register":
    """Those who have a file, and ``others``."""
    from riesbuch.trade.ids import PlayerId
    from riesbuch.trade.people import Player, Register

    also_written: dict[str, list[str]] = {}
    for player, name in connection.execute("SELECT player, name FROM spellings"):
        also_written.setdefault(player, []).append(name)
    names = dict(connection.execute("SELECT player, name FROM players ORDER BY player"))
    for player in others:
        names.setdefault(player, player)
    people = (
        Player(
            id=PlayerId(player),
            name=name,
            also_written=tuple(also_written.get(player, ())),
            positions={},
        )
        for player, name in names.items()
    )
    return Register(clubs={}, players={player.id: player for player in people})


def find_team_or_club(connection: Connection, written: str) -> str:
    """The team or club that is meant; a name of a club and of one of its teams alike is the
    club's. Raises UsageError."""
    from riesbuch.trade.names import Directory, club_directory, team_directory

    register = _clubs(connection)
    names: dict[str, Sequence[str]] = {}
    names |= {str(club): spelt for club, spelt in club_directory(register).names.items()}
    names |= {str(team): spelt for team, spelt in team_directory(register).names.items()}
    directory = Directory("team or club", names)
    meant = directory.meant(written)
    if len(meant) > 1:
        meant = [one for one in meant if club_of(one) not in meant]
    if len(meant) == 1:
        return meant[0]
    raise directory.refusal(written, meant)


def find_team(connection: Connection, written: str) -> "TeamId":
    """The team that is meant; raises UsageError."""
    from riesbuch.trade.names import find_team

    return find_team(_clubs(connection), written)


def _clubs(connection: Connection) -> "Register":
    from riesbuch.trade.ids import ClubId
    from riesbuch.trade.people import Club, FormerName, Register

    former: dict[str, list[FormerName]] = {}
    for club, name, until in connection.execute(
        "SELECT club, name, until FROM former_names ORDER BY club, name"
    ):
        former.setdefault(club, []).append(FormerName(name, until))
    teams: dict[str, list[tuple[str, str]]] = {}
    for team, club, name in connection.execute("SELECT team, club, name FROM teams ORDER BY team"):
        teams.setdefault(club, []).append((team.rpartition("-")[2], name))
    clubs = (
        Club(
            id=ClubId(club),
            name=name,
            teams=tuple(teams.get(club, ())),
            formerly=tuple(former.get(club, ())),
            positions={},
        )
        for club, name in connection.execute("SELECT club, name FROM clubs ORDER BY club")
    )
    return Register(clubs={club.id: club for club in clubs}, players={})


def find_competition(connection: Connection, written: str) -> "CompetitionId":
    """The competition that is meant, by a name of any season; raises UsageError."""
    from riesbuch.trade.names import Directory

    names: dict[CompetitionId, list[str]] = {}
    for competition, name in connection.execute(
        "SELECT competition, name FROM (SELECT season, competition, name FROM competitions UNION"
        " ALL SELECT season, competition, name FROM handed_down_competitions) ORDER BY season DESC"
    ):
        names.setdefault(competition, []).append(name)
    return Directory("competition", names).find(written)


class Party(NamedTuple):
    """A team, or a club with all its teams and those of the clubs it was merged from.

    ``teams`` holds the teams' identifiers, each with how many mergers lie between it and the
    party: 0 for its own. ``predecessors`` are the clubs it was merged from.
    """

    id: str
    name: str
    club: str | None
    is_club: bool
    teams: tuple[tuple[str, int], ...]
    predecessors: tuple[str, ...] = ()


class NameOfClub(NamedTuple):
    """``until`` is the last year in which ``club`` was called so, None where nobody says."""

    club: str
    name: str
    until: int | None


def former_names(connection: Connection, party: Party, since: int | None) -> tuple[NameOfClub, ...]:
    """Names that the party's club and its predecessors had in ``since`` or later, which is the
    first season that is told of them; none where that is None."""
    if since is None or party.club is None:
        return ()
    return tuple(
        NameOfClub(club, name, until)
        for club in (party.club, *party.predecessors)
        for name, until in connection.execute(
            "SELECT name, until FROM former_names WHERE club = ? ORDER BY coalesce(until, 0), name",
            (club,),
        )
        if until is None or until >= since
    )


def club_name(connection: Connection, club: str) -> str:
    """The club's name, or its identifier where no file declares it."""
    row = connection.execute("SELECT name FROM clubs WHERE club = ?", (club,)).fetchone()
    return str(row[0]) if row else club


def carried_on(connection: Connection) -> dict[tuple[str, str], list[str]]:
    """Of each team whose club was merged into others, by its identifier and name, the names of
    the clubs that carry it on."""
    clubs: dict[tuple[str, str], list[str]] = {}
    for team, name, club in connection.execute(
        "SELECT t.team, t.name, c.name FROM mergers AS m JOIN teams AS t ON t.club = m.merged"
        " JOIN clubs AS c ON c.club = m.club WHERE m.club <> m.merged ORDER BY t.team, c.name"
    ):
        clubs.setdefault((team, name), []).append(club)
    return clubs


def find_party(connection: Connection, written: str) -> Party:
    """The team or club that is meant; raises UsageError."""
    party = _party(connection, written)
    if party is None:
        party = _party(connection, find_team_or_club(connection, written))
        assert party is not None
    return party


def _party(connection: Connection, identifier: str) -> Party | None:
    team = connection.execute(
        "SELECT name, club FROM teams WHERE team = ?", (identifier,)
    ).fetchone()
    if team is not None:
        return Party(identifier, team[0], team[1], is_club=False, teams=((identifier, 0),))
    if not number_of(connection, "clubs WHERE club = ?", (identifier,)):
        return None
    generations = _generations(connection, identifier)
    teams = [
        (team, generation)
        for club, generation in generations.items()
        for (team,) in connection.execute(
            "SELECT team FROM teams WHERE club = ? ORDER BY team", (club,)
        )
    ]
    name, (_, *predecessors) = club_name(connection, identifier), generations
    return Party(identifier, name, identifier, True, tuple(teams), tuple(predecessors))


def _generations(connection: Connection, club: str) -> dict[str, int]:
    """The club and its predecessors, with the number of mergers that lie between."""
    found = {club: 0}
    waiting = [club]
    for current in waiting:
        for (merged,) in connection.execute(
            "SELECT merged FROM mergers WHERE club = ? ORDER BY merged", (current,)
        ):
            if merged not in found:
                found[merged] = found[current] + 1
                waiting.append(merged)
    return found
